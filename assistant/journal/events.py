"""Events in their public form (JSON), and read back from it; the kinds themselves are those of ``kinds``.

``between`` and ``began`` stand in it where they were said, the other keys of a kind always, null where
nothing was said. A row of the journal (:func:`stored`) leaves out what came after the first form and says
nothing, so that what was written before is the same to the byte when it is written again.
"""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import UTC, datetime
from functools import cache
from typing import Any, Final

from assistant.journal.kinds import (
    EPOCH,
    FAULTS,
    GEAR_CHANGES,
    KINDS,
    REPEATS,
    RULES,
    TASK_STATES,
    THINGS,
    TIN_CHANGES,
    WORD_KINDS,
    Amend,
    Bond,
    Clean,
    Climate,
    Coat,
    Event,
    Fault,
    Fill,
    Fit,
    Gear,
    Hours,
    Mask,
    Mix,
    Note,
    Sand,
    Set,
    Strip,
    Task,
    Tin,
    Undo,
    Unmask,
    Unread,
    Work,
    usual_repeat,
)
from assistant.journal.values import READERS, Reader, one_of
from assistant.quantity import Amount

__all__ = [
    "EPOCH",
    "FAULTS",
    "GEAR_CHANGES",
    "KINDS",
    "REPEATS",
    "RULES",
    "TASK_STATES",
    "THINGS",
    "TIN_CHANGES",
    "WORD_KINDS",
    "Amend",
    "Bond",
    "Clean",
    "Climate",
    "Coat",
    "Event",
    "Fault",
    "Fill",
    "Fit",
    "Gear",
    "Hours",
    "Mask",
    "Mix",
    "Note",
    "Sand",
    "Set",
    "Strip",
    "Task",
    "Tin",
    "Undo",
    "Unmask",
    "Unread",
    "Work",
    "amended",
    "check",
    "check_changes",
    "filled",
    "from_json",
    "settling",
    "stored",
    "to_json",
]  # the kinds are had from here, too

_CHOICES: Final[dict[tuple[str, str], tuple[str, ...]]] = {
    ("fault", "fault"): FAULTS,
    ("tin", "change"): TIN_CHANGES,
    ("task", "state"): TASK_STATES,
    ("hours", "rule"): RULES,
    ("hours", "repeat"): REPEATS,
    ("gear", "change"): GEAR_CHANGES,
    ("set", "what"): THINGS,
}
#: What a row leaves out where it says nothing: keys that came after the first form, and the window and the
#: start, which the public form leaves out as well.
_LATER: Final = ("between", "began", "part", "not_before", "due", "ring", "repeat")
_LATER_OF_KIND: Final = {"hours": (*_LATER, "space", "piece")}
_UNSAID: Final = ((None, "between"), (None, "began"))
_RENAMED: Final = {"start": "from", "end": "to"}


def to_json(event: Event) -> dict[str, Any]:
    """Give the event in the public form: ``id``, ``kind``, ``at``, ``said_at``, then its own keys.

    ``ValueError`` if a ``set`` event's values would hide one of those keys.
    """
    layout = _layout(event.kind)
    out: dict[str, Any] = {"id": event.id, "kind": event.kind}
    for key, (name, _, _) in layout.items():
        if name != "id" and (value := getattr(event, name), key) not in _UNSAID:
            out[key] = _plain(value)
    if isinstance(event, Set):
        hidden = event.values.keys() & (layout.keys() | out.keys())
        if hidden:
            raise ValueError(f"a {event.what} may not have a value called {', '.join(sorted(hidden))}")
        out.update(event.values)
    return out


def stored(event: Event) -> dict[str, Any]:
    """Give the event as a row keeps it: :func:`to_json` without what an absent key means anyway."""
    out = to_json(event)
    if isinstance(event, Set):
        return out
    for key in _LATER_OF_KIND.get(event.kind, _LATER):
        absent = usual_repeat(event.rule) if key == "repeat" and isinstance(event, Hours) else None
        if key in out and out[key] == absent:
            del out[key]
    return out


