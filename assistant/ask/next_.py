"""What to do next: on a piece, in a space, in a time, or of everything the best first."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from assistant.ask.answer import Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.ask.week import MoveFacts, NextFacts, as_moves, coming, week
from assistant.ask.words import full
from assistant.craft.times import like, utc
from assistant.language.query import At, Between, By, Property, Query, Shape
from assistant.wording import when

#: So many moves are told; the plan's page has them all.
_TOLD: Final = 3


def row(job: Job, query: Query, subject: str | None) -> Row:  # noqa: ARG001
    """Give what comes first of what the query speaks of."""
    span = _span(job, query)
    if span is not None or query.subject.pieces:
        return _planned(job, query, span)
    from assistant.craft.plan.moves import moves

    found = week(job)
    spaces, but = query.subject.spaces, query.subject.besides
    mine = [
        m for m in moves(found, job.state, job.now)
        if (not spaces or m.placed.step.space in spaces) and m.piece not in but and m.placed.step.space not in but
    ]  # fmt: skip
    facts = NextFacts(about="next", moves=tuple(MoveFacts(m.text, m.piece, m.from_, m.why or m.unlocks) for m in mine))
    place = f" in the {' and the '.join(spaces)}" if spaces else ""
    if not mine:
        why = f": {found.unplaced[0].why}" if found.unplaced else ""
        said = f"nothing that is planned is left to do{place}{why}"
        return Row(name="the plan", facts=facts, said=said, decision=False)
    first = mine[0]
    soon = utc(first.from_) <= utc(job.now) + timedelta(minutes=1)
    text = first.text if soon else f"nothing{place} till {when(first.from_, job.now)}: then {first.text}"
    if first.why:
        text += f", {first.why}"
    if len(mine) > 1:
        text += f". Then {mine[1].text}, {when(mine[1].from_, job.now)}"
    why = first.why or first.unlocks or "it is first in the plan"
    return Row(
        name="the plan", facts=facts, decision=soon, said=text, moment=first.from_, piece=first.piece,
        evidence=Told(full(why)),
    )  # fmt: skip


def _span(job: Job, query: Query) -> tuple[datetime, datetime] | None:
    match query.time:
        case Between(start, end):
            return max(start, job.now, key=utc), end
        case By(moment):
            return job.now, moment
        case At(moment):
            return moment, like(utc(moment) + timedelta(hours=1), moment)
    return None


def _planned(job: Job, query: Query, span: tuple[datetime, datetime] | None) -> Row:
    found = week(job)
    subject = query.subject
    steps = [
        p for p in coming(found, job.now, subject.pieces)
        if (not subject.spaces or p.step.space in subject.spaces) and p.piece not in subject.besides
    ]  # fmt: skip
    later = steps
    if span is not None:
        steps = [p for p in steps if utc(p.end) > utc(span[0]) and utc(p.start) <= utc(span[1])]
        later = [p for p in later if utc(p.start) > utc(span[1])]
    facts = NextFacts(about="next", moves=as_moves(steps))
    if not steps:
        of = f" on the {' and the '.join(subject.pieces)}" if subject.pieces else ""
        then = f". Next: {later[0].text}, {when(later[0].start, job.now)}" if later and span is not None else ""
        said = f"nothing {'' if span is not None else 'more '}is planned{of}{then}"
        return Row(name="the plan", facts=facts, decision=False, said=said)
    told = "; ".join(f"{when(p.start, job.now)} {p.text}" for p in steps[:_TOLD])
    more = f"; and {len(steps) - _TOLD} more" if len(steps) > _TOLD else ""
    first = steps[0]
    return Row(
        name="the plan", facts=facts, decision=True, said=told + more, moment=first.start, piece=first.piece,
        evidence=Told(full(first.held or "it is first in the plan")),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.NEXT, subjects=whole, row=row, natural=Shape.WHAT, condition=False, topic="what to do next",
    shapes=frozenset({Shape.WHAT, Shape.WHICH, Shape.WHEN, Shape.WHETHER, Shape.FIRST, Shape.WHY}),
)  # fmt: skip
