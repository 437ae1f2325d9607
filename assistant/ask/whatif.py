"""What one change would do to the week: the same plan with it put in."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.ask.week import PATIENCE, week
from assistant.craft.plan.change import (
    Change,
    Held,
    Later,
    LostDay,
    Mishap,
    MoreCoats,
    NightCoat,
    Skipped,
    Swap,
    Warmer,
    Without,
)
from assistant.craft.times import utc
from assistant.language.query import Between, By, Property, Query, Shape, Suppose
from assistant.quantity import Amount
from assistant.wording import figure

#: Which coat a sanding is before where nobody said: the second, for before the first there is no film.
_SECOND: Final = 2
_WHAT: Final = (
    "What should be other? A product, the temperature, the heating at night, a coat in the night, a coat fewer, a "
    "piece dropped, a lost day, a later start."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIfFacts(Facts):
    """The finish without and with the change."""

    finish_before: datetime | None
    finish_after: datetime | None
    change: str


def change_of(query: Query) -> Change:
    """Give what is supposed as the plan knows it; ``Missing`` where nothing is, or no piece is named for it."""
    suppose = query.suppose
    if suppose is None:
        raise Missing(_WHAT, "change")
    pieces = query.subject.pieces
    found = _of_piece(suppose, pieces[0] if pieces else None) or _of_air(query, suppose)
    if found is not None:
        return found
    if suppose.lost is not None:
        return LostDay(suppose.lost)
    if suppose.start is not None:
        return Later(suppose.start)
    if suppose.product is not None:
        return Swap(suppose.product, suppose.instead_of, pieces[0] if pieces else None)
    raise Missing(_WHAT, "change")


def _of_piece(suppose: Suppose, piece: str | None) -> Change | None:
    if suppose.without is not None:
        return Without(suppose.without)
    if suppose.night_hour is not None:
        return NightCoat(suppose.night_hour, piece)
    asks = suppose.skipped is not None or suppose.fault is not None or suppose.coats is not None
    if asks and piece is None:
        raise Missing("On which piece?", "piece")
    if piece is None:
        return None
    if suppose.skipped is not None:
        return Skipped(piece, suppose.skipped.value, suppose.coat or _SECOND)
    if suppose.fault is not None:
        return Mishap(piece, suppose.fault)
    return MoreCoats(piece, suppose.coats) if suppose.coats is not None else None


def _of_air(query: Query, suppose: Suppose) -> Change | None:
    space = suppose.space or next(iter(query.subject.spaces), None)
    start = query.time.start if isinstance(query.time, Between) else None
    end = suppose.until
    if end is None and isinstance(query.time, Between):
        end = query.time.end
    if suppose.temperature is not None:
        return Held(suppose.temperature.value, space, start, end, suppose.nights)
    return Warmer(suppose.warmer, space, start, end) if suppose.warmer is not None else None


def row(job: Job, query: Query, subject: str | None) -> Row:  # noqa: ARG001
    """Lay the week out twice; a yes is that it ends in time (``By``), else that the change costs no time."""
    from assistant.craft.plan.whatif import what_if

    change = change_of(query)
    found = what_if(job.state, job.cards, job.now, change, before=week(job), limit_s=PATIENCE)
    facts = WhatIfFacts(
        about="what_if", finish_before=found.finish_before, finish_after=found.finish_after, change=found.change
    )
    gain = found.gain_h
    decision = None if gain is None else gain >= 0
    if isinstance(query.time, By):
        after = found.finish_after
        decision = None if after is None else utc(after) <= utc(query.time.moment)
    proof = "Both finishes are proved." if found.proved else "Not both finishes are proved: it is about so much."
    said = " ".join([found.text.rstrip("."), *_stalls(job, change)])
    return Row(
        name="the job", facts=facts, decision=decision, said=said, moment=found.finish_after,
        span=None if gain is None else timedelta(hours=gain), evidence=Told(f"{found.text} {proof}"),
        value=None if gain is None else Amount(gain, "h"),
    )  # fmt: skip


def _stalls(job: Job, change: Change) -> list[str]:
    """Say which films that are drying would stand still at a temperature supposed."""
    if not isinstance(change, Held):
        return []
    films = {r.product for p in job.state.work if (r := job.readiness(p, "handle")).laid}
    cards = [(n, c.least) for n in films if n and (c := job.card(n)) and c.least is not None]
    told = [f"Under {figure(least)} degrees {n} stands still" for n, least in cards if change.celsius < least]
    return [f". {'. '.join(told)}"] if told else []


RESOLVER: Final = Resolver(
    what=Property.WHATIF, subjects=whole, row=row, natural=Shape.WHAT, condition=False,
    takes=frozenset(f.name for f in fields(Suppose)),
    shapes=frozenset({Shape.WHETHER, Shape.WHAT, Shape.WHEN, Shape.HOW_MUCH, Shape.HOW_LONG, Shape.WHY}),
    topic="what a change would do to the finish",
)  # fmt: skip
