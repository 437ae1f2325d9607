"""The words of the trade: which part each plays, and which was meant by one that is misspelt.

Words come from ``grammars/words.toml``. Matching is exact first; a word that nothing knows is set
beside the trade's words and the job's names, and what it may have been is kept with a doubt. A common
English word is taken as it stands unless nothing else makes sense of the phrase.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from assistant import data
from assistant.language import clock, numbers


class Entry(NamedTuple):
    """One entry of the word list."""

    words: tuple[str, ...]
    tag: str
    value: str


class Form(NamedTuple):
    """A word that a token may stand for. ``doubt`` 0 is the token itself."""

    word: str
    doubt: float


UNIT_WORDS: Final = frozenset(
    [
        "ml", "mls", "mil", "mils", "millilitre", "millilitres", "milliliter", "milliliters", "cc", "cl",
        "centilitre", "centilitres", "l", "litre", "litres", "liter", "liters", "pint", "pints", "gallon", "gallons",
        "quart", "quarts", "floz", "fl", "oz", "ounce", "ounces", "fluid", "g", "gram", "grams", "gramme", "grammes",
        "gm", "gms", "kg", "kilo", "kilos", "kilogram", "kilograms", "lb", "lbs", "pound", "pounds", "percent", "per",
        "cent",
        "degrees", "degree", "celsius", "centigrade", "fahrenheit", "micron", "microns", "metre", "metres", "square",
        "teaspoon", "teaspoons", "tablespoon", "tablespoons", "grit", "cup", "cups",
    ]
)  # fmt: skip


def _entries(path: Path) -> list[Entry]:
    out: list[Entry] = []
    for family, tags in data.read_toml(path).items():
        for key, words in tags.items():
            tag, _, value = key.partition(":")
            out.extend(Entry(tuple(e.split()), f"{family}.{tag}", value or tag) for w in words for e in _forms_of(w))
    return out


_CHOICE: Final = re.compile(r"[(\[]([^()\[\]]*)[)\]]")


def _forms_of(entry: str) -> list[str]:
    """Write out "(pulled|took) [the] tape off": round brackets one of, square brackets perhaps one of."""
    found = _CHOICE.search(entry)
    if not found:
        return [" ".join(entry.split())]
    words = found.group(1).split("|") + ([""] if found.group().startswith("[") else [])
    return [f for w in words for f in _forms_of(entry[: found.start()] + w + entry[found.end() :])]


class Index:
    """Entries by a word of theirs. A phrase looks at few of the 4,000, so each is made when it is asked for."""

    def __init__(self, lines: dict[str, str]) -> None:
        self._lines = lines
        self._made: dict[str, list[Entry]] = {}

    def get(self, word: str, default: Sequence[Entry] = ()) -> Sequence[Entry]:
        """Give the entries of ``word``, in the order of the file."""
        found = self._made.get(word)
        if found is None:
            if word not in self._lines:
                return default
            rows = (line.split("|") for line in self._lines[word].split("~"))
            found = self._made[word] = [Entry(tuple(words.split(" ")), tag, value) for words, tag, value in rows]
        return found


def _indexed(path: Path) -> dict[str, Any]:
    """Give the word list by first word and by all words run together, and its words: what a cold start reads.

    Entries are one text each word, with marks that JSON has no need to escape: that reads three times as fast.
    """
    first: dict[str, list[str]] = {}
    joined: dict[str, list[str]] = {}
    entries = _entries(path)
    for entry in entries:
        line = f"{' '.join(entry.words)}|{entry.tag}|{entry.value}"
        first.setdefault(entry.words[0], []).append(line)
        if len(entry.words) > 1 or len(entry.words[0]) > 5:
            joined.setdefault("".join(entry.words), []).append(line)
    return {
        "first": {word: "~".join(lines) for word, lines in first.items()},
        "joined": {word: "~".join(lines) for word, lines in joined.items()},
        "words": sorted({w for e in entries for w in e.words}),
    }


class Lexicon:
    """The word list, indexed. One instance serves every phrase."""

    def __init__(self) -> None:
        path = data.root() / "grammars" / "words.toml"
        found = data.derived("lexicon", (path, Path(__file__)), lambda: _indexed(path))
        self.by_first = Index(found["first"])
        self.joined = Index(found["joined"])
        words = frozenset(found["words"]) | numbers.WORDS | clock.WORDS | UNIT_WORDS
        #: Words of the trade and of time and measure: what a slip is corrected to.
        self.trade: frozenset[str] = frozenset(w for w in words if len(w) > 2)
        self.known: frozenset[str] = words
        self._near: dict[tuple[str, frozenset[str]], tuple[Form, ...]] = {}

    def forms(self, word: str, names: frozenset[str]) -> tuple[Form, ...]:
        """Give what ``word`` may stand for, itself first; ``names`` are the words of the job's names."""
        if word in self.known or word in names or not word.isalpha() or len(word) < 3:
            return (Form(word, 0.0),)
        key = (word, names)
        if key not in self._near:
            if len(self._near) > 4000:
                self._near.clear()
            self._near[key] = (Form(word, 0.0), *self._spelt(word, names))
        return self._near[key]

    def _spelt(self, word: str, names: frozenset[str]) -> list[Form]:
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        real = word in english()
        allowed = 1 if len(word) <= 5 or real else 2 if len(word) <= 9 else 3
        if real and len(word) < 5:
            return []
        # a real word may be a slip for one of the job's names ("vanish"), never for a verb of the trade
        choices = _choices(frozenset() if real else self.trade, names)
        found = process.extract(word, choices, scorer=OSA.distance, score_cutoff=allowed, limit=6)
        out = []
        for near, distance, _ in found:
            if near[0] != word[0] and (distance > 1 or len(word) < 6) and near[1:2] + near[:1] != word[:2]:
                continue  # people seldom miss the first letter
            if len(near) < 4 and (len(word) < 4 or distance > 1):
                continue
            share = distance / max(len(word), len(near))
            out.append(Form(near, round(0.2 + share + 0.8 * real, 3)))
        out.sort(key=lambda f: f.doubt)
        if not out and not real:
            out = _shortened(word, choices)
        # the best, and others only where they are as near
        return [f for f in out if f.doubt <= out[0].doubt + 0.15][:3]


