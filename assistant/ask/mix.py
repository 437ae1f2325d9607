"""How much of each part: by the label's ratio, or one that was said, in the measure that was asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.craft.mix import Portions, alike, measured, part_of, portions, sized, step_for, with_parts
from assistant.language.query import Property, Query, Shape
from assistant.library.cards import Card, Ratio
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a mix."""

    name: str
    amount: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class MixFacts(Facts):
    """Parts and what they come to, under the reading taken and under the other."""

    product: str
    parts: tuple[Part, ...]
    total: Amount | None
    ratio: tuple[float, ...]
    reading: str | None
    other_reading: tuple[Part, ...] | None


def mixed_labels(job: Job) -> list[str]:
    """Give the job's labels that have a mixing ratio."""
    return [n for n in job.state.labels if (c := job.card(n)) is not None and c.ratio is not None]


def products(job: Job, query: Query) -> list[str | None]:
    """Give the product to be mixed: named, or the only one with a ratio and the parts spoken of; else ask."""
    if query.subject.products:
        return [*query.subject.products]
    kinds = set(query.subject.kinds)
    said = [p for p in (query.part, query.wanted) if p]
    fitting = [n for n in mixed_labels(job) if not kinds or n in job.labels(query.subject.kinds)]
    fitting = with_parts(fitting, said, job.card)
    if len(fitting) == 1:
        return [*fitting]
    if not fitting:
        raise Missing("Of which product? I have none with a mixing ratio.", "product", tuple(job.state.labels))
    raise Missing(f"Of which: {listed(fitting, 'or')}?", "product", tuple(fitting))


