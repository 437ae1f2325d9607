"""First aid and dangers as a property: the act first, in any wording."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask import aid
from assistant.ask.answer import Facts, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.language.query import Property, Query, Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class AidFacts(Facts):
    """What to do, and on whose word."""

    text: str
    source: str


def row(job: Job, query: Query, subject: str | None) -> Row:  # noqa: ARG001
    """Tell what to do about the danger the words tell of."""
    cards = [c for p in query.subject.products if (c := job.card(p)) is not None]
    found = aid.hazard(query.lemmas, *cards)
    if found is None:
        text = "I don't know that danger: read the label, and get help if anyone is hurt."
        return Row(name="that", facts=AidFacts(about="aid", text=text, source="memory"), said=text)
    facts = AidFacts(about="aid", text=found.text, source=found.source)
    return Row(name=found.danger, facts=facts, said=found.text, evidence=Told(f"Source: {found.source}."))


RESOLVER: Final = Resolver(
    what=Property.AID, subjects=whole, row=row, natural=Shape.WHAT, condition=False, topic="what to do in danger",
    shapes=frozenset(Shape) - {Shape.NEEDED},
)  # fmt: skip
