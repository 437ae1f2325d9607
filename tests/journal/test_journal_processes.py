"""Several processes with one journal, and processes that die."""

from __future__ import annotations

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from journal_samples import coat, note

from assistant.journal import access
from assistant.journal.state import state_of
from assistant.journal.store import Journal
from assistant.problem import Problem

WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.journal.events import Note
from assistant.journal.store import Journal
path, name, batches, size = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
noon = datetime(2026, 3, 14, 12, tzinfo=UTC)
with Journal.open(path, every=16) as journal:
    for n in range(batches):
        done = journal.append([Note(at=noon, said_at=noon, text=f"{name} {n}.{k}") for k in range(size)])
        print(" ".join(str(e.id) for e in done), flush=True)
    assert journal.state.notes >= batches * size
"""


def writer(path: Path, name: str, batches: int, size: int) -> subprocess.Popen[str]:
    arguments = [sys.executable, "-c", WRITER, str(path), name, str(batches), str(size)]
    return subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def test_two_processes_that_write_at_once_lose_nothing(tmp_path: Path) -> None:
    """Two processes write 200 events each at once, onto a journal neither found: none is lost or doubled."""
    path = tmp_path / "linnet.sqlite"
    both = [writer(path, name, 200, 1) for name in ("fore cabin", "galley")]
    said = []
    for process in both:
        out, err = process.communicate(timeout=120)
        assert process.returncode == 0, err
        said.append([int(line) for line in out.split()])
    assert sorted(said[0] + said[1]) == list(range(1, 401))
    with Journal.open(path) as journal:
        events = list(journal.events())
        for name, numbers in zip(("fore cabin", "galley"), said, strict=True):
            assert [events[n - 1].text for n in numbers] == [f"{name} {n}.0" for n in range(200)]
        assert journal.state == state_of(events)
        assert journal.check() == []


def test_a_process_killed_in_the_middle_keeps_its_word(tmp_path: Path) -> None:
    """After a kill, everything acknowledged is there, and no batch is there by half."""
    path = tmp_path / "linnet.sqlite"
    for round_ in range(3):
        process = writer(path, f"round {round_}", 100_000, 3)
        assert process.stdout is not None
        acknowledged = [process.stdout.readline().split() for _ in range(20 + 7 * round_)]
        process.send_signal(signal.SIGKILL)
        acknowledged += [line.split() for line in process.stdout.read().split("\n") if line]
        process.wait(timeout=30)
        with Journal.open(path) as journal:
            events = list(journal.events())
            assert int(acknowledged[-1][-1]) <= len(events)
            assert len(events) % 3 == 0
            assert journal.state == state_of(events)
            assert journal.check() == []


def test_a_program_that_never_lets_go_is_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If another program keeps the journal to itself, the phrase is refused; when it lets go, taken."""
    monkeypatch.setattr(access, "PATIENCE", 0.05)
    path = tmp_path / "linnet.sqlite"
    with Journal.open(path) as journal:
        journal.append([coat()])
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Problem, match=r"another program .*nothing was logged"):
            journal.append([note("lost?")])
        assert journal.state.last_id == 1  # reading goes on meanwhile
        other.execute("ROLLBACK")
        other.close()
        assert journal.append([note("not lost")])[0].id == 2