def ratio_of(card: Card, said: Sequence[float] | None) -> Ratio:
    """Give the ratio that was said, else the label's; ``Problem`` where neither can be."""
    if card.ratio is None:
        raise Problem(f"{card.name} has no mixing ratio on its label: it is not a two-part product")
    if said is None:
        return card.ratio
    if len(said) != len(card.ratio.parts) or min(said) <= 0:
        raise Problem(f"{card.name} has {len(card.ratio.parts)} parts: say the ratio with as many numbers")
    names = [n for n, _ in card.ratio.parts]
    return Ratio(card.ratio.by, tuple(zip(names, said, strict=True)), "as said")


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product."""
    card = job.card(product)
    if product is None or card is None:
        raise Missing(f"I have no label for {product}: which product is it?", "product", tuple(mixed_labels(job)))
    suppose = query.suppose
    ratio = ratio_of(card, suppose.ratio if suppose else None)
    values = tuple(v for _, v in ratio.parts)
    said = query.amount or (suppose.amount if suppose else None)
    off = _off(card, values)
    same = None if suppose is None or suppose.ratio is None else off is None
    if said is None:
        text = " to ".join(f"{figure(v)} {n}" for n, v in ratio.parts) + f", by {ratio.by}: {product}"
        facts = MixFacts(
            about="mix", product=product, parts=(), total=None, ratio=values, reading=None, other_reading=None
        )
        text = f"{off}" if off else text
        return Row(name=product, facts=facts, said=text, decision=same, product=product, evidence=_source(card))
    given, wanted = (part_of(card, p) if p else None for p in (query.part, query.wanted))
    if query.part and given is None:
        raise Problem(f"there is no {query.part} in {product}: its parts are {listed(n for n, _ in ratio.parts)}")
    # An amount of which one part is asked is of the other; the first part asked for, or all of them: it is the whole.
    total = given is None and (wanted is None or wanted == ratio.parts[0][0])
    found = portions(ratio, card.density, sized(said), "total" if total else "base", given=given)
    other = portions(ratio, card.density, said, "base" if total else "total")
    facts = MixFacts(
        about="mix", product=product, parts=_parts(card, found, query), total=_total(card, found, query),
        ratio=values, reading="total" if total else "base", other_reading=_parts(card, other, query),
    )  # fmt: skip
    text = _said(facts, wanted, product)
    if wanted is not None and given is None and (rest := _other(facts, wanted, said)):
        text += f"; {rest}"
    notes = [f"{off[:1].upper()}{off[1:]}."] if off else []
    if heavy := _heavy(card, found):
        notes.append(heavy)
    return Row(
        name=product, facts=facts, said=f"{text}. {off[:1].upper()}{off[1:]}" if off else text, decision=same,
        value=facts.total, product=product, notes=tuple(notes), evidence=_source(card),
    )  # fmt: skip


def _off(card: Card, values: tuple[float, ...]) -> str | None:
    assert card.ratio is not None
    label = [v for _, v in card.ratio.parts]
    if alike(values, label):
        return None
    told = " to ".join(f"{v:g}" for v in values)
    return f"{told} is not the label's {' to '.join(f'{v:g}' for v in label)}: off its ratio it may never harden"


def _unit(query: Query, found: Portions) -> str:
    return found.total.unit if query.by_weight is None else "g" if query.by_weight else "ml"


def _parts(card: Card, found: Portions, query: Query) -> tuple[Part, ...]:
    unit = _unit(query, found)
    return tuple(Part(name, _fine(_in(card, name, each, unit))) for name, each in found.parts)


def _total(card: Card, found: Portions, query: Query) -> Amount:
    unit = _unit(query, found)
    return _fine(Amount(sum(_in(card, name, each, unit).value for name, each in found.parts), unit))


def _in(card: Card, name: str, each: Amount, unit: str) -> Amount:
    """Give a part in grams or millilitres; ``Problem`` names the density that is missing."""
    if each.unit == unit:
        return each
    density = card.density.get(name)
    if not density:
        raise Problem(f"I have no density for the {name}: measure it in {'millilitres' if unit == 'g' else 'grams'}")
    return Amount(each.value * density if unit == "g" else each.value / density, unit)


def _fine(said: Amount) -> Amount:
    return Amount(round(said.value, 1), said.unit)


def _said(facts: MixFacts, wanted: str | None, product: str) -> str:
    """Say the parts, or the one asked for, as the measure in hand shows them."""
    parts = tuple((p.name, p.amount) for p in facts.parts)
    shown = measured(parts, step_for(parts))
    if wanted is not None:
        text = f"{_short(dict(shown.parts)[wanted])} {wanted}"
    else:
        text = f"{listed(f'{_short(a)} {n}' for n, a in shown.parts)}, {_short(shown.total)} of {product} in all"
    return text + (f". {shown.says}" if shown.says else "")


def _other(facts: MixFacts, wanted: str, said: Amount) -> str:
    """Say in a word what it is if the amount was meant the other way."""
    one = {p.name: p.amount.value for p in facts.parts}[wanted]
    two = {p.name: p.amount for p in facts.other_reading or ()}[wanted]
    if abs(one - two.value) <= 0.5:
        return ""
    whole = f"{amount(said)} mixed" if facts.reading == "base" else f"{amount(said)} of {facts.parts[0].name}"
    return f"if you mean {whole}, {_short(two)}"


def _short(said: Amount) -> str:
    return f"{figure(said.value)} {said.unit}"


def _heavy(card: Card, found: Portions) -> str | None:
    if card.pot is None or card.pot.grams is None:
        return None
    weight = found.total.value * (card.density.get("mixed", 1.1) if found.total.unit == "ml" else 1.0)
    if weight <= card.pot.grams * 1.5:
        return None
    return f"That is {weight / card.pot.grams:.1f} times the pot the label's life is for: mix it in smaller lots."


def _source(card: Card) -> Told:
    assert card.ratio is not None
    told = " to ".join(f"{v:g} {n}" for n, v in card.ratio.parts)
    whose = "label" if card.ratio.from_label else card.ratio.basis
    return Told(f"{card.name}: {told} by {card.ratio.by}. Source: {whose}.")


RESOLVER: Final = Resolver(
    what=Property.MIX, subjects=products, row=row, natural=Shape.HOW_MUCH, condition=False,
    takes=frozenset({"ratio", "amount"}),
    shapes=frozenset({Shape.WHETHER, Shape.WHAT, Shape.HOW_MUCH, Shape.COMPARE, Shape.WHY}),
    topic="how much of each part to mix",
)  # fmt: skip
