"""The job as it stands: a fold of the journal's events.

A ``State`` is small whatever the journal's length: it keeps what the reasoning needs, not the
history. It is made of shelves that know nothing of each other (``SHELVES``); an event goes onto
one of them. So a shelf read back from a checkpoint can stay folded up, with what came since
lying beside it, until somebody looks at it; that is what makes opening a long journal cheap.
What lies on a shelf is replaced, never changed in place, so a copy is a few shallow copies.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, fields
from datetime import datetime, timedelta
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Final, TypeVar, cast

from assistant.journal.corrections import Entry, effective, entries, taken_back
from assistant.journal.events import (
    KINDS,
    Climate,
    Coat,
    Event,
    Fault,
    Gear,
    Hours,
    Mix,
    Set,
    Strip,
    Task,
    Tin,
    Unread,
)

__all__ = [
    "KEEP_RECENT", "SHELVES", "Entry", "Named", "State", "Word", "apply", "effective", "entries", "extend", "fold",
    "pruned", "putting_right", "state_of", "taken_back",
]  # fmt: skip

#: How much is kept of each thing; older entries stay in the journal alone.
KEEP_WORK: Final = 60  # of each piece
KEEP_CLIMATE: Final = 2000  # of each space: two weeks of a logger that reads every ten minutes
KEEP_MIXES: Final = 40
KEEP_STOCK: Final = 400
KEEP_CLOSED: Final = 200  # tasks done or dropped; every open one is kept
KEEP_HOURS: Final = 20  # of each rule, daily and once apart, and of each space and piece
KEEP_UNREAD: Final = 200
KEEP_RECENT: Final = 40

E = TypeVar("E", bound=Event)


@dataclass(frozen=True, slots=True)
class Named:
    """A space, piece, label, tin or task as the job file or the talk gave it (JSON form)."""

    name: str
    values: dict[str, Any] = field(default_factory=dict)

    @property
    def also(self) -> tuple[str, ...]:
        """Other names."""
        return tuple(self.values.get("also", ()))


@dataclass(frozen=True, slots=True)
class Word:
    """A person's own word: ``means`` is the job's name (of an act: its kind), ``of`` what it is a name of."""

    name: str
    means: str
    of: str


@dataclass(slots=True)
class State:
    """The fold. Every collection is keyed by the name the job uses."""

    job: dict[str, Any] = field(default_factory=dict)  # name, timezone, deadline, sleep, quiet, settings
    spaces: dict[str, Named] = field(default_factory=dict)
    pieces: dict[str, Named] = field(default_factory=dict)
    labels: dict[str, Named] = field(default_factory=dict)
    tins: dict[str, Named] = field(default_factory=dict)  # keyed "label#1", in order of coming
    plans: dict[str, Named] = field(default_factory=dict)  # [[task]] tables, keyed by name
    words: dict[str, Word] = field(default_factory=dict)  # learned, by the word itself
    tasks: tuple[Task, ...] = ()  # said tasks, latest state of each
    work: dict[str, tuple[Event, ...]] = field(default_factory=dict)  # by piece, in order of `at`
    #: piece -> product ("" if none) -> highest coat, on any part, since all of the piece was last stripped
    coats: dict[str, dict[str, int]] = field(default_factory=dict)
    climate: tuple[Climate, ...] = ()  # in order of `at`, readings and spells
    mixes: tuple[Mix, ...] = ()  # in order of `at`
    stock: tuple[Tin, ...] = ()  # the last tin events, as said
    gear: dict[str, Gear] = field(default_factory=dict)  # item -> last change
    hours: dict[str, tuple[Hours, ...]] = field(default_factory=dict)  # rule -> rules said
    notes: int = 0
    unread: tuple[Unread, ...] = ()  # in order of being said, neither settled nor struck
    recent: tuple[Event, ...] = ()  # the last events as committed, undo and amend among them
    last_id: int = 0
    #: product ("" if none) -> change -> {"times": how often, unit: sum of the amounts said}, of all time
    totals: dict[str, dict[str, dict[str, float]]] = field(default_factory=dict)
    #: shelves not looked at yet: how to read them, and what goes onto them then
    folded: dict[str, tuple[Callable[[State], None], list[Event]]] = field(
        default_factory=dict, repr=False, compare=False
    )

    if not TYPE_CHECKING:  # or a mistyped name would pass mypy

        def __getattr__(self, name: str) -> Any:
            # Only asked for what is not set: something on a shelf that is still folded up.
            shelf = _SHELF_OF_FIELD.get(name)
            if shelf is None or shelf not in self.folded:
                raise AttributeError(name)
            read, events = self.folded.pop(shelf)
            read(self)
            _FOLDS[shelf](self, events)
            return getattr(self, name)

    def __setattr__(self, name: str, value: Any) -> None:
        # What is put on a shelf that is still folded up must not be covered when it is unfolded.
        if _SHELF_OF_FIELD.get(name) in getattr(self, "folded", ()):
            getattr(self, name)
        object.__setattr__(self, name, value)

    def copy(self) -> State:
        """Give an independent state (inner values are shared, and never changed in place)."""
        twin = State.__new__(State)
        twin.folded = {shelf: (read, list(events)) for shelf, (read, events) in self.folded.items()}
        twin.recent, twin.last_id = self.recent, self.last_id
        for shelf, names in SHELVES.items():
            if shelf not in self.folded:
                for name in names:
                    value = getattr(self, name)
                    setattr(twin, name, dict(value) if isinstance(value, dict) else value)
        return twin

    def space_of(self, piece: str) -> str | None:
        """Give the space a piece is in, or None if nobody said."""
        named = self.pieces.get(piece)
        return named.values.get("space") if named else None


#: The shelves and what lies on them.
SHELVES: Final[dict[str, tuple[str, ...]]] = {
    "things": ("job", "spaces", "pieces", "labels", "tins", "plans", "words"),
    "tasks": ("tasks",),
    "work": ("work", "coats"),
    "climate": ("climate",),
    "mixes": ("mixes",),
    "stock": ("stock", "totals"),
    "gear": ("gear",),
    "hours": ("hours",),
    "notes": ("notes",),
    "unread": ("unread",),
}
_SHELF_OF_FIELD: Final = {name: shelf for shelf, names in SHELVES.items() for name in names}
_SHELF_OF_KIND: Final = {
    **{kind: "work" for kind, cls in KINDS.items() if any(f.name == "piece" for f in fields(cls))},
    "set": "things", "task": "tasks", "climate": "climate", "mix": "mixes", "tin": "stock",
    "gear": "gear", "hours": "hours", "note": "notes", "unread": "unread",
}  # fmt: skip


def state_of(events: Iterable[Event]) -> State:
    """Give the state of a whole journal: the fold of what stands, and the last events as committed."""
    listed = list(events)
    state = fold(effective(listed))
    state.recent = tuple(listed[-KEEP_RECENT:])
    state.last_id = max((e.id for e in listed), default=0)
    return state


def fold(events: Iterable[Event], start: State | None = None) -> State:
    """Fold effective events (no undo, no amend among them) onto a copy of ``start``."""
    state = start.copy() if start else State()
    extend(state, tuple(events))
    return state


def apply(state: State, event: Event) -> None:
    """Put one event into ``state``. Undo and amend are the store's business (see ``effective``)."""
    extend(state, (event,))


