"""The second reading of a phrase: what the clause reader left is tried as the other ways in which people talk.

First comes what can only be one thing: work with its span, the speaker's own hours, rows of things and figures. The
others are tried where clauses gave nothing that could be written, or lost some of what was said.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from assistant.language.chunks import Cat, Phrase
from assistant.language.items import Items
from assistant.language.joining import each_its_own, timed
from assistant.language.meanings import (
    Answer,
    Correction,
    Deed,
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
from assistant.language.terse.accounted import accounted, placed
from assistant.language.terse.hours import deadline, hours
from assistant.language.terse.parting import loses, parted
from assistant.language.terse.presence import presence
from assistant.language.terse.putright import put_right
from assistant.language.terse.reports import report
from assistant.language.terse.spans import Span, span
from assistant.language.when import When

#: A time heard with more doubt than this may be something else.
_CLEAR = 0.1
_SURE = 0.4

Read = Callable[[str], Reading]


def before(phrase: Phrase, items: Items, read: Read) -> Reading | None:
    """Read what needs no clause: work with its span, or when the speaker is on the boat; None where it is neither."""
    taken = span(phrase)
    if taken is not None:
        rest = read(" ".join(t.text for t in taken.rest))
        if any(isinstance(m, Deed) and m.force is Force.DONE for m in rest.meanings):
            return replace(rest, phrase=phrase.text, meanings=tuple(_spanned(m, taken) for m in rest.meanings))
    stays = presence(phrase, items)
    return Reading(phrase.text, stays, named=True) if stays else None


def rows(phrase: Phrase, items: Items) -> Reading | None:
    """Read a row of things that each has its figures; None where it is no such row."""
    told = report(phrase, items, 0, len(phrase), several=True)
    return Reading(phrase.text, told, named=True) if told is not None else None


def after(phrase: Phrase, items: Items, meanings: list[Meaning], read: Read, *, lead: bool) -> list[Meaning]:
    """Give the meanings of a phrase with what its clauses left read in another way; ``lead``: it began with "no,"."""
    meanings = _put_right(phrase, items, meanings, lead=lead)
    dated = deadline(phrase, items) if not any(isinstance(m, Rule) for m in meanings) else ()
    if dated:
        return list(dated)
    silent = all(isinstance(m, Answer | Unread | Remark | Note) for m in meanings)
    if (silent or not any(writes(m) for m in meanings)) and (told := hours(phrase, items)):
        meanings = list(told)
    elif silent and not lead:
        meanings = list(report(phrase, items, 0, len(phrase)) or meanings)
    if not lead and loses(meanings) and (sides := parted(phrase, read)) is not None:
        meanings = each_its_own(list(sides))
    meanings = placed(phrase, meanings)
    return accounted(phrase, timed(meanings, _said_times(phrase)))


def _put_right(phrase: Phrase, items: Items, meanings: list[Meaning], *, lead: bool) -> list[Meaning]:
    if any(isinstance(m, Undo) or (isinstance(m, Note) and m.force is Force.ORDERED) for m in meanings):
        return meanings
    fixed = put_right(phrase, items, lead=lead)
    if fixed is None:
        return meanings
    first = meanings[0] if len(meanings) == 1 else None
    if isinstance(first, Correction):
        return meanings if first.wrong or not fixed.wrong else [fixed]
    return [replace(fixed, otherwise=tuple(meanings))]


def writes(meaning: Meaning) -> bool:
    """Whether a meaning would become an entry as it stands."""
    if isinstance(meaning, Rule):
        return bool(meaning.start or meaning.end or meaning.lasting)
    return meaning.force in (Force.DONE, Force.ORDERED, Force.MEANT) and not isinstance(meaning, Question)


def _said_times(phrase: Phrase) -> list[When]:
    """Give the clock times of a phrase that cannot be anything else."""
    out: list[When] = []
    for time in phrase.longest(Cat.TIME, lambda c: c.doubt < _CLEAR and isinstance(c.value.value, When)):
        other = any(c.doubt < _SURE for c in phrase.of(time.i, Cat.MEASURE))
        led = phrase.at(time.i - 1) in ("at", "about", "around", "by")
        sure = not any(phrase.doubts[time.i : time.j]) and (led or not other)
        if sure and time.value.value.clock is not None:
            out.append(time.value.value)
    return out


def _spanned(meaning: Meaning, taken: Span) -> Meaning:
    """Give a deed the beginning and the end that were said beside it, where it has no time of its own."""
    if not isinstance(meaning, Deed) or meaning.force is not Force.DONE or meaning.when is not None:
        return meaning
    return replace(meaning, began=taken.began, when=taken.ended)
