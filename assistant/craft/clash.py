"""What is wrong with doing a thing now: dust on wet films, too soon, too late, too cold, too damp."""

from __future__ import annotations

from datetime import datetime

from assistant.craft import dew
from assistant.craft.air import humidity_now, temperature_now, temperatures
from assistant.craft.cure import reach
from assistant.craft.order import may
from assistant.craft.pot import running
from assistant.craft.readiness import (
    FINEST_KEY,
    KEY,
    Film,
    Readiness,
    film_on,
    readiness,
    shares_air,
    surfaces,
    wet,
)
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import hours, spoken, utc
from assistant.journal.events import Bond, Coat, Event, Fill, Fit, Mask, Mix, Sand, Strip
from assistant.journal.state import State
from assistant.library.cards import Card

#: Hours that dust hangs in the air and settles: common practice, no source.
SETTLING = 1.0


def clash(state: State, cards: Cards, event: Event, now: datetime) -> list[str]:
    """Give short sentences on what speaks against ``event``, judged at its own time.

    ``state`` may or may not have the event in it already. Nothing is refused here: it was done, or will
    be, and the person should know.
    """
    state = _without(state, event)
    if isinstance(event, Sand | Strip):
        return [*_too_soft(state, cards, event, now), *_dust_on_wet(state, cards, event, now)]
    if isinstance(event, Coat | Fill):
        return _laying(state, cards, event, now)
    if isinstance(event, Bond):
        card = card_for(cards, event.product)
        return _too_cold(state, card, event, now) if card else []
    if isinstance(event, Fit | Mask):
        return _too_tender(state, cards, event, now)
    return _second_pot(state, cards, event, now) if isinstance(event, Mix) else []


def _without(state: State, event: Event) -> State:
    piece = getattr(event, "piece", None)
    if piece is not None and event in state.work.get(piece, ()):
        state = state.copy()
        state.work[piece] = tuple(e for e in state.work[piece] if e != event)
    if isinstance(event, Mix) and event in state.mixes:
        state = state.copy()
        state.mixes = tuple(m for m in state.mixes if m != event)
    return state


def dust_on_wet(state: State, cards: Cards, piece: str, at: datetime) -> list[Readiness]:
    """Give the films that dust made at ``piece`` would fall on at ``at``."""
    space = state.space_of(piece)
    return [f for f in wet(state, cards, at) if f.piece != piece and shares_air(state, f.piece, space)]


def _dust_on_wet(state: State, cards: Cards, event: Sand | Strip, now: datetime) -> list[str]:
    out = []
    for part in surfaces(state, event.piece, event.at) if event.part is not None else ():
        own = readiness(state, cards, event.piece, "dust", event.at, part) if part not in (None, event.part) else None
        if own is not None and own.earliest is not None and not own.ready:
            dry = spoken(own.earliest, now)
            out.append(f"The {part} of the {event.piece} is wet until {dry}: no dust yet")
    for film in dust_on_wet(state, cards, event.piece, event.at):
        if film.earliest is not None:
            dry = spoken(film.earliest, now)
            out.append(f"The {film.piece} is wet until {dry} in the same air: no dust yet")
        else:
            out.append(f"The {film.piece} may be wet in the same air: {film.unknown}")
    return out


def _too_soft(state: State, cards: Cards, event: Sand | Strip, now: datetime) -> list[str]:
    film = film_on(state, event.piece, event.at, event.part)
    if isinstance(event, Strip) or film is None:
        return []
    found = readiness(state, cards, event.piece, "sand", event.at, event.part)
    card = card_for(cards, film.product)
    out = []
    if found.earliest is not None and not found.ready:
        dry = spoken(found.earliest, now)
        out.append(f"Too soon to sand the {event.piece}: from {dry}, or it clogs and tears")
    if card is not None and card.wash and film.cleaned is None:
        out.append(f"Before sanding the {event.piece}: {card.wash}")
    return out


def _laying(state: State, cards: Cards, event: Coat | Fill, now: datetime) -> list[str]:
    card = card_for(cards, event.product)
    under = film_on(state, event.piece, event.at, event.part)
    out = _on_top(state, cards, event, under, now) if under else []
    if card is not None and under is not None:
        out += _order(cards, card, event, under)
    out += _settling(state, event)
    if card is not None:
        out += _too_cold(state, card, event, now)
    return out + _too_damp(state, event)


