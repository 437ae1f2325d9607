"""The things, times and measures of a question: of all ways to take its words, that which covers most."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any, Final

from assistant.language.asking.cues import Cues
from assistant.language.asking.lists import listed
from assistant.language.chunks import Phrase
from assistant.language.items import Item, Items, Kind
from assistant.language.meanings import Pronoun
from assistant.language.names import Name
from assistant.language.noungroup import Head, NounGroup
from assistant.language.times import Found

#: What a chunk is worth a word, by what it is; what is not here is no slot.
_WORTH: Final = {
    Head.PIECE: 1.1,
    Head.SPACE: 1.1,
    Head.PRODUCT: 1.1,
    Head.COAT: 1.0,
    Head.COMPONENT: 1.0,
    Head.ORDINAL: 0.6,
    Head.VESSEL: 0.5,
    Head.AMOUNT: 1.0,
    Head.PRONOUN: 0.5,
    Head.UNKNOWN: 0.2,
    Head.THINNER: 0.6,
    Head.GEAR: 0.5,
    Head.ABSTRACT: 0.35,
    Head.FAULT: 0.6,
}
_EACH: Final = 0.35
_DOUBT: Final = 1.6
_DOUBTFUL: Final = 0.95
_TIME: Final = 1.15
_MEASURE: Final = {"number": 0.5, "ordinal": 0.4, "count": 0.5, "grit": 0.55}
#: Before these a plain "it" stands for nothing: "is it too cold", "is it safe to".
_EMPTY: Final = listed("slots_empty")
_FRAMES: Final = frozenset(["is", "'s", "be", "was", "make", "makes", "would", "will", "say", "does"])


@dataclass(frozen=True, slots=True)
class Thing:
    """A noun group with the preposition before it, and the words it stands on."""

    group: NounGroup
    prep: str
    span: frozenset[int]


@dataclass(slots=True)
class Slots:
    """What was taken of a phrase."""

    things: list[Thing] = field(default_factory=list)
    times: list[tuple[Found, str, frozenset[int]]] = field(default_factory=list)
    measures: list[tuple[str, Any, str, frozenset[int]]] = field(default_factory=list)

    @property
    def used(self) -> frozenset[int]:
        """Give the words that slots stand on."""
        spans = [t.span for t in self.things] + [s for _, _, s in self.times] + [s for *_, s in self.measures]
        return frozenset(i for span in spans for i in span)

    def of(self, *heads: Head) -> list[Thing]:
        """Give the things with one of these heads."""
        return [t for t in self.things if t.group.head in heads]

    def measure(self, *kinds: str, prep: Collection[str] = ()) -> Any:
        """Give the first measure of one of ``kinds``, of the first of them that was said; None if none was."""
        for kind in kinds:
            for what, value, before, _ in self.measures:
                if what == kind and (not prep or before in prep):
                    return value
        return None

    def all(self, kind: str) -> list[tuple[Any, str, frozenset[int]]]:
        """Give every measure of a kind with its preposition and words."""
        return [(v, p, s) for k, v, p, s in self.measures if k == kind]

    def within(self, start: int, end: int) -> Slots:
        """Give what stands on the words ``start`` up to ``end``."""

        def inside(span: frozenset[int]) -> bool:
            return start <= min(span) and max(span) < end

        return Slots(
            [t for t in self.things if inside(t.span)], [t for t in self.times if inside(t[2])],
            [m for m in self.measures if inside(m[3])],
        )  # fmt: skip

    def outside(self, start: int, end: int) -> Slots:
        """Give what stands on other words."""

        def apart(span: frozenset[int]) -> bool:
            return max(span) < start or min(span) >= end

        return Slots(
            [t for t in self.things if apart(t.span)], [t for t in self.times if apart(t[2])],
            [m for m in self.measures if apart(m[3])],
        )  # fmt: skip

    def products(self) -> list[tuple[Name, str, int]]:
        """Give the products named, with the preposition before each and its place, in the order said."""
        return [(n, t.prep, min(t.span)) for t in self.things for n in t.group.products]

    def spaces(self) -> tuple[Name, ...]:
        """Give the spaces named as places of their own."""
        return tuple(n for t in self.of(Head.SPACE) for n in t.group.spaces)


def slots_of(phrase: Phrase, items: Items, cues: Cues) -> Slots:
    """Choose the slots of a phrase."""
    count = len(phrase)
    best: list[tuple[float, tuple[Item, ...]]] = [(0.0, ())] * (count + 1)
    for i in range(count - 1, -1, -1):
        found = best[i + 1]
        for item in items.items[i]:
            worth = _worth(phrase, item, cues)
            if worth <= 0:
                continue
            score = worth + best[item.j][0]
            if score > found[0]:
                found = (score, (item, *best[item.j][1]))
        best[i] = found
    return _sorted(best[0][1])


def _worth(phrase: Phrase, item: Item, cues: Cues) -> float:
    words = item.j - item.i
    if item.kind is Kind.GROUP:
        group: NounGroup = item.value
        start = item.i + (len(item.prep.split()) if item.prep else 0)
        if start in cues.verbs and group.head not in (Head.PIECE, Head.SPACE):
            return 0.0
        each = _WORTH.get(group.head, 0.0)
        if group.head is Head.PRONOUN and (
            (group.pronoun is None and group.quantifier is None) or _empty(phrase, group, start)
        ):
            return 0.0
        if group.head is Head.PART and not group.names:
            return 0.0
        return each * words - _EACH - _DOUBT * item.doubt if each else 0.0
    if item.kind is Kind.TIME:
        if (phrase.at(item.i) == "up" and phrase.at(item.i - 1) in ("get", "got", "getting")) or (
            phrase.at(item.j - 1) == "thing" and phrase.at(item.j) in ("i", "we", "you")
        ):
            return 0.0  # "what did I get up to on Tuesday", "the last thing I did"
        if 1.0 < item.doubt < 1.7 and _dated(phrase, item, cues):
            return 0.8 * words
        return _TIME * words - _EACH - _DOUBT * item.doubt if item.doubt < _DOUBTFUL else 0.0
    if item.kind is Kind.MEASURE:
        each = _MEASURE.get(item.kinds[0], 1.2)
        return each * words - 0.2 - _DOUBT * min(item.doubt, 0.1)
    return 0.0


def _dated(phrase: Phrase, item: Item, cues: Cues) -> bool:
    """Whether "the 22nd" is a day: a coat has no such number, or a day is what is asked about."""
    numbers = [phrase.words[k] for k in range(item.i, item.j) if phrase.kinds[k] == "ordinal"]
    if not numbers:
        return False
    large = any(n.rstrip("stndrh").isdigit() and int(n.rstrip("stndrh")) > 9 for n in numbers)
    return large or cues.has("word.diary", "word.log", "word.deadline")


def _empty(phrase: Phrase, group: NounGroup, start: int) -> bool:
    """Whether "it" or "that" stands for nothing: "is it too cold to paint"."""
    if group.pronoun is not Pronoun.IT or group.quantifier is not None:
        return False
    if phrase.at(start) == "that" and phrase.at(start + 1) in ("i", "we", "the", "it", "is", "was", "would", "can"):
        return phrase.at(start + 1) not in ("is", "was", "would", "can") or phrase.at(start - 1) not in ("", "and")
    if phrase.at(start - 1) in ("so", "like", "about", "for", "at", "than") and phrase.at(start) == "that":
        return phrase.at(start - 1) in ("so", "like", "at", "than")
    nearby = phrase.at(start + 1)
    if nearby in ("between", "when"):
        return True
    return phrase.at(start) == "it" and phrase.at(start - 1) in _FRAMES and nearby in _EMPTY and _toward(phrase, start)


def _toward(phrase: Phrase, start: int) -> bool:
    """Whether what is said of "it" goes on with an act, or is of the air."""
    rest = phrase.words[start + 1 :]
    return "to" in rest or "if" in rest or bool(set(rest) & {"cold", "warm", "damp", "humid", "clammy", "muggy"})


def _sorted(chosen: tuple[Item, ...]) -> Slots:
    out = Slots()
    for item in chosen:
        span = frozenset(range(item.i, item.j))
        if item.kind is Kind.GROUP:
            out.things.append(Thing(item.value, item.prep, span))
        elif item.kind is Kind.TIME:
            out.times.append((item.value, item.prep, span))
        else:
            out.measures.append((item.kinds[0], item.value, item.prep, span))
    return out
