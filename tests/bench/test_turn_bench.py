"""How long one whole turn takes: a phrase read, logged or answered, and on the disk, however long the journal is.

    pytest tests/bench/test_turn_bench.py --benchmark-enable

prints one table. The journals take turns, with a bare commit of SQLite's between them, so that the disk and what else
the machine does fall on all alike. Without ``--benchmark-enable`` each turn is taken once, on a short journal.

A long journal is long by its loggers: of 25 events one is work, the others readings of three spaces, five minutes
apart. 100 events are a working day, 10,000 five weeks, 100,000 a year.
"""

from __future__ import annotations

import random
import sqlite3
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from assistant.journal.events import Climate, Coat, Event, Mix, Note, Sand, Tin
from assistant.quantity import celsius, ml, percent
from assistant.turn import Session

LONDON = ZoneInfo("Europe/London")
EXAMPLES = Path(__file__).parents[2] / "examples"
#: When the phrases are said; the last event of every journal was an hour before.
NOW = datetime(2026, 3, 14, 8, tzinfo=LONDON)
LOADED = datetime(2025, 3, 1, 7, tzinfo=LONDON)
SIZES = (100, 10_000, 100_000)
PIECES = ("hatch trim", "companionway trim", "cratch board", "bulkhead", "galley shelf")
SPACES = ("fore cabin", "galley", "engine room")
#: What is said, with what must come of it.
SAID = (
    ("another coat of varnish on the hatch trim at ten to eight", "logged"),
    ("sanded the bulkhead with two forty", "logged"),
    ("it's fourteen degrees in the galley", "logged"),
    ("mixed up ninety mil of epoxy", "logged"),
    ("when can I recoat the hatch trim", "answered"),
    ("how much hardener for 60 ml", "answered"),
    ("can I make dust in the galley", "answered"),
    ("what's wet", "answered"),
)


