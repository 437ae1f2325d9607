"""How warm it is in a place, and whether that is enough for what is to go on."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from assistant.ask.air import AirFacts, told
from assistant.ask.answer import EVERY_SHAPE, Bar, Resolver, Row, Told, Veto
from assistant.ask.film import soonest
from assistant.ask.job import Job
from assistant.ask.subject import every_place
from assistant.craft.air import Spell, temperatures
from assistant.craft.times import utc
from assistant.language.query import Between, By, Property, Query, Shape, Unknown
from assistant.quantity import Amount
from assistant.wording import figure, listed


def wants(job: Job, query: Query) -> list[tuple[str, float]]:
    """Give the least temperature (degC) of the products named, else of each label of the job that has one."""
    named = query.subject.products or tuple(job.labels(query.subject.kinds))
    cards = ((n, job.card(n)) for n in named)
    return [(n, c.least) for n, c in cards if c and c.least is not None and c.kind != "thinner"]


def row(job: Job, query: Query, space: str | None) -> Row:
    """Work out one space: at a moment, or at its coldest over a stretch of time."""
    spell = _spell(job, query, space)
    name = f"the {space}" if space else "the boat"
    judged = query.shape in _JUDGED
    assumed = spell.source == "assumed"
    known = wants(job, query)
    short = [(n, least) for n, least in known if spell.celsius < least]
    said = f"{figure(spell.celsius)} degrees in {name} ({told(spell.source)})"
    degrees = Amount(spell.celsius, "degC")
    text = f"it is {figure(spell.celsius)} degrees; {listed(f'{n} wants {figure(t)}' for n, t in short)}"
    vetoes = (Veto(Bar.AIR, text, None, job.next_air(space)),) if short else ()
    return Row(
        name=f"{name} ({figure(spell.celsius)} degrees)" if judged else name,
        facts=AirFacts(about="explain", text=f"{said}.", space=space, temperature=degrees),
        decision=None if assumed or not known else not short, vetoes=vetoes,
        can="is warm enough", cannot="is too cold",
        said="" if judged and not assumed and known else said, value=None if assumed else degrees,
        unknown="nobody has said how warm it is" if assumed else None if known else "no label says how warm it must be",
        again=soonest(job, job.next_air(space)), evidence=Told(f"{said}. {_least(known)}"),
    )  # fmt: skip


_JUDGED: Final = (Shape.WHETHER, Shape.WHICH, Shape.HOW_MANY, Shape.WHEN)


def _least(known: list[tuple[str, float]]) -> str:
    text = listed(f"{n} {figure(t)}" for n, t in known)
    return f"At least, in degrees: {text}. Under that it stands still." if text else "No label says how cold it may be."


def _spell(job: Job, query: Query, space: str | None) -> Spell:
    """Give the spell asked about: the one at the moment, or the coldest that lies in the time asked for."""
    spells = temperatures(job.state, space, job.at, job.now)
    if not isinstance(query.time, Between | By):
        return spells[0]
    start = job.at
    end: datetime = query.time.end if isinstance(query.time, Between) else query.time.moment
    if isinstance(query.time, By):
        spells = temperatures(job.state, space, min(job.now, end, key=utc), job.now)
    within = [s for s in spells if utc(s.start) <= max(utc(end), utc(start) + timedelta(seconds=1))]
    return min(within, key=lambda s: s.celsius, default=spells[0])


RESOLVER: Final = Resolver(
    what=Property.COLD, subjects=every_place, row=row, natural=Shape.HOW_MUCH,
    shapes=EVERY_SHAPE - {Shape.HOW_LONG, Shape.WHEN}, topic="how warm it is", needs=frozenset({Unknown.TEMPERATURE}),
)  # fmt: skip
