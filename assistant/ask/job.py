"""The job as a question sees it: at a moment, and with what is supposed put in. Nothing here is ever written."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from typing import Any, Final, Protocol

from assistant.ask.answer import Missing
from assistant.craft import readiness as films
from assistant.craft.air import ASSUMED, temperatures
from assistant.craft.readiness import Film, Readiness
from assistant.craft.shelf import Cards
from assistant.craft.stock import Stock
from assistant.craft.times import like, utc
from assistant.craft.wanted import wanted
from assistant.journal.events import Bond, Clean, Climate, Coat, Event, Fill, Sand
from assistant.journal.state import Named, State
from assistant.journal.store import Journal
from assistant.language.meanings import Act
from assistant.language.query import Property, Query, Suppose
from assistant.library.cards import Card
from assistant.problem import Problem
from assistant.quantity import celsius

#: So long a supposed humidity lasts where nobody said until when.
_LASTS: Final = timedelta(days=28)
_LONG_AGO: Final = datetime(1970, 1, 2, tzinfo=UTC)


class Talk(Protocol):
    """What the evaluator wants of a talk: the job, the moment and the cards. It writes nothing."""

    @property
    def now(self) -> datetime:
        """The moment of the question."""
        ...

    @property
    def state(self) -> State:
        """The job as it stands."""
        ...

    @property
    def journal(self) -> Journal:
        """All that was told."""
        ...

    @property
    def memory(self) -> dict[str, Any]:
        """What the session keeps: the last plan."""
        ...

    @property
    def cards(self) -> Cards:
        """The card of a product."""
        ...


@dataclass(frozen=True, slots=True)
class Job:
    """The job at ``at``, asked at ``now``."""

    now: datetime
    at: datetime
    state: State
    cards: Cards
    journal: Journal
    memory: dict[str, Any]
    suppose: Suppose | None = None
    moved: Mapping[str, State] = field(default_factory=dict)  # piece -> the job in which it dries where it was taken
    kept: dict[tuple[str, str, str | None, datetime], Readiness] = field(default_factory=dict, compare=False)
    shelf: dict[str, Stock] = field(default_factory=dict, compare=False)  # the stock, once it was reckoned
    _wet: dict[datetime, list[Readiness]] = field(default_factory=dict, compare=False)
    _named: dict[str, Card | None] = field(default_factory=dict, compare=False)

    def then(self, at: datetime) -> Job:
        """Give the same job at another moment."""
        return replace(self, at=like(at, self.now))

    def card(self, product: str | None) -> Card | None:
        """Give the card of a product, or None where there is none or it cannot be read."""
        if not product:
            return None
        if product not in self._named:
            try:
                self._named[product] = self.cards(product)
            except Problem:
                self._named[product] = None
        return self._named[product]

    def film(self, piece: str) -> Film | None:
        """Give the film on a piece at the moment asked about."""
        return films.film_on(self.state, piece, self.at)

    def readiness(self, piece: str, stage: str, part: str | None = None) -> Readiness:
        """Give the craft's readiness of a piece, or of a part of it, at the moment asked about."""
        key = (piece, stage, part, self.at)
        found = self.kept.get(key)
        if found is None:
            state = self.moved.get(piece, self.state)
            found = self.kept[key] = films.readiness(state, self.cards, piece, stage, self.at, part)
        return found

    def wet(self) -> list[Readiness]:
        """Give every film that is not dust-free at that moment; a glue line is closed and gathers no dust."""
        found = self._wet.get(self.at)
        if found is None:
            found = [r for r in films.wet(self.state, self.cards, self.at) if r.piece not in self.moved]
            for piece, state in self.moved.items():
                found += [r for r in films.wet(state, self.cards, self.at) if r.piece == piece]
            self._wet[self.at] = found
        return found

    def wet_in(self, space: str | None) -> list[Readiness]:
        """Give the wet films that dust in a space would fall on, the longest about it first."""
        here = [r for r in self.wet() if films.shares_air(self.state, r.piece, space)]
        return sorted(here, key=lambda r: (r.earliest is None, utc(r.earliest or self.at)), reverse=True)

    def stuff(self, piece: str) -> str | None:
        """Give what goes on a piece next: the first planned label whose coats are not all on, else its last coat's."""
        for line in wanted(self.state):
            if line.piece == piece and self.state.coats.get(piece, {}).get(line.label, 0) < line.coats:
                return line.label
        coats = [e for e in self.state.work.get(piece, ()) if isinstance(e, Coat) and utc(e.at) <= utc(self.at)]
        return coats[-1].product if coats else None

    def labels(self, kinds: tuple[str, ...] = ()) -> list[str]:
        """Give the job's labels, of some kinds or generic types of material if any are named."""
        if not kinds:
            return [*self.state.labels]
        cards = ((n, self.card(n)) for n in self.state.labels)
        return [n for n, c in cards if c is not None and (c.kind in kinds or c.generic in kinds)]

    def next_air(self, space: str | None) -> datetime | None:
        """Give when the air of a space is next expected to change, or None."""
        return temperatures(self.state, space, self.at, self.now)[0].end


