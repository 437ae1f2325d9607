"""The slots of a clause as typed values, and the words that no slot explains."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.clause import Clause
from assistant.language.items import Item, Kind
from assistant.language.meanings import (
    Group,
)
from assistant.language.merging import merge
from assistant.language.names import Name
from assistant.language.noungroup import Head, NounGroup
from assistant.language.numbers import WORDS as NUMBER_WORDS
from assistant.language.periods import Bound, Range
from assistant.language.when import When

_NAMING: Final = (
    "pieces",
    "products",
    "coat",
    "ordinal",
    "acted",
    "fault",
    "vessel",
    "tape",
    "flaw",
    "clamps",
    "old",
    "task",
    "air",
    "wrong",
)


_BESIDE: Final = frozenset(
    [
        Head.TOOL,
        Head.PLACE,
        Head.ABSTRACT,
        Head.WEATHER,
        Head.NOISE,
        Head.HOUSE,
        Head.FOOD,
        Head.BODY,
        Head.MATERIAL,
        Head.DIRT,
        Head.PERSON,
        Head.ANIMAL,
        Head.TASK,
        Head.GEAR,
        Head.HARDWARE,
        Head.DOCUMENT,
        Head.PRONOUN,
        Head.ABRASIVE,
        Head.SPACE,
        Head.TAPE,
        Head.OTHERS,
    ]
)


#: Words that are numbers and nothing else.
_COUNTING: Final = NUMBER_WORDS - frozenset(
    ["one", "second", "half", "quarter", "point", "oh", "couple", "third", "thirds", "first", "halves", "quarters"]
) | {"minus", "negative"}


class Slots:
    """A clause's slots, typed as they are asked for."""

    def __init__(self, phrase: Phrase, clause: Clause | None, parts: Sequence[Any] | None = None) -> None:
        self.phrase = phrase
        self.parts = list(parts if parts is not None else clause.parts if clause is not None else ())

    def items(self, *names: str) -> list[Item]:
        """Give the items in some slots, in order."""
        return [p.item for p in self.parts if p.slot in names]

    def noun_groups(self, *names: str) -> list[NounGroup]:
        """Give the noun groups in some slots."""
        return [i.value for i in self.items(*names) if i.kind is Kind.GROUP]

    def pieces(self, *also: str) -> Group | None:
        """Give the pieces spoken of, all of them as one group; None if there is none."""
        groups = [g for g in self.noun_groups("pieces", *also) if g.head is not Head.SPACE or g.quantifier]
        named = [g for g in self.noun_groups(*_NAMING) if g.names and g not in groups]
        every = [*groups, *named]
        places = [g for g in self.noun_groups("pieces", "spaces") if g.head is Head.SPACE and not g.quantifier]
        if not every and not places:
            return None
        if any(g.names for g in every):  # "it" beside a name is the name
            every = [g for g in every if g.names or g.quantifier or g.unknown or g.part]
        names: tuple[Name, ...] = tuple(dict.fromkeys(n for g in every for n in g.names))
        spaces = tuple(dict.fromkeys(s for g in (*every, *places) for s in g.spaces))
        first = next((g for g in every if g.quantifier), None)
        pronoun = next((g.pronoun for g in every if g.pronoun), None)
        parts = [g.part for g in every if g.part]
        count = next((int(g.count) for g in every if g.count and g.head in (Head.PIECE, Head.PRONOUN)), None)
        besides = next((g.besides.group("") for g in every if g.besides), None)
        apart = self.noun_groups("besides")
        if besides is None and apart:  # "sanded them all 240 except the rail"
            besides = Group(names=tuple(n for g in apart for n in g.names), unknown=apart[0].unknown)
        left = self._part_left(besides, [g for g in every if g.besides])
        if left:
            besides, parts = None, [left]
        unknown = next((g.unknown for g in every if g.unknown), None)
        quantifier = first.quantifier if first else None
        return Group(
            names=names, quantifier=quantifier, count=count, pronoun=None if names else pronoun, spaces=spaces,
            besides=besides, part=parts[0] if parts and parts[0] != "all round" else None, unknown=unknown,
            words=" ".join(self.phrase.said(i.i, i.j) for i in self.items("pieces")),
        )  # fmt: skip

    def _part_left(self, besides: Group | None, groups: list[NounGroup]) -> str | None:
        """Give "all but the feet" where what is left out is no piece but a part of the one named."""
        if besides is None or besides.names or besides.spaces or besides.quantifier or besides.pronoun:
            return None
        apart = [i for i in self.items("besides") if i.kind is Kind.GROUP]
        inner = apart[0].value if apart else groups[0].besides if groups else None
        if inner is None or inner.head is Head.PRONOUN:
            return None
        said = self.phrase.said(inner.i, inner.j)
        return f"all but {said}" if said else None

    def products(self, *names: str) -> tuple[Name, ...]:
        """Give the products named in some slots, or in any."""
        groups = self.noun_groups(*(names or (*_NAMING, "spoiled", "with", "components")))
        return tuple(dict.fromkeys(p for g in groups for p in g.products))

    def when(self) -> When | None:
        """Give the time said, all of it; the first where two of them conflict."""
        out: When | None = None
        for item in self.items("when"):
            value = item.value.value
            if isinstance(value, When):
                out = value if out is None else merge(out, value) or out
        return out

    def bound(self, name: str) -> Bound | None:
        """Give the bound in a slot ("until seven")."""
        found = [i.value.value for i in self.items(name) if isinstance(i.value.value, Bound)]
        return found[0] if found else None

    def range(self) -> Range | None:
        """Give the range said ("from eight to nine")."""
        found = [i.value.value for i in self.items("range") if isinstance(i.value.value, Range)]
        return found[0] if found else None

    def length(self) -> timedelta | None:
        """Give the length of time said."""
        found = [i.value.value for i in self.items("took") if isinstance(i.value.value, timedelta)]
        return found[0] if found else None

    def measure(self, *names: str) -> Any:
        """Give the first measure in some slots."""
        return next((i.value for i in self.items(*names) if i.kind is Kind.MEASURE), None)

    def measures(self, *names: str) -> list[Any]:
        """Give the measures in some slots."""
        return [i.value for i in self.items(*names) if i.kind is Kind.MEASURE]

    def ordinal(self) -> int | None:
        """Give the number of the coat."""
        groups = self.noun_groups("coat", "ordinal", "products", "pieces", "acted")
        return next((g.ordinal for g in groups if g.ordinal is not None), self.measure("ordinal"))

    def grits(self) -> tuple[int, ...]:
        """Give the grits said."""
        measured = [int(v) for v in self.measures("grit") if isinstance(v, int | float)]
        return tuple(dict.fromkeys([*measured, *(g.grit for g in self.noun_groups("grit", "tool", "acted") if g.grit)]))

    def tool(self) -> str | None:
        """Give the tool said."""
        return next((g.lemma for g in self.noun_groups("tool") if g.lemma), None)

    def spaces(self) -> tuple[Name, ...]:
        """Give the spaces said."""
        return tuple(dict.fromkeys(s for g in self.noun_groups("spaces", "pieces", "air") for s in g.spaces))


