"""The whole journal as JSON lines, and back.

The first line says what the file is and how many events follow, so that a file that was cut
short is known for one; then one event a line, numbered from 1 without gaps. What is read back
is the same to the byte when it is written out again.
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Final

from assistant.journal import access, rows
from assistant.journal.events import Event, from_json
from assistant.journal.standing import Misfit
from assistant.journal.store import Journal
from assistant.problem import Problem

#: The form of the file; a later one is refused.
FORM: Final = 1
#: Standard output or standard input.
STANDARD: Final = "-"

_NEEDED: Final = ("id", "kind", "at", "said_at")


def export_to(journal: Journal, target: Path | str) -> int:
    """Write every event to ``target`` (``"-"``: standard output) and give how many there were.

    A file is written beside its place and put there whole. ``Problem`` if that cannot be done;
    what was there before is then still there.
    """
    count = journal.state.last_id
    if str(target) == STANDARD:
        out = getattr(sys.stdout, "buffer", None)
        for line in _lines(journal, count):
            if out is None:  # a stand-in for standard output
                sys.stdout.write(line.decode())
            else:
                out.write(line)
        sys.stdout.flush()
        return count
    path = _place(journal, Path(target))
    part = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with access.plainly(path, "nothing was exported"):
            with part.open("wb") as file:
                file.writelines(_lines(journal, count))
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)
    return count


def _place(journal: Journal, target: Path) -> Path:
    path = access.place(target)
    beside = {journal.path.with_name(journal.path.name + end) for end in ("", "-wal", "-shm")}
    if path in beside or (path.exists() and path.samefile(journal.path)):
        raise Problem(f"{target} is the journal itself: export to another file")
    return path


def _lines(journal: Journal, count: int) -> Iterator[bytes]:
    yield (json.dumps({"dabhand": FORM, "events": count}) + "\n").encode()
    for row in journal.rows(1, count):
        yield (rows.line(row) + "\n").encode()


def import_from(journal: Journal, source: Path | str) -> int:
    """Put the events of an export (``"-"``: standard input) into ``journal``; give how many were new.

    The journal must be empty or hold the same events from the first on; those are passed over.
    ``Problem``, naming the line, for anything else; nothing is changed then.
    """
    name = "standard input" if str(source) == STANDARD else str(source)
    lines = _read(source)
    count = _heading(lines[0], name)
    if len(lines) - 1 != count:
        state = "has been cut short" if len(lines) - 1 < count else "has lines too many"
        raise Problem(
            f"{name} {state}: it should have {count} events and has {len(lines) - 1}; "
            "nothing was imported, export it again"
        )
    head = journal.state.last_id
    events = [_event(line, number, name) for number, line in enumerate(lines[1:], 1)]
    for event, row in zip(events, journal.rows(1, min(head, count)), strict=False):
        if not _is(event, row):
            raise Problem(
                f"{name} line {event.id + 1}: event {event.id} is another in the journal; nothing was "
                "imported, import into a new journal (--job)"
            )
    if count <= head:
        return 0
    try:
        return len(journal.commit(events[head:], after=head))
    except Misfit as error:
        raise Problem(f"{name} line {error.number + 1}: {error}; nothing was imported") from None


def _is(event: Event, row: rows.Row) -> bool:
    try:
        return rows.encode(event, event.id)[0] == rows.encode(rows.decode(*row), event.id)[0]
    except ValueError:  # it cannot be written down, so it is not
        return False


def _read(source: Path | str) -> list[str]:
    if str(source) == STANDARD:
        buffer = getattr(sys.stdin, "buffer", None)
        data: bytes = buffer.read() if buffer else sys.stdin.read().encode()
    else:
        try:
            data = Path(source).read_bytes()
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or error
            raise Problem(f"{str(source)[:200]} cannot be read ({reason}): nothing was imported") from None
    out = []
    for number, line in enumerate(data.removeprefix(b"\xef\xbb\xbf").rstrip().split(b"\n"), 1):
        try:
            out.append(line.decode())
        except UnicodeDecodeError:
            raise Problem(f"{source} line {number} is not UTF-8 text: nothing was imported") from None
    return out


def _heading(line: str, name: str) -> int:
    try:
        heading = rows.parse(line)
        form, count = heading["dabhand"], heading["events"]
        if type(form) is not int or type(count) is not int or form < 1 or count < 0:
            raise ValueError(line)
    except (ValueError, KeyError):
        raise Problem(f"{name} is not an export of dabhand (line 1 does not say so): nothing was imported") from None
    if form > FORM:
        raise Problem(f"{name} was written by a later dabhand (form {form}): update dabhand to import it")
    return count


def _event(line: str, number: int, name: str) -> Event:
    try:
        data = rows.parse(line)
        missing = [key for key in _NEEDED if key not in data]
        if missing:
            raise ValueError(f"it has no {', '.join(missing)}")
        if data["id"] != number:
            raise ValueError(f"it is event {data['id']}, and {number} was to come")
        event = from_json(data)
    except json.JSONDecodeError as error:
        raise Problem(f"{name} line {number + 1} is not JSON ({error.msg}): nothing was imported") from None
    except ValueError as error:
        raise Problem(f"{name} line {number + 1}: {error}; nothing was imported") from None
    return event
