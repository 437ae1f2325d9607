"""The journal: an append-only SQLite file of events, and the state they add up to.

What ``append`` has returned is on the disk (``synchronous=FULL``: the commit waits for it), and
nothing of it is when ``append`` raised. Nothing is ever changed or deleted; a correction is an
event too. Several processes may have the same journal open: each notices what the others added.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Final

from assistant.journal import access, checkpoint, rows, schema, standing
from assistant.journal.events import Event, check
from assistant.journal.schema import EVENTS, TALK
from assistant.journal.state import KEEP_RECENT, Entry, State, extend, state_of
from assistant.problem import Problem

#: How many events apart states are kept (see ``checkpoint``).
EVERY: Final = 128
#: A tail longer than this is folded once, then kept.
_LONG: Final = 1024
_PAGE: Final = 500


#: Gives what the talk is about once events have their numbers.
Talk = Callable[[list[Event]], dict[str, Any]]


class Journal:
    """A job's journal. Get one from :meth:`open`; use it in one thread."""

    def __init__(self, path: Path, connection: sqlite3.Connection, every: int = EVERY) -> None:
        self.path = path
        self._db = connection
        self._every = every
        self._state: State | None = None  # None: to be read from the file
        self._seen = -1  # what others had committed when the state was read

    @classmethod
    def open(cls, path: Path, *, create: bool = True, every: int = EVERY) -> Journal:
        """Open the journal at ``path``, or make an empty one if there is none and ``create``.

        ``every`` is how many events apart states are kept. ``Problem`` for everything that is not
        a whole journal of ours that can be written to; nothing is written then.
        """
        full = access.place(path)
        with access.plainly(full):
            if not full.exists():
                if not create:
                    raise Problem(f"there is no journal at {path}: name another file with --job")
                schema.create(full)
            access.inspect(full)
            journal = cls(full, access.connect(full), every)
        try:
            _ = journal.state
        except BaseException:
            journal.close()
            raise
        return journal

    def close(self) -> None:
        """Close the file. What was appended is safe without it."""
        self._db.close()

    def __enter__(self) -> Journal:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # -- what is said --------------------------------------------------------------------------------

    def append(self, events: Sequence[Event], *, talk: Talk | None = None) -> list[Event]:
        """Commit ``events`` in one transaction, all or none, and give them with their ids.

        They come back as they will be read from the file (a time keeps its offset, not the name of
        its zone). What ``talk`` makes of them is kept as by :meth:`remember`, in the same transaction,
        so that "scratch that" after a power cut means the right thing. ``Problem`` if an event cannot be
        written down or corrects what is not there, if the disk is full or another program has the file.
        """
        try:
            return self.commit(events, talk=talk)
        except standing.Misfit as error:
            raise Problem(f"nothing was logged: {error}") from None

    def commit(self, events: Sequence[Event], *, talk: Talk | None = None, after: int | None = None) -> list[Event]:
        """Do as :meth:`append`, but raise ``standing.Misfit`` for an event that cannot be taken.

        With ``after`` it is a ``Problem`` if the last event in the journal is another.
        """
        with self._writing("nothing was logged"):
            state = self.state
            self._state = None  # until it is certain what is in the file
            head = state.last_id
            if after is not None and head != after:
                raise Problem(f"another program is adding to {self.path}: close it and say it again")
            written = self._insert(events, head)
            oldest = standing.add(self._db, written)
            if oldest is not None:
                checkpoint.drop_from(self._db, oldest)
            elif checkpoint.is_due(self._db, head, self._every):
                checkpoint.save(self._db, state, head, self._every)
            if talk is not None:
                self._put_talk(_talk_body(talk(list(written))))
        if oldest is None:
            extend(state, written)
            self._state = state
        return written

    def _insert(self, events: Sequence[Event], head: int) -> list[Event]:
        table, written = [], []
        for number, event in enumerate(events, head + 1):
            try:
                check(event)
                row, stored = rows.encode(event, number)
            except ValueError as error:
                raise standing.Misfit(number, str(error)) from None
            table.append(row)
            written.append(stored)
        self._db.executemany(f"INSERT INTO {EVENTS} (id, kind, body) VALUES (?, ?, ?)", table)
        return written

    # -- what stands ---------------------------------------------------------------------------------

    @property
    def state(self) -> State:
        """The job as it stands: ``state_of`` all events. To be read; a what-if copies it first."""
        with self._reading():
            return self._caught_up()

    def get(self, number: int) -> Event | None:
        """Give event ``number`` as it stands, amends carried out; None if there is none or it was undone."""
        with self._reading():
            found = standing.one(self._db, number)
            if found is None:
                return standing.correction(self._db, number)
        return None if found.undone else found.event

    def entry(self, number: int) -> Entry | None:
        """Give event ``number`` and whether it was corrected or undone; None for an undo or amend."""
        with self._reading():
            return standing.one(self._db, number)

    def between(self, start: datetime, end: datetime) -> list[Event]:
        """Give what stands and happened from ``start`` to before ``end``, in the order it happened.

        The time that counts is the amended one.
        """
        found = [entry.event for entry in self.history(start, end) if not entry.undone]
        return sorted(found, key=lambda event: event.at)

    def history(self, start: datetime, end: datetime) -> list[Entry]:
        """Give the same events and the undone ones, in the order they were told, with what became of each."""
        with self._reading():
            return standing.between(self._db, start, end)

    def search(self, kind: str | None = None, piece: str | None = None, limit: int = 20) -> list[Event]:
        """Give what stands, of that kind and piece if they are given, the last to happen first."""
        with self._reading():
            return standing.latest(self._db, kind, piece, limit)

    def events(self, start_id: int = 1, end_id: int | None = None) -> Iterator[Event]:
        """Give the events as committed, corrections among them, by id from ``start_id`` to ``end_id``."""
        for number, kind, body in self.rows(start_id, end_id):
            with self._reading():
                event = rows.decode(number, kind, body)
            yield event

    def rows(self, start_id: int = 1, end_id: int | None = None) -> Iterator[rows.Row]:
        """Give the same as rows. The file is not held between them."""
        query = f"SELECT id, kind, body FROM {EVENTS} WHERE id BETWEEN ? AND ? ORDER BY id LIMIT {_PAGE}"
        last = 2**63 - 1 if end_id is None else end_id
        while True:
            with self._reading():
                page = self._db.execute(query, (start_id, last)).fetchall()
            yield from page
            if len(page) < _PAGE:
                return
            start_id = page[-1][0] + 1

    # -- what was talked about -----------------------------------------------------------------------

    def recall(self) -> dict[str, Any]:
        """Give what :meth:`remember` kept last; empty if nothing was or it cannot be read."""
        with self._reading():
            found = self._db.execute(f"SELECT body FROM {TALK} WHERE one = 1").fetchone()
        try:
            return rows.parse(found[0]) if found else {}
        except ValueError:
            return {}

    def remember(self, talk: dict[str, Any]) -> None:
        """Keep what the talk is about (JSON), in place of what was kept before.

        It is no part of the journal, and not worth waiting for the disk: a power cut may lose it.
        """
        body = _talk_body(talk)
        with access.plainly(self.path):
            self._db.execute("PRAGMA synchronous = NORMAL")
            try:
                with self._writing("the talk was not kept"):
                    self._put_talk(body)
            finally:
                self._db.execute("PRAGMA synchronous = FULL")

    def _put_talk(self, body: str) -> None:
        self._db.execute(f"INSERT OR REPLACE INTO {TALK} (one, body) VALUES (1, ?)", (body,))

    # -- looking after the file ----------------------------------------------------------------------

    def check(self) -> list[str]:
        """Look the whole file over and say what is wrong with it, a line each; empty if nothing is."""
        with self._reading():
            found = [str(line) for (line,) in self._db.execute("PRAGMA quick_check(5)") if line != "ok"]
            if not found and self.state != state_of(self.events()):
                found.append("the state kept is not the one that the events add up to: `rebuild` mends it")
        return found

    def rebuild(self) -> None:
        """Work out anew everything that follows from the events."""
        with self._writing("nothing was changed"):
            standing.rebuild(self._db)
        self._state = None

    def _caught_up(self) -> State:
        """Give the state with what other processes have added meanwhile."""
        version = self._db.execute("PRAGMA data_version").fetchone()[0]
        state = self._state
        if state is not None and version != self._seen:
            found = self._db.execute(
                f"SELECT id, kind, body FROM {EVENTS} WHERE id > ? ORDER BY id", (state.last_id,)
            ).fetchall()
            if len(found) > _LONG or any(kind in standing.CORRECTION_KINDS for _, kind, _ in found):
                state = None
            else:
                extend(state, [rows.decode(*row) for row in found])
        if state is None:
            state = self._load()
        self._state, self._seen = state, version
        return state

    def _load(self) -> State:
        with self._snapshot():
            head = self._db.execute(f"SELECT coalesce(max(id), 0) FROM {EVENTS}").fetchone()[0]
            whole = standing.covers(self._db, head)
            base, state = checkpoint.newest(self._db) or (0, State())
            tail = standing.since(self._db, base)
            extend(state, tail)
            recent = range(max(head - KEEP_RECENT, 0) + 1, head + 1)
            state.recent = tuple(self.events(recent.start, head)) if recent else ()
            state.last_id = head
        if not whole:  # another program put events in by hand
            if self._db.in_transaction:
                standing.rebuild(self._db)
            else:
                self.rebuild()
            return self._load()
        if len(tail) > _LONG and not self._db.in_transaction:
            self._keep(state)
        return state

    def _keep(self, state: State) -> None:
        """Keep a state that was long to fold, unless somebody is writing: it only saves time."""
        with suppress(sqlite3.Error):
            self._db.execute("PRAGMA busy_timeout = 0")
            try:
                self._db.execute("BEGIN IMMEDIATE")
                last = self._db.execute(f"SELECT max(id) FROM {EVENTS}").fetchone()[0]
                if last == state.last_id:
                    checkpoint.save(self._db, state, state.last_id, self._every)
                self._db.execute("COMMIT")
            finally:
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                self._db.execute(f"PRAGMA busy_timeout = {int(access.PATIENCE * 1000)}")

    @contextmanager
    def _reading(self) -> Iterator[None]:
        with access.plainly(self.path):
            try:
                yield
            except ValueError as error:  # a row that no dabhand wrote
                raise Problem(f"{self.path} is damaged ({error}): restore the last export") from error

    @contextmanager
    def _snapshot(self) -> Iterator[None]:
        """Read everything within from one moment."""
        if self._db.in_transaction:
            yield
            return
        self._db.execute("BEGIN")
        try:
            yield
        finally:
            self._db.execute("COMMIT")

    @contextmanager
    def _writing(self, lost: str) -> Iterator[None]:
        """Commit everything within, or nothing; ``lost`` says in the ``Problem`` what that means."""
        with access.plainly(self.path, lost):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield
                self._db.execute("COMMIT")
            except BaseException:
                with suppress(sqlite3.Error):  # SQLite may have rolled back of itself
                    self._db.execute("ROLLBACK")
                raise


def _talk_body(talk: dict[str, Any]) -> str:
    try:
        return json.dumps(talk, allow_nan=False, separators=(",", ":"))
    except (TypeError, ValueError) as error:
        raise Problem(f"the talk cannot be kept: {error}") from None