def leftovers(phrase: Phrase, clause: Clause, *, strict: bool = False) -> tuple[tuple[str, ...], str | None]:
    """Give the words that are only beside the meaning, and the first that it cannot stand without, if any."""
    beside: list[str] = []
    held: str | None = None
    for part in clause.parts:
        item = part.item
        if part.slot is not None:
            continue
        said = phrase.said(item.i, item.j)
        if any(
            phrase.kinds[k] in ("number", "ordinal", "ratio", "clock") or phrase.words[k] in _COUNTING
            for k in range(item.i, item.j)
        ):
            held = held or said  # a number is never let go
        elif item.kind is Kind.GROUP:
            head = item.value.head
            if head in (Head.SELF,) or not item.content:
                continue
            if strict and head in (Head.PLACE, Head.HOUSE, Head.UNKNOWN, Head.PIECE, Head.SPACE):
                held = held or said
            elif head in _BESIDE or (item.prep and item.prep not in ("of", "on", "onto", "over", "to", "in", "not")):
                beside.append(said)
            else:
                held = held or said
        elif item.kind is Kind.STATE:
            beside.append(said)
        elif item.kind is Kind.FUNCTION:
            if item.kinds[-1] in ("negator", "question", "modal"):
                held = held or said
        elif item.kind is Kind.ADVERB:
            if item.kinds[0] in ("almost", "negative"):
                beside.append(said)
        elif item.kind is Kind.WORD:
            if item.content and item.loose >= 1.0:
                held = held or said
            elif item.content:
                beside.append(said)
        elif item.kind in (Kind.MEASURE, Kind.TIME, Kind.VERB):
            held = held or said
    return tuple(b for b in beside if b), held


def doubt_of(phrase: Phrase, clause: Clause) -> float:
    """Give how far the words of a clause had to be supposed."""
    said = (k for k in range(clause.i, clause.j) if k < len(phrase) and not any(phrase.of(k, Cat.FUNCTION)))
    return round(max((phrase.doubts[k] for k in said), default=0.0), 2)
