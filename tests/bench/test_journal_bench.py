"""What the length of a journal costs.

    pytest tests/bench/test_journal_bench.py --benchmark-enable

prints one table a question, the ratios in brackets. Without ``--benchmark-enable`` each case runs
once, on short journals only.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest

from assistant.journal.events import Climate, Coat, Event, Mix, Note, Sand, Set, Undo
from assistant.journal.state import effective, fold
from assistant.journal.store import Journal
from assistant.quantity import celsius, ml

SIZES = (100, 10_000, 100_000)
START = datetime(2026, 1, 1, tzinfo=UTC)
PIECES = [f"cabin door {n}" for n in range(12)]
SPACES = ("fore cabin", "galley", "engine room")


def event(n: int) -> Event:
    """The n-th event of a long job: two readings in five, the rest work, pots and notes."""
    at = START + timedelta(minutes=3 * n)
    piece = PIECES[n % len(PIECES)]
    match n % 5:
        case 0 | 1:
            return Climate(at=at, said_at=at, space=SPACES[n % 3], temperature=celsius(8 + n % 13))
        case 2:
            return Coat(at=at, said_at=at, piece=piece, coat=n % 7 + 1, product="amber varnish")
        case 3:
            return Sand(at=at, said_at=at, piece=piece, grit=240)
        case _:
            return (
                Note(at=at, said_at=at, text="a run under the handle")
                if n % 2
                else Mix(at=at, said_at=at, product="tread epoxy", amount=ml(60.0))
            )


def known() -> list[Event]:
    """The pieces and spaces of the job."""
    named = [("piece", name) for name in PIECES] + [("space", name) for name in SPACES]
    return [Set(at=START, said_at=START, what=what, name=name) for what, name in named]


@pytest.fixture(scope="session")
def journals(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Callable[[int], Path]]:
    """Give the path of a journal of that many events, made once."""
    options = request.config.option
    measured = options.benchmark_enable or options.benchmark_only or not options.benchmark_disable
    folder, made = tmp_path_factory.mktemp("journals"), {}

    def path(size: int) -> Path:
        if size > SIZES[0] and not measured:
            pytest.skip("a long journal is made only to be measured: --benchmark-enable")
        if size not in made:
            made[size] = folder / f"{size}.sqlite"
            with Journal.open(made[size]) as journal:
                journal.append(known())
                for start in range(len(known()), size, 20_000):
                    journal.append([event(n) for n in range(start, min(start + 20_000, size))])
            for _ in range(2):  # the first opening of a long journal folds it and keeps that
                Journal.open(made[size]).close()
        return made[size]

    yield path


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="append one event and wait for the disk")
def test_append(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """Appending an event takes the same in a short journal and a long one."""
    with Journal.open(journals(size)) as journal:
        numbers = count(size)
        benchmark.pedantic(
            lambda new: journal.append([new]),
            setup=lambda: (([event(5 * next(numbers) + 2)][0],), {}),
            rounds=400,
            warmup_rounds=5,
        )
        assert journal.state.last_id > size


@pytest.mark.benchmark(group="append one event and wait for the disk")
def test_bare_commit(benchmark: Any, tmp_path: Path) -> None:
    """What SQLite and the disk take for one row of that length, with nothing of ours about it."""
    bare = sqlite3.connect(tmp_path / "bare.sqlite", isolation_level=None)
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE events (id INTEGER PRIMARY KEY, kind TEXT, body TEXT)")

    def commit() -> None:
        bare.execute("BEGIN IMMEDIATE")
        bare.execute("INSERT INTO events (kind, body) VALUES ('coat', ?)", ("x" * 150,))
        bare.execute("COMMIT")

    benchmark.pedantic(commit, rounds=400, warmup_rounds=5)
    assert bare.execute("SELECT count(*) FROM events").fetchone()[0] > 0
    bare.close()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="open, append one event, close")
def test_open_and_append(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """A phrase in a process of its own takes the same in a short journal and a long one."""
    numbers = count(size)

    def turn() -> int:
        with Journal.open(journals(size)) as journal:
            return journal.append([event(5 * next(numbers) + 2)])[0].id

    last = benchmark.pedantic(turn, rounds=100, warmup_rounds=3)
    assert last is None or last > size


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="append one event, take it back, look at the work")
def test_take_back(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """Taking back the last event does not fold a long journal anew."""
    with Journal.open(journals(size)) as journal:
        numbers = count(size)

        def turn() -> None:
            new = event(5 * next(numbers) + 2)
            number = journal.append([new])[0].id
            journal.append([Undo(at=new.at, said_at=new.at, of=(number,))])
            assert journal.state.work

        benchmark.pedantic(turn, rounds=100, warmup_rounds=3)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="the last five coats on a piece")
def test_search(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """Finding the last work on a piece takes the same in a short journal and a long one."""
    with Journal.open(journals(size)) as journal:
        found = benchmark(journal.search, kind="coat", piece=PIECES[2], limit=5)
        assert {e.piece for e in found} <= {PIECES[2]}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="fold a whole journal, in memory")
def test_fold(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """What a whole fold takes, which checkpoints save."""
    with Journal.open(journals(size)) as journal:
        events = effective(journal.events())
    state = benchmark.pedantic(fold, (events,), rounds=3)
    assert state.last_id >= size


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.benchmark(group="correct the first event: read and fold everything again")
def test_correct_the_first(benchmark: Any, journals: Callable[[int], Path], size: int) -> None:
    """The one thing that grows with a journal: putting right something older than its checkpoints."""
    with Journal.open(journals(size)) as journal:

        def turn() -> None:
            journal.append([Undo(at=START, said_at=START, of=(1,))])
            assert journal.state.last_id > size

        benchmark.pedantic(turn, rounds=3)
