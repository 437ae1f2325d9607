"""What is not logged: words kept as heard with the one thing that is missing, and what needs no entry at all."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.dialogue.context import Hints, Pending, Slot, hints_of
from assistant.dialogue.ruling import Ruling, rule
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.settling import make_known
from assistant.dialogue.telling.readback import left_out
from assistant.journal.events import Amend, Event
from assistant.journal.events import Unread as UnreadEvent
from assistant.language.meanings import (
    Act,
    Answer,
    Deed,
    Force,
    Group,
    Meaning,
    Reading,
    Remark,
    Spell,
    TinFact,
    Unread,
)
from assistant.language.names import Name
from assistant.wording import listed

_LOOSE: Final = "I have asked you nothing: say what you did, or ask."
#: Why nothing was logged, by the force of what was said.
_WHY: Final[dict[Force, str]] = {
    Force.WISHED: 'Nothing logged, as that is a wish: say "to do" first to put it on the list.',
    Force.SUPPOSED: "Nothing logged, as that is not certain: say it again when it is done.",
    Force.REPORTED: "Nothing logged: that was not your own work on this job.",
    Force.DENIED: "Then there is nothing to log.",
    Force.REMARKED: "Nothing to log in that.",
    Force.ASKED: "Nothing logged: that was a question.",
    Force.UNDERWAY: "Nothing logged yet: tell me when it is done.",
    Force.MEANT: 'Nothing logged, as that is to come. "Add it to the list" puts it there.',
    Force.ORDERED: "Nothing logged: tell me when it is so.",
}


def nothing(scene: Scene, said: Meaning) -> Result:  # noqa: ARG001
    """Give a short reply that shows what was said was understood, and that nothing was logged of it."""
    if isinstance(said, Answer):
        return Result(_LOOSE, outcome="unclear", meaning=said)
    if isinstance(said, Remark):
        return Result(_WHY[Force.REMARKED], meaning=said)
    if isinstance(said, Spell) and said.force is Force.SUPPOSED:
        return Result('Nothing logged, as that is not certain: say "it will be ..." to reckon with it.', meaning=said)
    if isinstance(said, TinFact) and said.force is Force.WISHED:
        return Result('Nothing logged: say "add it to the list" to have it bought.', meaning=said)
    return Result(_WHY.get(said.force, _WHY[Force.REMARKED]), meaning=said)


def kept(scene: Scene, reading: Reading) -> list[Result] | None:
    """Keep a phrase as heard if any of it must not be told as it stands; give None if all of it may be.

    Nothing else of the phrase is logged: half of what was said is easily taken for all of it.
    """
    stuck = [m for m in reading.meanings if rule(m) is Ruling.KEEP]
    if not stuck:
        return None
    clear = [m.words for m in reading.meanings if m not in stuck and m.words and rule(m) is not Ruling.NOTHING]
    lead = f'So far I have "{listed(clear)}". ' if clear else ""
    events: tuple[Event, ...] = (UnreadEvent(text=reading.phrase, at=scene.now, said_at=scene.now),)
    scene.context.unread_last = True
    scene.context.pending = _pending(scene, reading, stuck[0])
    question = " ".join(dict.fromkeys(_missing(m) for m in stuck[:1]))
    reply = f"{lead}{question} Kept as you said it, not logged.{left_out(stuck[0])}"
    return [Result(reply, events, outcome="unclear", meaning=stuck[0])]


def _pending(scene: Scene, reading: Reading, stuck: Meaning) -> Pending | None:
    """Give the question that is open: a verb or a noun that nobody knew can be told in a word."""
    if not isinstance(stuck, Deed) or not stuck.held:
        return None
    slot = Slot.VERB if stuck.act is Act.OTHER else Slot.WORD
    clause = reading.meanings.index(stuck)
    return Pending(reading.phrase, scene.now, slot, (), stuck.held, clause, scene.context.hints)


def learnt(scene: Scene, reading: Reading) -> Reading:
    """Give a phrase with the verb put in that an answer told, or that was told once: it is this person's word."""
    meanings = list(reading.meanings)
    for clause, said in enumerate(meanings):
        if not isinstance(said, Deed) or said.held is None:
            continue
        known, hints = scene.state.words.get(said.held), hints_of(scene.context.hints, clause)
        if said.act is not Act.OTHER:
            meanings[clause] = _with_noun(scene, said, hints)
            continue
        if hints.act is not None and hints.word == said.held:
            make_known(scene, "word", said.held, {"means": hints.act, "of": "act"})
            meanings[clause] = replace(said, act=Act(hints.act), held=None)
        elif known is not None and known.of == "act" and known.means in {a.value for a in Act}:
            meanings[clause] = replace(said, act=Act(known.means), held=None)
    return replace(reading, meanings=tuple(meanings))


def _with_noun(scene: Scene, said: Deed, hints: Hints) -> Deed:
    """Put in the product or the piece that an answer gave for the noun which held a deed back."""
    if hints.word != said.held or said.held is None:
        return said
    if hints.products and not said.products:
        make_known(scene, "word", said.held, {"means": hints.products[-1], "of": "product"})
        return replace(said, products=(Name("product", (hints.products[-1],)),), held=None)
    if hints.pieces and (said.pieces is None or not said.pieces.names):
        if len(hints.pieces) == 1:
            make_known(scene, "word", said.held, {"means": hints.pieces[0], "of": "piece"})
        group = replace(said.pieces or Group(), names=tuple(Name("piece", (p,)) for p in hints.pieces), unknown=None)
        return replace(said, pieces=group, held=None)
    return said


def settled(scene: Scene, reading: Reading, results: list[Result]) -> list[Result]:
    """Take words kept unread off the list where the next phrase says them again so that they are logged."""
    context = scene.context
    if not (context.unread_last and context.unread and context.fresh(scene.now) and any(r.events for r in results)):
        return results
    number = context.unread[-1]
    before = scene.talk.journal.get(number)
    words = _content(getattr(before, "text", ""))
    if before is None or len(words & _content(reading.phrase)) * 2 < len(words) or not words:
        return results
    context.unread = context.unread[:-1]
    event = Amend(of=number, changes={"text": ""}, at=scene.now, said_at=scene.now)
    last = results[-1]
    return [*results[:-1], replace(last, events=(*last.events, event))]


def _content(text: str) -> set[str]:
    return {w for w in text.casefold().replace(",", " ").split() if len(w) > 3}


def _missing(said: Meaning) -> str:
    """Ask for the one thing that is missing."""
    if isinstance(said, Unread):
        if said.missing:
            return f"I did not get {said.missing}: say it in other words."
        return f'I did not follow "{said.words}": say it in other words.' if said.words else "I did not follow that."
    word = said.held or ""
    where = f' in "{said.words}"' if said.words and isinstance(said, Deed) else ""
    return f'What is "{word}"{where}?' if word else f"I did not follow all of that{where}."
