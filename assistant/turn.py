"""ONE turn: a phrase, now and the journal in; a reply out.

This is the only room that knows all the others. A phrase is read into typed meanings, each becomes events or an
answer, the events are committed together, and what was spoken of is kept for the next turn. Whatever goes
wrong on the way changes nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, tzinfo
from pathlib import Path
from typing import Any, Final

from assistant.dialogue import asked
from assistant.dialogue.context import Context, Hints, Pending, Slot
from assistant.dialogue.scene import Asked, Result
from assistant.dialogue.talk import Back, Refused, Talk, Unclear
from assistant.journal.events import Event, Set
from assistant.journal.state import State
from assistant.journal.store import Journal
from assistant.language import vocabulary
from assistant.language.chunks import Cat, Phrase, cut
from assistant.language.meanings import (
    Answer,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    Meaning,
    Note,
    Question,
    Reading,
    Remark,
    Same,
    Unread,
)
from assistant.language.names import Gazetteer
from assistant.language.reader import Reader
from assistant.language.tokens import LONGEST
from assistant.library.catalogue import Library
from assistant.problem import Problem
from assistant.reply import Reply

#: A name heard with more doubt than this does not become what is spoken of.
_SURE: Final = 0.3
#: What a terminal would obey is no word: it must not come back out of a note.
_CONTROLS = dict.fromkeys((*range(32), *range(127, 160)), " ")


class Session:
    """The talk on one job: keeps the journal open and its names indexed between turns."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._named: tuple[object, ...] = ()
        self._reader: Reader | None = None
        self._library: Library | None = None
        self._memory: dict[str, Any] = {}

    @classmethod
    def open(cls, path: Path, *, create: bool = True) -> Session:
        """Open the journal at ``path`` (made if new); ``Problem`` says why it cannot be."""
        return cls(Journal.open(path, create=create))

    def close(self) -> None:
        """Close the journal."""
        self.journal.close()

    def __enter__(self) -> Session:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # -- what the job knows --------------------------------------------------------------------

    @property
    def state(self) -> State:
        """The job as it stands."""
        return self.journal.state

    @property
    def zone(self) -> tzinfo | None:
        """The job's own time zone, or None for this machine's."""
        name = self.state.job.get("timezone")
        if not name:
            return None
        from zoneinfo import ZoneInfo

        return ZoneInfo(str(name))

    def _refresh(self) -> tuple[Reader, Library]:
        state = self.state
        units = _units(state)
        now = (state.pieces, state.spaces, state.labels, state.words, units)
        if self._reader is None or self._library is None or now != self._named:
            self._named = (dict(state.pieces), dict(state.spaces), dict(state.labels), dict(state.words), units)
            self._library = Library(state.labels, us=units == "us")
            self._reader = Reader(vocabulary.gazetteer(state, self._library), us=units == "us")
        return self._reader, self._library

    @property
    def names(self) -> Gazetteer:
        """The names of this job."""
        return self._refresh()[0].names

    @property
    def library(self) -> Library:
        """The cards of this job."""
        return self._refresh()[1]

    def talk(self, now: datetime, phrase: str = "") -> Talk:
        """Give what a turn starts from."""
        return Talk(now, self.state, self.library, self.journal, phrase=phrase, memory=self._memory)

    # -- the turn ------------------------------------------------------------------------------

    def take(self, phrase: str, now: datetime) -> Reply:
        """Take one phrase. Never raises for what a person may say; ``Problem`` for a journal that fails."""
        clean = phrase.translate(_CONTROLS)
        reply = self._turn(clean, now)
        return reply if clean == phrase else replace(reply, heard=phrase)

    def _turn(self, phrase: str, now: datetime) -> Reply:
        if self.zone is not None:
            now = now.astimezone(self.zone)
        talk, context = self.talk(now, phrase), Context.from_json(self.journal.recall())
        before = context.to_json()
        try:
            return self._take(talk, context, phrase)
        except Unclear as error:
            reply = Reply(phrase, now, "unclear", str(error), confidence=0.2)
        except (Refused, Problem) as error:
            text = str(error)
            shown = text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else ".")
            reply = Reply(phrase, now, "refused", shown)
        except Asked as back:
            context.pending = back.pending
            reply = Reply(phrase, now, "asked", back.question, confidence=0.5)
        except Back as back:
            asking = Pending(talk.phrase, now, Slot(back.slot), tuple(back.options), back.value, hints=context.hints)
            context.pending = asking
            reply = Reply(phrase, now, "asked", back.question, confidence=0.5)
        context.asked_last = talk.asking or (context.asked_last and reply.outcome == "answered")
        if reply.outcome in ("unclear", "asked", "refused"):
            self._speak_of(context, phrase, now)
        after = context.to_json()
        if after != before:
            self.journal.remember(after)
        return reply

    def _take(self, talk: Talk, context: Context, phrase: str) -> Reply:
        from assistant.dialogue.telling.answers import answered

        if not phrase.strip():
            raise Unclear("I heard nothing: say what you did, or ask.")
        if len(phrase) > LONGEST:
            raise Unclear(f"That was {len(phrase)} characters: say one thing at a time.")
        made = vocabulary.made_known(phrase)
        if made is not None:
            result = _make_known(talk, *made)
            context.pieces = (made[1],) if made[0] == "piece" else context.pieces
            return self._commit(talk, context, [result], None)
        reader = self._refresh()[0]
        reading = reader.read(phrase)
        filled = answered(talk, context, reading)
        now = talk.now
        if filled is not None:
            if filled.dropped:
                context.pending = None
                raise Unclear("All right, nothing logged.")
            context.hints, context.pending = filled.hints, None
            talk.now, talk.phrase = filled.at.astimezone(now.tzinfo), filled.phrase
            reading = reader.read(filled.phrase)
        try:
            reply = self._told(talk, context, reading)
        finally:
            talk.now = now
        reply.heard, reply.at = phrase, now
        return reply

    def _told(self, talk: Talk, context: Context, reading: Reading) -> Reply:
        from assistant.dialogue.telling.phrase import tell

        questions = [m for m in reading.meanings if isinstance(m, Question)]
        others = [m for m in reading.meanings if not isinstance(m, Question)]
        if questions:  # what only leads to the question is no line of the day
            others = [m for m in others if not (isinstance(m, Note) or _leads_to_it(m))]
        results: list[Result] = []
        phrase = cut(reading.phrase, self.names)
        asking = context.asked_last and all(_goes_on(m, phrase) for m in others)
        talk.asking = bool(questions) or asking
        hurt = asked.accident(phrase)
        if hurt is not None:
            return self._commit(talk, context, [hurt], reading)
        if not questions and (
            asking or all(isinstance(m, Remark | Unread) or m.force is Force.REMARKED for m in others)
        ):
            answer = asked.fragment(talk, context, phrase)
            if answer is not None:
                return self._commit(talk, context, [answer], reading)
            if asking and not all(isinstance(m, Answer) for m in others):
                raise Unclear("I did not follow that as a question; if you did it, say what you did and when.")
        if others and not (questions and all(isinstance(m, Remark | Unread) for m in others)):
            results = tell(talk, replace(reading, meanings=tuple(others)), context)
            logged = [e for r in results for e in r.events]
            if logged and questions:
                from assistant.journal.state import fold

                talk.state = fold([e for e in logged if e.kind not in ("undo", "amend")], talk.state)
        for question in questions:
            whole = len(reading.meanings) == 1
            results.append(asked.answer(talk, context, phrase if whole else cut(question.words, self.names)))
        return self._commit(talk, context, results, reading)

    def _speak_of(self, context: Context, phrase: str, now: datetime) -> None:
        """Let "it" mean from here what a phrase named that was not logged: nobody goes on about the one before it."""
        named = cut(phrase, self.names)
        whole = {
            c.value.options for cs in named.chunks for c in cs
            if c.cat is Cat.NAME and c.value.kind == "piece" and c.value.whole and c.doubt < _SURE
        }  # fmt: skip
        pieces = tuple(p for options in whole if len(options) == 1 for p in options)
        if len(pieces) == 1 and pieces != context.pieces:
            context.pieces, context.at = pieces, now

    # -- the end of a turn ---------------------------------------------------------------------

    def _commit(self, talk: Talk, context: Context, results: Sequence[Result], reading: Reading | None) -> Reply:
        events: Sequence[Event] = [e for r in results for e in r.events]
        own = next((r.outcome for r in results if r.outcome), "")
        answer = next((r.answer for r in results if r.answer), None)
        # what is understood and not for the journal is declined, with the reason
        outcome = own or ("logged" if events else "answered" if answer else "refused")
        warned = list(dict.fromkeys(c for r in results for c in r.cautions))
        context.asked_last = talk.asking = outcome == "answered"
        context.at = talk.now if outcome in ("logged", "answered") else context.at
        if events:
            # what was spoken of goes into the same transaction, with the batch that "scratch that" takes back
            events = self.journal.append(events, talk=lambda stored: _stored(context, stored))
        else:
            self.journal.remember(context.to_json())
        confidence = _confidence(reading, outcome)
        explained = list(reading.explanation) if reading else []
        text = " ".join(r.reply for r in results if r.reply)
        kept = events if outcome == "logged" else ()  # words kept unread are no entry
        return Reply(talk.phrase, talk.now, outcome, text, kept, answer, warned, confidence, explained)

    # -- for the command line, the chat and the voice ------------------------------------------

    def load(self, path: Path, now: datetime) -> list[Event]:
        """Load a job file; the same file twice changes nothing. ``Problem`` names the key and its line."""
        from assistant.library.jobfile import read_job

        events = read_job(path, said_at=now, state=self.state)
        return list(self.journal.append(events)) if events else []

    def explain(self, phrase: str) -> list[str]:
        """Say how a phrase would be read, without taking it."""
        return list(self._refresh()[0].read(phrase).explanation) or ["nothing in it was read"]

    def read_cost(self, phrase: str) -> float | None:
        """Say how well a phrase reads (0 is best), or None if it is not a sentence of the trade."""
        reading = self._refresh()[0].read(phrase)
        if any(isinstance(m, Unread) or getattr(m, "held", None) for m in reading.meanings):
            return None
        if all(isinstance(m, Remark) for m in reading.meanings):
            return None
        return max(0.0, reading.cost - 0.4 * len(reading.meanings))

    def free_cost(self, phrase: str) -> float | None:
        """Say how well a phrase reads that was heard in free speech, where other talk is heard as well.

        Every word of it must play a part, and it must name a thing of the job, or ask in the trade's own words.
        """
        reading = self._refresh()[0].read(phrase)
        if any(getattr(m, "unused", ()) or m.doubt for m in reading.meanings):
            return None
        cost = self.read_cost(phrase)
        return cost if cost is not None and reading.named else None


