"""What a piece waits for: its next stage by the plan, and the pieces that are not there yet."""

from __future__ import annotations

from datetime import datetime

from assistant.craft.readiness import Film, Readiness, film_on, films_on, readiness
from assistant.craft.shelf import Cards
from assistant.craft.times import utc
from assistant.craft.wanted import wanted
from assistant.journal.events import Fit
from assistant.journal.state import State


def planned(state: State, piece: str) -> dict[str, int]:
    """Give the coats that are wanted in all on a piece, by label."""
    return {line.label: line.coats for line in wanted(state) if line.piece == piece}


def coats_on(state: State, piece: str, at: datetime) -> dict[str, int]:
    """Give the coats on a piece at a time, by product ("" if none was named), since it was last stripped."""
    out: dict[str, int] = {}
    for film in films_on(state, piece, at):
        if film.coat is not None:
            product = film.product or ""
            out[product] = max(out.get(product, 0), film.coat)
    if utc(at) >= utc(max((e.at for e in state.work.get(piece, ())), default=at)):
        for product, number in state.coats.get(piece, {}).items():  # those the state no longer has as work
            out[product] = max(out.get(product, 0), number)
    return out


def finished(state: State, piece: str, at: datetime) -> bool | None:
    """Say whether all the coats planned for a piece are on; None if none are planned."""
    in_all = planned(state, piece)
    if not in_all:
        return None
    on = coats_on(state, piece, at)
    return all(on.get(label, 0) >= number for label, number in in_all.items())


def next_stage(state: State, film: Film, at: datetime) -> str:
    """Give the stage that matters next: handling after a glue line or the last coat, sanding after filler."""
    if film.kind == "bond" or (film.kind == "coat" and finished(state, film.piece, at)):
        return "handle"
    return "sand" if film.kind == "fill" else "overcoat"


def waiting(state: State, cards: Cards, now: datetime) -> list[Readiness]:
    """Give the pieces whose last film is not at its next stage by ``now``, the first to be ready in front.

    What is fitted waits for nothing. Where nothing says when, ``earliest`` is None and ``unknown`` says
    why; after two days such a piece is no longer listed.
    """
    out = []
    for piece in state.work:
        film = film_on(state, piece, now)
        if film is None:
            continue
        stage = next_stage(state, film, now)
        if stage == "handle" and _fitted(state, film, now):
            continue
        found = readiness(state, cards, piece, stage, now)
        if found.earliest is not None:
            if utc(found.earliest) > utc(now):
                out.append(found)
        elif (utc(now) - utc(film.laid)).total_seconds() < 48 * 3600 or found.source:
            out.append(found)
    far = utc(now)
    return sorted(out, key=lambda r: (r.earliest is None, utc(r.earliest) if r.earliest else far))


def _fitted(state: State, film: Film, now: datetime) -> bool:
    work = state.work.get(film.piece, ())
    return any(isinstance(e, Fit) and utc(film.laid) <= utc(e.at) <= utc(now) for e in work)
