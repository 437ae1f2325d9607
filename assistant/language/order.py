"""Whether the small words of a phrase stand where they can: an article before a noun, a preposition before a thing.

People leave small words out, thumbs and dictation more so; they do not put them where nothing follows that they
could belong to. A phrase in which one dangles was not heard right, or is no sentence, and nothing of it is logged.
"""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.clause import Clause
from assistant.language.items import Kind

_ARTICLES: Final = frozenset(["the", "a", "an", "my", "our", "its"])
#: Prepositions that are no particle of a verb and no adverb: something must follow them.
_BINDING: Final = frozenset(["of", "for", "with", "at", "from", "to", "into", "onto", "by", "than", "using", "per"])
#: Particles that can end a clause, but stand before no article's end and no other preposition.
_PARTICLES: Final = frozenset(["on", "in", "over", "through", "under", "off", "round"])
_NOMINAL: Final = frozenset([Cat.NAME, Cat.NOUN, Cat.DESCRIBING, Cat.WORD, Cat.MEASURE, Cat.TIME])


def dangling(phrase: Phrase, clause: Clause) -> str | None:
    """Give the first small word of a clause that belongs to nothing, or None."""
    for part in clause.parts:
        item = part.item
        if part.slot is not None or item.kind is not Kind.FUNCTION:
            continue
        word = phrase.at(item.j - 1)
        if word == phrase.at(item.j) and _noun_follows(phrase, item.j + 1):
            continue  # said twice
        sense = item.kinds[-1]
        if (sense == "determiner" or word in _ARTICLES) and not _noun_follows(phrase, item.j):
            return phrase.said(item.i, item.j)
        if word in _BINDING and not _thing_follows(phrase, item.j):
            return phrase.said(item.i, item.j)
        if (
            word in _PARTICLES
            and item.j < len(phrase)
            and _only_small(phrase, item.j)
            and phrase.at(item.j) not in ("to", "with", "and", "then", "in", "on", "there", "here")
        ):
            return phrase.said(item.i, item.j)
        if sense in ("auxiliary", "modal") and word not in ("'s", "got", "had", "has", "have"):
            return phrase.said(item.i, item.j)
        if sense == "conjunction" and word in ("and", "or", "but") and item.j == len(phrase):
            return phrase.said(item.i, item.j)
    return None


def _noun_follows(phrase: Phrase, i: int) -> bool:
    return i < len(phrase) and any(c.cat in _NOMINAL for c in phrase.chunks[i]) and not _only_small(phrase, i)


def _only_small(phrase: Phrase, i: int) -> bool:
    """Whether the word at ``i`` is a preposition, an article or an auxiliary before anything else."""
    return phrase.function(
        i, "preposition", "determiner", "auxiliary", "modal", "conjunction", "subordinator"
    ) is not None and not any(c.cat in (Cat.NAME, Cat.MEASURE) for c in phrase.chunks[i])


def _thing_follows(phrase: Phrase, i: int) -> bool:
    if i >= len(phrase) or phrase.kinds[i] == "mark":
        return False
    if phrase.function(i, "pronoun", "quantifier") or any(
        c.cat in (Cat.NAME, Cat.NOUN, Cat.MEASURE, Cat.TIME, Cat.WORD) for c in phrase.chunks[i]
    ):
        return True
    if any("VBG" in f.tags for c in phrase.of(i, Cat.VERB) for f in c.value):
        return True
    return (phrase.at(i) in _ARTICLES and _noun_follows(phrase, i + 1)) or (
        any(phrase.of(i, Cat.DESCRIBING)) and not _only_small(phrase, i)
    )
