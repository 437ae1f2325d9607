"""When a film is ready for what: touch, dust, sanding, the next coat, handling, fully cured.

A film laid at a vague time counts from the later end of that time for every wait, and from the earlier
for the end of its window. A piece coated part by part is as far as its slowest part, and its window
shuts with the first to shut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Final

from assistant.craft.air import ASSUMED, WARM, Spell, temperatures
from assistant.craft.cure import Reached, reach
from assistant.craft.films import Film, film_on, films_on, surfaces
from assistant.craft.shelf import Cards, card_for
from assistant.craft.shelf import found as found_card
from assistant.craft.times import down, hours, like, spoken, up, utc
from assistant.journal.state import State
from assistant.library.cards import STAGES, Card, Law
from assistant.problem import Problem

__all__ = [
    "FINEST_KEY", "KEY", "REST", "STAND_IN", "UNKNOWN_WET", "WORDS", "Film", "Readiness", "dust", "film_on",
    "films_on", "readiness", "shares_air", "surfaces", "wet",
]  # fmt: skip

#: How what is left of a piece is called where parts of it were worked on.
REST: Final = "rest"
_NEVER: Final = datetime.max.replace(tzinfo=UTC)
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
class Readiness:
    """Whether a piece is ready for a stage, and when; ``unknown`` says why that cannot be said.

    ``earliest`` is rounded up to the minute and ``latest``, the end of the overcoating window, down.
    ``assumes`` is the air from laying to ``earliest``. ``ready`` is never true on a guess. Of several
    parts ``part`` is the one it hangs on ("the rest" where it has no name), and the product, source and
    air are that part's.
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
    part: str | None = None


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
    part: str | None  # the surface: None is the whole piece, or the rest of it
    alone: bool  # no other part has a film of its own
    notes: list[str] = field(default_factory=list)


def readiness(state: State, cards: Cards, piece: str, stage: str, now: datetime, part: str | None = None) -> Readiness:
    """Say whether ``piece``, or one ``part`` of it, is ready for ``stage`` (one of ``STAGES``) and from when.

    A piece is ready when every part is, as late as the last of them; its window shuts with the first.
    """
    if stage not in STAGES:
        raise Problem(f"there is no stage called {stage}: ask for {', '.join(STAGES)}")
    tops = surfaces(state, piece, now)
    if part is not None:
        film = film_on(state, piece, now, part)
        tops = {} if film is None else {part if part in tops else None: film}
    if not tops:
        return Readiness(piece, stage, unknown="nothing wet on it that I know of")
    alone = len(tops) == 1
    found = [_of_film(state, cards, stage, now, name, film, alone) for name, film in tops.items()]
    return found[0] if alone else _together(found)


def _of_film(
    state: State, cards: Cards, stage: str, now: datetime, part: str | None, film: Film, alone: bool
) -> Readiness:
    known = Readiness(film.piece, stage, product=film.product, laid=like(film.laid, now), part=part)
    if not alone and part is None:
        known = replace(known, part=REST)
    card, why = found_card(cards, film.product)
    if card is None:
        return replace(known, unknown=why)
    law, note = _law(card, stage)
    if law is None:
        return replace(known, unknown=note, notes=_of_glue(film, card, now))
    spells = temperatures(state, state.space_of(film.piece), film.waits_from, now)
    notes = [*([note] if note else []), *_of_glue(film, card, now)]
    return _answer(_Sum(state, cards, stage, now, film, card, law, spells, part, alone, notes), known)


def _together(parts: Sequence[Readiness]) -> Readiness:
    """Put the parts of one piece together: the slowest decides when, the first to shut decides until when."""
    slowest = max(parts, key=lambda r: (r.earliest is None, utc(r.earliest) if r.earliest else _NEVER))
    windows = [r.latest for r in parts if r.latest is not None]
    notes = [f"the {r.part}: {note}" if len({p.notes for p in parts}) > 1 else note for r in parts for note in r.notes]
    return replace(
        slowest, ready=all(r.ready for r in parts), latest=min(windows, key=utc, default=None),
        notes=tuple(dict.fromkeys(notes)),
    )  # fmt: skip


def wet(state: State, cards: Cards, now: datetime) -> list[Readiness]:
    """Give every piece that has a film which is not dust-free yet. A glue line is closed and gathers no dust."""
    out = []
    for piece in state.work:
        tops = {part: film for part, film in surfaces(state, piece, now).items() if film.kind != "bond"}
        found = [(_of_film(state, cards, "dust", now, part, film, len(tops) == 1), film) for part, film in tops.items()]
        still = [r for r, film in found if not r.ready and (r.source or hours(film.waits_from, now) < UNKNOWN_WET)]
        if still:
            out.append(still[0] if len(still) == 1 else _together(still))
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
    old = hours(film.shuts_from, now)
    if card.open_time is not None and old * 60 <= card.open_time[1]:
        notes.append("bring it together {:g} to {:g} minutes after it goes on".format(*card.open_time))
    if card.set_check is not None and old <= card.set_check[1]:
        notes.append("it begins to set {:g} to {:g} hours after it goes on".format(*card.set_check))
    return tuple(notes)


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
    found = reach(sum_.law, sum_.film.waits_from, sum_.spells, sum_.card.least)
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
    here = [
        f for f in films_on(sum_.state, sum_.film.piece, sum_.now)
        if f.kind != "bond" and ((sum_.alone and sum_.part is None) or f.part in (None, sum_.part))
    ]  # fmt: skip
    below = {f.product: f for f in here}
    for product, film in below.items():
        card = card_for(sum_.cards, product) if product != sum_.film.product else None
        law = _law(card, sum_.stage)[0] if card else None
        if card is None or law is None:
            continue
        spells = temperatures(sum_.state, sum_.state.space_of(film.piece), film.waits_from, sum_.now)
        at = reach(law, film.waits_from, spells, card.least).at
        if at is not None and utc(up(at)) > utc(earliest):
            earliest = up(like(at, sum_.now))
            sum_.notes.append(f"the {product} under it is longer about it")
    return earliest


def _window(sum_: _Sum, earliest: datetime | None) -> tuple[datetime | None, bool]:
    """Give the end of the overcoating window and whether the film may be coated as far as that goes."""
    law = sum_.card.overcoat_max
    if sum_.stage != "overcoat" or law is None or not law.rows:
        return None, True
    film, now, spells = sum_.film, sum_.now, sum_.spells
    if film.shuts_from != film.waits_from:
        spells = temperatures(sum_.state, sum_.state.space_of(film.piece), film.shuts_from, now)
    warm = tuple(s._replace(celsius=WARM) if s.source == "assumed" else s for s in spells)
    end = reach(_soon(law), film.shuts_from, warm, None).at  # cold stops cure; it does not hold a window open
    if end is None:
        return None, True
    latest = down(like(end, now))
    if any(s.source == "assumed" for s in _clip(spells, latest)):
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
    keys = [s for s in film.sanded if hard is not None and utc(s.soonest) >= utc(hard)]
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
    at = reach(law, sum_.film.waits_from, sum_.spells, sum_.card.least).at
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
