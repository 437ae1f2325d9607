"""Tape: when it comes off a film, and when it may go on one."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Resolver, Row, Veto
from assistant.ask.film import bars, facts, film_sum, soonest
from assistant.ask.job import Job
from assistant.ask.subject import filmed
from assistant.ask.words import full
from assistant.craft.times import utc
from assistant.language.meanings import Act
from assistant.language.query import Property, Query, Shape, Stage
from assistant.wording import when

_TRY: Final = "Tape lifts young film: try it on a corner first (common practice, no source)."
_BOOKS: Final = "Some books say after it is dry."


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Work out one piece: tape on (``act`` MASK) once it can be handled, tape off while it is tacky."""
    assert piece is not None
    return _on(job, piece) if query.act is Act.MASK else _off(job, piece)


def _on(job: Job, piece: str) -> Row:
    found = job.readiness(piece, Stage.HANDLE)
    known = found.unknown is None or bool(found.source)
    vetoes = tuple(
        Veto(Bar.FILM, f"tape would mark the {piece} before {when(v.until, job.now)}", piece, v.until)
        if v.until is not None else v
        for v in (bars(job, found) if known else ())
    )  # fmt: skip
    return Row(
        name=f"the {piece}", facts=facts(found, "handle", ready=found.ready), decision=found.ready if known else None,
        can="is hard enough for tape", cannot="is too soft for tape", vetoes=vetoes, piece=piece,
        since=found.earliest if found.ready else None, unknown=found.unknown if not known else None,
        again=soonest(job, found.earliest), notes=(_TRY, *(full(n) for n in found.notes)),
        evidence=film_sum(job, found), product=found.product,
    )  # fmt: skip


def _off(job: Job, piece: str) -> Row:
    found = job.readiness(piece, Stage.TOUCH)
    name = f"the {piece}"
    at = found.earliest
    dry = at is not None and utc(at) <= utc(job.at)
    until = None if dry else at
    tape = f"the tape on {name}"
    known = found.laid is not None and (found.unknown is None or at is not None)
    said = "" if found.laid is not None else f"I know of no film on {name}: pull it"
    how = f"slowly, cutting the edge if it lifts: {name} was touch dry at {when(at, job.now)}" if dry and at else ""
    return Row(
        name=tape, facts=facts(found, "touch", ready=found.ready), decision=True if known else None, said=said,
        can="can come off" if dry else "can come off while the film is tacky", cannot="has to stay", how=how,
        until=until, unknown=found.unknown if not known else None, piece=piece, product=found.product,
        notes=(_BOOKS,), evidence=film_sum(job, found),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.TAPE, subjects=filmed, row=row, natural=Shape.WHETHER, waits=True,
    shapes=EVERY_SHAPE - {Shape.HOW_MUCH, Shape.NEEDED}, topic="the tape can come off",
)  # fmt: skip
