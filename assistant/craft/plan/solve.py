"""Proves how early all can be done, with CP-SAT (ortools).

What is minimised is the finish alone: night work and walking are settled afterwards, among plans that
finish no later.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from time import perf_counter
from typing import Any, Final, NamedTuple

from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.model import Model

#: More steps than this are not proved: building the model alone would take longer than anyone waits.
MOST: Final = 260

#: The shares of the time for a first look, and for bettering the plan: of a job too large to be proved in
#: seconds a sooner plan is worth more than the bound.
GLANCE: Final = 0.08
BETTERING: Final = 0.35
LARGE: Final = 100
BETTERING_LARGE: Final = 0.6
#: Hands and dust are all "either before or after", of which a linear relaxation sees little: one search without
#: it, and one with all of it, which prove more than either twice.
PROVE: Final[dict[str, Any]] = {
    "subsolvers": ["no_lp", "max_lp"], "use_lns": False, "ignore_subsolvers": ["fj", "fs_random", "fs_random_no_lp"],
}  # fmt: skip
#: A plan is there already: no search for a first one, and no changes but those that know of intervals.
BETTER: Final[dict[str, Any]] = {
    "linearization_level": 0,
    "ignore_subsolvers": ["fj", "ls", "feasibility_pump", "rnd_cst_lns", "rnd_var_lns"],
}

Progress = Callable[[str], None]


class Proof(NamedTuple):
    """Start slots of a better plan (None: none found), and the finish of which all before is ruled out."""

    starts: list[int] | None
    bound: int
    visit: tuple[int, ...] = ()


def available() -> bool:
    """Say whether ortools is installed."""
    from importlib.util import find_spec

    return find_spec("ortools") is not None


def prove(
    layer: Layer, known: Layout, bound: int, *, limit_s: float, workers: int = 2,
    progress: Progress | None = None,
) -> Proof:  # fmt: skip
    """Look for a plan that finishes sooner than ``known``; ``bound`` is what is ruled out already.

    At a glance it is asked for a finish at least a quarter of an hour sooner: "no" is the proof, and often
    comes at once. Else a while is spent on bettering the plan, and then the question is put again. What time
    is left goes into ruling out the early part of what is open.
    """
    hunt = _Hunt(layer, known, bound, limit_s, workers, progress)
    if hunt.ask(hunt.best - 1, GLANCE * limit_s) == "unknown":
        large = len(known.start) > LARGE
        hunt.ask(hunt.best, (BETTERING_LARGE if large else BETTERING) * limit_s, better=True)
    share = 0.75
    while share > 0.2 and hunt.open > 0 and hunt.left > 0.05:
        part = 0 if share > 0.5 else 2 if share > 0.3 else 8
        goal = hunt.bound + hunt.open // part if part else hunt.best - 1
        if hunt.ask(min(goal, hunt.best - 1), hunt.left * share) == "unknown":
            share *= 0.6
    return Proof(hunt.starts, min(hunt.bound, hunt.best), hunt.visit)


class _Hunt:
    """What is known while the best finish is looked for: the plan to beat, and what is ruled out."""

    def __init__(
        self, layer: Layer, known: Layout, bound: int, limit_s: float, workers: int, progress: Progress | None
    ) -> None:
        self.layer, self.hint, self.bound, self.workers, self.progress = layer, known, bound, workers, progress
        self.until = perf_counter() + limit_s  # a stopwatch for the limit, not a clock
        self.best = max(known.end(i) for i in range(len(known.start)))
        self.starts: list[int] | None = None
        self.visit: tuple[int, ...] = ()

    @property
    def open(self) -> int:
        """How many finishes are neither reached nor ruled out."""
        return self.best - self.bound

    @property
    def left(self) -> float:
        """Seconds left."""
        return self.until - perf_counter()

    def ask(self, goal: int, limit_s: float, *, better: bool = False) -> str:
        """Ask for the earliest finish up to ``goal``: ``yes``, ``no`` or ``unknown``.

        With ``better`` the solver changes the plan it has in parts; else it only proves.
        """
        from ortools.sat.python import cp_model

        model = Model(self.layer, self.hint, cp_model, goal)
        model.finish_soon(self.bound)
        report = _reporter(cp_model, self.layer, self.progress)
        how = BETTER if better else PROVE
        solver, status = _solved(cp_model, model, min(limit_s, self.left), self.workers, report, how)
        if status == cp_model.INFEASIBLE:
            self.bound = max(self.bound, goal + 1)
            return "no"
        self.bound = max(self.bound, min(math.ceil(solver.best_objective_bound - 1e-6), goal + 1))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return "unknown"
        finish = max(int(solver.value(end)) for end in model.ends)
        if finish >= self.best:
            return "unknown"
        self.best, self.visit = finish, model.night(solver)
        self.starts = [int(solver.value(start)) for start in model.starts]
        late = [late is not None and bool(solver.value(late)) for late in model.late]
        self.hint = Layout(self.starts, late, [int(solver.value(size)) for size in model.sizes])
        return "yes"


def latest(layer: Layer, known: Layout, finish_by: int, *, limit_s: float, workers: int = 2) -> Proof:
    """Look for the latest start of the first step with all done by ``finish_by``.

    ``bound`` of the answer is the latest start not ruled out.
    """
    from ortools.sat.python import cp_model

    model = Model(layer, known, cp_model, finish_by)
    model.start_late()
    solver, status = _solved(cp_model, model, limit_s, workers, None)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Proof(None, finish_by)
    starts = [int(solver.value(v)) for v in model.starts]
    return Proof(starts, math.floor(solver.best_objective_bound + 1e-6), model.night(solver))


def by_day(layer: Layer, known: Layout, finish_by: int, *, limit_s: float, workers: int = 2) -> list[int] | None:
    """Give starts with the least night work among plans that are done by ``finish_by``; None if not found."""
    from ortools.sat.python import cp_model

    model = Model(layer, known, cp_model, finish_by)
    model.spare_nights()
    solver, status = _solved(cp_model, model, limit_s, workers, None)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [int(solver.value(v)) for v in model.starts]


def _solved(
    cp_model: Any, model: Model, limit_s: float, workers: int, callback: Any, how: dict[str, Any] | None = None
) -> tuple[Any, Any]:
    solver = cp_model.CpSolver()
    settings = solver.parameters
    settings.max_time_in_seconds = max(limit_s, 0.01)
    settings.num_workers = workers
    # The answer is wanted in seconds: a light presolve leaves them to the search.
    settings.cp_model_probing_level = 0
    settings.max_presolve_iterations = 1
    settings.symmetry_level = 0
    for name, value in (how or {}).items():
        if isinstance(value, list):
            getattr(settings, name).extend(value)
        else:
            setattr(settings, name, value)
    return solver, solver.solve(model.model, callback)


def _reporter(cp_model: Any, layer: Layer, progress: Progress | None) -> Any:
    if progress is None:
        return None
    say = progress

    class Reporter(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
        def on_solution_callback(self) -> None:
            found = layer.net.grid.time(int(self.objective_value))
            say(f"a plan that finishes at {found:%H:%M on %A %d %B}; looking for a better one")

    return Reporter()
