"""What a plan hangs on: the chain of waits, sleep and work that leads to its finish, told in words."""

from __future__ import annotations

from collections import Counter
from typing import NamedTuple

from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layout
from assistant.craft.plan.net import Arc, Net


class Link(NamedTuple):
    """What kept a step from starting sooner: the node before (-1: the beginning), and the slots by cause."""

    before: int
    causes: tuple[tuple[str, int], ...]


class Trace:
    """Goes back through a layout from what waited to what it waited for."""

    def __init__(self, net: Net, layout: Layout) -> None:
        self.net, self.layout = net, layout
        self.into: list[list[Arc]] = [[] for _ in net.nodes]
        self.clash: list[list[tuple[int, int]]] = [[] for _ in net.nodes]
        for arc in net.arcs:
            self.into[arc.after].append(arc)
        for clash in net.clashes:
            end = layout.end(clash.dusty) + clash.settle
            self.clash[clash.wet].append((clash.dusty, end))
            self.clash[clash.dusty].append((clash.wet, clash.table[layout.end(clash.wet)]))
        self.ending = {layout.end(i): i for i in range(len(net.nodes))}

    def _when(self, arc: Arc) -> int:
        end = self.layout.end(arc.before)
        return (end if arc.table is None else arc.table[end]) + arc.lag

    def ready(self, i: int) -> int:
        """Give the slot from which nothing but hands, the clock and dust keep a step back."""
        found = max([self.net.nodes[i].head, *(self._when(a) for a in self.into[i])])
        return found if found < NEVER else self.layout.start[i]

    def _binding(self, i: int) -> Arc | None:
        arcs = [a for a in self.into[i] if self._when(a) == self.ready(i)]
        return max(arcs, key=lambda a: (a.table is not None, a.before), default=None)

    def held(self, i: int) -> str:
        """Say in a few words what kept a step until its start; empty where nothing did."""
        causes = [(n, text) for text, n in self.link(i).causes if n > 0]
        return max(causes, default=(0, ""))[1]

    def link(self, i: int) -> Link:
        """Give what came right before a step, and what the time between was spent on."""
        layout, node = self.layout, self.net.nodes[i]
        start, ready = layout.start[i], self.ready(i)
        arc = self._binding(i)
        before = arc.before if arc is not None else -1
        begin = layout.end(before) if before >= 0 else 0
        # Hands or dust that came later than the wait: go back by them instead.
        for other, until in self.clash[i]:
            if ready < until <= start and layout.end(other) <= start:
                before, begin, ready = other, layout.end(other), until
                arc = None
        work = self.ending.get(start)
        if work is not None and layout.start[work] >= ready and work != i:
            return Link(work, ())
        causes: list[tuple[str, int]] = []
        if ready > begin:
            causes.append((self._waiting(arc, i, before), ready - begin))
        causes += self._clock(ready, start, loud=node.loud)
        return Link(before, tuple(causes))

    def _waiting(self, arc: Arc | None, i: int, before: int) -> str:
        if arc is not None and arc.table is not None:
            return f"{arc.why} drying"
        if arc is not None:
            return arc.why or "the wait after it"
        if before >= 0:
            step = self.net.nodes[before].step
            return "the dust to settle" if step.dust else f"{step.product} on the {step.piece} in the same air"
        why = self.net.nodes[i].why
        return f"{why} drying" if why else "the beginning"

    def _clock(self, ready: int, start: int, *, loud: bool) -> list[tuple[str, int]]:
        hands, may = self.net.grid.hands[ready:start], self.net.grid.loud[ready:start]
        asleep = hands.count(0)
        quiet = may.count(0) - asleep if loud else 0
        busy = start - ready - asleep - quiet
        return [("sleep and time away", asleep), ("quiet hours", quiet), ("your own two hands", busy)]

    def critical(self) -> list[str]:
        """Give what the finish hangs on, the longest first: ``amber varnish on the hatch trim drying (30 h)``."""
        if not self.net.nodes:
            return []
        spent: Counter[str] = Counter()
        i = max(range(len(self.net.nodes)), key=lambda j: (self.layout.end(j), -j))
        seen = set[int]()
        while i >= 0 and i not in seen:
            seen.add(i)
            spent["work"] += self.layout.slots[i]
            link = self.link(i)
            for text, slots in link.causes:
                spent[text] += slots
            i = link.before
        out = [f"{text} ({slots / 4:g} h)" for text, slots in spent.most_common() if slots > 0]
        return [text for text in out if not text.startswith("the beginning")]
