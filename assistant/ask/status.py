"""How things stand: what was last done to each piece, what its film has reached, and what it reaches next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Facts, Resolver, Row, Told
from assistant.ask.entries import WORKED, describe
from assistant.ask.job import Job
from assistant.ask.subject import pieces_of
from assistant.craft.readiness import Readiness
from assistant.craft.times import utc
from assistant.journal.events import Coat, Event, Fault, Sand
from assistant.language.query import Has, Property, Query, Shape, Stage
from assistant.wording import nth, when

_SHUT: Final = "window shut"
_STOOD: Final = {
    "touch": "touch dry", "dust": "dust-free", "sand": "ready to sand", "overcoat": "ready for the next coat",
    "handle": "hard enough to handle", _SHUT: "window shut, key it first", "cured": "cured",
}  # fmt: skip
_NEXT: Final = {**_STOOD, "sand": "sand", "overcoat": "recoat", "handle": "handle"}


@dataclass(frozen=True, slots=True)
class Coming:
    """The next stage and when."""

    stage: str
    from_: datetime


@dataclass(frozen=True, slots=True)
class Standing:
    """One piece."""

    piece: str
    last: Event | None
    stage: str | None
    next: Coming | None


@dataclass(frozen=True, slots=True, kw_only=True)
class StatusFacts(Facts):
    """Pieces as they stand."""

    pieces: tuple[Standing, ...]


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, else all that anything was done to; a filter for wet ones is the film's own."""
    found = pieces_of(job, query.subject)
    named = query.subject.pieces or any(h.has is Has.FILM and h.negated for h in query.subject.having)
    return [p for p in found if named or job.state.work.get(p)]


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Say how one piece stands; a yes is that it keeps nobody waiting."""
    assert piece is not None
    work = tuple(e for e in job.state.work.get(piece, ()) if utc(e.at) <= utc(job.at))
    last = work[-1] if work else None
    standing, unknown = _standing(job, piece, last)
    facts = StatusFacts(about="status", pieces=(standing,))
    if last is None:
        return Row(name=f"the {piece}", facts=facts, said=f"{piece}: nothing on it that I know of", piece=piece)
    if job.film(piece) is None:
        said = f"{piece}: {describe(last, job.now)}"
    elif unknown and standing.stage == "wet":
        said = f"{piece}: {_last(work)}, {unknown}"
    else:
        said = f"{piece}: {_last(work)}, {_STOOD.get(standing.stage or '', standing.stage or '')}"
        if standing.next is not None:
            said += f", {_NEXT[standing.next.stage]} from {when(standing.next.from_, job.now)}"
    judged = query.shape in (Shape.WHICH, Shape.HOW_MANY)
    settled = standing.stage in ("overcoat", "handle", "cured", _SHUT, None)
    return Row(
        name=f"the {piece}", facts=facts, decision=settled, said="" if judged else said, piece=piece,
        can="keeps nobody waiting", cannot="is still drying", evidence=Told(f"Last entry: {describe(last, job.now)}."),
        moment=standing.next.from_ if standing.next else None, product=getattr(last, "product", None),
    )  # fmt: skip


def _standing(job: Job, piece: str, last: Event | None) -> tuple[Standing, str]:
    if last is None or job.film(piece) is None:
        return Standing(piece, last, None, None), ""
    reached, coming, unknown = "wet", None, ""
    for stage in Stage:
        found = job.readiness(piece, stage)
        if found.unknown is not None:
            unknown = unknown or found.unknown
        elif found.ready:
            reached = stage.value
        elif _is_shut(found, job.at):
            reached = _SHUT
        elif found.earliest is not None and (coming is None or utc(found.earliest) < utc(coming.from_)):
            coming = Coming(stage.value, found.earliest)
    return Standing(piece, last, reached, coming), unknown


def _is_shut(found: Readiness, at: datetime) -> bool:
    return found.stage == "overcoat" and found.latest is not None and utc(found.latest) <= utc(at)


def _last(work: tuple[Event, ...]) -> str:
    last = work[-1]
    coats = [e for e in work if isinstance(e, Coat)]
    if isinstance(last, Coat):
        return f"{nth(last.coat)} coat on"
    if isinstance(last, Sand) and coats:
        return f"{nth(coats[-1].coat)} coat sanded"
    if isinstance(last, Fault):
        return f"{last.fault} noted"
    return WORKED.get(last.kind, last.kind)


def together(rows: Sequence[Row]) -> StatusFacts:
    """Give the facts of several pieces as one list."""
    every = tuple(p for r in rows if isinstance(r.facts, StatusFacts) for p in r.facts.pieces)
    return StatusFacts(about="status", pieces=every)


RESOLVER: Final = Resolver(
    what=Property.STATUS, subjects=subjects, row=row, natural=Shape.WHAT, topic="how things stand",
    gather=together,
    shapes=EVERY_SHAPE - {Shape.NEEDED, Shape.HOW_MUCH},
)  # fmt: skip
