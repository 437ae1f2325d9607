"""One evaluator for every question: subjects, time, condition, shape and negation are worked out here, once for all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime, timedelta
from typing import Final

from assistant.ask import compose
from assistant.ask.answer import DECIDED, ORDERED, Answer, Facts, Missing, Resolver, Row
from assistant.ask.job import Job, Talk, job_of, supposing
from assistant.ask.near import nearest, offered
from assistant.ask.needed import solve
from assistant.ask.subject import pieces_of
from assistant.ask.table import resolver as resolver_of
from assistant.ask.words import full, supposed
from assistant.craft.times import like, utc
from assistant.language.meanings import Quantifier
from assistant.language.query import At, Between, By, Query, Shape, Suppose
from assistant.problem import Problem
from assistant.wording import listed

#: So far ahead a "when" is looked for, and so many changes on the way there.
HORIZON: Final = timedelta(days=60)
_JUMPS: Final = 60
_TIMED: Final = frozenset({Shape.WHEN, Shape.HOW_LONG}) | ORDERED


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared(Facts):
    """Several subjects in order, best first."""

    rows: tuple[Facts, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted(Facts):
    """How many there are."""

    count: int
    of: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Explained(Facts):
    """Words."""

    text: str


def evaluate(query: Query, talk: Talk) -> Answer:
    """Answer a query. Nothing is written; what a person may ask never raises."""
    try:
        return _evaluated(query, talk)
    except Missing as missing:
        return Answer(query, talk.now, missing.asks.question, asks=missing.asks)
    except Problem as problem:
        return Answer(query, talk.now, f"{str(problem)[:1].upper()}{str(problem)[1:]}.", refused=True)


def explain(answer: Answer) -> str:
    """Give the sum behind an answer, out of its own evidence."""
    rows = [answer.chosen] if answer.chosen is not None else list(answer.rows)
    told = [full(row.evidence.told()) for row in rows if row.evidence is not None]
    against = [full(v.text) for v in answer.vetoes]
    return " ".join(dict.fromkeys([*told, *against])) or full(answer.unknown or "there is no sum behind that")


def _evaluated(query: Query, talk: Talk) -> Answer:
    found = resolver_of(query.what)
    if found is None or (query.shape is not Shape.WHY and query.shape not in found.shapes):
        return _cannot(query, talk, found)
    if query.shape is Shape.WHY:
        inner = _evaluated(replace(query, shape=found.natural), talk)
        text = explain(inner)
        return replace(inner, query=query, reply=text, facts=Explained(about="explain", text=text))
    if query.shape is Shape.NEEDED:
        if query.unknown not in found.needs:
            return _cannot(query, talk, found)
        if found.solves is not None:
            return _told(query, talk.now, talk.now, [found.solves(job_of(talk, talk.now), query)], found)
        return solve(query, talk, lambda q: _evaluated(q, talk))
    start, end, at = _span(query, talk.now)
    job = job_of(talk, start)
    if query.suppose is not None and found.condition:
        job = supposing(job, query, tuple(pieces_of(job, query.subject)))
    subjects = found.subjects(job.then(at), query)
    if not subjects:
        return _none(query, talk.now, at)
    rows = [_row(found, job, query, subject, (start, end)) for subject in subjects]
    told = _told(query, talk.now, at, rows, found)
    left = left_out(query, found)
    return replace(told, reply=f"{told.reply} {left}", cautions=(*told.cautions, left)) if left else told


#: What of a condition the job itself is changed by; "space", "until" and "nights" say where and when it holds.
_PUT_IN: Final = frozenset({"temperature", "warmer", "humidity", "product", "skipped", "moved", "laid"})
_WITH_IT: Final = frozenset({"space", "until", "nights", "instead_of", "coat"})


def left_out(query: Query, found: Resolver) -> str:
    """Name what was supposed and has no bearing on what is asked; "" if all of it was reckoned with."""
    if query.suppose is None:
        return ""
    used = found.takes | _WITH_IT | (_PUT_IN if found.condition else frozenset())
    blank = Suppose()
    unused = {
        f.name: getattr(query.suppose, f.name) for f in fields(Suppose)
        if f.name not in used and getattr(query.suppose, f.name) != getattr(blank, f.name)
    }  # fmt: skip
    if not unused:
        return ""
    said = supposed(replace(blank, **unused)) or listed(name.replace("_", " ") for name in unused)
    return f"Not reckoned with: {said}."


def _span(query: Query, now: datetime) -> tuple[datetime, datetime, datetime]:
    """Give from when and till when it is asked, and the moment the answer speaks of."""
    match query.time:
        case At(moment):
            return moment, moment, moment
        case By(moment):
            return min(now, moment, key=utc), moment, moment
        case Between(start, end):
            return start, end, start
    return now, now, now


def _row(found: Resolver, job: Job, query: Query, subject: str | None, span: tuple[datetime, datetime]) -> Row:
    """Work out one subject over the time asked for."""
    start, end = span
    if not found.waits:
        return found.row(job.then(end if isinstance(query.time, By) else start), query, subject)
    first = found.row(job.then(start), query, subject)
    if first.decision is None and first.again is None:
        return first
    if first.decision:
        begun = start if query.shape in _TIMED else None
        return replace(first, moment=first.since if first.since is not None else first.moment or begun)
    spanned = utc(end) > utc(start)
    if query.shape in DECIDED or spanned:
        within = first_yes(found, job, query, subject, (start, end)) if spanned else None
        if within is not None:
            return within
        first = found.row(job.then(end), query, subject)
    later = first_yes(found, job, query, subject, (end, like(utc(end) + HORIZON, end)))
    return first if later is None else replace(first, moment=later.moment)


def first_yes(
    found: Resolver, job: Job, query: Query, subject: str | None, span: tuple[datetime, datetime]
) -> Row | None:
    """Give the row of the first moment in a span at which the answer is yes, with that moment; None if there is none.

    It goes from one moment at which the answer may change to the next, so nothing between them is missed.
    """
    at, end = span
    for _ in range(_JUMPS):
        row = found.row(job.then(at), query, subject)
        if row.decision:
            return replace(row, moment=at)
        if row.again is None or utc(row.again) > utc(end) or utc(row.again) <= utc(at):
            return None
        at = row.again
    return None


def _told(query: Query, now: datetime, at: datetime, rows: list[Row], found: Resolver) -> Answer:
    """Put rows together: the quantifier, the order, the count, the decision and the words."""
    if query.shape in ORDERED:
        rows = _in_order(rows, last=query.shape is Shape.LAST, least=found.least_first)
    every = _all_meant(query)
    decision = _decided(rows, every=every)
    chosen = _chosen(rows, query, decision, every=every)
    if decision is not None and (query.negated or query.subject.quantifier is Quantifier.NONE):
        decision = not decision
    timed = query.time is not None and query.shape in _TIMED and isinstance(query.time, By | Between)
    worded = query
    if timed and query.shape in (Shape.WHEN, Shape.HOW_LONG) and all(r.decision is not None for r in rows):
        worded = replace(query, shape=Shape.WHETHER)
    reply = compose.compose(worded, now, rows, chosen, decision)
    decides = query.shape in DECIDED or worded is not query
    against = [r for r in rows if r.decision is chosen.decision] if query.shape is Shape.WHETHER else [chosen]
    vetoes = tuple(dict.fromkeys(v for r in against for v in r.vetoes))
    decision = decision if decides or len(rows) == 1 else None
    return Answer(
        query, at, reply, facts=_facts(query, rows, chosen, found), decision=decision,
        rows=tuple(rows), chosen=chosen, vetoes=vetoes, unknown=chosen.unknown,
        cautions=tuple(dict.fromkeys(n for r in rows[:4] for n in r.notes)),
    )  # fmt: skip


def _none(query: Query, now: datetime, at: datetime) -> Answer:
    """Answer of nothing at all: none is so, and whether all of it is, is not known."""
    decision = None
    if query.shape is Shape.WHETHER and not _all_meant(query):
        decision = query.negated or query.subject.quantifier is Quantifier.NONE
    text = compose.nothing(query, now, decision)
    facts: Facts = Explained(about="explain", text=text)
    if query.shape in DECIDED:
        facts = Counted(about="count", count=0, of=0)
    return Answer(query, at, text, facts=facts, decision=decision, unknown="nothing is known to answer of")


def _all_meant(query: Query) -> bool:
    match query.subject.quantifier:
        case Quantifier.ANY | Quantifier.NONE:
            return False
        case None:
            subject = query.subject
            return bool(subject.pieces or subject.products) or (bool(subject.spaces) and not subject.having)
    return True


def _decided(rows: Sequence[Row], *, every: bool) -> bool | None:
    known = [r.decision for r in rows]
    if every:
        return False if False in known else None if None in known else True
    return True if True in known else None if None in known else False


def _chosen(rows: Sequence[Row], query: Query, decision: bool | None, *, every: bool) -> Row:
    """Give the row that decides: of all, the last to be so; of any, the first."""
    if query.shape in ORDERED:
        return rows[0]
    those = [r for r in rows if r.decision is decision] or list(rows)
    far = utc(datetime.max.replace(tzinfo=utc(_EPOCH).tzinfo) - timedelta(days=2))
    pick = max if every else min
    return pick(those, key=lambda r: utc(r.moment) if r.moment is not None else far)


_EPOCH: Final = datetime.fromisoformat("2000-01-01T00:00:00+00:00")


def _in_order(rows: list[Row], *, last: bool, least: bool) -> list[Row]:
    """Order rows by what they are measured by; those of which nothing is known come at the end."""
    known = [r for r in rows if compose.measured(r) is not None]
    by_moment = [r for r in known if r.moment is not None]
    by_figure = [r for r in known if r.moment is None]
    by_moment.sort(key=lambda r: utc(r.moment or _EPOCH), reverse=last)
    by_figure.sort(key=lambda r: float(str(compose.measured(r))), reverse=last is least)
    return [*by_moment, *by_figure, *(r for r in rows if compose.measured(r) is None)]


def _facts(query: Query, rows: Sequence[Row], chosen: Row, found: Resolver) -> Facts:
    if query.shape is Shape.COMPARE:
        return Compared(about="compare", rows=tuple(r.facts for r in rows))
    counted = any(r.count is not None for r in rows)
    if query.shape is Shape.HOW_MANY and not counted and any(r.decision is not None for r in rows):
        those = [r for r in rows if r.decision is (not query.negated)]
        return Counted(about="count", count=len(those), of=len(rows))
    if found.gather is not None and len(rows) > 1 and query.shape not in ORDERED:
        return found.gather(rows)
    return chosen.facts


def _cannot(query: Query, talk: Talk, found: Resolver | None) -> Answer:
    """Say that this is not answered, and offer the nearest that are."""
    near = nearest(query, found)
    return Answer(query, talk.now, offered(near), unknown="no resolver answers that", nearest=near)
