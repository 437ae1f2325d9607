"""Jobs in free words, the list, notes and remarks, built from their clauses."""

from __future__ import annotations

from assistant.language.chunks import Phrase
from assistant.language.clause import Clause
from assistant.language.items import Kind
from assistant.language.meanings import (
    Errand,
    Force,
    Group,
    Meaning,
    Note,
    Remark,
)
from assistant.language.noungroup import Head
from assistant.language.sentences import Sentence
from assistant.language.slots import Slots


def free_words(phrase: Phrase, s: Sentence) -> Meaning:
    """Build work that has no event of its own: done it is a line of the day, meant it is an errand."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    words = phrase.said(clause.i, clause.j)
    reminded = {"remind", "forget"} & set(phrase.words[max(0, clause.i - 4) : clause.j]) and "never" not in phrase.words
    if "never" in phrase.words[clause.i : clause.j] and "remind" in phrase.words:
        return Remark(words=words)
    if s.force is Force.ORDERED and not (reminded or _worth_doing(clause)):
        return Remark(words=words, force=s.force)
    if s.force in (Force.MEANT, Force.ORDERED):
        start = clause.verb.main if clause.verb is not None and clause.verb.main >= 0 else clause.i
        until = slots.bound("until")
        return Errand(
            text=phrase.said(start, clause.j), force=s.force, words=words, pieces=_named(clause),
            due=until.when if until else None, ring=slots.when() if "remind" in phrase.words else None,
            not_before=slots.when() if "remind" not in phrase.words else None,
        )  # fmt: skip
    if s.force in (Force.DONE, Force.UNDERWAY) and _of_the_job(clause, done=True):
        return Note(text=words, words=words, when=slots.when(), pieces=_named(clause))
    return Remark(words=words, force=s.force)


def _worth_doing(clause: Clause) -> bool:
    """Whether a plain order is a job of this boat: it is wanted, or it speaks of a thing of the job."""
    if clause.verb is not None and (clause.verb.operators or not clause.verb.base):
        return True
    return _of_the_job(clause)


def _of_the_job(clause: Clause, *, done: bool = False) -> bool:
    job = (
        Head.PRODUCT,
        Head.TOOL,
        Head.GEAR,
        Head.MATERIAL,
        Head.VESSEL,
        Head.THINNER,
        Head.TAPE,
        Head.ABRASIVE,
        Head.TASK,
    )
    groups = [p.item.value for p in clause.parts if p.item.kind is Kind.GROUP]
    fitted = any(g.head is Head.HARDWARE and (g.determiner != "the" or done) for g in groups)
    return fitted or any(g.names or g.products or g.spaces or g.head in job for g in groups)


def _named(clause: Clause) -> Group | None:
    """Give the pieces named anywhere in a clause of a free frame."""
    names = tuple(n for p in clause.parts if p.item.kind is Kind.GROUP for n in p.item.value.names)
    return Group(names=names) if names else None


def remark(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is no work: a comment, and where it speaks of the job a line of the day."""
    words = phrase.said(s.clause.i, s.clause.j)
    about = [p.item.value for p in s.clause.parts if p.item.kind is Kind.GROUP]
    job = any(g.names or g.products for g in about)
    if job and s.force in (Force.DONE, Force.UNDERWAY) and s.clause.verb is not None:
        return Note(text=words, words=words, pieces=_named(s.clause))
    return Remark(words=words, force=s.force if s.force is not Force.DONE else Force.REMARKED)


def told(phrase: Phrase, s: Sentence) -> Meaning:
    """Build "the hinges on the door are done": an entry of the list ticked off, or a line of the day."""
    words = phrase.said(s.clause.i, s.clause.j)
    return Note(text=words, words=words) if s.force is Force.DONE else remark(phrase, s)


def listing(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is put on the list by itself: "add fit the catch to the list", "add a job"."""
    own = [p.item for p in s.clause.parts if p.slot == "anything" and p.item.content]
    own = [i for i in own if i.kind is Kind.GROUP and i.kinds[0] not in ("document", "task.list", "task")]
    if not own:  # it speaks of what was told before, or of what follows
        return Errand(text="", force=Force.ORDERED, words=phrase.said(s.clause.i, s.clause.j))
    return Errand(text=phrase.said(own[0].i, own[-1].j), force=Force.ORDERED, words=phrase.said(s.clause.i, s.clause.j))


def ticking(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is ticked off the list."""
    own = [p.item for p in s.clause.parts if p.slot in ("anything", "pieces") and p.item.content]
    text = phrase.said(own[0].i, own[-1].j) if own else ""
    return Errand(text=text, force=Force.DONE, words=phrase.said(s.clause.i, s.clause.j))
