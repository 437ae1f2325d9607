"""The tables of a job file, checked one by one.

Each function takes a table as it was parsed and gives the values a ``Set`` event keeps, in JSON
form: texts as they were written, times as ISO strings with the job's offset. What is wrong raises
:class:`~assistant.library.fields.Flaw` with the path of keys to it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, tzinfo
from typing import Any, Final
from zoneinfo import ZoneInfo, available_timezones

from assistant.library import labels
from assistant.library.fields import Flaw, at, suggestion, text, texts, whole
from assistant.library.measures import measure

Values = dict[str, Any]

KEYS: Final[dict[str, tuple[str, ...]]] = {
    "job": ("name", "timezone", "deadline", "sleep", "quiet", "units"),
    "settings": ("units",),
    "space": ("name", "also", "temperature", "humidity"),
    "piece": ("name", "also", "space", "area", "material", "meets"),
    "label": ("name", *labels.KEYS),
    "tin": ("label", "size", "count", "batch", "bought", "opened"),
    "task": (
        "name",
        "piece",
        "do",
        "coats",
        "label",
        "after",
        "takes",
        "noise",
        "dust",
        "space",
        "mask",
        "skip",
        "batch",
    ),
}


@dataclass(slots=True)
class Known:
    """What a table may refer to, and how this job writes clocks and pints."""

    zone: tzinfo = UTC
    us: bool = False
    spaces: Collection[str] = ()
    pieces: Collection[str] = ()
    labels: Collection[str] = ()
    tasks: Collection[str] = ()
    said: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)  # labels as the journal has them


def name_of(table: Mapping[str, Any], what: str) -> str:
    """Give the table's name: one line of text, not too long to be said."""
    name = text(table, "name")
    if name is None:
        raise Flaw((), f'this {what} has no name: add name = "..."')
    if name != " ".join(name.split()) or len(name) > 60:
        raise Flaw(("name",), "a name is one line of at most 60 characters, without spaces at its ends")
    return name


def zone_of(table: Mapping[str, Any]) -> ZoneInfo | None:
    """Give the job's time zone, or None where the table names none."""
    name = text(table, "timezone", "Europe/London")
    if name is None:
        return None
    try:
        return ZoneInfo(name)
    except (OSError, ValueError, KeyError):  # ZoneInfoNotFoundError is a KeyError
        near = suggestion(name, available_timezones()) if len(name) <= 60 else ""
        raise Flaw(("timezone",), f'there is no time zone "{name[:60]}"{near}') from None


def units_of(table: Mapping[str, Any]) -> str | None:
    """Give ``imperial`` or ``us``, or None where the table does not say."""
    units = text(table, "units")
    if units not in (None, "imperial", "us"):
        raise Flaw(("units",), f'"{units}" is neither "imperial" nor "us": say whose pints they are')
    return units


def job(table: Mapping[str, Any], known: Known) -> Values:
    """Check the ``[job]`` table; its zone and units have been read already."""
    values: Values = {k: table[k] for k in ("timezone", "units") if k in table}
    if "deadline" in table:
        values["deadline"] = _moment(table, "deadline", known.zone, time(23, 59))
    for key in ("sleep", "quiet"):
        if key in table:
            values[key] = _clocks(table, key)
    return values


def space(table: Mapping[str, Any], known: Known) -> Values:
    """Check a ``[[space]]``."""
    values = _also(table)
    _measured(table, values, "temperature", "temperature", known)
    _measured(table, values, "humidity", "percent", known)
    return values


def piece(table: Mapping[str, Any], known: Known) -> Values:
    """Check a ``[[piece]]``: its space and the pieces it meets must be known."""
    values = _also(table)
    _refer(table, values, "space", known.spaces)
    _measured(table, values, "area", "area", known)
    if (material := text(table, "material", "oak")) is not None:
        values["material"] = material
    if "meets" in table:
        values["meets"] = _references(table, "meets", "piece", known.pieces)
    return values


def label(table: Mapping[str, Any], known: Known) -> Values:
    """Check a ``[[label]]``, also together with what the journal has of it already."""
    name = str(table["name"])
    values = {k: v for k, v in table.items() if k != "name"} | _also(table)
    labels.read(name, values, us=known.us)
    labels.read(name, {**known.said.get(name, {}), **values}, us=known.us)
    return values


