"""The words of English and of the trade: what each may be, in all its forms.

Lemmas stand in ``grammars/verbs.toml``, ``nouns.toml``, ``describing.toml`` and ``function.toml``; their inflected
forms in ``grammars/forms.txt``, made with a library when the lexicon is made and never at run time. What a common
English word can be at all (noun, verb, adjective, adverb) is in ``grammars/english_pos.txt``: an unknown adverb is
harmless in a sentence, an unknown verb is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final, NamedTuple

from assistant import data
from assistant.language import numbers
from assistant.language.numbers import WORDS as NUMBER_WORDS

_FILES: Final = ("verbs.toml", "nouns.toml", "describing.toml", "function.toml", "forms.txt", "kinds.toml")


class VerbUse(NamedTuple):
    """One use of a verb: with these words after it ("down"), in this sense, meaning this kind of product."""

    particles: tuple[str, ...]
    sense: str
    kind: str
    takes: frozenset[str] = frozenset()  # what its object must be, where the verb alone means other things


class Entry(NamedTuple):
    """A noun, a describing word or a function word: its words as they stand, what they are and their value."""

    words: tuple[str, ...]
    part: str  # noun, describing, function
    sense: str
    value: str
    lemma: str


class VerbForm(NamedTuple):
    """What an inflected form may be: its lemma and Penn tags."""

    lemma: str
    tags: frozenset[str]


#: Units that a measure may have; the numbers before them are read in :mod:`assistant.language.measures`.
UNIT_WORDS: Final = frozenset(
    [
        "ml",
        "mls",
        "mil",
        "mils",
        "millilitre",
        "millilitres",
        "milliliter",
        "milliliters",
        "cc",
        "cl",
        "centilitre",
        "centilitres",
        "l",
        "litre",
        "litres",
        "liter",
        "liters",
        "ltr",
        "pint",
        "pints",
        "gallon",
        "gallons",
        "quart",
        "quarts",
        "floz",
        "fl",
        "oz",
        "ounce",
        "ounces",
        "fluid",
        "g",
        "gram",
        "grams",
        "gramme",
        "grammes",
        "gm",
        "gms",
        "kg",
        "kgs",
        "kilo",
        "kilos",
        "kilogram",
        "kilograms",
        "lb",
        "lbs",
        "pound",
        "pounds",
        "percent",
        "cent",
        "degrees",
        "degree",
        "deg",
        "celsius",
        "centigrade",
        "fahrenheit",
        "micron",
        "microns",
        "um",
        "metre",
        "metres",
        "meter",
        "meters",
        "square",
        "sq",
        "foot",
        "feet",
        "ft",
        "yard",
        "yards",
        "grit",
        "teaspoon",
        "teaspoons",
        "tablespoon",
        "tablespoons",
    ]
)


def _forms(path: Path) -> dict[str, list[tuple[str, str]]]:
    out: dict[str, list[tuple[str, str]]] = {}
    for line in path.read_text(encoding="utf-8").splitlines():
        cut = line.split()
        if len(cut) == 3 and not line.startswith("#"):
            out.setdefault(cut[1].replace("_", " "), []).append((cut[0].replace("_", " "), cut[2]))
    return out


_NOMINAL: Final = ("NN", "NNS")
_DESCRIBING: Final = ("JJ", "JJR", "JJS", "RB", "RBR", "RBS")


def _built(folder: Path) -> dict[str, Any]:
    """Work the files into tables that a cold start reads fast."""
    forms = _forms(folder / "forms.txt")
    uses: dict[str, list[list[Any]]] = {}
    verbs: dict[str, dict[str, list[str]]] = {}
    for table in data.read_toml(folder / "verbs.toml")["verb"]:
        for lemma in table["say"]:
            head, *particles = lemma.split()
            row = [particles, table["sense"], table.get("kind", ""), table.get("takes", [])]
            if row not in uses.setdefault(head, []):
                uses[head].append(row)
            for form, tag in [*forms.get(head, ()), (head, "VB")]:
                if tag.startswith("VB"):
                    tags = verbs.setdefault(form, {}).setdefault(head, [])
                    if tag not in tags:
                        tags.append(tag)
    compounds: dict[str, list[list[Any]]] = {}
    for table in data.read_toml(folder / "verbs.toml").get("compound", ()):
        for lemma in table["say"]:
            first, last = lemma.split()
            uses.setdefault(lemma, []).append([[], table["sense"], table.get("kind", ""), table.get("takes", [])])
            for form, tag in [*forms.get(last, ()), (last, "VB")]:
                if tag.startswith("VB"):
                    compounds.setdefault(first, []).append([form, lemma, tag])
    entries: dict[str, list[list[Any]]] = {}

    def put(words: str, part: str, sense: str, value: str, lemma: str) -> None:
        row = [words, part, sense, value, lemma]
        held = entries.setdefault(words.split(maxsplit=1)[0], [])
        if row not in held:
            held.append(row)

    for table in data.read_toml(folder / "nouns.toml")["noun"]:
        for lemma in table["say"]:
            value = table.get("value", "")
            put(lemma, "noun", table["sense"], value, lemma)
            for form, tag in forms.get(lemma, ()):
                if tag in _NOMINAL:
                    put(form, "noun", table["sense"], value, lemma)
            if " " in lemma:  # the last word is the one that is inflected
                *first, last = lemma.split()
                for form, tag in forms.get(last, ()):
                    if tag == "NNS":
                        put(" ".join([*first, form]), "noun", table["sense"], value, lemma)
    for table in data.read_toml(folder / "describing.toml")["describing"]:
        for lemma in table["say"]:
            put(lemma, "describing", table["sense"], table.get("value", ""), lemma)
            for form, tag in forms.get(lemma, ()):
                if tag in _DESCRIBING:
                    put(form, "describing", table["sense"], table.get("value", ""), lemma)
    for table in data.read_toml(folder / "function.toml")["word"]:
        for word in table["say"] if "say" in table else [table["word"]]:
            put(word, "function", table["class"], table.get("value", ""), word)
    return {"uses": uses, "verbs": verbs, "entries": entries, "compounds": compounds}


class WordList:
    """The lexicon, indexed. One instance serves every phrase."""

    def __init__(self) -> None:
        folder = data.root() / "grammars"
        found = data.derived("wordlist", (*(folder / f for f in _FILES), Path(__file__)), lambda: _built(folder))
        self._uses: dict[str, list[list[Any]]] = found["uses"]
        self._verbs: dict[str, dict[str, list[str]]] = found["verbs"]
        self._compounds: dict[str, list[list[Any]]] = found["compounds"]
        self._entries: dict[str, list[list[Any]]] = found["entries"]
        self._made: dict[str, tuple[Entry, ...]] = {}
        self._made_uses: dict[str, tuple[VerbUse, ...]] = {}
        self._made_forms: dict[str, tuple[VerbForm, ...]] = {}
        self.known: frozenset[str] = frozenset(
            {*self._verbs, *(w for rows in self._entries.values() for row in rows for w in row[0].split())}
            | {row[0] for rows in self._compounds.values() for row in rows}
            | NUMBER_WORDS
            | UNIT_WORDS
        )

    def verb_forms(self, word: str) -> tuple[VerbForm, ...]:
        """Give the verbs that ``word`` may be a form of."""
        if word not in self._made_forms:
            tags = self._verbs.get(word, {})
            self._made_forms[word] = tuple(VerbForm(lemma, frozenset(t)) for lemma, t in tags.items())
        return self._made_forms[word]

    def compound_forms(self, first: str, last: str) -> tuple[VerbForm, ...]:
        """Give the verbs of two words ("tack rag") that ``first`` and an inflected ``last`` may be a form of."""
        tags: dict[str, set[str]] = {}
        for form, lemma, tag in self._compounds.get(first, ()):
            if form == last:
                tags.setdefault(lemma, set()).add(tag)
        return tuple(VerbForm(lemma, frozenset(t)) for lemma, t in tags.items())

    def uses(self, lemma: str) -> tuple[VerbUse, ...]:
        """Give the uses of a verb, those with particles first."""
        if lemma not in self._made_uses:
            rows = (VerbUse(tuple(p), sense, kind, frozenset(t)) for p, sense, kind, t in self._uses.get(lemma, ()))
            self._made_uses[lemma] = tuple(sorted(rows, key=lambda u: -len(u.particles)))
        return self._made_uses[lemma]

    def function_words(self, sense: str, value: str) -> frozenset[str]:
        """Give the function words of one sense and value: the prepositions that leave something out ("except")."""
        rows = (row for rows in self._entries.values() for row in rows)
        return frozenset(w for w, part, s, v, _ in rows if (part, s, v) == ("function", sense, value))

    def side(self, word: str) -> str | None:
        """Give the side that a short or other word for it means ("stbd": starboard), None if it is no such word."""
        return next(
            (r[3] for r in self._entries.get(word, ()) if r[2] == "side" and r[0] == word and r[3] != word), None
        )

    def entries_at(self, words: Sequence[str], i: int) -> Iterable[tuple[int, Entry]]:
        """Give ``(end, entry)`` for the nouns, describing and function words that start at word ``i``."""
        word = words[i]
        rows = self._made.get(word)
        if rows is None:
            made = (Entry(tuple(r[0].split()), *r[1:]) for r in self._entries.get(word, ()))
            rows = self._made[word] = tuple(sorted(made, key=lambda e: -len(e.words)))
        for entry in rows:
            n = len(entry.words)
            if n == 1 or tuple(words[i : i + n]) == entry.words:
                yield i + n, entry


@cache
def wordlist() -> WordList:
    """Give the one word list."""
    return WordList()


@cache
def _english() -> dict[str, str]:
    path = data.root() / "grammars" / "english_pos.txt"
    rows = (line.split() for line in path.read_text(encoding="utf-8").splitlines() if line and line[0] != "#")
    return {row[0]: row[1] if len(row) > 1 else "" for row in rows}


def english(word: str) -> str | None:
    """Give the parts of speech that a common English word can be ("nv"), "" if none is known, None for no such word."""
    return _english().get(word)


__all__ = ["UNIT_WORDS", "Entry", "VerbForm", "VerbUse", "WordList", "english", "numbers", "wordlist"]
