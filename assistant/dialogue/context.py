"""What was spoken of before, typed: kept between turns beside the journal, and no part of it.

It may be lost, the journal may not. :meth:`Context.to_json` goes into the journal's talk row; what cannot be read
back from it is as if it had not been said.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, fields, replace
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any, Final

from assistant.journal.events import Event
from assistant.language.meanings import Act
from assistant.quantity import Amount

#: How long what was spoken of stays "it" when nobody says so.
FRESH: Final = timedelta(hours=8)
#: A question back waits this long; then a bare "yes" answers nothing.
PATIENCE: Final = timedelta(minutes=30)
#: So many entries back "scratch that" can go, one at a time.
_BATCHES: Final = 20


class Slot(StrEnum):
    """What a question back asks for."""

    PIECE = "piece"
    NEW_PIECE = "new_piece"
    PRODUCT = "product"
    SPACE = "space"
    AMOUNT = "amount"
    TEMPERATURE = "temperature"
    PERCENT = "percent"
    COAT = "ordinal"
    WHEN = "when"
    EACH = "each"  # each of several coats with its own time: answered by telling them
    LAID = "laid"  # is the coat on, or is it to do
    MORE = "more"  # one coat more than planned, or the next of those that are
    WHAT_WAS_IT = "what_was_it"  # of what the coat just logged was
    ENTRY = "entry"  # which of two entries is to be put right or taken back
    ROLE = "role"  # what a bare number is
    SURE = "sure"  # yes or no: is it to be taken back
    MEANT = "meant"  # yes or no: were the words rightly heard
    VERB = "verb"  # what a verb that nobody knows means
    WORD = "word"  # what a noun that nobody knows means
    RIVAL = "rival"  # which of two readings
    TEXT = "text"
    HUMIDITY = "humidity"
    RANGE = "range"  # from when to when: answered by telling the rule again


@dataclass(frozen=True, slots=True)
class Hints:
    """What answers to questions back have filled in for one clause of the phrase that asked them, from 0 counted."""

    clause: int = 0
    pieces: tuple[str, ...] = ()
    products: tuple[str, ...] = ()
    space: str | None = None
    amount: Amount | None = None
    temperature: Amount | None = None
    percent: Amount | None = None
    coat: int | None = None
    at: datetime | None = None
    laid: bool | None = None
    more: bool | None = None
    entry: int | None = None  # an event's id
    role: str | None = None
    text: str | None = None  # which entry of the list
    sure: bool = False  # it is to be taken back
    meant: bool = False  # the words were rightly heard
    act: str | None = None  # what the verb that nobody knew means
    rival: int | None = None
    word: str | None = None  # the unknown word that ``pieces`` or ``act`` settles

    def product(self, options: Sequence[str]) -> str | None:
        """Give the one of ``options`` that was answered, or None."""
        return next((p for p in reversed(self.products) if p in options), None)

    def to_json(self) -> dict[str, Any]:
        """Give what is filled in."""
        return (
            {f.name: _plain(v) for f in fields(self) if (v := getattr(self, f.name)) not in (None, (), False)}
            | ({"laid": False} if self.laid is False else {})
            | ({"more": False} if self.more is False else {})
        )

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Hints:
        """Read what :meth:`to_json` wrote. ``ValueError`` or ``KeyError`` for what it did not."""
        values = {k: v for k, v in data.items() if k in cls.__dataclass_fields__}
        for key in ("amount", "temperature", "percent"):
            if key in values:
                values[key] = Amount.from_json(values[key])
        if "at" in values:
            values["at"] = datetime.fromisoformat(values["at"])
        for key in ("pieces", "products"):
            values[key] = tuple(values.get(key, ()))
        return cls(**values)


def hints_of(hints: Sequence[Hints], clause: int) -> Hints:
    """Give what was filled in for a clause."""
    return next((h for h in hints if h.clause == clause), Hints(clause=clause))


@dataclass(frozen=True, slots=True)
class Pending:
    """A question back that waits for its answer, and the phrase that is told again with it."""

    phrase: str
    asked: datetime
    slot: Slot
    options: tuple[str, ...] = ()
    value: str = ""
    clause: int = 0  # which of the phrase's meanings asks
    hints: tuple[Hints, ...] = ()  # what was answered before

    def waits(self, now: datetime) -> bool:
        """Whether an answer at ``now`` is still one to this."""
        return abs(now - self.asked) <= PATIENCE

    def to_json(self) -> dict[str, Any]:
        """Give it for the talk row."""
        out = {f.name: _plain(getattr(self, f.name)) for f in fields(self)}
        return out | {"hints": [h.to_json() for h in self.hints]}

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Pending:
        """Read what :meth:`to_json` wrote."""
        return cls(
            phrase=str(data["phrase"]), asked=datetime.fromisoformat(data["asked"]), slot=Slot(data["slot"]),
            options=tuple(data.get("options", ())), value=str(data.get("value", "")),
            clause=int(data.get("clause", 0)), hints=tuple(Hints.from_json(h) for h in data.get("hints", ())),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Begun:
    """Work that was said to be under way: it is logged when it is said to be done."""

    act: Act
    pieces: tuple[str, ...]
    since: datetime

    def to_json(self) -> dict[str, Any]:
        """Give it for the talk row."""
        return {"act": self.act.value, "pieces": list(self.pieces), "since": self.since.isoformat()}

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Begun:
        """Read what :meth:`to_json` wrote."""
        return cls(Act(data["act"]), tuple(data["pieces"]), datetime.fromisoformat(data["since"]))


@dataclass(slots=True)
class Context:
    """What was last asked, answered, logged and spoken of. ``query`` and ``answer`` are JSON of the answering side."""

    query: Any = None
    answer: Any = None
    batches: tuple[tuple[int, ...], ...] = ()  # ids of what each phrase logged, the newest last
    pieces: tuple[str, ...] = ()
    spoken: tuple[str, ...] = ()  # the pieces last named, one phrase after the other, the newest last
    product: str | None = None
    space: str | None = None
    task: str | None = None  # the entry of the list last spoken of
    act: Act | None = None
    coat: int | None = None
    change: str | None = None  # what last became of a tin
    at: datetime | None = None  # when anything was last spoken of
    pending: Pending | None = None
    unread: tuple[int, ...] = ()  # ids of words kept as heard and not settled
    asked_last: bool = False  # the phrase before this one was a question
    unread_last: bool = False  # the phrase before this one was not read
    begun: tuple[Begun, ...] = ()
    cautioned: dict[str, str] = field(default_factory=dict)  # topic of a warning -> the day it was last said
    hints: tuple[Hints, ...] = ()  # answers, for the phrase that is told again

    def fresh(self, now: datetime) -> bool:
        """Whether what was spoken of is recent enough to be "it"."""
        return self.at is not None and abs(now - self.at) <= FRESH

    def copy(self) -> Context:
        """Give one that may be changed without changing this."""
        return replace(self, cautioned=dict(self.cautioned))

    def take(self, other: Context) -> None:
        """Become like ``other``."""
        for f in fields(self):
            setattr(self, f.name, getattr(other, f.name))

    def stored(self, events: Sequence[Event]) -> None:
        """Remember what a phrase logged, once the journal has numbered it: what "scratch that" takes back."""
        fresh = tuple(e.id for e in events if e.kind not in ("undo", "unread"))
        if fresh:
            self.batches = (*self.batches, fresh)[-_BATCHES:]
        kept = tuple(e.id for e in events if e.kind == "unread")
        self.unread = (*self.unread, *kept)

    def to_json(self) -> dict[str, Any]:
        """Give it for the talk row; what is not set is left out."""
        apart = ("pending", "begun", "hints")
        out = {f.name: _plain(getattr(self, f.name)) for f in fields(self) if f.name not in apart}
        out["pending"] = self.pending.to_json() if self.pending else None
        out["begun"] = [b.to_json() for b in self.begun]
        return {k: v for k, v in out.items() if v not in (None, [], {}, False)}

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Context:
        """Read what :meth:`to_json` wrote; a row that is not one of these is as none."""
        try:
            return cls(
                query=data.get("query"),
                answer=data.get("answer"),
                batches=tuple(tuple(int(i) for i in b) for b in data.get("batches", ())),
                pieces=tuple(str(p) for p in data.get("pieces", ())),
                spoken=tuple(str(p) for p in data.get("spoken", ())),
                product=data.get("product"),
                space=data.get("space"),
                task=data.get("task"),
                act=Act(data["act"]) if data.get("act") else None,
                coat=data.get("coat"),
                change=data.get("change"),
                at=datetime.fromisoformat(data["at"]) if data.get("at") else None,
                pending=Pending.from_json(data["pending"]) if data.get("pending") else None,
                unread=tuple(int(i) for i in data.get("unread", ())),
                unread_last=bool(data.get("unread_last")),
                asked_last=bool(data.get("asked_last")),
                begun=tuple(Begun.from_json(b) for b in data.get("begun", ())),
                cautioned=dict(data.get("cautioned", {})),
            )
        except (KeyError, TypeError, ValueError, AttributeError):
            return cls()


def _plain(value: Any) -> Any:
    if isinstance(value, Amount):
        return value.to_json()
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    return value
