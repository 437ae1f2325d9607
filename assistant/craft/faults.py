"""A fault in a film: what it likely comes from, how it is put right, what that waits for and costs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from assistant.craft.clash import clash
from assistant.craft.readiness import WORDS, Readiness, film_on, readiness
from assistant.craft.shelf import Cards
from assistant.craft.times import hours, like, spoken, up, utc
from assistant.journal.events import Coat, Fault, Fill, Task
from assistant.journal.state import State, fold
from assistant.library.faults import FaultCard
from assistant.quantity import Amount, minutes


@dataclass(frozen=True, slots=True)
class Remedy:
    """What is said of a fault, and what it costs.

    ``signs`` are what the journal itself holds against that coat (too soon, too damp, dust in the
    air); ``causes`` and their bases come from the book. ``starts`` is when the cure can begin (None: nobody
    knows, ``unknown`` says why) and ``back`` when the next coat could go on after it. ``costs`` is in h:
    how much later that is than without the fault.
    """

    fault: str
    piece: str | None
    wet: str | None  # what can still be done now; None once it is dry
    signs: tuple[str, ...]
    causes: tuple[tuple[str, str], ...]
    cure: tuple[str, ...]
    waits: str
    starts: datetime | None
    back: datetime | None
    costs: Amount | None
    hands_on: Amount
    task: str
    basis: str
    unknown: str | None = None
    notes: tuple[str, ...] = ()


def remedy(state: State, cards: Cards, fault: Fault, book: Mapping[str, FaultCard], now: datetime) -> Remedy:
    """Work out what to do about ``fault``; ``book`` is ``library.faults.all_faults()``.

    The state is the job as it stands, with the fault in it or without.
    """
    card = book.get(fault.fault) or book["other"]
    piece = fault.piece
    film = film_on(state, piece, now) if piece else None
    known = Remedy(
        fault.fault, piece, card.wet, (), card.causes, card.cure, card.waits, None, None, None,
        minutes(card.minutes), card.task.replace("{piece}", piece or "piece"), card.basis,
        unknown="nobody said what was put on it and when",
    )  # fmt: skip
    if piece is None or film is None:
        return known
    return _timed(state, cards, known, card, now)


def task_for(found: Remedy, now: datetime, said_at: datetime | None = None) -> Task:
    """Give the task that a fault opens."""
    return Task(text=found.task, piece=found.piece, state="open", at=now, said_at=said_at or now)


def told(found: Remedy, now: datetime) -> str:
    """Say it in a breath: the likely cause, the first step, when, and what it costs."""
    cause = found.signs[0] if found.signs else found.causes[0][0]
    parts = [f"Likely: {cause[:1].lower()}{cause[1:]}."]
    if found.wet:
        parts.append(f"{found.wet[:1].upper()}{found.wet[1:]}.")
    if found.starts is not None:
        stage = WORDS.get(found.waits, found.waits)
        when = "now" if utc(found.starts) <= utc(now) else f"from {spoken(found.starts, now)}"
        parts.append(f"To put it right it must be {stage}: {when}.")
    elif found.unknown:
        parts.append(f"When it can be put right I can't say: {found.unknown}.")
    if found.costs is not None and found.costs.value >= 0.5:
        late = math.ceil(found.costs.value * 2.0 - 0.1) / 2.0
        parts.append(f"It costs about {late:g} hours." if late > 1.0 else "It costs about an hour.")
    return " ".join(parts)


def _timed(state: State, cards: Cards, known: Remedy, card: FaultCard, now: datetime) -> Remedy:
    piece = known.piece or ""
    against = _against(state, cards, piece, now)
    signs = tuple(w for w in against if any(sign in w.casefold() for sign in card.signs))
    touch = readiness(state, cards, piece, "touch", now)
    wait = readiness(state, cards, piece, card.waits, now)
    known = replace(known, signs=signs, wet=None if touch.ready else known.wet, notes=wait.notes)
    if wait.earliest is None:
        return replace(known, unknown=wait.unknown)
    starts = max(wait.earliest, now, key=utc)
    mended = up(like(utc(starts) + timedelta(minutes=card.minutes), now))
    straight = readiness(state, cards, piece, "overcoat", now)
    back = _recoated(state, cards, piece, mended, now) if card.redo else mended
    costs = None
    if back is not None and straight.earliest is not None:
        without = max(straight.earliest, now, key=utc)
        costs = Amount(max(0.0, hours(without, back)), "h")
    return replace(known, starts=like(starts, now), back=back, costs=costs, unknown=None)


def _against(state: State, cards: Cards, piece: str, now: datetime) -> tuple[str, ...]:
    """Give what spoke against the coat when it was laid."""
    work = [e for e in state.work.get(piece, ()) if utc(e.at) <= utc(now)]
    laid = next((e for e in reversed(work) if isinstance(e, Coat | Fill)), None)
    return tuple(clash(state, cards, laid, now)) if laid is not None else ()


def _recoated(state: State, cards: Cards, piece: str, at: datetime, now: datetime) -> datetime | None:
    """Give when a coat laid again at ``at`` takes the next one, in the air that is expected."""
    film = film_on(state, piece, now)
    if film is None or film.kind == "bond":
        return None
    again = Coat(piece=piece, coat=film.coat or 1, product=film.product, at=at, said_at=now)
    found: Readiness = readiness(fold([again], state), cards, piece, "overcoat", at)
    return None if found.earliest is None else like(found.earliest, now)
