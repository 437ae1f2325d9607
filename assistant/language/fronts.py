"""What stands before a noun: quantifier, article, number, describing words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.meanings import Pronoun, Quantifier
from assistant.language.noungroup import NounGroup

_QUANTIFIERS: Final = {
    "all": Quantifier.ALL, "every": Quantifier.ALL, "everything": Quantifier.ALL, "whole": Quantifier.ALL,
    "both": Quantifier.BOTH, "pair": Quantifier.BOTH, "each": Quantifier.EACH, "any": Quantifier.ANY,
    "anything": Quantifier.ANY, "no": Quantifier.NONE, "none": Quantifier.NONE, "nothing": Quantifier.NONE,
    "neither": Quantifier.NONE, "other": Quantifier.OTHER, "others": Quantifier.REST, "rest": Quantifier.REST,
    "remaining": Quantifier.REST, "either": Quantifier.ANY, "lot": Quantifier.ALL,
}  # fmt: skip


THINGS: Final = {
    "it": Pronoun.IT, "this": Pronoun.IT, "that": Pronoun.IT, "one": Pronoun.IT, "them": Pronoun.THEM,
    "they": Pronoun.THEM, "those": Pronoun.THEM, "these": Pronoun.THEM, "em": Pronoun.THEM, "ones": Pronoun.THEM,
}  # fmt: skip


_THEIRS: Final = frozenset(["his", "her", "their", "your", "theirs", "hers", "yours"])


_ARTICLES: Final = frozenset(
    ["the", "them", "yon", "same", "a", "an", "my", "our", "its", "this", "that", "these", "those", "some", "th"]
)


def fronts(phrase: Phrase, start: NounGroup) -> Iterator[NounGroup]:
    """Give what may stand before the noun: quantifier, article, number, describing words."""
    front, seen = start, 0
    while seen < 8:
        seen += 1
        word, j = phrase.at(front.j), front.j
        if word in _THEIRS:
            front = replace(front, j=j + 1, determiner=word, others=_of_others(phrase, j))
        elif word == "one" and phrase.at(j + 1) in ("more", "further", "extra"):
            front = replace(front, j=j + 2, another=True)
        elif word == "another" or (word in ("more", "further", "extra") and front.count):
            front = replace(front, j=j + 1, another=True)
        elif word in ("half", "most") and phrase.at(j + 1) in ("the", "of", "my", "a"):
            if phrase.at(j + 1) == "a":
                break  # a measure
            front = replace(front, j=j + 1 + (phrase.at(j + 1) == "of"), near=True)
        elif word in _QUANTIFIERS and not (word == "other" and phrase.at(j + 1) in ("than", "day", "night")):
            front = replace(front, j=j + 1, quantifier=_QUANTIFIERS[word], determiner=front.determiner or word)
            if phrase.at(front.j) == "of" and phrase.at(front.j + 1) in (*_ARTICLES, *THINGS, "our"):
                front = replace(front, j=front.j + 1)
        elif (
            word in _ARTICLES
            and not (word in ("this", "that", "these", "those") and j > start.j)
            and not (word in ("them", "same") and not (nouns(phrase, j + 1) or _counts(phrase, j + 1)))
        ):
            front = replace(front, j=j + 1, determiner=word)
        elif (numbered := _numbered(phrase, front)) is not None:
            front = numbered
        elif (described := _described(phrase, front)) is not None:
            front = described
        else:
            break
        if front.j >= len(phrase):
            break
    yield front
    if front.j == start.i + 1 and phrase.at(start.i) in ("both", "all", "each", "this", "that"):
        return
    if front.j > start.j and front.ordinal is None and front.count is not None:
        yield start  # the number may be no count of these


def _of_others(phrase: Phrase, i: int) -> bool:
    """Whether "his", "their" speaks of another's boat or piece; "got their undercoat" does not."""
    return not any(
        (c.cat is Cat.NAME and c.value.kind == "product") or (c.cat is Cat.NOUN and c.value.sense in ("coat", "act"))
        for c in nouns(phrase, i + 1)
    ) and not any(c.value[0] is Measure.ORDINAL for c in phrase.of(i + 1, Cat.MEASURE))


def _counts(phrase: Phrase, i: int) -> bool:
    return any(c.value[0] is Measure.NUMBER and 1 < c.value[1] < 10 for c in phrase.of(i, Cat.MEASURE))


def _numbered(phrase: Phrase, front: NounGroup) -> NounGroup | None:
    """Take an ordinal, a count or a measure that stands before a noun."""
    best: NounGroup | None = None
    for c in phrase.of(front.j, Cat.MEASURE):
        what, value = c.value
        if c.i != front.j:
            continue
        if what is Measure.ORDINAL and front.ordinal is None:
            found = replace(front, j=c.j, ordinal=value)
        elif what is Measure.NUMBER and value == int(value) and 0 < value < 30 and front.count is None:
            if not _countable(phrase, c.j) and not (
                front.determiner in ("the", "them", "those", "these", "same") and value < 10
            ):
                continue
            found = replace(front, j=c.j, count=value)
        elif what is Measure.AMOUNT and front.amount is None and _vessel_after(phrase, c.j):
            found = replace(front, j=c.j, amount=value)
        elif what is Measure.GRIT and front.grit is None and _abrasive_after(phrase, c.j):
            found = replace(front, j=c.j, grit=value)
        else:
            continue
        if best is None or found.j > best.j:
            best = found
    return best


