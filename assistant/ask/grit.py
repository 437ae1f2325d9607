"""Which grit: the one used last, or the one the plan has next, on a piece or anywhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.ask.week import coming, week
from assistant.language.query import Property, Query, Shape
from assistant.wording import when


@dataclass(frozen=True, slots=True, kw_only=True)
class GritFacts(Facts):
    """A grit to come."""

    text: str
    piece: str | None
    grit: int | None


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, else the plan as one."""
    return [*query.subject.pieces] or whole(job, query)


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Give the grit of the next sanding the plan has; asked for the last, that of its last one."""
    steps = [p for p in coming(week(job), job.now, [piece] if piece else []) if p.step.grit]
    of = f" of the {piece}" if piece else ""
    if not steps:
        text = f"no sanding{of} is planned"
        return Row(name="the plan", facts=GritFacts(about="explain", text=text, piece=piece, grit=None), said=text)
    chosen = steps[-1] if query.shape is Shape.LAST else steps[0]
    text = f"P{chosen.step.grit}: {chosen.text}, {when(chosen.start, job.now)}"
    facts = GritFacts(about="explain", text=text, piece=chosen.piece, grit=chosen.step.grit)
    return Row(
        name="the plan", facts=facts, decision=query.grit is None or query.grit == chosen.step.grit, said=text,
        moment=chosen.start, piece=chosen.piece, evidence=Told(f"{text}: by the sequence of that task."),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.GRIT, subjects=subjects, row=row, natural=Shape.WHAT, condition=False, topic="which grit comes next",
    shapes=frozenset({Shape.WHAT, Shape.WHICH, Shape.WHETHER, Shape.FIRST, Shape.LAST, Shape.WHEN, Shape.WHY}),
)  # fmt: skip
