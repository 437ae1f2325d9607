"""When it will be done, of one piece or of all, whether a time or the deadline holds, and what it hangs on."""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import datetime, timedelta
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Facts, Resolver, Row, Told, Veto
from assistant.ask.job import Job
from assistant.ask.needed import Needed
from assistant.ask.subject import pieces_of, whole
from assistant.ask.week import PATIENCE, coming, film_end, week
from assistant.ask.whatif import row as whatif
from assistant.craft.plan.step import Plan
from assistant.craft.times import utc
from assistant.language.query import At, Between, By, Property, Query, Shape, Suppose, Unknown
from assistant.wording import capital, lasting, listed, when

#: A spoken answer warns of this many things; the plan's page has them all.
_WARNED: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class FinishFacts(Facts):
    """When it is done against a time it should be done by; ``slack`` in h."""

    piece: str | None
    finish: datetime | None
    deadline: datetime | None
    holds: bool | None
    slack: float | None
    critical: tuple[str, ...]
    optimal: bool


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, or each if asked which or in what order; else the job as one."""
    subject = query.subject
    ordered = query.shape in (Shape.WHICH, Shape.FIRST, Shape.LAST, Shape.COMPARE)
    if subject.pieces or subject.spaces or subject.having or ordered:
        found = pieces_of(job, subject)
        planned = {p.piece for p in coming(week(job), job.now)}
        return [p for p in found if p in planned or subject.pieces]
    return whole(job, query)


def limit(query: Query) -> datetime | None:
    """Give the time asked for by which it should be done."""
    match query.time:
        case At(moment) | By(moment) | Between(_, moment):
            return moment
    return None


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Work out one piece, or the whole job; with something supposed it is a what-if."""
    if query.suppose is not None:
        return whatif(job, query, piece)
    found = week(job)
    return _whole(job, query, found) if piece is None else _piece(job, query, found, piece)


def _whole(job: Job, query: Query, found: Plan) -> Row:
    by = limit(query)
    deadline = by or found.deadline
    slack = None
    if deadline is not None and found.finish is not None:
        slack = round((utc(deadline) - utc(found.finish)).total_seconds() / 3600, 2)
    holds = found.holds if by is None else _holds(found, slack)
    facts = FinishFacts(
        about="finish", piece=None, finish=found.finish, deadline=deadline, holds=holds, slack=slack,
        critical=tuple(found.critical), optimal=found.optimal,
    )  # fmt: skip
    hangs = f". It hangs on {listed(found.critical[:2])}" if found.critical else ""
    return Row(
        name="the job", facts=facts, decision=holds, said=_verdict(job, query, found, facts) + hangs,
        moment=found.finish, vetoes=_late(job, found, slack), evidence=Told(_why(found)), notes=_warned(job, found),
    )  # fmt: skip


def start_by(job: Job, query: Query) -> Row:
    """Give the latest start that still makes the time asked for, or the deadline."""
    from assistant.craft.plan.whatif import must_start_by

    found = must_start_by(job.state, job.cards, job.now, limit(query), limit_s=PATIENCE)
    facts = Needed(about="needed", start=found.at)
    return Row(
        name="the job", facts=facts, decision=found.at is not None, said=found.text.rstrip("."), moment=found.at,
        evidence=Told(found.text),
    )  # fmt: skip


def _holds(found: Plan, slack: float | None) -> bool | None:
    if found.unplaced or slack is None:
        return None
    return False if slack < 0 else True if found.sure else None


def _late(job: Job, found: Plan, slack: float | None) -> tuple[Veto, ...]:
    if slack is None or slack >= 0 or found.finish is None:
        return ()
    return (Veto(Bar.FILM, f"the plan ends at {when(found.finish, job.now)}", None, found.finish),)


def _verdict(job: Job, query: Query, found: Plan, facts: FinishFacts) -> str:
    if found.unplaced:
        return f"{found.unplaced[0].why}: till then I can't promise it"
    if found.finish is None:
        return "there is nothing left to do that I know of"
    at = when(found.finish, job.now)
    if facts.deadline is None or facts.slack is None:
        return f"you finish at {at}; no deadline was said"
    if facts.slack < 0:
        saved = _saving(job, found) if limit(query) is None else ""
        return f"you finish at {at}, {lasting(timedelta(hours=-facts.slack))} late{saved}"
    if facts.holds is None:
        return f"by what I know you finish at {at}, but some waits are guesses"
    return f"you finish at {at}, with {lasting(timedelta(hours=facts.slack))} to spare"


def _saving(job: Job, found: Plan) -> str:
    from assistant.craft.plan.whatif import rescues

    saving = rescues(job.state, job.cards, job.now, found, limit_s=0.0)
    return f". {capital(saving[0].text.rstrip('.'))}" if saving else ". Nothing that I can try saves it"


def _warned(job: Job, found: Plan) -> tuple[str, ...]:
    from assistant.craft.plan.outlook import outlook

    return tuple(capital(w.text) for w in outlook(job.state, job.cards, job.now, found)[:_WARNED])


def _piece(job: Job, query: Query, found: Plan, piece: str) -> Row:
    steps = coming(found, job.now, [piece])
    name = f"the {piece}"
    by = limit(query) or found.deadline
    blank = FinishFacts(
        about="finish", piece=piece, finish=None, deadline=by, holds=None, slack=None, critical=(),
        optimal=found.optimal,
    )  # fmt: skip
    if not steps:
        lost = next((u for u in found.unplaced if u.step.piece == piece), None)
        if lost is not None:
            return Row(name=name, facts=blank, unknown=lost.why, piece=piece)
        return Row(name=name, facts=blank, decision=True, said=f"nothing more is planned on {name}", piece=piece)
    ends, hard = steps[-1].end, film_end(found, piece, steps[-1])
    slack = None if by is None else round((utc(by) - utc(ends)).total_seconds() / 3600, 2)
    holds = None if slack is None else slack >= 0
    facts = FinishFacts(
        about="finish", piece=piece, finish=ends, deadline=by, holds=holds, slack=slack,
        critical=tuple(dict.fromkeys(p.held for p in steps if p.held)), optimal=found.optimal,
    )  # fmt: skip
    said = f"{name} is finished at {when(ends, job.now)}"
    if utc(hard) > utc(ends):
        said += f", hard enough to handle by {when(hard, job.now)}"
    if query.shape in (Shape.FIRST, Shape.LAST, Shape.COMPARE, Shape.WHICH):
        said = ""
    return Row(
        name=name, facts=facts, decision=holds, said=said, can="is finished" if not said else "", moment=ends,
        cannot="is not finished by then", then="" if said else f"{name} is finished", piece=piece,
        evidence=Told(_why(found)),
    )  # fmt: skip


def _why(found: Plan) -> str:
    proof = "Proved: it cannot be done sooner" if found.optimal else "Not proved: there may be a better plan"
    return ". ".join([proof, *(capital(t) for t in (*found.critical, *found.assumes, *found.problems)[:6])]) + "."


RESOLVER: Final = Resolver(
    what=Property.FINISH, subjects=subjects, row=row, natural=Shape.WHEN, condition=False,
    shapes=EVERY_SHAPE,
    takes=frozenset(f.name for f in fields(Suppose)), needs=frozenset({Unknown.START}), solves=start_by,
    topic="it will be finished",
)  # fmt: skip
