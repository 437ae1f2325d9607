"""Journals that cannot be used: each is one clear line, and the file stays as it was."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from journal_samples import as_nobody, coat, long_journal, note

from assistant.journal import schema
from assistant.journal.state import state_of
from assistant.journal.store import Journal
from assistant.problem import Problem


def refusal(path: Path, **options: bool) -> str:
    """The one line that opening ``path`` gives; it must leave every file beside it as it was."""
    folder = path.parent
    before = {p: p.read_bytes() for p in folder.iterdir() if p.is_file()} if folder.is_dir() else {}
    with pytest.raises(Problem) as refused:
        Journal.open(path, **options)
    after = {p: p.read_bytes() for p in folder.iterdir() if p.is_file()} if folder.is_dir() else {}
    assert after == before
    line = str(refused.value)
    assert "\n" not in line
    assert refused.value.code == 2
    return line


@pytest.fixture
def full(tmp_path: Path) -> Path:
    """A journal with some pages in it."""
    path = tmp_path / "linnet.sqlite"
    with Journal.open(path) as journal:
        journal.append(long_journal(300))
    return path


def test_a_folder_is_refused(tmp_path: Path) -> None:
    """A folder in the journal's place is named as one."""
    assert "is a folder" in refusal(tmp_path)


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    """If the folder that the journal should lie in is missing, the line says which."""
    assert f"no folder {tmp_path / 'boat'}" in refusal(tmp_path / "boat" / "linnet.sqlite")


def test_a_missing_journal_is_not_made_unasked(tmp_path: Path) -> None:
    """A journal that must exist and does not is refused, and none is made."""
    assert "there is no journal" in refusal(tmp_path / "linnet.sqlite", create=False)


@pytest.mark.parametrize("name", ["a\0b", "x" * 3000])
def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path, name: str) -> None:
    """A name with a NUL in it, or one too long, is one line."""
    assert "is no name for a journal" in refusal(tmp_path / name)


