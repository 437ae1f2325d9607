"""What is left of a product, against what the plan, some coats or an amount need; when it runs out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Facts, Missing, Resolver, Row, Told, Veto
from assistant.ask.coverage import area_of, coats_of
from assistant.ask.job import Job
from assistant.ask.subject import products_of
from assistant.ask.week import week
from assistant.craft.draws import KINDS, converted
from assistant.craft.film import coverage
from assistant.craft.needs import needs
from assistant.craft.stock import Stock
from assistant.craft.stock import stock as reckon
from assistant.journal.events import Event
from assistant.language.query import By, Detail, Property, Query, Shape
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import amount, capital, figure, listed, when

_ALL: Final = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class StockFacts(Facts):
    """What is left and what is needed."""

    product: str | None
    left: Amount | None
    needed: Amount | None
    runs_out: datetime | None = None


def shelf(job: Job) -> Mapping[str, Stock]:
    """Give the stock, reckoned from every event that bears on it: the state keeps only the latest."""
    if not job.shelf:
        events: list[Event] = [e for kind in KINDS for e in job.journal.search(kind=kind, limit=_ALL)]
        job.shelf.update(reckon(job.state, job.cards, job.now, events))
    return job.shelf


def products(job: Job, query: Query) -> list[str | None]:
    """Give the products named, else those that are on the shelf or planned; asked of pieces, what goes on them."""
    subject = query.subject
    if subject.products or subject.kinds:
        return products_of(job, query)
    if subject.pieces:
        return list(dict.fromkeys(s for p in subject.pieces if (s := job.stuff(p)) is not None))
    return [*dict.fromkeys((*shelf(job), *needs(job.state, job.cards)))]


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product; a yes is that what is left will do."""
    assert product is not None
    found = shelf(job).get(product)
    wanted = needed(job, query, product)
    left = found.left if found is not None else None
    facts = StockFacts(about="stock", product=product, left=exact(left), needed=exact(wanted))
    told = ". ".join((found.basis, *found.notes)) if found is not None else "no tin of it was told of"
    evidence = Told(told)
    if found is None or left is None:
        told = f"I don't know how much {product} there is: say what you bought"
        return Row(name=product, facts=facts, said=told, unknown=told, product=product, evidence=evidence)
    notes = tuple(capital(w) for w in found.warnings)
    if query.detail is Detail.TOTAL and found.used is not None:
        said = f"{amount(rough(found.used))} of {product} used so far, by what was told"
        return Row(
            name=product, facts=facts, said=said, value=found.used, product=product, evidence=evidence, notes=notes
        )
    short = _short(job, product, left, wanted)
    said = f"about {amount(rough(left))} of {product} left"
    if short is not None and short.value >= 1 and wanted is not None:
        said += f", {amount(rough(short))} short of the {amount(rough(wanted))} {_for(query)}"
    elif wanted is not None:
        said += f", and {_takes(query)} {amount(rough(wanted))}"
    enough = None if wanted is None or short is None else short.value < 1
    if wanted is None and query.shape is Shape.WHETHER:
        enough = left.value > 0  # "is there any left"
    unknown = None if enough is not None else "nothing that is planned takes it"
    judged = query.shape in (Shape.WHICH, Shape.HOW_MANY)
    moment = _runs_out(job, product, left) if query.shape in (Shape.WHEN, Shape.FIRST, Shape.LAST) else None
    if moment is not None:
        said = f"{product} runs out at {when(moment, job.now)}, with about {amount(rough(left))} left now"
    return Row(
        name=product, facts=facts, decision=enough, said="" if judged else said, product=product, evidence=evidence,
        can="will do", cannot="will not do", unknown=unknown, notes=notes, moment=moment, value=left,
        vetoes=() if enough is not False or short is None else (Veto(Bar.FILM, f"{amount(rough(short))} short"),),
    )  # fmt: skip


def needed(job: Job, query: Query, product: str) -> Amount | None:
    """Give what the query asks to be enough for: an amount, coats on pieces or an area, else the whole plan."""
    if query.amount is not None:
        return query.amount
    card = job.card(product)
    if query.subject.pieces or query.area is not None or query.count is not None:
        if card is None:
            return None
        try:
            square = area_of(job, query)
            return coverage(card, square, query.count or coats_of(job, query, product) or 1).amount
        except (Problem, Missing):
            return None
    if isinstance(query.time, By):
        from assistant.craft.plan.needs import amounts
        from assistant.craft.times import utc

        steps = [p for p in week(job).steps if utc(p.start) <= utc(query.time.moment)]
        use = amounts(steps, job.cards).get(product)
        return Amount(use.total, "ml") if use is not None else None
    found = needs(job.state, job.cards).get(product)
    return found.amount if found is not None else None


def _short(job: Job, product: str, left: Amount, wanted: Amount | None) -> Amount | None:
    if wanted is None:
        return None
    card = job.card(product)
    have = left.value if left.unit == wanted.unit else converted(left, wanted.unit, card) if card else None
    return None if have is None else Amount(max(0.0, wanted.value - have), wanted.unit)


def _runs_out(job: Job, product: str, left: Amount) -> datetime | None:
    from assistant.craft.plan.needs import runs_out

    found = runs_out(job.cards, week(job), product, left.value)
    return None if found is None else found.start


def _for(query: Query) -> str:
    if query.subject.pieces:
        return f"that {listed(f'the {p}' for p in query.subject.pieces)} needs"
    return "it takes" if query.area is not None or query.amount is not None else "the job needs"


def _takes(query: Query) -> str:
    if query.subject.pieces:
        pieces = listed(f"the {p}" for p in query.subject.pieces)
        return f"{pieces} {'takes' if len(query.subject.pieces) == 1 else 'take'}"
    if query.area is not None:
        return f"{figure(query.area.value)} square metres take"
    return "it takes" if query.amount is not None else "the job needs"


def rough(said: Amount) -> Amount:
    """Give an amount as it is said of a tin: to a millilitre."""
    return Amount(float(round(said.value)), said.unit)


def exact(said: Amount | None) -> Amount | None:
    """Give an amount as a measure shows it: less than a tenth of a millilitre means nothing in a tin."""
    return None if said is None else Amount(round(said.value, 1), said.unit)


RESOLVER: Final = Resolver(
    what=Property.STOCK, subjects=products, row=row, natural=Shape.HOW_MUCH, condition=False,
    shapes=EVERY_SHAPE - {Shape.HOW_LONG, Shape.NEEDED}, topic="how much is left",
)  # fmt: skip
