"""Pot life by temperature and mass, and the pots that are running."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.air import warmest
from assistant.craft.mix import weight
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import down, like, utc
from assistant.journal.events import Mix
from assistant.journal.state import State
from assistant.library.cards import Card, Pot
from assistant.problem import Problem

#: 90 degF. Hotter, the working time is halved and batches kept small (TM 1-1500-204-23-11).
HOT: Final = (90.0 - 32.0) / 1.8
#: Degrees C between which a pot life means something.
COLDEST, HOTTEST = -60.0, 120.0
#: Heavier than the resins it stands for, so that a pot of unknown density is not taken for a small one.
HEAVY: Final = 1.2
MASS_BASIS: Final = "a bigger pot in proportion shorter: common practice, no source"


@dataclass(frozen=True, slots=True)
class RunningPot:
    """A pot that has not gone off: when it will, and when three quarters of its life are gone."""

    product: str
    mixed_at: datetime
    ends: datetime
    three_quarters: datetime
    grams: float | None
    celsius: float
    minutes: int
    notes: tuple[str, ...] = ()


def pot_life(pot: Pot, celsius: float, grams: float | None = None) -> int:
    """Whole minutes, rounded down, for ``grams`` in the pot at ``celsius``.

    Halves for each ``pot.step`` kelvin warmer and doubles colder (UFGS-09971 section 3.7.1.3 for 10 K).
    A heavier pot than the label's goes off in inverse proportion sooner; a lighter one gets no longer.
    Over 90 degF it is never more than half the label's time.
    """
    if not COLDEST <= celsius <= HOTTEST:
        raise Problem(f"at {celsius:g} degrees a pot life means nothing")
    if grams is not None and grams <= 0.0:
        raise Problem("a pot weighs more than nothing")
    life = pot.minutes * math.exp2((pot.celsius - celsius) / pot.step)
    if celsius > HOT:
        life = min(life, pot.minutes / 2.0)
    if grams is not None and pot.grams is not None and grams > pot.grams:
        life *= pot.grams / grams
    return math.floor(life + 1e-9)


def notes(pot: Pot, celsius: float, grams: float | None = None, *, assumed: bool = False) -> tuple[str, ...]:
    """Say in short sentences what the figure rests on and what to mind."""
    out = []
    if assumed:
        out.append(f"Nobody has said how warm it is: {celsius:g} degrees taken")
    if celsius > HOT:
        out.append("Over 32 degrees: half the working time, small batches, one at a time")
    if pot.grams is not None and grams is not None and grams > pot.grams:
        out.append(f"Over the label's {pot.grams:g} g, one pot heats and goes off sooner: spread it shallow")
    if pot.grams is not None and grams is None:
        out.append(f"For {pot.grams:g} g: more in one pot goes off sooner")
    return tuple(out)


def air_for(state: State, pot: Pot, start: datetime, now: datetime) -> tuple[float, bool]:
    """Give the degrees C to judge a pot by, and whether they are assumed.

    A mix is logged without a place, so the warmest space counts; nobody has said: the label's own
    temperature, or a warm room if that is more.
    """
    spell = warmest(state, start, now)
    if spell.source == "assumed":
        return max(spell.celsius, pot.celsius), True
    return spell.celsius, False


def running(state: State, cards: Cards, now: datetime) -> tuple[RunningPot, ...]:
    """Give the pots mixed that have not gone off by now, the one that ends first in front."""
    pots = [
        pot
        for mix in state.mixes
        if not _long_gone(state, cards, mix, now) and (pot := _running(state, cards, mix, now)) is not None
    ]
    return tuple(sorted((p for p in pots if utc(now) < utc(p.ends)), key=lambda p: utc(p.ends)))


def gone(state: State, cards: Cards, now: datetime) -> RunningPot | None:
    """Give the pot that went off last, if that was within three hours before now."""
    recent = (m for m in state.mixes if utc(m.at) > utc(now) - timedelta(hours=15))
    pots = [p for mix in recent if (p := _running(state, cards, mix, now)) is not None]
    pots = [p for p in pots if timedelta(0) <= utc(now) - utc(p.ends) < timedelta(hours=3)]
    return max(pots, key=lambda p: utc(p.ends), default=None)


def _long_gone(state: State, cards: Cards, mix: Mix, now: datetime) -> bool:
    """Whether the air it was mixed in has ended it by now: the warmest since then can only have done so sooner."""
    card = card_for(cards, mix.product)
    if card is None or card.pot is None:
        return True
    if utc(now) >= utc(_after(mix.at, pot_life(card.pot, COLDEST))):
        return True  # no air is cold enough for that
    celsius, assumed = air_for(state, card.pot, mix.at, mix.at)
    if assumed or not COLDEST <= celsius <= HOTTEST:
        return False
    return utc(now) >= utc(_after(mix.at, pot_life(card.pot, celsius, _grams(mix, card))))


def _running(state: State, cards: Cards, mix: Mix, now: datetime) -> RunningPot | None:
    card = card_for(cards, mix.product)
    if mix.product is None or card is None or card.pot is None or utc(mix.at) > utc(now):
        return None
    grams = _grams(mix, card)
    celsius, assumed = air_for(state, card.pot, mix.at, now)
    life = pot_life(card.pot, celsius, grams)
    start = like(mix.at, now)
    return RunningPot(
        mix.product, start, _after(start, life), _after(start, life * 0.75), grams, celsius, life,
        notes(card.pot, celsius, grams, assumed=assumed),
    )  # fmt: skip


def _after(start: datetime, life: float) -> datetime:
    # Down from the instant itself: a pot mixed at 10:00:40 for 30 minutes is done at 10:30.
    return down(like(utc(start) + timedelta(minutes=life), start))


def _grams(mix: Mix, card: Card) -> float | None:
    """Grams in the pot: by its parts, else by the density of the mix, else taken heavy."""
    if mix.parts:
        weights = [weight(amount, card.density, name) for name, amount in mix.parts]
        known = [w for w in weights if w is not None]
        if len(known) == len(weights):
            return sum(known)
    if mix.amount is None:
        return None
    known_mix = weight(mix.amount, card.density)
    return mix.amount.value * HEAVY if known_mix is None else known_mix
