"""What a day came to: the work by piece, coats so far, mixes, air, faults, what waits, what comes first.

The same for a week, any other span, or one piece. Made of the journal's entries of those days
(``Journal.history``) and the job as it stands; nothing in it is told in words, that is
``assistant.show``'s business.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final, NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from assistant.craft.draws import THINNER, Draw, converted, ledger
from assistant.craft.moves import Move, first_moves
from assistant.craft.readiness import Readiness
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import like, utc
from assistant.craft.waits import coats_on, planned, waiting
from assistant.journal.events import (
    Bond,
    Clean,
    Climate,
    Coat,
    Event,
    Fault,
    Fill,
    Fit,
    Mask,
    Mix,
    Sand,
    Set,
    Strip,
    Task,
    Unmask,
    Unread,
)  # fmt: skip
from assistant.journal.state import Entry, State
from assistant.quantity import Amount

#: Longer than this between two things told, nobody was at it.
GAP: Final = timedelta(minutes=90)
HOW: Final = "at least: first to last act told in each stretch, gaps over an hour and a half left out"
#: The acts that hands do; readings, notes and tasks are told at any hour.
HANDS: Final = (Coat, Sand, Fill, Strip, Clean, Mask, Unmask, Bond, Fit, Mix)


class CoatsOn(NamedTuple):
    """Coats of a product on a piece: ``on`` in all by then, ``laid`` in the time, ``wanted`` by the plan."""

    piece: str
    space: str | None
    product: str | None
    on: int
    laid: int
    wanted: int | None


class Air(NamedTuple):
    """The readings of a space (None: everywhere): lowest and highest, degC and percent."""

    space: str | None
    low: Amount | None
    high: Amount | None
    damp_low: Amount | None
    damp_high: Amount | None
    readings: int


class Brief(NamedTuple):
    """One day of a span. ``hands_on`` is in h."""

    day: date
    acts: int
    coats: int
    mixes: int
    faults: int
    hands_on: float
    pieces: tuple[str, ...]


class Totals(NamedTuple):
    """What it added up to. ``hands_on`` (h) is None where it cannot be told; ``how`` says what it is.

    ``used`` are products by name, thinner apart; ``uncounted`` says what is not in them.
    """

    hands_on: Amount | None
    how: str
    acts: int
    coats: int
    mixes: int
    faults: int
    pieces: int
    used: tuple[tuple[str, Amount], ...]
    thinner: tuple[tuple[str, Amount], ...]
    uncounted: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """A day, or the days from ``first`` to ``last``, as seen at ``at`` (its end, or now if it still runs).

    ``entries`` are in the order things happened, with what was undone still among them; readings
    and things made known are not (``readings``, ``known`` count them). ``unread`` is what was heard by
    its end, then or before, and is neither settled nor struck.
    """

    job: str
    first: date
    last: date
    at: datetime
    piece: str | None
    entries: tuple[Entry, ...]
    coats: tuple[CoatsOn, ...]
    mixes: tuple[Mix, ...]
    air: tuple[Air, ...]
    faults: tuple[Fault, ...]
    tasks: tuple[Task, ...]
    waiting: tuple[Readiness, ...]
    moves: tuple[Move, ...]
    totals: Totals
    days: tuple[Brief, ...] = ()
    readings: int = 0
    known: int = 0
    spaces: dict[str, str | None] = field(default_factory=dict)
    unread: tuple[Unread, ...] = ()

    @property
    def whole(self) -> bool:
        """Whether it is over."""
        return self.at.date() > self.last

    @property
    def standing(self) -> tuple[Event, ...]:
        """What stands of the entries."""
        return tuple(e.event for e in self.entries if not e.undone)


def zone_of(state: State, now: datetime) -> tzinfo:
    """Give the job's time zone, else that of ``now``."""
    name = state.job.get("timezone")
    try:
        return ZoneInfo(name) if isinstance(name, str) else now.tzinfo or UTC
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return now.tzinfo or UTC


def bounds(first: date, last: date, zone: tzinfo) -> tuple[datetime, datetime]:
    """Give the instants from which and before which things belong to these days (for ``Journal.history``)."""
    return (
        datetime.combine(first, time(0), zone),
        datetime.combine(last + timedelta(days=1), time(0), zone),
    )