def _on_top(state: State, cards: Cards, event: Coat | Fill, under: Film, now: datetime) -> list[str]:
    if under.kind == "bond":
        return []
    found = readiness(state, cards, event.piece, "overcoat", event.at, event.part)
    if found.unknown is not None and found.source:
        return [f"The last film on the {event.piece} is not dry: {found.unknown}"]
    if found.earliest is not None and utc(found.earliest) > utc(event.at):
        dry = spoken(found.earliest, now)
        return [f"Too soon on the {event.piece}: from {dry}, or it may lift and wrinkle"]
    if found.latest is not None and utc(found.latest) <= utc(event.at):
        shut = f"The window on the {event.piece} shut at {spoken(found.latest, now)}"
        if not found.ready:
            return [f"{shut}: {KEY}"]
        return [f"{shut} and it was keyed: wash it first"] if "wash it first" in found.notes else []
    cured = readiness(state, cards, event.piece, "cured", event.at, event.part)
    if cured.ready and not any(s.grit is None or s.grit <= FINEST_KEY for s in under.sanded):
        return [f"The film on the {event.piece} is cured and not sanded: {KEY}"]
    return []


def _order(cards: Cards, card: Card, event: Coat | Fill, under: Film) -> list[str]:
    below = card_for(cards, under.product)
    if below is None or under.product == event.product or under.kind == "bond":
        return []
    verdict = may(card, below)
    if verdict.verdict == "no":
        return [f"{card.name} does not go over {below.name}: {verdict.why}"]
    if verdict.verdict == "test":
        return [f"{card.name} over {below.name}: {verdict.why}"]
    if verdict.verdict == "keyed" and not under.sanded:
        return [f"{card.name} over {below.name} needs a key: {verdict.why}"]
    return []


def _settling(state: State, event: Coat | Fill) -> list[str]:
    """Find sanding in the same air within the hour. Said in one breath with the coat, it has no age."""
    space = state.space_of(event.piece)
    newest: tuple[float, str] | None = None
    for piece, work in state.work.items():
        if not shares_air(state, piece, space):
            continue
        for done in reversed(work):
            age = hours(done.at, event.at)
            if age >= SETTLING:
                break  # what was done before is older still
            if isinstance(done, Sand) and age > 0.0 and (newest is None or age < newest[0]):
                newest = (age, piece)
    if newest is None:
        return []
    age, piece = newest
    return [f"The {piece} was sanded {age * 60:.0f} minutes before: let the dust settle, then tack off"]


def _too_cold(state: State, card: Card, event: Coat | Fill | Bond, now: datetime) -> list[str]:
    if card.least is None:
        return []
    space = state.space_of(event.piece)
    air = temperature_now(state, space, event.at)
    if air.source == "assumed":
        return []
    if air.celsius < card.least:
        return [f"{air.celsius:g} degrees is too cold for {card.name}: it wants {card.least:g} or more"]
    law = card.stages.get("touch") or card.stages.get("dust") or card.stages.get("overcoat")
    spells = temperatures(state, space, event.at, now)
    if law is not None and law.rows and reach(law, event.at, spells, card.least).stalled:
        return [f"It is going under {card.least:g} degrees before {card.name} is dry"]
    return []


def unfit(state: State, cards: Cards, piece: str, product: str | None, at: datetime, now: datetime) -> list[str]:
    """Give what in the air speaks against a coat on ``piece`` at ``at``: too cold, cold before it is dry, too damp."""
    coat = Coat(piece=piece, coat=1, product=product, at=at, said_at=now)
    card = card_for(cards, product)
    return [*(_too_cold(state, card, coat, now) if card else []), *_too_damp(state, coat)]


def _too_damp(state: State, event: Coat | Fill) -> list[str]:
    space = state.space_of(event.piece)
    humidity = humidity_now(state, space, event.at)
    air = temperature_now(state, space, event.at)
    if humidity is None or air.source == "assumed" or not 0.0 < humidity <= 100.0:
        return []
    found = dew.check(air.celsius, humidity)
    return [] if found.ok else [f"Too damp to coat: {found.why}"]


def _too_tender(state: State, cards: Cards, event: Fit | Mask, now: datetime) -> list[str]:
    part = event.part if isinstance(event, Mask) else None  # a piece is fitted whole, whatever was said of it
    found = readiness(state, cards, event.piece, "handle", event.at, part)
    if found.earliest is None or found.ready:
        return []
    harm = "tape will mark it" if isinstance(event, Mask) else "it will mark"
    return [f"The {event.piece} is not hard enough to handle until {spoken(found.earliest, now)}: {harm}"]


def _second_pot(state: State, cards: Cards, event: Mix, now: datetime) -> list[str]:
    """Several batches at once are not mixed (TM 1-1500-204-23-11)."""
    pots = [p for p in running(state, cards, event.at) if p.product == event.product]
    if not pots:
        return []
    ends = spoken(pots[0].ends, now)
    return [f"A pot of {event.product} is still good until {ends}: use one up before the next"]