def _units(state: State) -> str | None:
    """Give "us" where the job has United States units, said so or by its time zone."""
    said = state.job.get("units")
    if said is None and str(state.job.get("timezone", "")).startswith(("America/", "US/")):
        return "us"
    return str(said) if said else None


def _stored(context: Context, stored: list[Event]) -> dict[str, Any]:
    context.stored(stored)
    return context.to_json()


def _leads_to_it(meaning: Meaning) -> bool:
    """Whether what stands beside a question is what it is about: a fault without a name, work that is only meant."""
    if isinstance(meaning, Flaw):
        return meaning.fault == "other"
    return isinstance(meaning, Deed | Errand) and meaning.force in (Force.ORDERED, Force.MEANT)


def _goes_on(meaning: Meaning, phrase: Phrase) -> bool:
    """Whether a meaning may only go on with the question before it: "and the shelf", "and sand it", "tomorrow then"."""
    if isinstance(meaning, Same | Answer):
        return True
    if isinstance(meaning, Correction):  # "call it sixty": of what was asked, unless it says which entry
        right = meaning.right
        return meaning.target is None and not (right and right.pieces and right.pieces.names) and meaning.wrong is None
    led = bool(phrase.words) and phrase.words[0] in ("and", "or", "then", "what", "so")
    bare = isinstance(meaning, Deed) and not (
        meaning.verb or meaning.coat or meaning.when or meaning.products or meaning.another
        or (meaning.grit and meaning.pieces is not None and meaning.pieces.names)
    )  # fmt: skip
    return bare or (led and meaning.force in (Force.ORDERED, Force.MEANT, Force.SUPPOSED, Force.UNDERWAY))


def _confidence(reading: Reading | None, outcome: str) -> float:
    if outcome == "unclear":
        return 0.2
    if reading is None:
        return 1.0
    doubt = max((m.doubt for m in reading.meanings), default=0.0)
    spare = max(0.0, reading.cost - 0.5 * max(1, len(reading.meanings)))
    return round(max(0.05, 1.0 - 0.3 * min(doubt, 2.0) - 0.15 * min(spare, 4.0)), 2)


def _make_known(talk: Talk, what: str, name: str, values: dict[str, Any]) -> Result:
    shelf = talk.state.pieces if what == "piece" else talk.state.spaces
    if name in shelf:
        raise Refused(f"I know the {name} already.")
    where = values.get("space")
    if where and where not in talk.state.spaces:
        raise Refused(f'I have no space called {where}: say "new space {where}" first.')
    event = Set(what=what, name=name, values=values, at=talk.now, said_at=talk.now)
    return Result(f"New {what}: {name}" + (f", in the {where}." if where else "."), (event,))


__all__ = ["Hints", "Session"]
