"""States kept in the journal file, so that opening a long journal does not fold it all again.

Not the truth: a checkpoint of another version of the fold, a damaged one or none at all only
costs time. A few are kept, each an eighth as far back as the next, so that a correction of
something older throws away only the newer ones.
"""

from __future__ import annotations

import json
import sqlite3
import zlib
from collections.abc import Callable
from dataclasses import fields
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any, Final

from assistant.journal import corrections as corrections_module
from assistant.journal import events as events_module
from assistant.journal import kinds as kinds_module
from assistant.journal import state as state_module
from assistant.journal.events import KINDS, Event
from assistant.journal.schema import CHECKPOINT
from assistant.journal.state import SHELVES, Named, State, Word
from assistant.quantity import Amount

#: Raise it when the form of a checkpoint changes; a change of the fold itself is noticed.
FORM: Final = 2


@cache
def version() -> str:
    """Give what a checkpoint must carry to be of this fold: a sum over its source."""
    total = FORM
    for module in (kinds_module, events_module, corrections_module, state_module):
        try:
            total = zlib.crc32(Path(str(module.__file__)).read_bytes(), total)
        except OSError:  # installed without source: the form must do
            continue
    return f"{total:08x}"


def dump(state: State) -> dict[str, str]:
    """Give each shelf of ``state`` as JSON. ``recent`` and ``last_id`` are on none."""
    out = {}
    for shelf, names in SHELVES.items():
        kept = state.folded.get(shelf)
        if kept is not None and isinstance(kept[0], _Folded) and not kept[1]:
            out[shelf] = kept[0].text  # not even looked at since it was read
        else:
            data = {name: getattr(state, name) for name in names}
            out[shelf] = json.dumps(data, default=_plain, ensure_ascii=False, separators=(",", ":"))
    return out


def load(shelves: dict[str, str]) -> State:
    """Give the state that :func:`dump` wrote; each shelf is read when it is first looked at."""
    state = State.__new__(State)
    state.folded = {shelf: (_Folded(shelves[shelf]), []) for shelf in SHELVES}
    state.recent, state.last_id = (), 0
    return state


