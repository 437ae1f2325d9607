"""The journal as it stands: one row an event, with its amends carried out and its undos marked.

Worked out from ``events`` within the transaction that adds to them, so the two always agree, and
so that a day, a piece or a kind is found without reading the rest.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from assistant.journal import rows
from assistant.journal.events import Amend, Event, Undo, amended, check_changes
from assistant.journal.schema import CHECKPOINT, CORRECTIONS, EVENTS, STANDING
from assistant.journal.state import Entry, entries, taken_back

#: A correction is an event about events; it does not stand for itself.
CORRECTION_KINDS: Final = (Undo.kind, Amend.kind)

_ENTRY: Final = f"""SELECT e.id, e.kind, coalesce(s.amended, e.body), s.amended IS NOT NULL, s.undone
    FROM {STANDING} s JOIN {EVENTS} e ON e.id = s.id"""
#: What was said of the events in a JSON list, what was said of that, and so on.
_ABOUT: Final = f"""WITH RECURSIVE about(id) AS (SELECT value FROM json_each(?) UNION
    SELECT c."by" FROM {CORRECTIONS} c JOIN about ON c."of" = about.id)
    SELECT e.id, e.kind, e.body FROM about JOIN {EVENTS} e ON e.id = about.id ORDER BY e.id"""
#: The events that the corrections in a JSON list speak of in the end.
_MEANT: Final = f"""WITH RECURSIVE meant(id) AS (SELECT value FROM json_each(?) UNION
    SELECT c."of" FROM {CORRECTIONS} c JOIN meant ON c."by" = meant.id)
    SELECT s.id FROM meant JOIN {STANDING} s ON s.id = meant.id"""


class Misfit(ValueError):
    """An event that cannot be taken in; ``number`` is the one it has or would have had."""

    def __init__(self, number: int, reason: str) -> None:
        super().__init__(reason)
        self.number = number


def add(db: sqlite3.Connection, events: Sequence[Event]) -> int | None:
    """Enter ``events``, just inserted; give the oldest event that they correct, or None.

    ``Misfit`` if a correction speaks of nothing or cannot be carried out.
    """
    db.executemany(
        f"INSERT INTO {STANDING} (id, kind, piece, at, amended, undone) VALUES (?, ?, ?, ?, NULL, 0)",
        [
            (e.id, e.kind, getattr(e, "piece", None), rows.microseconds(e.at))
            for e in events
            if e.kind not in CORRECTION_KINDS
        ],
    )
    said = [e for e in events if isinstance(e, Undo | Amend)]
    if not said:
        return None
    for correction in said:
        try:
            _check(db, correction)
        except ValueError as error:
            raise Misfit(correction.id, str(error)) from None
    db.executemany(
        f'INSERT OR IGNORE INTO {CORRECTIONS} ("of", "by") VALUES (?, ?)',
        [(target, c.id) for c in said for target in (c.of if isinstance(c, Undo) else (c.of,))],
    )
    return _correct(db, [c.id for c in said])


def _check(db: sqlite3.Connection, correction: Undo | Amend) -> None:
    targets = correction.of if isinstance(correction, Undo) else (correction.of,)
    if not targets:
        raise ValueError("an undo must say of what")
    for target in targets:
        found = db.execute(f"SELECT id, kind, body FROM {EVENTS} WHERE id = ?", (target,)).fetchone()
        if found is None or target >= correction.id:
            raise ValueError(f"there is no event {target} to correct")
        if isinstance(correction, Amend):
            if found[1] in CORRECTION_KINDS:
                raise ValueError(f"event {target} is itself a correction: undo it instead")
            # Fields are amended each for itself, so what fits the event as it was said fits it always.
            if not correction.changes:
                raise ValueError("an amend must say what changes")
            told = rows.decode(*found)
            check_changes(told, correction.changes)
            rows.encode(amended(told, correction.changes), target)


def _correct(db: sqlite3.Connection, numbers: list[int]) -> int | None:
    meant = [n for (n,) in db.execute(_MEANT, (json.dumps(numbers),))]
    about = [rows.decode(*row) for row in db.execute(_ABOUT, (json.dumps(meant),))]
    changed = set(meant)
    updates = []
    for event, corrected, undone in entries(about):
        if event.id in changed:
            body = rows.encode(event, event.id)[0][2] if corrected else None
            piece = getattr(event, "piece", None)
            updates.append((piece, rows.microseconds(event.at), body, int(undone), event.id))
    db.executemany(f"UPDATE {STANDING} SET piece = ?, at = ?, amended = ?, undone = ? WHERE id = ?", updates)
    return min(meant, default=None)


def rebuild(db: sqlite3.Connection) -> None:
    """Work everything out anew from the events, inside a transaction of the caller's."""
    for table in (CHECKPOINT, CORRECTIONS, STANDING):
        db.execute(f"DELETE FROM {table}")
    add(db, [rows.decode(*row) for row in db.execute(f"SELECT id, kind, body FROM {EVENTS} ORDER BY id")])


def covers(db: sqlite3.Connection, number: int) -> bool:
    """Tell whether event ``number`` has been entered (the last one tells for all)."""
    known = db.execute(
        f"SELECT EXISTS (SELECT 1 FROM {STANDING} WHERE id = ?1) OR EXISTS "
        f'(SELECT 1 FROM {CORRECTIONS} WHERE "by" = ?1)',
        (number,),
    ).fetchone()
    return number == 0 or bool(known[0])


def since(db: sqlite3.Connection, number: int) -> list[Event]:
    """Give what stands of the events after ``number``, in journal order."""
    found = db.execute(f"{_ENTRY} WHERE s.id > ? AND s.undone = 0 ORDER BY s.id", (number,))
    return [rows.decode(n, kind, body) for n, kind, body, _, _ in found]


def between(db: sqlite3.Connection, start: datetime, end: datetime) -> list[Entry]:
    """Give every event that happened from ``start`` to before ``end``, undone ones too, as told."""
    times = (rows.microseconds(start), rows.microseconds(end))
    return list(_entries(db.execute(f"{_ENTRY} WHERE s.at >= ? AND s.at < ? ORDER BY s.id", times)))


def one(db: sqlite3.Connection, number: int) -> Entry | None:
    """Give event ``number`` as it stands; None if there is none or it is a correction."""
    return next(_entries(db.execute(f"{_ENTRY} WHERE s.id = ?", (number,))), None)


def correction(db: sqlite3.Connection, number: int) -> Event | None:
    """Give the undo or amend of that number; None if there is none or it was itself undone."""
    about = [rows.decode(*row) for row in db.execute(_ABOUT, (json.dumps([number]),))]
    found = next((e for e in about if e.id == number and e.kind in CORRECTION_KINDS), None)
    return None if number in taken_back(about) else found


def latest(db: sqlite3.Connection, kind: str | None, piece: str | None, limit: int) -> list[Event]:
    """Give what stands, of that kind and piece if they are given, the last to happen first."""
    where, values = "s.undone = 0", []
    if kind is not None:
        where += " AND s.kind = ?"
        values.append(kind)
    if piece is not None:
        where += " AND s.piece = ?"
        values.append(piece)
    found = db.execute(f"{_ENTRY} WHERE {where} ORDER BY s.at DESC, s.id DESC LIMIT ?", (*values, limit))
    return [entry.event for entry in _entries(found)]


def _entries(found: sqlite3.Cursor) -> Iterator[Entry]:
    for number, kind, body, corrected, undone in found:
        yield Entry(rows.decode(number, kind, body), bool(corrected), bool(undone))
