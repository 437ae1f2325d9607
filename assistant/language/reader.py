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
from assistant.language.joining import (
    asked_whole,
    contrasted,
    each_its_own,
    everywhere_else,
    gapped_whole,
    manner_dropped,
    put_on_list,
    said_twice,
    shared_objects,
    shared_times,
    thinned_after,
)
from assistant.language.leads import AGREED, UNSURE, note_in, request, tag_question, without_pauses, words_taking_back
from assistant.language.lists import list_talk
from assistant.language.meanings import (
    Deed,
    Errand,
    Force,
    Meaning,
    Question,
    Reading,
    Remark,
    Rule,
    Unread,
)
from assistant.language.names import Gazetteer
from assistant.language.order import dangling
from assistant.language.sentences import Sentence
from assistant.language.short import done_too, same_again, short_answer
from assistant.language.short import put_right as put_right_last
from assistant.language.slips import mended
from assistant.language.slots import leftovers
from assistant.language.terse import second
from assistant.language.when import When

#: So many readings are kept.
_KEPT: Final = 256


class Reader:
    """Reads phrases of one job; made anew when its names change."""

    def __init__(self, names: Gazetteer, *, us: bool = False) -> None:
        self.names, self.us = names, us
        self._read: dict[str, Reading] = {}  # a phrase is read part by part, and its parts more than once

    def read(self, text: str) -> Reading:
        """Read a phrase. It always gives at least one meaning, if only :class:`Unread`."""
        found = self._read.get(text)
        if found is None:
            if len(self._read) >= _KEPT:
                self._read.clear()
            found = self._read[text] = self._whole(text)
        return found

    def _whole(self, text: str) -> Reading:
        phrase = cut(text, self.names, us=self.us)
        if not any(k != "mark" for k in phrase.kinds):
            return Reading(text, (Remark(words=""),))
        noted = note_in(phrase)
        if noted is not None:
            return Reading(text, (noted,))
        listed = list_talk(phrase)
        if listed is not None:
            return Reading(text, tuple(changes(phrase)) or (listed,), named=True)
        phrase = self._opened(phrase)
        if phrase.words[:2] == ["to", "do"] and phrase.at(2) not in ("it", "that", "this", "list", ""):
            return _to_do(self, phrase)
        planned = changes(phrase)
        if planned:
            return Reading(text, tuple(planned), named=True)
        first = second.before(phrase, itemised(phrase), self.read)
        return replace(first, phrase=text) if first is not None else self._clauses(phrase, text)

    def _opened(self, phrase: Phrase) -> Phrase:
        """Give a phrase without slips, pauses and the request round it, and with its contractions opened."""
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
        return chunked(phrase.text, phrase.tokens[asked_to:], self.names, us=self.us) if asked_to else phrase

    def _clauses(self, phrase: Phrase, text: str) -> Reading:
        """Read a phrase as clauses, and what they leave in the other ways in which people talk."""
        lead = words_taking_back(phrase)
        if lead:
            phrase = chunked(phrase.text, phrase.tokens[lead:], self.names, us=self.us)
        if tag_question(phrase, UNSURE):
            return Reading(text, (Question(words=text),), named=True)
        tail = tag_question(phrase, AGREED)
        if tail:
            phrase = chunked(phrase.text, phrase.tokens[:tail], self.names, us=self.us)
        items = itemised(phrase)
        if not lead and (row := second.rows(phrase, items)) is not None:
            return replace(row, phrase=text)
        found, cost = sentences.read(phrase)
        meanings = _meanings(phrase, found, taking_back=bool(lead))
        meanings = second.after(phrase, items, meanings, self.read, lead=bool(lead))
        if not any(c.cat in (Cat.NAME, Cat.MEASURE, Cat.TIME) and c.doubt < 0.4 for cs in phrase.chunks for c in cs):
            meanings = [Remark(words=text) if isinstance(m, Unread) else m for m in meanings]
        named = any(c.cat in (Cat.NAME, Cat.MEASURE) and c.doubt < 0.4 for cs in phrase.chunks for c in cs)
        explanation = tuple(_explained(phrase, found))
        return Reading(text, tuple(meanings) or (Unread(words=text),), cost, named, (), explanation)


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
    if any(phrase.at(s.clause.i) == "or" for s in found[1:]):  # one or the other: none of it is done
        found = [replace(s, force=Force.SUPPOSED) if s.force is not Force.ASKED else s for s in found]
    each = [built(phrase, s) for s in found]
    out = manner_dropped(each_its_own(contrasted(each)))
    loose = next((w for s in found if s.force is not Force.ASKED and (w := dangling(phrase, s.clause))), None)
    if loose is not None and any(not isinstance(m, Remark | Question) for m in out):
        asked: list[Meaning] = [m for m in out if isinstance(m, Question)]
        return asked or [Unread(words=phrase.said(0, len(phrase)), missing=f"{loose}")]
    out = [Remark(words=m.words) if isinstance(m, Rule) and not second.writes(m) and len(out) > 1 else m for m in out]
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
    return said_twice(shared_objects(everywhere_else(gapped_whole(shared_times(thinned_after(out))))))


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
