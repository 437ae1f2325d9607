"""What is still to be done: coats by piece, and what else is planned."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import pieces_of, whole
from assistant.ask.week import NextFacts, as_moves, coats_left, coming, week
from assistant.ask.words import full
from assistant.craft.plan.step import Placed
from assistant.craft.times import utc
from assistant.language.query import Between, By, Property, Query, Shape
from assistant.wording import listed, many, when

#: So many steps of a task that is under way are named one by one.
_FEW: Final = 2


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, or each piece if asked which; else the job as one."""
    subject = query.subject
    if subject.pieces or subject.spaces or subject.having or query.shape in (Shape.WHICH, Shape.COMPARE):
        return [*pieces_of(job, subject)]
    return whole(job, query)


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Give what the plan has still to do on a piece, or on all; a yes is that there is something."""
    found = week(job)
    steps = coming(found, job.now, [piece] if piece else [])
    if query.subject.products:
        steps = [p for p in steps if p.step.product in query.subject.products]
    if isinstance(query.time, By | Between):
        end = query.time.moment if isinstance(query.time, By) else query.time.end
        steps = [p for p in steps if utc(p.start) <= utc(end)]
    name = f"the {piece}" if piece else "the plan"
    facts = NextFacts(about="next", moves=as_moves(steps))
    coats = sum(p.step.kind == "coat" for p in steps)
    unplaced = [u for u in found.unplaced if piece is None or u.step.piece == piece]
    if not steps:
        why = "; ".join(f"{u.step.text}, which has no place in the plan: {u.why}" for u in unplaced)
        said = why or f"nothing more is planned{f' on {name}' if piece else ''}"
        return Row(
            name=name, facts=facts, decision=bool(unplaced), said=_unless_which(query, said), count=0, piece=piece,
            can="has work left", cannot="is finished",
        )  # fmt: skip
    if piece is not None:
        start = "now" if utc(steps[0].start) <= utc(job.now) else f"from {when(steps[0].start, job.now)}"
        said = f"{coats_left(steps) or 'no coats'} left on {name}; next {steps[0].text}, {start}"
    else:
        said = f"left to do: {'; '.join(_by_piece(job, steps))}"
    if query.shape is Shape.HOW_MANY:
        of = f" on {name}" if piece else ""
        said = f"{many(coats, 'coat')} left{of}: {coats_left(steps) or many(len(steps), 'step')}"
    return Row(
        name=name, facts=facts, decision=True, said=_unless_which(query, said), count=coats, piece=piece,
        can="has work left", cannot="is finished", evidence=Told(full(steps[0].held or "it is what the plan has")),
    )  # fmt: skip


def _unless_which(query: Query, said: str) -> str:
    return "" if query.shape is Shape.WHICH else said


def _by_piece(job: Job, steps: list[Placed]) -> list[str]:
    of: dict[str, list[Placed]] = {}
    for placed in steps:
        of.setdefault(placed.piece or placed.text, []).append(placed)
    return [_on(job, mine) for mine in of.values()]


def _on(job: Job, steps: list[Placed]) -> str:
    """Say what is left on one piece: its coats by product, or the names of its other work."""
    told = coats_left(steps)
    if told:
        tasks = [t.text for t in job.state.tasks if t.state == "open" and t.piece == steps[0].piece]
        faults = [text for text in dict.fromkeys(tasks) if text.startswith("put the ")]
        return f"{told} on the {steps[0].piece}" + (f", and {listed(faults)}" if faults else "")
    return listed(dict.fromkeys(p.text if len(steps) <= _FEW else p.step.task for p in steps))


RESOLVER: Final = Resolver(
    what=Property.LEFT, subjects=subjects, row=row, natural=Shape.WHAT, condition=False, topic="what is left to do",
    shapes=EVERY_SHAPE - {Shape.NEEDED, Shape.WHEN, Shape.HOW_LONG},
)  # fmt: skip
