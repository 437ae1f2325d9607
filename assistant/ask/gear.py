"""Gear: when a filter, a blade or a roller was last changed, and what a day's work wants."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Facts, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.ask.week import week
from assistant.craft.times import like
from assistant.language.query import At, Between, By, Property, Query, Shape
from assistant.library.cautions import cautions_for
from assistant.quantity import Amount
from assistant.wording import listed, when


@dataclass(frozen=True, slots=True)
class Item:
    """A thing: when it was changed, or how much of it is needed and left."""

    item: str
    change: str | None = None
    at: datetime | None = None
    needed: Amount | None = None
    left: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GearFacts(Facts):
    """What there is, or what is wanted."""

    items: tuple[Item, ...]


def row(job: Job, query: Query, subject: str | None) -> Row:  # noqa: ARG001
    """Tell the changes of the item named, or of all; asked of a time to come, what its work wants."""
    if query.time is not None:
        return _wanted(job, query)
    known = job.state.gear
    item = query.item
    mine = [g for n, g in known.items() if item is None or item in n or n in item]
    facts = GearFacts(about="gear", items=tuple(Item(g.item, g.change, g.at) for g in mine))
    if not mine and item is not None and set(item.split()) & _WORN:
        return Row(name=item, facts=facts, decision=None, said=_worn(job, query))
    if not mine:
        said = f"I have nothing in the journal about {item or 'gear'}"
        return Row(name=item or "gear", facts=facts, decision=False, said=said)
    said = listed(f"{g.item} {g.change} {when(g.at, job.now)}" for g in mine)
    last = max(mine, key=lambda g: g.at.timestamp())
    return Row(
        name=item or "gear", facts=facts, decision=True, said=said, moment=last.at, count=len(mine),
        evidence=Told(f"Entry {last.id}."),
    )  # fmt: skip


#: What is worn against a danger: whether it is needed is the material's to say, not the journal's.
_WORN: Final = frozenset(
    [
        "mask",
        "respirator",
        "glove",
        "gloves",
        "goggles",
        "goggle",
        "glasses",
        "filter",
        "cartridge",
        "apron",
        "overalls",
    ]
)


def _worn(job: Job, query: Query) -> str:
    """Say the cautions that the materials asked of call for; the label and the data sheet decide."""
    said: list[str] = []
    for product in query.subject.products:
        card = job.card(product)
        if card is None:
            continue
        for act in ("coat", "mix", "sand"):
            said += [c.text for c in cautions_for(act, kind=card.kind, hazards=card.hazards) if c.text not in said]
    rest = "the label and the safety data sheet say which, and for how long it serves"
    return f"{' '.join(said)} For the rest, {rest}" if said else f"wear what the label calls for: {rest}"


def _wanted(job: Job, query: Query) -> Row:
    from assistant.craft.plan.needs import needs

    found = needs(job.state, job.cards, week(job), _day(job, query))
    items = (*(Item(g) for g in found.gear), *(Item(n.product, needed=n.needed, left=n.left) for n in found.products))
    facts = GearFacts(about="gear", items=items)
    if not items:
        return Row(name="gear", facts=facts, decision=False, said="nothing: the plan has no work for then")
    said = "; ".join([*(n.text for n in found.products), *found.gear])
    notes = tuple(f"{n.product[:1].upper()}{n.product[1:]} will not reach." for n in found.short)
    return Row(name="gear", facts=facts, decision=True, said=said, notes=notes, count=len(items))


def _day(job: Job, query: Query) -> date:
    match query.time:
        case At(moment) | By(moment) | Between(moment, _):
            return like(moment, job.now).date()
    return job.now.date()


RESOLVER: Final = Resolver(
    what=Property.GEAR, subjects=whole, row=row, natural=Shape.WHAT, condition=False, topic="what gear there is",
    shapes=EVERY_SHAPE - {Shape.NEEDED, Shape.COMPARE, Shape.HOW_MUCH, Shape.HOW_LONG},
)  # fmt: skip
