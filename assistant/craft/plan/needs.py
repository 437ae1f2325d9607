"""What a day of the plan takes: products and amounts against the tins, and the gear to lay out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from assistant.craft.draws import converted
from assistant.craft.film import coverage
from assistant.craft.plan.step import Placed, Plan
from assistant.craft.shelf import Cards, card_for
from assistant.craft.stock import Stock, stock
from assistant.craft.times import utc
from assistant.journal.state import State
from assistant.problem import Problem
from assistant.quantity import Amount, ml, square_metres


@dataclass(frozen=True, slots=True)
class Need:
    """One product: ``needed`` None where no figure says how far it goes, ``left`` None where no tin is known.

    ``first`` is when it is wanted first; ``short`` is how much is missing, None if enough or not known.
    """

    product: str
    needed: Amount | None
    left: Amount | None
    short: Amount | None
    first: datetime
    pieces: tuple[str, ...]
    note: str = ""

    @property
    def text(self) -> str:
        """In words: ``amber varnish: 80 ml, 250 ml left``."""
        if self.needed is None:
            return f"{self.product}: {self.note}"
        out = f"{self.product}: {_said(self.needed)}"
        if self.left is None:
            return f"{out}, how much is left is not known"
        if self.short is not None:
            return f"{out}, only {_said(self.left)} left: {_said(self.short)} short"
        return f"{out}, {_said(self.left)} left"


@dataclass(frozen=True, slots=True)
class Needs:
    """What a day (or the whole plan) takes."""

    day: date | None
    products: tuple[Need, ...]
    gear: tuple[str, ...]
    steps: tuple[Placed, ...]

    @property
    def short(self) -> tuple[Need, ...]:
        """The products that do not reach."""
        return tuple(n for n in self.products if n.short is not None)


def needs(state: State, cards: Cards, plan: Plan, day: date | None = None) -> Needs:
    """Give what the steps of ``day`` take, or those of the whole plan.

    What the plan takes before that day is counted off what is left first, so that a tin is not promised
    twice.
    """
    steps = plan.steps if day is None else plan.on(day)
    held = stock(state, cards, plan.now)
    before = [] if day is None or not steps else [p for p in plan.steps if utc(p.start) < utc(steps[0].start)]
    gone = amounts(before, cards)
    out = [_need(cards, name, use, held, gone.get(name)) for name, use in amounts(steps, cards).items()]
    gear = dict.fromkeys(g for p in steps for g in p.step.gear)
    return Needs(day, tuple(out), tuple(gear), tuple(steps))


@dataclass(slots=True)
class Use:
    """How much of a product some steps take, and of which pieces no figure says."""

    first: datetime
    total: float = 0.0
    unknown: str = ""
    pieces: tuple[str, ...] = ()


def amounts(steps: Iterable[Placed], cards: Cards) -> dict[str, Use]:
    """Give what steps take of each product, in ml, loss included."""
    out: dict[str, Use] = {}
    for placed in steps:
        step = placed.step
        if not step.lays or step.product is None:
            continue
        use = out.setdefault(step.product, Use(placed.start))
        if step.piece is not None and step.piece not in use.pieces:
            use.pieces = (*use.pieces, step.piece)
        card = card_for(cards, step.product)
        try:
            if card is None:
                raise Problem(f"I have no label for {step.product}")
            use.total += coverage(card, square_metres(step.area), 1).amount.value
        except Problem as problem:
            use.unknown = str(problem)
    return out


def _need(cards: Cards, name: str, use: Use, held: Mapping[str, Stock], gone: Use | None) -> Need:
    shelf = held.get(name)
    left = None if shelf is None or shelf.left is None else converted(shelf.left, "ml", card_for(cards, name))
    if left is not None and gone is not None:
        left = max(left - gone.total, 0.0)
    needed = None if use.unknown and use.total == 0.0 else ml(round(use.total, 1))
    short = None
    if needed is not None and left is not None and needed.value > left + 0.5:
        short = ml(round(needed.value - left, 1))
    return Need(name, needed, None if left is None else ml(round(left, 1)), short, use.first, use.pieces, use.unknown)


def runs_out(cards: Cards, plan: Plan, product: str, left: float) -> Placed | None:
    """Give the step of the plan at which ``left`` ml of a product no longer reach, or None."""
    for placed in plan.steps:
        if placed.step.product == product:
            left -= amounts([placed], cards)[product].total
            if left < -0.5:
                return placed
    return None


def _said(amount: Amount) -> str:
    return f"{amount.value:.0f} {amount.unit}"