def day(
    entries: Iterable[Entry], state: State, cards: Cards, first: date, now: datetime, *,
    last: date | None = None, piece: str | None = None, moves: Sequence[Move] | None = None,
) -> Day:  # fmt: skip
    """Give what the entries of a day (to ``last``: of a span) came to, for all pieces or one.

    ``entries`` are those of :func:`bounds`; others are left out. ``moves`` are the first moves where a
    planner knows better than the films do.
    """
    last = last or first
    zone = zone_of(state, now)
    start, end = bounds(first, last, zone)
    sorted_ = _sorted(entries, start, end, piece)
    events = [e.event for e in sorted_ if not e.undone]
    at = min(like(end, now), now, key=utc).astimezone(zone)
    told = tuple(e for e in sorted_ if not isinstance(e.event, Climate | Set))
    climate = [e for e in events if isinstance(e, Climate)]
    working = [e for e in events if isinstance(e, HANDS)]
    briefs = tuple(_briefs(events, first, last, zone)) if last > first else ()
    at_it = sum(b.hands_on for b in briefs) if briefs else _hands_on(working)
    waits = tuple(w for w in waiting(state, cards, at) if piece in (None, w.piece))
    ahead = first_moves(state, cards, at, waits, zone) if moves is None else moves
    return Day(
        str(state.job.get("name") or ""), first, last, at, piece, told,
        tuple(_coats(state, events, start, at)),
        tuple(e for e in events if isinstance(e, Mix)),
        tuple(_air(climate, at)) if piece is None else (),
        tuple(e for e in events if isinstance(e, Fault)),
        tuple(t for t in state.tasks if t.state == "open" and piece in (None, t.piece)),
        waits, tuple(m for m in ahead if piece in (None, m.piece)),
        _totals(events, at_it, piece, _book(state, cards, events, (start, end))),
        briefs, len(climate), sum(isinstance(e, Set) for e in events),
        {p: state.space_of(p) for p in {getattr(e, "piece", None) for e in events} if p},
        tuple(u for u in state.unread if piece is None and utc(u.said_at) <= utc(at)),
    )  # fmt: skip


def of_piece(entries: Iterable[Entry], state: State, cards: Cards, piece: str, now: datetime) -> Day:
    """Give all that was done on one piece: "what did I do on the hatch trim"."""
    mine = [e for e in entries if getattr(e.event, "piece", None) == piece]
    zone = zone_of(state, now)
    days = [e.event.at.astimezone(zone).date() for e in mine] or [now.astimezone(zone).date()]
    return day(mine, state, cards, min(days), now, last=max(days), piece=piece)


def last_done(state: State, kind: str, pieces: Iterable[str] | None = None) -> Event | None:
    """Give the last event of a kind on any of the pieces (None: on anything): "when did I last sand"."""
    wanted = state.work if pieces is None else pieces
    found = [e for p in wanted for e in state.work.get(p, ()) if e.kind == kind]
    return max(found, key=lambda e: (utc(e.at), e.id), default=None)


def _sorted(entries: Iterable[Entry], start: datetime, end: datetime, piece: str | None) -> list[Entry]:
    first, before = start.timestamp(), end.timestamp()
    kept = []
    for entry in entries:
        moment = entry.event.at.timestamp()
        if first <= moment < before and (piece is None or getattr(entry.event, "piece", None) == piece):
            kept.append((moment, entry.event.id, entry))
    kept.sort(key=lambda k: k[:2])
    return [entry for _, _, entry in kept]


def _hands_on(events: Sequence[Event]) -> float:
    """Hours of the stretches of work; ``events`` in order of time. Work told with its start was work from there."""
    total, gap = 0.0, GAP.total_seconds()
    before: float | None = None
    spans = sorted(((e.began or e.at).timestamp(), e.at.timestamp()) for e in events)
    for start, end in spans:
        if before is None or start - before > gap:
            before = start
        total += max(end - before, 0.0)
        before = max(end, before)
    return total / 3600.0


