"""How long a pot lasts: the one that is running, or one to be mixed, of an amount and at a temperature."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Facts, Missing, Resolver, Row, Told, Veto
from assistant.ask.job import Job
from assistant.ask.words import full
from assistant.craft.mix import sized, weight
from assistant.craft.pot import HEAVY, RunningPot, air_for, gone, notes, pot_life, running
from assistant.craft.times import utc
from assistant.language.query import Property, Query, Shape, Unknown
from assistant.library.cards import Card
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed, many, when


@dataclass(frozen=True, slots=True, kw_only=True)
class PotFacts(Facts):
    """Minutes that are left of a pot, or that one would last; ``ends`` of one that is running."""

    product: str
    minutes: int
    temperature: Amount
    ends: datetime | None


def products(job: Job, query: Query) -> list[str | None]:
    """Give the product named, else those of the pots that run or went off last, else the one that has a pot life."""
    named = query.subject.products
    if named:
        return [*named]
    labels = job.labels(query.subject.kinds)
    if not _fresh(query):
        pots = [p.product for p in running(job.state, job.cards, job.at)]
        over = gone(job.state, job.cards, job.at)
        mine = [p for p in pots or ([over.product] if over else []) if not query.subject.kinds or p in labels]
        if mine:
            return [*dict.fromkeys(mine)]
    fitting = [n for n in labels if (c := job.card(n)) is not None and c.pot is not None]
    ordered = query.shape in (Shape.COMPARE, Shape.FIRST, Shape.LAST, Shape.WHICH)
    if len(fitting) == 1 or (fitting and ordered):
        return [*fitting]
    if not fitting:
        raise Problem("no label here has a pot life")
    raise Missing(f"Of which: {listed(fitting, 'or')}?", "product", tuple(fitting))


def _fresh(query: Query) -> bool:
    """Whether a pot to be mixed is meant, and not one that stands there."""
    suppose = query.suppose
    air = suppose is not None and (suppose.temperature is not None or suppose.warmer is not None)
    return query.amount is not None or air or (suppose is not None and suppose.amount is not None)


def row(job: Job, query: Query, product: str | None) -> Row:
    """Work out one product at one moment."""
    assert product is not None
    card = job.card(product)
    if card is None:
        raise Missing(f"I have no label for {product}: which product is it?", "product", tuple(job.state.labels))
    if card.pot is None:
        raise Problem(f"{product} has no pot life on its label")
    if not _fresh(query) and query.shape is not Shape.COMPARE:
        mine = [p for p in running(job.state, job.cards, job.at) if p.product == product]
        if mine:
            return _running(job, query, mine[0], card)
        over = gone(job.state, job.cards, job.at)
        if over is not None and over.product == product:
            return _over(job, over)
    return _to_mix(job, query, product, card)


def _running(job: Job, query: Query, pot: RunningPot, card: Card) -> Row:
    left = int((utc(pot.ends) - utc(job.at)).total_seconds() // 60)
    weighed = f" for {figure(pot.grams)} g" if pot.grams else ""
    why = (
        f"{pot.product} mixed {when(pot.mixed_at, job.now)}: {pot.minutes} minutes at {figure(pot.celsius)} "
        f"degrees{weighed}, rounded down. Source: {card.pot.basis if card.pot else ''}."
    )
    facts = PotFacts(
        about="pot_life", product=pot.product, minutes=left, temperature=Amount(pot.celsius, "degC"), ends=pot.ends
    )
    enough = query.goal is None or left >= query.goal.value
    said = f"{many(left, 'minute')} left on the {pot.product}: use it by {when(pot.ends, job.now)}"
    return Row(
        name=f"the {pot.product}", facts=facts, decision=enough, said=said, moment=pot.ends,
        value=Amount(float(left), "min"), product=pot.product, notes=tuple(full(n) for n in pot.notes),
        evidence=Told(full(why)),
    )  # fmt: skip


def _over(job: Job, pot: RunningPot) -> Row:
    at = when(pot.ends, job.now)
    facts = PotFacts(
        about="pot_life", product=pot.product, minutes=0, temperature=Amount(pot.celsius, "degC"), ends=pot.ends
    )
    verb = "went" if utc(pot.ends) <= utc(job.now) else "goes"
    text = f"the {pot.product} {verb} off at {at}"
    return Row(
        name=f"the {pot.product}", facts=facts, decision=False, said=f"{text}: mix fresh", moment=pot.ends,
        value=Amount(0.0, "min"), product=pot.product, vetoes=(Veto(Bar.FILM, text),),
        evidence=Told(f"It was good for {pot.minutes} minutes from the mixing."),
    )  # fmt: skip


def _to_mix(job: Job, query: Query, product: str, card: Card) -> Row:
    assert card.pot is not None
    suppose = query.suppose
    celsius, guessed = air_for(job.state, card.pot, job.at, job.now)
    if suppose is not None and suppose.temperature is not None:
        celsius, guessed = suppose.temperature.value, False
    elif suppose is not None and suppose.warmer is not None:
        celsius += suppose.warmer
    said = query.amount or (suppose.amount if suppose else None)
    grams = None if said is None else weight(sized(said), card.density)
    if said is not None and grams is None:
        grams = said.value * HEAVY  # taken heavy: a pot of unknown density is not taken for a small one
    minutes = pot_life(card.pot, celsius, grams)
    why = (
        f"{figure(card.pot.minutes)} minutes at {figure(card.pot.celsius)} degrees by the "
        f"{'label' if card.pot.from_label else 'family'}, half for each {figure(card.pot.step)} degrees warmer, "
        f"taken at {figure(celsius)}. Source: {card.pot.basis}."
    )
    facts = PotFacts(about="pot_life", product=product, minutes=minutes, temperature=Amount(celsius, "degC"), ends=None)
    text = f"{many(minutes, 'minute')} for {product}"
    if suppose is None or suppose.temperature is None:
        text += f" at {figure(celsius)} degrees"
    text += f" with {amount(said)} in the pot" if said is not None else ""
    return Row(
        name=product, facts=facts, said=text, value=Amount(float(minutes), "min"), product=product,
        decision=None if query.goal is None else minutes >= query.goal.value,
        notes=tuple(full(n) for n in notes(card.pot, celsius, grams, assumed=guessed)), evidence=Told(why),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.POT, subjects=products, row=row, natural=Shape.HOW_LONG, condition=False,
    takes=frozenset({"temperature", "warmer", "amount"}),
    shapes=EVERY_SHAPE - {Shape.HOW_MANY}, topic="how long a pot lasts",
    needs=frozenset({Unknown.AMOUNT, Unknown.TEMPERATURE}),
)  # fmt: skip
