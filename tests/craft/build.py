"""Small cards and jobs for the tests of the trade's reasoning."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from assistant.craft.air import Spell
from assistant.journal.events import Bond, Clean, Climate, Coat, Event, Mix, Sand, Set
from assistant.journal.state import State, fold
from assistant.library.cards import Card, Law, Pot, Rate, Row
from assistant.quantity import celsius, percent

LONDON = ZoneInfo("Europe/London")
DOUBLING = Rate("doubling", step=10.0)


def t(text: str) -> datetime:
    """A time in the job's zone: "14 20:15" is 20:15 on 14 March 2026."""
    day, clock = text.split()
    whole = day if "-" in day else f"2026-03-{int(day):02d}"
    return datetime.fromisoformat(f"{whole} {clock}").replace(tzinfo=LONDON)


def law(*rows: tuple[float, float], rate: Rate = DOUBLING, basis: str = "the label") -> Law:
    return Law(tuple(Row(c, h) for c, h in rows), rate, basis, from_label=True)


def spells(*parts: tuple[float, float | None], start: datetime | None = None) -> tuple[Spell, ...]:
    """Spells one after another, each ``(celsius, hours)``; None hours: no end."""
    from datetime import UTC, timedelta

    at = (start or t("10 00:00")).astimezone(UTC)
    out = []
    for degrees, hours in parts:
        end = None if hours is None else at + timedelta(hours=hours)
        out.append(Spell(at, end, degrees, "logged"))
        at = end or at
    return tuple(out)


def varnish(**changes: Any) -> Card:
    """Touch 1 h, dust 2 h, sand 6 h, overcoat 6 to 72 h, cured 7 days; all at 20 degC."""
    card = Card(
        name="amber varnish", family="varnish-polyurethane-1k", kind="varnish", title="one-pack varnish",
        stages={
            "touch": law((20, 1)), "dust": law((20, 2)), "sand": law((20, 6)), "overcoat": law((20, 6)),
            "handle": law((20, 16)), "cured": law((20, 168)),
        },
        overcoat_max=law((20, 72)), least=5.0,
    )  # fmt: skip
    return replace(card, **changes)


def epoxy(**changes: Any) -> Card:
    card = Card(
        name="tread epoxy", family="epoxy-adhesive", kind="adhesive", title="epoxy adhesive",
        stages={"handle": law((20, 12)), "cured": law((20, 96))},
        pot=Pot(20.0, 30.0, 100.0, 10.0, "the label"), least=8.0, density={"resin": 1.15, "hardener": 1.0},
    )  # fmt: skip
    return replace(card, **changes)


def shelf(*cards: Card) -> Callable[[str], Card | None]:
    known = {card.name: card for card in cards}
    return known.get


def job(*events: Event) -> State:
    """The fore cabin at 20 degC with hatch trim and rail in it, the galley with doors; then ``events``."""
    made = [
        Set(what="space", name="fore cabin", values={"temperature": "20 degC"}),
        Set(what="space", name="galley", values={"temperature": "15 degC"}),
        Set(what="piece", name="hatch trim", values={"space": "fore cabin"}),
        Set(what="piece", name="hatch rail", values={"space": "fore cabin"}),
        Set(what="piece", name="galley doors", values={"space": "galley"}),
        Set(what="piece", name="cratch board", values={}),
    ]
    return fold([*made, *events])


def coat(at: str, piece: str = "hatch trim", product: str | None = "amber varnish", n: int = 1) -> Coat:
    return Coat(piece=piece, product=product, coat=n, at=t(at), said_at=t(at))


def sand(at: str, piece: str = "hatch trim", grit: int | None = 240) -> Sand:
    return Sand(piece=piece, grit=grit, at=t(at))


def clean(at: str, piece: str = "hatch trim") -> Clean:
    return Clean(piece=piece, at=t(at))


def bond(at: str, piece: str = "hatch trim", product: str = "tread epoxy") -> Bond:
    return Bond(piece=piece, product=product, at=t(at))


def reading(at: str, degrees: float | None, space: str | None = "fore cabin", until: str | None = None,
            damp: float | None = None) -> Climate:  # fmt: skip
    return Climate(
        space=space, at=t(at), until=t(until) if until else None,
        temperature=None if degrees is None else celsius(degrees),
        humidity=None if damp is None else percent(damp),
    )  # fmt: skip


def mix(at: str, amount: Any = None, product: str = "tread epoxy", parts: Any = None) -> Mix:
    return Mix(product=product, amount=amount, parts=parts, at=t(at))
