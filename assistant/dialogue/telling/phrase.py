"""A whole phrase told: each of its meanings is ruled on and becomes entries, or nothing of the phrase does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from functools import cache
from importlib import import_module
from typing import Final

from assistant.craft.times import utc
from assistant.dialogue import materials
from assistant.dialogue.context import Context, Pending, Slot, hints_of
from assistant.dialogue.ruling import Ruling, rule
from assistant.dialogue.scene import Asked, Result, Scene
from assistant.dialogue.talk import Back, Refused, Talk, Unclear
from assistant.dialogue.telling.cautions import cautions
from assistant.dialogue.telling.listed import of_the_list
from assistant.dialogue.telling.unread import kept, learnt, nothing, settled
from assistant.journal.events import Event, Task, Work
from assistant.language.meanings import (
    Answer,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Meaning,
    Note,
    PlanChange,
    Question,
    Reading,
    Remark,
    Rule,
    Same,
    Spell,
    TinFact,
    Undo,
)
from assistant.wording import listed

#: Above this a reading leans on a likeness of words and is asked about first.
_SURE: Final = 0.5


def tell(talk: Talk, reading: Reading, context: Context) -> list[Result]:
    """Give what a phrase comes to, a result for each meaning that is told; a :class:`Question` is left out.

    ``context`` is brought up to date. Where the phrase ends early nothing of it counts, and of ``context`` only the
    question that waits changes, and that what was told is not logged: ``Asked`` (a ``Back``) asks for what is
    missing, ``Refused`` and ``Unclear`` say why not. After the commit the caller tells the context what was stored
    (:meth:`Context.stored`).
    """
    try:
        return _whole(talk, reading, context)
    except Asked as asked:
        context.pending, context.hints = asked.pending, ()
        raise
    except (Refused, Unclear):
        context.pending, context.hints = None, ()
        context.unread_last = context.unread_last or any(not isinstance(m, _TALK) for m in reading.meanings)
        raise


def _whole(talk: Talk, reading: Reading, context: Context) -> list[Result]:
    if reading.rivals:
        reading = _chosen(talk, reading, context)
    state = talk.state
    scene = Scene.of(talk, context.copy())
    scene.phrase = reading.phrase
    try:
        reading = learnt(scene, _fitting(scene, reading))
        listed_ = of_the_list(scene, reading)
        results = [listed_] if listed_ is not None else kept(scene, reading)
        if results is None:
            results = settled(scene, reading, _told(scene, reading))
            scene.context.unread_last = False
    finally:
        talk.state = state
    scene.context.at = talk.now
    scene.context.hints = ()
    told = [e for r in results for e in r.events]
    if told:
        scene.context.task = next((e.text for e in reversed(told) if isinstance(e, Task) and e.state == "open"), None)
    if scene.made and results:
        first = results[0]
        results[0] = Result(
            first.reply, (*scene.made, *first.events), first.answer, first.cautions, first.outcome, first.meaning
        )
    context.take(scene.context)
    return results


def _fitting(scene: Scene, reading: Reading) -> Reading:
    """Take a correction for the news that its words tell as well where no entry is there to be put right."""
    first = reading.meanings[0]
    if not isinstance(first, Correction) or not first.otherwise:
        return reading
    from assistant.dialogue.telling.differing import told_apart
    from assistant.dialogue.telling.targets import last_batch

    news = any(m.force is Force.DONE and m.held is None and isinstance(m, _NEWS) for m in first.otherwise)
    try:
        entries, _ = told_apart(scene, first)
        if news and not first.meant and not {e.id for e in entries} <= {e.id for e in last_batch(scene)[1]}:
            return Reading(reading.phrase, first.otherwise, reading.cost, reading.named)
    except Unclear:
        if all(isinstance(m, Question) for m in first.otherwise):
            raise
        return Reading(reading.phrase, first.otherwise, reading.cost, reading.named)
    except Back:
        pass
    return reading


def _told(scene: Scene, reading: Reading) -> list[Result]:
    named = _what_it_was(scene, reading)
    scene.context.pending = None
    if named is not None:
        return [named]
    results: list[Result] = []
    for clause, meaning in enumerate(reading.meanings):
        before, scene.clause = scene.state, clause
        try:
            result = _one(scene, meaning, several=len(reading.meanings) > 1)
        except Back as back:
            raise _with_understood(scene, back, results) from None
        if result is None or _again(result, results):
            continue
        warned = cautions(scene, before, result)
        results.append(
            Result(
                result.reply, result.events, result.answer, tuple(dict.fromkeys((*result.cautions, *warned))),
                result.outcome, meaning,
            )
        )  # fmt: skip
        scene.happened(result.events)
        scene.said = scene.said or bool(result.events)
        if isinstance(meaning, Deed) and result.events:
            scene.context.act = meaning.act
    spoken = [m for m in reading.meanings if not isinstance(m, Question)]
    return results or [nothing(scene, m) for m in spoken[:1]]


def _again(result: Result, results: list[Result]) -> bool:
    """Whether a clause tells plain work that one before it has told: "dusted it off and ran a tack rag over it"."""
    before = {(e.kind, e.piece, e.part) for r in results for e in r.events if isinstance(e, Work)}
    mine = [(e.kind, e.piece, e.part) if isinstance(e, Work) else None for e in result.events]
    return bool(mine) and all(m in before for m in mine)


def _what_it_was(scene: Scene, reading: Reading) -> Result | None:
    """Take a product named by itself as what the coat just logged was of, if that was asked."""
    pending = scene.context.pending
    waits = pending is not None and pending.slot == Slot.WHAT_WAS_IT and pending.waits(scene.now)
    said = reading.meanings[0] if len(reading.meanings) == 1 else None
    if not waits or not isinstance(said, Answer) or len(said.products) != 1:
        return None
    from assistant.dialogue.telling.corrections import named

    return named(scene, materials.product(scene, said.products[0]))


def _helped(scene: Scene, meaning: Meaning) -> bool:
    """Whether work on pieces of the job is told of somebody while a helper is here: it is done here as well."""
    if not isinstance(meaning, Deed) or meaning.force is not Force.REPORTED or meaning.pieces is None:
        return False
    if not meaning.pieces.names or meaning.pieces.unknown:
        return False
    if {"says", "said", "reckons", "reckoned", "his", "their", "claims"} & set(scene.phrase.casefold().split()):
        return False  # hearsay is of anything
    here = scene.state.hours.get("helper", ())
    return any(
        h.start is None or utc(h.start) - _EARLY <= utc(scene.now) <= utc(h.end or h.start) + _EARLY for h in here
    )


def _one(scene: Scene, meaning: Meaning, *, several: bool) -> Result | None:
    if _helped(scene, meaning):
        meaning = replace(meaning, force=Force.DONE)
    ruling = rule(meaning)
    if meaning.doubt > _SURE and ruling in _WRITING and not scene.hints.meant:
        raise Back(f'Did you mean "{meaning.words}"? Say yes, or say it again.', Slot.MEANT, ["yes"])
    if isinstance(meaning, Question):
        return None  # the answering side takes it
    if ruling in (Ruling.NOTHING, Ruling.ANSWER):
        return None if several and not isinstance(meaning, Deed | Spell | TinFact) else nothing(scene, meaning)
    if ruling is Ruling.DENY:
        return _room("undoing", "denial")(scene, meaning)
    if ruling is Ruling.BEGIN and isinstance(meaning, Deed):
        return _room("tasks", "begin")(scene, meaning)
    if ruling is Ruling.PLAN:
        return _room("tasks", "plan")(scene, meaning)
    return _room(*_TAKEN_BY[type(meaning)])(scene, meaning)


def _with_understood(scene: Scene, back: Back, results: list[Result]) -> Asked:
    """Put before the question what was understood so far: none of it is logged yet."""
    so_far = listed(r.reply.rstrip(".") for r in results if r.events)
    question = f"{so_far} - not logged yet. {back}" if so_far else str(back)
    pending = Pending(
        scene.phrase, scene.now, Slot(back.slot), tuple(back.options), back.value, scene.clause, scene.context.hints
    )
    return Asked(question, pending)


def _chosen(talk: Talk, reading: Reading, context: Context) -> Reading:
    """Give the reading that was chosen of several; ask which if they come to different things."""
    ways = (reading.meanings, *reading.rivals)
    chosen = hints_of(context.hints, 0).rival
    if chosen is not None and 0 <= chosen < len(ways):
        return Reading(reading.phrase, ways[chosen], reading.cost)
    outcomes: list[tuple[tuple[Event, ...], str]] = []
    for way in ways:
        trial = Reading(reading.phrase, way, reading.cost)
        try:
            results = tell(talk, trial, context.copy())
        except Back as back:
            outcomes.append(((), str(back)))
        except (Refused, Unclear):
            continue  # a way that comes to nothing is no rival
        else:
            events = tuple(e for r in results for e in r.events)
            outcomes.append((events, " ".join(r.reply for r in results)))
    different = dict.fromkeys(outcomes)
    if len(different) <= 1:
        return Reading(reading.phrase, reading.meanings, reading.cost)
    options = [text.rstrip(".?") for _, text in different]
    pending = Pending(reading.phrase, talk.now, Slot.RIVAL, tuple(options), hints=context.hints)
    raise Asked(f'Which: "{options[0]}", or "{options[1]}"?', pending)


#: Who takes what is to be logged, corrected or done again: a room and its function. A room is loaded when a phrase
#: first needs it: one said alone waits for no other.
_TAKEN_BY: Final[dict[type[Meaning], tuple[str, str]]] = {
    Deed: ("deeds", "deed"), Spell: ("spells", "spell"), Flaw: ("flaws", "flaw"), TinFact: ("tins", "tin"),
    Rule: ("rules", "rule"), GearFact: ("errands", "gear"), Errand: ("errands", "errand"), Note: ("errands", "note"),
    Undo: ("undoing", "undo"), Correction: ("corrections", "correct"), Same: ("repeats", "same"),
    Answer: ("unread", "nothing"), PlanChange: ("replan", "replan"),
}  # fmt: skip


@cache
def _room(room: str, function: str) -> Callable[[Scene, Meaning], Result]:
    taken: Callable[[Scene, Meaning], Result] = getattr(import_module(f"assistant.dialogue.telling.{room}"), function)
    return taken


#: A helper is often there a little before and after the hours that were said.
_EARLY: Final = timedelta(hours=3)
#: What an entry is made of.
_NEWS: Final = (Deed, Spell, TinFact, Flaw)
#: What tells of nothing itself: a second try at it needs no question first.
_TALK: Final = (Answer, Correction, Question, Remark, Undo)
_WRITING: Final = frozenset(Ruling) - {Ruling.NOTHING, Ruling.ANSWER, Ruling.KEEP}
