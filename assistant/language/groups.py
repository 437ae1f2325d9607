"""Noun groups: what is spoken of, with its number, its quantifier, what it is made of and what is left out of it.

"The second coat of primer on ..." is a coat with a number and a product; "all the doors in the saloon but the heads door"
is a set of pieces; "half a tin of enamel" is a vessel with a share. A group is cut as long as it can be, and
shorter ways of cutting it are given too, since only the clause shows whether "and the shelf" still belongs to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.meanings import Group, Pronoun, Quantifier
from assistant.language.names import Name
from assistant.quantity import Amount


class Head(StrEnum):
    """What a noun group is about: a thing of the job, or the kind of a noun (the senses of ``nouns.toml``)."""

    PIECE = "piece"
    SPACE = "space"
    PRODUCT = "product"
    COAT = "coat"
    ACT = "act"
    TOOL = "tool"
    ABRASIVE = "abrasive"
    VESSEL = "vessel"
    PART = "part"
    COMPONENT = "component"
    THINNER = "thinner"
    FAULT = "fault"
    GEAR = "gear"
    PERSON = "person"
    ANIMAL = "animal"
    BODY = "body"
    PLACE = "place"
    BOAT = "boat"
    DOCUMENT = "document"
    AIR = "air"
    TASK = "task"
    TAPE = "tape"
    HARDWARE = "hardware"
    WEATHER = "weather"
    FOOD = "food"
    NOISE = "noise"
    ABSTRACT = "abstract"
    MATERIAL = "material"
    DIRT = "dirt"
    HOUSE = "house"
    PRONOUN = "pronoun"
    SELF = "self"  # I, we, me
    OTHERS = "others"  # he, she, they as persons, you
    AMOUNT = "amount"
    NUMBER = "number"
    ORDINAL = "ordinal"  # "the second": a coat, if anything
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class NounGroup:
    """Words ``i`` up to ``j`` as one noun group."""

    i: int
    j: int
    head: Head
    lemma: str = ""
    value: str = ""  # of a noun: the fault, the act, the component
    determiner: str = ""
    quantifier: Quantifier | None = None
    count: float | None = None
    ordinal: int | None = None
    sequence: str = ""  # "next", "last"
    another: bool = False
    names: tuple[Name, ...] = ()  # pieces
    spaces: tuple[Name, ...] = ()
    products: tuple[Name, ...] = ()
    part: str | None = None
    besides: NounGroup | None = None
    pronoun: Pronoun | None = None
    unknown: str | None = None
    others: bool = False  # somebody else's: "his", "next door's"
    amount: Amount | None = None
    percent: Amount | None = None
    share: float | None = None
    grit: int | None = None
    states: tuple[str, ...] = ()
    component: str | None = None
    opinion: bool = False  # "a nice clean line"
    near: bool = False  # almost: "most of the door", "half the shelf"
    plural: bool = False
    doubt: float = 0.0

    def group(self, words: str) -> Group:
        """Give the pieces it speaks of, for settling."""
        return Group(
            names=self.names,
            quantifier=self.quantifier,
            count=int(self.count) if self.count and self.head in (Head.PIECE, Head.PRONOUN) else None,
            pronoun=self.pronoun,
            spaces=self.spaces,
            besides=self.besides.group("") if self.besides else None,
            part=self.part,
            unknown=self.unknown,
            words=words,
        )

    @property
    def of_pieces(self) -> bool:
        """Whether it speaks of pieces, by name, pronoun or quantifier."""
        return bool(self.names) or self.head in (Head.PIECE, Head.PRONOUN) or self.part is not None


_QUANTIFIERS: Final = {
    "all": Quantifier.ALL, "every": Quantifier.ALL, "everything": Quantifier.ALL, "whole": Quantifier.ALL,
    "both": Quantifier.BOTH, "pair": Quantifier.BOTH, "each": Quantifier.EACH, "any": Quantifier.ANY,
    "anything": Quantifier.ANY, "no": Quantifier.NONE, "none": Quantifier.NONE, "nothing": Quantifier.NONE,
    "neither": Quantifier.NONE, "other": Quantifier.OTHER, "others": Quantifier.REST, "rest": Quantifier.REST,
    "remaining": Quantifier.REST, "either": Quantifier.ANY, "lot": Quantifier.ALL,
}  # fmt: skip
#: Quantifiers that stand for pieces with no noun after them.
_ALONE: Final = frozenset(["everything", "both", "others", "rest", "lot", "other", "pair", "anything"])
_THINGS: Final = {
    "it": Pronoun.IT, "this": Pronoun.IT, "that": Pronoun.IT, "one": Pronoun.IT, "them": Pronoun.THEM,
    "they": Pronoun.THEM, "those": Pronoun.THEM, "these": Pronoun.THEM, "em": Pronoun.THEM, "ones": Pronoun.THEM,
}  # fmt: skip
_SELF: Final = frozenset(["i", "we", "me", "us", "myself", "ourselves", "meself"])
_OTHERS: Final = frozenset(["he", "she", "you", "him", "her", "someone", "somebody", "who", "everyone", "nobody", "ye"])
_THEIRS: Final = frozenset(["his", "her", "their", "your", "theirs", "hers", "yours"])
_ARTICLES: Final = frozenset(
    ["the", "them", "yon", "same", "a", "an", "my", "our", "its", "this", "that", "these", "those", "some", "th"]
)
_MASSES: Final = frozenset([Head.PRODUCT, Head.VESSEL, Head.AMOUNT])
_EXCEPT: Final = (
    ("except", "for"), ("apart", "from"), ("other", "than"), ("but", "not"), ("all", "but"), ("aside", "from"),
    ("except",), ("excepting",), ("bar",), ("barring",), ("minus",), ("besides",), ("excluding",), ("not",), ("but",),
)  # fmt: skip
_HEADS: Final = {h.value: h for h in Head}
#: Of several nouns side by side the one that the group is about.
_RANK: Final = (
    Head.COAT, Head.VESSEL, Head.FAULT, Head.ACT, Head.TAPE, Head.BOAT, Head.TASK, Head.DOCUMENT, Head.GEAR,
    Head.ABRASIVE, Head.TOOL,
)  # fmt: skip


def groups_at(phrase: Phrase, i: int) -> list[NounGroup]:
    """Give the noun groups that start at word ``i``, the longest first."""
    out: dict[tuple[int, Head, tuple[Name, ...]], NounGroup] = {}
    for core in _cores(phrase, i):
        for group in _extended(phrase, core):
            key = (group.j, group.head, group.names)
            if key not in out or group.doubt < out[key].doubt:
                out[key] = group
    return sorted(out.values(), key=lambda g: (-g.j, g.doubt))


# -- what stands before the noun ----------------------------------------------------------------


def _cores(phrase: Phrase, i: int) -> Iterator[NounGroup]:
    """Give the groups at ``i`` without anything after their head."""
    start = NounGroup(i, i, Head.UNKNOWN)
    word = phrase.at(i)
    if word in _SELF:
        yield replace(start, j=i + 1, head=Head.SELF)
        return
    if word in _OTHERS:
        yield replace(start, j=i + 1, head=Head.OTHERS)
    yield from _shares(phrase, start)
    for front in _fronts(phrase, start):
        yield from _nominals(phrase, front)


def _shares(phrase: Phrase, start: NounGroup) -> Iterator[NounGroup]:
    """Give "two thirds of it", "half the door" as a part of a piece."""
    for c in phrase.of(start.i, Cat.MEASURE):
        what, value = c.value
        if what is not Measure.NUMBER or not 0 < value < 1:
            continue
        at = c.j + (phrase.at(c.j) == "of")
        if at == c.j and phrase.at(at) not in ("the", "my"):
            continue
        for front in _fronts(phrase, replace(start, j=at)):
            for inner in _nominals(phrase, front):
                if inner.of_pieces and inner.head in (Head.PIECE, Head.PRONOUN):
                    yield replace(inner, i=start.i, part=phrase.said(start.i, c.j))


def _fronts(phrase: Phrase, start: NounGroup) -> Iterator[NounGroup]:
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
            if phrase.at(front.j) == "of" and phrase.at(front.j + 1) in (*_ARTICLES, *_THINGS, "our"):
                front = replace(front, j=front.j + 1)
        elif (
            word in _ARTICLES
            and not (word in ("this", "that", "these", "those") and j > start.j)
            and not (word in ("them", "same") and not (_nouns(phrase, j + 1) or _counts(phrase, j + 1)))
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
        for c in _nouns(phrase, i + 1)
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
        return bool(_nouns(phrase, i)) or phrase.at(i) in _THINGS
    for c in _nouns(phrase, i):
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
        for c in _nouns(phrase, i)
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
    if named and not _nouns(phrase, front.j + 1):
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
        if sense == "side" and _nouns(phrase, c.j):
            return replace(front, j=c.j, part=f"{front.part} {c.value.lemma}".strip() if front.part else c.value.lemma)
        if sense == "state" and _nouns(phrase, c.j):
            return replace(front, j=c.j, states=(*front.states, value or c.value.lemma))
    english = [c for c in phrase.of(front.j, Cat.WORD) if c.value and "a" in c.value and "n" not in c.value]
    if english and front.j > front.i and _nouns(phrase, front.j + 1):
        return replace(front, j=front.j + 1)
    return None


# -- the noun itself ----------------------------------------------------------------------------


def _nouns(phrase: Phrase, i: int) -> list[Chunk]:
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


def _nominals(phrase: Phrase, front: NounGroup) -> Iterator[NounGroup]:
    """Give the group with the run of nouns and names after ``front``, one for each way of taking them."""
    found = False
    for first in _nouns(phrase, front.j):
        for group in _run(phrase, _put(phrase, front, first), 0):
            found = True
            yield group
    word = phrase.at(front.j)
    if word in _THINGS and (
        front.j == front.i or word in ("one", "ones", "them", "those", "these", "it", "that", "this")
    ):
        named = front.quantifier or front.ordinal or front.determiner or front.j == front.i
        if named and not (word == "one" and front.j == front.i):
            yield replace(front, j=front.j + 1, head=Head.PRONOUN, pronoun=_THINGS[word], plural=word.endswith("s"))
    if found:
        return
    yield from _bare(phrase, front)


def _bare(phrase: Phrase, front: NounGroup) -> Iterator[NounGroup]:
    """Give the group where no noun that is known follows: "both", "the second", "that", "the brightwork"."""
    last = phrase.at(front.j - 1)
    if front.j > front.i:
        if front.quantifier and last in _ALONE | {"of"}:
            yield replace(front, head=Head.PRONOUN)
        elif front.count and front.determiner and front.count < 10:  # "the two in the heads", "them two"
            yield replace(front, head=Head.PRONOUN, pronoun=Pronoun.THEM, plural=True)
        elif front.ordinal is not None and front.j > front.i:
            yield replace(front, head=Head.ORDINAL)
        elif last in _THINGS and front.j == front.i + 1:
            yield replace(front, head=Head.PRONOUN, pronoun=_THINGS[last])
        elif front.sequence or front.another:
            yield replace(front, head=Head.ORDINAL)
    if (
        front.ordinal is not None
        and phrase.at(front.j + 1) == "of"
        and any(c.value.kind == "product" for c in phrase.of(front.j + 2, Cat.NAME))
    ):
        # whatever is counted of a product is a coat, however it is spelt
        yield replace(front, j=front.j + 1, head=Head.COAT, doubt=0.3)
    if front.j > front.i and (front.determiner or front.quantifier or front.others):
        j = front.j
        while j < len(phrase) and j < front.j + 3 and _may_name(phrase, j):
            j += 1
        if j > front.j:
            tail = _nouns(phrase, j)
            yield replace(front, j=j, head=Head.UNKNOWN, unknown=phrase.said(front.j, j), doubt=0.2)
            for c in tail:  # "the wheelhouse door" where only "door" is known: the tail belongs to the unknown name
                if c.cat is Cat.NAME and c.value.kind == "piece" and not c.value.whole:
                    yield replace(front, j=c.j, head=Head.UNKNOWN, unknown=phrase.said(front.j, c.j), doubt=0.1)


def _may_name(phrase: Phrase, i: int) -> bool:
    """Whether an unknown word at ``i`` may be part of a name."""
    words = [c for c in phrase.of(i, Cat.WORD)]
    return (
        bool(words)
        and phrase.kinds[i] == "word"
        and (words[0].value is None or words[0].value == "" or "n" in words[0].value)
    )


def _run(phrase: Phrase, group: NounGroup, depth: int) -> Iterator[NounGroup]:
    """Give ``group`` with as many further nouns as stand beside its own: "door undercoat", "primer coat"."""
    more = False
    at, owned = group.j, phrase.at(group.j) == "'s"
    if owned:
        at += 1
    nxt = replace(group, j=at)
    if depth < 4 and at < len(phrase):
        if owned:
            for front in _fronts(phrase, nxt):
                for c in _nouns(phrase, front.j):
                    joined = _put(phrase, front, c)
                    if joined.j > group.j:
                        more = True
                        yield from _run(phrase, joined, depth + 1)
        else:
            timed = any(t.cat is Cat.TIME and t.doubt < 0.3 and t.j > at + 1 for t in phrase.chunks[at])
            for c in _nouns(phrase, at) if not timed else ():
                if (
                    (c.cat is Cat.NOUN
                    and c.value.sense in ("coat", "vessel", "fault", "part", "act", "tape", "hardware"))
                    or (c.cat is Cat.NOUN and c.value.sense.startswith("act."))
                    or (
                        c.cat is Cat.NAME
                        and c.value.kind == "product"
                        and c.doubt < 0.5
                        and group.head in (Head.PIECE, Head.COAT)
                    )
                    or (c.cat is Cat.NAME and c.value.kind == "piece" and c.value.whole and group.head in (Head.SPACE,))
                    or (c.cat is Cat.NAME and c.value.kind == "piece" and group.head is Head.SPACE)
                ):
                    more = True
                    yield from _run(phrase, _put(phrase, group, c), depth + 1)
            ordinal = [c for c in phrase.of(at, Cat.MEASURE) if c.i == at and c.value[0] is Measure.ORDINAL]
            if ordinal and group.head in (Head.PIECE, Head.PRODUCT) and group.ordinal is None:
                for c in _nouns(phrase, ordinal[0].j):  # "hatch trim second coat"
                    if c.cat is Cat.NOUN and c.value.sense == "coat":
                        more = True
                        numbered = replace(group, ordinal=ordinal[0].value[1])
                        yield from _run(phrase, _put(phrase, numbered, c), depth + 1)
    yield group if not more else replace(group, doubt=group.doubt + 0.05)


def _put(phrase: Phrase, group: NounGroup, c: Chunk) -> NounGroup:
    """Take one more noun or name into the group."""
    if c.cat is Cat.NAME:
        name: Name = c.value
        doubt = group.doubt + min(c.doubt, 0.6)
        if name.kind == "product" and any(n.value.sense == "thinner" and n.j >= c.j for n in phrase.of(c.i, Cat.NOUN)):
            return replace(group, j=c.j, head=Head.THINNER, products=(*group.products, name), doubt=doubt)
        if name.kind == "piece":
            spaces = group.spaces if group.head is not Head.SPACE else ()
            part = group.part
            return replace(
                group, j=c.j, head=Head.PIECE, names=(*group.names, name), spaces=spaces, part=part, doubt=doubt,
                plural=name.plural,
            )  # fmt: skip
        if name.kind == "space":
            return replace(group, j=c.j, head=Head.SPACE, spaces=(*group.spaces, name), doubt=doubt)
        numbered = _coat_number(phrase, c.j) if name.kind == "product" and group.ordinal is None else None
        if numbered is not None and phrase.at(numbered[0]) in ("on", "", ",", ".", "at"):
            return replace(  # "oil number 2 on the counter"
                group, j=numbered[0], head=Head.COAT, ordinal=numbered[1], products=(*group.products, name), doubt=doubt + 0.1
            )
        if name.kind == "product":
            return replace(
                group,
                j=c.j,
                head=Head.COAT if group.head is Head.COAT else Head.PRODUCT,
                products=(*group.products, name),
                doubt=doubt,
            )
        return replace(group, j=c.j, head=Head.COMPONENT, component=name.options[0], doubt=doubt)
    entry = c.value
    sense, _, act = entry.sense.partition(".")
    head = _HEADS.get(sense, Head.ABSTRACT)
    plural = phrase.words[c.j - 1] != entry.lemma.split()[-1]
    if head is Head.PART:
        if group.quantifier in (Quantifier.BOTH, Quantifier.ALL) and not group.names:
            # "both sides" is the whole of it
            return replace(group, j=c.j, head=Head.PART, part="all round", quantifier=None, doubt=group.doubt + c.doubt)
        part = f"{group.part} {entry.lemma}" if group.part else entry.lemma
        if entry.lemma == "back" and not (group.determiner or group.part or group.states):
            group = replace(group, doubt=group.doubt + 0.5)  # "rubbed it back"
        return replace(
            group, j=c.j, head=Head.PIECE if group.names else Head.PART, part=part, doubt=group.doubt + c.doubt
        )
    if head is Head.COMPONENT:
        return replace(group, j=c.j, head=head, component=entry.value or entry.lemma, doubt=group.doubt + c.doubt)
    if head is Head.BOAT:  # "the boat" is one's own; a boat, his boat, the one next door are not
        own = group.determiner in ("the", "my", "our", "this") and not group.others
        return replace(
            group, j=c.j, head=head, lemma=entry.lemma, value="own" if own else "", doubt=group.doubt + c.doubt
        )
    if head is Head.COAT and group.ordinal is None:
        numbered = _coat_number(phrase, c.j)
        if numbered is not None:
            return replace(
                group, j=numbered[0], head=head, lemma=entry.lemma, ordinal=numbered[1], doubt=group.doubt + c.doubt
            )
    keep = group.head if group.head in _RANK and head not in _RANK else head
    value = act or entry.value
    return replace(
        group, j=c.j, head=keep, lemma=entry.lemma, value=value if keep is head else group.value, plural=plural,
        doubt=group.doubt + c.doubt,
    )  # fmt: skip


def _coat_number(phrase: Phrase, i: int) -> tuple[int, int] | None:
    """Give the end and value of a number that follows "coat": "coat two", "coat number three"."""
    at = i + (phrase.at(i) in ("number", "no"))
    at += at > i and phrase.at(at) == ","
    for c in phrase.of(at, Cat.MEASURE):
        what, value = c.value
        if what is Measure.NUMBER and c.j == at + 1 and 0 <= value < 30 and value == int(value):
            return c.j, int(value)
    return None


# -- what stands after it -----------------------------------------------------------------------


def _extended(phrase: Phrase, core: NounGroup, depth: int = 0) -> Iterator[NounGroup]:
    """Give a group with what may follow its head: "of ...", "in the saloon", "and ...", "except ..."."""
    yield core
    if depth > 4 or core.j >= len(phrase):
        return
    word = phrase.at(core.j)
    if word == "of":
        for inner in _inner(phrase, core.j + 1):
            joined = _of(core, inner)
            if joined is not None:
                yield from _extended(phrase, joined, depth + 1)
    if core.of_pieces and (core.plural or core.quantifier or len(core.names) > 1 or core.names) and not core.spaces:
        at = core.j + (word in ("in", "on", "down", "of"))
        for inner in _inner(phrase, at) if at > core.j else ():
            if inner.head is Head.SPACE and inner.quantifier is None:
                yield from _extended(phrase, replace(core, j=inner.j, spaces=inner.spaces), depth + 1)
    if core.of_pieces or core.head is Head.SPACE:
        yield from _without(phrase, core, depth)
    if core.names and core.head is Head.PIECE and core.besides is None:
        yield from _joined(phrase, core, depth)
    if core.head is Head.SPACE and not core.names and phrase.at(core.j) in ("and", "&"):
        for inner in _inner(phrase, core.j + 1):
            if inner.head is Head.SPACE and not inner.names:  # "the saloon and the heads"
                yield from _extended(phrase, replace(core, j=inner.j, spaces=(*core.spaces, *inner.spaces)), depth + 1)
    if core.head is Head.SPACE and core.quantifier and not core.names:
        # "all the saloon": what is in it
        yield from _without(phrase, replace(core, head=Head.PIECE), depth)


def _inner(phrase: Phrase, i: int) -> list[NounGroup]:
    return list(_cores(phrase, i)) if i < len(phrase) else []


def _of(core: NounGroup, inner: NounGroup) -> NounGroup | None:
    """Put "of ..." to a group: a coat of a product, a tin of it, a part of a piece, all of the doors."""
    j, doubt = inner.j, core.doubt + inner.doubt
    if core.head is Head.ORDINAL and core.sequence == "last" and core.ordinal is None and inner.products:
        # "the last of the sealer" is what was left in the tin
        return replace(core, j=j, head=Head.VESSEL, lemma="last", products=inner.products, doubt=doubt)
    if core.head in (Head.COAT, Head.VESSEL, Head.AMOUNT, Head.NUMBER, Head.ORDINAL, Head.ACT) and inner.products:
        head = Head.COAT if core.head is Head.ORDINAL else core.head
        return replace(core, j=j, head=head, products=inner.products, doubt=doubt)
    if core.head is Head.PART and inner.of_pieces:
        part = core.part if inner.part is None else f"{core.part} of {inner.part}"
        return replace(
            core, j=j, head=Head.PIECE, part=part, names=inner.names, pronoun=inner.pronoun, plural=inner.plural,
            quantifier=core.quantifier or inner.quantifier, doubt=doubt,
        )  # fmt: skip
    if core.head in (Head.PRONOUN, Head.PIECE) and core.quantifier and not core.names:
        if inner.of_pieces:
            return replace(inner, i=core.i, quantifier=core.quantifier, count=core.count or inner.count, doubt=doubt)
        if inner.head is Head.SPACE:
            return replace(core, j=j, spaces=inner.spaces, doubt=doubt)
        if inner.head is Head.BOAT or inner.head is Head.PRODUCT:
            return replace(inner, i=core.i, quantifier=core.quantifier, doubt=doubt)
    if core.head is Head.FAULT and inner.products:
        return replace(core, j=j, products=inner.products, doubt=doubt)
    if core.head is Head.ABSTRACT and core.ordinal is not None and inner.products:
        return replace(core, j=j, head=Head.COAT, products=inner.products, doubt=doubt + 0.2)  # "second cost of enamel"
    if core.head is Head.ABSTRACT and inner.head not in (Head.SELF, Head.OTHERS):
        return replace(inner, i=core.i, determiner=core.determiner, another=core.another or inner.another, doubt=doubt)
    return None


def _without(phrase: Phrase, core: NounGroup, depth: int) -> Iterator[NounGroup]:
    at = core.j + (phrase.at(core.j) == ",")
    for words in _EXCEPT:
        if tuple(phrase.words[at : at + len(words)]) != words:
            continue
        if words in (("not",), ("but",), ("bar",)) and not (core.quantifier or core.plural):
            continue
        for inner in _inner(phrase, at + len(words)):
            if inner.of_pieces or inner.head is Head.SPACE:
                for more in _joined(phrase, inner, depth + 2):
                    yield replace(core, j=more.j, besides=more, doubt=core.doubt + inner.doubt)
                yield replace(core, j=inner.j, besides=inner, doubt=core.doubt + inner.doubt)
        return


def _joined(phrase: Phrase, core: NounGroup, depth: int) -> Iterator[NounGroup]:
    """Join further pieces: "the door and the shelf", "door, shelf and lid"."""
    at, comma = core.j, False
    if phrase.at(at) == ",":
        at, comma = at + 1, True
    if phrase.at(at) in ("and", "plus", "n", "+", "&"):
        at += 1
        if phrase.at(at) in ("also", "then"):
            at += 1
    elif not comma:
        return
    for inner in _inner(phrase, at):
        if inner.head is Head.PIECE and inner.names and inner.ordinal is None and not inner.others:
            quantifier = core.quantifier
            if inner.quantifier in (Quantifier.BOTH, Quantifier.ALL) and inner.quantifier is not quantifier:
                inner = replace(inner, names=tuple(n._replace(plural=True) for n in inner.names))
            if quantifier in (Quantifier.BOTH, Quantifier.ALL) and inner.quantifier is None:
                core = replace(core, names=tuple(n._replace(plural=True) for n in core.names))
                quantifier = None
            if inner.part != core.part and (inner.part or core.part):
                continue
            joined = replace(
                core, j=inner.j, names=(*core.names, *inner.names), quantifier=quantifier, plural=True,
                doubt=core.doubt + inner.doubt + (0.1 if comma and at == core.j + 1 else 0.0),
            )  # fmt: skip
            yield from _extended(phrase, joined, depth + 1)
