"""The names a job can speak of, and the kind of phrase that brings a name which nothing else could know."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final, NamedTuple, Protocol

from assistant import data
from assistant.journal.state import State
from assistant.language.measures import Measure, measures_at
from assistant.language.names import Gazetteer, Known
from assistant.language.tokens import tokens
from assistant.language.wordlist import english, wordlist


class Shelf(Protocol):
    """What is asked of the library: the families' names and kinds."""

    def families(self) -> Mapping[str, Any]:
        """Give the heads of the families."""


def gazetteer(state: State, library: Shelf) -> Gazetteer:
    """Index the job's names, the person's own words for them, the words for kinds of material, and the families."""
    known = [
        *(Known("piece", n.name, (*n.also, *_learnt(state, "piece", n.name))) for n in state.pieces.values()),
        *(Known("space", n.name, (*n.also, *_learnt(state, "space", n.name))) for n in state.spaces.values()),
        *(Known("product", n.name, (*n.also, *_learnt(state, "product", n.name))) for n in state.labels.values()),
    ]
    kinds: dict[str, list[str]] = data.read_toml(data.root() / "grammars" / "kinds.toml")
    taken: set[str] = {word for label in state.labels.values() for word in (label.name, *label.also)}
    by_kind = _by_kind(state, library)
    for kind, words in kinds.items():
        labels = by_kind.get(kind, [])
        free = [w for w in words if w not in taken]
        if labels:
            known.extend(Known("product", name, tuple(free), weak=True) for name in labels)
        else:
            known.append(Known("product", words[0], tuple(free), weak=True))
    plain = {w for words in kinds.values() for w in words} | taken
    for head in library.families().values():
        names = tuple(n for n in (head.title, *head.also) if n not in plain)
        if names:
            known.append(Known("product", names[0], names[1:], weak=True))
    known.extend(_parts(state))
    return Gazetteer(known)


def _learnt(state: State, of: str, name: str) -> list[str]:
    """Give the words that were settled as meaning a thing of the job."""
    return [w.name for w in state.words.values() if w.of == of and w.means == name]


def _parts(state: State) -> list[Known]:
    """Give the names that the labels' ratios give their parts ("paste"): the first is the base."""
    found: dict[str, Known] = {}
    for label in state.labels.values():
        ratio = label.values.get("ratio")
        for k, part in enumerate(ratio.get("parts", ()) if isinstance(ratio, Mapping) else ()):
            name = str(part).rsplit(" ", 1)[0].strip().lower()
            if name and name not in ("resin", "hardener"):
                found.setdefault(name, Known("part.hardener" if k else "part.base", name))
    return list(found.values())


def _by_kind(state: State, library: Shelf) -> dict[str, list[str]]:
    heads = library.families()
    out: dict[str, list[str]] = {}
    for name, label in state.labels.items():
        if (head := heads.get(str(label.values.get("family")))) is not None:
            out.setdefault(head.kind, []).append(name)
    return out


class MadeKnown(NamedTuple):
    """A piece or space that a phrase makes known; ``values`` are keys of its table in a job file."""

    what: str
    name: str
    values: dict[str, Any]


_COURTESY: Final = frozenset(["please", "ok", "okay", "right", "so", "and", "also", ",", "now"])
#: What may stand before "a new piece ...".
_LEADS: Final = (
    ("there", "is"), ("add",), ("make",), ("set", "up"), ("put", "in"), ("put", "down"), ("i", "have"), ("we", "have"),
    ("i", "have", "got"), ("we", "have", "got"), ("it", "is"), ("this", "is"), ("here", "is"), (),
)  # fmt: skip
_WHAT: Final = {"piece": "piece", "space": "space", "room": "space"}
_ARTICLES: Final = frozenset(["a", "an", "the", "one", "another", "my", "our"])
#: Words of grammar that may stand inside a name, and those that may where "called" says that a name follows.
_LINKS: Final = frozenset(["and", "of"])
_INSIDE: Final = _LINKS | {"for", "by", "to", "under", "over", "above", "below", "behind", "beside"}
_ABOUT: Final = frozenset(["of", "about", "around", "roughly", "some", "with"])
#: A name has so many words at most, and so many characters at least.
_LONGEST, _SHORTEST = 5, 2


