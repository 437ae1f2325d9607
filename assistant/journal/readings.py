"""A temperature logger's file, read into climate events.

Comma, semicolon or tab; a decimal comma where the comma does not separate; any order of columns
and others beside them; with or without a byte order mark. One bad row and nothing is taken, since
a cure worked out from half a night is worse than none.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Final, NamedTuple, NoReturn

from assistant.journal.events import Climate, Event
from assistant.journal.state import Named
from assistant.problem import Problem
from assistant.quantity import Amount, celsius, percent

#: What a reading may be; beyond it the sensor or the unit is wrong (bounds of our own choosing).
TEMPERATURES: Final = (-40.0, 60.0)  # degC
HUMIDITIES: Final = (0.0, 100.0)  # percent
#: How far a logger's clock may be ahead of ours.
AHEAD: Final = timedelta(minutes=10)

_NUMBER: Final = re.compile(r"[+-]?\d+(\.\d+)?")
_HEADING: Final = re.compile(
    r"(?P<name>timestamp|date[ /_]?time|time|temperature|temp|relative[ _]humidity|humidity|rh|space)"
    r"[\s_]*[(\[]?\s*(?P<unit>[^()\[\]]*?)\s*[)\]]?",
)
_COLUMNS: Final = {
    "temp": "temperature", "temperature": "temperature", "humidity": "humidity", "rh": "humidity",
    "relative humidity": "humidity", "relative_humidity": "humidity", "space": "space",
}  # fmt: skip
_CELSIUS: Final = {"", "c", "degc", "deg c", "°c", "℃", "celsius", "degrees c", "degrees celsius"}
_FAHRENHEIT: Final = {"f", "degf", "deg f", "°f", "℉", "fahrenheit", "degrees f", "degrees fahrenheit"}
_PERCENT: Final = {"", "%", "percent", "pct", "rh", "%rh", "% rh"}
_UNIVERSAL: Final = {"utc", "gmt", "z"}
#: What may stand behind a column's name for it to be one of ours.
_UNITS: Final = {
    "time": {"", "local", "local time", *_UNIVERSAL},
    "temperature": _CELSIUS | _FAHRENHEIT,
    "humidity": _PERCENT,
    "space": {""},
}

#: Gives what happened from one time to before another, as ``Journal.between`` does.
Already = Callable[[datetime, datetime], Iterable[Event]]


class _Columns(NamedTuple):
    time: int
    temperature: int
    humidity: int | None
    space: int | None
    fahrenheit: bool


def read_csv(
    path: Path, zone: tzinfo, *, spaces: Mapping[str, Named], now: datetime, already: Already
) -> list[Climate]:
    """Give the readings in ``path`` that are not in the journal yet, in the file's order.

    Columns ``time,temperature[,humidity][,space]``; a time without an offset is of ``zone``; degC
    unless the heading says degF. ``spaces`` are the job's (``State.spaces``): another is refused.
    ``already`` gives the events of a span (``Journal.between``); ``now`` becomes ``said_at``, and no
    reading may be later. ``Problem``, naming the line, for what cannot be read or believed.
    """
    text = _text(path)
    first = text.split("\n", 1)[0]
    separator = max(";\t,", key=first.count)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=separator, skipinitialspace=True, strict=True)
    reader = _Reader(path, zone, spaces, now, separator)
    try:
        columns = reader.columns(next(lines, []))
        found = [reader.reading(row, lines.line_num, columns) for row in lines if any(c.strip() for c in row)]
    except csv.Error as error:
        raise Problem(f"{path} line {lines.line_num}: {error}; nothing was imported") from None
    return _fresh(found, already)


def _text(path: Path) -> str:
    try:
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        raise Problem(f"{path} cannot be read ({getattr(error, 'strerror', None) or error})") from None
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")  # a degree sign from an older program


def _fresh(found: Sequence[Climate], already: Already) -> list[Climate]:
    if not found:
        return []
    times = [c.at for c in found]
    there = already(min(times), max(times) + timedelta(microseconds=1))
    known = {_key(e) for e in there if isinstance(e, Climate)}
    out = []
    for reading in found:
        key = _key(reading)
        if key not in known:
            known.add(key)
            out.append(reading)
    return out


def _key(reading: Climate) -> tuple[object, ...]:
    # In UTC: two times of unlike zones are never equal in the hour that comes twice in autumn.
    return (reading.at.astimezone(UTC), reading.space, reading.temperature, reading.humidity)


class _Reader:
    """What one file's rows have in common."""

    def __init__(self, path: Path, zone: tzinfo, spaces: Mapping[str, Named], now: datetime, separator: str) -> None:
        self.path, self.zone, self.now = path, zone, now
        self.decimal_comma = separator != ","
        self.spaces = {said.casefold(): name for name, named in spaces.items() for said in (*named.also, name)}
        self.last: dict[str | None, datetime] = {}  # by space, to tell the hour that comes twice

    def refuse(self, line: int, reason: str) -> NoReturn:
        raise Problem(f"{self.path} line {line}: {reason}; nothing was imported")

    def columns(self, headings: Sequence[str]) -> _Columns:
        places: dict[str, int] = {}
        units: dict[str, str] = {}
        for place, heading in enumerate(headings):
            match = _HEADING.fullmatch(heading.strip().casefold())
            name = _COLUMNS.get(match["name"], "time") if match else ""
            if not match or match["unit"] not in _UNITS[name]:
                continue
            if name not in places or (units[name] in _FAHRENHEIT and match["unit"] in _CELSIUS):
                places[name], units[name] = place, match["unit"]
        for name in ("time", "temperature"):
            if name not in places:
                shown = ", ".join(h.strip() for h in headings)[:120] or "none"
                self.refuse(1, f"there is no column {name} (there are: {shown}), in degC or degF")
        if units["time"] in _UNIVERSAL:
            self.zone = UTC
        return _Columns(
            places["time"], places["temperature"], places.get("humidity"), places.get("space"),
            units["temperature"] in _FAHRENHEIT,
        )  # fmt: skip

    def reading(self, row: Sequence[str], line: int, columns: _Columns) -> Climate:
        def cell(place: int | None) -> str:
            if place is None:
                return ""
            if place >= len(row):
                self.refuse(line, f"it has {len(row)} columns where the heading has more")
            return row[place].strip()

        degrees = self.number(cell(columns.temperature), line, "temperature")
        if columns.fahrenheit:
            degrees = round((degrees - 32) / 1.8, 3)
        if not TEMPERATURES[0] <= degrees <= TEMPERATURES[1]:
            self.refuse(line, f"{degrees:g} degC cannot be: a reading is from -40 to 60 degC")
        humidity: Amount | None = None
        if said := cell(columns.humidity):
            humidity = percent(self.number(said, line, "humidity"))
            if not HUMIDITIES[0] <= humidity.value <= HUMIDITIES[1]:
                self.refuse(line, f"{humidity.value:g} percent humidity cannot be: it is from 0 to 100")
        space = self.space(cell(columns.space), line)
        at = self.time(cell(columns.time), space, line)
        return Climate(at=at, said_at=self.now, space=space, temperature=celsius(degrees), humidity=humidity)

    def number(self, said: str, line: int, name: str) -> float:
        plain = said.replace(",", ".") if self.decimal_comma else said
        if not _NUMBER.fullmatch(plain):
            self.refuse(line, f"{name} {said!r} is no number" if said else f"there is no {name}")
        return float(plain)

    def space(self, said: str, line: int) -> str | None:
        if not said:
            return None
        name = self.spaces.get(said.casefold())
        if name is None:
            known = ", ".join(sorted(set(self.spaces.values()))) or "none yet"
            self.refuse(line, f"there is no space {said!r} in the job (known: {known})")
        return name

    def time(self, said: str, space: str | None, line: int) -> datetime:
        try:
            at = datetime.fromisoformat(said)
        except ValueError:
            self.refuse(line, f"time {said!r} is not as 2026-03-14 02:05" if said else "there is no time")
        if at.tzinfo is None:
            at = self._in_zone(at, space)
        if at > self.now + AHEAD:
            self.refuse(line, f"{said} is still to come: set the logger's clock, or say --at")
        self.last[space] = at
        return at

    def _in_zone(self, at: datetime, space: str | None) -> datetime:
        first = at.replace(tzinfo=self.zone)
        second = first.replace(fold=1)
        before = self.last.get(space)
        if before is not None and first.astimezone(UTC) <= before.astimezone(UTC) < second.astimezone(UTC):
            first = second  # the clocks went back, and the file went on
        return first.replace(tzinfo=_fixed(first))


def _fixed(at: datetime) -> tzinfo:
    return datetime.fromisoformat(at.isoformat()).tzinfo or UTC
