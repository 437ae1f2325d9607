"""What has to be bought: what the plan is short of, by a time or in all."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.stock import StockFacts, exact, needed, rough, shelf
from assistant.craft.needs import Buy, needs, shopping
from assistant.language.query import Property, Query, Shape
from assistant.wording import amount


def products(job: Job, query: Query) -> list[str | None]:
    """Give what the plan needs or is used up, of the products named; asked which, each of them."""
    subject = query.subject
    kinds = set(job.labels(subject.kinds)) if subject.kinds else None
    every = dict.fromkeys((*needs(job.state, job.cards), *(b.product for b in _list(job)), *subject.products))
    return [
        p for p in every
        if (not subject.products or p in subject.products) and (kinds is None or p in kinds)
        and p not in subject.besides
    ]  # fmt: skip


def _list(job: Job) -> list[Buy]:
    return shopping(job.state, job.cards, job.now, shelf(job))


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product; a yes is that it has to be bought."""
    assert product is not None
    found = shelf(job).get(product)
    left = found.left if found is not None else None
    wanted = needed(job, query, product)
    facts = StockFacts(about="stock", product=product, left=exact(left), needed=exact(wanted))
    line = next((b for b in _list(job) if b.product == product), None)
    if query.time is not None:
        missing = None if wanted is None else max(0.0, wanted.value - (left.value if left else 0.0))
        must: bool | None = missing is not None and missing >= 1
        name = product
        if must and wanted is not None and missing is not None:
            short = wanted._replace(value=missing)
            name = f"{product} ({amount(rough(short))}{'' if left is not None else ', no tin told of'})"
    else:
        must, name = line is not None, product
        if line is not None and line.missing is not None:
            name = f"{product} ({amount(rough(line.missing))})"
    return Row(
        name=name, facts=facts, decision=must, can="has to be bought", cannot="need not be bought",
        product=product, evidence=Told(line.why if line is not None else f"{product}: what is left will do."),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.BUY, subjects=products, row=row, natural=Shape.WHICH, condition=False,
    shapes=frozenset({Shape.WHICH, Shape.WHETHER, Shape.HOW_MANY, Shape.WHY}), topic="what has to be bought",
)  # fmt: skip
