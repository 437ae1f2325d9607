"""What will go wrong this week unless somebody looks up: each told before it bites."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.plan.chain import taped
from assistant.craft.plan.change import Mishap
from assistant.craft.plan.pages import span
from assistant.craft.plan.shortage import gear, tins
from assistant.craft.plan.step import LaidFilm, Placed, Plan
from assistant.craft.plan.tasks import REDONE, put_right
from assistant.craft.plan.warning import Warning
from assistant.craft.plan.weather import cold
from assistant.craft.plan.week import plan as planned
from assistant.craft.plan.whatif import what_if
from assistant.craft.shelf import Cards
from assistant.craft.times import hours, spoken, utc
from assistant.journal.events import Fault
from assistant.journal.state import State

#: Noise is warned of when it has to begin within so many hours of the quiet ones.
NOISE_MARGIN: Final = 4.0
#: How far ahead tape, dust and windows are looked at; tins, glue and gear are for the whole plan.
NEAR: Final = timedelta(hours=36)
SOON: Final = timedelta(hours=12)

__all__ = ["Warning", "outlook"]


def outlook(state: State, cards: Cards, now: datetime, plan: Plan, *, limit_s: float = 0.0) -> list[Warning]:
    """Give what to be warned of, in the order in which it bites.

    ``limit_s`` is what each comparison with another week may take on top of its first plan.
    """
    found = [
        *tins(state, cards, now, plan, limit_s),
        *gear(state, now, plan),
        *cold(state, cards, now, plan),
        *_faults(state, cards, now, plan, limit_s),
        *_no_room(state, cards, now, plan, limit_s),
        *_noise(plan, now),
        *_tape(state, plan, now),
        *_dust(plan, now),
        *_windows(plan, now),
    ]
    unlike = {w.text: w for w in found}
    return sorted(unlike.values(), key=lambda w: utc(w.when))


def _faults(state: State, cards: Cards, now: datetime, plan: Plan, limit_s: float) -> Iterator[Warning]:
    """Say what a run that has happened costs: it has to harden before it can be flatted off."""
    for piece, work in state.work.items():
        faults = [e.fault for e in work if isinstance(e, Fault) and e.fault in REDONE]
        open_ = [f for f in faults if not put_right(state, piece, f)]
        step = next((p for p in plan.steps if p.piece == piece and p.step.kind in ("sand", "coat")), None)
        if not open_ or step is None:
            continue
        clean = state.copy()
        clean.work[piece] = tuple(e for e in work if not isinstance(e, Fault) or e.fault not in REDONE)
        without = planned(clean, cards, now, limit_s=limit_s)
        cost = hours(without.finish, plan.finish) if without.finish and plan.finish else 0.0
        dear = f"it costs {span(cost)}" if cost >= 0.25 else "the week has room for it"
        when = spoken(step.start, now)
        text = f"the {open_[-1]} on the {piece} cannot be flatted off before {when}: {dear}"
        if plan.late_by is not None:
            text += f", and the deadline is missed by {span(plan.late_by / timedelta(hours=1))}"
        yield Warning(text, step.start, "fault")


def _no_room(state: State, cards: Cards, now: datetime, plan: Plan, limit_s: float) -> Iterator[Warning]:
    """Say where one run would cost the deadline."""
    if plan.holds is not True or plan.finish is None or plan.deadline is None:
        return
    last = [p for p in plan.steps if p.step.kind == "coat" and p.piece is not None]
    if not last or hours(plan.finish, plan.deadline) > 48.0:
        return
    piece = max(last, key=lambda p: utc(p.end)).piece
    assert piece is not None
    mishap = what_if(state, cards, now, Mishap(piece), before=plan, limit_s=limit_s).after
    if mishap.late_by is not None:
        late = span(mishap.late_by / timedelta(hours=1))
        text = f"no room for a mishap: one run on the {piece} and you are {late} late"
        yield Warning(text, plan.finish, "slack")


def _noise(plan: Plan, now: datetime) -> Iterator[Warning]:
    """Say by when the sander has to be off, and what it costs if it is not."""
    quiet = sorted((s for s in plan.spans if s.what == "quiet"), key=lambda s: utc(s.start))
    for placed in plan.steps:
        if not placed.step.noise:
            continue
        if placed.held == "quiet hours" and placed.ready is not None:
            text = (
                f"{placed.text} could go on from {spoken(placed.ready, now)}, but that is in quiet hours: "
                f"it waits until {spoken(placed.start, now)}"
            )
            yield Warning(text, placed.ready, "noise")
            continue
        coming = next((s for s in quiet if utc(s.start) >= utc(placed.end)), None)
        near = utc(placed.start) - utc(now) <= NEAR
        if coming is not None and near and hours(placed.end, coming.start) <= NOISE_MARGIN:
            latest = coming.start - (utc(placed.end) - utc(placed.start))
            text = (
                f"{placed.text}: begin by {spoken(latest, now)}, quiet hours are from "
                f"{coming.start:%H:%M}; else it waits until {spoken(coming.end, now)}"
            )
            yield Warning(text, latest, "noise")


def _tape(state: State, plan: Plan, now: datetime) -> Iterator[Warning]:
    """Say when tape has to come off: while the last coat is tacky."""
    for piece in state.work:
        if not taped(state, piece):
            continue
        coats = [p for p in plan.steps if p.piece == piece and p.step.kind == "coat"]
        film = _last_film(plan, piece)
        if film is None or (coats and utc(coats[-1].start) - utc(now) > NEAR):
            continue
        dry = film.at("dust")
        if dry is None:
            continue
        if utc(dry) <= utc(now):
            text = f"the tape on the {piece} should have been off by {spoken(dry, now)}: cut along it, then pull"
            yield Warning(text, dry, "tape")
        else:
            text = f"pull the tape on the {piece} by {spoken(dry, now)}, while the last coat is still tacky"
            yield Warning(text, dry, "tape")


def _last_film(plan: Plan, piece: str) -> LaidFilm | None:
    films = [f for f in plan.films if f.piece == piece]
    return max(films, key=lambda f: utc(f.laid), default=None)


def _dust(plan: Plan, now: datetime) -> Iterator[Warning]:
    """Say where there must be no dust because a film is wet, and what would make some: once for each space."""
    told: set[str | None] = set()
    for film in sorted(plan.films, key=lambda f: utc(f.laid)):
        dry = film.at("dust")
        if dry is None or film.space in told or not utc(film.laid) - SOON < utc(now) < utc(dry):
            continue
        waiting = next((p for p in plan.steps if _kept_by(p, film, dry)), None)
        if waiting is None:
            continue
        told.add(film.space)
        since = "" if film.done else f" from {spoken(film.laid, now)}"
        text = (
            f"no dust in the {film.space or 'same air'}{since} until {spoken(dry, now)}: the {film.piece} is "
            f"wet, so {waiting.text} waits"
        )
        yield Warning(text, now if film.done else film.laid, "dust")


def _kept_by(placed: Placed, film: LaidFilm, dry: datetime) -> bool:
    """Say whether dusty work is what one might do while the film is wet: all else it waits for is there."""
    if not placed.step.dust or placed.piece == film.piece or utc(placed.start) < utc(dry):
        return False
    air = None in (film.space, placed.step.space) or film.space == placed.step.space
    ready = placed.ready is not None and utc(placed.ready) < utc(dry)
    return air and (ready or placed.held.endswith("in the same air"))


def _windows(plan: Plan, now: datetime) -> Iterator[Warning]:
    """Say which overcoating window shuts before its coat, or while one sleeps."""
    asleep = [s for s in plan.spans if s.what != "quiet"]
    for film in plan.films:
        if film.shuts is None or utc(film.shuts) <= utc(now):
            continue
        following = (p for p in plan.steps if p.piece == film.piece and p.step.kind == "coat")
        after = next((p for p in following if utc(p.start) >= utc(film.laid)), None)
        if after is None:
            continue
        night = next((s for s in asleep if utc(s.start) <= utc(film.shuts) <= utc(s.end)), None)
        shut = spoken(film.shuts, now)
        if after.late:
            text = f"the window on the {film.piece} shuts at {shut}, before its next coat: it will want a key"
            yield Warning(text, film.shuts, "window")
        elif night is not None and hours(after.start, night.start) <= 16.0:
            by = spoken(night.start, now)
            text = f"the window on the {film.piece} shuts at {shut}, in the night: coat it by {by}, or key it"
            yield Warning(text, night.start, "window")
