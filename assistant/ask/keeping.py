"""Whether a tin is still good: by the months its card gives it, and by what to look for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Facts, Resolver, Row, Told, Veto
from assistant.ask.job import Job
from assistant.ask.stock import shelf
from assistant.ask.subject import products_of
from assistant.craft.keeping import best_before, sign
from assistant.language.query import Property, Query, Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepingFacts(Facts):
    """How long a tin is good."""

    text: str
    product: str
    until: date | None


def row(job: Job, query: Query, product: str | None) -> Row:
    """Judge one product's tins by the oldest that is not finished."""
    assert product is not None
    card = job.card(product)
    found = shelf(job).get(product)
    tins = found.tins if found is not None else ()
    ends = [e for t in tins if card and not t.gone and (e := best_before(card, t.bought, t.opened))]
    look = sign(card) if card is not None else "look at it before you use it"
    if not ends:
        text = f"nothing tells how old the {product} is, or how long it keeps; {look}"
        facts = KeepingFacts(about="explain", text=f"{text}.", product=product, until=None)
        return Row(name=f"the {product}", facts=facts, said=text, unknown=text, product=product)
    last, why = min(ends)
    past = last < job.at.date()
    day = f"{last.day} {last:%B %Y}"
    text = f"the {product} is {'past its time since' if past else 'good until'} {day}, {why}; {look}"
    ranked = query_ordered(query)
    ends_at = datetime.combine(last, time(12), job.now.tzinfo)
    return Row(
        name=f"the {product}", facts=KeepingFacts(about="explain", text=f"{text}.", product=product, until=last),
        decision=not past, said="" if ranked else text, can="is good", cannot="is past its time", product=product,
        moment=ends_at, then=f"the {product} is past its time" if ranked else "",
        vetoes=(Veto(Bar.FILM, f"past its time since {day}"),) if past else (), evidence=Told(f"{text}."),
    )  # fmt: skip


def query_ordered(query: Query) -> bool:
    """Whether names and verbs are wanted rather than the whole clause."""
    return query.shape in (Shape.WHICH, Shape.HOW_MANY, Shape.FIRST, Shape.LAST, Shape.COMPARE)


RESOLVER: Final = Resolver(
    what=Property.KEEPING, subjects=products_of, row=row, natural=Shape.WHETHER, condition=False,
    shapes=EVERY_SHAPE - {Shape.HOW_MUCH, Shape.NEEDED}, topic="a tin is still good",
)  # fmt: skip