def tin(table: Mapping[str, Any], known: Known) -> Values:
    """Check a ``[[tin]]``."""
    values: Values = {}
    _refer(table, values, "label", known.labels)
    if "label" not in values:
        raise Flaw((), 'this tin has no label: add label = "..." with the name of a [[label]]')
    _measured(table, values, "size", "amount", known)
    if (count := whole(table, "count", 1, 1000)) is not None:
        values["count"] = count
    if (batch := text(table, "batch", "B1234")) is not None:
        values["batch"] = batch
    for key in ("bought", "opened"):
        if key in table:
            values[key] = _moment(table, key, known.zone, time(0))
    if values.get("opened", "9") < values.get("bought", ""):
        raise Flaw(("opened",), "this is before the tin was bought: check the two dates")
    return values


def task(table: Mapping[str, Any], known: Known) -> Values:
    """Check a ``[[task]]``."""
    values: Values = {}
    do = text(table, "do", "varnish")
    if do is None:
        raise Flaw((), 'this task has nothing to do: add do = "varnish" or another text')
    values["do"] = do
    _refer(table, values, "piece", known.pieces)
    _refer(table, values, "space", known.spaces)
    _refer(table, values, "label", known.labels)
    if (coats := whole(table, "coats", 1, 50)) is not None:
        values["coats"] = coats
    if "after" in table:
        values["after"] = _references(table, "after", "task", known.tasks)
    _measured(table, values, "takes", "time", known)
    for key in ("noise", "dust", "mask"):
        if key in table:
            if not isinstance(table[key], bool):
                raise Flaw((key,), "this is either true or false, without quotes")
            values[key] = table[key]
    if (batch := text(table, "batch", "a")) is not None:
        values["batch"] = batch
    if "skip" in table:
        values["skip"] = list(texts(table, "skip"))
    return values


def _also(table: Mapping[str, Any]) -> Values:
    return {"also": list(texts(table, "also"))} if "also" in table else {}


def _measured(table: Mapping[str, Any], values: Values, key: str, kind: str, known: Known) -> None:
    examples = {"temperature": "16 degC", "percent": "65 percent", "area": "0.4 m2", "amount": "750 ml"}
    written = text(table, key, examples.get(kind, "2 h"))
    if written is not None:
        with at(key):
            measure(written, kind, us=known.us)
        values[key] = written


def _refer(table: Mapping[str, Any], values: Values, key: str, known: Collection[str]) -> None:
    said = text(table, key)
    if said is not None:
        with at(key):
            values[key] = _real(said, key, known)


def _references(table: Mapping[str, Any], key: str, what: str, known: Collection[str]) -> list[str]:
    out = []
    for i, said in enumerate(texts(table, key)):
        with at(key, *([i] if isinstance(table[key], list) else [])):
            out.append(_real(said, what, known))
    return out


def _real(said: str, what: str, known: Collection[str]) -> str:
    if said in known:
        return said
    for name in known:
        if name.casefold() == said.casefold():
            return name
    raise Flaw((), f'there is no {what} "{said}"{suggestion(said, known)}')


def _moment(table: Mapping[str, Any], key: str, zone: tzinfo, of_day: time) -> str:
    value = table[key]
    if isinstance(value, str):
        try:
            value = datetime.fromisoformat(value) if len(value) > 10 else date.fromisoformat(value)
        except ValueError:
            raise Flaw((key,), f'"{value}" is no date: write it like 2026-03-22T18:00:00') from None
    if isinstance(value, date) and not isinstance(value, datetime):
        value = datetime.combine(value, of_day)
    if not isinstance(value, datetime):
        raise Flaw((key,), "this is no date: write it like 2026-03-22T18:00:00, without quotes")
    if value.tzinfo is None:
        # Through UTC and back: an hour that the clocks skip becomes the one that they show.
        value = value.replace(tzinfo=zone).astimezone(UTC).astimezone(zone)
    return value.isoformat()


def _clocks(table: Mapping[str, Any], key: str) -> list[str]:
    value = table[key]
    if not isinstance(value, list) or len(value) != 2:
        raise Flaw((key,), 'this is a beginning and an end: write it like ["23:00", "07:00"]')
    out = []
    for i, clock in enumerate(value):
        written = clock.strftime("%H:%M") if isinstance(clock, time) else clock
        if not isinstance(written, str) or not re.fullmatch(r"([01]?\d|2[0-3]):[0-5]\d", written):
            raise Flaw((key, i), 'this is no clock time: write it like "23:00"')
        out.append(written.zfill(5))
    if out[0] == out[1]:
        raise Flaw((key,), "the beginning and the end are the same: leave the key out or change one")
    return out
