"""What was told put right in a few words: "port, not starboard", "nearer eleven", "I only put five percent in".

No clause is needed for it. What is said is a row of values, some of them denied ("not half nine", "than half twelve");
the journal shows which of them describe the entry and which are what it should be (``dialogue/telling/differing``).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.clause import LIGHTS, Part
from assistant.language.frames import by_sense
from assistant.language.items import Item, Items, Kind
from assistant.language.meanings import Act, Correction, Deed, Pronoun
from assistant.language.noungroup import Head
from assistant.language.questions import asks
from assistant.language.slots import Slots
from assistant.language.terse.covering import cover
from assistant.language.when import When
from assistant.language.wordlist import wordlist
from assistant.quantity import Amount

_OF_KIND: Final = {
    "temperature": "temperature", "percent": "thinned", "amount": "amount", "number": "number", "grit": "grit",
    "ratio": "ratio", "ordinal": "ordinal", "time": "when",
}  # fmt: skip
_OF_HEAD: Final = {
    Head.PIECE: "pieces", Head.PART: "pieces", Head.PRONOUN: "pieces", Head.SPACE: "spaces", Head.PRODUCT: "products",
    Head.COAT: "coat", Head.ORDINAL: "ordinal", Head.ACT: "acted", Head.THINNER: "products", Head.FAULT: "fault",
}  # fmt: skip
#: What says that the value after it is the wrong one.
_DENYING: Final = frozenset(["not", "than", "never", "no", "instead of", "rather than"])
#: What says that the value after it is the right one, if one of its kind was told before.
_NEARER: Final = (("more", "like"), ("nearer",), ("closer", "to"), ("closer",), ("call", "it"), ("rather",))
_VALUES: Final = frozenset(["when", "number", "grit", "thinned", "amount", "temperature", "ordinal", "coat", "ratio"])


@dataclass(slots=True)
class _Said:
    """The values of a phrase: what stands, what is denied, and whether anything shows that it puts right."""

    right: list[Part]
    wrong: list[Part]
    act: Act = Act.OTHER
    meant: bool = False
    only: bool = False
    undone: bool = False  # "never got to the front", "I've not touched the leg"


def _is_be(item: Item) -> bool:
    return all(f.lemma == "be" for f in item.value.value)


def put_right(phrase: Phrase, items: Items, *, lead: bool) -> Correction | None:
    """Read a phrase as values put right; None where nothing in it shows that it does. ``lead``: it began with "no,"."""
    if asks(phrase, 0, len(phrase), last=True) or {"if", "unless", "whether"} & set(phrase.words):
        return None
    found = cover(items, 0, len(phrase))
    if found is None:
        return None
    said = _values(phrase, items, found.items)
    _reconcile(items, said)
    contrast = bool({p.slot for p in said.wrong} & {p.slot for p in said.right})
    valued = any(p.slot in _VALUES for p in said.right)
    if lead and not said.wrong and {"not", "never"} & set(phrase.words):
        return None  # "no, I haven't had a minute"
    if said.undone and not any(p.slot == "pieces" for p in said.wrong):
        return None
    if not (said.right or said.undone) or not (
        contrast or said.undone or said.meant or (lead and (valued or said.only or len(said.right) == 1))
    ):
        return None
    right, wrong = _deed(phrase, said.right, said.act), _deed(phrase, said.wrong, Act.OTHER)
    slots = Slots(phrase, None, said.right)
    numbers = tuple(float(v) for v in slots.measures("number") if isinstance(v, int | float))
    either = [n for p in said.right if p.slot == "when" and (n := _as_number(items, p.item)) is not None]
    warm = slots.measure("temperature")
    return Correction(
        words=phrase.said(0, len(phrase)), right=right, wrong=wrong if said.wrong else None,
        numbers=(*numbers, *either), either=bool(either),
        spaces=slots.spaces() if not slots.items("pieces") else (),
        temperature=warm if isinstance(warm, Amount) else None,
        fault=next((g.value or "other" for g in slots.noun_groups("fault")), None),
        loose=True, only=said.only, undone=said.undone, meant=said.meant,
    )  # fmt: skip


def _values(phrase: Phrase, items: Items, row: tuple[Item, ...]) -> _Said:
    out = _Said([], [])
    denied = said_so = False
    for item in row:
        words = tuple(phrase.words[item.i : item.j])
        if any(tuple(phrase.words[item.i : item.i + len(n)]) == n for n in _NEARER):
            out.meant = True
        if _denies(item, words):
            denied = True
            continue
        if item.kind is Kind.VERB:
            act, means = _verb(item)
            if _said_so(phrase, item):
                said_so = out.meant = True
            out.act = act if out.act is Act.OTHER else out.act
            out.meant = out.meant or means
            out.undone = out.undone or (denied and not _is_be(item))
            continue
        out.only = out.only or item.kinds[-1] == "only" or words in (("only",), ("just",))
        slot = _slot(item)
        if slot is None:
            denied = denied and item.kind in (Kind.FUNCTION, Kind.MARK, Kind.ADVERB)
            continue
        if said_so and slot in _VALUES:  # "when I said two forty it was three twenty"
            denied, said_so = True, False
        if denied or item.prep == "not":
            out.wrong.append(Part(_alike(phrase, items, item, out.right), "", left=False))
            denied = False
        else:
            out.right.append(Part(item, slot, left=False))
    out.wrong = [p._replace(slot=_slot(p.item)) for p in out.wrong]
    return out


def _reconcile(items: Items, said: _Said) -> None:
    """Let what is denied and what stands for it be of one kind: in "three twenty, not four hundred" both are grits."""
    for n, wrong in enumerate(said.wrong):
        if wrong.slot in {p.slot for p in said.right}:
            continue
        mine = {_slot(i): i for i in items.items[wrong.item.i] if i.j == wrong.item.j and _slot(i) is not None}
        for k, right in enumerate(said.right):
            theirs = {_slot(i): i for i in items.items[right.item.i] if i.j == right.item.j and _slot(i) is not None}
            shared = [slot for slot in mine if slot in theirs]
            unit = getattr(right.item.value, "unit", None)
            if not shared and wrong.slot == "number" and unit is not None and right.slot in _MEASURED:
                value = Amount(_scaled(items, right.item, float(wrong.item.value)), unit)  # "ten percent, not fifteen"
                said.wrong[n] = Part(replace(wrong.item, kinds=right.item.kinds, value=value), right.slot, left=False)
                break
            if shared:
                said.wrong[n] = Part(mine[shared[0]], shared[0], left=False)
                said.right[k] = Part(theirs[shared[0]], shared[0], left=False)
                break


def _scaled(items: Items, measured: Item, number: float) -> float:
    """Give a bare number in the unit that a measure was converted to: "three ounces, not four"."""
    bare = [i.value for row in items.items[measured.i : measured.j] for i in row if i.kinds[0] == "number" and i.value]
    return number * measured.value.value / float(bare[0]) if bare else number


_MEASURED: Final = frozenset(["thinned", "temperature", "amount"])


def _as_number(items: Items, item: Item) -> float | None:
    """Give the number that the words of a time may be as well: "seven fifty"."""
    if item.prep not in ("", "to"):
        return None
    return next(
        (float(i.value) for i in items.items[item.i] if i.j == item.j and i.kinds[0] in ("number", "grit")), None
    )


def _denies(item: Item, words: tuple[str, ...]) -> bool:
    return " ".join(words) in _DENYING and item.kind in (Kind.FUNCTION, Kind.ADVERB, Kind.WORD, Kind.GROUP)


def _alike(phrase: Phrase, items: Items, item: Item, right: list[Part]) -> Item:
    """Give what is denied as the kind of thing that was told: "half one, not one" denies a time."""
    told = {p.slot for p in right}
    if _slot(item) in told:
        return item
    for other in items.items[item.i]:
        if _slot(other) in told:
            return other
    for start in range(item.i, item.j):
        for c in phrase.of(start, Cat.TIME):
            if c.j == item.j and "when" in told and c.value.tag == "when":
                return replace(item, i=start, kind=Kind.TIME, kinds=("time",), value=c.value)
    return item


def _said_so(phrase: Phrase, item: Item) -> bool:
    """Whether the speaker speaks of what they said before: "I said", "I put down"."""
    return phrase.at(item.i - 1) in ("i", "we") and any(f.lemma in ("say", "tell") for f in item.value.value)


def _verb(item: Item) -> tuple[Act, bool]:
    """Give the act that a verb tells of, and whether it says that something else was meant."""
    act, means = Act.OTHER, False
    for form in item.value.value:
        for use in wordlist().uses(form.lemma):
            means = means or (use.sense in ("mean", "correct") and not use.particles and form.lemma not in LIGHTS)
            for frame in by_sense().get(use.sense, ()):
                if frame.act and not use.particles and act is Act.OTHER and frame.act in {a.value for a in Act}:
                    act = Act(frame.act)
    return act, means


def _slot(item: Item) -> str | None:
    if item.kind is Kind.GROUP:
        group = item.value
        if group.names:
            return "pieces"
        if group.head in (Head.PRONOUN,) and not (group.quantifier or group.part):
            return None
        return "products" if group.products and group.head is not Head.COAT else _OF_HEAD.get(group.head)
    return _OF_KIND.get(item.kinds[0]) if item.kind in (Kind.MEASURE, Kind.TIME) else None


def _deed(phrase: Phrase, parts: list[Part], act: Act) -> Deed:
    slots = Slots(phrase, None, parts)
    pieces = slots.pieces()
    if pieces is not None and pieces.pronoun is Pronoun.IT and not (pieces.names or pieces.part):
        pieces = None
    thinned, much = slots.measure("thinned"), slots.measure("amount")
    acted = next((g.value for g in slots.noun_groups("acted") if g.value in {a.value for a in Act}), None)
    coats = [*slots.noun_groups("coat", "ordinal")]
    return Deed(
        act=Act(acted) if acted else act, pieces=pieces, products=slots.products(), coat=slots.ordinal(),
        grit=slots.grits(), when=_latest(slots), thinned=thinned if isinstance(thinned, Amount) else None,
        amount=much if isinstance(much, Amount) else None, ratio=slots.measure("ratio"),
        final=any(g.sequence == "last" for g in coats), words=" ".join(_said(phrase, parts)),
    )  # fmt: skip


def _latest(slots: Slots) -> When | None:
    """Give the time: a day of one expression, the clock of the last that has one."""
    said = [i.value.value for i in slots.items("when") if isinstance(i.value.value, When)]
    clocks = [w for w in said if w.clock is not None or w.window is not None or w.ago is not None]
    days = [w.day for w in said if w.day is not None]
    out = clocks[-1] if clocks else (said[-1] if said else None)
    return replace(out, day=days[0]) if out is not None and out.day is None and days else out


def _said(phrase: Phrase, parts: list[Part]) -> Iterator[str]:
    return (phrase.said(p.item.i, p.item.j) for p in parts)