def extend(state: State, events: Sequence[Event]) -> None:
    """Put ``events`` into ``state``; many at once cost far less than one by one."""
    if not events:
        return
    state.last_id = max(state.last_id, *(e.id for e in events))
    state.recent = (*state.recent, *events[-KEEP_RECENT:])[-KEEP_RECENT:]
    sorted_out: dict[str, list[Event]] = {}
    for e in events:
        if e.kind in _SHELF_OF_KIND:
            sorted_out.setdefault(_SHELF_OF_KIND[e.kind], []).append(e)
        if isinstance(e, Fault) and e.piece:
            sorted_out.setdefault(_SHELF_OF_KIND["task"], []).append(putting_right(e))
    for shelf, arrivals in sorted_out.items():
        if shelf in state.folded:
            state.folded[shelf][1].extend(arrivals)
        else:
            _FOLDS[shelf](state, arrivals)


def putting_right(fault: Fault) -> Task:
    """Give the task that a fault opens. It comes of the fault and goes with it, should that be taken back."""
    text = f"put the {fault.fault if fault.fault != 'other' else 'fault'} right"
    return Task(id=fault.id, text=text, piece=fault.piece, state="open", at=fault.at, said_at=fault.said_at)


_AT: Final = attrgetter("at")


def _put_in_order(kept: list[E], event: E) -> int:
    # Said late is put where it happened; the usual case is the end.
    if not kept or kept[-1].at <= event.at:
        kept.append(event)
        return len(kept) - 1
    place = bisect_right(kept, event.at, key=_AT)
    kept.insert(place, event)
    return place


