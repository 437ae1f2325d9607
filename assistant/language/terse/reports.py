"""Reports in short as typed meanings: what is named together with which figures tells what was done.

A grit tells of sanding, a product or the number of a coat of a coat, a figure beside a space of the air; a piece with
nothing but "now", "too" or a time goes on with what was done last.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.clause import Part
from assistant.language.items import Item, Items, Kind
from assistant.language.meanings import Act, Deed, Meaning, Quantifier, Same, Spell
from assistant.language.measures import GRITS
from assistant.language.noungroup import Head, NounGroup
from assistant.language.questions import asks
from assistant.language.slots import Slots
from assistant.language.terse.covering import cover
from assistant.language.terse.runs import Run, is_thing, runs, usable
from assistant.quantity import Amount

#: The most coats that a bare number beside a product may count.
_COATS: Final = 9
#: What the air of a cabin may be, in degrees Celsius, or Fahrenheit where the job has United States units.
_AIR: Final = {False: range(-10, 46), True: range(15, 111)}
#: Words that show that what is told goes on with what was done last.
_GOES_ON: Final = frozenset([
    "too", "now", "also", "and", "then", "next", "same", "ditto", "likewise", "as well", "an all", "and all", "done",
    "finished", "again", "it", "one", "n", "plus",
])  # fmt: skip


def report(phrase: Phrase, items: Items, i: int, j: int, *, several: bool = False) -> tuple[Meaning, ...] | None:
    """Read words ``i`` up to ``j`` as reports in short; None where any word plays no part.

    ``several``: only where two things or more have each its figures, and no verb stands among them.
    """
    if asks(phrase, i, j, last=True):
        return None
    found = cover(items, i, j)
    used = usable(phrase, found.items) if found is not None else None
    if not used:
        return None
    told = _air(phrase, used, i, j) or _work(phrase, items, used, i, j)
    return told if told is not None and (len(told) > 1 or not several) else None


# -- the air ----------------------------------------------------------------------------------


def _air(phrase: Phrase, used: list[Item], i: int, j: int) -> tuple[Meaning, ...] | None:
    """Read a row of spaces and figures: "fourteen galley, twelve forepeak"."""
    out: list[Meaning] = []
    if any(k.kind is Kind.VERB for k in used):
        return None
    times = [k for k in used if k.kind is Kind.TIME]
    for run in runs([k for k in used if k.kind is not Kind.TIME]):
        figures = [k for k in run.said if k.kind is Kind.MEASURE]
        whole = [k for k in (*run.things, *run.said) if _everywhere(k)]
        places = [k for k in run.things if k not in whole]
        others = [k for k in run.said if k not in figures and k not in whole and k.content]
        if others or not figures or not (places or whole):
            return None
        if any(p.value.head is not Head.SPACE or p.value.names for p in places):
            return None
        warm = [d for d in (_degrees(phrase, f) for f in figures) if d is not None]
        damp = [f.value for f in figures if f.kinds[0] == "percent"]
        if len(warm) + len(damp) != len(figures) or len(warm) > 1 or len(damp) > 1:
            return None
        slots = Slots(phrase, None, [Part(p, "spaces", False) for p in places])
        when = Slots(phrase, None, [Part(t, "when", False) for t in times if t.kinds[0] == "time"]).when()
        out.append(
            Spell(
                words=phrase.said(i, j), spaces=slots.spaces(), everywhere=bool(whole),
                temperature=warm[0] if warm else None, humidity=damp[0] if damp else None, when=when,
            )
        )  # fmt: skip
    if len(times) > 1 or any(t.kinds[0] != "time" for t in times):
        return None
    return tuple(out) or None


def _everywhere(item: Item) -> bool:
    own = item.kind is Kind.GROUP and item.value.head is Head.BOAT
    return own or item.kinds[-1] == "everywhere" or item.kinds[0].startswith("everywhere")


def _degrees(phrase: Phrase, figure: Item) -> Amount | None:
    if figure.kinds[0] == "temperature":
        return figure.value if isinstance(figure.value, Amount) else None
    if figure.kinds[0] == "number" and figure.value in _AIR[phrase.us]:
        degrees = (figure.value - 32) / 1.8 if phrase.us else figure.value
        return Amount(round(float(degrees), 1), "degC")
    return None


# -- work -------------------------------------------------------------------------------------


def _work(phrase: Phrase, items: Items, used: list[Item], i: int, j: int) -> tuple[Meaning, ...] | None:
    used = [_grit(items, k) for k in used] if not any(_product(k) for k in used) else used
    out: list[Meaning] = []
    before: Deed | None = None
    rows = runs(used)
    shared = [k for r in rows for k in r.said if _product(k)]
    for run in rows:
        alone = len(rows) > 1 and len(shared) == 1 and not any(_product(k) for k in (*run.things, *run.said))
        parts = _parts(Run(run.things, [*run.said, *shared]) if alone else run)  # "..., both varnish"
        if parts is None or (len(rows) > 1 and any(t.value.head is Head.PRONOUN for t in run.things)):
            return None
        slots = Slots(phrase, None, parts)
        if sum(p.slot in ("ordinal", "coat") for p in parts) > 1:
            return None  # two numbers of one coat
        told = _deed(phrase, slots, before, i, j)
        if told is None:
            return _same(phrase, used, slots, i, j) if not out and len(rows) == 1 else None
        out.append(told)
        before = told
    return tuple(out) or None


def _grit(items: Items, item: Item) -> Item:
    """Take "two forty" for a grit where no product is spoken of and nothing shows that it is a time."""
    if item.kind is not Kind.TIME or item.prep:
        return item
    numbers = [
        k for k in items.items[item.i] if k.j == item.j and k.kinds[0] in ("number", "grit") and k.value in GRITS
    ]
    return replace(numbers[0], kinds=("grit",)) if numbers else item


_SLOTS: Final = {
    "percent": "thinned", "ordinal": "ordinal", "grit": "grit", "amount": "amount", "ratio": "ratio",
}  # fmt: skip


def _parts(run: Run) -> list[Part] | None:
    """Give each item of a run its slot by what stands beside it; None where one has none."""
    out: list[Part] = []
    rows = [*run.things, *run.said]
    product = any(_product(k) for k in rows)
    for item in rows:
        slot = _slot(item, product=product)
        if slot is None:
            return None
        if slot:
            out.append(Part(item, slot, False))
    return out


def _slot(item: Item, *, product: bool) -> str | None:
    """Give the slot of an item, "" for what only colours the telling, None for what has no place in a report."""
    match item.kind:
        case Kind.TIME:
            return {"time": "when", "length": "took", "range": "range"}.get(item.kinds[0])
        case Kind.ADVERB | Kind.STATE:
            return "" if item.kind is Kind.ADVERB or item.kinds[0] in _COLOURLESS else None
        case Kind.MEASURE:
            if item.kinds[0] == "number":
                return _number(item, product=product)
            return _SLOTS.get(item.kinds[0])
        case _:
            return _group_slot(item)


#: States that say nothing of their own in a report: "done", "five percent thinner".
_COLOURLESS: Final = frozenset(["state.done", "state.finished", "state.thin", "state.thinned"])


def _number(item: Item, *, product: bool) -> str | None:
    if product and 1 <= item.value <= _COATS and item.value == int(item.value):
        return "ordinal"
    return "grit" if item.value in GRITS and item.value >= 40 and not product else None


def _group_slot(item: Item) -> str | None:
    group: NounGroup = item.value
    if group.head in (Head.COAT, Head.ORDINAL):
        return "coat" if group.head is Head.COAT else "ordinal"
    if _product(item):
        return "products"
    if is_thing(item) or group.head is Head.PRONOUN:
        return "pieces" if group.head is not Head.SPACE or group.names or group.quantifier else "spaces"
    if group.head in (Head.TOOL, Head.ABRASIVE):
        return "tool"
    return "" if group.head is Head.SELF else None


def _product(item: Item) -> bool:
    return item.kind is Kind.GROUP and bool(item.value.products) and item.value.head is not Head.VESSEL


def _deed(phrase: Phrase, slots: Slots, before: Deed | None, i: int, j: int) -> Deed | None:
    """Give the work that a run tells of, or None where only the piece is said."""
    pieces, products, grits = slots.pieces(), slots.products(), slots.grits()
    coat, thinned = slots.ordinal(), slots.measure("thinned")
    counted = [g for g in slots.noun_groups("coat", "ordinal") if g.another or g.sequence]
    if grits and not products and coat is None:
        if pieces is None and before is None and len(grits) < 2 and phrase.at(i) not in ("then", "and"):
            return None  # a number alone
        act = Act.SAND
    elif products or coat is not None or slots.noun_groups("coat") or counted:
        act = Act.COAT
    elif before is not None:
        act, products, coat, grits = before.act, before.products, before.coat, before.grit
    else:
        return None
    named = pieces is not None and (pieces.names or pieces.quantifier)
    if act is Act.COAT and coat is None and not named and not _laid_on(phrase, i, j):
        return None  # a product alone says nothing of work
    return Deed(
        act=act, words=phrase.said(i, j), pieces=pieces, products=products, coat=coat, grit=grits, tool=slots.tool(),
        thinned=thinned if isinstance(thinned, Amount) else None, when=slots.when(), took=slots.length(),
        another=any(g.another for g in counted), final=any(g.sequence == "last" for g in counted),
    )  # fmt: skip


def _laid_on(phrase: Phrase, i: int, j: int) -> bool:
    """Whether words say of what they name that it is on: "green on", "oil on at half past"."""
    return any(
        phrase.at(k) == "on"
        and (k + 1 == j or phrase.kinds[k + 1] == "mark" or phrase.at(k + 1) in ("at", "by", "now", "it"))
        for k in range(i, j)
    )  # fmt: skip


def _same(phrase: Phrase, used: list[Item], slots: Slots, i: int, j: int) -> tuple[Meaning, ...] | None:
    """Give "port one now", "the front's had it too", "top half and all": what was done last, on another piece."""
    pieces = slots.pieces()
    shown = any(
        " ".join(phrase.words[k.i : k.j]) in _GOES_ON or (k.kind is Kind.STATE and k.kinds[0] in _FINISHED)
        for k in used
    )
    timed = any(k.kind is Kind.TIME and (k.prep or k.value.value.ago is not None) for k in used if k.kinds[0] == "time")
    if pieces is None or not (shown or timed):
        return None
    if any(k.kind is Kind.MEASURE for k in used):
        return None
    named = pieces.names or pieces.part or pieces.quantifier in (Quantifier.OTHER, Quantifier.REST, Quantifier.BOTH)
    if not named:
        return None
    return (Same(words=phrase.said(i, j), pieces=replace(pieces, pronoun=None), when=slots.when()),)


_FINISHED: Final = ("state.done", "state.finished")