def test_a_name_that_sqlite_takes_for_memory_is_a_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A journal called :memory: is a file of that name, not one that is gone at the end."""
    monkeypatch.chdir(tmp_path)
    with Journal.open(Path(":memory:")) as journal:
        journal.append([coat()])
    assert (tmp_path / ":memory:").stat().st_size > 0


@pytest.mark.parametrize("content", [b"a shopping list\n" * 50, b"\x89PNG\r\n\x1a\n", b"S"])
def test_a_file_that_is_not_sqlite_is_refused(tmp_path: Path, content: bytes) -> None:
    """Any other file is refused and not written to."""
    path = tmp_path / "list.txt"
    path.write_bytes(content)
    line = refusal(path)
    assert "not a journal of dabhand" in line or "cut short" in line


@pytest.mark.parametrize("wal", [False, True])
def test_another_programs_database_is_refused(tmp_path: Path, wal: bool) -> None:
    """A SQLite file of another program is refused and not written to, though it could be."""
    path = tmp_path / "other.sqlite"
    other = sqlite3.connect(path)
    other.execute(f"PRAGMA journal_mode = {'WAL' if wal else 'DELETE'}")
    other.execute("CREATE TABLE events (id INTEGER PRIMARY KEY, kind TEXT, body TEXT)")
    other.close()
    assert "of another program" in refusal(path)


def test_a_journal_of_a_later_form_is_refused(full: Path) -> None:
    """A journal whose form this dabhand does not know yet asks for a later one."""
    later = sqlite3.connect(full)
    later.execute(f"PRAGMA user_version = {schema.FORMAT + 1}")
    later.close()
    assert "later dabhand" in refusal(full)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in the file system here")
def test_a_pipe_is_refused_without_waiting_on_it(tmp_path: Path) -> None:
    """What is no plain file is refused at once."""
    path = tmp_path / "pipe"
    os.mkfifo(path)
    with pytest.raises(Problem, match="not a plain file"):
        Journal.open(path)


@pytest.mark.parametrize("share", [0.0, 0.0001, 0.001, 0.3, 0.7, 0.9999])
def test_a_journal_cut_short_is_refused(full: Path, share: float) -> None:
    """A journal that lost its end, or all but its first bytes, says to restore an export."""
    os.truncate(full, int(full.stat().st_size * share))
    line = refusal(full)
    assert "cut short" in line or "empty (0 bytes)" in line
    assert "dabhand import" in line


def test_a_journal_with_a_hole_in_it_is_one_line(full: Path) -> None:
    """Pages overwritten in the middle are found when they are read, named, and nothing is appended."""
    data = bytearray(full.read_bytes())
    data[8192:] = b"\xa5" * (len(data) - 8192)
    full.write_bytes(data)
    with pytest.raises(Problem, match="damaged") as refused, Journal.open(full) as journal:
        journal.append([coat()])
        list(journal.events())
    assert "\n" not in str(refused.value)
    assert full.read_bytes() == bytes(data)


def test_a_row_that_no_dabhand_wrote_is_one_line(tmp_path: Path) -> None:
    """A row of the events that cannot be read is a problem that names the damage."""
    path = tmp_path / "linnet.sqlite"
    Journal.open(path).close()
    other = sqlite3.connect(path)
    with other:
        other.execute("INSERT INTO events (id, kind, body) VALUES (1, 'dance', '{}')")
    other.close()
    with pytest.raises(Problem, match=r"damaged .*'dance'"):
        Journal.open(path)


def test_the_check_finds_a_state_that_does_not_add_up(full: Path) -> None:
    """Looking the file over tells a state kept that is not that of the events, and rebuilding mends it."""
    other = sqlite3.connect(full)
    with other:
        other.execute("UPDATE standing SET undone = 1 WHERE id = 7")
        other.execute("DELETE FROM checkpoint")
    other.close()
    with Journal.open(full) as journal:
        assert any("rebuild" in line for line in journal.check())
        journal.rebuild()
        assert journal.check() == []


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that another user may look into."""
    folder = Path(tempfile.mkdtemp())
    folder.chmod(0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


@pytest.mark.skipif(os.name != "posix", reason="rights work otherwise here")
@pytest.mark.parametrize("what", ["file", "folder", "unreadable"])
def test_a_journal_that_may_not_be_written_to_is_refused(open_folder: Path, what: str) -> None:
    """A journal that is read-only, in a read-only folder or not to be read at all says what to allow."""
    path = open_folder / "linnet.sqlite"
    with Journal.open(path) as journal:
        journal.append([coat()])
    before = path.read_bytes()
    path.chmod({"file": 0o444, "folder": 0o666, "unreadable": 0o000}[what])
    open_folder.chmod(0o777 if what == "file" else 0o555)

    def opened() -> str:
        try:
            Journal.open(path)
        except Problem as problem:
            return str(problem)
        return "it opened"

    assert "may not be" in as_nobody(opened)
    assert path.read_bytes() == before
    assert list(open_folder.iterdir()) == [path]


@pytest.mark.skipif(os.name != "posix", reason="rights work otherwise here")
def test_a_journal_is_not_made_in_a_folder_that_is_read_only(open_folder: Path) -> None:
    """Where no file may be made, the line says so and none is left."""
    open_folder.chmod(0o555)

    def opened() -> str:
        try:
            Journal.open(open_folder / "linnet.sqlite")
        except Problem as problem:
            return str(problem)
        return "it opened"

    line = as_nobody(opened)
    assert str(open_folder / "linnet.sqlite") in line
    assert "may be written to" in line or "may not be" in line
    assert list(open_folder.iterdir()) == []


def fill(journal: Journal) -> int:
    """Append until the disk is full; give how many were acknowledged."""
    done = 0
    with pytest.raises(Problem, match="the disk is full") as refused:
        while done < 4000:
            journal.append([note("x" * 4000), note("y" * 4000)])
            done += 2
    assert "nothing was logged" in str(refused.value)
    return done


def test_a_full_disk_loses_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    """When no page can be added, the batch is refused whole; with room again the journal goes on."""
    path = tmp_path / "linnet.sqlite"
    with Journal.open(path) as journal:
        journal._db.execute("PRAGMA max_page_count = 80")
        done = fill(journal)
        assert len(list(journal.events())) == journal.state.last_id == done
        journal._db.execute("PRAGMA max_page_count = 100000")
        assert journal.append([coat()])[0].id == done + 1
        assert journal.check() == []


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of one and a half megabytes."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = shutil.which("mount")
    made = mount and subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=1536k", "tmpfs", str(folder)], capture_output=True, check=False
    )
    if not made or made.returncode:
        pytest.skip("no disk can be mounted here")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_disk_that_fills_up_loses_nothing_that_was_acknowledged(small_disk: Path) -> None:
    """On a disk that is really full the journal keeps what it acknowledged, and goes on after a tidy-up."""
    path, ballast = small_disk / "linnet.sqlite", small_disk / "ballast"
    ballast.write_bytes(bytes(600_000))
    with Journal.open(path) as journal:
        done = fill(journal)
        assert len(list(journal.events())) == journal.state.last_id == done
    with pytest.raises(Problem, match=r"full"), Journal.open(path) as journal:
        assert journal.state.last_id == done
        fill_up = small_disk / "more"
        fill_up.write_bytes(bytes(max(shutil.disk_usage(small_disk).free - 4096, 0)))
        while True:
            journal.append([note("z" * 4000)])
            done += 1
    for spare in (ballast, fill_up):
        spare.unlink()
    with Journal.open(path) as journal:
        assert journal.state.last_id == done
        assert journal.append([coat()])[0].id == done + 1
        assert journal.state == state_of(journal.events())
        assert journal.check() == []


def test_a_journal_is_not_half_made_on_a_full_disk(small_disk: Path) -> None:
    """With no room for a new journal, none is left behind, and it can be made once there is room."""
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(shutil.disk_usage(small_disk).free - 8192))
    assert "full" in refusal(small_disk / "linnet.sqlite")
    ballast.unlink()
    with Journal.open(small_disk / "linnet.sqlite") as journal:
        assert journal.append([coat()])[0].id == 1
