"""A phrase cut into chunks: every stretch that may be a name, a time, a measure, a verb or a known word.

Chunks overlap freely. The next room makes noun groups and verb groups of them; which of all these stand together
is decided clause by clause.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final, NamedTuple

from assistant.language import times
from assistant.language.measures import STARTS, Measure, measures_at
from assistant.language.names import Gazetteer, Name, singular
from assistant.language.spelling import Form, forms
from assistant.language.tokens import Token, normal, tokens
from assistant.language.wordlist import VerbForm, english, wordlist


class Cat(StrEnum):
    """What a chunk is."""

    NAME = "name"  # value: Name
    MEASURE = "measure"  # value: (Measure, value)
    TIME = "time"  # value: times.Found
    NOUN = "noun"  # value: Entry
    DESCRIBING = "describing"  # value: Entry
    FUNCTION = "function"  # value: Entry
    VERB = "verb"  # value: tuple of VerbForm
    MARK = "mark"  # value: the mark
    WORD = "word"  # a word that the lexicon does not know; value: its parts of speech in English, None if no English


class Chunk(NamedTuple):
    """Words ``i`` up to ``j`` taken as ``cat``; ``doubt`` 0 where nothing had to be supposed."""

    i: int
    j: int
    cat: Cat
    value: Any
    doubt: float = 0.0


@dataclass(slots=True)
class Phrase:
    """A phrase with its words as they are taken (misspelt ones put right) and all its chunks by first word."""

    text: str
    tokens: list[Token]
    words: list[str]
    kinds: list[str]
    doubts: list[float]  # of each word: how far it had to be supposed
    us: bool = False  # pints, ounces and degrees as the United States have them
    chunks: list[list[Chunk]] = field(default_factory=list)

    def __len__(self) -> int:
        return len(self.words)

    def said(self, i: int, j: int) -> str:
        """Give the words ``i`` up to ``j`` as they were said."""
        if i >= j or i >= len(self.tokens):
            return ""
        return self.text[self.tokens[i].start : self.tokens[min(j, len(self.tokens)) - 1].end].strip(" ,;.")

    def at(self, i: int) -> str:
        """Give word ``i``, "" outside the phrase."""
        return self.words[i] if 0 <= i < len(self.words) else ""

    def of(self, i: int, cat: Cat) -> Iterator[Chunk]:
        """Give the chunks of a category that start at word ``i``."""
        if 0 <= i < len(self.chunks):
            yield from (c for c in self.chunks[i] if c.cat is cat)

    def longest(self, cat: Cat, wanted: Callable[[Chunk], bool]) -> Iterator[Chunk]:
        """Give the chunks of a category that are ``wanted``: at each place the longest, and none inside another."""
        k = 0
        while k < len(self):
            best = max((c for c in self.of(k, cat) if wanted(c)), key=lambda c: (c.j, -c.doubt), default=None)
            if best is not None:
                yield best
            k = best.j if best is not None else k + 1

    def function(self, i: int, *classes: str) -> Chunk | None:
        """Give the longest function word at ``i`` that is of one of ``classes``."""
        found = [c for c in self.of(i, Cat.FUNCTION) if c.value.sense in classes]
        return max(found, key=lambda c: c.j, default=None)


_SIDES: Final = frozenset(["port", "starboard", "left", "right", "upper", "lower", "fore", "aft", "inner", "outer"])
#: A number that flows and is at least so large may be millilitres without saying so.
BARE: Final = 100


def cut(text: str, names: Gazetteer, *, us: bool = False) -> Phrase:
    """Cut a phrase into words and find its chunks."""
    toks = tokens(text)
    return chunked(normal(text), toks, names, us=us)


def chunked(text: str, toks: list[Token], names: Gazetteer, *, us: bool = False) -> Phrase:
    """Find the chunks of a phrase that is cut already."""
    meant = [forms(t.text, names.words) if t.kind == "word" else (Form(t.text, 0.0),) for t in toks]
    best = [f[0] if len(f) == 1 else f[1] if f[1].doubt < 0.8 else f[0] for f in meant]
    words, kinds = [f.word for f in best], [t.kind for t in toks]
    phrase = Phrase(text, toks, words, kinds, [f.doubt for f in best], us)
    spoken = [m if t.kind == "word" else _figures(t.text) for m, t in zip(meant, toks, strict=True)]
    when = times.all_chunks(words, kinds)
    for i in range(len(words)):
        found: list[Chunk] = []
        if kinds[i] == "mark":
            found.append(Chunk(i, i + 1, Cat.MARK, words[i]))
        found += [Chunk(i, f.end, Cat.TIME, f, f.doubt) for f in when[i]]
        found += _measures(words, kinds, i, us=us)
        found += [Chunk(i, end, Cat.NAME, n, n.doubt) for end, n in _names(spoken, words, names, i)]
        found += _lexical(phrase, i)
        phrase.chunks.append(found)
    return phrase


#: Numbers that names have in words: "two-pack", written "2 pack".
_IN_WORDS: Final = {"1": "one", "2": "two", "3": "three", "4": "four", "5": "five", "6": "six"}


def _figures(text: str) -> tuple[Form, ...]:
    own = Form(text, 0.0)
    return (own, Form(_IN_WORDS[text], 0.05)) if text in _IN_WORDS else (own,)


def _measures(words: Sequence[str], kinds: Sequence[str], i: int, *, us: bool) -> list[Chunk]:
    if words[i] not in STARTS and kinds[i] not in ("number", "ordinal", "fraction", "ratio"):
        return []
    found = measures_at(words, kinds, i, us=us)
    return [Chunk(m.start, m.end, Cat.MEASURE, (m.what, m.value), m.doubt) for m in found]


def _names(meant: Sequence[tuple[Form, ...]], words: list[str], names: Gazetteer, i: int) -> Iterator[tuple[int, Name]]:
    yield from names.find(meant, i)
    # "the port one", "the starboard ones": whatever has those words in its name
    for end in range(i + 1, min(i + 4, len(words))):
        if words[end] in ("one", "ones"):
            whole = any(n.whole and n.kind == "piece" for n in names.full.get(tuple(words[i:end]), ()))
            pieces = names.having(words[i:end]) if not whole else ()
            if pieces:
                yield end + 1, Name("piece", pieces, 0.1, words[end] == "ones", whole=False)
            break
    single = singular(words[i])
    if single != words[i] and words[i] not in names.words and len(names.having((single,))) > 1:
        yield (
            i + 1,
            Name("piece", names.having((single,)), 0.3, plural=True, whole=False),
        )  # "both lockers": lid and front
    if words[i] in _SIDES and (pieces := names.having((words[i],))):  # "port at one and starboard at half past"
        joined = i == 0 or words[i - 1] in ("and", ",", "then", "the", "but")
        yield i + 1, Name("piece", pieces, 0.2 if joined else 0.45, plural=False, whole=False)
    for end in range(i + 2, min(i + 4, len(words) + 1)):  # "port doors" for "port cabin doors"
        pieces = names.having(words[i:end])
        if pieces:
            yield end, Name("piece", pieces, 0.3, plural=False, whole=False)


def _lexical(phrase: Phrase, i: int) -> list[Chunk]:
    words, word, doubt = phrase.words, phrase.words[i], phrase.doubts[i]
    out = []
    kinds = {"noun": Cat.NOUN, "describing": Cat.DESCRIBING, "function": Cat.FUNCTION}
    for end, entry in wordlist().entries_at(words, i):
        out.append(Chunk(i, end, kinds[entry.part], entry, doubt))
    if i + 1 < len(words) and (double := wordlist().compound_forms(word, words[i + 1])):
        out.append(Chunk(i, i + 2, Cat.VERB, double, doubt))
    verbs: tuple[VerbForm, ...] = wordlist().verb_forms(word)
    if verbs:
        out.append(Chunk(i, i + 1, Cat.VERB, verbs, doubt))
    if not out and phrase.kinds[i] in (
        "word",
        "other",
        "odd",
        "number",
        "ratio",
        "clock",
        "iso",
        "ordinal",
        "fraction",
    ):
        out.append(Chunk(i, i + 1, Cat.WORD, english(word) if phrase.kinds[i] == "word" else "", doubt))
    return out


__all__ = ["BARE", "Cat", "Chunk", "Measure", "Phrase", "chunked", "cut"]
