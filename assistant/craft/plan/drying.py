"""The cure integral on the grid: for each slot a film may be laid in, the slot its stages come in.

The same sum as ``craft.cure.reach``, taken for every slot of the grid in one walk along the spells.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import accumulate
from typing import Final, NamedTuple

from assistant.craft.air import WARM, Spell, temperatures
from assistant.craft.cure import hours_at
from assistant.craft.plan.grid import NEVER, Grid
from assistant.craft.readiness import STAND_IN, UNKNOWN_WET
from assistant.craft.shelf import Cards, card_for
from assistant.journal.state import State
from assistant.library.cards import Card, Law

#: A hair of a slot (0.9 ms), as in ``craft.times``.
_HAIR: Final = 1e-6
_PER_HOUR: Final = 4


class Run(NamedTuple):
    """A stretch of a table in which what comes is a straight line of when it was laid.

    From slot ``first`` on (to the next run), exactly ``slope * t + offset`` before rounding to slots.
    """

    first: int
    slope: float
    offset: float


@dataclass(frozen=True, slots=True)
class Table:
    """``slots[t]`` is what comes of a film laid at slot t; ``guess`` says in words why it is no figure.

    ``runs`` are the straight stretches it is made of; after the last, marked by a slope of -1, it never comes.
    """

    slots: tuple[int, ...]
    runs: tuple[Run, ...]
    guess: str | None = None

    def __getitem__(self, slot: int) -> int:
        return self.slots[slot] if slot < len(self.slots) else NEVER

    def sooner(self, by: int) -> Table:
        """Give the same table with everything ``by`` slots sooner: a start, for what must have ended by then."""
        slots = tuple(t - by if t < NEVER else NEVER for t in self.slots)
        return Table(slots, tuple(r._replace(offset=r.offset - by) for r in self.runs), self.guess)

    def least(self) -> int:
        """Give the shortest of the waits: what is ruled out however it falls."""
        return min((end - t for t, end in enumerate(self.slots) if end < NEVER), default=NEVER)


def steady(wait: int, size: int, guess: str | None = None) -> Table:
    """Give the table of a wait that is the same at all times."""
    slots = tuple(t + wait if t + wait < size else NEVER for t in range(size))
    return Table(slots, (Run(0, 1.0, float(wait)),), guess)


def stage_law(card: Card, stage: str) -> Law | None:
    """Give the law of a stage, or of the later one that stands in for it, at the late end of its ranges."""
    for other in (stage, *STAND_IN.get(stage, ())):
        law = card.stages.get(other)
        if law is not None and law.rows:
            late = tuple(replace(r, hours=max(r.hours, r.early or r.hours)) for r in law.rows)
            return replace(law, rows=late)
    return None


class Drying:
    """Tables by product, stage and space, made when asked for and kept."""

    def __init__(self, state: State, cards: Cards, grid: Grid) -> None:
        self.state, self.cards, self.grid = state, cards, grid
        self._spells: dict[str | None, tuple[Spell, ...]] = {}
        self._tables: dict[tuple[str | None, str, str | None], Table] = {}

    def spells(self, space: str | None) -> tuple[Spell, ...]:
        """Give the air expected in a space from slot 0 on."""
        if space not in self._spells:
            start = self.grid.time(0)
            self._spells[space] = temperatures(self.state, space, start, self.grid.now)
        return self._spells[space]

    def comes(self, product: str | None, stage: str, space: str | None) -> Table:
        """Give the first slot in which ``stage`` is reached. Without figures a day is taken, and said."""
        key = (product, stage, space)
        if key not in self._tables:
            card = card_for(self.cards, product)
            law = stage_law(card, stage) if card else None
            if card is None or law is None:
                what = product or "what was put on"
                guess = f"I have no time for {what} ({stage}): a day taken, so this is no promise"
                self._tables[key] = steady(math.ceil(UNKNOWN_WET * _PER_HOUR), self.grid.size, guess)
            else:
                self._tables[key] = walk(law, self.spells(space), card.least, self.grid, up=True)
        return self._tables[key]

    def shuts(self, product: str | None, space: str | None) -> Table | None:
        """Give the last slot in which it may still be coated, or None where no window shuts."""
        card = card_for(self.cards, product)
        law = card.overcoat_max if card else None
        if law is None or not law.rows:
            return None
        key = (product, "shuts", space)
        if key not in self._tables:
            early = tuple(replace(r, hours=min(r.hours, r.early or r.hours)) for r in law.rows)
            warm = [s._replace(celsius=WARM) if s.source == "assumed" else s for s in self.spells(space)]
            # Cold stops the cure; it does not hold a window open: no least temperature here.
            self._tables[key] = walk(replace(law, rows=early), warm, None, self.grid, up=False)
        return self._tables[key]

    def stands_still(self, product: str | None, space: str | None) -> bool:
        """Say whether the air expected is under the film's least temperature all the time."""
        card = card_for(self.cards, product)
        if card is None or card.least is None:
            return False
        return all(s.celsius < card.least for s in self.spells(space))

    def warm(self, product: str | None, space: str | None) -> bytes | None:
        """Give a 1 for each slot in which it may be laid: warm enough, then and until it is touch dry.

        None where nobody gave a least temperature.
        """
        card = card_for(self.cards, product)
        if card is None or card.least is None:
            return None
        cold = [0] * (self.grid.size + 1)  # how many slots up to here are too cold
        spells = self.spells(space)
        for spell in spells:
            if spell.celsius < card.least and spell.source != "assumed":
                first = min(max(self.grid.down(spell.start), 0), self.grid.size)
                last = self.grid.size if spell.end is None else min(self.grid.up(spell.end), self.grid.size)
                cold[first:last] = [1] * (last - first)
        if not any(cold):
            return None
        before = list(accumulate(cold, initial=0))
        touch = self.comes(product, "touch", space)
        dry = [min(touch[t], self.grid.size) for t in range(self.grid.size)]
        fit = [before[max(dry[t], t + 1)] == before[t] for t in range(self.grid.size)]
        return bytes(a and b for a, b in zip(fit, [*fit[1:], fit[-1]], strict=True))

    def least(self, product: str | None) -> float:
        """Give the least film temperature of a product in degC (0 where nobody gave one)."""
        card = card_for(self.cards, product)
        return card.least if card is not None and card.least is not None else 0.0


