"""Film build: how thick, how far it goes, how much is needed.

Dry film = wet film x solids by volume, and m2 a litre = 10 x solids % / dry microns
(MIL-HDBK-1110 section 2.1.5 and the usual coating-practice worked examples).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.library.cards import Card
from assistant.problem import Problem
from assistant.quantity import Amount, ml, square_metres

#: Left in the brush, the kettle and the tin: common practice, no source.
LOSS: Final = 10.0


@dataclass(frozen=True, slots=True)
class Coverage:
    """What ``coats`` over ``area`` take: ``amount`` has ``loss`` percent in it; ``rate`` is m2 a litre."""

    area: Amount
    coats: int
    amount: Amount
    rate: float
    loss: float
    source: str


def dry_film(wet: float, solids: float, thinned: float = 0.0) -> float:
    """Dry microns that ``wet`` microns leave; ``solids`` and ``thinned`` in percent by volume."""
    return wet * _fraction(solids) / _diluted(thinned)


def wet_film(dry: float, solids: float, thinned: float = 0.0) -> float:
    """Wet microns to lay for ``dry`` microns; ``solids`` and ``thinned`` in percent by volume."""
    return dry * _diluted(thinned) / _fraction(solids)


def spreading_rate(solids: float, dry: float) -> float:
    """Square metres a litre covers at ``dry`` microns, with nothing lost."""
    if dry <= 0.0:
        raise Problem("a dry film has to be thicker than nothing: say how many microns")
    return 1000.0 * _fraction(solids) / dry


def coverage(card: Card, area: Amount, coats: int, loss: float = LOSS) -> Coverage:
    """Work out how much of ``card`` it takes to give ``area`` (m2) so many coats.

    The label's own spreading rate goes first, then solids and film thickness; ``Problem`` says which
    of those figures is missing.
    """
    if area.unit != "m2" or area.value <= 0.0:
        raise Problem("an area in square metres is needed to work out how much")
    if coats < 1:
        raise Problem("say how many coats: one or more")
    if not 0.0 <= loss < 100.0:
        raise Problem("a loss is from 0 to under 100 percent")
    rate, source = _rate(card)
    amount = ml(1000.0 * area.value * coats / rate / (1.0 - loss / 100.0))
    return Coverage(square_metres(area.value), coats, amount, rate, loss, source)


def _rate(card: Card) -> tuple[float, str]:
    if card.spread is not None and card.spread > 0.0:
        return card.spread, card.basis.get("spread", "the label's spreading rate")
    missing = [name for name, value in (("volume solids", card.solids), ("film", card.film)) if not value]
    if card.solids is None or card.film is None or missing:
        raise Problem(
            f"I have no {' or '.join(missing)} for {card.name}: put its spreading rate from the tin in the job file"
        )
    basis = "; ".join(f"{key}: {card.basis[key]}" for key in ("solids", "film") if key in card.basis)
    return spreading_rate(card.solids, card.film), basis or "solids and film thickness of the card"


def _fraction(solids: float) -> float:
    if not 0.0 < solids <= 100.0:
        raise Problem(f"{solids:g} percent solids cannot be: it is over 0 and up to 100")
    return solids / 100.0


def _diluted(thinned: float) -> float:
    if thinned < 0.0:
        raise Problem("it cannot be thinned by less than nothing")
    return 1.0 + thinned / 100.0
