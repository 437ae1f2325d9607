"""Apostrophes that thumbs and dictation leave out, where the word without one is a word too: "its dry", "ill sand it".

Which of the two it is follows from what stands after it: "its" belongs to a thing where a noun follows ("its first
coat") and is "it is" where none does ("its eleven degrees", "its gone hard"); "ill" is "I will" before a plain verb.
"""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.tokens import Token

#: Adverbs that may stand between "it is" and what it is.
_ADVERBS: Final = frozenset(
    ["only", "just", "all", "still", "not", "now", "already", "about", "nearly", "almost", "got", "been", "had"]
)
_NOUNS: Final = frozenset([Cat.NAME, Cat.NOUN])


def with_apostrophes(phrase: Phrase) -> list[Token]:
    """Give the tokens of a phrase with "its", "ill" and "id" opened where they stand for two words."""
    out: list[Token] = []
    for k, token in enumerate(phrase.tokens):
        opened = _opened(phrase, k) if token.kind == "word" else _sounded(phrase, k)
        out += [Token(w, "word", token.start, token.end) for w in opened] or [token]
    return out


def _opened(phrase: Phrase, k: int) -> tuple[str, ...]:
    word = phrase.tokens[k].text
    if k + 1 >= len(phrase) or phrase.kinds[k + 1] == "mark":
        return ()
    if word == "its" and not _thing(phrase, k + 1):
        return ("it", "is")
    if word == "ill" and _tags(phrase, k + 1) & {"VB"}:
        return ("i", "will")
    if word == "id" and _tags(phrase, k + 1) & {"VB", "VBN"}:
        return ("i", "would")
    return ()


def _sounded(phrase: Phrase, k: int) -> tuple[str, ...]:
    """Give "to" or "for" where a thumb wrote 2 or 4 for them: "remind me 2 order", "same 4 the shelf"."""
    word, after = phrase.tokens[k].text, phrase.at(k + 1)
    if word not in ("2", "4") or not after or phrase.kinds[k + 1] != "word":
        return ()
    if after in ("the", "my", "that", "this", "them"):
        return ("to",) if word == "2" else ("for",)
    if word == "4":
        return ("for",) if any(c.value.tag == "when" for c in phrase.of(k + 1, Cat.TIME)) else ()
    ordered = phrase.at(k - 1) in ("me", "want", "need", "have", "got", "going", "ready", "forget", "us")
    return ("to",) if ordered and "VB" in _tags(phrase, k + 1) else ()


def _tags(phrase: Phrase, k: int) -> frozenset[str]:
    return frozenset(t for c in phrase.of(k, Cat.VERB) for f in c.value for t in f.tags)


def _thing(phrase: Phrase, k: int) -> bool:
    """Whether a thing that can belong to something stands at word ``k``."""
    if phrase.at(k) in _ADVERBS:
        return False
    here = phrase.chunks[k]
    if any(c.cat is Cat.MEASURE and c.value[0].value in ("ordinal",) for c in here):
        return True
    if any(c.cat in (Cat.MEASURE, Cat.TIME) for c in here) or phrase.function(k, "determiner", "preposition"):
        return False
    described = [c.j for c in here if c.cat is Cat.DESCRIBING]
    done = bool(_tags(phrase, k) & {"VBN", "VBD", "VBG"})
    if described or done:  # "its wet edge" and "its wet"
        after = max([*described, k + 1])
        return after < len(phrase) and any(c.cat in _NOUNS for c in phrase.chunks[after])
    return any(c.cat in _NOUNS or c.cat is Cat.WORD for c in here)
