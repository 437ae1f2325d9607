"""Hours that are not the speaker's own: somebody who comes to help, the day it must be finished by, when to be quiet.

Who is spoken of, what for and when stand in any order and with any verb: "our lad's giving me a hand friday nine till
twelve", "the owner wants it by noon on tuesday", "nothing loud after eight".
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.items import Items, Kind
from assistant.language.meanings import Group, Rule
from assistant.language.merging import merge, on_day
from assistant.language.noungroup import Head
from assistant.language.periods import Bound, Edge, Range
from assistant.language.predicates import VerbGroup
from assistant.language.questions import asks
from assistant.language.terse.presence import likely, of_the_job
from assistant.language.when import When
from assistant.language.wordlist import Entry, VerbUse, wordlist

_UNSURE: Final = frozenset(["if", "unless", "might", "maybe", "perhaps", "could", "would", "whether", "suppose", "was"])
_OTHERS: Final = frozenset(["he", "she", "they", "owner", "owners", "customer", "client", "boss", "gaffer"])
_WANTING: Final = frozenset(["want", "need", "give", "expect", "like", "ask", "bump", "move", "push", "bring"])
_LOUD: Final = frozenset(["noise", "loud", "noisy", "banging", "hammering", "racket", "row"])
_SHUT: Final = frozenset(["closed", "shut", "locked", "limits", "bounds"])
_QUIET: Final = frozenset(["quiet", "silence", "hush", "silent"])


@dataclass(slots=True)
class _Times:
    """The times of a phrase: when it begins, by when it ends, for how long."""

    start: When | None = None
    end: When | None = None
    lasting: timedelta | None = None
    plain: When | None = None  # a time with nothing that makes it either end
    edge: Edge | None = None

    @property
    def begins(self) -> When | None:
        """When it begins, on the day that was said beside it; a time that stands alone is the beginning."""
        return on_day(self.start, self.plain) if self.start is not None else self.plain


def hours(phrase: Phrase, items: Items) -> tuple[Rule, ...]:
    """Read a phrase as somebody's help, a deadline or quiet hours; empty where it is none of them."""
    words = set(phrase.words)
    if words & _UNSURE or asks(phrase, 0, len(phrase), last=True):
        return ()
    times = _times(phrase)
    if times is None:
        return ()
    found = _closed(phrase, items, words, times)
    if not found and not of_the_job(phrase):  # with a piece in it a phrase tells of more than who helps
        found = _quiet(phrase, words, times) or _helper(phrase, items, times)
    return found or _deadline(phrase, items, words, times)


def deadline(phrase: Phrase, items: Items) -> tuple[Rule, ...]:
    """Read a phrase that names the deadline and a day as where the deadline is now; empty where it does not."""
    words = set(phrase.words)
    named = any("deadline" in entry.lemma for entry in _deadlines(phrase))
    if not named or words & _UNSURE or {"no", "not", "by"} & words or asks(phrase, 0, len(phrase), last=True):
        return ()
    times = _times(phrase)
    return _deadline(phrase, items, words, times) if times is not None else ()


def _deadlines(phrase: Phrase) -> list[Entry]:
    """Give the nouns for a deadline in a phrase: the word itself, and what it is called besides."""
    nouns = (c.value for k in range(len(phrase)) for c in phrase.of(k, Cat.NOUN))
    return [n for n in nouns if n.sense == "task" and n.value == "deadline"]


def _times(phrase: Phrase) -> _Times | None:
    """Give the times of a phrase; of what stands for another ("instead of saturday") only the one that holds."""
    out = _Times()
    k, found = 0, False
    while k < len(phrase):
        time = min(phrase.of(k, Cat.TIME), key=likely, default=None)
        ended = time is not None and any(c.value.tag == "until" for c in phrase.of(time.j, Cat.TIME))
        if time is None or (time.doubt > 0.8 and not ended):
            k += 1
            continue
        if phrase.at(k - 1) in ("of", "than", "not"):  # what it is not
            k = time.j
            continue
        found = True
        match time.value.value:
            case Range() as span:
                out.start, out.end = on_day(span.start, out.plain), span.end
            case Bound(edge=Edge.FROM | Edge.AFTER | Edge.SINCE) as bound:
                out.start, out.edge = on_day(bound.when, out.plain), bound.edge
            case Bound() as bound:
                out.end, out.edge = on_day(bound.when, out.plain), bound.edge
            case timedelta() as lasting:
                out.lasting = lasting
            case When() as when if when.ago is None:
                out.plain = (merge(out.plain, when) or when) if out.plain is not None else when
        k = time.j
    return out if found else None


