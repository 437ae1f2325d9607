"""What comes first tomorrow, by what the films allow: shutting windows, what is ready first, open tasks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final, NamedTuple

from assistant.craft.readiness import Film, Readiness, film_on, readiness
from assistant.craft.shelf import Cards
from assistant.craft.times import utc
from assistant.craft.waits import coats_on, finished, planned
from assistant.craft.wanted import bends, said_coats
from assistant.journal.events import Sand
from assistant.journal.state import State

MOST: Final = 6


class Move(NamedTuple):
    """One thing to do, from when (None: any time), and why it comes now."""

    text: str
    piece: str | None
    at: datetime | None
    why: str


def first_moves(state: State, cards: Cards, at: datetime, waits: Sequence[Readiness], zone: tzinfo) -> list[Move]:
    """Give the first moves of the day after ``at``, best first, at most :data:`MOST`.

    A window that shuts by the end of that day goes first, then what is ready, in order, then the open
    tasks. A planner that knows the hours and the deadline knows better.
    """
    local = at.astimezone(zone)
    end = (local + timedelta(days=2)).replace(hour=0, minute=0, second=0, microsecond=0)
    coating = list(_coating(state, cards, at, end))
    pressing = sorted((m for m in coating if m[0] is not None), key=lambda m: utc(m[0] or at))
    ready = sorted((m for m in coating if m[0] is None), key=lambda m: utc(m[1].at or at))
    others = [
        Move(_handled(w), w.piece, w.earliest, "hard enough then")
        for w in waits
        if w.stage == "handle" and w.earliest is not None and utc(w.earliest) < utc(end)
    ]
    tasks = [
        Move(_on(t.text, t.piece), t.piece, None, "an open task")
        for t in state.tasks
        if t.state == "open" and not bends(t) and said_coats(t) is None
    ]
    return [*(m for _, m in pressing), *(m for _, m in ready), *others, *tasks][:MOST]


def _coating(state: State, cards: Cards, at: datetime, end: datetime) -> Iterator[tuple[datetime | None, Move]]:
    """Give each piece that wants another coat and can have it before ``end``, with the end of its window."""
    for piece in state.work:
        film = film_on(state, piece, at)
        if film is None or film.kind == "bond" or finished(state, piece, at):
            continue
        if film.kind == "coat" and finished(state, piece, at) is None and _stale(film, at):
            continue  # nothing planned for it, and laid days ago: it is done as far as anybody said
        found = readiness(state, cards, piece, "overcoat", at)
        if found.earliest is None or utc(found.earliest) >= utc(end):
            continue
        shuts = found.latest if found.latest and utc(found.latest) < utc(end) else None
        if shuts is not None and utc(shuts) <= utc(at):
            move = Move(
                f"key the {piece}, wash it, then lay {_coat(state, film, at)}", piece, None, "its window has shut"
            )
            yield None, move
            continue
        why = "its window shuts that day" if shuts else "ready then"
        first = "" if any(isinstance(s, Sand) for s in film.sanded) else "rub down and "
        yield shuts, Move(f"{first}lay {_coat(state, film, at)} on the {piece}", piece, found.earliest, why)


def _coat(state: State, film: Film, at: datetime) -> str:
    """Say which coat comes next by the plan; without one nobody knows what it will be of."""
    on = coats_on(state, film.piece, at)
    for label, number in planned(state, film.piece).items():
        if on.get(label, 0) < number:
            return f"coat {on.get(label, 0) + 1} of {label}"
    return "the first coat" if film.coat is None else "the next coat"


def _stale(film: Film, at: datetime) -> bool:
    return utc(at) - utc(film.laid) > timedelta(days=4)


def _handled(wait: Readiness) -> str:
    return f"the {wait.piece} can be handled"


def _on(text: str, piece: str | None) -> str:
    return text if piece is None or piece in text else f"{text} ({piece})"