def job_of(talk: Talk, at: datetime) -> Job:
    """Give the job of a talk at a moment."""
    return Job(talk.now, like(at, talk.now), talk.state, talk.cards, talk.journal, talk.memory)


#: What a film's product is supposed to be is put in for these; for the others it is the product asked about.
_OF_FILM: Final = frozenset({Property.READY, Property.WINDOW, Property.TAPE, Property.DUST, Property.STATUS})


def supposing(job: Job, query: Query, pieces: tuple[str, ...]) -> Job:
    """Give the job with what is supposed put in for ``pieces``, from now on; the real one stays as it is."""
    suppose = query.suppose
    if suppose is None:
        return job
    state = _air(job, suppose, pieces)
    for piece in pieces:
        if suppose.product is not None and suppose.laid is None and query.what in _OF_FILM:
            state = _other_product(state, piece, suppose.product, job.at)
        if suppose.skipped is not None:
            state = _skipped(state, piece, suppose.skipped, job.at)
        if suppose.laid is not None:
            product = suppose.product or job.stuff(piece)
            if product is None:
                raise Missing(f"With what is the {piece} coated then?", "product", tuple(job.state.labels))
            state = _with(state, Coat(piece=piece, product=product, at=suppose.laid, said_at=job.now, coat=1))
    moved: dict[str, State] = {}
    if suppose.moved is not None:
        moved = {p: _drying_there(state, p, suppose.moved, job.now) for p in pieces}
        state = state.copy()
        for piece in pieces:
            state.pieces[piece] = _in(state, piece, suppose.moved)
    if utc(job.at) >= utc(job.now):
        state = _that_matter(job, state, pieces)
    return replace(job, state=state, moved=moved, suppose=suppose, kept={}, _wet={}, shelf={})


def _that_matter(job: Job, state: State, pieces: tuple[str, ...]) -> State:
    """Leave out what bears on nothing from now on: a film that is dust-free now is so in any air to come."""
    wet = {r.piece for r in job.then(job.now).wet()}
    twin = state.copy()
    twin.work = {p: work for p, work in state.work.items() if p in wet or p in pieces}
    return twin


def _air(job: Job, suppose: Suppose, pieces: tuple[str, ...]) -> State:
    from assistant.craft.plan.change import Held, Warmer, changed
    from assistant.craft.plan.tasks import Options

    state = job.state
    spaces = {state.space_of(p) for p in pieces}
    where = suppose.moved or suppose.space or (next(iter(spaces)) if len(spaces) == 1 else None)
    degrees, warmer = suppose.temperature, suppose.warmer
    if degrees is not None and (suppose.until is not None or suppose.nights):
        held = Held(degrees.value, where, end=suppose.until, nights=suppose.nights)
        state, _ = changed(held, state, Options(), job.now)
    elif warmer is not None and suppose.until is not None:
        state, _ = changed(Warmer(warmer, where, end=suppose.until), state, Options(), job.now)
    elif degrees is not None:
        state = _lasting(state, where, job.now, lambda _: degrees.value)
    elif warmer is not None:
        state = _lasting(state, where, job.now, lambda c: c + warmer)
    if suppose.humidity is not None:
        until = suppose.until or like(utc(job.now) + _LASTS, job.now)
        spell = Climate(space=where, humidity=suppose.humidity, at=job.now, until=until, said_at=job.now)
        state = state.copy()
        state.climate = tuple(sorted((*state.climate, spell), key=lambda c: utc(c.at)))
    return state