def filled(kind: str, data: dict[str, Any]) -> dict[str, Any]:
    """Give the keys of a row with those that :func:`stored` left out, in the order of :func:`to_json`."""
    if kind not in KINDS:
        return data
    out: dict[str, Any] = {}
    for key in _layout(kind):
        if key in data:
            out[key] = data[key]
        elif key in _LATER_OF_KIND.get(kind, _LATER) and (None, key) not in _UNSAID:
            out[key] = usual_repeat(str(data.get("rule"))) if key == "repeat" else None
    return {**out, **data}


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

    What an event is (``id``, ``kind``) and when it was said are not up for change. A new ``at`` ends a
    window that was said before, and a new window has ``at`` in its middle; a start of the work that
    would come after its end is no longer known.
    """
    fixed = changes.keys() & {"id", "kind", "said_at"}
    if fixed:
        raise ValueError(f"{', '.join(sorted(fixed))} cannot be amended")
    typed, extra = _typed(type(event), changes)
    window = typed.get("between")
    if window is not None and "at" not in typed:
        typed["at"] = window[0] + (window[1].astimezone(UTC) - window[0].astimezone(UTC)) / 2
    elif "at" in typed and "between" not in typed:
        typed["between"] = None
    if isinstance(event, Set):
        return _in_order(replace(event, **typed, values={**event.values, **extra}))
    if extra:
        raise ValueError(f"a {event.kind} has no {', '.join(sorted(extra))}")
    return _in_order(replace(event, **typed))


def _in_order(event: Event) -> Event:
    # Amends come one by one, and each fitted the event as told: together they must not make nonsense.
    if event.between is not None and not _within(event.between, event.at):
        event = replace(event, between=None)
    if event.began is not None and event.began.astimezone(UTC) > event.latest.astimezone(UTC):
        event = replace(event, began=None)
    return event


def _within(window: tuple[datetime, datetime], at: datetime) -> bool:
    return window[0].astimezone(UTC) <= at.astimezone(UTC) <= window[1].astimezone(UTC)


def check(event: Event) -> None:
    """Refuse, with ``ValueError``, an event whose keys do not go together.

    Only what is new is looked at in this way: a row that is in a journal is read whatever it says.
    """
    if event.between is not None and not _within(event.between, event.at):
        raise ValueError(f"at of a {event.kind} must lie between the two ends of its window")
    if event.began is not None and event.began.astimezone(UTC) > event.latest.astimezone(UTC):
        raise ValueError(f"a {event.kind} may not have begun after its end")
    if isinstance(event, Set) and event.what == "word":
        _check_word(event)


def check_changes(event: Event, changes: dict[str, Any]) -> None:
    """Refuse, with ``ValueError``, changes that do not fit ``event``, or do not go together."""
    typed, _ = _typed(type(event), changes)
    after = amended(event, changes)
    for key in ("between", "began"):  # what was said anew and did not go with the rest has been left out
        if typed.get(key) is not None and getattr(after, key) is None:
            raise ValueError(f"{key} of a {event.kind} does not go with its time")
    check(after)


def _check_word(word: Set) -> None:
    if not word.name.strip():
        raise ValueError("a word must have a name: the word itself")
    means, of = word.values.get("means"), word.values.get("of")
    if not isinstance(means, str) or not means.strip():
        raise ValueError(f"the word {word.name!r} must say what it means")
    if of not in WORD_KINDS:
        raise ValueError(f"the word {word.name!r} must be of one of {', '.join(WORD_KINDS)}")


def settling(unread: Unread, said_at: datetime, left: str = "") -> Amend:
    """Give the event that settles ``unread``, to be committed with the events that its words became.

    ``left`` are the words that are still not understood; none are, and it is off the list.
    """
    return Amend(at=said_at, said_at=said_at, of=unread.id, changes={"text": left})


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
        return [_plain(v) for v in value]
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
