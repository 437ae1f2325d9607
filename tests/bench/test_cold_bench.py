"""How long a phrase takes from the shell: a process that starts, reads it, commits and ends.

    pytest tests/bench/test_cold_bench.py --benchmark-enable

prints one table. Every phrase is said in turn with a process that only imports what any such program must
(``python -c "import sqlite3, rapidfuzz"``), so that what else the machine does falls on both alike. The target is 1.3
times that process and 150 ms. Without ``--benchmark-enable`` each is run once.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[2]
#: Imports of any program that keeps a journal and knows a misspelt word.
LEAST = "import sqlite3, rapidfuzz"
#: What the installed command runs.
COMMAND = "import sys; from assistant.cli import main; sys.exit(main())"
#: What is said, with its exit status: 0 logged or answered, 1 asked back.
SAID = (
    ("second coat of varnish on the hatch trim at ten to eight", 0),
    ("sanded the bulkhead with two forty", 0),
    ("it's fourteen degrees in the galley", 0),
    ("secnd coat of varnsh on the hach trim at 07:50", 0),
    ("when can I recoat the hatch trim", 0),
    ("how much hardener for 60 ml", 0),
    ("what's wet", 0),
    ("coat of primer on the cabin door", 1),
)

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Give a way to run this Python as the person's shell would, in a home of its own."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "XDG_CACHE_HOME": str(tmp_path / "cache"), "TZ": "Europe/London"}
    env.pop("PYTHONDONTWRITEBYTECODE", None)  # a second start finds the first one's .pyc files

    def runs(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, *words], env=env, cwd=tmp_path, capture_output=True, text=True, check=False
        )

    return runs


def job(run: Run, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run one command on the job in ``folder``."""
    return run("-c", COMMAND, *words, "--job", str(folder / "job.sqlite"), "--at", "2026-03-16T08:00")


@pytest.mark.benchmark(group="each phrase said once in a process of its own, with the least process beside it")
def test_a_phrase_said_from_the_shell(
    benchmark: Any, run: Run, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A phrase said from the shell is answered in 1.3 times the least process and 150 ms."""
    loaded = job(run, tmp_path, "load", str(ROOT / "examples" / "linnet.toml"))
    assert loaded.returncode == 0, loaded.stderr
    times: dict[str, list[float]] = {}

    def timed(name: str, expected: int, runs: Callable[[], subprocess.CompletedProcess[str]]) -> None:
        start = time.perf_counter()
        done = runs()
        times.setdefault(name, []).append((time.perf_counter() - start) * 1e3)
        assert (done.returncode, done.stderr) == (expected, ""), (name, done.stdout)

    def round_() -> None:
        for phrase, status in SAID:
            timed(LEAST, 0, lambda: run("-c", LEAST))
            timed(phrase, status, lambda phrase=phrase: job(run, tmp_path, "say", phrase))  # type: ignore[misc]

    measured = not benchmark.disabled
    if measured:
        round_()  # the .pyc files and the parsed grammars are written
        times.clear()
    benchmark.pedantic(round_, rounds=10 if measured else 1)
    if not measured:
        return
    least = statistics.median(times[LEAST])
    lines = [f"{'':58}{'median':>8}{'of 1.3 x least + 150 ms':>26}"]
    for name in (LEAST, *(phrase for phrase, _ in SAID)):
        median = statistics.median(times[name])
        benchmark.extra_info[name] = {"median_ms": median, "best_ms": min(times[name])}
        lines.append(f"{name:58}{median:5.0f} ms{median / (1.3 * least + 150):23.2f}")
    with capsys.disabled():
        print("", *lines, sep="\n")
