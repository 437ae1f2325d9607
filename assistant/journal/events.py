"""What can happen on a job, as immutable values.

One class a kind; the names and keys are those of the public interface. ``at`` is when the thing
happened and ``said_at`` when it was told, both aware datetimes. ``id`` is the journal's own
number; 0 means not yet committed.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from datetime import UTC, datetime
from functools import cache
from typing import Any, ClassVar, Final

from assistant.journal.values import READERS, Reader, one_of
from assistant.quantity import Amount

EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """What every event has."""

    kind: ClassVar[str] = ""
    id: int = 0
    at: datetime = EPOCH
    said_at: datetime = EPOCH


@dataclass(frozen=True, slots=True, kw_only=True)
class Coat(Event):
    """A coat laid on a piece. ``coat`` counts from 1 on each piece and product."""

    kind: ClassVar[str] = "coat"
    piece: str
    coat: int = 1
    product: str | None = None
    thinned: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sand(Event):
    """A piece sanded, rubbed down or keyed."""

    kind: ClassVar[str] = "sand"
    piece: str
    grit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Work(Event):
    """Work on a piece that needs no more than its name and perhaps a product."""

    piece: str
    product: str | None = None


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
    """Something to be done; ``state`` is one of :data:`TASK_STATES`."""

    kind: ClassVar[str] = "task"
    text: str = ""
    piece: str | None = None
    state: str = "open"
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Event):
    """Free words."""

    kind: ClassVar[str] = "note"
    text: str = ""


RULES: Final = ("sleep", "quiet", "deadline", "away")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Event):
    """A rule of the clock: ``rule`` is one of :data:`RULES`.

    ``sleep`` and ``quiet`` recur daily; their ``start`` and ``end`` carry the clock time of the first
    night. A deadline has only ``end``. The JSON keys are ``from`` and ``to``.
    """

    kind: ClassVar[str] = "hours"
    rule: str = "quiet"
    start: datetime | None = None
    end: datetime | None = None


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


THINGS: Final = ("job", "space", "piece", "label", "tin", "task", "setting")


@dataclass(frozen=True, slots=True, kw_only=True)
class Set(Event):
    """A thing made known; ``what`` is one of :data:`THINGS`.

    ``values`` holds the other keys of that table of the job file, in JSON form; in the
    event's own JSON they stand beside ``what`` and ``name``, so none may be called like
    one of the event's own keys.
    """

    kind: ClassVar[str] = "set"
    what: str = "piece"
    name: str = ""
    values: dict[str, Any] = field(default_factory=dict)


KINDS: Final[dict[str, type[Event]]] = {
    c.kind: c
    for c in (
        Coat, Sand, Fill, Strip, Clean, Mask, Unmask, Bond, Fit, Mix, Climate, Fault, Tin, Task, Note,
        Hours, Gear, Undo, Amend, Set,
    )
}  # fmt: skip

_CHOICES: Final[dict[tuple[str, str], tuple[str, ...]]] = {
    ("fault", "fault"): FAULTS,
    ("tin", "change"): TIN_CHANGES,
    ("task", "state"): TASK_STATES,
    ("hours", "rule"): RULES,
    ("gear", "change"): GEAR_CHANGES,
    ("set", "what"): THINGS,
}
_RENAMED: Final = {"start": "from", "end": "to"}


def to_json(event: Event) -> dict[str, Any]:
    """Give the event in the public form: ``id``, ``kind``, ``at``, ``said_at``, then its own keys.

    ``ValueError`` if a ``set`` event's values would hide one of those keys.
    """
    out: dict[str, Any] = {"id": event.id, "kind": event.kind}
    for key, (name, _, _) in _layout(event.kind).items():
        if name != "id":
            out[key] = _plain(getattr(event, name))
    if isinstance(event, Set):
        hidden = event.values.keys() & out.keys()
        if hidden:
            raise ValueError(f"a {event.what} may not have a value called {', '.join(sorted(hidden))}")
        out.update(event.values)
    return out


def from_json(data: dict[str, Any]) -> Event:
    """Read what :func:`to_json` wrote. ``ValueError`` says what is wrong with it."""
    kind = data.get("kind")
    cls = KINDS.get(str(kind))
    if cls is None:
        raise ValueError(f"there is no event of kind {kind!r}")
    values, extra = _typed(cls, data)
    extra.pop("kind", None)
    if cls is Set:
        values["values"] = extra
    elif extra:
        raise ValueError(f"a {kind} has no {', '.join(sorted(extra))}")
    try:
        return cls(**values)
    except TypeError as error:
        raise ValueError(f"a {kind} event is incomplete: {error}") from None


def amended(event: Event, changes: dict[str, Any]) -> Event:
    """Give ``event`` with ``changes`` (JSON form) put in. ``ValueError`` if they do not fit it.

    What an event is (``id``, ``kind``) and when it was said are not up for change.
    """
    fixed = changes.keys() & {"id", "kind", "said_at"}
    if fixed:
        raise ValueError(f"{', '.join(sorted(fixed))} cannot be amended")
    typed, extra = _typed(type(event), changes)
    if isinstance(event, Set):
        return replace(event, **typed, values={**event.values, **extra})
    if extra:
        raise ValueError(f"a {event.kind} has no {', '.join(sorted(extra))}")
    return replace(event, **typed)


def _typed(cls: type[Event], data: dict[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """Give the values for the constructor of ``cls``, and the keys that it does not know."""
    layout = _layout(cls.kind)
    values: dict[str, Any] = {}
    extra: dict[str, Any] = {}
    for key, value in data.items():
        known = layout.get(key)
        if known is None:
            extra[key] = value
            continue
        name, read, optional = known
        if value is None:
            if not optional:
                raise ValueError(f"{key} of a {cls.kind} may not be null")
            values[name] = None
            continue
        try:
            values[name] = read(value)
        except (ValueError, TypeError, KeyError, AttributeError, OverflowError) as error:
            raise ValueError(f"{key} {value!r} of a {cls.kind} is not right: {error}") from None
    return values, extra


def _plain(value: Any) -> Any:
    if isinstance(value, Amount):
        return value.to_json()
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, tuple):
        if value and isinstance(value[0], tuple):  # the parts of a mix
            return [{"name": name, "amount": amount.to_json()} for name, amount in value]
        return list(value)
    return value


@cache
def _layout(kind: str) -> dict[str, tuple[str, Reader, bool]]:
    """Give, by JSON key, each field's name, its reader and whether it may be null."""
    cls = KINDS[kind]
    out: dict[str, tuple[str, Reader, bool]] = {}
    for f in fields(cls):
        if f.name == "values":  # spread out beside the others
            continue
        key = _RENAMED.get(f.name, f.name) if cls is Hours else f.name
        choices = _CHOICES.get((kind, f.name))
        annotation = str(f.type).removesuffix(" | None")
        out[key] = (f.name, one_of(choices) if choices else READERS[annotation], annotation != f.type)
    return out
