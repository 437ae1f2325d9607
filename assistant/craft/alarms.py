"""What to be told of in time: pots, films, windows, glue lines, tape.

Everything follows from the state, so nothing is lost when the program stops. ``alarms`` looks ahead,
``due`` gives what fell due between two looks; an alarm that a new temperature moved is not missed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.air import WARM, Spell, temperature_now
from assistant.craft.cure import reach
from assistant.craft.pot import _running as pot_of  # the pot of one mix, gone off or not
from assistant.craft.readiness import Film, film_on, readiness
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import down, hours, like, spoken, up, utc
from assistant.craft.waits import finished
from assistant.journal.events import Bond, Coat, Event, Fill, Fit, Mask, Mix, Sand, Unmask
from assistant.journal.state import State
from assistant.library.cards import Card

KINDS: Final = (
    "pot", "pot end", "sand", "overcoat", "window", "window shut", "handle", "tack", "tack end", "set",
    "set end", "tape",
)  # fmt: skip
#: A window is warned of a tenth of its length before it shuts, between these: the project's own choice.
_LEAST, _MOST = timedelta(hours=1), timedelta(hours=6)
#: No pot lives longer; mixes older than this are not looked at.
_POTS: Final = timedelta(days=3)
TACK: Final = "try the glue. When it no longer comes off on a finger, bond now; one chance to line up"
TAPE: Final = "pull the tape while the last coat is still tacky; some books say after it is dry"


@dataclass(frozen=True, slots=True)
class Alarm:
    """One thing to be told at ``at``; ``kind`` is one of :data:`KINDS`.

    ``key`` is the same however often, and whenever, the alarm is worked out. ``told`` is when the act
    it follows from was said.
    """

    at: datetime
    text: str
    kind: str
    key: str
    told: datetime
    piece: str | None = None
    product: str | None = None


def alarms(state: State, cards: Cards, now: datetime, until: datetime) -> list[Alarm]:
    """Give what falls due after ``now`` and not after ``until``, in order of time."""
    found = [a for a in _all(state, cards, now) if utc(now) < utc(a.at) <= utc(until)]
    return sorted(found, key=lambda a: (utc(a.at), a.key))


def due(state: State, cards: Cards, since: datetime, now: datetime) -> list[Alarm]:
    """Give what fell due after ``since`` and not after ``now``, each once if the looks follow each other.

    What was said of a temperature since then may have moved an alarm to before ``since``: it is given
    too. What was over before the act was even told is not: the answer to that said so.
    """
    edge, moment = utc(since), utc(now)
    reached = [a for a in _all(state, cards, now) if utc(a.at) <= moment and utc(a.told) < utc(a.at)]
    out = [a for a in reached if utc(a.at) > edge]
    if (then := _as_known(state, since)) is not state:
        before = {a.key: a for a in _all(then, cards, since)}
        out += [a for a in reached if utc(a.at) <= edge and a.key in before and utc(before[a.key].at) > edge]
        said = {key for key, a in before.items() if utc(a.at) <= edge}
        out = [a for a in out if a.key not in said]
    return sorted(out, key=lambda a: (utc(a.at), a.key))


def _as_known(state: State, since: datetime) -> State:
    """Give the state without the temperatures told after ``since``; the same one if there are none."""
    known = tuple(c for c in state.climate if utc(c.said_at) <= utc(since))
    if len(known) == len(state.climate):
        return state
    then = state.copy()
    then.climate = known
    return then


def _all(state: State, cards: Cards, now: datetime) -> Iterator[Alarm]:
    for mix in state.mixes:
        if utc(now) - _POTS < utc(mix.at) <= utc(now):
            yield from _pot(state, cards, mix, now)
    for piece in state.work:
        film = film_on(state, piece, now)
        if film is None:
            continue
        laid = next(e for e in reversed(state.work[piece]) if _laid(e) and utc(e.at) == utc(film.laid))
        cause = _Cause(laid, now, piece, film.product)
        card = card_for(cards, film.product)
        if film.kind == "bond":
            yield from _glue(state, card, film, cause)
        else:
            yield from _film(state, cards, film, cause)
        yield from _tape(state, card, film, cause)


def _laid(event: Event) -> bool:
    return isinstance(event, Coat | Fill | Bond)


@dataclass(frozen=True, slots=True)
class _Cause:
    """The act that alarms follow from, and what it was done to."""

    event: Event
    now: datetime
    piece: str | None
    product: str | None

    def alarm(self, kind: str, at: datetime, text: str) -> Alarm:
        number, moment = self.event.id or "", utc(self.event.at).isoformat(timespec="seconds")
        key = f"{kind}:{self.piece or self.product or ''}:{number}:{moment}"
        return Alarm(like(at, self.now), text, kind, key, self.event.said_at, self.piece, self.product)


def _pot(state: State, cards: Cards, mix: Mix, now: datetime) -> Iterator[Alarm]:
    first = pot_of(state, cards, mix, mix.at)
    if first is None:
        return
    # Air that was warm only after the pot had gone off does not count.
    pot = pot_of(state, cards, mix, min(now, first.ends, key=utc)) or first
    cause = _Cause(mix, now, None, pot.product)
    name = pot.product[:1].upper() + pot.product[1:]
    left = round(hours(pot.three_quarters, pot.ends) * 60)
    yield cause.alarm("pot", pot.three_quarters, f"{name}: three quarters of the pot gone, {left} minutes left")
    yield cause.alarm("pot end", pot.ends, f"{name}: the pot is done. Use no more of it, and never thin it on")


def _film(state: State, cards: Cards, film: Film, cause: _Cause) -> Iterator[Alarm]:
    piece, now = film.piece, cause.now
    if film.kind == "coat" and finished(state, piece, now):
        found = readiness(state, cards, piece, "handle", now)
        if found.earliest is not None and not _since(state, film, Fit):
            text = f"The {piece} has its last coat and is hard enough to handle"
            yield cause.alarm("handle", found.earliest, text)
        return
    sand = readiness(state, cards, piece, "sand", now).earliest
    coat = readiness(state, cards, piece, "overcoat", now)
    ready = coat.earliest
    if sand is not None and not _since(state, film, Sand) and (ready is None or utc(sand) < utc(ready)):
        yield cause.alarm("sand", sand, f"The {piece} is dry enough to sand")
    if ready is not None:
        sanding = sand is not None and utc(sand) == utc(ready) and not _since(state, film, Sand)
        first = "sand it, then " if sanding else ""
        yield cause.alarm("overcoat", ready, f"The {piece} is ready: {first}the next coat")
    if coat.latest is not None:
        yield from _window(film, cause, ready, coat.latest)


def _window(film: Film, cause: _Cause, ready: datetime | None, latest: datetime) -> Iterator[Alarm]:
    opens = ready if ready is not None and utc(ready) < utc(latest) else film.waits_from
    lead = min(max((utc(latest) - utc(opens)) / 10, _LEAST), _MOST)
    warn = down(like(utc(latest) - lead, cause.now))
    if utc(warn) > utc(opens):
        text = f"The {film.piece}: coat it by {spoken(latest, warn)}; after that it has to be keyed first"
        yield cause.alarm("window", warn, text)
    text = f"The {film.piece}: the overcoating window has shut. Key it with 150-200 grit and wash, then coat"
    yield cause.alarm("window shut", latest, text)


def _since(state: State, film: Film, kind: type[Event]) -> bool:
    return any(isinstance(e, kind) and utc(e.at) >= utc(film.laid) for e in state.work.get(film.piece, ()))


def _glue(state: State, card: Card | None, film: Film, cause: _Cause) -> Iterator[Alarm]:
    if card is None or _since(state, film, Fit):
        return
    the, factor = f"The {film.piece}", _slower(state, card, film)
    if card.open_time is not None:
        opens, shuts = (m / 60.0 for m in card.open_time)
        # Warmth brings all of it forward. Cold puts off the bonding and stretches nothing.
        begin, end = _after(film.waits_from, opens * factor), _after(film.shuts_from, shuts * min(factor, 1.0))
        if opens > 0.0:
            yield cause.alarm("tack", up(begin), f"{the}: {TACK}")
        if utc(end) > utc(begin):
            text = f"{the}: the glue's open time is over. What is not together yet wants fresh glue"
            yield cause.alarm("tack end", down(end), text)
    if card.set_check is not None:
        begin, end = _after(film.waits_from, card.set_check[0]), _after(film.shuts_from, card.set_check[1])
        until = spoken(down(end), cause.now)
        yield cause.alarm("set", up(begin), f"{the}: lift the edges, see that the glue sets; until {until}")
        text = f"{the}: last look at the glue. Still wet by now, it was mixed wrong or it is too cold"
        yield cause.alarm("set end", down(end), text)


def _slower(state: State, card: Card, film: Film) -> float:
    """Give how many times as long the glue takes as at 20 degC, by the card's rate; 1 where nobody knows."""
    air = temperature_now(state, state.space_of(film.piece), film.laid)
    if air.source == "assumed" or card.rate is None:
        return 1.0
    return card.rate.factor(20.0, air.celsius)


