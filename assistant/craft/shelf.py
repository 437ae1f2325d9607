"""How the cards are asked for: ``Library.card``, or anything that gives None for what it does not know."""

from __future__ import annotations

from collections.abc import Callable

from assistant.library.cards import Card
from assistant.problem import Problem

Cards = Callable[[str], Card | None]


def card_for(cards: Cards, product: str | None) -> Card | None:
    """Give the card of a product, or None when there is none or its label cannot be read."""
    return found(cards, product)[0]


def found(cards: Cards, product: str | None) -> tuple[Card | None, str | None]:
    """Give the card, or None and why there is none."""
    if product is None:
        return None, "I don't know what was put on"
    try:
        card = cards(product)
    except Problem as problem:
        return None, str(problem)
    return card, None if card else f"I have no label for {product}"
