"""How much thinner: of an amount, or the most that the label allows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.words import full
from assistant.craft.mix import sized
from assistant.craft.thin import thin
from assistant.language.query import Property, Query, Shape
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed


@dataclass(frozen=True, slots=True, kw_only=True)
class ThinFacts(Facts):
    """So much thinner in so much base."""

    product: str | None
    base: Amount | None
    thinner: Amount | None
    percent: Amount


def products(job: Job, query: Query) -> list[str | None]:
    """Give the product to be thinned: named, what goes on the piece named, or the only one with a thinner."""
    named = [p for p in query.subject.products if (c := job.card(p)) is None or c.kind != "thinner"]
    if named:
        return [*named]
    for piece in query.subject.pieces:
        if stuff := job.stuff(piece):
            return [stuff]
    labels = job.labels(query.subject.kinds)
    fitting = [n for n in labels if (c := job.card(n)) and c.thinner and c.kind != "thinner"]
    if len(fitting) == 1:
        return [*fitting]
    if query.percent is not None and query.amount is not None:
        return [None]  # a share of an amount is the same of anything
    asked = f"Into which: {listed(fitting, 'or')}?" if fitting else "Into which product?"
    raise Missing(asked, "product", tuple(fitting))


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product."""
    card = job.card(product)
    thinner = card.thinner if card is not None else None
    first = query.ordinal == 1 and thinner is not None and thinner.first is not None
    most = None if thinner is None else thinner.first if first else thinner.max
    by = query.percent.value if query.percent is not None else most
    note = "for a first coat on bare wood" if first else "the most the label allows"
    if by is None:
        raise Missing("By how many percent?", "percent")
    if not 0 <= by <= 100:
        raise Problem(f"{figure(by)} percent can't be right: say it again")
    name = (thinner.name if thinner is not None else "") or "thinner"
    decision = None if query.percent is None or most is None else query.percent.value <= most
    facts = ThinFacts(about="thin", product=product, base=None, thinner=None, percent=Amount(float(by), "percent"))
    of = product or "it"
    if by == 0:
        return Row(name=of, facts=facts, said=f"no thinner in {of}: it goes on as it comes", product=product)
    if query.amount is None and query.suppose is not None and query.suppose.amount is not None:
        said: Amount | None = query.suppose.amount
    else:
        said = query.amount
    if said is None:
        text = f"{figure(float(by))} percent of {name} in {of}, {note}"
        if decision is not None and most is not None:
            text = f"{figure(float(by))} percent of {name} in {of}: the label allows {figure(most)}"
        return Row(
            name=of, facts=facts, said=text, decision=decision, value=facts.percent, product=product,
            evidence=_source(product, thinner.basis if thinner else ""),
        )  # fmt: skip
    found = thin(sized(said), float(by), thinner)
    facts = ThinFacts(
        about="thin", product=product, base=found.base, thinner=Amount(round(found.thinner.value, 1), said.unit),
        percent=found.percent,
    )  # fmt: skip
    text = f"{amount(Amount(_round(found.thinner.value), said.unit))} of {name} in {amount(said)}"
    text += f" of {product}" if product else ""
    text += f", {figure(float(by))} percent"
    if query.percent is None:
        text += f", {note}"
    elif decision is False and most is not None:
        text += f": over the label's {figure(most)}"
    return Row(
        name=of, facts=facts, said=text, decision=decision, value=facts.thinner, product=product,
        notes=tuple(full(c) for c in found.cautions), evidence=_source(product, found.source),
    )  # fmt: skip


def _round(value: float) -> float:
    return float(round(value)) if value >= 20 else round(value * 2) / 2 or round(value, 1)


def _source(product: str | None, basis: str) -> Told:
    return Told(f"{product or 'Thinning'}: percent by volume of the paint. Source: {basis or 'no label'}.")


RESOLVER: Final = Resolver(
    what=Property.THIN, subjects=products, row=row, natural=Shape.HOW_MUCH, condition=False,
    takes=frozenset({"amount"}),
    shapes=frozenset({Shape.WHETHER, Shape.WHAT, Shape.HOW_MUCH, Shape.WHICH, Shape.COMPARE, Shape.WHY}),
    topic="how much thinner it takes",
)  # fmt: skip
