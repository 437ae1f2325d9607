"""How much some coats take, and how far an amount goes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.craft.draws import area_of as piece_area
from assistant.craft.film import coverage
from assistant.craft.mix import sized
from assistant.craft.wanted import wanted
from assistant.language.query import Property, Query, Shape
from assistant.library.cards import Card
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed, many

#: A litre, where nobody said how much is to be spread.
_LITRE: Final = Amount(1000.0, "ml")
_MANY: Final = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class CoverFacts(Facts):
    """So much of a product for so many coats on so much."""

    product: str
    area: Amount
    coats: int
    amount: Amount


def products(job: Job, query: Query) -> list[str | None]:
    """Give the products named, else what goes on the pieces next; else ask."""
    if query.subject.products:
        return [*query.subject.products]
    if query.subject.kinds and (fitting := job.labels(query.subject.kinds)):
        if len(fitting) == 1:
            return [*fitting]
        raise Missing(f"Of which: {listed(fitting, 'or')}?", "product", tuple(fitting))
    found = list(dict.fromkeys(s for p in query.subject.pieces if (s := job.stuff(p)) is not None))
    if query.suppose is not None and query.suppose.product is not None:
        return [query.suppose.product]
    if found:
        return [found[0]] if len(found) == 1 else [*found]
    raise Missing("Of which product?", "product", tuple(job.state.labels))


def area_of(job: Job, query: Query) -> Amount:
    """Give the square metres asked about: said, or of the pieces together; ``Missing`` asks for what nobody said."""
    if query.area is not None:
        return query.area
    total = 0.0
    for piece in query.subject.pieces:
        found = piece_area(job.state, piece)
        if found is None:
            raise Missing(f"How big is the {piece}, in square metres?", "area")
        total += found.value
    if not total:
        raise Missing("For which piece, or how many square metres?", "piece", tuple(job.state.pieces))
    return Amount(round(total, 6), "m2")


def coats_of(job: Job, query: Query, product: str) -> int | None:
    """Give the coats of a product that the pieces still want, the most of any; None if none are planned."""
    left = [
        max(1, line.coats - job.state.coats.get(line.piece, {}).get(product, 0))
        for line in wanted(job.state) if line.piece in query.subject.pieces and line.label == product
    ]  # fmt: skip
    return max(left, default=None)


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product."""
    card = job.card(product)
    if product is None or card is None:
        raise Missing(f"I have no label for {product}: which product is it?", "product", tuple(job.state.labels))
    said = query.amount or (query.suppose.amount if query.suppose else None)
    if query.area is None and not query.subject.pieces:
        return _goes(product, card, said or _LITRE, query.count or 1)
    square = area_of(job, query)
    if said is not None:
        return _coats(product, card, square, said, query)
    coats = query.count or (1 if query.ordinal else coats_of(job, query, product)) or 1
    if not 0 < coats <= _MANY:
        raise Problem(f"{coats} coats can't be right: say it again")
    found = coverage(card, square, coats)
    need = Amount(float(round(found.amount.value)), "ml")
    where = _where(query, square)
    return Row(
        name=product, facts=CoverFacts(about="coverage", product=product, area=found.area, coats=coats, amount=need),
        said=f"about {amount(need)} of {product} for {many(coats, 'coat')} on {where}", value=need, product=product,
        evidence=Told(_sum(square, coats, found.rate, found.loss, found.source)),
    )  # fmt: skip


def _coats(product: str, card: Card, square: Amount, said: Amount, query: Query) -> Row:
    """Say how many whole coats an amount gives; a yes is that it does for those that were asked."""
    one = coverage(card, square, 1)
    whole = int(sized(said).value / one.amount.value + 1e-9)
    count = query.count or 1
    facts = CoverFacts(about="coverage", product=product, area=square, coats=whole, amount=said)
    text = f"{amount(said)} of {product} does {many(whole, 'coat')} on {_where(query, square)}"
    return Row(
        name=product, facts=facts, said=text, decision=whole >= count, count=whole, product=product,
        evidence=Told(_sum(square, 1, one.rate, one.loss, one.source)),
    )  # fmt: skip


def _goes(product: str, card: Card, said: Amount, coats: int) -> Row:
    one = coverage(card, Amount(1.0, "m2"), coats)
    area = Amount(int(sized(said).value / one.amount.value * 10) / 10, "m2")  # down: it must not run short
    facts = CoverFacts(about="coverage", product=product, area=area, coats=coats, amount=said)
    verb = "cover" if said.value >= 2000 else "covers"
    text = f"{amount(said)} of {product} {verb} about {amount(area)}, {many(coats, 'coat')}"
    return Row(
        name=product, facts=facts, said=text, value=area, product=product,
        evidence=Told(_sum(area, coats, one.rate, one.loss, one.source)),
    )  # fmt: skip


def _where(query: Query, square: Amount) -> str:
    if query.subject.pieces and query.area is None:
        return listed(f"the {p}" for p in query.subject.pieces)
    return amount(square)


def _sum(square: Amount, coats: int, rate: float, loss: float, source: str) -> str:
    return (
        f"{figure(square.value)} square metres, {many(coats, 'coat')}, {figure(rate)} square metres a litre, "
        f"{figure(loss)} percent lost in the tray and brush. Source: {source}."
    )


RESOLVER: Final = Resolver(
    what=Property.COVER, subjects=products, row=row, natural=Shape.HOW_MUCH, condition=False, least_first=True,
    takes=frozenset({"amount", "product"}),
    shapes=frozenset({Shape.HOW_MUCH, Shape.HOW_MANY, Shape.WHETHER, Shape.WHAT, Shape.COMPARE, Shape.WHY}),
    topic="how much it takes",
)  # fmt: skip