def _fold_work(state: State, events: Sequence[Event]) -> None:
    open_: dict[str, list[Event]] = {}
    for e in events:
        piece: str | None = getattr(e, "piece", None)
        if not piece:  # a fault of nothing in particular
            continue
        if piece not in open_:
            open_[piece] = list(state.work.get(piece, ()))
        kept = open_[piece]
        place = _put_in_order(kept, e)
        _count_coats(state, piece, kept, place)
        if len(kept) > KEEP_WORK:
            del kept[0]
    for piece, kept in open_.items():
        state.work[piece] = tuple(kept)


def _count_coats(state: State, piece: str, kept: list[Event], place: int) -> None:
    """Count the event that came to lie at ``place`` among the piece's work."""
    event, after = kept[place], kept[place + 1 :]
    if _bares(event):  # what was on it is gone: count again from what was put on since
        counts: dict[str, int] = {}
        new = [e for e in after if isinstance(e, Coat)]
    elif isinstance(event, Coat) and len(after) < KEEP_WORK:
        if after and any(_bares(e) for e in after):
            return
        counts = dict(state.coats.get(piece, {}))
        new = [event]
    else:
        return
    for coat in new:
        product = coat.product or ""
        counts[product] = max(counts.get(product, 0), coat.coat)
    if counts:
        state.coats[piece] = counts
    else:
        state.coats.pop(piece, None)


def _bares(event: Event) -> bool:
    # With a part stripped the piece still has the coats of the rest; a number counts once whatever the parts.
    return isinstance(event, Strip) and event.part is None


def _fold_climate(state: State, events: Sequence[Event]) -> None:
    kept = list(state.climate)
    arrivals = cast("Sequence[Climate]", events)
    for e in arrivals:
        _put_in_order(kept, e)
    if len(kept) > KEEP_CLIMATE:
        spaces = [e.space for e in kept]
        counts = {space: spaces.count(space) for space in {e.space for e in arrivals}}  # no other has grown
        kept = _without_oldest(kept, {space: n - KEEP_CLIMATE for space, n in counts.items() if n > KEEP_CLIMATE})
    state.climate = tuple(kept)


def _without_oldest(kept: list[Climate], over: dict[str | None, int]) -> list[Climate]:
    """Give ``kept`` without the first so many of each space; what comes after them is not looked at."""
    out: list[Climate] = []
    left = sum(over.values())
    for place, e in enumerate(kept):
        if not left:
            return out + kept[place:]
        if over.get(e.space):
            over[e.space] -= 1
            left -= 1
        else:
            out.append(e)
    return out


def _fold_mixes(state: State, events: Sequence[Event]) -> None:
    kept = list(state.mixes)
    for e in cast("Sequence[Mix]", events):
        _put_in_order(kept, e)
    state.mixes = tuple(kept[-KEEP_MIXES:])


