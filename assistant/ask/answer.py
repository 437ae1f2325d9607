"""What an answer is: rows with their evidence, the decision with its vetoes, and the one way it becomes JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields, is_dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Final

from assistant.craft.times import like
from assistant.journal.events import Event, to_json
from assistant.language.query import At, Between, By, Property, Query, Shape, Subject, Suppose, Unknown
from assistant.quantity import Amount

if TYPE_CHECKING:
    from assistant.ask.job import Job


class Bar(StrEnum):
    """What a veto is of."""

    FILM = "film"  # not at its stage yet
    WINDOW = "window"  # shut
    WET = "wet"  # another film that dust would fall on
    QUIET = "quiet"
    CLOSED = "closed"  # a space that nobody works in
    AIR = "air"  # too cold or too damp
    ORDER = "order"  # the one material does not go over the other


@dataclass(frozen=True, slots=True)
class Veto:
    """One thing that speaks against it, in a clause; ``until`` None where nobody knows, ``short`` for the reply."""

    bar: Bar
    text: str
    piece: str | None = None
    until: datetime | None = None
    short: str = ""

    @property
    def said(self) -> str:
        """Give it as a reply has room for it."""
        return self.short or self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """The keys of one kind of answer, named as in the public interface; ``about`` is its kind."""

    about: str

    def json(self) -> dict[str, Any]:
        """Give its keys as JSON."""
        return {f.name.rstrip("_"): plain(getattr(self, f.name)) for f in fields(self)}


class Evidence:
    """Where a row comes from; told when somebody asks why."""

    def told(self) -> str:
        """Give the sum in whole sentences."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class Told(Evidence):
    """Evidence that is already in words."""

    text: str

    def told(self) -> str:
        """Give the words."""
        return self.text


@dataclass(frozen=True, slots=True)
class Worked(Evidence):
    """Evidence that takes some work to put in words: done only when it is asked for."""

    make: Callable[[], str] = field(compare=False)

    def told(self) -> str:
        """Give the words."""
        return self.make()


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The answer for one subject at one moment.

    ``decision`` is yes, no, or None where it cannot be known; no row says yes with a veto in it. ``moment`` answers
    "when" and orders rows, ``value`` and ``count`` that of "how much" and "how many". ``again`` is the next moment at
    which the decision may be another.
    """

    name: str  # as said: "the hatch trim"
    facts: Facts
    decision: bool | None = None
    can: str = ""  # what is so of it if the decision is yes: "can be sanded"
    cannot: str = ""  # ... and if it is no
    said: str = ""  # what there is to say of it in one clause, where nothing is decided or known
    then: str = ""  # what happens at ``moment``, where that is no waiting for a yes: "the window shuts"
    how: str = ""  # goes with a yes: "by hand"
    since: datetime | None = None  # it has been so, or will be, from then
    until: datetime | None = None  # ... and till then
    moment: datetime | None = None
    span: timedelta | None = None
    value: Amount | None = None
    count: int | None = None
    vetoes: tuple[Veto, ...] = ()
    unknown: str | None = None
    notes: tuple[str, ...] = ()
    evidence: Evidence | None = None
    again: datetime | None = None
    piece: str | None = None
    product: str | None = None


@dataclass(frozen=True, slots=True)
class Asks:
    """A question back: what is missing (``slot``) and the answers that would do."""

    question: str
    slot: str
    options: tuple[str, ...] = ()


class Missing(Exception):
    """Raised by a resolver that lacks something only the person knows."""

    def __init__(self, question: str, slot: str, options: tuple[str, ...] = ()) -> None:
        super().__init__(question)
        self.asks = Asks(question, slot, options)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a query came to. ``rows`` has every subject, the one that decides first in ``chosen``.

    ``asks`` is set where something has to be asked back, ``nearest`` where this cannot be answered but those can.
    """

    query: Query
    at: datetime
    reply: str
    facts: Facts | None = None
    decision: bool | None = None
    rows: tuple[Row, ...] = ()
    chosen: Row | None = None
    vetoes: tuple[Veto, ...] = ()
    cautions: tuple[str, ...] = ()
    unknown: str | None = None
    asks: Asks | None = None
    refused: bool = False
    nearest: tuple[Query, ...] = ()

    @property
    def pieces(self) -> tuple[str, ...]:
        """What was spoken of: the pieces of the rows, the one that decides first."""
        chosen = (self.chosen.piece,) if self.chosen is not None else ()
        return tuple(dict.fromkeys(p for p in (*chosen, *(r.piece for r in self.rows)) if p))

    @property
    def products(self) -> tuple[str, ...]:
        """What products were spoken of."""
        return tuple(dict.fromkeys(r.product for r in self.rows if r.product))

    @property
    def outcome(self) -> str:
        """Give ``answered``, ``asked``, ``refused`` or ``unclear``, as the interface names them."""
        if self.asks is not None:
            return "asked"
        if self.refused:
            return "refused"
        return "answered" if self.facts is not None else "unclear"

    def to_json(self) -> dict[str, Any] | None:
        """Give the answer object of the interface, or None where there is none."""
        if self.facts is None:
            return None
        out = {**plain(self.facts), "asked": asked(self.query), "at": plain(self.at)}
        out["vetoes"] = [{"text": v.text, "piece": v.piece, "until": plain(v.until)} for v in self.vetoes]
        if len(self.rows) > 1 and "rows" not in out:
            out["rows"] = [_row(row) for row in self.rows]
        return out


