"""The one reader: a phrase in, its typed meanings out, whether it was typed, heard or is to be explained."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language import sentences
from assistant.language.apostrophes import with_apostrophes
from assistant.language.building import built
from assistant.language.changes import changes
from assistant.language.chunks import Cat, Phrase, chunked, cut
from assistant.language.items import Kind, itemised
from assistant.language.joining import asked_whole, contrasted, each_its_own, everywhere_else, gapped_whole, manner_dropped, put_on_list, said_twice, shared_times, timed
from assistant.language.leads import AGREED, UNSURE, note_in, request, tag_question, without_pauses, words_taking_back
from assistant.language.lists import list_talk
from assistant.language.meanings import (
    Answer,
    Correction,
    Deed,
    Errand,
    Force,
    Meaning,
    Note,
    Question,
    Reading,
    Remark,
    Rule,
    Undo,
    Unread,
)
from assistant.language.names import Gazetteer
from assistant.language.order import dangling
from assistant.language.sentences import Sentence
from assistant.language.short import done_too, same_again, short_answer
from assistant.language.short import put_right as put_right_last
from assistant.language.slips import mended
from assistant.language.slots import leftovers
from assistant.language.terse.hours import hours
from assistant.language.terse.parting import loses, parted
from assistant.language.terse.presence import presence
from assistant.language.terse.putright import put_right
from assistant.language.terse.reports import report
from assistant.language.terse.spans import Span, span
from assistant.language.when import When


class Reader:
    """Reads phrases of one job; made anew when its names change."""

    def __init__(self, names: Gazetteer, *, us: bool = False) -> None:
        self.names, self.us = names, us

    def read(self, text: str) -> Reading:
        """Read a phrase. It always gives at least one meaning, if only :class:`Unread`."""
        phrase = cut(text, self.names, us=self.us)
        if not any(k != "mark" for k in phrase.kinds):
            return Reading(text, (Remark(words=""),))
        noted = note_in(phrase)
        if noted is not None:
            return Reading(text, (noted,))
        listed = list_talk(phrase)
        if listed is not None:
            return Reading(text, tuple(changes(phrase)) or (listed,), named=True)
        toks = mended(phrase)
        if toks is not None:
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        toks = with_apostrophes(phrase)
        if len(toks) > len(phrase):
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        toks = without_pauses(phrase)
        if len(toks) < len(phrase):
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        asked_to = request(phrase)
        if asked_to:
            phrase = chunked(phrase.text, phrase.tokens[asked_to:], self.names, us=self.us)
        if phrase.words[:2] == ["to", "do"] and phrase.at(2) not in ("it", "that", "this", "list", ""):
            return _to_do(self, phrase)
        planned = changes(phrase)
        if planned:
            return Reading(text, tuple(planned), named=True)
        taken = span(phrase)
        if taken is not None:
            rest = self.read(" ".join(t.text for t in taken.rest))
            if any(isinstance(m, Deed) and m.force is Force.DONE for m in rest.meanings):
                return replace(rest, phrase=text, meanings=tuple(_spanned(m, taken) for m in rest.meanings))
        stays = presence(phrase, itemised(phrase))
        if stays:
            return Reading(text, stays, named=True)
        lead = words_taking_back(phrase)
        if lead:
            phrase = chunked(phrase.text, phrase.tokens[lead:], self.names, us=self.us)
        if tag_question(phrase, UNSURE):
            return Reading(text, (Question(words=text),), named=True)
        tail = tag_question(phrase, AGREED)
        if tail:
            phrase = chunked(phrase.text, phrase.tokens[:tail], self.names, us=self.us)
        rows = report(phrase, itemised(phrase), 0, len(phrase), several=True)
        if rows is not None and not lead:
            return Reading(text, rows, named=True)
        found, cost = sentences.read(phrase)
        meanings = _meanings(phrase, found, taking_back=bool(lead))
        if not any(isinstance(m, Undo) for m in meanings) and not any(
            isinstance(m, Note) and m.force is Force.ORDERED for m in meanings
        ):
            fixed = put_right(phrase, itemised(phrase), lead=bool(lead))
            whole = len(meanings) == 1 and isinstance(meanings[0], Correction)
            if fixed is not None and not (whole and (meanings[0].wrong or not fixed.wrong)):  # type: ignore[attr-defined]
                meanings = [fixed if whole else replace(fixed, otherwise=tuple(meanings))]
        idle = all(isinstance(m, Answer | Unread | Remark | Note) or not _writes(m) for m in meanings)
        if idle and (told := hours(phrase, itemised(phrase))):
            meanings = list(told)
        elif not lead and all(isinstance(m, Answer | Unread | Remark | Note) for m in meanings):
            meanings = list(report(phrase, itemised(phrase), 0, len(phrase)) or meanings)
        if not lead and loses(meanings) and (sides := parted(phrase, self.read)) is not None:
            meanings = list(sides)
        meanings = timed(meanings, _said_times(phrase))
        if not any(c.cat in (Cat.NAME, Cat.MEASURE, Cat.TIME) and c.doubt < 0.4 for cs in phrase.chunks for c in cs):
            meanings = [Remark(words=text) if isinstance(m, Unread) else m for m in meanings]
        named = any(c.cat in (Cat.NAME, Cat.MEASURE) and c.doubt < 0.4 for cs in phrase.chunks for c in cs)
        explanation = tuple(_explained(phrase, found))
        return Reading(text, tuple(meanings) or (Unread(words=text),), cost, named, (), explanation)


def _said_times(phrase: Phrase) -> list[When]:
    """Give the clock times of a phrase that cannot be anything else."""
    out: list[When] = []
    k = 0
    while k < len(phrase):
        found = [c for c in phrase.of(k, Cat.TIME) if c.doubt < 0.1 and isinstance(c.value.value, When)]
        other = any(c.cat is Cat.MEASURE and c.doubt < 0.4 for c in phrase.chunks[k])
        best = max(found, key=lambda c: c.j, default=None)
        led = phrase.at(k - 1) in ("at", "about", "around", "by")
        if best is not None and best.value.value.clock is not None and (led or not other):
            out.append(best.value.value)
        k = best.j if best is not None else k + 1
    return out


def _spanned(meaning: Meaning, taken: Span) -> Meaning:
    """Give a deed the beginning and the end that were said beside it, where it has no time of its own."""
    if not isinstance(meaning, Deed) or meaning.force is not Force.DONE or meaning.when is not None:
        return meaning
    return replace(meaning, began=taken.began, when=taken.ended)


def _writes(meaning: Meaning) -> bool:
    """Whether a meaning would become an entry as it stands."""
    if isinstance(meaning, Rule):
        return bool(meaning.start or meaning.end or meaning.lasting)
    return meaning.force in (Force.DONE, Force.ORDERED, Force.MEANT) and not isinstance(meaning, Question)


def _to_do(reader: Reader, phrase: Phrase) -> Reading:
    """Read "to do sand the door": what follows is work to come, however it is worded."""
    k = 2
    while phrase.at(k) in (":", ","):
        k += 1
    rest = reader.read(phrase.said(k, len(phrase)))
    meanings = tuple(
        replace(m, force=Force.ORDERED) if isinstance(m, Deed) and m.force in (Force.DONE, Force.MEANT) else m
        for m in rest.meanings
    )
    return replace(rest, phrase=phrase.text, meanings=meanings)


def _meanings(phrase: Phrase, found: list[Sentence], *, taking_back: bool) -> list[Meaning]:
    if not found:
        return []
    reminder = _reminder(phrase, found)
    if reminder is not None:
        return [reminder]
    taking_back = taking_back or (phrase.at(0) == "not" and len(found) == 1)
    if taking_back and (fixed := put_right_last(phrase, found)) is not None:
        return [fixed]
    short = same_again(phrase, found) or done_too(phrase, found) or short_answer(phrase, found)
    if short is not None:
        return [short]
    found = asked_whole(found)
    each = [built(phrase, s) for s in found]
    out = manner_dropped(each_its_own(contrasted(each)))
    loose = next((w for s in found if s.force is not Force.ASKED and (w := dangling(phrase, s.clause))), None)
    if loose is not None and any(not isinstance(m, Remark | Question) for m in out):
        asked: list[Meaning] = [m for m in out if isinstance(m, Question)]
        return asked or [Unread(words=phrase.said(0, len(phrase)), missing=f"{loose}")]
    out = [Remark(words=m.words) if isinstance(m, Rule) and not _writes(m) and len(out) > 1 else m for m in out]
    kept = [m for m in out if not isinstance(m, Remark) or m.force is not Force.REMARKED]
    out = kept or out
    fragments = [s for s in found if s.clause.frame.name == "fragment" and s.force is not Force.ASKED]
    out = put_on_list(out)
    if fragments and not any(isinstance(m, Question) for m in out):
        rest = [m for s, m in zip(found, each, strict=True) if s not in fragments and not isinstance(m, Remark)]
        told = [s for s in fragments if any(p.slot for p in s.clause.parts if p.slot != "subordinator")]
        if told and not [m for m in rest if m.force is not Force.DENIED]:
            return [Unread(words=phrase.said(0, len(phrase)), missing=_missing(told))]
        if told:
            said = phrase.said(told[0].clause.i, told[0].clause.j)
            first = rest[0]
            if isinstance(first, Deed) and first.force is Force.DONE:
                rest[0] = replace(first, held=first.held or said)
            return rest
    if all(isinstance(m, Remark) for m in out) and _unread(found):
        return [Unread(words=phrase.said(0, len(phrase)), missing=_what(phrase, found))]
    return said_twice(everywhere_else(gapped_whole(shared_times(out))))


def _reminder(phrase: Phrase, found: list[Sentence]) -> Errand | None:
    """Take "remind me at six to turn the heating on" as a job that rings; None where it is work on a piece."""
    first = found[0]
    reminds = phrase.words[:6]
    if first.force is not Force.ORDERED or not (
        "remind" in reminds or ("forget" in reminds and "not" in reminds and "let" in reminds)
    ):
        return None
    if "never" in phrase.words:
        return None  # a joke: "remind me never to ..."
    start = next((k + 1 for k in range(len(phrase)) if phrase.at(k) == "to"), 0)
    times = [p.item for s in found for p in s.clause.parts if p.item.kind is Kind.TIME and p.slot == "when"]
    work = built(phrase, found[-1])
    if not start or start >= len(phrase) or (isinstance(work, Deed) and work.pieces is not None):
        return None
    end = min([t.i for t in times if t.j == len(phrase) and t.i > start] or [len(phrase)])
    ring = times[0].value.value if times and isinstance(times[0].value.value, When) else None
    return Errand(text=phrase.said(start, end), force=Force.ORDERED, words=phrase.text, ring=ring)


def _unread(found: list[Sentence]) -> bool:
    """Whether a phrase tells of the job, though nothing in it was understood as work or as a remark."""
    job = any(
        p.item.kind is Kind.GROUP and (p.item.value.names or p.item.value.products)
        for s in found for p in s.clause.parts
    )  # fmt: skip
    told = [s for s in found if s.force in (Force.DONE, Force.UNDERWAY)]
    measured = any(p.item.kind is Kind.MEASURE and p.item.kinds[0] in _OF_WORK for s in told for p in s.clause.parts)
    return measured or (job and any(s.clause.cost > 1.0 for s in told))


#: Measures that only work and its air have: a remark has none.
_OF_WORK: Final = frozenset(["temperature", "grit", "ratio", "percent", "film"])


def _what(phrase: Phrase, found: list[Sentence]) -> str:
    for s in found:
        held = leftovers(phrase, s.clause)[1]
        if held:
            return held
    return "what was done"


def _missing(fragments: list[Sentence]) -> str:
    slots = {p.slot for s in fragments for p in s.clause.parts}
    return "what was done to it" if "pieces" in slots else "what it was done to"


def _explained(phrase: Phrase, found: list[Sentence]) -> list[str]:
    lines = []
    for token, word, doubt in zip(phrase.tokens, phrase.words, phrase.doubts, strict=True):
        if doubt:
            lines.append(f"{token.text}: taken as {word} ({doubt:g})")
    for s in found:
        c = s.clause
        said = phrase.said(c.i, c.j)
        how = (
            f"{c.frame.name}"
            + (f", verb {c.lemma}" if c.lemma else "")
            + (", goes on with the verb before" if s.gapped else "")
        )
        lines.append(f'"{said}" as {how}: {s.force.value}, cost {c.cost:.2f}')
        for p in c.parts:
            words = phrase.said(p.item.i, p.item.j)
            if p.slot:
                lines.append(
                    f"  {words} -> {p.slot} ({p.item.kinds[0]})" + (f", doubt {p.item.doubt:g}" if p.item.doubt else "")
                )
            elif p.item.content or p.item.loose >= 0.3:
                lines.append(f"  {words}: no use ({p.item.kinds[0]})")
    return lines
