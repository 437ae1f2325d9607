"""ONE turn: a phrase, now and the journal in; a reply out.

This is the only room that knows all the others. A phrase is read, each clause becomes events or an
answer, the events are committed together, and what was spoken of is kept for the next turn. Whatever goes
wrong on the way changes nothing.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any

from assistant.dialogue.handlers import handler
from assistant.dialogue.talk import Back, Refused, Result, Talk, Unclear
from assistant.dialogue.wording import listed
from assistant.journal.events import Event, Note, Set
from assistant.journal.state import State
from assistant.journal.store import Journal
from assistant.language import vocabulary
from assistant.language.lexicon import UNIT_WORDS
from assistant.language.meaning import Meaning, meaning
from assistant.language.names import Gazetteer
from assistant.language.reading import Reading, explain, is_number, read
from assistant.language.repair import about, contrast, finished, joined, repair, to_do, told, untagged
from assistant.language.spans import Tagged, tag
from assistant.language.tokens import LONGEST
from assistant.library.catalogue import Library
from assistant.problem import Problem
from assistant.reply import Reply

#: A question back waits this long; then a bare "yes" answers nothing.
PATIENCE = timedelta(minutes=30)
#: What makes a statement one about the job: a name, or a measure.
_NAMING = frozenset(["piece", "space", "product", "amount", "percent", "grit", "temp", "ordinal", "nth"])
#: What a terminal would obey is no word: it must not come back out of a note.
_CONTROLS = dict.fromkeys((*range(32), *range(127, 160)), " ")
#: Of a clause's words so many may stay unexplained and it still counts as read.
_LEFTOVER = 0.34


class Session:
    """The talk on one job: keeps the journal open and its names indexed between turns."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self._named: tuple[object, ...] = ()
        self._names: Gazetteer | None = None
        self._library: Library | None = None
        self._memory: dict[str, Any] = {}
        self._extra: list[Event] = []  # what an answer made known, to be committed with what hung on it

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

    def _refresh(self) -> tuple[Gazetteer, Library]:
        state = self.state
        now = (state.pieces, state.spaces, state.labels, state.job.get("units"))
        if self._names is None or self._library is None or now != self._named:
            self._named = (dict(state.pieces), dict(state.spaces), dict(state.labels), state.job.get("units"))
            self._library = Library(state.labels, us=state.job.get("units") == "us")
            self._names = vocabulary.gazetteer(state, self._library)
        return self._names, self._library

    @property
    def library(self) -> Library:
        """The cards of this job."""
        return self._refresh()[1]

    def talk(self, now: datetime, phrase: str = "") -> Talk:
        """Give what a turn starts from."""
        library = self._refresh()[1]
        return Talk(now, self.state, library, self.journal, self.journal.recall(), phrase=phrase, memory=self._memory)

    # -- the turn ------------------------------------------------------------------------------

    def take(self, phrase: str, now: datetime) -> Reply:
        """Take one phrase. Never raises for what a person may say; ``Problem`` for a journal that fails."""
        clean = phrase.translate(_CONTROLS)
        reply = self._turn(clean, now)
        return reply if clean == phrase else replace(reply, heard=phrase)

    def _turn(self, phrase: str, now: datetime) -> Reply:
        if self.zone is not None:
            now = now.astimezone(self.zone)
        talk = self.talk(now, phrase)
        before = dict(talk.context)
        try:
            reply = self._take(talk, phrase)
        except Unclear as error:
            before.pop("frame", None)  # "and the other one" after what was not understood is of nothing
            talk.context = dict(before)
            reply = self._ticked(talk, phrase) or Reply(phrase, now, "unclear", str(error), confidence=0.2)
        except (Refused, Problem) as error:
            text = str(error)
            reply = Reply(
                phrase,
                now,
                "refused",
                text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else "."),
            )
        except Back as back:
            before["pending"] = {
                "phrase": talk.phrase, "at": now.isoformat(), "slot": back.slot, "options": back.options,
                "value": back.value, "hints": talk.hints, "asked": now.isoformat(),
            }  # fmt: skip
            reply = Reply(phrase, now, "asked", back.question, confidence=0.5)
        if reply.outcome in ("logged", "answered"):
            return reply
        if reply.outcome != "asked":
            before.pop("pending", None)
        self.journal.remember(before)
        return reply

    def _ticked(self, talk: Talk, phrase: str) -> Reply | None:
        """Take a phrase that nothing else made sense of as the end of a task that it names, or give None."""
        from assistant.dialogue.tasks import closed

        result = closed(talk, phrase)
        return self._commit(talk, [result], []) if result else None

    def _take(self, talk: Talk, phrase: str) -> Reply:
        if not phrase.strip():
            raise Unclear("I heard nothing: say what you did, or ask.")
        if len(phrase) > LONGEST:
            raise Unclear(f"That was {len(phrase)} characters: say one thing at a time.")
        names, _ = self._refresh()
        noted = vocabulary.note(phrase)
        if noted is not None:
            return self._commit(
                talk, [Result(f"Noted: {noted}", [Note(text=noted, at=talk.now, said_at=talk.now)])], []
            )
        made = vocabulary.made_known(phrase)
        if made is not None:
            return self._commit(talk, [_make_known(talk, *made)], [])
        if vocabulary.asks_again(phrase) and talk.context.get("asked"):
            phrase = talk.context["asked"]
        tagged = tag(phrase, names, us=talk.state.job.get("units") == "us")
        pending = self._pending(talk)
        if pending is not None:
            resumed = self._resume(talk, tagged, pending)
            if resumed is not None:
                return resumed
        talk.context.pop("pending", None)
        if vocabulary.idle(phrase):
            raise Unclear("I am listening.")
        return self._read(talk, tagged)

    def _read(self, talk: Talk, tagged: Tagged) -> Reply:
        last = talk.context.get("frame") if talk.fresh else None
        tagged.without = frozenset() if talk.context.get("batches") else frozenset(["amend"])
        readings = read(tagged, last=last)
        for mend in (told, untagged, to_do, joined, finished, about, contrast, repair):
            mended = mend(tagged, settled=_settled(readings)) if mend is repair else mend(tagged)
            if mended is not None:
                tagged = replace(tag(mended, self._refresh()[0]), without=tagged.without)
                readings = read(tagged, last=last)
        explained = explain(tagged, readings)
        meanings = [meaning(tagged, r) for r in readings]
        _accept(tagged, readings, meanings)
        results: list[Result] = []
        _share_times(talk, meanings)
        for m in meanings:
            taken_by = handler(m.frame)
            if taken_by is None:
                raise Unclear("I have asked you nothing: say what you did, or ask.")
            if m.when.said and m.mood == "log" and m.frame not in ("hours", "climate", "task"):
                from assistant.dialogue.record import moment

                talk.said_time = moment(talk, m)
            result = taken_by(talk, m)
            result.meaning = m
            results.append(result)
            if result.events and m.mood == "log" and m is not meanings[-1]:  # the clauses after it build on it
                from assistant.journal.state import fold

                talk.state = fold(result.events, talk.state)
                talk.said_product = next(
                    (p for e in result.events if (p := getattr(e, "product", None))), talk.said_product
                )
        return self._commit(talk, results, explained)

    # -- questions back ------------------------------------------------------------------------

    @staticmethod
    def _pending(talk: Talk) -> dict[str, Any] | None:
        pending = talk.context.get("pending")
        if not pending:
            return None
        asked = datetime.fromisoformat(pending["asked"])
        return pending if abs(talk.now - asked) <= PATIENCE else None

    def _resume(self, talk: Talk, tagged: Tagged, pending: dict[str, Any]) -> Reply | None:
        """Take a phrase as the answer to a question back, or give None if it is something else."""
        from assistant.dialogue.answering import fill

        filled = fill(talk, tagged, pending)
        if filled is None:
            return None
        talk.context.pop("pending", None)
        if pending["slot"] == "what_was_it":
            from assistant.dialogue.correct import named

            return self._commit(talk, [named(talk, filled.meaning)], [])
        if filled.dropped:
            raise Unclear("All right, nothing logged.")
        hints = {**pending.get("hints", {}), **filled.hints}
        now = talk.now
        at = datetime.fromisoformat(pending["at"]).astimezone(now.tzinfo)
        extra: list[Event] = filled.events
        talk.hints, talk.phrase, talk.now = hints, filled.phrase or pending["phrase"], at
        names = self._refresh()[0]
        if extra:
            from assistant.journal.state import fold

            talk.state = fold(extra, talk.state)
            names = vocabulary.gazetteer(talk.state, self._library or Library(talk.state.labels))
        try:
            reply = self._read(talk, tag(talk.phrase, names)) if not extra else self._read_with(talk, names, extra)
        finally:
            talk.now = now
        reply.heard = tagged.phrase
        reply.at = now
        return reply

    def _read_with(self, talk: Talk, names: Gazetteer, extra: list[Event]) -> Reply:
        self._extra = extra
        try:
            return self._read(talk, tag(talk.phrase, names))
        finally:
            self._extra = []

    # -- the end of a turn ---------------------------------------------------------------------

    def _commit(self, talk: Talk, results: list[Result], explained: list[str]) -> Reply:
        events = [*self._extra, *(e for r in results for e in r.events)]
        outcome = "logged" if events else "answered"
        warned = [c for r in results for c in r.cautions]
        if any(r.events and r.meaning and r.meaning.mood == "log" for r in results):
            from assistant.dialogue.warning import cautions

            warned.extend(cautions(talk, self.state, results))
        warned = list(dict.fromkeys(warned))
        answer = next((r.answer for r in results if r.answer), None)
        _remember(talk, results)
        if events:
            # what was spoken of goes into the same transaction, with the batch that "scratch that" takes back
            events = self.journal.append(events, talk=lambda stored: _with_batch(talk, stored))
        else:
            self.journal.remember(talk.context)
        confidence = min((r.meaning.confidence for r in results if r.meaning), default=1.0)
        text = " ".join(r.reply for r in results)
        return Reply(talk.phrase, talk.now, outcome, text, events, answer, warned, confidence, explained)

    # -- for the command line, the chat and the voice ------------------------------------------

    def load(self, path: Path, now: datetime) -> list[Event]:
        """Load a job file; the same file twice changes nothing. ``Problem`` names the key and its line."""
        from assistant.library.jobfile import read_job

        events = read_job(path, said_at=now, state=self.state)
        return list(self.journal.append(events)) if events else []

    def explain(self, phrase: str) -> list[str]:
        """Say how a phrase would be read, without taking it."""
        tagged = tag(phrase, self._refresh()[0])
        return explain(tagged, read(tagged))

    def read_cost(self, phrase: str) -> float | None:
        """Say how well a phrase reads (0 is best), or None if it is not a sentence of the trade."""
        tagged = tag(phrase, self._refresh()[0])
        pending = self.journal.recall().get("pending")
        readings = read(tagged, pending["slot"] if pending else None)
        if not readings:
            return 0.0 if vocabulary.note(phrase) else None
        try:
            _accept(tagged, readings, [meaning(tagged, r) for r in readings])
        except (Unclear, Refused):
            return None
        return sum(r.cost.unexplained + 0.3 * r.cost.doubt for r in readings)

    def free_cost(self, phrase: str) -> float | None:
        """Say how well a phrase reads that was heard in free speech, where other talk is heard as well.

        Every word of it must play a part, and it must name a thing of the job, or ask in the trade's own words.
        """
        tagged = tag(phrase, self._refresh()[0])
        readings = read(tagged, None)
        read_words = sum(r.end - r.start - len(r.left) for r in readings)
        marks = sum(t.kind == "mark" for t in tagged.tokens)
        if not all(_about_work(r) for r in readings) or read_words < len(tagged.tokens) - marks:
            return None
        return self.read_cost(phrase)


