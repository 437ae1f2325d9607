"""Mixing: parts by volume or by weight, measured out in what the person has in hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from assistant.library.cards import Card, Ratio
from assistant.problem import Problem
from assistant.quantity import Amount, grams
from assistant.wording import amount as spoken_amount

Parts = tuple[tuple[str, Amount], ...]

#: The most that one person mixes at once, in ml or g; more is a slip of the tongue.
MOST: Final = 20000.0
#: Parts told that are further than this from the label's ratio are warned of (common practice, no source).
_OFF: Final = 0.05
#: What the second part of a two-part product is called by one or another.
_SECOND: Final = ("hardener", "activator", "catalyst")
_FIRST: Final = ("resin", "base")


@dataclass(frozen=True, slots=True)
class Portions:
    """What to measure out, in label order and all in one unit, and what it comes to.

    ``reading`` says what the stated amount was taken to be: ``base``, ``total`` or a part's name.
    """

    parts: Parts
    total: Amount
    reading: str


@dataclass(frozen=True, slots=True)
class Measured:
    """Portions rounded to what the measure shows; ``error`` is the worst part's ratio error in percent.

    ``says`` is a short sentence when that is over 2 percent.
    """

    parts: Parts
    total: Amount
    step: float
    error: float
    says: str | None


def portions(
    ratio: Ratio, densities: Mapping[str, float], amount: Amount, reading: str, given: str | None = None
) -> Portions:
    """Work out the parts from an amount in ml or g, in that same unit.

    ``reading`` ``base`` takes the amount as the first part, ``total`` as everything together;
    ``given`` names the part whose amount it is and goes before ``reading``. Densities (g/ml by part)
    are needed when the ratio is by weight and the amount by volume, or the other way about;
    ``Problem`` names the one that is missing.
    """
    if amount.unit not in ("ml", "g") or not 0.0 < amount.value < math.inf:
        raise Problem("say how much, in millilitres or grams, and more than nothing")
    if reading not in ("base", "total"):
        raise ValueError(f"a reading is base or total, not {reading!r}")
    shares = [_share(ratio, part, densities, amount.unit) for part in ratio.parts]
    whole = sum(share for _, share in shares)
    basis = whole if reading == "total" else shares[0][1]
    if given is not None:
        basis = _named(shares, given)
    parts = tuple((name, Amount(amount.value * share / basis, amount.unit)) for name, share in shares)
    return Portions(parts, Amount(amount.value * whole / basis, amount.unit), given or reading)


def step_for(parts: Parts) -> float:
    """Give what the measure shows: 1, or 0.5 where a part is under 20 (common practice, no source)."""
    return 1.0 if min(amount.value for _, amount in parts) >= 20.0 else 0.5


def measured(parts: Parts, step: float) -> Measured:
    """Round each part to a whole number of ``step`` (never to none) and say what that does to the ratio."""
    if step <= 0.0:
        raise ValueError("a step is more than nothing")
    steps = [max(1, math.floor(amount.value / step + 0.5)) for _, amount in parts]
    rounded = tuple((name, Amount(n * step, amount.unit)) for n, (name, amount) in zip(steps, parts, strict=True))
    first = rounded[0][1].value / parts[0][1].value
    errors = [
        abs(now.value / was.value / first - 1.0) * 100.0
        for (_, now), (_, was) in zip(rounded[1:], parts[1:], strict=True)
    ]
    error = max(errors, default=0.0)
    says = None
    if error > 2.0:
        says = f"Rounded so, the ratio is {error:.0f} percent out: use a finer measure or mix more"
    return Measured(rounded, Amount(sum(a.value for _, a in rounded), parts[0][1].unit), step, error, says)


def phr(ahew: float, eew: float) -> float:
    """Parts of amine hardener to a hundred of resin by weight: AHEW x 100 / EEW (textbook)."""
    if ahew <= 0.0 or eew <= 0.0:
        raise Problem("equivalent weights are more than nothing")
    return ahew * 100.0 / eew


def catalyst(base: Amount, by: float, density: float | None = None) -> Amount:
    """Grams of peroxide catalyst for a polyester ``base``, ``by`` percent of its weight.

    1 to 2 percent is common practice; ``Problem`` over 4, and for a base in ml without its density.
    """
    if not 0.0 < by <= 4.0:
        raise Problem("peroxide catalyst goes in at 1 to 2 percent: read the tin")
    if base.unit not in ("ml", "g") or base.value <= 0.0:
        raise Problem("say how much resin or filler there is, in millilitres or grams")
    if base.unit == "ml" and not density:
        raise Problem("weigh the resin or filler: I don't know what a millilitre of it weighs")
    weight = base.value * (density or 1.0) if base.unit == "ml" else base.value
    return grams(weight * by / 100.0)


def weight(amount: Amount, densities: Mapping[str, float], name: str = "mixed") -> float | None:
    """Grams of an amount in g or ml, by the density of ``name``; None if that is not known."""
    if amount.unit == "g":
        return amount.value
    density = densities.get(name)
    return amount.value * density if amount.unit == "ml" and density else None


def _share(ratio: Ratio, part: tuple[str, float], densities: Mapping[str, float], unit: str) -> tuple[str, float]:
    """Give a part of the ratio in the unit that will be measured."""
    name, number = part
    if (ratio.by == "weight") == (unit == "g"):
        return name, number
    density = densities.get(name)
    if not density or density <= 0.0:
        measure = "weight" if ratio.by == "weight" else "volume"
        instead = "weigh it" if ratio.by == "weight" else "measure it in millilitres"
        raise Problem(f"the ratio is by {measure} and I have no density for the {name}: {instead}")
    return name, number / density if unit == "ml" else number * density


def _named(shares: list[tuple[str, float]], given: str) -> float:
    for name, share in shares:
        if name.casefold() == given.casefold():
            return share
    names = " and ".join(name for name, _ in shares)
    raise Problem(f"there is no {given} in it: its parts are {names}")


def sized(said: Amount) -> Amount:
    """Give an amount that can be; ``Problem`` for none and for more than anyone mixes."""
    if said.value <= 0:
        raise Problem(f"{spoken_amount(said)} is no amount: say how much")
    if said.value > MOST:
        raise Problem(f"{spoken_amount(said)} is more than anyone mixes at once: say it again")
    return said


def part_of(card: Card | None, said: str) -> str | None:
    """Give the label's name of a part said as "hardener"; the second part answers to every such word."""
    if card is None or card.ratio is None:
        return None
    names = [name for name, _ in card.ratio.parts]
    same = [n for n in names if said in n.lower() or n.lower() in said]
    if same:
        return same[0]
    if said in _SECOND and len(names) > 1 and not any(w in names[0].lower() for w in _SECOND):
        return names[1]
    return names[0] if said in _FIRST else None


def with_parts(labels: list[str], said: Iterable[str], card_of: Callable[[str], Card | None]) -> list[str]:
    """Give the labels that have the parts spoken of, those that have them by these very names first.

    ``said`` are the parts' names; where none is said or none fits, all labels are given.
    """
    parts = {*said}
    if not parts:
        return labels
    named = [n for n in labels if (c := card_of(n)) and c.ratio and {p.lower() for p, _ in c.ratio.parts} >= parts]
    glues = [n for n in named if (c := card_of(n)) and c.kind in ("epoxy", "adhesive")]
    if len(glues) == 1:
        return glues  # resin and hardener are poured by volume; a filler is asked for by its name
    return named or [n for n in labels if all(part_of(card_of(n), p) for p in parts)] or labels


def alike(said: Sequence[float], label: Sequence[float]) -> bool:
    """Whether parts stand to each other as the label's do."""
    shares = zip(said, label, strict=True)
    return all(abs(a / sum(said) / (b / sum(label)) - 1) <= _OFF for a, b in shares)
