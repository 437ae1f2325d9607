"""Noun groups: what is spoken of, with its number, its quantifier, what it is made of and what is left out of it.

"The second coat of primer on ..." is a coat with a number and a product; "all the doors in the saloon but the heads
door" is a set of pieces; "half a tin of enamel" is a vessel with a share. A group is cut as long as it can be, and
shorter ways of cutting it are given too, since only the clause shows whether "and the shelf" still belongs to it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.fronts import fronts
from assistant.language.meanings import Quantifier
from assistant.language.names import Name
from assistant.language.nominals import nominals
from assistant.language.noungroup import Head, NounGroup

_SELF: Final = frozenset(["i", "we", "me", "us", "myself", "ourselves", "meself"])


_OTHERS: Final = frozenset(["he", "she", "you", "him", "her", "someone", "somebody", "who", "everyone", "nobody", "ye"])


_EXCEPT: Final = (
    ("except", "for"), ("apart", "from"), ("other", "than"), ("but", "not"), ("all", "but"), ("aside", "from"),
    ("except",), ("excepting",), ("bar",), ("barring",), ("minus",), ("besides",), ("excluding",), ("not",), ("but",),
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
    for front in fronts(phrase, start):
        yield from nominals(phrase, front)


def _shares(phrase: Phrase, start: NounGroup) -> Iterator[NounGroup]:
    """Give "two thirds of it", "half the door" as a part of a piece."""
    for c in phrase.of(start.i, Cat.MEASURE):
        what, value = c.value
        if what is not Measure.NUMBER or not 0 < value < 1:
            continue
        at = c.j + (phrase.at(c.j) == "of")
        if at == c.j and phrase.at(at) not in ("the", "my"):
            continue
        for front in fronts(phrase, replace(start, j=at)):
            for inner in nominals(phrase, front):
                if inner.of_pieces and inner.head in (Head.PIECE, Head.PRONOUN):
                    yield replace(inner, i=start.i, part=phrase.said(start.i, c.j))


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
            quantifier, group = core.quantifier, inner
            if inner.quantifier in (Quantifier.BOTH, Quantifier.ALL) and inner.quantifier is not quantifier:
                group = replace(inner, names=tuple(n._replace(plural=True) for n in inner.names))
            if quantifier in (Quantifier.BOTH, Quantifier.ALL) and inner.quantifier is None:
                core = replace(core, names=tuple(n._replace(plural=True) for n in core.names))
                quantifier = None
            if inner.part != core.part and (inner.part or core.part):
                continue
            joined = replace(
                core, j=inner.j, names=(*core.names, *group.names), quantifier=quantifier, plural=True,
                doubt=core.doubt + inner.doubt + (0.1 if comma and at == core.j + 1 else 0.0),
            )  # fmt: skip
            yield from _extended(phrase, joined, depth + 1)
