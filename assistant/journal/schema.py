"""The tables of a journal file, and their making.

``events`` is the truth and can only grow: triggers see to it. ``standing``, ``corrections`` and
``checkpoint`` are worked out from it and may be dropped at any time; ``talk`` is what the
conversation was about, which is no part of the journal.

Making the tables is left to sqlite-utils, which takes 190 ms to import: a journal that exists
is opened without it.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
from pathlib import Path
from typing import TYPE_CHECKING, Final

from assistant.problem import Problem

if TYPE_CHECKING:
    from sqlite_utils import Database

#: "DABH" in the file's header tells a journal from any other SQLite file.
APPLICATION_ID: Final = 0x44414248
#: The form of the tables; a journal of a later one is refused.
FORMAT: Final = 1

EVENTS: Final = "events"
STANDING: Final = "standing"
CORRECTIONS: Final = "corrections"
CHECKPOINT: Final = "checkpoint"
TALK: Final = "talk"
#: What can be worked out again, in the order in which foreign keys let it be dropped.
DERIVED: Final = (CHECKPOINT, CORRECTIONS, STANDING)
TABLES: Final = (EVENTS, TALK, *DERIVED)

#: BEFORE INSERT runs before REPLACE takes the old row away, so it stops that too, even in a
#: program that opens the file without recursive_triggers.
_TRIGGERS: Final = (
    f"""CREATE TRIGGER {EVENTS}_keep_update BEFORE UPDATE ON {EVENTS}
        BEGIN SELECT RAISE(ABORT, 'a journal is never changed: correct it with a new event'); END""",
    f"""CREATE TRIGGER {EVENTS}_keep_delete BEFORE DELETE ON {EVENTS}
        BEGIN SELECT RAISE(ABORT, 'a journal is never cut: take it back with a new event'); END""",
    f"""CREATE TRIGGER {EVENTS}_keep_order BEFORE INSERT ON {EVENTS}
        WHEN NEW.id IS NOT (SELECT coalesce(max(id), 0) + 1 FROM {EVENTS})
        BEGIN SELECT RAISE(ABORT, 'events are numbered one after another'); END""",
)


def create(path: Path) -> None:
    """Make an empty journal at ``path``, or leave alone what another process made there first.

    It is made beside its place and put there whole, so that a crash leaves no half of one.
    """
    part = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        _clear(part)
        _make(part)
        _publish(part, path)
    finally:
        with contextlib.suppress(OSError):
            _clear(part)


def create_derived(connection: sqlite3.Connection) -> None:
    """Make anew the tables that are worked out from the events, empty."""
    import sqlite_utils

    database = sqlite_utils.Database(connection)
    for name in DERIVED:
        database.execute(f"DROP TABLE IF EXISTS {name}")
    _derived(database)


def _make(path: Path) -> None:
    import sqlite_utils

    database = sqlite_utils.Database(path, strict=True)
    try:
        database.enable_wal()
        with database.atomic():
            database.table(EVENTS).create(
                {"id": int, "kind": str, "body": str}, pk="id", not_null=("kind", "body"), strict=True
            )
            for trigger in _TRIGGERS:
                database.execute(trigger)
            database.table(TALK).create({"one": int, "body": str}, pk="one", not_null=("body",), strict=True)
            _derived(database)
            database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            database.execute(f"PRAGMA user_version = {FORMAT}")
    finally:
        database.close()


def _derived(database: Database) -> None:
    # Each event that is no correction, as it stands now: `amended` is its body if that changed,
    # `at` is in microseconds of UTC since 1970.
    standing = database.table(STANDING)
    standing.create(
        {"id": int, "kind": str, "piece": str, "at": int, "amended": str, "undone": int},
        pk="id",
        not_null=("kind", "at", "undone"),
        foreign_keys=[("id", EVENTS, "id")],
        strict=True,
    )
    standing.create_index(["at"])
    standing.create_index(["kind", "at"])
    standing.create_index(["piece", "at", "kind"])
    # Which undo or amend speaks of which event.
    corrections = database.table(CORRECTIONS)
    corrections.create(
        {"of": int, "by": int},
        pk=("of", "by"),
        foreign_keys=[("of", EVENTS, "id"), ("by", EVENTS, "id")],
        strict=True,
    )
    corrections.create_index(["by"])
    # A state as JSON, one row a shelf: the fold of the events up to `base`.
    database.table(CHECKPOINT).create(
        {"base": int, "shelf": str, "version": str, "crc": int, "body": str},
        pk=("base", "shelf"),
        not_null=("version", "crc", "body"),
        strict=True,
    )


def _clear(part: Path) -> None:
    for end in ("", "-journal", "-wal", "-shm"):
        part.with_name(part.name + end).unlink(missing_ok=True)


def _publish(part: Path, path: Path) -> None:
    try:
        os.link(part, path)  # unlike a rename, never onto something that is there
    except FileExistsError:
        return
    except OSError:  # a file system without hard links, as on many sticks
        if path.exists():
            return
        part.rename(path)
    if os.name == "posix":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    if not path.exists():  # pragma: no cover - a folder that vanishes meanwhile
        raise Problem(f"{path} could not be made: choose another place with --job")
