"""A net as a model for CP-SAT (ortools).

Start times are whole slots whose domains leave out sleep and quiet hours; waits that depend on their
start enter as straight lines, one for each run of their table; one pair of hands is a no-overlap.
"""

from __future__ import annotations

import math
from typing import Any, Final

from assistant.craft.plan import cuts
from assistant.craft.plan.drying import Run, Table
from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.net import Limit

#: How lines that are no whole waits are scaled to whole numbers, and by how much of a slot they are eased.
SCALE: Final = 10_000
EASE: Final = 1e-3


class Model:
    """The CP-SAT model of a net in which all is done by slot ``most``; ``hint`` is where to look first."""

    def __init__(self, layer: Layer, hint: Layout, cp: Any, most: int) -> None:
        self.layer, self.net, self.cp = layer, layer.net, cp
        self.model = cp.CpModel()
        self.most = most
        self.last = cuts.latest(layer, most)
        alike = cuts.twins(self.net, self.soft())
        self.hint = cuts.sorted_hint(alike, hint)
        self.starts: list[Any] = []
        self.ends: list[Any] = []
        self.late: list[Any] = []
        self.sizes: list[Any] = []
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
        cuts.in_turn(self.model, alike, self.starts, [node.slots for node in self.net.nodes])
        if not self.net.visits:
            cuts.days(self.model, cp, layer, self.starts, self.last, most, self.hint)

    def soft(self) -> set[int]:
        """Give the nodes that can come late at a price before all is done."""
        late = {i for i, node in enumerate(self.net.nodes) if node.window is not None}
        for i, limits in enumerate(self.layer.limits):
            late |= {i for limit in limits if limit.extra is not None and self.shuts(i, limit)}
        return late

    def shuts(self, i: int, limit: Limit) -> bool:
        """Say whether a limit can shut before all must be done: else there is no need to watch it."""
        low, _ = self.window(limit.before, from_start=limit.from_start)
        _, last = self.window(i, from_start=True)
        return limit.table[low] < last

    def domain(self, i: int, *, night: bool) -> Any:
        """Give the slots a node may start in."""
        slots = self.net.nodes[i].slots
        free = self.layer.next_start(i, slots, night=night)
        last = self.last[i]
        allowed = [t for t in range(max(self.layer.head[i], 0), max(last, 0) + 1) if free[t] == t]
        # An empty domain is a plain "no" that CP-SAT should find for itself.
        return self.cp.Domain.from_values(allowed or [self.most])

    def step(self, i: int) -> Any:
        """Put a node in the model, and give the interval in which it has the hands."""
        node, model = self.net.nodes[i], self.model
        visit = any(i in group for group in self.net.visits)
        start = model.new_int_var_from_domain(self.domain(i, night=visit), f"s{i}")
        extra = self.extra(i)
        late = model.new_bool_var(f"l{i}") if extra else None
        end = model.new_int_var(0, self.most, f"e{i}")
        size = node.slots if late is None else node.slots + extra * late
        self.sizes.append(size)
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
            model.add_hint(end, self.hint.end(i))
            if late is not None:
                model.add_hint(late, self.hint.late[i])
        return model.new_interval_var(start, size, end, f"i{i}")

    def extra(self, i: int) -> int:
        """Give the slots that a node takes longer at the most, where it comes late."""
        node = self.net.nodes[i]
        extra = max((limit.extra or 0 for limit in self.layer.limits[i]), default=0)
        return max(extra, node.extra if node.window is not None else 0)

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
        extra = 0 if from_start else slots + self.extra(i)
        return low, max(self.last[i] + extra, low)

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
        self.hint_read(i, table, found, [(first, last) for first, last, _ in runs], inside, from_start=from_start)
        if up:  # whatever the run, the least wait there is: a help to the bound
            wait = min((table[t] - t for t in range(low, high + 1)), default=0)
            self.model.add(found >= at + min(wait, far // 2))
        self._read[key] = found
        return found

    def hint_read(
        self, i: int, table: Table, found: Any, spans: list[tuple[int, int]], inside: list[Any], *, from_start: bool
    ) -> None:
        """Say what ``read`` finds in the plan that is known: half a hint is none."""
        if self.hint.start[i] >= NEVER:
            return
        at = self.hint.start[i] if from_start else self.hint.end(i)
        self.model.add_hint(found, min(table[at], 4 * self.layer.size))
        for chosen, (first, last) in zip(inside, spans, strict=True):
            self.model.add_hint(chosen, first <= at <= last)

    def runs(self, table: Table, low: int, high: int) -> list[tuple[int, int, Run]]:
        """Give the runs of a table between two slots, each with its first and last slot."""
        out = []
        for run, after in zip(table.runs, (*table.runs[1:], None), strict=True):
            first, last = max(run.first, low), min(after.first - 1 if after else high, high)
            if first <= last:
                out.append((first, last, run))
        return out

    def line(self, found: Any, at: Any, run: Run, far: int, *, up: bool) -> Any:
        """Hold ``found`` to one run of a table."""
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
        """Let nothing start after its limit without paying for it."""
        for i, limits in enumerate(self.layer.limits):
            for limit in limits:
                self.limit(i, limit)

    def limit(self, i: int, limit: Limit) -> None:
        """Let a node keep one limit, or come late at its price."""
        late = self.late[i]
        if not self.shuts(i, limit):
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
        """Let dust settle before a film is laid, or the film be dry before there is dust."""
        said: dict[tuple[int, int], Any] = {}
        for clash in self.net.clashes:
            first = said[clash.dusty, clash.wet] = self.model.new_bool_var("")
            settled = self.ends[clash.dusty] + clash.settle
            dry = self.read(clash.wet, clash.table)
            self.model.add(self.starts[clash.wet] >= settled).only_enforce_if(first)
            self.model.add(self.starts[clash.dusty] >= dry).only_enforce_if(~first)
            a, b = self.hint.start[clash.dusty], self.hint.start[clash.wet]
            if a < NEVER and b < NEVER:
                self.model.add_hint(first, a < b)
        cuts.orders(self.model, self.net, said)

    def finish_soon(self, bound: int) -> None:
        """Minimise the finish."""
        finish = self.model.new_int_var(min(bound, self.most), self.most, "finish")
        for end, tail in zip(self.ends, self.layer.tail, strict=True):
            self.model.add(finish >= end + min(tail, self.most))
        ends = [self.hint.end(i) for i, start in enumerate(self.hint.start) if start < NEVER]
        self.model.add_hint(finish, max(ends, default=0))
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
