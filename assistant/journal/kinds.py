"""What can happen on a job, as immutable values (their public form is ``events``).

One class a kind; the names and keys are those of the public interface. ``at`` is when the thing
happened and ``said_at`` when it was told, both aware datetimes. ``id`` is the journal's own
number; 0 means not yet committed.

Keys that came after the first form (``between``, ``began``, ``part`` ...) are not written into a row
where they say nothing, so rows of before them and after are the same to the byte.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, ClassVar, Final

from assistant.quantity import Amount

EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What every event has.

    ``between`` is the window of a vague time ("mid-morning"), ``at`` its middle. ``began`` is the start
    of work that ended ``at``. Both are None where nothing of the kind was said.
    """

    kind: ClassVar[str] = ""
    id: int = 0
    at: datetime = EPOCH
    said_at: datetime = EPOCH
    between: tuple[datetime, datetime] | None = None
    began: datetime | None = None

    @property
    def soonest(self) -> datetime:
        """The earliest it can have happened: the start of the window, or ``at``."""
        return self.between[0] if self.between else self.at

    @property
    def latest(self) -> datetime:
        """The latest it can have happened: the end of the window, or ``at``."""
        return self.between[1] if self.between else self.at


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat(Event):
    """A coat laid on a piece, or on ``part`` of it. ``coat`` counts from 1 on each piece and product.

    One number on the top half and the same on the bottom half are one coat of the piece.
    """

    kind: ClassVar[str] = "coat"
    piece: str
    coat: int = 1
    product: str | None = None
    thinned: Amount | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sand(Event):
    """A piece sanded, rubbed down or keyed."""

    kind: ClassVar[str] = "sand"
    piece: str
    grit: int | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Work(Event):
    """Work on a piece that needs no more than its name, perhaps a product and a part."""

    piece: str
    product: str | None = None
    part: str | None = None


class Fill(Work):
    """Filler put on."""

    __slots__ = ()
    kind: ClassVar[str] = "fill"


class Strip(Work):
    """An old finish taken off."""

    __slots__ = ()
    kind: ClassVar[str] = "strip"


class Clean(Work):
    """Washed, wiped or degreased."""

    __slots__ = ()
    kind: ClassVar[str] = "clean"


class Mask(Work):
    """Tape put on."""

    __slots__ = ()
    kind: ClassVar[str] = "mask"


class Unmask(Work):
    """Tape pulled."""

    __slots__ = ()
    kind: ClassVar[str] = "unmask"


class Bond(Work):
    """Glued."""

    __slots__ = ()
    kind: ClassVar[str] = "bond"


class Fit(Work):
    """Hung, screwed on or put back."""

    __slots__ = ()
    kind: ClassVar[str] = "fit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix(Event):
    """A pot mixed: ``amount`` is the total, ``parts`` as ``(name, amount)``."""

    kind: ClassVar[str] = "mix"
    product: str | None = None
    amount: Amount | None = None
    ratio: tuple[float, ...] | None = None
    parts: tuple[tuple[str, Amount], ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate(Event):
    """A reading or a spell. ``space`` None is everywhere; ``until`` ends an expected spell."""

    kind: ClassVar[str] = "climate"
    space: str | None = None
    temperature: Amount | None = None
    humidity: Amount | None = None
    until: datetime | None = None


FAULTS: Final = ("run", "sag", "dry spot", "dust", "bloom", "wrinkle", "fisheye", "tape edge", "other")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault(Event):
    """Something wrong with a film; ``fault`` is one of :data:`FAULTS`."""

    kind: ClassVar[str] = "fault"
    piece: str | None = None
    fault: str = "other"
    text: str = ""


TIN_CHANGES: Final = ("bought", "opened", "used", "empty", "spoiled", "returned")


@dataclass(frozen=True, slots=True, kw_only=True)
class Tin(Event):
    """A change in the stock; ``change`` is one of :data:`TIN_CHANGES`."""

    kind: ClassVar[str] = "tin"
    product: str | None = None
    change: str = "used"
    amount: Amount | None = None


TASK_STATES: Final = ("open", "done", "dropped")


@dataclass(frozen=True, slots=True, kw_only=True)
class Task(Event):
    """Something to be done; ``state`` is one of :data:`TASK_STATES`. ``ring`` is a reminder that sounds."""

    kind: ClassVar[str] = "task"
    text: str = ""
    piece: str | None = None
    state: str = "open"
    after: str | None = None
    not_before: datetime | None = None
    due: datetime | None = None
    ring: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Event):
    """Free words."""

    kind: ClassVar[str] = "note"
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread(Event):
    """Words kept as they were heard, and not understood: never a fact.

    An undo strikes it. An amend of ``text`` says what is still unread of it; none is: it is settled.
    """

    kind: ClassVar[str] = "unread"
    text: str = ""


