"""What the plan still takes, what of it is short, and what to buy."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from assistant.craft.draws import area_of, converted, written
from assistant.craft.film import coverage
from assistant.craft.mix import Portions, portions
from assistant.craft.shelf import Cards, card_for
from assistant.craft.stock import Stock, stock
from assistant.craft.wanted import wanted as wanted_coats
from assistant.journal.state import State
from assistant.problem import Problem
from assistant.quantity import Amount


@dataclass(frozen=True, slots=True)
class Need:
    """What the coats still planned take of a product, loss included; ``unknown`` says what is not in it."""

    product: str
    amount: Amount
    coats: int
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Short:
    """What is needed of a product against what is left; ``missing`` is None where that cannot be said."""

    product: str
    needed: Amount
    left: Amount | None
    missing: Amount | None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Buy:
    """One line of the shopping list: ``tins`` of ``size`` where a size is known."""

    product: str
    missing: Amount | None
    tins: int | None
    size: Amount | None
    why: str


def needs(state: State, cards: Cards) -> dict[str, Need]:
    """Give what the coats that are wanted and not on yet will take, by product."""
    out: dict[str, Need] = {}
    for line in wanted_coats(state):
        label, piece = line.label, line.piece
        left = line.coats - state.coats.get(piece, {}).get(label, 0)
        if left < 1:
            continue
        before = out.get(label, Need(label, Amount(0.0, "ml"), 0))
        card, area = card_for(cards, label), area_of(state, piece)
        try:
            if card is None or area is None:
                raise Problem(f"no {'area for the ' + piece if card else 'label for ' + label}")
            more = coverage(card, area, left).amount.value
        except Problem as problem:
            out[label] = Need(label, before.amount, before.coats + left, (*before.unknown, str(problem)))
            continue
        out[label] = Need(label, Amount(before.amount.value + more, "ml"), before.coats + left, before.unknown)
    return out


def short(
    state: State,
    cards: Cards,
    wanted: Mapping[str, Amount] | None = None,
    have: Mapping[str, Stock] | None = None,
) -> list[Short]:
    """Set what is wanted (by default what the plan still takes) against the stock, product by product."""
    plan = needs(state, cards)
    amounts = {name: need.amount for name, need in plan.items()} if wanted is None else dict(wanted)
    held = stock(state, cards) if have is None else have
    out = []
    for product, amount in amounts.items():
        shelf = held.get(product)
        left = shelf.left if shelf else Amount(0.0, amount.unit)
        notes = [
            *(plan[product].unknown if wanted is None and product in plan else ()),
            *(shelf.notes if shelf else ()),
        ]
        missing = None
        if left is not None:
            value = converted(left, amount.unit, card_for(cards, product))
            if value is None:
                notes.append(f"no density to compare {left.unit} with {amount.unit}")
            else:
                missing = Amount(max(0.0, amount.value - value), amount.unit)
        out.append(Short(product, amount, left, missing, tuple(dict.fromkeys(notes))))
    return out


def shopping(
    state: State, cards: Cards, now: datetime | None = None, have: Mapping[str, Stock] | None = None
) -> list[Buy]:
    """Give what to buy: what the plan is short of in whole tins, and what was used up or is too old."""
    held = stock(state, cards, now) if have is None else have
    out = []
    listed = set()
    for line in short(state, cards, have=held):
        if line.missing is not None and line.missing.value < 0.5:
            continue
        listed.add(line.product)
        size = _size(state, line.product, held.get(line.product))
        out.append(_line(cards, line, size))
    for product, shelf in held.items():
        if product in listed or not shelf.tins:
            continue
        if shelf.left is not None and shelf.left.value < 0.5:
            out.append(Buy(product, None, None, None, "it is all gone, and nothing planned needs it"))
        elif past := [w for w in shelf.warnings if "past its" in w]:
            out.append(Buy(product, None, None, None, past[0]))
    return out


def _line(cards: Cards, line: Short, size: Amount | None) -> Buy:
    if line.missing is None:
        return Buy(line.product, None, None, size, "how much is left is not known: look in the tin")
    each = converted(size, line.missing.unit, card_for(cards, line.product)) if size else None
    tins = math.ceil(line.missing.value / each - 1e-9) if each else None
    return Buy(line.product, line.missing, tins, size, "the plan takes more than is left")


def _size(state: State, product: str, shelf: Stock | None) -> Amount | None:
    if shelf and (sizes := [t.size for t in shelf.tins if t.size is not None]):
        return sizes[-1]
    loaded = [t for t in state.tins.values() if t.values.get("label") == product]
    return written(state, loaded[-1].values.get("size"), "amount") if loaded else None


def kit(state: State, cards: Cards, product: str, share: float = 1.0) -> Portions:
    """Give the parts of a share of the kit that is in use: "half the kit" is ``share`` 0.5.

    The kit is the product's tin in use, or its last; ``Problem`` where its size or ratio is not known.
    """
    card = card_for(cards, product)
    if card is None or card.ratio is None:
        raise Problem(f"{product} has no mixing ratio: it is no kit")
    if not 0.0 < share <= 1.0:
        raise Problem("a share of the kit is more than nothing and at most all of it")
    shelf = stock(state, cards).get(card.name if card.label else product)
    tins = [t for t in shelf.tins if t.size is not None] if shelf else []
    in_use = [t for t in tins if not t.gone]
    opened = [t for t in in_use if t.opened is not None]
    held = next(iter(opened or in_use or tins[-1:]), None)
    if held is None or held.size is None:
        raise Problem(f"nobody said how big the kit of {product} is: say how much was mixed")
    return portions(card.ratio, card.density, Amount(held.size.value * share, held.size.unit), "total")
