"""The plan, as a question needs it: solved once for a moment, and kept to the last one where that costs nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.ask.answer import Facts
from assistant.ask.job import Job
from assistant.craft.plan.step import Placed, Plan
from assistant.craft.times import utc
from assistant.wording import listed, many

#: Seconds that a spoken answer may spend on proof after the first plan is found.
PATIENCE: Final = 4.0


@dataclass(frozen=True, slots=True)
class MoveFacts:
    """One thing to do, from when, and why."""

    text: str
    piece: str | None
    from_: datetime
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextFacts(Facts):
    """What is to be done, the best or the first in front."""

    moves: tuple[MoveFacts, ...]


def week(job: Job) -> Plan:
    """Give the plan as things stand; asked twice at one moment of one journal it is solved once."""
    from assistant.craft.plan.week import plan

    key = (job.state.last_id, job.now)
    if job.memory.get("plan_of") == key and isinstance(kept := job.memory.get("plan"), Plan):
        return kept
    found = plan(job.state, job.cards, job.now, limit_s=PATIENCE, previous=job.memory.get("plan"))
    job.memory["plan"], job.memory["plan_of"] = found, key
    return found


def coming(found: Plan, now: datetime, pieces: Sequence[str | None] = ()) -> list[Placed]:
    """Give what the plan has still to do, in order: on some pieces, or all of it."""
    return [p for p in found.steps if utc(p.end) > utc(now) and (not pieces or p.piece in pieces)]


def as_moves(steps: Sequence[Placed]) -> tuple[MoveFacts, ...]:
    """Give steps as the moves of an answer."""
    return tuple(MoveFacts(p.text, p.piece, p.start, p.held or "planned") for p in steps)


def coats_left(steps: Sequence[Placed]) -> str:
    """Give ``2 coats of amber varnish and 1 coat of white undercoat``; "" where none is left."""
    counts: dict[str, int] = {}
    for placed in steps:
        if placed.step.kind == "coat":
            counts[str(placed.step.product)] = counts.get(str(placed.step.product), 0) + 1
    return listed(f"{many(n, 'coat')} of {product}" for product, n in counts.items())


def film_end(found: Plan, piece: str | None, last: Placed) -> datetime:
    """Give when the last film of a piece can be handled; of what leaves none, when the work ends."""
    films = [f for f in found.films if f.piece == piece and utc(f.laid) >= utc(last.start)]
    hard = [t for f in films if (t := f.at("handle") or f.at("overcoat"))]
    return max([last.end, *hard], key=utc)
