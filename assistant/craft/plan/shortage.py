"""Tins that are spoiled, old or too small for the plan, and gear that has not come."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.draws import converted
from assistant.craft.keeping import best_before, sign
from assistant.craft.plan.change import Swap
from assistant.craft.plan.gear import USED_UP, meant
from assistant.craft.plan.needs import Use, amounts, runs_out
from assistant.craft.plan.pages import span
from assistant.craft.plan.step import Plan
from assistant.craft.plan.warning import Warning
from assistant.craft.plan.whatif import what_if
from assistant.craft.shelf import Cards, card_for
from assistant.craft.stock import Stock, stock
from assistant.craft.times import hours, like, spoken, utc
from assistant.journal.state import State

#: A tin bought so long ago is opened before the day it is wanted: common practice, no source.
LONG_AGO: Final = timedelta(days=365)
#: Mask filters are changed once a month in use: common practice, no source (the maker's word goes first).
FILTERS_LAST: Final = timedelta(days=28)
_ADHESIVE: Final = ("adhesive", "epoxy", "resin")


def tins(state: State, cards: Cards, now: datetime, plan: Plan, limit_s: float) -> Iterator[Warning]:
    """Warn of each product of the plan whose tins will not do."""
    held = stock(state, cards, now)
    for product, use in amounts(plan.steps, cards).items():
        shelf = held.get(product)
        if shelf is None or not shelf.tins:
            continue
        usable = [t for t in shelf.tins if not t.gone]
        if not usable:
            yield _gone(state, cards, plan, product, use, limit_s=limit_s)
            continue
        yield from _old(cards, now, product, use, shelf)
        yield from _short(cards, now, plan, product, shelf)


def _gone(state: State, cards: Cards, plan: Plan, product: str, use: Use, *, limit_s: float) -> Warning:
    now = plan.now
    changes = [t.change for t in state.stock if t.product == product and t.change in ("spoiled", "empty")]
    what = "spoiled" if changes and changes[-1] == "spoiled" else "gone"
    text = f"the {product} is {what} and wanted at {spoken(use.first, now)}: get another tin before"
    other = _substitute(state, cards, product)
    if other is not None:
        found = what_if(state, cards, now, Swap(other, product), before=plan, limit_s=limit_s)
        if found.finish_after is not None and found.gain_h is not None:
            later = span(-found.gain_h) + " later" if found.gain_h < 0 else "no later"
            text += f"; with {other} instead you finish at {spoken(found.finish_after, now)}, {later}"
            if found.after.late_by is not None:
                text += f" and {span(found.after.late_by / timedelta(hours=1))} past the deadline"
    return Warning(text, use.first, "tin")


def _substitute(state: State, cards: Cards, product: str) -> str | None:
    """Give another product of the same kind of which there is some left, or at least a label."""
    card = card_for(cards, product)
    held = stock(state, cards)
    alike = [n for n in state.labels if n != product and card and (c := card_for(cards, n)) and c.kind == card.kind]
    there = [n for n in alike if n in held and any(not t.gone for t in held[n].tins)]
    return next(iter(there or alike), None)


def _old(cards: Cards, now: datetime, product: str, use: Use, shelf: Stock) -> Iterator[Warning]:
    card = card_for(cards, product)
    for tin in shelf.tins:
        if tin.gone or card is None:
            continue
        end = best_before(card, tin.bought, tin.opened)
        wanted = spoken(use.first, now)
        if end is not None and end[0] < like(use.first, now).date():
            text = (
                f"the tin of {product} is past its time by {wanted} ({end[1]}): open it today, before you need "
                f"it; {sign(card)}"
            )
            yield Warning(text, use.first, "tin")
        elif tin.opened is None and tin.bought is not None and utc(use.first) - utc(tin.bought) > LONG_AGO:
            bought = like(tin.bought, now)
            text = f"the {product} was bought in {bought:%B %Y}: open it today, before you need it at {wanted}"
            yield Warning(text, use.first, "tin")


def _short(cards: Cards, now: datetime, plan: Plan, product: str, shelf: Stock) -> Iterator[Warning]:
    card = card_for(cards, product)
    left = None if shelf.left is None else converted(shelf.left, "ml", card)
    if left is None:
        return
    step = runs_out(cards, plan, product, left)
    if step is None:
        return
    needed = amounts(plan.steps, cards)[product].total
    about = "glue" if card is not None and card.kind in _ADHESIVE else "tin"
    text = (
        f"the {product} runs out at {step.step.text}, {spoken(step.start, now)}: {needed:.0f} ml wanted in all, "
        f"{left:.0f} ml left; get {needed - left:.0f} ml before"
    )
    yield Warning(text, step.start, about)


def gear(state: State, now: datetime, plan: Plan) -> Iterator[Warning]:
    """Warn of gear that an open task says has not come, and of filters that are old when they are wanted."""
    for item in USED_UP:
        wanted = next((p for p in plan.steps if item in p.step.gear), None)
        if wanted is None:
            continue
        task = next((t for t in _open(state) if meant(item, t)), None)
        when = spoken(wanted.start, now)
        if task is not None:
            text = f'"{task}" is still open, and {wanted.text} at {when} needs the {item}: not before it is done'
            yield Warning(text, wanted.start, "gear")
            continue
        fitted = [g.at for name, g in state.gear.items() if meant(item, name)]
        if fitted and utc(wanted.start) - utc(max(fitted, key=utc)) > FILTERS_LAST:
            days = hours(max(fitted, key=utc), wanted.start) / 24
            text = f"the filters are {days:.0f} days old by {when}, when {wanted.text} needs them: have new ones"
            yield Warning(text, wanted.start, "gear")


def _open(state: State) -> list[str]:
    said = [t.text for t in state.tasks if t.state == "open"]
    closed = {t.text.casefold() for t in state.tasks if t.state != "open"}
    return [*said, *(n for n in state.plans if n.casefold() not in closed)]
