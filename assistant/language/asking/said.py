"""What a question says, before the job is known: names and times as spoken, everything else typed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from assistant.language.meanings import Act, Group
from assistant.language.names import Name
from assistant.language.periods import Bound, Range
from assistant.language.query import Detail, Has, Measure, Property, Shape, Stage, Unknown
from assistant.language.when import When
from assistant.quantity import Amount

#: A time as said: a moment or window, an end, a span, or how long from now.
Timed = When | Bound | Range | timedelta


@dataclass(frozen=True, slots=True)
class Filter:
    """One condition on a piece, as said."""

    has: Has
    negated: bool = False
    stage: Stage | None = None
    product: Name | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Supposed:
    """What an if, a what-if or a condition in passing supposes, as said."""

    temperature: Amount | None = None
    warmer: float | None = None
    surface: Amount | None = None
    humidity: Amount | None = None
    spaces: tuple[Name, ...] = ()
    times: tuple[Timed, ...] = ()
    nights: bool = False
    products: tuple[Name, ...] = ()
    instead_of: tuple[Name, ...] = ()
    amount: Amount | None = None
    ratio: tuple[float, ...] | None = None
    skipped: Act | None = None
    coat: int | None = None
    coats: int | None = None  # so many more, fewer if negative
    coats_in_all: int | None = None  # "if I only do four": how many that is more or fewer, the plan knows
    moved: bool = False  # the pieces are taken to ``spaces``
    laid: bool = False  # the next coat goes on at ``times``
    start: bool = False  # nothing is begun before ``times``
    lost: bool = False  # nothing is done on the day of ``times``
    fault: str | None = None
    without: Group | None = None


@dataclass(frozen=True, slots=True)
class Asked:
    """A question, or a fragment that changes the one before it, with what was said left open.

    ``fragment`` says that it only changes the last question: what is None stays as it was there. ``unused`` are the
    words that no part of it holds; ``doubt`` grows with them.
    """

    what: Property | None = None
    shape: Shape | None = None
    fragment: bool = False
    again: bool = False  # "why", "are you sure": of the last answer, nothing new is asked
    groups: tuple[Group, ...] = ()
    spaces: tuple[Name, ...] = ()
    besides: tuple[Group, ...] = ()
    products: tuple[Name, ...] = ()
    kinds: tuple[str, ...] = ()
    having: tuple[Filter, ...] = ()
    part_of_piece: str | None = None
    times: tuple[Timed, ...] = ()
    stage: Stage | None = None
    negated: bool = False
    past: bool = False
    act: Act | None = None
    since: Act | None = None
    ordinal: int | None = None
    count: int | None = None
    detail: Detail | None = None
    amount: Amount | None = None
    percent: Amount | None = None
    temperature: Amount | None = None
    humidity: Amount | None = None
    area: Amount | None = None
    ratio: tuple[float, ...] | None = None
    grit: int | None = None
    number: float | None = None  # a bare one, whose role the last question knows
    part: str | None = None
    wanted: str | None = None
    by_weight: bool | None = None
    measure: Measure | None = None
    unit: str | None = None
    goal: Amount | None = None
    unknown: Unknown | None = None
    suppose: Supposed | None = None
    noisy: bool | None = None
    item: str | None = None
    topic: str | None = None
    factor: float | None = None  # "double that"
    later: timedelta | None = None  # "and an hour later"
    lemmas: frozenset[str] = frozenset()
    bedtime: bool = False  # "before bed", "before I turn in": by when the hours of sleep begin
    general: bool = False  # of the trade rather than of this job: "how do I", "what causes"
    unused: tuple[str, ...] = ()
    doubt: float = 0.0


__all__ = ["Asked", "Bound", "Filter", "Range", "Supposed", "Timed", "When"]
