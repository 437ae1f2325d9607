"""The steps on the grid, and all that ties them: waits, windows, dust, pots, and who comes first."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.craft.plan.drying import Drying, Table
from assistant.craft.plan.grid import Grid
from assistant.craft.plan.step import Step


@dataclass(slots=True)
class Node:
    """A step in slots. ``head``: not before; ``last``: not after; ``window``: after it, ``extra`` slots more.

    ``loud``: only where noise may be; ``warm``: only in slots with a 1. ``why`` says what the head is, for the
    words of the answer.
    """

    step: Step
    slots: int
    head: int = 0
    last: int | None = None
    window: int | None = None
    extra: int = 0
    why: str = ""
    warm: bytes | None = None

    @property
    def loud(self) -> bool:
        """Whether it may be done only out of quiet hours."""
        return self.step.noise


@dataclass(frozen=True, slots=True)
class Arc:
    """``after`` starts no sooner than ``table[end of before] + lag`` (without a table: end + lag)."""

    before: int
    after: int
    lag: int = 0
    table: Table | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Limit:
    """``after`` starts no later than ``table`` of the end of ``before`` (or of its start) allows.

    ``extra`` None: it must. Else it may, at the price of so many slots, once ``hard`` says it can be keyed.
    """

    before: int
    after: int
    table: Table
    from_start: bool = False
    extra: int | None = None
    hard: Table | None = None


@dataclass(frozen=True, slots=True)
class Clash:
    """Dust (or heat) of ``dusty`` and the film of ``wet`` in one air: settled before, or dry by then."""

    dusty: int
    wet: int
    settle: int
    table: Table


@dataclass(slots=True)
class Net:
    """The whole of it. ``visits`` are the groups of nodes of which one may be done in the night."""

    grid: Grid
    drying: Drying
    nodes: list[Node] = field(default_factory=list)
    arcs: list[Arc] = field(default_factory=list)
    limits: list[Limit] = field(default_factory=list)
    clashes: list[Clash] = field(default_factory=list)
    visits: list[tuple[int, ...]] = field(default_factory=list)
    night_hour: int | None = None
    dead: dict[int, str] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)
    assumes: list[str] = field(default_factory=list)

    def guesses(self) -> list[str]:
        """Give the waits that are no figures, in words."""
        tables = [a.table for a in self.arcs if a.table is not None]
        return list(dict.fromkeys(t.guess for t in tables if t.guess is not None))

    def reaches(self) -> list[int]:
        """Give for each node the set of nodes that come after it by the arcs, as bits."""
        after: list[list[int]] = [[] for _ in self.nodes]
        for arc in self.arcs:
            after[arc.before].append(arc.after)
        out = [0] * len(self.nodes)
        for i in reversed(self.order()):
            for j in after[i]:
                out[i] |= out[j] | 1 << j
        return out

    def order(self) -> list[int]:
        """Give the nodes so that each comes after those it waits for."""
        left = [0] * len(self.nodes)
        after: list[list[int]] = [[] for _ in self.nodes]
        for arc in self.arcs:
            left[arc.after] += 1
            after[arc.before].append(arc.after)
        free = [i for i, n in enumerate(left) if n == 0]
        out = []
        while free:
            i = free.pop()
            out.append(i)
            for j in after[i]:
                left[j] -= 1
                if left[j] == 0:
                    free.append(j)
        return out
