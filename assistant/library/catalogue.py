"""Every material the job may speak of: its own labels, and the families behind them."""

from __future__ import annotations

from collections.abc import Mapping

from assistant.journal.state import Named
from assistant.library import families, labels
from assistant.library.cards import Card
from assistant.library.families import Head
from assistant.library.fields import Flaw, suggestion
from assistant.problem import Problem


class Library:
    """Cards by name, read when asked for and kept.

    ``labels`` are those of the state, by name; ``us`` takes a label's pints and gallons for the
    American ones. A library belongs to one state: make a new one when the labels change.
    """

    def __init__(self, labels: Mapping[str, Named], *, us: bool = False) -> None:
        self._labels = labels
        self._us = us
        self._cards: dict[str, Card] = {}

    def card(self, product: str) -> Card:
        """Give the card of a label (by its name or another of its names) or of a family.

        A family answers to its id, its title and its other names. ``Problem`` for a product that
        nobody knows (with the nearest that is known), and for a label whose figures cannot be.
        """
        if product not in self._cards:
            self._cards[product] = self._read(product)
        return self._cards[product]

    def _read(self, product: str) -> Card:
        if (label := self._label(product)) is not None:
            try:
                return labels.read(label.name, label.values, us=self._us)
            except Flaw as flaw:
                raise Problem(f'label "{label.name}" {flaw}') from None
        heads = families.index()
        if product in heads:
            return families.family(product)
        said = product.casefold()
        for head in heads.values():
            if said == head.title.casefold() or said in head.also:
                return families.family(head.id)
        known = [*self._labels, *heads, *(h.title for h in heads.values())]
        raise Problem(f'there is no product "{product}"{suggestion(product, known)}')

    def _label(self, product: str) -> Named | None:
        if product in self._labels:
            return self._labels[product]
        said = product.casefold()
        mine = [
            label
            for label in self._labels.values()
            if said == label.name.casefold() or said in (a.casefold() for a in label.also)
        ]
        return mine[0] if len(mine) == 1 else None  # a name that two share names neither

    def families(self) -> Mapping[str, Head]:
        """Give the head of every family, by id."""
        return families.index()

    def kinds(self) -> tuple[str, ...]:
        """Give every kind of material there is a family of, in order."""
        return tuple(sorted({head.kind for head in families.index().values()}))
