"""How long a tin keeps: shelf life by label or family, unopened and opened, and what to look for."""

from __future__ import annotations

import calendar
import math
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Final

from assistant.craft.times import like
from assistant.library.cards import Card

#: Said so long before the date.
AHEAD: Final = timedelta(days=30)
#: What tells, whatever the date says: common practice, no source.
SIGNS: Final = {
    "two-pack": "an opened hardener takes up damp; mix a thimbleful and see that it goes off",
    "polyester": "an old catalyst loses its strength; mix a thimbleful and see that it goes off",
    "sealer": "look for crystals or jelly on the bottom; they do not stir in again",
    "adhesive": "stringy or lumpy glue does not hold; try it on a scrap",
    "": "look for skin, bits and a sour smell, and brush out a patch first",
}


def best_before(card: Card, bought: datetime | None, opened: datetime | None) -> tuple[date, str] | None:
    """Give the day a tin is past its shelf life, the earlier of the two, and why; None if nobody knows."""
    unopened_months, opened_months = card.shelf
    ends = []
    if bought is not None and unopened_months is not None:
        ends.append((_later(bought.date(), unopened_months), f"{unopened_months:g} months from buying"))
    if opened is not None and opened_months is not None:
        ends.append((_later(opened.date(), opened_months), f"{opened_months:g} months open"))
    return min(ends, default=None)


def aged(
    card: Card | None, name: str, tins: Sequence[tuple[datetime | None, datetime | None]], now: datetime
) -> tuple[str, ...]:
    """Warn of tins, each ``(bought, opened)``, that are past their shelf life or will be within a month."""
    out = []
    for bought, opened in tins if card is not None else ():
        assert card is not None
        zoned = [None if t is None else like(t, now) for t in (bought, opened)]
        end = best_before(card, zoned[0], zoned[1])
        if end is None:
            continue
        last, why = end
        basis = f"{why}: {card.basis.get('shelf', 'the label')}"
        if last < now.date():
            out.append(f"{name}: past its shelf life since {_said(last)} ({basis}); {sign(card)}")
        elif last <= now.date() + AHEAD:
            out.append(f"{name}: use it by {_said(last)} ({basis})")
    return tuple(dict.fromkeys(out))


def sign(card: Card) -> str:
    """Give what to look for in an old tin of this material."""
    if card.generic == "polyester":
        return SIGNS["polyester"]
    if card.ratio is not None or card.generic in ("epoxy", "polyurethane-2k"):
        return SIGNS["two-pack"]
    return SIGNS.get(card.kind, SIGNS[""])


def _said(day: date) -> str:
    return f"{day.day} {day:%B %Y}"


def _later(day: date, months: float) -> date:
    """Add months, rounded down: a shelf life is not stretched."""
    index = day.year * 12 + day.month - 1 + math.floor(months)
    year, month = divmod(index, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))
