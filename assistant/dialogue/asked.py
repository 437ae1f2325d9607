"""A question is answered: read as a typed query, settled against the job, evaluated, kept for the follow-up."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import Answer
from assistant.ask.evaluate import evaluate
from assistant.ask.knowledge import NOTHING
from assistant.dialogue import inquiry
from assistant.dialogue.context import Context, Pending, Slot
from assistant.dialogue.lastquery import last_query
from assistant.dialogue.scene import Asked as AskedBack
from assistant.dialogue.scene import Result
from assistant.dialogue.talk import Talk, Unclear
from assistant.journal.events import Fault
from assistant.language import asking
from assistant.language.chunks import Phrase
from assistant.language.query import Property, Query, Shape, Subject
from assistant.library.hazards import Grade

_HELP: Final = frozenset(["help", "commands"])
_SLOTS: Final = frozenset(Slot)


def accident(phrase: Phrase) -> Result | None:
    """Give what to do about an accident that any words tell of, or None: it goes before all else that was said."""
    found = inquiry.danger(asking.lemmas_of(phrase) - _of_things(phrase))
    if found is None or found.grade is not Grade.ACCIDENT:
        return None
    return Result(found.text, answer={"about": "aid", "text": found.text, "source": found.source})


def _of_things(phrase: Phrase) -> frozenset[str]:
    """Give the words for parts of the body that are said of a thing or a way here: "left hand corner", "by hand"."""
    out: set[str] = set()
    for k, word in enumerate(phrase.words):
        side = phrase.at(k - 1) in ("left", "right", "top", "bottom", "by", "outer", "inner", "upper", "lower")
        helps = (
            word == "hand"
            and phrase.at(k - 1) == "a"
            and {"give", "giving", "gave", "lend", "lending"} & {*phrase.words}
        )
        if word in _BODY and (side or helps):
            out.add(word)
    return frozenset(out)


_BODY: Final = frozenset(
    ["hand", "face", "side", "arm", "leg", "foot", "head", "back", "shoulder", "lip", "nose", "eye"]
)


def answer(talk: Talk, context: Context, phrase: Phrase) -> Result:
    """Answer a question. ``Unclear`` where nobody knows what is asked, ``AskedBack`` where something is missing."""
    found = fragment(talk, context, phrase)
    if found is None:
        raise Unclear('I did not follow that question: say it in other words. "help" gives examples.')
    return found


def fragment(talk: Talk, context: Context, phrase: Phrase) -> Result | None:
    """Answer what asks, in the form of a question or not ("and touch", "tomorrow then"); None if it asks nothing."""
    if phrase.words and phrase.words[0] in _HELP and len(phrase) <= 3:
        return _help(talk)
    asked = asking.ask(phrase, last=last_query(context, talk.now) is not None)
    if asked is None:
        return None
    query = inquiry.settle(asked, talk, context)
    found = evaluate(query, talk)
    if _empty(query, found) and (again := _second(talk, context, phrase)) is not None:
        query, found = again
    if found.asks is not None:
        slot = Slot(found.asks.slot) if found.asks.slot in _SLOTS else Slot.TEXT
        pending = Pending(talk.phrase, talk.now, slot, tuple(found.asks.options), hints=context.hints)
        raise AskedBack(found.asks.question, pending)
    if _empty(query, found):  # nothing was answered: what was asked before stays what "and that?" goes on with
        near = found.chosen.said.removeprefix(NOTHING) if found.chosen is not None else ""
        raise Unclear(f"{_FOLLOW}{near}")
    inquiry.remember(query, context, talk, found.pieces, found.products)
    context.answer = found.to_json()
    context.hints = ()
    outcome = "" if found.outcome == "answered" else found.outcome
    return Result(found.reply, answer=found.to_json(), cautions=tuple(found.cautions), outcome=outcome)


_FOLLOW: Final = "I did not follow that question: say it in other words."


def _empty(query: Query, found: Answer) -> bool:
    """Whether a question of the trade met no card: then nothing was answered."""
    return query.what is Property.KNOW and found.chosen is not None and found.chosen.unknown is not None


def _second(talk: Talk, context: Context, phrase: Phrase) -> tuple[Query, Answer] | None:
    """Take a question that nothing answers for a change of the last one, or as one of the fault just told."""
    fault = _fault_just_told(talk, context)
    if fault is not None and {"it", "that", "this", "them"} & set(phrase.words):
        query = Query(Property.KNOW, Shape.WHAT, Subject(), lemmas=asking.lemmas_of(phrase) | {fault, "fix"})
        found = evaluate(query, talk)
        if not _empty(query, found):
            return query, found
    last = last_query(context, talk.now)
    if last is None:
        return None
    asked = asking.follow(phrase)
    if asked is None:
        return None
    query = inquiry.settle(asked, talk, context)
    if query == last:
        return None
    found = evaluate(query, talk)
    return None if found.asks is not None or found.refused or _empty(query, found) else (query, found)


def _fault_just_told(talk: Talk, context: Context) -> str | None:
    """Give the fault that was told last, if the last entry is one: "what do I do about it" is about that."""
    for number in reversed(context.batches[-1] if context.batches else ()):
        event = talk.journal.get(number)
        if isinstance(event, Fault):
            return event.fault
    return None


def _help(talk: Talk) -> Result:
    """Say what can be said, in the spoken shapes and the job's own names."""
    from assistant.language.phrasing import examples

    text = "Say what you did, or ask. " + " - ".join(examples(talk.state))
    return Result(text, answer={"about": "explain", "text": text})
