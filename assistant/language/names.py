"""The job's own names: spaces, pieces and products, whole, shortened, plural or run together.

A name is found by its words. "hatch trim" is found whole; "the trim" is found if it is the tail of
one name, and is a question if it is the tail of two; "the port one" is whatever has "port" in its name;
"both doors" is all that end in door.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.numbers import WORDS as NUMBER_WORDS
from assistant.language.spelling import Form
from assistant.language.wordlist import UNIT_WORDS, english, wordlist


class Name(NamedTuple):
    """What some words may name. More than one of ``options`` is a question unless ``plural``."""

    kind: str  # piece, space, product, part.base or part.hardener
    options: tuple[str, ...]
    doubt: float = 0.0
    plural: bool = False
    whole: bool = True  # the words are a full name of each option


class Known(NamedTuple):
    """One thing that has a name."""

    kind: str
    name: str
    also: tuple[str, ...] = ()
    weak: bool = False  # a family of the library, used where no label has the word


#: Words that are never enough to name a thing by themselves.
_THIN: Final = frozenset(
    ["number", "one", "two", "three", "new", "old", "no", "the", "of", "and", "in", "on", "side", "a", "b"]
)


#: Colours that many tins of a job share.
_COLOURS: Final = frozenset(["white", "grey", "black", "clear", "red", "blue", "green"])

#: What a word may mean and still stand for the longer name that it begins ("the cratch", "the port").
_NAMING: Final = frozenset(["place", "hardware", "side", "material", "house", "colour", "weather"])
_WORK: Final = frozenset(
    ["coat", "sand", "fill", "strip", "clean", "mask", "unmask", "bond", "clamp", "unclamp", "fit", "unfit", "mix",
     "thin"]
)  # fmt: skip


@lru_cache(4096)
def _senses(word: str) -> frozenset[str]:
    return frozenset(e.sense for end, e in wordlist().entries_at([word], 0) if end == 1)


@lru_cache(4096)
def _ordinary(word: str) -> bool:
    """Whether a word says something of its own, so that it is not enough for the longer name that it begins."""
    if word not in wordlist().known:
        return word in CLOCK_WORDS
    if word in NUMBER_WORDS or word in UNIT_WORDS or "n" not in (english(word) or "n"):
        return True
    work = any(u.sense in _WORK for form in wordlist().verb_forms(word) for u in wordlist().uses(form.lemma))
    return work or not _senses(word) <= _NAMING


def plural(word: str) -> str:
    """Give the plural of a noun as far as the trade needs it."""
    if word.endswith(("s", "x", "ch", "sh")):
        return word + "es"
    if word.endswith("f") and not word.endswith(("ff", "oof")):
        return word[:-1] + "ves"
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return word[:-1] + "ies"
    return word + "s"


def singular(word: str) -> str:
    """Give the singular of a plural noun, or the word itself."""
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith("lves"):
        return word[:-3] + "f"
    if word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    if word.endswith("s") and not word.endswith("ss") and len(word) > 3:
        return word[:-1]
    return word


@lru_cache(4096)
def cut(name: str) -> tuple[str, ...]:
    """Give a name's words as the tokens of a phrase would be."""
    from assistant.language.tokens import tokens

    return tuple(t.text for t in tokens(name) if t.kind != "mark")


