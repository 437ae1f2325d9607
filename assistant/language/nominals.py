"""The noun itself, with the nouns that run on with it: "door undercoat", "the wheelhouse door"."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.fronts import THINGS, fronts, nouns
from assistant.language.meanings import Pronoun, Quantifier
from assistant.language.names import Name
from assistant.language.noungroup import Head, NounGroup

#: Quantifiers that stand for pieces with no noun after them.
_ALONE: Final = frozenset(["everything", "both", "others", "rest", "lot", "other", "pair", "anything"])


_HEADS: Final = {h.value: h for h in Head}


#: Of several nouns side by side the one that the group is about.
_RANK: Final = (
    Head.COAT, Head.VESSEL, Head.FAULT, Head.ACT, Head.TAPE, Head.BOAT, Head.TASK, Head.DOCUMENT, Head.GEAR,
    Head.ABRASIVE, Head.TOOL,
)  # fmt: skip


def nominals(phrase: Phrase, front: NounGroup) -> Iterator[NounGroup]:
    """Give the group with the run of nouns and names after ``front``, one for each way of taking them."""
    found = False
    for first in nouns(phrase, front.j):
        for group in _run(phrase, _put(phrase, front, first), 0):
            found = True
            yield group
    word = phrase.at(front.j)
    if word in THINGS and (
        front.j == front.i or word in ("one", "ones", "them", "those", "these", "it", "that", "this")
    ):
        named = front.quantifier or front.ordinal or front.determiner or front.j == front.i
        if named and not (word == "one" and front.j == front.i):
            yield replace(front, j=front.j + 1, head=Head.PRONOUN, pronoun=THINGS[word], plural=word.endswith("s"))
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
        elif last in THINGS and front.j == front.i + 1:
            yield replace(front, head=Head.PRONOUN, pronoun=THINGS[last])
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
            tail = nouns(phrase, j)
            yield replace(front, j=j, head=Head.UNKNOWN, unknown=phrase.said(front.j, j), doubt=0.2)
            for c in tail:  # "the wheelhouse door" where only "door" is known: the tail belongs to the unknown name
                if c.cat is Cat.NAME and c.value.kind == "piece" and not c.value.whole:
                    yield replace(front, j=c.j, head=Head.UNKNOWN, unknown=phrase.said(front.j, c.j), doubt=0.1)


def _may_name(phrase: Phrase, i: int) -> bool:
    """Whether an unknown word at ``i`` may be part of a name."""
    words = list(phrase.of(i, Cat.WORD))
    return (
        bool(words)
        and phrase.kinds[i] == "word"
        and (words[0].value is None or words[0].value == "" or "n" in words[0].value)
    )


def _also_finite(phrase: Phrase, i: int) -> bool:
    """Whether word ``i`` may as well be a verb in the present: "needs", "wants"."""
    return any("VBZ" in f.tags for c in phrase.of(i, Cat.VERB) for f in c.value)


def _run(phrase: Phrase, group: NounGroup, depth: int) -> Iterator[NounGroup]:
    """Give ``group`` with as many further nouns as stand beside its own: "door undercoat", "primer coat"."""
    if group.head is Head.ABSTRACT and _also_finite(phrase, group.j - 1):
        yield group  # "needs sanding" is no kind of sanding
        return
    more = False
    at, owned = group.j, phrase.at(group.j) == "'s"
    if owned:
        at += 1
    nxt = replace(group, j=at)
    if depth < 4 and at < len(phrase):
        if owned:
            for front in fronts(phrase, nxt):
                for c in nouns(phrase, front.j):
                    joined = _put(phrase, front, c)
                    if joined.j > group.j:
                        more = True
                        yield from _run(phrase, joined, depth + 1)
        else:
            timed = any(t.cat is Cat.TIME and t.doubt < 0.3 and t.j > at + 1 for t in phrase.chunks[at])
            for c in nouns(phrase, at) if not timed else ():
                if (
                    (
                        c.cat is Cat.NOUN
                        and c.value.sense in ("coat", "vessel", "fault", "part", "act", "tape", "hardware")
                    )
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
                for c in nouns(phrase, ordinal[0].j):  # "hatch trim second coat"
                    if c.cat is Cat.NOUN and c.value.sense == "coat":
                        more = True
                        numbered = replace(group, ordinal=ordinal[0].value[1])
                        yield from _run(phrase, _put(phrase, numbered, c), depth + 1)
    yield group if not more else replace(group, doubt=group.doubt + 0.05)


def _named(phrase: Phrase, group: NounGroup, c: Chunk) -> NounGroup:
    """Take a name of the job into the group."""
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
            group,
            j=numbered[0],
            head=Head.COAT,
            ordinal=numbered[1],
            products=(*group.products, name),
            doubt=doubt + 0.1,
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


def _put(phrase: Phrase, group: NounGroup, c: Chunk) -> NounGroup:
    """Take one more noun or name into the group."""
    if c.cat is Cat.NAME:
        return _named(phrase, group, c)
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
