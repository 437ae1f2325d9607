"""Lays steps out one after another, each as early as it goes: a plan from an order of the steps."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final, NamedTuple

from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.net import Arc, Clash, Limit, Net

#: How often a group tied by a pot or a window is tried later before the layout gives up on it.
TRIES: Final = 400


class Score(NamedTuple):
    """What makes one layout better than another, in this order."""

    finish: int
    night: int
    walking: int
    ends: int


@dataclass(slots=True)
class Layout:
    """Start slots (NEVER: could not be laid) and whether each came after its window."""

    start: list[int]
    late: list[bool]
    slots: list[int]
    order: list[int] = field(default_factory=list)

    def end(self, i: int) -> int:
        """Give the slot after the last of a step, with its keying."""
        return self.start[i] + self.slots[i]

    @property
    def whole(self) -> bool:
        """Whether every step was laid."""
        return NEVER not in self.start


class Layer:
    """Lays out one net. Everything that does not change from one order to the next is worked out once."""

    def __init__(self, net: Net) -> None:
        self.net, self.size = net, net.grid.size
        n = len(net.nodes)
        self.into: list[list[Arc]] = [[] for _ in range(n)]
        self.out: list[list[Arc]] = [[] for _ in range(n)]
        self.limits: list[list[Limit]] = [[] for _ in range(n)]
        self.clash: list[list[Clash]] = [[] for _ in range(n)]
        for arc in net.arcs:
            self.into[arc.after].append(arc)
            self.out[arc.before].append(arc)
        for limit in net.limits:
            self.limits[limit.after].append(limit)
        for clash in net.clashes:
            self.clash[clash.dusty].append(clash)
            self.clash[clash.wet].append(clash)
        self._next: dict[tuple[str, int, bytes | None], list[int]] = {}
        self.masks = self._masks()
        self.groups = self._groups()
        self.tail = self._tails()
        self.head = self._heads()

    def _masks(self) -> dict[str, bytearray]:
        grid = self.net.grid
        night = bytearray(grid.hands)
        if self.net.night_hour is not None:
            for t in range(grid.size):
                clock = grid.time(t)
                if (clock.hour - self.net.night_hour) % 24 < 3:
                    night[t] = 1
        return {"hands": grid.hands, "loud": grid.loud, "night": night}

    def next_start(self, i: int, slots: int, *, night: bool = False) -> list[int]:
        """Give for each slot the first one from there on where node ``i`` has ``slots`` free ones in a row."""
        node = self.net.nodes[i]
        kind = "night" if night else "loud" if node.loud else "hands"
        key = (kind, slots, node.warm)
        if key not in self._next:
            mask: Sequence[int] = self.masks[kind]
            if node.warm is not None:
                mask = [a & b for a, b in zip(mask, node.warm, strict=True)]
            out, run, found = [NEVER] * (self.size + 1), 0, NEVER
            for t in range(self.size - 1, -1, -1):
                run = run + 1 if mask[t] else 0
                found = t if run >= slots else found
                out[t] = found
            self._next[key] = out
        return self._next[key]

    def _groups(self) -> list[tuple[int, ...]]:
        """Give for each node the nodes to be laid along with it: what a pot or tacky tape ties to it."""
        owner = list(range(len(self.net.nodes)))
        reach = self.net.reaches() if any(limit.extra is None for limit in self.net.limits) else []
        for limit in self.net.limits:
            if limit.extra is None:
                new, after = owner[limit.before], limit.after
                between = [j for j in range(len(owner)) if reach[limit.before] >> j & 1 and reach[j] >> after & 1]
                for old in {owner[j] for j in (after, *between)}:
                    owner = [new if o == old else o for o in owner]
        place = {i: p for p, i in enumerate(self.net.order())}
        made: dict[int, list[int]] = {}
        for i, o in enumerate(owner):
            made.setdefault(o, []).append(i)
        out: list[tuple[int, ...]] = [()] * len(owner)
        for group in made.values():
            for i in group:
                out[i] = tuple(sorted(group, key=lambda j: place.get(j, 0)))
        return out

    def _heads(self) -> list[int]:
        """Give the earliest start of each node if hands were many: a bound, whatever the order."""
        head = [NEVER] * len(self.net.nodes)
        visit = {i for group in self.net.visits for i in group}
        for i in self.net.order():
            node = self.net.nodes[i]
            t = node.head
            for arc in self.into[i]:
                end = head[arc.before] + self.net.nodes[arc.before].slots
                t = max(t, after(arc, end))
            free = self.next_start(i, node.slots, night=i in visit)
            head[i] = free[t] if t < self.size else NEVER
        return head

    def _tails(self) -> list[int]:
        """Give for each node the least that must pass from its end to the end of all."""
        tail = [0] * len(self.net.nodes)
        tables = {id(a.table): a.table for a in self.net.arcs if a.table is not None}
        least = {key: table.least() for key, table in tables.items()}
        for i in reversed(self.net.order()):
            for arc in self.out[i]:
                wait = arc.lag + (least[id(arc.table)] if arc.table is not None else 0)
                tail[i] = max(tail[i], min(wait, NEVER) + self.net.nodes[arc.after].slots + tail[arc.after])
        return tail

    def lay(self, priority: Sequence[float], visit: tuple[int, ...] = (), *, soon: float = 0.0) -> Layout:
        """Lay every node out, of those that are free to go always the one with the least key.

        The key is the node's ``priority``, and ``soon`` times the slot from which it could start.
        """
        n = len(self.net.nodes)
        out = Layout([NEVER] * n, [False] * n, [node.slots for node in self.net.nodes])
        work = _Bench(self, out, frozenset(visit))
        left = [sum(arc.before not in self.groups[i] for arc in into) for i, into in enumerate(self.into)]
        free: list[tuple[float, int]] = []

        def offer(group: tuple[int, ...]) -> None:
            i = min(group, key=lambda j: priority[j])
            key = priority[i] + (soon * min(work.ready(group[0]), self.size) if soon else 0.0)
            if any(self.net.nodes[j].last is not None for j in group):
                key = -float(self.size) * 100  # what cannot wait goes before all that can
            heapq.heappush(free, (key, group[0]))

        for group in dict.fromkeys(self.groups):
            if not any(left[j] for j in group):
                offer(group)
        while free:
            group = self.groups[heapq.heappop(free)[1]]
            work.place(group)
            out.order += group
            for j in group:
                for arc in self.out[j]:
                    if arc.after not in group:
                        left[arc.after] -= 1
                        if left[arc.after] == 0 and not any(left[k] for k in self.groups[arc.after]):
                            offer(self.groups[arc.after])
        return out

    def need(self) -> list[float]:
        """Give the plainest priority: what has most to follow goes first."""
        return [-float(min(tail, self.size)) for tail in self.tail]

    def score(self, layout: Layout) -> Score:
        """Judge a layout: finish, slots of night work, changes of space, and how early all of it lies."""
        placed = sorted((s, i) for i, s in enumerate(layout.start) if s < NEVER)
        night = self.net.grid.night
        ends = [layout.end(i) for _, i in placed]
        dark = sum(sum(night[s : layout.end(i)]) for s, i in placed)
        walk, here = 0, None
        for _, i in placed:
            space = self.net.nodes[i].step.space
            walk += here is not None and space is not None and space != here
            here = space if space is not None else here
        missing = len(layout.start) - len(placed)
        finish = max(ends, default=0) + missing * self.size
        return Score(finish, dark, walk, sum(ends))

    def fits(self, layout: Layout) -> bool:
        """Say whether a layout keeps all there is to keep: by the exact tables, whoever made it."""
        if not layout.whole:
            return False
        starts = layout.start
        taken = sorted((s, layout.end(i)) for i, s in enumerate(starts))
        hands = all(end <= start for (_, end), (start, _) in pairwise(taken))
        waits = all(starts[a.after] >= after(a, layout.end(a.before)) for a in self.net.arcs)
        limits = all(keeps(limit, layout, i) for i, some in enumerate(self.limits) for limit in some)
        visit = {i for group in self.net.visits for i in group}
        clock = all(
            self.next_start(i, layout.slots[i], night=i in visit)[s] == s >= node.head
            for (i, s), node in zip(enumerate(starts), self.net.nodes, strict=True)
        )
        return hands and waits and limits and clock and all(_clear(c, layout) for c in self.net.clashes)


class _Bench:
    """The layout as it grows: whose hands are taken when, and what is in the air."""

    def __init__(self, layer: Layer, layout: Layout, visit: frozenset[int]) -> None:
        self.layer, self.net, self.layout, self.visit = layer, layer.net, layout, visit
        self.busy = bytearray(layer.size + 1)

    def place(self, group: Sequence[int]) -> None:
        least = 0
        for _ in range(TRIES):
            if self.together(group, least):
                return
            first = self.layout.start[group[0]]
            self.take_back(group)
            if first >= NEVER:
                break
            least = first + 1
        for i in group:  # what cannot be kept together is left out and said
            self.layout.start[i] = NEVER

    def together(self, group: Sequence[int], least: int) -> bool:
        return all(self.one(i, least if place == 0 else 0) for place, i in enumerate(group))

    def one(self, i: int, least: int) -> bool:
        """Lay one node at its earliest; say whether that keeps its limits."""
        layout, node = self.layout, self.net.nodes[i]
        ready = max(self.ready(i), least)
        start = self.earliest(i, ready, node.slots)
        extra, hard = self.late(i, start)
        if extra:
            layout.slots[i], layout.late[i] = node.slots + extra, True
            start = self.earliest(i, max(ready, hard), layout.slots[i])
        layout.start[i] = start
        if start >= NEVER:
            return False
        end = layout.end(i)
        self.busy[start:end] = b"\1" * (end - start)
        if node.last is not None and start > node.last:
            return False
        return all(keeps(limit, layout, i) for limit in self.layer.limits[i])

    def ready(self, i: int) -> int:
        """Give the slot from which all that a node waits for is there."""
        ready = self.net.nodes[i].head
        for arc in self.layer.into[i]:
            before = self.layout.start[arc.before]
            ready = max(ready, after(arc, self.layout.end(arc.before)) if before < NEVER else NEVER)
        return ready

    def late(self, i: int, start: int) -> tuple[int, int]:
        """Give the slots that keying costs at ``start`` (0: in time), and from when it can be keyed."""
        node = self.net.nodes[i]
        if node.window is not None and start > node.window:
            return node.extra, 0
        for limit in self.layer.limits[i]:
            if limit.extra is not None and start > _latest(limit, self.layout):
                hard = limit.hard[self.layout.end(limit.before)] if limit.hard else 0
                return limit.extra, hard
        return 0, 0

    def earliest(self, i: int, ready: int, slots: int) -> int:
        free = self.layer.next_start(i, slots, night=i in self.visit)
        t = ready
        while t < self.layer.size:
            t = free[t]
            if t >= NEVER:
                return NEVER
            taken = self.busy.rfind(1, t, t + slots)
            if taken >= 0:
                t = taken + 1
                continue
            clear = self.clear(i, t, slots)
            if clear == t:
                return t
            t = clear
        return NEVER

    def clear(self, i: int, t: int, slots: int) -> int:
        """Give ``t`` if neither dust nor a wet film is in the way, else when that has passed."""
        layout = self.layout
        for clash in self.layer.clash[i]:
            if clash.dusty == i:
                w = clash.wet
                if layout.start[w] < NEVER:
                    dry = clash.table[layout.end(w)]
                    if t < dry and layout.start[w] < t + slots + clash.settle:
                        return min(dry, NEVER)
            else:
                d = clash.dusty
                if layout.start[d] < NEVER:
                    settled = layout.end(d) + clash.settle
                    if t < settled and layout.start[d] < clash.table[t + slots]:
                        return settled
        return t

    def take_back(self, group: Sequence[int]) -> None:
        for i in group:
            start = self.layout.start[i]
            if start < NEVER:
                self.busy[start : self.layout.end(i)] = bytes(self.layout.slots[i])
            self.layout.start[i], self.layout.late[i] = NEVER, False
            self.layout.slots[i] = self.net.nodes[i].slots


def _clear(clash: Clash, layout: Layout) -> bool:
    settled = layout.end(clash.dusty) + clash.settle <= layout.start[clash.wet]
    return settled or layout.start[clash.dusty] >= clash.table[layout.end(clash.wet)]


def after(arc: Arc, end: int) -> int:
    """Give the first slot that an arc leaves to the node after, if the one before ends at ``end``."""
    if arc.table is not None:
        end = arc.table[end] if end < NEVER else NEVER
    return min(end + arc.lag, NEVER)


def _latest(limit: Limit, layout: Layout) -> int:
    before = limit.before
    if layout.start[before] >= NEVER:
        return NEVER
    return limit.table[layout.start[before] if limit.from_start else layout.end(before)]


def keeps(limit: Limit, layout: Layout, i: int) -> bool:
    """Say whether node ``i`` keeps a limit, or paid for coming late."""
    return layout.start[i] <= _latest(limit, layout) or (limit.extra is not None and layout.late[i])