def _shortened(word: str, choices: Sequence[str]) -> list[Form]:
    """Find what "stbd", "sndd", "varn" stand for: a word without its vowels, or only its start."""
    if not _VOWELS & set(word) and len(word) > 2:
        fits = [c for c in choices if c[0] == word[0] and c[-1] == word[-1] and _within(word, c)]
        fits = [c for c in fits if sum(x not in _VOWELS for x in c) - len(word) <= 2]
    else:
        fits = [c for c in choices if c.startswith(word) and len(c) > len(word) + 1] if len(word) > 3 else []
    fits.sort(key=len)
    return [Form(c, 0.5 + 0.05 * k) for k, c in enumerate(fits[:3])]


_VOWELS: Final = frozenset("aeiou")


def _within(word: str, whole: str) -> bool:
    rest = iter(whole)
    return all(c in rest for c in word)


@cache
def _choices(trade: frozenset[str], names: frozenset[str]) -> list[str]:
    return sorted(trade | {n for n in names if len(n) > 2})


@cache
def english() -> frozenset[str]:
    """Give the common English words (SCOWL to size 35): a slip is seldom one of these."""
    return frozenset((data.root() / "grammars" / "english.txt").read_text(encoding="utf-8").split())


@cache
def lexicon() -> Lexicon:
    """Give the one lexicon."""
    return Lexicon()


def matches(index: Index, forms: Sequence[tuple[Form, ...]], i: int) -> Iterable[tuple[int, Entry, float]]:
    """Give ``(end, entry, doubt)`` for entries that match from token ``i``."""
    for first in forms[i]:
        for entry in index.get(first.word):
            doubt = first.doubt
            for k, word in enumerate(entry.words[1:], 1):
                if i + k >= len(forms):
                    break
                form = next((f for f in forms[i + k] if f.word == word), None)
                if form is None:
                    break
                doubt += form.doubt
            else:
                yield i + len(entry.words), entry, doubt
