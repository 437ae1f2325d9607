"""How long the plan of a week takes: the first plan, the proof, a what-if. Figures, no limits.

    pytest tests/bench/test_plan_bench.py --benchmark-enable

Without it each case runs once. ``python tests/bench/test_plan_bench.py`` prints a table of twenty jobs
instead: how soon the first plan is there, how far from the best one found, how soon that is proved or how
near the bound is, and what a what-if takes. ``... 6 16`` takes the jobs of the seeds 6 to 15.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import perf_counter
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from plan.build import NOW, shelf, week

from assistant.craft.plan.change import Warmer
from assistant.craft.plan.step import Plan
from assistant.craft.plan.week import plan
from assistant.craft.plan.whatif import what_if

SIZES = [(20, 7), (40, 7), (70, 7), (120, 14)]


@pytest.mark.parametrize(("steps", "days"), SIZES)
def test_first_plan(benchmark: Any, steps: int, days: int) -> None:
    state = week(steps, days, 3)
    found = benchmark(lambda: plan(state, shelf(), NOW, limit_s=0.0))
    assert len(found.steps) >= steps - 1


@pytest.mark.parametrize(("steps", "days"), SIZES[:3])
def test_proof(benchmark: Any, steps: int, days: int) -> None:
    pytest.importorskip("ortools")
    state = week(steps, days, 3)
    found = benchmark.pedantic(lambda: plan(state, shelf(), NOW, limit_s=5.0), rounds=3)
    benchmark.extra_info["proved"] = found.optimal


def test_a_what_if(benchmark: Any) -> None:
    pytest.importorskip("ortools")
    state = week(40, 7, 3)
    before = plan(state, shelf(), NOW, limit_s=5.0)
    benchmark.pedantic(lambda: what_if(state, shelf(), NOW, Warmer(-3.0), before=before), rounds=3)


def hours(found: Plan) -> float:
    assert found.finish is not None
    return (found.finish - NOW).total_seconds() / 3600


def table(seeds: range, limit_s: float) -> None:
    """Print one line a job: the first plan and the best, their times, and what is proved."""
    import ortools.sat.python.cp_model  # noqa: F401  its import is not what is measured

    print("steps days seed | first s   finish h | proof s   finish h   bound h  proved | what-if s")
    for steps, days in SIZES:
        for seed in seeds:
            state = week(steps, days, seed)
            begun = perf_counter()
            first = plan(state, shelf(), NOW, limit_s=0.0)
            soon = perf_counter() - begun
            begun = perf_counter()
            best = plan(state, shelf(), NOW, limit_s=limit_s)
            took = perf_counter() - begun
            assert best.bound is not None
            bound = (best.bound - NOW).total_seconds() / 3600
            begun = perf_counter()
            what_if(state, shelf(), NOW, Warmer(-3.0), before=best, limit_s=limit_s)
            other = perf_counter() - begun
            print(
                f"{steps:5} {days:4} {seed:4} | {soon:7.2f} {hours(first):10.2f} | "
                f"{took:7.2f} {hours(best):10.2f} {bound:9.2f}  {'yes' if best.optimal else 'no':6} | {other:7.2f}"
            )


if __name__ == "__main__":
    seeds = range(*map(int, sys.argv[1:3])) if len(sys.argv) > 2 else range(1, 6)
    table(seeds, 5.0)
