"""The best way to cut a stretch of words into items, where no predicate orders them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.language.items import Item, Items, Kind
from assistant.language.noungroup import Head

#: What a figure or a thing of the job costs. What turns a sentence round or is not known costs so much that a way
#: which has it is only taken where there is no better one.
_PRICES: Final = {
    Kind.MARK: 0.0, Kind.FUNCTION: 0.12, Kind.ADVERB: 0.2, Kind.STATE: 0.25, Kind.TIME: 0.25, Kind.MEASURE: 0.3,
    Kind.GROUP: 0.3, Kind.VERB: 1.0, Kind.WORD: 3.0,
}  # fmt: skip
_OF_THE_JOB: Final = frozenset([
    Head.PIECE, Head.SPACE, Head.PRODUCT, Head.COAT, Head.ORDINAL, Head.ACT, Head.PART, Head.COMPONENT, Head.THINNER,
    Head.VESSEL, Head.FAULT, Head.AIR, Head.TOOL, Head.ABRASIVE, Head.TAPE, Head.PRONOUN, Head.BOAT,
])  # fmt: skip
#: Describing words that are more often part of a name of the job.
_NAMING: Final = frozenset(["colour", "size", "place", "air", "sequence"])
#: One more item is so much dearer than a longer one over the same words.
_STEP: Final = 0.15


@dataclass(frozen=True, slots=True)
class Cover:
    """A stretch as items, and what the way costs."""

    items: tuple[Item, ...]
    cost: float


def cover(items: Items, i: int, j: int) -> Cover | None:
    """Give the cheapest way to cut words ``i`` up to ``j`` into items; None if there is none."""
    count = j - i
    best = [0.0] + [1e9] * count
    step: list[tuple[int, Item] | None] = [None] * (count + 1)
    for k in range(count):
        if best[k] >= 1e9:
            continue
        for item in items.items[i + k]:
            if item.j > j:
                continue
            price = best[k] + _price(item) + _STEP
            if price < best[item.j - i] - 1e-9:
                best[item.j - i], step[item.j - i] = price, (k, item)
    if best[count] >= 1e9:
        return None
    out: list[Item] = []
    k = count
    while k > 0:
        taken = step[k]
        assert taken is not None
        out.append(taken[1])
        k = taken[0]
    return Cover(tuple(reversed(out)), best[count])


def _price(item: Item) -> float:
    price = _PRICES[item.kind] + item.doubt
    if item.kind is Kind.GROUP and item.value.head not in _OF_THE_JOB:
        price += 0.5 if item.value.head is not Head.UNKNOWN else 2.5
    if item.kind is Kind.ADVERB and item.kinds[-1] in _NAMING:
        price += 0.5
    if item.kind is Kind.WORD and not item.content:
        price = 0.3
    return price