def _about_work(reading: Reading) -> bool:
    """Whether a reading names a thing of the job or a measure, or asks in the trade's own words."""
    tags = [s.tag for s in reading.spans]
    asks = reading.frame.mood == "ask" and "tense.neg" not in tags
    return any(t in _NAMING or (asks and t != "ask.mask" and t.startswith(("ask.", "make.", "talk.it"))) for t in tags)


def _accept(tagged: Tagged, readings: list[Reading], meanings: list[Meaning]) -> None:
    """End the turn if the phrase was not understood well enough to act on."""
    if not readings:
        raise Unclear('I did not follow that: say what you did, or ask. "help" gives examples.')
    for reading, m in zip(readings, meanings, strict=True):
        if reading.broken and m.mood == "log":
            raise Unclear(f'I log only what is done, and heard "{reading.broken[0]}": say it again.')
        if reading.cost.violations:
            raise Unclear("I did not follow that: say it in other words.")
        spare = _spare(m)
        if spare:
            raise Unclear(f"I don't know what to do with {listed(spare)}: say it again.")
        if reading.frame.free or not reading.left:
            continue
        numbers = [tagged.words[i] for i in reading.left if is_number(tagged, i)]
        if numbers:
            raise Unclear(f"I don't know what to do with {listed(numbers)}: say it again.")
        stray = [tagged.words[i] for i in reading.left if _is_measure(tagged, i)]
        if stray:
            raise Unclear(f"I don't know what to do with {listed(stray)} there: say it again.")
        if m.unknown and not m.pieces and set(m.left) <= set(m.unknown.split()) and _done(reading, tagged):
            continue  # "primed bulkhead": a verb, and a name that the handler asks about
        share = len(reading.left) / max(1, m.words)
        if (share > _LEFTOVER and not (len(reading.left) == 1 and m.words >= 3)) or len(reading.left) > 3:
            raise Unclear(f'I did not follow "{" ".join(m.left[:6])}": say it in other words.')