def made_known(phrase: str) -> MadeKnown | None:
    """Give what "new piece locker lid in the galley, 0.4 square metres" makes known, or None.

    The whole phrase must be that: with a word more, or a name that is no name, it is another kind of sentence.
    """
    found = tokens(phrase)
    words, kinds = [t.text for t in found], [t.kind for t in found]
    i = _noun(words)
    if i is None:
        return None
    what = _WHAT[words[i]]
    i += 1
    called = words[i : i + 1] in (["called"], ["named"])
    i += 1 if called or words[i : i + 1] in ([":"], [","]) else 0
    name, i = _name(words, kinds, i, _INSIDE if called else _LINKS)
    if not name or (not called and words[i : i + 1] == ["is"]):
        return None
    values: dict[str, Any] = {}
    k = _past(words, i, ",")
    if what == "piece" and words[k : k + 1] in (["in"], ["inside"]):
        space, i = _name(words, kinds, k + 1)
        if not space:
            return None
        values["space"] = space
    area, i = _area(words, kinds, i)
    if area is not None:
        values["area"] = f"{area:g} m2"
    while i < len(words) and (words[i] == "please" or (kinds[i] == "mark" and words[i] != "?")):
        i += 1
    return MadeKnown(what, name, values) if i == len(words) else None


def _past(words: Sequence[str], i: int, *skipped: str) -> int:
    while i < len(words) and words[i] in skipped:
        i += 1
    return i


def _noun(words: Sequence[str]) -> int | None:
    """Find "piece", "space" or "room" after an opening and "new"."""
    start = _past(words, 0, *_COURTESY)
    for lead in _LEADS:
        if tuple(words[start : start + len(lead)]) == lead:
            i = start + len(lead)
            i += words[i : i + 1] != ["new"] and i < len(words) and words[i] in _ARTICLES
            if words[i : i + 1] == ["new"]:
                i += 1 + (words[i + 1 : i + 2] == ["cabin"] and words[i + 2 : i + 3] == ["space"])
                return i if i < len(words) and words[i] in _WHAT else None
    return None


def _name(words: Sequence[str], kinds: Sequence[str], i: int, links: frozenset[str] = _LINKS) -> tuple[str, int]:
    """Give the words of a name from word ``i`` on, and where it ends; no words if none stands there."""
    i += i < len(words) and words[i] in _ARTICLES
    end = i
    while end < len(words) and kinds[end] == "word" and not _closes(words, kinds, end, links):
        end += 1
    name = " ".join(words[i:end])
    if end == i or end - i > _LONGEST or len(name) < _SHORTEST or words[i] in links or not _noun_like(words[end - 1]):
        return "", i
    return name, end


def _closes(words: Sequence[str], kinds: Sequence[str], i: int, links: frozenset[str]) -> bool:
    """Whether word ``i`` cannot be in a name: a word of grammar, or the beginning of an area."""
    if _area(words, kinds, i)[0] is not None:
        return True
    grammar = (e for n, e in wordlist().entries_at(words, i) if e.part == "function" and e.sense in _GRAMMAR)
    return words[i] not in links and any(len(e.words) == 1 for e in grammar)


_GRAMMAR: Final = frozenset(["preposition", "pronoun", "auxiliary", "modal", "subordinator", "question", "negator"])


def _noun_like(word: str) -> bool:
    """Whether a word can end a name: a noun, a side, or a word that English does not know."""
    return "n" in (english(word) or "n")


def _area(words: Sequence[str], kinds: Sequence[str], i: int) -> tuple[float | None, int]:
    """Give the area in square metres that stands at word ``i``, and where it ends; None and ``i`` if there is none."""
    k = _past(words, i, ",", *_ABOUT)
    if k >= len(words):
        return None, i
    found = [m for m in measures_at(words, kinds, k) if m.what is Measure.AREA]
    best = max(found, key=lambda m: m.end, default=None)
    return (best.value.value, best.end) if best is not None else (None, i)