class _Folded:
    """A shelf as text; called, it puts it into the state."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __call__(self, state: State) -> None:
        for name, value in json.loads(self.text).items():
            setattr(state, name, _READERS[name](value))


def newest(db: sqlite3.Connection) -> tuple[int, State] | None:
    """Give the newest sound checkpoint: the number of the last event in it, and the state."""
    bases = db.execute(f"SELECT DISTINCT base FROM {CHECKPOINT} ORDER BY base DESC").fetchall()
    for (base,) in bases:
        shelves: dict[str, str] = {
            shelf: body
            for shelf, written_by, crc, body in db.execute(
                f"SELECT shelf, version, crc, body FROM {CHECKPOINT} WHERE base = ?", (base,)
            )
            if written_by == version() and zlib.crc32(body.encode()) == crc
        }
        if shelves.keys() >= SHELVES.keys():
            return base, load(shelves)
    return None


def is_due(db: sqlite3.Connection, head: int, every: int) -> bool:
    """Tell whether the newest checkpoint of this fold lies ``every`` events or more behind ``head``."""
    newest_row = db.execute(f"SELECT base, version FROM {CHECKPOINT} ORDER BY base DESC LIMIT 1").fetchone()
    base = newest_row[0] if newest_row and newest_row[1] == version() else 0
    return bool(head - base >= every)


def save(db: sqlite3.Connection, state: State, base: int, every: int) -> None:
    """Keep ``state``, the fold of what stands of the events up to ``base``; thin out the older.

    ``every`` is how many events apart checkpoints are made. Inside a transaction of the caller's.
    """
    db.execute(f"DELETE FROM {CHECKPOINT} WHERE version != ?", (version(),))
    db.executemany(
        f"INSERT OR REPLACE INTO {CHECKPOINT} (base, shelf, version, crc, body) VALUES (?, ?, ?, ?, ?)",
        [(base, shelf, version(), zlib.crc32(body.encode()), body) for shelf, body in dump(state).items()],
    )
    bases = [b for (b,) in db.execute(f"SELECT DISTINCT base FROM {CHECKPOINT} ORDER BY base")]
    spare = [(b,) for b in bases if b not in _kept(bases, every)]
    db.executemany(f"DELETE FROM {CHECKPOINT} WHERE base = ?", spare)


def _kept(bases: list[int], every: int) -> set[int]:
    """Give the newest two, and the oldest of each distance; distances grow eightfold."""
    kept = set(bases[-2:])
    distances = set()
    for base in bases:
        distance = (max(bases[-1] - base, 1) // every).bit_length() // 3
        if distance not in distances:
            distances.add(distance)
            kept.add(base)
    return kept


def drop_from(db: sqlite3.Connection, number: int) -> None:
    """Throw away every checkpoint that event ``number`` is in: something about it changed."""
    db.execute(f"DELETE FROM {CHECKPOINT} WHERE base >= ?", (number,))


# Within a shelf an event is a list, its kind and then its fields in their order: a third of the
# length of the public form, and as much faster to read. Tuples, amounts too, are lists in JSON.


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, Event):
        return (value.kind, *[getattr(value, name) for name in _fields(value.kind)])
    if isinstance(value, Named):
        return value.values
    if isinstance(value, Word):
        return (value.means, value.of)
    raise TypeError(f"a state holds no {type(value).__name__}")


@cache
def _fields(kind: str) -> dict[str, Callable[[Any], Any] | None]:
    """Give the fields of a kind of event, and how each is read where JSON does not give it as it was."""
    return {f.name: _FIELD_READERS.get(str(f.type).removesuffix(" | None")) for f in fields(KINDS[kind])}


def _event(packed: list[Any]) -> Event:
    kind = packed[0]
    values = {
        name: read(value) if read and value is not None else value
        for (name, read), value in zip(_fields(kind).items(), packed[1:], strict=True)
    }
    return KINDS[kind](**values)


def _parts(value: list[Any]) -> tuple[tuple[str, Amount], ...]:
    return tuple((name, Amount._make(amount)) for name, amount in value)


def _window(value: list[str]) -> tuple[datetime, datetime]:
    return datetime.fromisoformat(value[0]), datetime.fromisoformat(value[1])


def _as_is(value: Any) -> Any:
    return value


def _things(value: dict[str, dict[str, Any]]) -> dict[str, Named]:
    return {name: Named(name, values) for name, values in value.items()}


def _words(value: dict[str, list[str]]) -> dict[str, Word]:
    return {name: Word(name, means, of) for name, (means, of) in value.items()}


def _events(value: list[list[Any]]) -> tuple[Event, ...]:
    return tuple([_event(v) for v in value])


def _events_by_name(value: dict[str, list[list[Any]]]) -> dict[str, tuple[Event, ...]]:
    return {name: _events(listed) for name, listed in value.items()}


def _event_by_name(value: dict[str, list[Any]]) -> dict[str, Event]:
    return {name: _event(v) for name, v in value.items()}


_FIELD_READERS: Final[dict[str, Callable[[Any], Any]]] = {
    "datetime": datetime.fromisoformat,
    "tuple[datetime, datetime]": _window,
    "Amount": Amount._make,
    "tuple[float, ...]": tuple,
    "tuple[tuple[str, Amount], ...]": _parts,
    "tuple[int, ...]": tuple,
}
_READERS: Final[dict[str, Callable[[Any], Any]]] = {
    "job": _as_is, "spaces": _things, "pieces": _things, "labels": _things, "tins": _things, "plans": _things,
    "tasks": _events, "work": _events_by_name, "coats": _as_is, "climate": _events, "mixes": _events,
    "stock": _events, "totals": _as_is, "gear": _event_by_name, "hours": _events_by_name, "notes": _as_is,
    "words": _words, "unread": _events,
}  # fmt: skip