def _fold_stock(state: State, events: Sequence[Event]) -> None:
    tins = cast("Sequence[Tin]", events)
    state.stock = (*state.stock, *tins)[-KEEP_STOCK:]
    for e in tins:
        product = state.totals.get(e.product or "", {})
        total = dict(product.get(e.change, {}))
        total["times"] = total.get("times", 0.0) + 1.0
        if e.amount is not None:
            total[e.amount.unit] = total.get(e.amount.unit, 0.0) + e.amount.value
        state.totals[e.product or ""] = {**product, e.change: total}


def _fold_tasks(state: State, events: Sequence[Event]) -> None:
    kept = {(t.text, t.piece): t for t in state.tasks}
    closed = {key: None for key, t in kept.items() if t.state != "open"}  # an ordered set
    for e in cast("Sequence[Task]", events):
        key = (e.text, e.piece)
        kept.pop(key, None)
        closed.pop(key, None)
        kept[key] = e
        if e.state != "open":
            closed[key] = None
        if len(closed) > KEEP_CLOSED:
            oldest = next(iter(closed))
            del closed[oldest], kept[oldest]
    state.tasks = tuple(kept.values())


def _fold_gear(state: State, events: Sequence[Event]) -> None:
    for e in cast("Sequence[Gear]", events):
        before = state.gear.get(e.item)
        if before is None or before.at <= e.at:
            state.gear[e.item] = e


def _fold_hours(state: State, events: Sequence[Event]) -> None:
    for e in cast("Sequence[Hours]", events):
        kept = [*state.hours.get(e.rule, ()), e]
        alike = [i for i, h in enumerate(kept) if (h.repeat, h.space, h.piece) == (e.repeat, e.space, e.piece)]
        if len(alike) > KEEP_HOURS:  # a nap now and then must not push out the nights
            del kept[alike[0]]
        state.hours[e.rule] = tuple(kept)


def _fold_notes(state: State, events: Sequence[Event]) -> None:
    state.notes += len(events)


def _fold_unread(state: State, events: Sequence[Event]) -> None:
    # One that was settled comes with no words left (an amend), one that was struck does not come.
    heard = [e for e in cast("Sequence[Unread]", events) if e.text.strip()]
    state.unread = (*state.unread, *heard)[-KEEP_UNREAD:]


def _fold_things(state: State, events: Sequence[Event]) -> None:
    shelves = {
        "space": state.spaces, "piece": state.pieces, "label": state.labels,
        "tin": state.tins, "task": state.plans,
    }  # fmt: skip
    for e in cast("Sequence[Set]", events):
        if e.what == "setting":
            state.job = {**state.job, e.name: e.values.get("value")}
        elif e.what == "job":
            state.job = {**state.job, **e.values, "name": e.name}
        elif e.what == "word":
            state.words = {**state.words, e.name: Word(e.name, str(e.values.get("means")), str(e.values.get("of")))}
        else:
            shelf = shelves[e.what]
            before = shelf.get(e.name)
            shelf[e.name] = Named(e.name, {**(before.values if before else {}), **e.values})


_FOLDS: Final[dict[str, Callable[[State, Sequence[Event]], None]]] = {
    "things": _fold_things, "tasks": _fold_tasks, "work": _fold_work, "climate": _fold_climate,
    "mixes": _fold_mixes, "stock": _fold_stock, "gear": _fold_gear, "hours": _fold_hours,
    "notes": _fold_notes, "unread": _fold_unread,
}  # fmt: skip


def pruned(state: State, now: datetime, days: int = 60) -> State:
    """Give a state without climate older than ``days`` (films that old are long cured)."""
    edge = now - timedelta(days=days)
    kept = state.copy()
    kept.climate = tuple(c for c in state.climate if c.at >= edge) or state.climate[-1:]
    return kept
