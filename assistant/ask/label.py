"""What is known of a product: its figures and where each is from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import products_of
from assistant.language.query import Property, Query, Shape
from assistant.library.page import hours_text, lines
from assistant.quantity import Amount
from assistant.wording import amount

_SHORT: Final = ("touch", "sand", "overcoat", "pot life", "ratio")
_TOLD: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFacts(Facts):
    """A card in full."""

    text: str
    product: str


def row(job: Job, query: Query, product: str | None) -> Row:
    """Tell one product: the figure of a stage, if one was asked for, else the chief ones."""
    card = job.card(product)
    if product is None or card is None:
        raise Missing(f"I have no label for {product}: which product is it?", "product", tuple(job.state.labels))
    every = lines(card)
    facts = LabelFacts(about="explain", text="\n".join(every), product=product)
    law = card.stages.get(query.stage) if query.stage is not None else None
    if law is not None and law.rows:
        said = "; ".join(f"{hours_text(r)} at {amount(Amount(r.celsius, 'degC'))}" for r in law.rows)
        said = f"{said}: {product}, {query.stage}"
    else:
        short = [s.strip() for s in every if any(w in s.lower() for w in _SHORT)]
        said = "; ".join(short[:_TOLD]) or card.title
    hours = min((r.hours for r in law.rows), default=None) if law is not None else None
    return Row(
        name=product, facts=facts, said=said, product=product,
        evidence=Told(f"{product}: its label, laid over the family {card.family}"),
        value=None if hours is None else Amount(hours, "h"),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.LABEL, subjects=products_of, row=row, natural=Shape.WHAT, condition=False, least_first=True,
    shapes=frozenset({Shape.WHAT, Shape.HOW_LONG, Shape.HOW_MUCH, Shape.COMPARE, Shape.WHY}),
    topic="what the label says",
)  # fmt: skip