def _done(reading: Reading, tagged: Tagged) -> bool:
    """Whether a plain verb of something done, or a numbered coat, carries the clause."""
    return reading.frame.mood == "log" and any(
        s.doubt == 0 and ((s.tag.startswith("act.") and tagged.words[s.i].endswith("ed")) or s.tag == "ordinal")
        for s in reading.spans
    )


def _spare(m: Meaning) -> list[str]:
    """Give the numbers of a statement that its frame took up but has no use for."""
    if m.mood != "log":
        return []
    room = {
        "fault": len(m.numbers),  # it keeps the words
        "replan": m.has("plan.than"),
        "mix": max(not m.amounts, sum(k is None for _, k in m.parts)),
        "climate": (m.temperature is None) + (m.percent is None and m.has("air.humidity")),
    }.get(m.frame, len(m.numbers))  # fmt: skip
    return [f"{n:g}" for n in m.numbers[int(room) :]]


def _settled(readings: list[Reading]) -> bool:
    """Whether a phrase read whole, as something said or asked, with no need to look for slips in it."""
    return bool(readings) and not any(
        r.frame.mood == "talk" or r.cost.unexplained or r.cost.violations for r in readings
    )


def _is_measure(tagged: Tagged, i: int) -> bool:
    """Whether a word left over is a unit, a part or a product: such words are never let go."""
    return tagged.words[i] in UNIT_WORDS or any(
        s.tag.startswith("part.") or (s.tag == "product" and s.value.doubt < 0.1) for s in tagged.spans[i]
    )


