"""Whether one material may go over another, by their cards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Bar, Facts, Missing, Resolver, Row, Told, Veto
from assistant.ask.job import Job
from assistant.craft.order import may
from assistant.craft.readiness import film_on
from assistant.language.query import Property, Query, Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class CompatFacts(Facts):
    """One material over another."""

    text: str
    over: str
    under: str
    verdict: str


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give what it would go over: the second product named, else what is on the pieces named; else any label."""
    products, pieces = query.subject.products, query.subject.pieces
    if not products:
        raise Missing("Which product, over what?", "product", tuple(job.state.labels))
    if len(products) > 1:
        return [*products[1:]]
    films = [film_on(job.state, p, job.at) for p in pieces]
    found = list(dict.fromkeys(f.product for f in films if f is not None and f.product is not None))
    if found:
        return [*found]
    if query.shape is Shape.WHICH:
        return [n for n in job.state.labels if n != products[0]]
    raise Missing(f"{products[0]} over what?", "product", tuple(job.state.labels))


def row(job: Job, query: Query, under: str | None) -> Row:
    """Judge the first product named over ``under``: a yes only where no more than a key is wanted."""
    over = query.subject.products[0]
    top, below = job.card(over), job.card(under)
    if top is None or below is None or under is None:
        missing = over if top is None else under
        raise Missing(f"I have no label for {missing}: which product is it?", "product", tuple(job.state.labels))
    found = may(top, below)
    keyed = "keyed first, " if found.verdict == "keyed" else ""
    test = "test a patch first, watched for days: " if found.verdict == "test" else ""
    text = f"{test}{keyed}{over} over {under}, {found.why}"
    facts = CompatFacts(about="explain", text=f"{text}.", over=over, under=under, verdict=found.verdict)
    no = found.verdict in ("no", "test")
    which = query.shape in (Shape.WHICH, Shape.HOW_MANY)
    return Row(
        name=under, facts=facts, decision=not no, said="" if which else text, product=over,
        can=f"can take {over}{' once keyed' if keyed else ''}", cannot=f"cannot take {over}",
        vetoes=(Veto(Bar.ORDER, found.why),) if no else (), evidence=Told(f"{text}. Source: {found.basis}."),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.COMPAT, subjects=subjects, row=row, natural=Shape.WHETHER, condition=False,
    shapes=frozenset({Shape.WHETHER, Shape.WHICH, Shape.WHAT, Shape.HOW_MANY, Shape.WHY}),
    topic="one material may go over another",
)  # fmt: skip