def _countable(phrase: Phrase, i: int) -> bool:
    """Whether something that can be counted stands at ``i``: "two doors", "three of them", "two more coats"."""
    if phrase.at(i) in (
        "more",
        "further",
        "extra",
        "other",
        "fresh",
        "new",
        "big",
        "small",
        "of",
        "good",
        "light",
        "thin",
    ):
        i += 1 + (phrase.at(i) == "of" and phrase.at(i + 1) in ("the", "my", "those"))
        return bool(nouns(phrase, i)) or phrase.at(i) in THINGS
    for c in nouns(phrase, i):
        if c.cat is Cat.NOUN and c.value.sense in (
            "coat",
            "vessel",
            "part",
            "gear",
            "hardware",
            "tool",
            "abrasive",
            "fault",
        ):
            return True
        if c.cat is Cat.NAME and c.value.kind == "piece" and (c.value.plural or len(c.value.options) > 1):
            return True
        if c.cat is Cat.NAME and phrase.words[c.j - 1].endswith("s"):
            return True
    return any(  # "two satin coats", "two litre tins"
        c.cat is Cat.NAME and any(d.value.sense in ("coat", "vessel") for d in phrase.of(c.j, Cat.NOUN))
        for c in nouns(phrase, i)
    )


def _vessel_after(phrase: Phrase, i: int) -> bool:
    names = [c.j for c in phrase.of(i, Cat.NAME) if c.value.kind == "product"]
    return any(d.value.sense == "vessel" for at in (i, *names) for d in phrase.of(at, Cat.NOUN))


def _abrasive_after(phrase: Phrase, i: int) -> bool:
    return any(c.value.sense == "abrasive" for c in phrase.of(i, Cat.NOUN))


#: Describing words that a noun group takes without a thought.
_PLAIN: Final = frozenset(["opinion", "size", "colour", "air", "frequency", "manner", "quiet", "noisy", "certainty"])


def _described(phrase: Phrase, front: NounGroup) -> NounGroup | None:
    if any(c.cat in (Cat.NAME, Cat.NOUN) and c.j > front.j + 1 for c in phrase.chunks[front.j]):
        return None  # "port cabin door" is a name before "port" is a side, "dry spot" a fault before "dry" is a state
    named = any(c.cat is Cat.NAME and c.doubt < 0.4 for c in phrase.chunks[front.j])
    if named and not nouns(phrase, front.j + 1):
        return None  # "first clear on it": the clear one
    for c in sorted(phrase.of(front.j, Cat.DESCRIBING), key=lambda c: -c.j):
        sense, value = c.value.sense, c.value.value
        if sense in _PLAIN or sense == "only":
            return replace(front, j=c.j, opinion=front.opinion or sense == "opinion")
        if sense == "sequence" and front.ordinal is None:
            if c.value.lemma == "other":
                return replace(front, j=c.j, quantifier=Quantifier.OTHER)
            kind = "last" if c.value.lemma in ("last", "final", "latest") else "next" if c.value.lemma == "next" else ""
            return replace(front, j=c.j, sequence=kind or value)
        if sense == "side" and nouns(phrase, c.j):
            return replace(front, j=c.j, part=f"{front.part} {c.value.lemma}".strip() if front.part else c.value.lemma)
        if sense == "state" and nouns(phrase, c.j):
            return replace(front, j=c.j, states=(*front.states, value or c.value.lemma))
    english = [c for c in phrase.of(front.j, Cat.WORD) if c.value and "a" in c.value and "n" not in c.value]
    if english and front.j > front.i and nouns(phrase, front.j + 1):
        return replace(front, j=front.j + 1)
    return None


def nouns(phrase: Phrase, i: int) -> list[Chunk]:
    """Give the names and nouns at ``i``, of each kind the longest."""
    if not 0 <= i < len(phrase):
        return []
    best: dict[str, Chunk] = {}
    for c in phrase.chunks[i]:
        if c.cat is Cat.NAME:
            kind = c.value.kind
        elif c.cat is Cat.NOUN:
            kind = c.value.sense
        else:
            continue
        held = best.get(kind)
        if held is None or (c.j, -c.doubt, _worth(c)) > (held.j, -held.doubt, _worth(held)):
            best[kind] = c
    named = max((c.j for c in best.values() if c.cat is Cat.NAME and c.doubt < 0.4), default=0)
    if named:  # the job's own name is that thing before it is any other noun
        own = ("coat", "vessel", "tape", *(("part",) if phrase.at(longest_of(best)) == "of" else ()))
        best = {k: c for k, c in best.items() if c.cat is Cat.NAME or c.j > named or k in own or k.startswith("act.")}
    longest = max((c.j for c in best.values()), default=0)
    kept = [c for c in best.values() if c.j == longest or (c.cat is Cat.NAME and c.doubt < 0.2)]
    return sorted(kept, key=lambda c: (-c.j, c.doubt, c.cat is not Cat.NAME))[:3]


def _worth(c: Chunk) -> bool:
    """Whether a noun says more than its sense: "tack rag" is a tool, and one for cleaning."""
    return c.cat is Cat.NOUN and bool(c.value.value)


def longest_of(best: dict[str, Chunk]) -> int:
    """Give where the longest of some chunks ends."""
    return max((c.j for c in best.values()), default=0)