def walk(law: Law, spells: Sequence[Spell], least: float | None, grid: Grid, *, up: bool) -> Table:
    """Give for each slot t the slot by which the integral from t comes to one.

    ``up`` rounds to the next slot (what must be dry), else to the one before (what shuts). A slot beyond
    the grid is NEVER.
    """
    begins, rates, sums = _sums(law, spells, least, grid)
    out: list[int] = []
    runs: list[Run] = []
    here = there = 0
    before = (-1, -1)
    last = len(begins) - 1
    for t in range(grid.size):
        at = t / _PER_HOUR
        while here < last and begins[here + 1] <= at:
            here += 1
        target = sums[here] + (at - begins[here]) * rates[here] + 1.0
        there = max(there, here)
        while there < last and sums[there + 1] < target:
            there += 1
        if rates[there] <= 0.0:
            out += [NEVER] * (grid.size - t)
            runs.append(Run(t, -1.0, 0.0))
            break
        exact = (begins[there] + (target - sums[there]) / rates[there]) * _PER_HOUR
        if (here, there) != before:
            slope = rates[here] / rates[there]
            runs.append(Run(t, slope, exact - slope * t))
            before = (here, there)
        slot = math.ceil(exact - _HAIR) if up else math.floor(exact + _HAIR)
        out.append(slot if slot < grid.size else NEVER)
    return Table(tuple(out), tuple(runs))


def _sums(
    law: Law, spells: Sequence[Spell], least: float | None, grid: Grid
) -> tuple[list[float], list[float], list[float]]:
    """Give for each spell its beginning in hours, its cure an hour, and the cure done before it."""
    begins = [0.0, *(max(grid.hour(s.start), 0.0) for s in spells[1:])]
    rates = [
        0.0 if least is not None and s.celsius < least else 1.0 / max(hours_at(law, s.celsius), 1e-6) for s in spells
    ]
    sums = [0.0]
    for i in range(1, len(begins)):
        sums.append(sums[-1] + (begins[i] - begins[i - 1]) * rates[i - 1])
    return begins, rates, sums


def stage_times(
    drying: Drying, product: str | None, space: str | None, slot: int, stages: Sequence[str]
) -> tuple[tuple[str, datetime | None], ...]:
    """Give the clock time of each stage for a film laid at ``slot``; stages without figures are left out."""
    out: list[tuple[str, datetime | None]] = []
    for stage in stages:
        table = drying.comes(product, stage, space)
        if table.guess is None:
            comes = table[slot]
            out.append((stage, None if comes >= NEVER else drying.grid.time(comes)))
    return tuple(out)
