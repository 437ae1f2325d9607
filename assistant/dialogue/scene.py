"""One phrase while it is being told: the job as the clauses before left it, and what was spoken of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from assistant.dialogue.context import Context, Hints, Pending, hints_of
from assistant.dialogue.talk import Back, Talk
from assistant.journal.events import Event
from assistant.journal.state import State, fold
from assistant.language.meanings import Meaning


@dataclass(frozen=True, slots=True)
class Result:
    """What one meaning came to. ``outcome`` is the interface's word, "" for logged or answered as the events say."""

    reply: str
    events: tuple[Event, ...] = ()
    answer: dict[str, Any] | None = None
    cautions: tuple[str, ...] = ()
    outcome: str = ""
    meaning: Meaning | None = None

    def kind(self) -> str:
        """Give the outcome in the interface's word."""
        return self.outcome or ("logged" if self.events else "answered")


#: So many pieces back "the pair of them" can reach.
_SPOKEN: Final = 8


class Asked(Back):
    """A question back with all that is kept until it is answered: the caller puts ``pending`` into its context."""

    def __init__(self, question: str, pending: Pending) -> None:
        super().__init__(question, pending.slot, pending.options, pending.value)
        self.pending = pending


@dataclass(slots=True)
class Scene:
    """The job, what was spoken of, and what the clauses of this phrase have named and logged so far."""

    talk: Talk
    context: Context
    state: State
    named: list[str] = field(default_factory=list)  # pieces of this phrase, in the order named
    said: bool = False  # whether a clause of this phrase has been told already
    made: list[Event] = field(default_factory=list)  # what answers made known: words, pieces
    phrase: str = ""
    clause: int = 0  # which of the meanings is being told

    @classmethod
    def of(cls, talk: Talk, context: Context) -> Scene:
        """Give the scene at the start of a phrase."""
        return cls(talk, context, talk.state)

    @property
    def now(self) -> datetime:
        """The time the phrase was said."""
        return self.talk.now

    @property
    def hints(self) -> Hints:
        """What answers have filled in."""
        return hints_of(self.context.hints, self.clause)

    @property
    def last_pieces(self) -> tuple[str, ...]:
        """The pieces last spoken of that the job still knows."""
        return tuple(p for p in self.context.pieces if p in self.state.pieces)

    @property
    def fresh(self) -> bool:
        """Whether the pieces last spoken of need no naming."""
        return self.said or self.context.fresh(self.now)

    def spoke_of(self, pieces: Sequence[str]) -> None:
        """Make ``pieces`` what "it" and "them" mean from here."""
        if pieces:
            self.context.pieces = tuple(dict.fromkeys(pieces))
            before = [p for p in self.context.spoken if p not in self.context.pieces]
            self.context.spoken = (*before, *self.context.pieces)[-_SPOKEN:]
            self.named.extend(p for p in pieces if p not in self.named)

    def happened(self, events: Sequence[Event]) -> None:
        """Let the clauses that follow build on what this one logged."""
        tellable = [e for e in events if e.kind not in ("undo", "amend")]
        if tellable:
            self.state = fold(tellable, self.state)
            self.talk.state = self.state  # the cards and the craft look there
