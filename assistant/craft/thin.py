"""Thinning: how much thinner a base takes, in percent by volume of the paint as it comes."""

from __future__ import annotations

from dataclasses import dataclass

from assistant.library.cards import Thinner
from assistant.problem import Problem
from assistant.quantity import Amount, percent


@dataclass(frozen=True, slots=True)
class Thinned:
    """``thinner`` to add to ``base``; ``percent`` is of the base. ``cautions`` are short sentences."""

    base: Amount
    thinner: Amount
    percent: Amount
    name: str | None
    cautions: tuple[str, ...] = ()
    source: str = "percent by volume of the paint"


def thin(base: Amount, by: float, thinner: Thinner | None = None) -> Thinned:
    """Add ``by`` percent of thinner to ``base`` (ml or g, the thinner in the same unit)."""
    _checked(base, by)
    return Thinned(
        base, Amount(base.value * by / 100.0, base.unit), percent(by), thinner.name if thinner else None,
        _cautions(base, by, thinner), _source(thinner),
    )  # fmt: skip


def thin_to(total: Amount, by: float, thinner: Thinner | None = None) -> Thinned:
    """Split a thinned ``total`` into the base and the thinner that make it."""
    _checked(total, by)
    return thin(Amount(total.value / (1.0 + by / 100.0), total.unit), by, thinner)


def _checked(amount: Amount, by: float) -> None:
    if amount.unit not in ("ml", "g") or amount.value <= 0.0:
        raise Problem("say how much there is to thin, in millilitres or grams")
    if not 0.0 < by <= 100.0:
        raise Problem("thinning is over 0 and up to 100 percent of the paint")


def _cautions(base: Amount, by: float, thinner: Thinner | None) -> tuple[str, ...]:
    out = []
    if thinner is None:
        out.append("The label names no thinner: try it on a scrap first")
    elif thinner.max is not None and by > thinner.max:
        if thinner.first is not None and by <= thinner.first:
            out.append(f"Only the first coat on bare wood: after that {thinner.max:g} percent at most")
        else:
            out.append(f"The label allows {thinner.max:g} percent at most")
    if base.unit == "g":
        out.append("Thinning goes by volume: by weight it comes out a little off")
    return tuple(out)


def _source(thinner: Thinner | None) -> str:
    return "percent by volume of the paint" + (f"; {thinner.basis}" if thinner else "")
