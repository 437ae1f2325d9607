"""When a film is ready for what: touch, dust, sanding, the next coat, handling, fully cured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.air import ASSUMED, WARM, Spell, temperatures
from assistant.craft.cure import Reached, reach
from assistant.craft.shelf import Cards, card_for
from assistant.craft.shelf import found as found_card
from assistant.craft.times import down, hours, like, spoken, up, utc
from assistant.journal.events import Bond, Clean, Coat, Event, Fill, Sand, Strip
from assistant.journal.state import State
from assistant.library.cards import STAGES, Card, Law
from assistant.problem import Problem

#: Where a stage has no figure, a later one of these stands in: it can only make the answer late.
STAND_IN: Final = {"touch": ("dust", "sand", "overcoat"), "dust": ("sand", "overcoat"), "sand": ("overcoat",)}
#: A film of a material without figures is treated as wet for a day: common practice, no source.
UNKNOWN_WET: Final = 24.0
#: Finer paper polishes; it gives no key (150-200 grit: UFGS-09971 p. 28; to P400: common practice).
FINEST_KEY: Final = 400
KEY: Final = "take the gloss off with 150-200 grit, wash, then coat"
WORDS: Final = {
    "touch": "touch dry", "dust": "dust-free", "sand": "dry enough to sand",
    "overcoat": "ready for the next coat", "handle": "hard enough to handle", "cured": "fully cured",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Film:
    """What was last put on a piece, and what was done to it since, in order."""

    piece: str
    kind: str  # coat, fill or bond
    product: str | None
    laid: datetime
    coat: int | None = None
    sanded: tuple[Sand, ...] = ()
    cleaned: datetime | None = None


@dataclass(frozen=True, slots=True)
class Readiness:
    """Whether a piece is ready for a stage, and when; ``unknown`` says why that cannot be said.

    ``earliest`` is rounded up to the minute and ``latest``, the end of the overcoating window, down.
    ``assumes`` is the air from laying to ``earliest``. ``ready`` is never true on a guess.
    """

    piece: str
    stage: str
    ready: bool = False
    earliest: datetime | None = None
    latest: datetime | None = None
    assumes: tuple[Spell, ...] = ()
    source: str = ""
    product: str | None = None
    laid: datetime | None = None
    notes: tuple[str, ...] = ()
    unknown: str | None = None


@dataclass(slots=True)
class _Sum:
    """What one question is worked out from."""

    state: State
    cards: Cards
    stage: str
    now: datetime
    film: Film
    card: Card
    law: Law
    spells: tuple[Spell, ...]
    notes: list[str] = field(default_factory=list)


def films_on(state: State, piece: str, until: datetime | None = None) -> tuple[Film, ...]:
    """Give every film on a piece since it was last stripped, the last one laid at the end."""
    return _films(piece, state.work.get(piece, ()), until)


def _films(piece: str, work: Sequence[Event], until: datetime | None) -> tuple[Film, ...]:
    films: list[Film] = []
    for event in work:
        if until is not None and utc(event.at) > utc(until):
            continue
        if isinstance(event, Coat | Fill | Bond):
            coat = event.coat if isinstance(event, Coat) else None
            films.append(Film(piece, event.kind, event.product, event.at, coat))
        elif isinstance(event, Strip):
            films.clear()
        elif films:
            films[-1] = _worked(films[-1], event)
    return tuple(films)


def film_on(state: State, piece: str, until: datetime | None = None) -> Film | None:
    """Give the last coat, filler or glue on a piece as it stood at ``until``; None if there is none."""
    work = state.work.get(piece, ())
    for k in range(len(work) - 1, -1, -1):  # only what was done since the last film bears on it
        if isinstance(work[k], Coat | Fill | Bond | Strip) and (until is None or utc(work[k].at) <= utc(until)):
            return next(reversed(_films(piece, work[k:], until)), None)
    return None


def readiness(state: State, cards: Cards, piece: str, stage: str, now: datetime) -> Readiness:
    """Say whether ``piece`` is ready for ``stage`` (one of ``STAGES``) and from when."""
    if stage not in STAGES:
        raise Problem(f"there is no stage called {stage}: ask for {', '.join(STAGES)}")
    film = film_on(state, piece, now)
    if film is None:
        return Readiness(piece, stage, unknown="nothing wet on it that I know of")
    known = Readiness(piece, stage, product=film.product, laid=like(film.laid, now))
    card, why = found_card(cards, film.product)
    if card is None:
        return replace(known, unknown=why)
    law, note = _law(card, stage)
    if law is None:
        return replace(known, unknown=note, notes=_of_glue(film, card, now))
    spells = temperatures(state, state.space_of(piece), film.laid, now)
    notes = [*([note] if note else []), *_of_glue(film, card, now)]
    return _answer(_Sum(state, cards, stage, now, film, card, law, spells, notes), known)


def wet(state: State, cards: Cards, now: datetime) -> list[Readiness]:
    """Give every piece whose film is not dust-free yet. A glue line is closed and gathers no dust."""
    out = []
    for piece in state.work:
        film = film_on(state, piece, now)
        if film is None or film.kind == "bond":
            continue
        found = readiness(state, cards, piece, "dust", now)
        without_figures = not found.source and hours(film.laid, now) >= UNKNOWN_WET
        if not found.ready and not without_figures:
            out.append(found)
    return out


def dust(state: State, cards: Cards, space: str | None, now: datetime) -> Readiness | None:
    """Give the film that is longest about drying in a space, or anywhere; None if none is wet."""
    films = [r for r in wet(state, cards, now) if shares_air(state, r.piece, space)]
    return max(films, key=lambda r: (r.earliest is None, utc(r.earliest or now)), default=None)


def shares_air(state: State, piece: str, space: str | None) -> bool:
    """Say whether dust in ``space`` reaches ``piece``: where a place is not known, it does."""
    return space is None or state.space_of(piece) in (None, space)


def _of_glue(film: Film, card: Card, now: datetime) -> tuple[str, ...]:
    if film.kind != "bond":
        return ()
    notes = []
    old = hours(film.laid, now)
    if card.open_time is not None and old * 60 <= card.open_time[1]:
        notes.append("bring it together {:g} to {:g} minutes after it goes on".format(*card.open_time))
    if card.set_check is not None and old <= card.set_check[1]:
        notes.append("it begins to set {:g} to {:g} hours after it goes on".format(*card.set_check))
    return tuple(notes)


def _worked(film: Film, event: Event) -> Film:
    if isinstance(event, Sand):
        return replace(film, sanded=(*film.sanded, event))
    return replace(film, cleaned=event.at) if isinstance(event, Clean) else film


def _law(card: Card, stage: str) -> tuple[Law | None, str | None]:
    """Give the law for a stage and a note on it; without a law the note says why there is none."""
    for other in (stage, *STAND_IN.get(stage, ())):
        law = card.stages.get(other)
        if law is not None and law.rows:
            note = f"no figure for {WORDS[stage]}: the one for {WORDS[other]} stands in"
            return _late(law), None if other == stage else note
    return None, card.no_stages or f"nothing says when {card.name} is {WORDS[stage]}"


def _late(law: Law) -> Law:
    return replace(law, rows=tuple(replace(r, hours=max(r.hours, r.early or r.hours)) for r in law.rows))


def _soon(law: Law) -> Law:
    return replace(law, rows=tuple(replace(r, hours=min(r.hours, r.early or r.hours)) for r in law.rows))


def _answer(sum_: _Sum, known: Readiness) -> Readiness:
    found = reach(sum_.law, sum_.film.laid, sum_.spells, sum_.card.least)
    source = _source(sum_, found)
    earliest = None if found.at is None else _with_what_is_under(sum_, up(like(found.at, sum_.now)))
    assumes = _clip(sum_.spells, earliest)
    _explain(sum_, found, assumes)
    latest, open_ = _window(sum_, earliest)
    if sum_.stage in ("sand", "overcoat") and sum_.card.wash and sum_.film.cleaned is None:
        sum_.notes.append(sum_.card.wash)
    unknown = None
    if earliest is None:
        unknown = "at these temperatures it never gets there"
        if found.stalled and sum_.card.least is not None:
            unknown = f"under {sum_.card.least:g} degrees it stands still, and no warmer air is expected"
    ready = earliest is not None and utc(earliest) <= utc(sum_.now) and open_
    return replace(
        known, ready=ready, earliest=earliest, latest=latest, assumes=assumes, source=source,
        notes=tuple(dict.fromkeys(sum_.notes)), unknown=unknown,
    )  # fmt: skip


def _source(sum_: _Sum, found: Reached) -> str:
    """Say where the figure is from, and the rate where it carried the figure to another temperature."""
    law = sum_.law
    end = _clip(sum_.spells, found.at)
    if len(law.rows) > 1 or all(spell.celsius == law.rows[0].celsius for spell in end):
        return law.basis
    return f"{law.basis}; with temperature: {law.rate.basis}"


def _explain(sum_: _Sum, found: Reached, assumes: tuple[Spell, ...]) -> None:
    if any(spell.source == "assumed" for spell in assumes):
        sum_.notes.append(f"nobody has said how warm it is: {ASSUMED:g} degrees taken, the slow side")
    if found.beyond:
        sum_.notes.append("beyond the label's temperatures")
    if found.stalled and found.at is not None and sum_.card.least is not None:
        sum_.notes.append(f"it stands still while it is under {sum_.card.least:g} degrees")


def _with_what_is_under(sum_: _Sum, earliest: datetime) -> datetime:
    """Put off a stage that goes through the film until other material under it is there too."""
    if sum_.stage not in ("sand", "handle", "cured"):
        return earliest
    below = {f.product: f for f in films_on(sum_.state, sum_.film.piece, sum_.now) if f.kind != "bond"}
    for product, film in below.items():
        card = card_for(sum_.cards, product) if product != sum_.film.product else None
        law = _law(card, sum_.stage)[0] if card else None
        if card is None or law is None:
            continue
        spells = temperatures(sum_.state, sum_.state.space_of(film.piece), film.laid, sum_.now)
        at = reach(law, film.laid, spells, card.least).at
        if at is not None and utc(up(at)) > utc(earliest):
            earliest = up(like(at, sum_.now))
            sum_.notes.append(f"the {product} under it is longer about it")
    return earliest


def _window(sum_: _Sum, earliest: datetime | None) -> tuple[datetime | None, bool]:
    """Give the end of the overcoating window and whether the film may be coated as far as that goes."""
    law = sum_.card.overcoat_max
    if sum_.stage != "overcoat" or law is None or not law.rows:
        return None, True
    film, now = sum_.film, sum_.now
    warm = tuple(s._replace(celsius=WARM) if s.source == "assumed" else s for s in sum_.spells)
    end = reach(_soon(law), film.laid, warm, None).at  # cold stops cure; it does not hold a window open
    if end is None:
        return None, True
    latest = down(like(end, now))
    if any(s.source == "assumed" for s in _clip(sum_.spells, latest)):
        sum_.notes.append(f"the window's end is taken at {WARM:g} degrees, the quick side")
    if utc(now) < utc(latest):
        if earliest is not None and utc(latest) <= utc(earliest):
            sum_.notes.append("at these temperatures the window shuts before it opens: it wants a key")
        return latest, True
    return latest, _keyed(sum_, latest)


def _keyed(sum_: _Sum, latest: datetime) -> bool:
    """Judge a film whose window has shut: sanding, once it was hard enough, opens it again."""
    film, now = sum_.film, sum_.now
    shut = f"window shut at {spoken(latest, now)}"
    hard = _hard_enough(sum_)
    keys = [s for s in film.sanded if hard is not None and utc(s.at) >= utc(hard)]
    good = [s for s in keys if s.grit is None or s.grit <= FINEST_KEY]
    if not good:
        sum_.notes.append(f"{shut}: {KEY}")
        if film.sanded and not keys:
            sum_.notes.append("it was sanded before it was hard enough for that")
        elif keys:
            sum_.notes.append(f"{keys[-1].grit} grit is too fine to key it")
        return False
    last = good[-1].at
    sum_.notes.append(f"{shut}, keyed at {spoken(last, now)}")
    if film.cleaned is None or utc(film.cleaned) < utc(last):
        sum_.notes.append("wash it first")
    return True


def _hard_enough(sum_: _Sum) -> datetime | None:
    law = _law(sum_.card, "sand")[0]
    if law is None:
        return None
    at = reach(law, sum_.film.laid, sum_.spells, sum_.card.least).at
    # To the minute below: "sanded at 14:20" is not too early for a film that was hard at 14:20:30.
    return None if at is None else at - timedelta(minutes=1)


def _clip(spells: tuple[Spell, ...], end: datetime | None) -> tuple[Spell, ...]:
    if end is None:
        return spells
    edge = utc(end)
    last = next((i for i, s in enumerate(spells) if s.end is None or utc(s.end) >= edge), None)
    if last is None or utc(spells[last].start) >= edge:
        return spells[:last]
    return (*spells[:last], spells[last]._replace(end=like(edge, spells[last].start)))
