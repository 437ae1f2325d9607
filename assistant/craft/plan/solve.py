"""Proves how early all can be done: the same net as one model for CP-SAT (ortools).

Start times are whole slots whose domains leave out sleep and quiet hours; waits that depend on their
start enter as element tables; one pair of hands is a no-overlap. What is minimised is the finish alone:
night work and walking are settled afterwards, among plans that finish no later.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from time import perf_counter
from typing import Any, Final, NamedTuple

from assistant.craft.plan.drying import Run, Table
from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.net import Limit

#: How lines that are no whole waits are scaled to whole numbers, and by how much of a slot they are eased.
SCALE: Final = 10_000
EASE: Final = 1e-3
#: More steps than this are not proved: building the model alone would take longer than anyone waits.
MOST: Final = 260

Progress = Callable[[str], None]


class Proof(NamedTuple):
    """Start slots of a better plan (None: none found), and the finish of which all before is ruled out."""

    starts: list[int] | None
    bound: int
    visit: tuple[int, ...] = ()


class _Found(NamedTuple):
    """One answer of the solver: ``yes``, ``no`` or ``unknown``, and what it knows of the bound."""

    verdict: str
    starts: list[int]
    bound: int
    visit: tuple[int, ...]


def available() -> bool:
    """Say whether ortools is installed."""
    from importlib.util import find_spec

    return find_spec("ortools") is not None


def prove(
    layer: Layer, known: Layout, bound: int, *, limit_s: float, workers: int = 2,
    progress: Progress | None = None,
) -> Proof:  # fmt: skip
    """Look for a plan that finishes sooner than ``known``; ``bound`` is what is ruled out already.

    First it is asked for a finish at least a quarter of an hour sooner: "no" is the proof, and often
    comes at once. Else what time is left goes into ruling out the early part of what is open.
    """
    begun = perf_counter()  # a stopwatch for the limit, not a clock
    best = max(known.end(i) for i in range(len(known.start)))
    starts: list[int] | None = None
    visit: tuple[int, ...] = ()
    share = 0.6
    while bound < best:
        left = limit_s - (perf_counter() - begun)
        if left < 0.05:
            break
        goal = best - 1 if share > 0.5 else bound + max((best - bound) // (2 if share > 0.3 else 8), 0)
        found = _ask(layer, known, bound, min(goal, best - 1), limit_s=left * share, workers=workers, progress=progress)
        if found.verdict == "no":
            bound = min(goal, best - 1) + 1
        elif found.verdict == "yes":
            starts, visit = found.starts, found.visit
            best = max(s + layer.net.nodes[i].slots for i, s in enumerate(starts))
            bound = max(bound, found.bound)
        else:
            bound = max(bound, found.bound)
            share = share * 0.7
            if share < 0.2:
                break
    return Proof(starts, min(bound, best), visit)


def _ask(
    layer: Layer, hint: Layout, bound: int, goal: int, *, limit_s: float, workers: int,
    progress: Progress | None,
) -> _Found:  # fmt: skip
    """Ask for the earliest finish up to ``goal``."""
    from ortools.sat.python import cp_model

    model = _Model(layer, hint, cp_model, goal)
    model.finish_soon(bound)
    solver, status = _solved(cp_model, model, limit_s, workers, _reporter(cp_model, layer, progress))
    if status == cp_model.INFEASIBLE:
        return _Found("no", [], bound, ())
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return _Found("unknown", [], bound, ())
    starts = [int(solver.value(v)) for v in model.starts]
    low = math.ceil(solver.best_objective_bound - 1e-6)
    return _Found("yes", starts, max(bound, low), model.night(solver))


def latest(layer: Layer, known: Layout, finish_by: int, *, limit_s: float, workers: int = 2) -> Proof:
    """Look for the latest start of the first step with all done by ``finish_by``.

    ``bound`` of the answer is the latest start not ruled out.
    """
    from ortools.sat.python import cp_model

    model = _Model(layer, known, cp_model, finish_by)
    model.start_late()
    solver, status = _solved(cp_model, model, limit_s, workers, None)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Proof(None, finish_by)
    starts = [int(solver.value(v)) for v in model.starts]
    return Proof(starts, math.floor(solver.best_objective_bound + 1e-6), model.night(solver))


def by_day(layer: Layer, known: Layout, finish_by: int, *, limit_s: float, workers: int = 2) -> list[int] | None:
    """Give starts with the least night work among plans that are done by ``finish_by``; None if not found."""
    from ortools.sat.python import cp_model

    model = _Model(layer, known, cp_model, finish_by)
    model.spare_nights()
    solver, status = _solved(cp_model, model, limit_s, workers, None)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return [int(solver.value(v)) for v in model.starts]


def _solved(cp_model: Any, model: _Model, limit_s: float, workers: int, callback: Any) -> tuple[Any, Any]:
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(limit_s, 0.01)
    solver.parameters.num_workers = workers
    # The answer is wanted in seconds: a light presolve leaves them to the search.
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_presolve_iterations = 1
    solver.parameters.symmetry_level = 0
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


class _Model:
    """The CP-SAT model of a net in which all is done by slot ``most``; ``hint`` is where to look first."""

    def __init__(self, layer: Layer, hint: Layout, cp: Any, most: int) -> None:
        self.layer, self.net, self.cp, self.hint = layer, layer.net, cp, hint
        self.model = cp.CpModel()
        self.most = most
        self.starts: list[Any] = []
        self.ends: list[Any] = []
        self.late: list[Any] = []
        self.used: list[tuple[tuple[int, ...], Any]] = []
        self._read: dict[tuple[int, int, bool], Any] = {}
        intervals = [self.step(i) for i in range(len(self.net.nodes))]
        self.visits()
        self.model.add_no_overlap(intervals if self.net.visits else [*intervals, *self.asleep()])
        for arc in self.net.arcs:
            when = self.ends[arc.before] if arc.table is None else self.read(arc.before, arc.table)
            self.model.add(self.starts[arc.after] >= when + arc.lag)
        self.limits()
        self.clashes()

    def domain(self, i: int, *, night: bool) -> Any:
        slots = self.net.nodes[i].slots
        free = self.layer.next_start(i, slots, night=night)
        last = self.most - slots - self.layer.tail[i]
        allowed = [t for t in range(max(self.layer.head[i], 0), max(last, 0) + 1) if free[t] == t]
        # An empty domain is a plain "no" that CP-SAT should find for itself.
        return self.cp.Domain.from_values(allowed or [self.most])

    def step(self, i: int) -> Any:
        node, model = self.net.nodes[i], self.model
        visit = any(i in group for group in self.net.visits)
        start = model.new_int_var_from_domain(self.domain(i, night=visit), f"s{i}")
        extra = max((x.extra or 0 for x in self.layer.limits[i]), default=0)
        extra = max(extra, node.extra if node.window is not None else 0)
        late = model.new_bool_var(f"l{i}") if extra else None
        end = model.new_int_var(0, self.most, f"e{i}")
        size = node.slots if late is None else node.slots + extra * late
        model.add(end == start + size)
        if late is not None and node.window is not None:
            model.add(start <= node.window).only_enforce_if(~late)
        if node.last is not None:
            model.add(start <= node.last)
        self.starts.append(start)
        self.ends.append(end)
        self.late.append(late)
        if self.hint.start[i] < NEVER:
            model.add_hint(start, self.hint.start[i])
            if late is not None:
                model.add_hint(late, self.hint.late[i])
        return model.new_interval_var(start, size, end, f"i{i}")

    def asleep(self) -> list[Any]:
        """Give the slots without hands as fixed intervals: the no-overlap reasons better for it."""
        out, mask, t = [], self.layer.masks["hands"], 0
        while t < self.most:
            if mask[t]:
                t += 1
                continue
            first = t
            while t < self.most and not mask[t]:
                t += 1
            out.append(self.model.new_fixed_size_interval_var(first, t - first, f"z{first}"))
        return out

    def visits(self) -> None:
        """Let one visit, and one only, fall into the night hours."""
        for group in self.net.visits:
            used = self.model.new_bool_var("")
            self.used.append((group, used))
            for i in group:
                awake = self.domain(i, night=False)
                self.model.add_linear_expression_in_domain(self.starts[i], awake).only_enforce_if(~used)
            span = self.starts[group[-1]] - self.starts[group[0]]
            self.model.add(span <= 16).only_enforce_if(used)
        if self.used:
            self.model.add_at_most_one(used for _, used in self.used)

    def window(self, i: int, *, from_start: bool = False) -> tuple[int, int]:
        """Give the least and the greatest slot that the end (or start) of a node can be."""
        slots = self.net.nodes[i].slots
        low = self.layer.head[i] + (0 if from_start else slots)
        return low, max(self.most - self.layer.tail[i] - (slots if from_start else 0), low)

    def read(self, i: int, table: Table, *, from_start: bool = False, up: bool = True) -> Any:
        """Give what ``table`` says of the end (or start) of a node: a bound from below, or from above.

        Where the wait is the same all along it is a plain sum; else a variable with one straight line for
        each run of the table that the node can fall into. The lines are eased by a thousandth of a slot:
        what comes back is laid out anew by the exact table, and nothing is ruled out that it allows.
        """
        key = (i, id(table), from_start)
        if key in self._read:
            return self._read[key]
        at = self.starts[i] if from_start else self.ends[i]
        low, high = self.window(i, from_start=from_start)
        runs = self.runs(table, low, high)
        if len(runs) == 1 and runs[0][2].slope == 1.0:
            wait = runs[0][2].offset
            self._read[key] = at + (math.ceil(wait - EASE) if up else math.floor(wait + EASE))
            return self._read[key]
        far = 4 * self.layer.size
        found = self.model.new_int_var(0, far, "")
        inside = [self.model.new_bool_var("") for _ in runs]
        self.model.add_exactly_one(inside)
        for chosen, (first, last, run) in zip(inside, runs, strict=True):
            domain = self.cp.Domain(first, last)
            self.model.add_linear_expression_in_domain(at, domain).only_enforce_if(chosen)
            self.line(found, at, run, far, up=up).only_enforce_if(chosen)
        if up:  # whatever the run, the least wait there is: a help to the bound
            wait = min((table[t] - t for t in range(low, high + 1)), default=0)
            self.model.add(found >= at + min(wait, far // 2))
        self._read[key] = found
        return found

    def runs(self, table: Table, low: int, high: int) -> list[tuple[int, int, Run]]:
        """Give the runs of a table between two slots, each with its first and last slot."""
        out = []
        for run, after in zip(table.runs, (*table.runs[1:], None), strict=True):
            first, last = max(run.first, low), min(after.first - 1 if after else high, high)
            if first <= last:
                out.append((first, last, run))
        return out

    def line(self, found: Any, at: Any, run: Run, far: int, *, up: bool) -> Any:
        if run.slope < 0.0:  # never
            return self.model.add(found == far) if up else self.model.add(found <= far)
        if run.slope == 1.0:
            wait = math.ceil(run.offset - EASE) if up else math.floor(run.offset + EASE)
            return self.model.add(found >= at + wait) if up else self.model.add(found <= at + wait)
        slope = round(run.slope * SCALE)
        error = abs(run.slope * SCALE - slope) * self.most
        ease = EASE * SCALE + error
        if up:
            return self.model.add(SCALE * found >= slope * at + math.floor(run.offset * SCALE - ease))
        return self.model.add(SCALE * found <= slope * at + math.ceil(run.offset * SCALE + ease))

    def limits(self) -> None:
        for i, limits in enumerate(self.layer.limits):
            for limit in limits:
                self.limit(i, limit)

    def limit(self, i: int, limit: Limit) -> None:
        low, _ = self.window(limit.before, from_start=limit.from_start)
        _, last = self.window(i, from_start=True)
        late = self.late[i]
        if limit.table[low] >= last:  # it shuts only when all must be done: no need to watch it
            return
        latest = self.read(limit.before, limit.table, from_start=limit.from_start, up=False)
        kept = self.model.add(self.starts[i] <= latest)
        if limit.extra is None or late is None:
            return
        kept.only_enforce_if(~late)
        if limit.hard is not None:
            hard = self.read(limit.before, limit.hard)
            self.model.add(self.starts[i] >= hard).only_enforce_if(late)

    def clashes(self) -> None:
        for clash in self.net.clashes:
            first = self.model.new_bool_var("")
            settled = self.ends[clash.dusty] + clash.settle
            dry = self.read(clash.wet, clash.table)
            self.model.add(self.starts[clash.wet] >= settled).only_enforce_if(first)
            self.model.add(self.starts[clash.dusty] >= dry).only_enforce_if(~first)
            a, b = self.hint.start[clash.dusty], self.hint.start[clash.wet]
            if a < NEVER and b < NEVER:
                self.model.add_hint(first, a < b)

    def finish_soon(self, bound: int) -> None:
        """Minimise the finish."""
        finish = self.model.new_int_var(min(bound, self.most), self.most, "finish")
        for end, tail in zip(self.ends, self.layer.tail, strict=True):
            self.model.add(finish >= end + min(tail, self.most))
        self.model.minimize(finish)

    def start_late(self) -> None:
        """Maximise the first start."""
        begin = self.model.new_int_var(0, self.most, "begin")
        for start in self.starts:
            self.model.add(begin <= start)
        self.model.maximize(begin)

    def spare_nights(self) -> None:
        """Minimise the slots of steps that lie in the night, then how late all of it lies."""
        dark = self.net.grid.night
        cost = []
        for i, start in enumerate(self.starts):
            slots = self.net.nodes[i].slots
            by_day = [t for t in range(self.most - slots + 1) if not any(dark[t : t + slots])]
            at_night = self.model.new_bool_var("")
            domain = self.cp.Domain.from_values(by_day)
            self.model.add_linear_expression_in_domain(start, domain).only_enforce_if(~at_night)
            cost.append(slots * at_night)
        self.model.minimize(10 * len(cost) * self.most * sum(cost) + sum(self.starts))

    def night(self, solver: Any) -> tuple[int, ...]:
        """Give the visit that falls into the night, if one does."""
        return next((group for group, used in self.used if solver.value(used)), ())
