"""What is asked, typed: one question of any kind as one immutable value.

The reader makes a :class:`Query` (or a :class:`Fragment` that changes the last one) and ``assistant.ask`` answers it.
Names are the job's own and times are moments: what the words left open is settled before a query is made.
Nothing here knows the craft.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from assistant.language.meanings import Act, Quantifier
from assistant.quantity import Amount


class Property(StrEnum):
    """What is asked about. Each has one resolver in ``assistant.ask``."""

    READY = "ready"  # a film for a stage: may it be touched, sanded, coated, handled
    WINDOW = "window"  # how long a film may still be coated without a key
    DUST = "dust"  # may dust be made in a place
    TAPE = "tape"  # tape off (UNMASK) or on (MASK)
    MIX = "mix"
    THIN = "thin"
    POT = "pot"
    STOCK = "stock"  # what is left, against what is needed
    BUY = "buy"
    COVER = "cover"
    DEW = "dew"
    COLD = "cold"  # how warm it is, and whether that is enough
    HUMIDITY = "humidity"
    NEXT = "next"
    LEFT = "left"  # what is still to be done
    FINISH = "finish"
    WHATIF = "what if"
    STATUS = "status"
    DIARY = "diary"
    ENTRY = "entry"  # the journal as a relation
    COATS = "coats"  # how many are on
    GEAR = "gear"
    COMPAT = "compat"  # may one material go over another
    KEEPING = "keeping"  # is a tin still good
    LABEL = "label"
    GRIT = "grit"
    CONVERT = "convert"
    KNOW = "know"
    AID = "aid"


class Shape(StrEnum):
    """What kind of answer is wanted."""

    WHETHER = "whether"
    WHEN = "when"
    WHICH = "which"
    WHAT = "what"
    HOW_MUCH = "how much"
    HOW_MANY = "how many"
    HOW_LONG = "how long"
    FIRST = "first"
    LAST = "last"
    COMPARE = "compare"
    WHY = "why"
    NEEDED = "needed"  # the condition that would do, named by :class:`Unknown`


class Stage(StrEnum):
    """What a film is to be ready for."""

    TOUCH = "touch"
    DUST = "dust"
    SAND = "sand"
    OVERCOAT = "overcoat"
    HANDLE = "handle"
    CURED = "cured"


class Has(StrEnum):
    """What a piece is, or is not, to be among those asked about."""

    FILM = "film"  # anything laid on it
    WET = "wet"  # a film that dust would still stick to
    STAGE = "stage"  # ready for a stage
    PRODUCT = "product"  # its last film is of a product
    SANDED = "sanded"  # since its last film
    CLEANED = "cleaned"  # since its last film
    COATS = "coats"  # at least so many on
    FAULT = "fault"  # a fault that nobody put right
    WORK = "work"  # coats of the plan still to come


@dataclass(frozen=True, slots=True)
class Having:
    """One condition on a piece; ``negated``: the piece must not have it."""

    has: Has
    negated: bool = False
    stage: Stage | None = None
    product: str | None = None
    count: int | None = None


@dataclass(frozen=True, slots=True)
class Subject:
    """What is asked about, by the job's names. What is empty limits nothing; ``having`` and ``besides`` take away."""

    pieces: tuple[str, ...] = ()
    spaces: tuple[str, ...] = ()
    products: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()  # of material: "varnish", "primer"
    having: tuple[Having, ...] = ()
    besides: tuple[str, ...] = ()  # pieces, spaces or products left out
    quantifier: Quantifier | None = None
    part: str | None = None  # of each piece: "underside", "port end"


@dataclass(frozen=True, slots=True)
class At:
    """At that moment."""

    moment: datetime


@dataclass(frozen=True, slots=True)
class By:
    """At any moment up to and with that one: "before six", "by Friday"."""

    moment: datetime


@dataclass(frozen=True, slots=True)
class Between:
    """At any moment from the one to the other: "tomorrow morning", "while I am away"."""

    start: datetime
    end: datetime


Time = At | By | Between


