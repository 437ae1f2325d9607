"""The way to a journal file: looked at before it is opened, and every refusal in plain words.

The header is read as bytes first (https://www.sqlite.org/fileformat2.html, section 1.3), because
SQLite may already write beside a file that it only opens, and a file of another program is none
of our business.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from assistant.journal import schema
from assistant.problem import Problem

#: How long to wait for another program that is writing, in seconds.
PATIENCE: Final = 10.0

_FULL: Final = (errno.ENOSPC, errno.EDQUOT) if hasattr(errno, "EDQUOT") else (errno.ENOSPC,)
_FORBIDDEN: Final = (errno.EPERM, errno.EACCES, errno.EROFS)
_MAGIC: Final = b"SQLite format 3\x00"
_HEADER: Final = 100
_ROOM: Final = 65536  # bytes: two pages of shared memory
_RESTORE: Final = "move it away and restore the last export with `dabhand import FILE`"


def place(path: Path) -> Path:
    """Give ``path`` absolute; ``Problem`` if there is no folder for it or it is no plain file."""
    try:
        full = path.expanduser().absolute()  # absolute, or SQLite takes ":memory:" for itself
        mode = _mode(full)
        folder = mode is not None or full.parent.is_dir()
    except PermissionError as error:
        raise refusal(path, error) from None
    except (OSError, ValueError, RuntimeError) as error:
        name, reason = str(path)[:80], getattr(error, "strerror", None) or error
        raise Problem(f"{name!r} is no name for a journal ({reason}): choose another with --job") from None
    if mode is not None and stat.S_ISDIR(mode):
        raise Problem(f"{path} is a folder: name a file in it, such as {path / 'job.sqlite'}")
    if mode is not None and not stat.S_ISREG(mode):
        raise Problem(f"{path} is not a plain file: choose another with --job")
    if not folder:
        raise Problem(f"there is no folder {full.parent}: make it first, or choose another file with --job")
    return full


def _mode(path: Path) -> int | None:
    try:
        return path.stat().st_mode
    except (FileNotFoundError, NotADirectoryError):
        return None


def inspect(path: Path) -> None:
    """Refuse, with a ``Problem``, what is not a whole journal of ours that can be written to."""
    with plainly(path), path.open("rb") as file:
        header = file.read(_HEADER)
        size = os.fstat(file.fileno()).st_size
    if not header:
        raise Problem(f"{path} is empty (0 bytes), not a journal: delete it to start anew, or {_RESTORE}")
    if header[: len(_MAGIC)] != _MAGIC[: len(header)]:
        raise Problem(f"{path} is not a journal of dabhand: choose another file with --job")
    if len(header) < _HEADER:
        raise Problem(f"{path} has been cut short ({size} bytes are left): {_RESTORE}")
    if int.from_bytes(header[68:72], "big") != schema.APPLICATION_ID:
        raise Problem(f"{path} is a SQLite file of another program, not a journal of dabhand: choose another")
    form = int.from_bytes(header[60:64], "big")
    if form > schema.FORMAT:
        raise Problem(f"{path} was written by a later dabhand (form {form}, known {schema.FORMAT}): update dabhand")
    _refuse_short(path, header, size)
    if not os.access(path, os.W_OK) or not os.access(path.parent, os.W_OK):
        raise Problem(f"{path} may not be written to: allow writing to it and to its folder, or copy it and use --job")


def _refuse_short(path: Path, header: bytes, size: int) -> None:
    log = path.with_name(path.name + "-wal")
    if log.exists() and log.stat().st_size:
        return  # the newest pages are in there, and SQLite knows how many there should be
    page = int.from_bytes(header[16:18], "big")
    whole = (65536 if page == 1 else page) * int.from_bytes(header[28:32], "big")
    if size < whole:
        raise Problem(f"{path} has been cut short ({size} of {whole} bytes are left): {_RESTORE}")


def connect(path: Path) -> sqlite3.Connection:
    """Open a journal that :func:`inspect` let pass. Transactions are begun and ended by hand."""
    if sqlite3.sqlite_version_info < (3, 37):
        raise Problem(f"SQLite {sqlite3.sqlite_version} is too old for a journal: 3.37 or later is needed")
    connection = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
    try:
        for pragma in ("synchronous = FULL", "recursive_triggers = ON", "foreign_keys = ON"):
            connection.execute(f"PRAGMA {pragma}")
        connection.execute("PRAGMA journal_mode = WAL")
        found = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        names = {name for (name,) in found}
        if not {schema.EVENTS, schema.TALK} <= names:
            raise Problem(f"{path} is damaged (tables are missing): {_RESTORE}")
        if not set(schema.DERIVED) <= names:
            schema.create_derived(connection)
    except BaseException:
        connection.close()
        raise
    return connection


@contextmanager
def plainly(path: Path, lost: str = "") -> Iterator[None]:
    """Turn what SQLite and the disk say into a ``Problem``; ``lost`` says what did not happen."""
    try:
        yield
    except (sqlite3.Error, OSError) as error:
        raise refusal(path, error, lost) from error


def refusal(path: Path, error: Exception, lost: str = "") -> Problem:
    """Say in one line what went wrong with the journal at ``path`` and what to do about it."""
    code = getattr(error, "sqlite_errorcode", None)
    kind = code & 0xFF if isinstance(code, int) else None
    number = getattr(error, "errno", None)
    nothing = f" ({lost})" if lost else ""
    # Where its shared memory cannot grow, SQLite speaks of a failed disk and means a full one.
    failed = kind == sqlite3.SQLITE_IOERR or isinstance(error, OSError)
    if kind == sqlite3.SQLITE_FULL or number in _FULL or (failed and not _has_room(path.parent)):
        return Problem(f"the disk is full{nothing}: make room beside {path} and say it again")
    if kind in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return Problem(f"another program keeps {path} to itself{nothing}: close it and say it again")
    if kind in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return Problem(f"{path} is damaged or has been cut short{nothing}: {_RESTORE}")
    if kind in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM) or number in _FORBIDDEN:
        return Problem(f"{path} may not be read or written{nothing}: allow it, or copy it and use --job")
    if kind == sqlite3.SQLITE_CANTOPEN:
        return Problem(f"{path} cannot be opened{nothing}: see that it and its folder may be written to")
    if failed:
        return Problem(f"the disk failed with {path}{nothing}: {error}; see that it has room and is whole")
    return Problem(f"{path} could not be used{nothing}: {error}; `dabhand doctor` looks it over")


def _has_room(folder: Path) -> bool:
    from shutil import disk_usage

    try:
        return disk_usage(folder).free >= _ROOM
    except OSError:
        return True
