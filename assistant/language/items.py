"""What a clause is made of: noun groups with their prepositions, times, measures, describing words, and the rest.

Each word has the items that start at it, with what each costs where no frame has a use for it: a pause costs
nothing, an unknown verb a great deal.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.groups import groups_at
from assistant.language.noungroup import Head, NounGroup
from assistant.language.predicates import BE, DO, HAVE, MODAL, VerbGroup, verb_groups_at


class Kind(StrEnum):
    """What an item is."""

    GROUP = "group"
    TIME = "time"
    MEASURE = "measure"
    STATE = "state"
    ADVERB = "adverb"
    FUNCTION = "function"
    MARK = "mark"
    WORD = "word"
    VERB = "verb"


@dataclass(frozen=True, slots=True)
class Item:
    """Words ``i`` up to ``j``; ``kinds`` are what a role may ask for, the most particular first."""

    i: int
    j: int
    kind: Kind
    kinds: tuple[str, ...]
    value: Any
    prep: str = ""
    doubt: float = 0.0
    loose: float = 1.2  # what it costs where no role takes it
    content: bool = True  # whether it must not be dropped without a word


_TIMES: Final = {
    "when": "time",
    "duration": "length",
    "until": "until",
    "since": "since",
    "from": "from",
    "range": "range",
}
_MEASURES: Final = {
    Measure.TEMPERATURE: "temperature",
    Measure.PERCENT: "percent",
    Measure.AMOUNT: "amount",
    Measure.NUMBER: "number",
    Measure.GRIT: "grit",
    Measure.RATIO: "ratio",
    Measure.AREA: "area",
    Measure.FILM: "film",
    Measure.ORDINAL: "ordinal",
    Measure.COUNT: "count",
}
_FREE: Final = frozenset(["interjection", "politeness", "discourse"])
_HARMLESS: Final = {
    "hedge": 0.01, "opinion": 0.02, "manner": 0.02, "frequency": 0.05, "only": 0.02, "again": 0.02, "size": 0.1,
    "colour": 0.1, "sequence": 0.3, "side": 1.0, "place": 0.1, "time": 0.1, "air": 0.3, "quiet": 0.2, "noisy": 0.2,
}  # fmt: skip
_LOOSE_FUNCTION: Final = {
    "conjunction": 0.03, "determiner": 0.4, "pronoun": 0.8, "preposition": 1.2, "question": 2.0, "negator": 2.5,
    "subordinator": 2.5, "comparative": 0.3, "quantifier": 0.5, "auxiliary": 1.5, "modal": 1.5,
}  # fmt: skip


#: Conjunctions that always begin another clause.
_PARTING: Final = frozenset(["but", "then", "so", "because", "cos"])


@dataclass(slots=True)
class Items:
    """The items and verb groups of a phrase by first word."""

    items: list[list[Item]]
    verbs: list[list[VerbGroup]]


def itemised(phrase: Phrase) -> Items:
    """Find the items and verb groups of a phrase."""
    count = len(phrase)
    groups = [_groups(phrase, i) for i in range(count)]
    bare = [[*groups[i], *_times(phrase, i), *_measured(phrase, i)] for i in range(count)]
    items = [
        [*bare[i], *_prepositional(phrase, i, bare), *_described(phrase, i), *_functions(phrase, i), *_rest(phrase, i)]
        for i in range(count)
    ]
    return Items([_best(found) for found in items], [verb_groups_at(phrase, i) for i in range(count)])


def _best(found: list[Item]) -> list[Item]:
    best: dict[tuple[int, Kind, tuple[str, ...], str], Item] = {}
    for item in found:
        key = (item.j, item.kind, item.kinds, item.prep)
        held = best.get(key)
        if held is None or item.doubt < held.doubt:
            best[key] = item
    return sorted(best.values(), key=lambda x: (-x.j, x.doubt))


def kinds_of(group: NounGroup) -> tuple[str, ...]:
    """Give what a noun group may be asked for as."""
    out = []
    head = group.head.value
    if group.value:
        out.append(f"{head}.{group.value}")
    if group.pronoun:
        out.append(f"pronoun.{group.pronoun.value}")
    out.append(head)
    if group.head is Head.ORDINAL and group.ordinal is None and not group.another:
        return ("sequence",)
    if group.head is Head.SPACE and group.quantifier is not None:
        out.append("piece")  # "the whole saloon" is every piece in it
    if group.head is Head.PART and not group.names:
        out.append("part")
    return tuple(out)


def _groups(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for g in groups_at(phrase, i):
        loose = 1.2
        if g.head in (Head.SELF,):
            loose = 0.1
        elif g.head is Head.PRONOUN and g.pronoun and not g.names:
            loose = 0.25
        elif g.head in (Head.ABSTRACT, Head.NOISE, Head.FOOD, Head.OTHERS, Head.PERSON, Head.BODY, Head.WEATHER):
            loose = 0.7
        elif g.head is Head.UNKNOWN:
            loose = 1.4
        elif g.head is Head.NUMBER:
            loose = 2.0
        if g.opinion and not g.names and not g.products and not g.determiner:
            loose = min(loose, 0.4)
        content = g.head not in (Head.SELF, Head.OTHERS) and not (g.head is Head.PRONOUN and g.pronoun and not g.names)
        content = content and not (g.opinion and not g.names and not g.products and not g.determiner)
        out.append(Item(g.i, g.j, Kind.GROUP, kinds_of(g), g, doubt=g.doubt, loose=loose, content=content))
    return out


def _times(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for c in phrase.of(i, Cat.TIME):
        kind = _TIMES[c.value.tag]
        out.append(Item(c.i, c.j, Kind.TIME, (kind,), c.value, doubt=c.doubt, loose=1.5))
    return out


def _measured(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for c in phrase.of(i, Cat.MEASURE):
        what, value = c.value
        out.append(Item(c.i, c.j, Kind.MEASURE, (_MEASURES[what],), value, doubt=c.doubt, loose=2.0))
    if phrase.at(i) == "the":  # "with the two forty"
        out += [
            Item(i, c.j, Kind.MEASURE, ("grit",), c.value[1], doubt=c.doubt, loose=2.0)
            for c in phrase.of(i + 1, Cat.MEASURE)
            if c.value[0] is Measure.GRIT and c.i == i + 1
        ]
    return [m for m in out if m.i == i]


def _prepositional(phrase: Phrase, i: int, bare: list[list[Item]]) -> list[Item]:
    out = []
    leads = [
        (c.j, " ".join(c.value.words), c.doubt) for c in phrase.of(i, Cat.FUNCTION) if c.value.sense == "preposition"
    ]
    leads += [
        (c.j, "not", c.doubt) for c in phrase.of(i, Cat.FUNCTION) if c.value.lemma in ("instead of", "rather than")
    ]
    if phrase.at(i) == "not":
        leads.append((i + 1, "not", 0.0))
    for j, prep, doubt in leads:
        if j >= len(phrase):
            continue
        at = j
        while phrase.at(at) in ("the", "next", "last", "another") and at - j < 2:
            at += 1
        spans = (
            [x for x in bare[at] if x.kinds[0] == "length"] if j < at < len(phrase) else []
        )  # "for the next three hours"
        for item in (*bare[j], *spans):
            if item.kinds[0] in ("until", "since", "from", "range"):
                continue
            loose = min(item.loose, 0.9) if item.kind is Kind.GROUP else item.loose
            out.append(
                Item(i, item.j, item.kind, item.kinds, item.value, prep, item.doubt + doubt, loose, item.content)
            )
    return out


def _described(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for c in phrase.of(i, Cat.DESCRIBING):
        sense, value = c.value.sense, c.value.value
        if sense == "state":
            deed = phrase.at(i).endswith("ed") and any(
                set(f.tags) & {"VBD", "VBN"} for v in phrase.of(i, Cat.VERB) for f in v.value
            )
            loose = (
                1.2 if deed and value not in ("done", "finished") else 0.4
            )  # "sealed" is a verb before it is a state
            out.append(
                Item(
                    c.i,
                    c.j,
                    Kind.STATE,
                    (f"state.{value or c.value.lemma}", "state"),
                    c.value,
                    doubt=c.doubt,
                    loose=loose,
                )
            )
        elif sense in ("almost", "negative"):
            out.append(Item(c.i, c.j, Kind.ADVERB, (sense,), c.value, doubt=c.doubt, loose=0.3))
        else:
            loose = 0.05 if sense == "certainty" else _HARMLESS.get(sense, 0.3)
            kinds = (f"{sense}.{value}", sense) if value else (sense,)
            out.append(Item(c.i, c.j, Kind.ADVERB, kinds, c.value, doubt=c.doubt, loose=loose, content=False))
    return out


def _functions(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for c in phrase.of(i, Cat.FUNCTION):
        sense = c.value.sense
        loose = 0.0 if sense in _FREE else _LOOSE_FUNCTION.get(sense, 0.5)
        if c.value.lemma in _PARTING:
            loose = 1.2
        out.append(
            Item(
                c.i,
                c.j,
                Kind.FUNCTION,
                (f"{sense}.{c.value.lemma}", sense),
                c.value,
                doubt=c.doubt,
                loose=loose,
                content=False,
            )
        )
    word = phrase.at(i)
    if (
        word in ("that", "there", "this", "here", "thats", "it")
        and phrase.at(i + 1) in ("is", "'s")
        and _presents(phrase, i)
    ):
        # "that's the door done": what follows is what is told
        out.append(Item(i, i + 2, Kind.FUNCTION, ("presentation",), None, loose=0.03, content=False))
        if phrase.at(i + 2) == "me":
            out.append(Item(i, i + 3, Kind.FUNCTION, ("presentation",), None, loose=0.03, content=False))
    if word == "'s":
        out.append(Item(i, i + 1, Kind.FUNCTION, ("auxiliary",), None, loose=0.05, content=False))
    if not out and (word in BE or word in HAVE or word in DO or word in MODAL):
        out.append(Item(i, i + 1, Kind.FUNCTION, ("auxiliary",), None, loose=1.5, content=False))
    return out


def _presents(phrase: Phrase, i: int) -> bool:
    return phrase.at(i) != "it"


def _rest(phrase: Phrase, i: int) -> list[Item]:
    out = []
    for c in phrase.chunks[i]:
        if c.cat is Cat.MARK:
            out.append(Item(i, c.j, Kind.MARK, (c.value,), c.value, loose=0.01, content=False))
        elif c.cat is Cat.VERB:
            out.append(Item(i, c.j, Kind.VERB, ("verb",), c, loose=2.0))
        elif c.cat is Cat.NOUN and len(c.value.words) >= 1:
            continue
        elif c.cat is Cat.WORD:
            out.append(_unknown(phrase, c))
    if phrase.kinds[i] == "other" and not any(ch.isalnum() for ch in phrase.words[i]):
        return [*out, Item(i, i + 1, Kind.WORD, ("symbol",), None, loose=0.05, content=False)]
    if not out and phrase.kinds[i] in ("number", "ordinal", "ratio", "clock", "fraction", "odd", "other", "iso"):
        out.append(Item(i, i + 1, Kind.WORD, ("number",), None, loose=3.0))
    if not out and not any(True for _ in phrase.chunks[i]):
        out.append(Item(i, i + 1, Kind.WORD, ("word",), None, loose=1.5))
    return out


def _unknown(phrase: Phrase, c: Chunk) -> Item:
    """Give an unknown word: an adverb or adjective is harmless, anything else may be what matters."""
    pos: str | None = c.value
    word = phrase.words[c.i]
    if pos and not set(pos) & {"n", "v"}:
        return Item(c.i, c.j, Kind.WORD, ("word.harmless",), c, doubt=c.doubt, loose=0.1, content=False)
    if word.endswith("ly") and pos is None:
        return Item(c.i, c.j, Kind.WORD, ("word.harmless",), c, doubt=c.doubt, loose=0.2, content=False)
    if pos and "a" in pos and "v" not in pos:
        return Item(c.i, c.j, Kind.WORD, ("word",), c, doubt=c.doubt, loose=0.6)
    return Item(c.i, c.j, Kind.WORD, ("word",), c, doubt=c.doubt, loose=1.5)
