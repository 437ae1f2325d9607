"""How long one phrase takes to be read: from its text to its typed meanings, times and amounts resolved.

    pip install -e '.[test,bench]'
    pytest tests/bench/test_reading_bench.py --benchmark-enable

measures every phrase of the week in ``examples/`` and a dictation of forty words without a mark in it, the longest
breath that people log in. Without ``--benchmark-enable`` each phrase is read once.
"""

from __future__ import annotations

import statistics
import time
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import pytest

from assistant.cli import script
from assistant.language import vocabulary
from assistant.language.meanings import Deed, Force, Remark, Unread
from assistant.language.reader import Reader
from assistant.library.catalogue import Library
from assistant.turn import Session

LONDON = ZoneInfo("Europe/London")
EXAMPLES = Path(__file__).parents[2] / "examples"
#: Milliseconds. A phrase: unnoticed. A dictation, that took a quarter of a minute to say: hardly noticed.
MEDIAN, LATE, DICTATED = 25.0, 60.0, 250.0
DICTATION = (
    "second coat on the hatch trim at ten past two and i sanded the galley shelf with two forty "
    "and wiped it down and masked the bulkhead and put the first coat of primer on the cratch board at three"
)


class Job(NamedTuple):
    """The job's reader, and what is said of it in a week."""

    reader: Reader
    phrases: list[str]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """Give the reader of the job of the examples, and every phrase of its week."""
    with Session.open(tmp_path_factory.mktemp("reading") / "linnet.sqlite") as session:
        session.load(EXAMPLES / "linnet.toml", datetime(2026, 3, 9, 8, tzinfo=LONDON))
        reader = Reader(vocabulary.gazetteer(session.state, Library(session.state.labels)))
        return Job(reader, [phrase for _, phrase in script(str(EXAMPLES / "linnet-week.txt"), LONDON)])


def read_each(reader: Reader, phrases: list[str], times: dict[str, list[float]]) -> None:
    """Read each phrase once and keep how long it took, in ms."""
    for phrase in phrases:
        start = time.perf_counter()
        reader.read(phrase)
        times.setdefault(phrase, []).append((time.perf_counter() - start) * 1e3)


@pytest.mark.benchmark(group="read each phrase of the week once")
def test_reading_the_week(benchmark: Any, job: Job, capsys: pytest.CaptureFixture[str]) -> None:
    """The median phrase and the slowest twentieth stay well under what a person notices."""
    measured = not benchmark.disabled
    read_each(job.reader, job.phrases, {})  # whatever is built at first use is built
    times: dict[str, list[float]] = {}
    benchmark.pedantic(read_each, (job.reader, job.phrases, times), rounds=10 if measured else 1)
    read = [p for p in job.phrases if not any(isinstance(m, Unread | Remark) for m in job.reader.read(p).meanings)]
    assert len(read) > 0.8 * len(job.phrases)
    if not measured:
        return
    each = sorted(statistics.median(held) for held in times.values())
    median, late = statistics.median(each), each[int(0.95 * (len(each) - 1))]
    benchmark.extra_info.update(median_ms=median, p95_ms=late, slowest_ms=each[-1], read=len(read))
    with capsys.disabled():
        shown = f"median {median:.1f} ms, p95 {late:.1f} ms, slowest {each[-1]:.1f} ms"
        print(f"\n{len(job.phrases)} phrases, {len(read)} read: {shown}")
    assert median < MEDIAN
    assert late < LATE


@pytest.mark.benchmark(group="read a dictation of forty words")
def test_reading_a_dictation(benchmark: Any, job: Job) -> None:
    """A long breath without a mark is five deeds, and is still read at once."""
    assert len(DICTATION.split()) == 40
    assert not set(DICTATION) & set(",.;:")
    found = benchmark.pedantic(job.reader.read, (DICTATION,), rounds=20 if not benchmark.disabled else 1)
    done = [m for m in found.meanings if isinstance(m, Deed) and m.force is Force.DONE and not m.held]
    assert [m.act.value for m in done] == ["coat", "sand", "clean", "mask", "coat"]
    if not benchmark.disabled:
        assert benchmark.stats.stats.median * 1e3 < DICTATED