def _share_times(talk: Talk, meanings: list[Meaning]) -> None:
    """Let one time hold for both: "sanded the doors and put a coat on at ten"."""
    said = [m for m in meanings if m.when.said and m.mood == "log"]
    if len(said) == 1 and len(meanings) > 1 and said[0].when.ago is None:
        from assistant.dialogue.record import RECORD, moment

        if said[0].frame in (*RECORD, "fault") and said[0].frame not in ("hours", "climate", "task"):
            talk.said_time = moment(talk, said[0])


def _with_batch(talk: Talk, stored: list[Event]) -> dict[str, Any]:
    """Give the talk's context with the events just stored as the last batch (corrections are no batch)."""
    fresh = [e.id for e in stored if e.kind not in ("amend", "undo")]
    batches = [*talk.context.get("batches", []), *([fresh] if fresh else [])]
    talk.context["batches"] = batches[-20:]
    return talk.context


def _make_known(talk: Talk, what: str, name: str, values: dict[str, Any]) -> Result:
    shelf = talk.state.pieces if what == "piece" else talk.state.spaces
    if name in shelf:
        raise Refused(f"I know the {name} already.")
    where = values.get("space")
    if where and where not in talk.state.spaces:
        raise Refused(f'I have no space called {where}: say "new space {where}" first.')
    event = Set(what=what, name=name, values=values, at=talk.now, said_at=talk.now)
    if what == "piece":
        talk.said_pieces = [name]
    return Result(f"New {what}: {name}" + (f", in the {where}." if where else "."), [event])


def _remember(talk: Talk, results: list[Result]) -> None:
    context = talk.context
    if talk.said_pieces:
        context["pieces"] = talk.said_pieces
    context["at"] = talk.now.isoformat()
    read_ = [r.meaning for r in results if r.meaning]
    if read_ and all(m.mood == "ask" and m.frame not in ("why", "help") for m in read_):
        context["asked"] = " ".join(m.text for m in read_)
    frames = [m.frame for m in read_ if m.mood != "talk" and m.frame not in ("why", "help")]
    if frames:
        context["frame"] = "ready" if frames[-1] == "stage" else frames[-1]
    for result in results:
        for event in result.events:
            product = getattr(event, "product", None)
            if product:
                context["product"] = product
        answer = result.answer
        if answer and answer["about"] == "mix" and answer["parts"]:
            ratio = " to ".join(f"{v:g}" for v in answer["ratio"])
            parts = listed(f"{p['amount'].value:g} {p['amount'].unit} {p['name']}" for p in answer["parts"])
            card = talk.card(answer["product"])
            by, basis = (card.ratio.by, card.ratio.basis) if card and card.ratio else ("volume", "the label")
            context["last"] = {
                "about": "mix",
                "why": f"{answer['product']} is {ratio} by {by} ({basis}); the amount taken as the "
                f"{answer['reading']}: {parts}, {answer['total'].value:g} {answer['total'].unit} in all.",
            }
        if answer and answer.get("product"):
            context["product"] = answer["product"]
