"""A talk of typed meanings on a copy of the Linnet's job: what the reader would give is made by hand."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from pathlib import Path

from assistant.dialogue.context import Context, Pending
from assistant.dialogue.scene import Asked, Result
from assistant.dialogue.telling import answered, tell
from assistant.journal.events import Event
from assistant.journal.state import State
from assistant.language.meanings import Act, Deed, Force, Group, Meaning, Pronoun, Quantifier, Reading
from assistant.language.names import Name
from assistant.language.when import Clock, Day, When
from assistant.quantity import Amount
from dialogue.build import NOW, Linnet, t


class Typed:
    """The talk. Calling it tells meanings as one phrase; each phrase is a minute after the one before."""

    def __init__(self, folder: Path) -> None:
        self.linnet = Linnet(folder)
        self.context = Context()
        self.now = t(NOW)
        self.phrases: dict[str, tuple[Meaning, ...]] = {}
        self.results: list[Result] = []
        self.events: list[Event] = []

    def close(self) -> None:
        self.linnet.session.close()

    @property
    def state(self) -> State:
        return self.linnet.session.state

    def at(self, time: str) -> Typed:
        self.now = t(time)
        return self

    def __call__(self, *meanings: Meaning, phrase: str = "", rivals: tuple[tuple[Meaning, ...], ...] = ()) -> str:
        """Tell a phrase and commit it; give the reply, a question back as it is put."""
        phrase = phrase or f"phrase {len(self.phrases)}"
        self.phrases[phrase] = meanings
        self.events = []
        now = self.now
        self.now += timedelta(minutes=1)
        reading = Reading(phrase, meanings, rivals=rivals)
        talk = self.linnet.session.talk(now, phrase)
        filled = answered(talk, self.context, reading)
        if filled is not None:
            if filled.dropped:
                self.context.pending = None
                return "dropped"
            talk.now = filled.at
            self.context.hints = filled.hints
            reading = Reading(filled.phrase, self.phrases[filled.phrase])
        try:
            self.results = tell(talk, reading, self.context)
        except Asked as back:
            self.results = []
            return str(back)
        events = [e for r in self.results for e in r.events]
        stored = self.linnet.session.journal.append(events) if events else []
        self.context.stored(stored)
        self.context = Context.from_json(self.context.to_json())  # as the journal would give it back
        self.events = list(stored)
        return " ".join(r.reply for r in self.results)

    @property
    def cautions(self) -> list[str]:
        return [c for r in self.results for c in r.cautions]

    @property
    def asked(self) -> Pending | None:
        return self.context.pending

    def count(self) -> int:
        """How many events the journal holds."""
        return self.state.last_id


def piece(*options: str, plural: bool = False) -> Name:
    return Name("piece", options, plural=plural)


DOORS = ("port cabin door", "starboard cabin door")
TRIMS = ("hatch trim", "companionway trim")


def on(*names: str | Name, **rest: object) -> Group:
    """A group of names: a string is a whole name."""
    return Group(names=tuple(n if isinstance(n, Name) else piece(n) for n in names), **rest)  # type: ignore[arg-type]


def space(name: str) -> Name:
    return Name("space", (name,))


def product(*options: str) -> Name:
    return Name("product", options)


def clock(hour: int, minute: int = 0, *more: int, day: Day | None = None) -> When:
    """A clock time: of both halves of the day if the hour is under 13 and no other hour is given."""
    hours = (hour, *more) if more else (hour % 12, hour % 12 + 12) if hour < 13 else (hour,)
    return When(clock=Clock(hours, minute), day=day)


def day(back: int) -> When:
    return When(day=Day(back=back))


IT = Group(pronoun=Pronoun.IT)
THEM = Group(pronoun=Pronoun.THEM)
BOTH_DOORS = on(piece(*DOORS, plural=True), quantifier=Quantifier.BOTH)
OTHER = Group(quantifier=Quantifier.OTHER)


def coat(group: Group | None, number: int | None = None, **rest: object) -> Deed:
    return Deed(act=Act.COAT, pieces=group, coat=number, **rest)  # type: ignore[arg-type]


def sand(group: Group | None, *grit: int, **rest: object) -> Deed:
    return Deed(act=Act.SAND, verb="sand", pieces=group, grit=grit, **rest)  # type: ignore[arg-type]


def deed(act: Act, group: Group | None = None, **rest: object) -> Deed:
    return Deed(act=act, verb=act.value, pieces=group, **rest)  # type: ignore[arg-type]


def degrees(value: float) -> Amount:
    return Amount(value, "degC")


__all__ = ["Force", "Pronoun", "Quantifier", "date", "datetime"]
