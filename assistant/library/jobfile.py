"""Reads a job file into journal events: spaces, labels, pieces, tins, tasks and hours.

All of it or nothing: the first thing that is wrong is one Problem that names the key and its line,
and no event is given. What the journal already has as the file says it gives no event, so that
loading the same file twice changes nothing.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from assistant.journal.events import Event, Set
from assistant.journal.state import Named, State
from assistant.library import jobtables, lines
from assistant.library.fields import Flaw, at, only, spoken, suggestion
from assistant.library.fields import Path as Place
from assistant.library.jobtables import KEYS, Known, Values
from assistant.problem import Problem

#: A job file is written by hand; one beyond this is something else.
LARGEST: Final = 1_000_000

_LISTS: Final[dict[str, Callable[[Mapping[str, Any], Known], Values]]] = {
    "space": jobtables.space,
    "label": jobtables.label,
    "piece": jobtables.piece,
    "tin": jobtables.tin,
    "task": jobtables.task,
}


def read_job(path: Path, *, said_at: datetime, state: State) -> list[Event]:
    """Give the ``Set`` events that make ``state`` what the job file at ``path`` says.

    ``said_at`` (aware) is when it was loaded, and the zone of its times where neither file nor
    state names one. Raises ``Problem`` with the line for anything that is wrong with the file.
    """
    text = _text(path)
    table = _parsed(text, path.name)
    try:
        return _events(table, path.stem, said_at, state)
    except Flaw as flaw:
        line = _line(text, flaw.path)
        raise Problem(f"{path.name} line {line}: {spoken(flaw.path)}: {flaw.what}") from None


def _text(path: Path) -> str:
    try:
        if path.is_dir():
            raise Problem(f"{path} is a folder: give the job file in it")
        if not path.exists():
            raise Problem(f"there is no file {path}: check the name")
        if not path.is_file() or path.stat().st_size > LARGEST:
            raise Problem(f"{path} is no job file: give a text file of tables as the manual shows")
        raw = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise Problem(f"{path} cannot be read ({reason}): check it and its permissions") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise Problem(f"{path.name} line {line}: this is no UTF-8 text: save it as plain text") from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise Problem(f"{path.name} line {line}: this is no text file: give a job file")
    return text


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        said = str(error)
        place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)", said)
        line = int(place[1]) if place and place[1] else max(1, len(text.rstrip().splitlines()))
        what = said[: place.start()] if place else "this cannot be read"
        raise Problem(f"{name} line {line}: not TOML: {what}; put that right and load it again") from None


def _line(text: str, path: Place) -> int:
    found = lines.places(text.replace("\r\n", "\n"))
    while path and path not in found:
        path = path[:-1]
    return found.get(path, 1)


def _events(table: Mapping[str, Any], stem: str, said_at: datetime, state: State) -> list[Event]:
    _shape(table)
    known = _known(table, said_at, state)
    changes = [*_head(table, stem, known, state)]
    for what in _LISTS:
        changes += _list(what, table, known, state)
    return [Set(at=said_at, said_at=said_at, what=w, name=n, values=v) for w, n, v in changes]


def _shape(table: Mapping[str, Any]) -> None:
    for what, value in table.items():
        if what not in KEYS:
            raise Flaw((what,), f"a job file has no such table{suggestion(what, KEYS)}")
        if what in _LISTS:
            if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
                raise Flaw((what,), f"there may be many of these: write [[{what}]] with two brackets")
            for i, row in enumerate(value):
                with at(what, i):
                    only(row, KEYS[what], f"a {what}")
        else:
            if not isinstance(value, dict):
                raise Flaw((what,), f"there is one of these: write [{what}] with one bracket")
            with at(what):
                only(value, KEYS[what], f"the {what} table")


def _known(table: Mapping[str, Any], said_at: datetime, state: State) -> Known:
    with at("job"):
        zone = jobtables.zone_of(table.get("job", {}))
        units = jobtables.units_of(table.get("job", {}))
    with at("settings"):
        units = jobtables.units_of(table.get("settings", {})) or units or state.job.get("units")
    said = state.job.get("timezone")
    return Known(
        zone=zone or (ZoneInfo(said) if said else said_at.tzinfo) or Known().zone,
        us=units == "us",
        spaces=[*state.spaces, *_names("space", table)],
        pieces=[*state.pieces, *_names("piece", table)],
        labels=[*state.labels, *_names("label", table)],
        tasks=[*state.plans, *_task_names(table)],
        said={name: named.values for name, named in state.labels.items()},
    )


def _names(what: str, table: Mapping[str, Any]) -> list[str]:
    seen: dict[str, str] = {}
    for i, row in enumerate(table.get(what, [])):
        with at(what, i):
            name = jobtables.name_of(row, what)
            if name.casefold() in seen:
                raise Flaw(("name",), f'there is a {what} "{name}" already: rename one of them')
            seen[name.casefold()] = name
    _no_borrowed_name(what, table, seen)
    return list(seen.values())


def _no_borrowed_name(what: str, table: Mapping[str, Any], names: Mapping[str, str]) -> None:
    # Two pieces may share a second name ("the doors"); the name of one as a second name of another
    # could never be understood.
    for i, row in enumerate(table.get(what, [])):
        also = row.get("also")
        listed = also if isinstance(also, list) else [also]
        for j, other in enumerate(listed):
            theirs = names.get(str(other).casefold())
            if theirs is not None and theirs != row["name"]:
                place = (what, i, "also", j) if isinstance(also, list) else (what, i, "also")
                raise Flaw(place, f'"{other}" is the name of another {what}: rename one of them')


def _task_names(table: Mapping[str, Any]) -> list[str]:
    given = [row["name"] for row in table.get("task", []) if isinstance(row.get("name"), str)]
    taken = {name.casefold() for name in given}
    out: list[str] = []
    for i, row in enumerate(table.get("task", [])):
        with at("task", i):
            if "name" in row:
                name = jobtables.name_of(row, "task")
                if name.casefold() in (n.casefold() for n in out):
                    raise Flaw(("name",), f'there is a task "{name}" already: rename one of them')
            else:
                name = _made_name(row, taken)
            taken.add(name.casefold())
            out.append(name)
    return out


def _made_name(row: Mapping[str, Any], taken: set[str]) -> str:
    base = " ".join(str(row[k]) for k in ("do", "piece") if k in row) or "task"
    name, count = base, 1
    while name.casefold() in taken:
        count += 1
        name = f"{base} {count}"
    return name


def _head(table: Mapping[str, Any], stem: str, known: Known, state: State) -> list[tuple[str, str, dict[str, Any]]]:
    out = []
    if (head := table.get("job")) is not None:
        with at("job"):
            given = "name" in head
            name = jobtables.name_of(head, "job") if given else str(state.job.get("name") or stem)
            values = jobtables.job(head, known)
        if _differ(state.job, {**values, "name": name}):
            out.append(("job", name, values))
    units = table.get("settings", {}).get("units")
    if units is not None and state.job.get("units") != units:
        out.append(("setting", "units", {"value": units}))
    return out


def _list(what: str, table: Mapping[str, Any], known: Known, state: State) -> list[tuple[str, str, dict[str, Any]]]:
    shelf: Mapping[str, Named] = {
        "space": state.spaces, "piece": state.pieces, "label": state.labels,
        "tin": state.tins, "task": state.plans,
    }[what]  # fmt: skip
    names = _task_names(table) if what == "task" else []
    counts: dict[str, int] = {}
    out = []
    for i, row in enumerate(table.get(what, [])):
        with at(what, i):
            values = _LISTS[what](row, known)
        if what == "tin":
            counts[values["label"]] = counts.get(values["label"], 0) + 1
            name = f"{values['label']}#{counts[values['label']]}"
        else:
            name = names[i] if what == "task" else str(row["name"])
        before = shelf.get(name)
        if before is None or _differ(before.values, values):
            out.append((what, name, values))
    return out


def _differ(before: Mapping[str, Any], values: Mapping[str, Any]) -> bool:
    return any(before.get(key) != value for key, value in values.items())