def _after(start: datetime, hours_: float) -> datetime:
    return like(utc(start) + timedelta(hours=hours_), start)


def _tape(state: State, card: Card | None, film: Film, cause: _Cause) -> Iterator[Alarm]:
    """Have tape under the last coat pulled when that is at its touch stage, at the soonest."""
    work = [e for e in state.work.get(film.piece, ()) if utc(e.at) <= utc(cause.now)]
    taped = next((e for e in reversed(work) if isinstance(e, Mask | Unmask)), None)
    if not isinstance(taped, Mask) or film.kind != "coat" or utc(taped.at) > utc(film.laid):
        return
    last = finished(state, film.piece, cause.now)
    law = card.stages.get("touch") if card else None
    if last is False or law is None or not law.rows:
        return
    rows = tuple(replace(r, hours=min(r.hours, r.early or r.hours)) for r in law.rows)
    air = temperature_now(state, state.space_of(film.piece), film.laid)
    celsius = WARM if air.source == "assumed" else air.celsius
    steady = Spell(film.shuts_from, None, celsius, air.source)
    at = reach(replace(law, rows=rows), film.shuts_from, (steady,), None).at
    if at is not None:
        text = f"The {film.piece}: {TAPE}" if last else f"The {film.piece}: if that was the last coat, {TAPE}"
        yield cause.alarm("tape", down(at), text)