class Gazetteer:
    """The names of one job, indexed. Built once for each change of the names."""

    def __init__(self, known: Iterable[Known]) -> None:
        self.full: dict[tuple[str, ...], list[Name]] = {}
        self.joined: dict[str, list[tuple[str, ...]]] = {}
        self.by_word: dict[str, dict[str, None]] = {}  # word -> pieces that have it, in order
        self.first: dict[str, list[tuple[str, ...]]] = {}
        things = list(known)
        for thing in things:
            for name in (thing.name, *thing.also):
                self._whole(thing, cut(name))
        for thing in things:
            for name in (thing.name, *thing.also):
                self._parts(thing, cut(name))
        for words in self.full:
            self.first.setdefault(words[0], []).append(words)
            self.joined.setdefault("".join(words), []).append(words)
        #: Whole names of pieces by their first word and by their last: one of the other words may be a letter out.
        self.edges: dict[str, list[tuple[str, ...]]] = {}
        for words, names in self.full.items():
            if len(words) > 1 and any(n.kind == "piece" and n.whole and n.doubt == 0 for n in names):
                for edge in {words[0], words[-1]}:
                    self.edges.setdefault(edge, []).append(words)
        self.words: frozenset[str] = frozenset(w for words in self.full for w in words)
        self.empty = not any(t.kind == "piece" for t in things)

    def _put(self, words: tuple[str, ...], name: Name) -> None:
        held = self.full.setdefault(words, [])
        for k, other in enumerate(held):
            if other.kind != name.kind:
                continue
            if other.doubt < name.doubt - 0.15:
                return  # a better claim to these words stands
            if name.doubt < other.doubt - 0.15:
                held[k] = name
                return
            options = tuple(dict.fromkeys((*other.options, *name.options)))
            held[k] = Name(name.kind, options, min(other.doubt, name.doubt), other.plural or name.plural, other.whole)
            return
        held.append(name)

    def _whole(self, thing: Known, words: tuple[str, ...]) -> None:
        if not words:
            return
        weak = 0.45 if thing.weak else 0.0
        self._put(words, Name(thing.kind, (thing.name,), weak))
        for form in {plural(words[-1]), singular(words[-1])} - {words[-1]}:
            self._put((*words[:-1], form), Name(thing.kind, (thing.name,), weak + 0.02))
        if thing.kind == "piece":
            for word in words:
                self.by_word.setdefault(word, {})[thing.name] = None

    def _parts(self, thing: Known, words: tuple[str, ...]) -> None:
        if len(words) < 2 or thing.weak:
            return
        head = words[-1]
        for k in range(1, len(words)):  # tails: "cabin door", "door"
            tail = words[k:]
            if len(tail) == 1 and (tail[0] in _THIN or tail[0].isdigit()):
                continue
            self._put(tail, Name(thing.kind, (thing.name,), 0.2, whole=False))
            if plural(tail[-1]) != tail[-1] and thing.kind == "piece":
                many = (*tail[:-1], plural(head))
                self._put(
                    many,
                    Name(thing.kind, (thing.name,), 0.2, plural=head != singular(head) or True, whole=False),
                )
            if singular(head) != head:
                self._put((*tail[:-1], singular(head)), Name(thing.kind, (thing.name,), 0.25, whole=False))
        skips = [words[:1] + words[-1:]] if len(words) > 2 else []  # "port door" for "port cabin door"
        for short in skips:
            self._put(short, Name(thing.kind, (thing.name,), 0.15, whole=False))
        firsts = plural(words[0])
        free = not _ordinary(firsts) or "place" in _senses(firsts)
        if thing.kind == "piece" and singular(head) != head and free:
            self._put((firsts,), Name(thing.kind, (thing.name,), 0.5, whole=False))  # "the steps" for "step treads"
        for k in range(1, len(words)):  # beginnings: "cratch", "port cabin"
            start = words[:k]
            named = self.full.get(start, [])
            # "gloss", of "gloss varnish" and of every topcoat
            kind_word = thing.kind == "product" and bool(named) and all(n.kind == "product" for n in named)
            if k == 1 and (start[0] in _THIN or (_ordinary(start[0]) and not kind_word) or len(start[0]) < 4):
                continue
            if thing.kind == "piece" and any(n.kind == "space" and n.whole for n in self.full.get(start, ())):
                continue  # "the wheelhouse" is the space, whatever has its name from it
            if thing.kind == "product" and k == 1 and start[0] in _COLOURS:
                continue
            if thing.kind == "product" and k == 1 and start in self.full:
                if any(n.kind != "product" or n.doubt < 0.4 for n in self.full[start]):
                    continue  # it names something already
                self.full[start] = [
                    Name(thing.kind, (thing.name,), 0.45, whole=False)
                ]  # before the kind it is a word for
                continue
            self._put(start, Name(thing.kind, (thing.name,), 0.5, whole=False))

    def find(self, forms: Sequence[tuple[Form, ...]], i: int) -> list[tuple[int, Name]]:
        """Give ``(end, name)`` for all names that start at token ``i``; misspelt ones carry their doubt."""
        out: list[tuple[int, Name]] = []
        for first in forms[i]:
            for words in self.first.get(first.word, ()):
                doubt = _spelt(forms, i, words, first.doubt)
                if doubt is not None:
                    out.extend((i + len(words), n._replace(doubt=n.doubt + doubt)) for n in self.full[words])
        out.extend(self._run_together(forms, i))
        out.extend(self._letter_out(forms, i))
        return out

    def _letter_out(self, forms: Sequence[tuple[Form, ...]], i: int) -> list[tuple[int, Name]]:
        """Find a whole name of which one word is a letter out, though that makes another word: "hatch drim"."""
        out: list[tuple[int, Name]] = []
        for words in self._near_edges(forms, i):
            said = [forms[i + k][0].word for k in range(len(words))]
            wrong = [k for k, word in enumerate(words) if said[k] != word]
            if len(wrong) == 1 and len(words[wrong[0]]) > 3 and _one_out(said[wrong[0]], words[wrong[0]]):
                names = (n for n in self.full[words] if n.kind == "piece")
                out.extend((i + len(words), n._replace(doubt=n.doubt + 0.35)) for n in names)
        return out

    def _near_edges(self, forms: Sequence[tuple[Form, ...]], i: int) -> Iterator[tuple[str, ...]]:
        """Give the names that begin at token ``i`` with their first word, or end where their last word stands."""
        first = forms[i][0].word
        yield from (w for w in self.edges.get(first, ()) if w[0] == first and i + len(w) <= len(forms))
        for j in range(i + 1, min(i + 4, len(forms))):
            last = forms[j][0].word
            yield from (w for w in self.edges.get(last, ()) if w[-1] == last and len(w) == j - i + 1)

    def _run_together(self, forms: Sequence[tuple[Form, ...]], i: int) -> list[tuple[int, Name]]:
        # "companion way trim", "hatchtrim": the same letters cut elsewhere
        out: list[tuple[int, Name]] = []
        text = ""
        for end in range(i + 1, min(i + 5, len(forms) + 1)):
            text += forms[end - 1][0].word
            for words in self.joined.get(text, ()):
                if tuple(f[0].word for f in forms[i:end]) != words:
                    out.extend((end, n._replace(doubt=n.doubt + 0.02)) for n in self.full[words])
            if end == i + 1 and len(text) > 6 and text not in self.words:
                out.extend(self._near_joined(text, end))
        return out

    def _near_joined(self, text: str, end: int) -> list[tuple[int, Name]]:
        if text in wordlist().known or english(text) is not None:
            return []
        from rapidfuzz import process
        from rapidfuzz.distance import OSA

        found = process.extractOne(text, self.joined.keys(), scorer=OSA.distance, score_cutoff=2)
        if found is None or found[1] == 0:
            return []
        return [
            (end, n._replace(doubt=n.doubt + 0.3 + found[1] / len(text)))
            for words in self.joined[found[0]] if len(words) > 1 for n in self.full[words]
        ]  # fmt: skip

    def having(self, words: Iterable[str]) -> tuple[str, ...]:
        """Give the pieces whose name has every one of ``words``."""
        sets = [self.by_word.get(w, {}) for w in words]
        return tuple(p for p in sets[0] if all(p in s for s in sets[1:])) if sets else ()


def _one_out(said: str, word: str) -> bool:
    from rapidfuzz.distance import OSA

    return OSA.distance(said, word, score_cutoff=1) == 1


def _spelt(forms: Sequence[tuple[Form, ...]], i: int, words: tuple[str, ...], doubt: float) -> float | None:
    for k, word in enumerate(words[1:], 1):
        if i + k >= len(forms):
            return None
        form = next((f for f in forms[i + k] if f.word == word), None)
        if form is None:
            return None
        doubt += form.doubt
    return doubt
