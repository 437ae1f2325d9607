"""Entries made from what was said, and what is read back of them.

Short, in the trade's words, with everything that was said and what was left unused.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, Final, TypeVar

from assistant.dialogue.scene import Scene
from assistant.dialogue.telling.moments import Moment
from assistant.journal.events import Climate, Coat, Event, Fault, Gear, Hours, Mix, Note, Sand, Set, Task, Tin, Work
from assistant.language.meanings import Act, Deed, Force, Meaning
from assistant.wording import amount, listed, ordinal, sentence, stamp, thinned

E = TypeVar("E", bound=Event)

#: How a piece of plain work is told.
WORKED: Final = {
    "fill": "filling", "strip": "stripping", "clean": "cleaning", "mask": "masking", "unmask": "tape off",
    "bond": "bonding", "fit": "fitting",
}  # fmt: skip


def entry(kind: type[E], moment: Moment, said_at: datetime, **values: Any) -> E:
    """Make an event of what was said; between and began are kept where they were said."""
    return kind(at=moment.at, said_at=said_at, between=moment.between, began=moment.began, **values)


def part_of(event: Event) -> str:
    """Give the piece as told, with its part if only a part was done: "bottom half of the bulkhead"."""
    part, piece = getattr(event, "part", None), getattr(event, "piece", None) or ""
    return f"{part} of the {piece}" if part else str(piece)


def described(event: Event, now: datetime) -> str:
    """Give a few words for an event: what a read-back or a taking-back calls it."""
    at = stamp(event.at, now)
    where = part_of(event)
    if isinstance(event, Coat):
        named = f"{ordinal(event.coat).lower()} coat{f' of {event.product}' if event.product else ''} on the {where}"
        return ", ".join(part for part in (named, thinned(event.thinned)) if part) + f" at {at}"
    if isinstance(event, Sand):
        return f"sanding the {where}" + (f" with {event.grit}" if event.grit else "") + f" at {at}"
    if isinstance(event, Mix):
        return f"{amount(event.amount) + ' of ' if event.amount else ''}{event.product} mixed at {at}"
    if isinstance(event, Climate):
        said = [amount(a) for a in (event.temperature, event.humidity) if a]
        return f"{listed(said)} {'in the ' + event.space if event.space else 'everywhere'} at {at}"
    if isinstance(event, Fault):
        return f"{event.fault} on the {where} at {at}"
    if isinstance(event, Tin):
        return f"{amount(event.amount) + ' of ' if event.amount else ''}{event.product} {event.change}"
    if isinstance(event, Note):
        return f'the note "{event.text[:40]}"'
    if isinstance(event, Work):
        return f"{WORKED[event.kind]} the {where} at {at}"
    if isinstance(event, Set):
        return f'the word "{event.name}"' if event.what == "word" else f"new {event.what} {event.name}"
    if isinstance(event, Task):
        return f'"{event.text}" on the list' if event.state == "open" else f'"{event.text}" {event.state}'
    if isinstance(event, Hours):
        ends = stamp(event.end or event.at, now)
        return f"the deadline {ends}" if event.rule == "deadline" else f"{event.rule} until {ends}"
    if isinstance(event, Gear):
        return f"{event.item} {event.change}"
    return f"{event.kind} at {at}"


def on(pieces: Iterable[str], part: str | None = None) -> str:
    """Give ``the hatch trim and the bulkhead``, or ``the bottom half of the bulkhead``."""
    if part:
        return listed(f"the {part} of the {p}" for p in pieces)
    return listed(f"the {p}" for p in pieces)


def read_back(scene: Scene, said: Meaning, parts: Sequence[str], moment: Moment | None = None) -> str:
    """Join what was understood, when it was, and what could not be used."""
    told = [*parts, moment.told(scene.now)] if moment is not None else [*parts]
    return f"{sentence(told)}{left_out(said)}"


def left_out(said: Meaning) -> str:
    """Name the words and the figures that were not used, so that nothing said is lost without a word."""
    if isinstance(said, Deed) and said.words and _kept_whole(said):
        return ""
    words = [f'"{w}"' for w in said.unused] + (_no_place(said) if isinstance(said, Deed) else [])
    return f" I left out: {listed(words)}." if words else ""


#: Work that the journal has no kind for is a line of the day, in the words that were said.
NOTED: Final = frozenset([Act.CLAMP, Act.UNCLAMP, Act.UNFIT, Act.OTHER, Act.THIN])


def _kept_whole(said: Deed) -> bool:
    return said.act in NOTED if said.force is Force.DONE else said.act is Act.OTHER


#: A line of the day has the words as they were said.
_NOTED: Final = ("products", "coat", "count", "thinned", "amount", "grit", "ratio")
#: What an entry or a task of an act has a place for; the rest is named.
_PLACES: Final[dict[Act, tuple[str, ...]]] = {
    Act.COAT: ("products", "coat", "count", "thinned", "amount"), Act.SAND: ("grit",),
    Act.MIX: ("products", "amount", "ratio"), Act.OTHER: _NOTED, Act.THIN: _NOTED,
}  # fmt: skip


def _no_place(said: Deed) -> list[str]:
    """Give the figures and names of a deed that its kind of entry cannot hold."""
    places = _PLACES.get(said.act, ("products",))
    if said.act is Act.COAT and said.force is not Force.DONE:
        places = ("products", "coat", "count")
    told = {
        "products": [n.options[0] for n in said.products if len(n.options) == 1],
        "coat": [f"{ordinal(said.coat).lower()} coat"] if said.coat else [],
        "thinned": [thinned(said.thinned)] if said.thinned else [],
        "amount": [amount(said.amount)] if said.amount else [],
        "grit": [f"{g} grit" for g in said.grit],
        "ratio": [" to ".join(f"{v:g}" for v in said.ratio)] if said.ratio else [],
    }
    for_ = [f'"{said.pieces.words}"'] if said.act is Act.MIX and said.pieces and said.pieces.words else []
    return [word for key, words in told.items() if key not in places for word in words] + for_


def now_or(moment: Moment, now: datetime) -> str:
    """Give the time only where it was said."""
    return moment.told(now) if moment.said or moment.began else ""