@dataclass(frozen=True, slots=True)
class Suppose:
    """What is supposed to be other than it is; what is None is as it is. Air is so from now on."""

    temperature: Amount | None = None  # degC
    warmer: float | None = None  # kelvin more than expected; colder is negative
    surface: Amount | None = None  # degC
    humidity: Amount | None = None  # percent
    space: str | None = None  # where that air is; None: where it matters
    until: datetime | None = None  # the air goes back then
    nights: bool = False  # only at night
    product: str | None = None  # in place of the one that is on or planned
    instead_of: str | None = None
    amount: Amount | None = None
    ratio: tuple[float, ...] | None = None
    skipped: Act | None = None  # this step is left out
    coat: int | None = None  # ... before this coat
    coats: int | None = None  # so many more (fewer: negative)
    moved: str | None = None  # the pieces are taken to this space now
    laid: datetime | None = None  # the next coat goes on then
    start: datetime | None = None  # nothing is begun before
    lost: date | None = None  # nothing is done on that day
    fault: str | None = None
    without: str | None = None  # a piece or task left out
    night_hour: int | None = None  # a coat laid in the night from this hour on


class Unknown(StrEnum):
    """What ``Shape.NEEDED`` solves for."""

    TEMPERATURE = "temperature"  # the least that will do
    HUMIDITY = "humidity"  # the most that will do
    AMOUNT = "amount"  # the most that will do
    START = "start"  # the latest that will do


class Detail(StrEnum):
    """What of a journal entry is asked."""

    TIME = "time"
    PRODUCT = "product"
    GRIT = "grit"
    THINNED = "thinned"
    AMOUNT = "amount"
    TEMPERATURE = "temperature"
    HUMIDITY = "humidity"
    INTERVAL = "interval"  # between the first and the last of what was found, or since
    TOTAL = "total"


@dataclass(frozen=True, slots=True)
class Measure:
    """A number and a unit as said; the journal's eight units are not enough for arithmetic."""

    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Query:
    """One question.

    ``negated`` asks whether, or which, is *not* so: "is it too soon to sand", "what must not be touched". Yes then
    means that it is not. ``goal`` is what is to be left or reached: forty minutes of a pot, 10 percent.
    """

    what: Property
    shape: Shape = Shape.WHETHER
    subject: Subject = Subject()
    time: Time | None = None
    stage: Stage | None = None
    amount: Amount | None = None
    suppose: Suppose | None = None
    negated: bool = False
    unknown: Unknown | None = None
    goal: Amount | None = None
    act: Act | None = None  # of a journal entry; MASK or UNMASK of tape
    ordinal: int | None = None  # which coat
    count: int | None = None  # how many coats
    detail: Detail = Detail.TIME
    since: Act | None = None  # the other end of an interval: how long after the sanding
    part: str | None = None  # of a mix: what the amount is of ("90 ml of resin")
    wanted: str | None = None  # of a mix: the one part asked for
    by_weight: bool | None = None  # measured in grams (True) or millilitres (False)
    percent: Amount | None = None
    area: Amount | None = None
    noisy: bool | None = None  # a machine; None: nobody said
    measure: Measure | None = None  # to be converted, or to take a share of
    unit: str | None = None  # converted to this
    grit: int | None = None
    item: str | None = None  # gear
    topic: str | None = None  # of a knowledge card
    lemmas: frozenset[str] = frozenset()  # the plain forms of the words said, for knowledge cards and first aid


@dataclass(frozen=True, slots=True)
class Fragment:
    """What a follow-up changes in the query before it. What is None stays as it was."""

    what: Property | None = None
    shape: Shape | None = None
    subject: Subject | None = None
    time: Time | None = None
    stage: Stage | None = None
    amount: Amount | None = None
    times: float | None = None  # "double that"
    suppose: Suppose | None = None
    negated: bool | None = None
    unknown: Unknown | None = None
    goal: Amount | None = None
    act: Act | None = None
    ordinal: int | None = None
    count: int | None = None
    detail: Detail | None = None
    part: str | None = None
    wanted: str | None = None
    by_weight: bool | None = None
    percent: Amount | None = None
    area: Amount | None = None
    noisy: bool | None = None
    unit: str | None = None
    later: timedelta | None = None  # "and an hour later": the time asked for is moved
    lemmas: frozenset[str] | None = None