def _briefs(events: Sequence[Event], first: date, last: date, zone: tzinfo) -> Iterator[Brief]:
    count = (last - first).days + 1
    edges = [datetime.combine(first + timedelta(days=i), time(0), zone).timestamp() for i in range(count)]
    by_day: list[list[Event]] = [[] for _ in range(count)]
    for event in events:
        by_day[bisect_right(edges, event.at.timestamp()) - 1].append(event)
    for i, mine in enumerate(by_day):
        acts = [e for e in mine if isinstance(e, HANDS)]
        if not any(not isinstance(e, Climate | Set) for e in mine):
            continue
        pieces = tuple(dict.fromkeys(p for e in mine if (p := getattr(e, "piece", None))))
        yield Brief(
            first + timedelta(days=i), len(acts), sum(isinstance(e, Coat) for e in acts),
            sum(isinstance(e, Mix) for e in acts), sum(isinstance(e, Fault) for e in mine),
            _hands_on(acts), pieces,
        )  # fmt: skip


def _coats(state: State, events: Sequence[Event], start: datetime, at: datetime) -> Iterator[CoatsOn]:
    laid: dict[tuple[str, str | None], list[Coat]] = {}
    for event in events:
        if isinstance(event, Coat):
            laid.setdefault((event.piece, event.product), []).append(event)
    for (piece, product), coats in laid.items():
        work = state.work.get(piece, ())
        on = coats[-1].coat
        if work and utc(work[0].at) <= utc(start):  # the state still has all of that time
            on = coats_on(state, piece, at).get(product or "", 0)
        wanted = planned(state, piece).get(product or "")
        yield CoatsOn(piece, state.space_of(piece), product, on, len(coats), wanted)


def _air(climate: Sequence[Climate], at: datetime) -> Iterator[Air]:
    """Give the extremes of what was read; a spell that is only expected is no reading."""
    by_space: dict[str | None, list[Climate]] = {}
    for event in climate:
        if event.until is None and utc(event.at) <= utc(at):
            by_space.setdefault(event.space, []).append(event)
    for space, mine in by_space.items():
        warm = [c.temperature for c in mine if c.temperature is not None]
        damp = [c.humidity for c in mine if c.humidity is not None]
        yield Air(
            space, min(warm, default=None), max(warm, default=None), min(damp, default=None),
            max(damp, default=None), len(mine),
        )  # fmt: skip


def _book(state: State, cards: Cards, events: Sequence[Event], span: tuple[datetime, datetime]) -> _Used:
    book = ledger(state, cards, events)
    first, before = (t.timestamp() for t in span)
    draws = [d for d in book.draws if first <= d.at.timestamp() < before]
    missed = [u for u in book.uncounted if first <= u.at.timestamp() < before]
    return _Used(cards, draws, [f"{u.product}: {u.why}" if u.product else u.why for u in missed])


class _Used(NamedTuple):
    cards: Cards
    draws: list[Draw]
    missed: list[str]


def _totals(events: Sequence[Event], at_it: float, piece: str | None, book: _Used) -> Totals:
    kinds = [type(e) for e in events]
    acts = sum(k in HANDS for k in kinds)
    mine = [d for d in book.draws if piece in (None, d.piece)]
    missed = book.missed if piece is None else ["what came out of a pot is not told apart by piece"]
    hands = [e for e in events if isinstance(e, HANDS)]
    return Totals(
        Amount(at_it, "h") if acts > 1 and piece is None else None, HOW, acts, kinds.count(Coat),
        kinds.count(Mix), kinds.count(Fault), len({p for e in hands if (p := getattr(e, "piece", None))}),
        _summed(book.cards, (d for d in mine if d.how != THINNER)),
        _summed(book.cards, (d for d in mine if d.how == THINNER)), tuple(dict.fromkeys(missed)),
    )  # fmt: skip


def _summed(cards: Cards, draws: Iterable[Draw]) -> tuple[tuple[str, Amount], ...]:
    """Add up by product, in ml where a density allows it; what cannot be made ml stands beside it in g."""
    sums: dict[tuple[str, str], float] = {}
    for draw in draws:
        in_ml = converted(draw.amount, "ml", card_for(cards, draw.product), draw.part)
        unit, value = (draw.amount.unit, draw.amount.value) if in_ml is None else ("ml", in_ml)
        sums[draw.product, unit] = sums.get((draw.product, unit), 0.0) + value
    return tuple((product, Amount(value, unit)) for (product, unit), value in sums.items())