RULES: Final = ("sleep", "quiet", "deadline", "away", "closed", "helper")
REPEATS: Final = ("daily",)
#: Rules that recur where nothing is said of it.
_RECURRING: Final = ("sleep", "quiet")
_NOT_SAID: Final = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Event):
    """A rule of the clock: ``rule`` is one of :data:`RULES`.

    ``repeat`` is "daily", or None for this once; left out it is "daily" for ``sleep`` and ``quiet``.
    ``start`` and ``end`` of a daily rule carry the clock time of the first day. A deadline has only
    ``end``, and a ``piece`` if it is not the whole job's. ``closed`` is a ``space`` that nobody gets into.
    The JSON keys are ``from`` and ``to``.
    """

    kind: ClassVar[str] = "hours"
    rule: str = "quiet"
    start: datetime | None = None
    end: datetime | None = None
    space: str | None = None
    piece: str | None = None
    repeat: str | None = _NOT_SAID

    def __post_init__(self) -> None:
        """Put in what an unsaid ``repeat`` means."""
        if self.repeat == _NOT_SAID:
            object.__setattr__(self, "repeat", usual_repeat(self.rule))


def usual_repeat(rule: str) -> str | None:
    """Give how a rule recurs where nothing is said of it."""
    return "daily" if rule in _RECURRING else None


GEAR_CHANGES: Final = ("fitted", "replaced")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gear(Event):
    """Filters, blades, rollers; ``change`` is one of :data:`GEAR_CHANGES`."""

    kind: ClassVar[str] = "gear"
    item: str = ""
    change: str = "replaced"


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo(Event):
    """Takes back the events whose ids stand in ``of`` (an undo can be undone)."""

    kind: ClassVar[str] = "undo"
    of: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Amend(Event):
    """Changes fields of the event ``of``; ``changes`` is in the JSON form of that event."""

    kind: ClassVar[str] = "amend"
    of: int = 0
    changes: dict[str, Any] = field(default_factory=dict)


THINGS: Final = ("job", "space", "piece", "label", "tin", "task", "setting", "word")
#: What a learned word can stand for; an act is a verb of the person's own.
WORD_KINDS: Final = ("piece", "product", "space", "act")


@dataclass(frozen=True, slots=True, kw_only=True)
class Set(Event):
    """A thing made known; ``what`` is one of :data:`THINGS`.

    ``values`` holds the other keys of that table of the job file, in JSON form; in the
    event's own JSON they stand beside ``what`` and ``name``, so none may be called like
    one of the event's own keys. A ``word`` is a person's own for something: ``means`` says what,
    ``of`` is one of :data:`WORD_KINDS`.
    """

    kind: ClassVar[str] = "set"
    what: str = "piece"
    name: str = ""
    values: dict[str, Any] = field(default_factory=dict)


KINDS: Final[dict[str, type[Event]]] = {
    c.kind: c
    for c in (
        Coat, Sand, Fill, Strip, Clean, Mask, Unmask, Bond, Fit, Mix, Climate, Fault, Tin, Task, Note,
        Unread, Hours, Gear, Undo, Amend, Set,
    )
}  # fmt: skip