def _lasting(state: State, where: str | None, now: datetime, of: Callable[[float], float]) -> State:
    """Give the job with other air from now on for good, in one space or everywhere.

    What was expected there is gone; an end of its own would be a date on which a film that stands still goes on.
    """
    spaces: list[str | None] = [where] if where is not None else [*state.spaces, None]
    air: list[Climate] = []
    for space in spaces:
        spells = temperatures(state, space, now, now)
        if spells[0].source == "assumed":  # or the first word about this air would be taken for what was before it, too
            air.append(Climate(space=space, temperature=celsius(ASSUMED), at=_LONG_AGO, said_at=now))
        air += [Climate(space=space, temperature=celsius(of(s.celsius)), at=s.start, said_at=now) for s in spells]
    twin = state.copy()
    kept = [c for event in state.climate for c in _till_now(state, event, where, now)]
    twin.climate = (*kept, *air)  # in no order: whoever reads them sorts by space and time
    return twin


def _till_now(state: State, event: Climate, where: str | None, now: datetime) -> list[Climate]:
    """Give what is left of what was told of the air where it is another in ``where`` from now on."""
    ahead = utc(event.at) > utc(now)
    if not ahead and (event.until is None or utc(event.until) <= utc(now)):
        return [event]
    if event.space is None and where is not None:  # it goes on everywhere else
        others = [replace(event, space=s) for s in state.spaces if s != where]
        return [*others, *_till_now(state, replace(event, space=where), where, now)]
    if where is not None and event.space != where:
        return [event]
    if ahead:
        return [replace(event, temperature=None)] if event.humidity is not None else []
    return [replace(event, until=now)]


def _with(state: State, event: Coat) -> State:
    twin = state.copy()
    twin.work[event.piece] = tuple(sorted((*state.work.get(event.piece, ()), event), key=lambda e: utc(e.at)))
    return twin


def _last_film(work: tuple[Event, ...], at: datetime) -> int | None:
    laid = (k for k, e in enumerate(work) if isinstance(e, Coat | Fill | Bond) and utc(e.at) <= utc(at))
    return max(laid, default=None)


def _other_product(state: State, piece: str, product: str, at: datetime) -> State:
    work = state.work.get(piece, ())
    last = _last_film(work, at)
    if last is None:
        return state
    event = work[last]
    assert isinstance(event, Coat | Fill | Bond)
    twin = state.copy()
    twin.work[piece] = (*work[:last], replace(event, product=product), *work[last + 1 :])
    return twin


def _skipped(state: State, piece: str, act: Act, at: datetime) -> State:
    work = state.work.get(piece, ())
    last = _last_film(work, at)
    gone = {Act.SAND: Sand, Act.CLEAN: Clean}.get(act)
    if last is None or gone is None:
        return state
    twin = state.copy()
    twin.work[piece] = (*work[: last + 1], *(e for e in work[last + 1 :] if not isinstance(e, gone)))
    return twin


def _in(state: State, piece: str, space: str) -> Named:
    named = state.pieces.get(piece, Named(piece))
    return Named(piece, {**named.values, "space": space})


def _drying_there(state: State, piece: str, space: str, now: datetime) -> State:
    """Give the job in which a piece has the air of where it is till now, and that of ``space`` from now on."""
    film = films.film_on(state, piece, now)
    start = film.shuts_from if film is not None else now
    here = [s for s in temperatures(state, state.space_of(piece), start, now) if utc(s.start) < utc(now)]
    there = temperatures(state, space, now, now)
    own = f"{space}, where the {piece} is taken"
    air = [Climate(space=own, temperature=celsius(s.celsius), at=s.start, said_at=now) for s in (*here, *there)]
    twin = state.copy()
    twin.pieces[piece] = _in(state, piece, own)
    twin.climate = tuple(sorted((*state.climate, *air), key=lambda c: utc(c.at)))
    return twin