def _quiet(phrase: Phrase, words: set[str], times: _Times) -> tuple[Rule, ...]:
    none = bool(words & {"no", "nothing", "not"})
    if not ((none and words & _LOUD) or words & _QUIET):
        return ()
    start = times.start or (times.plain if times.end is None else None)
    if start is None and times.end is None:
        return ()
    return (
        Rule(rule="quiet", start=start, end=times.end, words=phrase.text, daily="on" in words and "now" in words,
             once="tonight" in words),
    )  # fmt: skip


def _closed(phrase: Phrase, items: Items, words: set[str], times: _Times) -> tuple[Rule, ...]:
    """Give the hours in which nobody may be in a space: "nobody's to go in the wheelhouse tomorrow from eight"."""
    kept_out = words & {"nobody", "none", "keep", "not", "no"} and words & {"in", "into", "out", "near"}
    shut = words & _SHUT or (kept_out and words & {"go", "going", "be", "out", "one"})
    groups = [i.value for row in items.items for i in row if i.kind is Kind.GROUP and i.value.head is Head.SPACE]
    spaces = tuple(n for g in groups for n in g.spaces)[:1]
    start, end = times.begins, times.end
    if not shut or not spaces or (start is None and end is None) or {"i", "we"} & words:
        return ()
    return (Rule(rule="closed", start=start, end=end, lasting=times.lasting, spaces=spaces, words=phrase.text),)


def _helper(phrase: Phrase, items: Items, times: _Times) -> tuple[Rule, ...]:
    """Give the hours of somebody who helps: a person before the verb, and help or a hand."""
    helping = any(u.sense == "help" and not u.particles for k in range(len(phrase)) for u in _uses(phrase, k))
    hand = "hand" in phrase.words and bool({"give", "lend"} & {_lemma(phrase, k) for k in range(len(phrase))})
    if not (helping or hand) or _subject(phrase, items) in ("", "self"):
        return ()
    start, end = times.begins, times.end
    if start is None and end is None:
        return ()
    return (Rule(rule="helper", start=start, end=end, lasting=times.lasting, words=phrase.text, once=True),)


def _deadline(phrase: Phrase, items: Items, words: set[str], times: _Times) -> tuple[Rule, ...]:
    noun = bool(_deadlines(phrase))
    lemmas = {_lemma(phrase, k) for k in range(len(phrase))}
    wanted = _subject(phrase, items) == "other" and bool(lemmas & _WANTING)
    left = {"we", "i"} & words and "got" in words and times.edge is Edge.UNTIL
    end = times.end or (times.plain if noun or wanted else None)
    if end is None or not (noun or wanted or left) or (wanted and not noun and not _finishing(phrase, items, times)):
        return ()
    if end.clock is None and times.plain is not None and times.plain is not end:
        end = merge(end, times.plain) or end
    pieces = tuple(n for row in items.items for i in row if i.kind is Kind.GROUP for n in i.value.names
                   if n.doubt < 0.4)[:1]  # fmt: skip
    group = Group(names=pieces) if pieces and not noun else None
    return (Rule(rule="deadline", end=end, pieces=group, words=phrase.text),)


def _finishing(phrase: Phrase, items: Items, times: _Times) -> bool:
    """Whether what somebody wants is the work done, or more or less time for it."""
    done = {"done", "finished", "finish", "ready", "complete", "completed", "back", "off"} & set(phrase.words)
    return bool(done) or times.edge is Edge.UNTIL or any(
        i.kind is Kind.GROUP and i.value.names and not i.prep for row in items.items for i in row
    )  # fmt: skip


def _subject(phrase: Phrase, items: Items) -> str:
    """Give who stands before the first verb: "self", "other" or "" where nobody does."""
    for k in range(len(phrase)):
        word = phrase.at(k)
        if word in ("i", "we"):
            return "self"
        if word in _OTHERS:
            return "other"
        if any(
            i.kind is Kind.GROUP and i.value.head in (Head.PERSON, Head.OTHERS) and not i.prep for i in items.items[k]
        ):
            return "other"
        if word == "'s" and k:
            return "other"  # "Marco's helping"
        if any(isinstance(v, VerbGroup) and v.finite for v in items.verbs[k]):
            return "other" if k and phrase.at(k - 1) not in ("it", "there", "that", "this", ",") else ""
    return ""


def _uses(phrase: Phrase, k: int) -> list[VerbUse]:
    return [u for c in phrase.of(k, Cat.VERB) for f in c.value for u in wordlist().uses(f.lemma)]


def _lemma(phrase: Phrase, k: int) -> str:
    return next((f.lemma for c in phrase.of(k, Cat.VERB) for f in c.value), "")