@dataclass(frozen=True, slots=True)
class Resolver:
    """How one property is answered: what its subjects are, the shapes it can take, and a row of it.

    ``row`` works one subject out at the moment of ``job.at``; ``subjects`` gives what is asked about.
    """

    what: Property
    subjects: Callable[[Job, Query], list[str | None]]
    row: Callable[[Job, Query, str | None], Row]
    shapes: frozenset[Shape]
    natural: Shape  # the shape asked where none fits
    topic: str  # the question in words, after "whether" or "when": "a piece can be sanded"
    waits: bool = False  # "when" is the first moment at which the decision is yes
    condition: bool = True  # what is supposed of the air, the product and the place is put into the job first
    needs: frozenset[Unknown] = frozenset()  # what it can be solved for
    solves: Callable[[Job, Query], Row] | None = None  # ... in a way of its own
    gather: Callable[[Sequence[Row]], Facts] | None = None  # the facts of several rows together, where they are one
    least_first: bool = False  # of figures the least is the best
    takes: frozenset[str] = frozenset()  # what of a condition its rows reckon with themselves


ORDERED: Final = frozenset({Shape.FIRST, Shape.LAST, Shape.COMPARE})
DECIDED: Final = frozenset({Shape.WHETHER, Shape.WHICH, Shape.HOW_MANY})
EVERY_SHAPE: Final = frozenset(Shape)


def plain(value: Any) -> Any:
    """Turn typed values into JSON: amounts, times, events, enums and dataclasses (``from_`` is written ``from``)."""
    if isinstance(value, Amount):
        return value.to_json()
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, timedelta):
        return Amount(value.total_seconds() / 60.0, "min").to_json()
    if isinstance(value, Event):
        return to_json(value)
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, Facts):
        return value.json()
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name.rstrip("_"): plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    return value


def asked(query: Query) -> dict[str, Any]:
    """Give what was asked, typed, as JSON: only what was said of subject and condition."""
    return {
        "what": query.what.value,
        "shape": query.shape.value,
        "subject": _said(query.subject),
        "time": time_json(query),
        "suppose": _said(query.suppose) if query.suppose is not None else None,
        "stage": query.stage.value if query.stage else None,
        "amount": plain(query.amount),
        **({"negated": True} if query.negated else {}),
    }


def time_json(query: Query) -> dict[str, Any] | None:
    """Give the time asked for: ``{"at": ...}``, ``{"by": ...}`` or ``{"between": [...]}``."""
    match query.time:
        case At(moment):
            return {"at": plain(moment)}
        case By(moment):
            return {"by": plain(moment)}
        case Between(start, end):
            return {"between": [plain(start), plain(end)]}
    return None


def _said(value: Subject | Suppose) -> dict[str, Any]:
    blank = type(value)()
    return {
        f.name: plain(getattr(value, f.name)) for f in fields(value) if getattr(value, f.name) != getattr(blank, f.name)
    }


def _row(row: Row) -> dict[str, Any]:
    out: dict[str, Any] = plain(row.facts)
    out.pop("about", None)
    out["vetoes"] = [{"text": v.text, "piece": v.piece, "until": plain(v.until)} for v in row.vetoes]
    if row.unknown:
        out["unknown"] = row.unknown
    return out


def local(moment: datetime | None, now: datetime) -> datetime | None:
    """Give a moment in the zone of ``now``; None stays None."""
    return None if moment is None else like(moment, now)