def event(n: int, count: int) -> Event:
    """Give the n-th of ``count`` events: each piece has a coat first, then come readings and now and then work."""
    at = NOW - timedelta(minutes=60 + 5 * (count - n))
    piece = PIECES[n % len(PIECES)]
    if n < 2 * len(PIECES):
        return Coat(at=at, said_at=at, piece=piece, coat=n // len(PIECES) + 1, product="amber varnish")
    if n % 25:
        return Climate(at=at, said_at=at, space=SPACES[n % 3], temperature=celsius(9 + n % 11), humidity=percent(60))
    piece = PIECES[n // 125 % len(PIECES)]
    match n // 25 % 5:
        case 0:
            return Coat(at=at, said_at=at, piece=piece, coat=n // 625 + 3, product="amber varnish")
        case 1 | 2:
            return Sand(at=at, said_at=at, piece=piece, grit=240)
        case 3:
            return Mix(at=at, said_at=at, product="tread epoxy", amount=ml(60.0))
        case _:
            used = Tin(at=at, said_at=at, product="amber varnish", change="used", amount=ml(20.0))
            return used if n // 25 % 2 else Note(at=at, said_at=at, text="plane the port door")


@pytest.fixture(scope="module")
def measured(request: pytest.FixtureRequest) -> bool:
    return not request.config.getoption("--benchmark-disable") or bool(request.config.getoption("--benchmark-enable"))


@pytest.fixture(scope="module")
def sessions(measured: bool, tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[int, Session]]:
    """Give the talk on jobs of that many events, opened as a chat keeps them open."""
    folder = tmp_path_factory.mktemp("turns")
    with ExitStack() as stack:
        opened = {}
        for size in SIZES if measured else SIZES[:1]:
            session = stack.enter_context(Session.open(folder / f"{size}.sqlite"))
            session.load(EXAMPLES / "linnet.toml", LOADED)
            known = session.state.last_id
            for start in range(known, size, 20_000):
                session.journal.append(
                    [event(n - known, size - known) for n in range(start, min(start + 20_000, size))]
                )
            opened[size] = session
        yield opened


@pytest.fixture
def bare_commit(tmp_path: Path) -> Iterator[Callable[[], None]]:
    """Give what SQLite and the disk take for one row of an event's length, with nothing of ours about it."""
    bare = sqlite3.connect(tmp_path / "bare.sqlite", isolation_level=None)
    bare.execute("PRAGMA journal_mode = WAL")
    bare.execute("PRAGMA synchronous = FULL")
    bare.execute("CREATE TABLE events (id INTEGER PRIMARY KEY, kind TEXT, body TEXT)")

    def commit() -> None:
        bare.execute("BEGIN IMMEDIATE")
        bare.execute("INSERT INTO events (kind, body) VALUES ('coat', ?)", ("x" * 150,))
        bare.execute("COMMIT")

    yield commit
    bare.close()


#: Times in ms by journal and phrase; those of the bare commits are under minus the journal's size.
Times = dict[tuple[int, str], list[float]]


def round_(sessions: dict[int, Session], commit: Callable[[], None], number: int, times: Times) -> None:
    """Take every phrase in every journal, a bare commit beside each; which journal comes first changes."""
    now = NOW + timedelta(minutes=30 * number)
    for size in random.Random(number).sample([*sessions], len(sessions)):
        sessions[size].take(SAID[-1][0], now)  # what is kept of one job in memory is not another's
        for phrase, outcome in SAID:
            start = time.perf_counter()
            commit()
            middle = time.perf_counter()
            reply = sessions[size].take(phrase, now)
            times.setdefault((size, phrase), []).append((time.perf_counter() - middle) * 1e3)
            times.setdefault((-size, phrase), []).append((middle - start) * 1e3)
            assert reply.outcome == outcome, (phrase, reply.reply)


def middle(times: Times, size: int, outcome: str) -> float:
    """Give the median over the phrases of that outcome, each at its own median, in ms."""
    return statistics.median(statistics.median(times[size, phrase]) for phrase, came in SAID if came == outcome)


@pytest.mark.benchmark(group="eight phrases taken in every journal, with a bare commit beside each")
def test_a_turn_takes_the_same_in_a_short_journal_and_a_long_one(
    benchmark: Any,
    measured: bool,
    sessions: dict[int, Session],
    bare_commit: Callable[[], None],
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A turn is read, logged or answered and on the disk in the same time, a few milliseconds beyond the disk's own."""
    times: Times = {}
    round_(sessions, bare_commit, 0, {})  # whatever is built at first use is built
    before = {size: session.state.last_id for size, session in sessions.items()}
    rounds = iter(range(1, 1000))
    benchmark.pedantic(
        lambda number: round_(sessions, bare_commit, number, times),
        setup=lambda: ((next(rounds),), {}),
        rounds=60 if measured else 1,
    )
    logged = sum(outcome == "logged" for _, outcome in SAID)
    for size, session in sessions.items():
        assert session.state.last_id == before[size] + logged * len(times[size, SAID[0][0]])
        assert session.state.last_id > size
    if not measured:
        return
    lines = [f"{'':26}{'logged':>9}{'answered':>11}{'beside the shortest':>22}"]
    shortest = {came: middle(times, SIZES[0], came) for came in ("logged", "answered")}
    bare = statistics.median(middle(times, -size, came) for came in shortest for size in sessions)
    for size in sessions:
        took = {came: middle(times, size, came) for came in shortest}
        benchmark.extra_info[str(size)] = took
        ratios = " ".join(f"{took[c] / shortest[c]:8.2f}" for c in took)
        lines.append(f"{size:7,} events           {took['logged']:7.2f} ms{took['answered']:8.2f} ms     {ratios}")
        beyond = {came: middle(beyond_bare(times, size), size, came) for came in shortest}
        lines.append(f"{'  beyond the bare commit':26}{beyond['logged']:7.2f} ms{beyond['answered']:8.2f} ms")
    lines.append(f"{'bare commit':26}{bare:7.2f} ms")
    with capsys.disabled():
        print("", *lines, sep="\n")


def beyond_bare(times: Times, size: int) -> Times:
    """Give each turn's time less that of the bare commit before it."""
    return {
        (size, phrase): [took - bare for took, bare in zip(times[size, phrase], times[-size, phrase], strict=True)]
        for phrase, _ in SAID
    }
