"""The trade's knowledge as a property: the card that a question's words are about, for the material named."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask import know
from assistant.ask.answer import Facts, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.language.query import Property, Query, Shape
from assistant.library.topics import all_topics
from assistant.wording import listed

#: What a question that no card is near is told, before the cards that are nearest.
NOTHING: Final = "I know nothing sure of that."


@dataclass(frozen=True, slots=True, kw_only=True)
class KnowFacts(Facts):
    """What is known of a topic, and on whose word."""

    topic: str
    product: str | None
    text: str
    basis: str


def subjects(job: Job, query: Query) -> list[str | None]:  # noqa: ARG001
    """Give the product named first, or none."""
    return [next(iter(query.subject.products), None)]


def row(job: Job, query: Query, product: str | None) -> Row:
    """Tell the card; where none is sure, the nearest are offered."""
    card = job.card(product)
    kinds = frozenset(k for k in ((card.family, card.kind, card.generic) if card else ()) if k)
    kinds |= frozenset(query.subject.kinds)
    topic = next((t for t in all_topics() if t.name == query.topic), None)
    if topic is not None:
        found: know.Know | None = know.tell(topic, query.lemmas, kinds, product=product)
    else:
        found = know.find(query.lemmas, kinds, product=product)
    if found is None:
        offers = know.offers(query.lemmas, kinds)
        near = f" I can say something of {listed(offers, 'or')}." if offers else ""
        facts = KnowFacts(about="know", topic="", product=product, text="", basis="")
        return Row(name="that", facts=facts, said=f"{NOTHING}{near}", unknown="no card is near")
    facts = KnowFacts(about="know", topic=found.topic, product=product, text=found.text, basis=found.basis)
    return Row(name=found.topic, facts=facts, said=found.text, product=product, evidence=Told(f"Basis: {found.basis}."))


RESOLVER: Final = Resolver(
    what=Property.KNOW, subjects=subjects, row=row, natural=Shape.WHAT, condition=False, topic="what the trade knows",
    shapes=frozenset(Shape) - {Shape.NEEDED},
)  # fmt: skip
