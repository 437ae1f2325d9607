"""What to do next: the best moves now, why, and what each lets go on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from assistant.craft.plan.step import Placed, Plan
from assistant.craft.times import hours, spoken, utc
from assistant.journal.state import State

MOST: Final = 6
#: What starts this many hours after the first move is no answer to "what next".
NEAR: Final = 24.0


@dataclass(frozen=True, slots=True)
class Move:
    """One thing to do. ``unlocks`` says what waits for it, empty where nothing does."""

    text: str
    piece: str | None
    from_: datetime
    why: str
    unlocks: str
    minutes: int
    placed: Placed

    def to_json(self) -> dict[str, Any]:
        """Give it as the ``moves`` of the public answer hold it."""
        why = f"{self.why}; {self.unlocks}" if self.why and self.unlocks else self.why or self.unlocks
        return {"text": self.text, "piece": self.piece, "from": self.from_, "why": why}


def moves(plan: Plan, state: State, now: datetime, most: int = MOST) -> list[Move]:
    """Give what to do next, the best first: the plan's own order, with the reason for each.

    The first step of the plan comes first. A step that is ready already is told with ``from_`` now, as
    its hands-on part may begin at once.
    """
    del state  # all that is known of it is in the plan
    coming = [p for p in plan.steps if utc(p.end) > utc(now)]
    if not coming:
        return []
    first = coming[0]
    near = [p for p in coming if hours(first.start, p.start) <= NEAR][:most]
    return [_move(plan, placed, now, first=placed is first) for placed in near]


def _move(plan: Plan, placed: Placed, now: datetime, *, first: bool) -> Move:
    soon = first and hours(now, placed.start) <= 0.25
    begin = now if soon or utc(placed.start) < utc(now) else placed.start
    minutes = round(hours(placed.start, placed.end) * 60)
    return Move(
        placed.text,
        placed.piece,
        begin,
        _why(plan, placed, now),
        _unlocks(plan, placed, now),
        minutes,
        placed,
    )


def _why(plan: Plan, placed: Placed, now: datetime) -> str:
    film = next((f for f in plan.films if f.piece == placed.piece and f.done), None)
    if placed.step.until is not None:
        return "while the last coat is still tacky"
    if placed.late:
        return "the overcoating window has shut by then"
    if film is not None and film.shuts is not None and placed.step.kind == "coat":
        left = hours(placed.start, film.shuts)
        if 0.0 <= left <= 12.0:
            return f"its window shuts at {spoken(film.shuts, now)}"
    if placed.held.endswith(" drying") and placed.ready is not None:
        return f"{placed.held.removesuffix(' drying')} is ready {_at(placed.ready, now)}"
    if placed.held:
        return placed.held if placed.held == "the dust to settle" else f"kept by {placed.held}"
    if placed.step.noise:
        return "it makes noise: before the quiet hours"
    return "all it waits for is there"


def _at(moment: datetime, now: datetime) -> str:
    return "now" if utc(moment) <= utc(now) else f"at {spoken(moment, now)}"


def _unlocks(plan: Plan, placed: Placed, now: datetime) -> str:
    if placed.piece is None:
        return ""
    later = [p for p in plan.steps if p.piece == placed.piece and utc(p.start) >= utc(placed.end)]
    if not later:
        return f"then the {placed.piece} is done"
    return f"then {later[0].text} from {spoken(later[0].start, now)}"
