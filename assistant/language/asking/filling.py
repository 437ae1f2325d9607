"""The slots of a question filled: its times, pieces and measures, each number by the role that it has."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from assistant.language.asking.forms import UNITS
from assistant.language.asking.said import Asked, Supposed, Timed
from assistant.language.asking.slots import Slots, Thing
from assistant.language.chunks import BARE, Phrase
from assistant.language.meanings import Group
from assistant.language.noungroup import Head
from assistant.language.query import Measure, Property
from assistant.quantity import Amount

#: Properties whose subject is pieces; of the others "it" stands for nothing.
_OF_PIECES: Final = frozenset(
    {
        Property.READY,
        Property.WINDOW,
        Property.TAPE,
        Property.STATUS,
        Property.LEFT,
        Property.ENTRY,
        Property.COATS,
        Property.COVER,
        Property.COMPAT,
        Property.FINISH,
        Property.GRIT,
        Property.WHATIF,
        Property.NEXT,
        Property.DIARY,
    }
)


_OF_ALL: Final = frozenset(
    {Property.FINISH, Property.STATUS, Property.STOCK, Property.BUY, Property.NEXT, Property.LEFT, Property.DIARY}
)


def joined(one: Supposed | None, other: Supposed | None) -> Supposed | None:
    """Put two conditions together; what the if-clause says goes first."""
    if one is None or other is None:
        return one or other
    blank = Supposed()
    more = {
        name: getattr(other, name) for name in Supposed.__slots__
        if getattr(one, name) == getattr(blank, name) and getattr(other, name) != getattr(blank, name)
    }  # fmt: skip
    return replace(one, **more)


def times_of(slots: Slots) -> tuple[Timed, ...]:
    """Give the times said, as they were said."""
    return tuple(f.value for f, _, _ in slots.times)


_BED: Final = frozenset(["bed", "bedtime", "sleep", "kip"])


def before_bed(phrase: Phrase) -> bool:
    """Whether the time to go to bed is named as an end: "before bed", "before I go to sleep"."""
    said = phrase.words
    return any(w in ("before", "by", "till", "until") and _BED & set(said[i + 1 : i + 6]) for i, w in enumerate(said))


def groups_of(slots: Slots, what: Property | None) -> tuple[Group, ...]:
    """Give the pieces spoken of: named ones, else what "it" or "all of them" stands for."""
    named = [t for t in slots.of(Head.PIECE) if t.group.names or (t.group.spaces and t.group.quantifier)]
    if named:
        return tuple(_group(t) for t in named)
    if (what is not None and what not in _OF_PIECES) or what is Property.FINISH:
        return ()
    if what is Property.NEXT:
        return ()
    pronouns = [t for t in slots.of(Head.PRONOUN) if t.group.pronoun is not None or t.group.quantifier is not None]
    if what in _OF_ALL or what is None:
        pronouns = [t for t in pronouns if t.group.quantifier is None or t.group.spaces or what is None]
    return tuple(_group(t) for t in pronouns[:1])


def _group(thing: Thing) -> Group:
    return thing.group.group("")


def measured(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give the amounts, percents, areas and parts that were said, by their role."""
    what = asked.what
    amount = slots.measure("amount") or next((t.group.amount for t in slots.things if t.group.amount), None)
    if amount is None and what in (None, Property.THIN, Property.MIX, Property.COVER, Property.STOCK):
        of_part = {min(t.span) for t in slots.things if t.group.component and t.prep == "of"}
        numbers = [(v, max(s) + 1) for kind in ("number", "grit") for v, _, s in slots.all(kind)]
        bare = [v for v, end in numbers if phrase.at(end) == "of" and (v >= BARE or end in of_part)]
        amount = Amount(float(bare[0]), "ml") if bare else None
    grit = slots.measure("grit") if what in (Property.READY, Property.GRIT, Property.ENTRY, None) else None
    asked = replace(asked, amount=amount, percent=slots.measure("percent"), area=slots.measure("area"), grit=grit)
    if what in (Property.DEW, Property.HUMIDITY, Property.COLD):
        asked = replace(asked, percent=None)
    if what is Property.THIN and asked.percent is None:
        asked = _share(slots, asked)
    if what is Property.CONVERT:
        asked = _to_convert(phrase, slots, asked)
    if what is Property.MIX or what is None:
        asked = _parts(phrase, slots, asked)
    return replace(asked, by_weight=_weighed(phrase, slots, asked))


def _share(slots: Slots, asked: Asked) -> Asked:
    """Take "20 ml of thinner in 300 ml of gloss" as the percent that it is."""
    amounts = slots.all("amount")
    thinner = [
        t
        for t in slots.things
        if t.group.head is Head.THINNER or any("thinner" in o for n in t.group.products for o in n.options)
    ]
    if len(amounts) != 2 or not thinner or amounts[0][0].unit != amounts[1][0].unit:
        return asked
    mine = [a for a in amounts if max(a[2]) < min(thinner[0].span) <= max(a[2]) + 2]
    if not mine:
        return asked
    other = next(a for a in amounts if a is not mine[0])
    return replace(asked, amount=other[0], percent=Amount(round(100 * mine[0][0].value / other[0].value, 2), "percent"))


def _weighed(phrase: Phrase, slots: Slots, asked: Asked) -> bool | None:
    words = set(phrase.words)
    if "volume" in words:
        return False
    if "weight" in words or words & {"weighing", "weigh"}:
        return True
    grams = any(w in ("grams", "gram", "g") and i not in slots.used for i, w in enumerate(phrase.words))
    return True if grams and asked.what is Property.MIX else None


def _to_convert(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give what is converted in the units it was said in, so that pint does the sum and not the reader."""
    said: Amount | None = asked.amount or slots.measure("temperature") or asked.area
    unit = unit_of(phrase, slots)
    value: Measure | None = Measure(said.value, said.unit) if said is not None else None
    return replace(asked, measure=value, unit=unit, amount=None)


def unit_of(phrase: Phrase, slots: Slots) -> str | None:
    """Give the unit that something is wanted in: one with no number of its own."""
    for i, word in enumerate(phrase.words):
        if word in UNITS and i not in slots.used:
            fluid = phrase.at(i - 1) in ("fluid", "fl")
            return "fluid_ounce" if fluid else UNITS[word]
    return None


def _parts(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give the part that the amount is of, and the one asked for: "how much hardener for 60 ml of resin"."""
    parts = [(t.group.component, min(t.span), max(t.span)) for t in slots.things if t.group.component]
    kinds = ("amount",) if slots.all("amount") else ("number", "grit")
    amounts = [s for kind in kinds for _, _, s in slots.all(kind)]
    given: Any = None
    rest = []
    for name, start, end in parts:
        near = [
            s
            for s in amounts
            if _beside(phrase, slots, max(s), start) and not any(max(s) < e < start for _, e, _ in parts)
        ]
        if near and given is None:
            given = name
        else:
            rest.append((name, end))
    names = list(dict.fromkeys(n for n, _ in rest if n != given))
    wanted = names[0] if len(names) == 1 else None
    if given is None and wanted is not None and asked.amount is not None and len(parts) == 1 and asked.what is not None:
        before = any(max(s) < parts[0][1] for s in amounts)
        if before and asked.shape is None:
            wanted = None
    return replace(asked, part=given, wanted=wanted)


def _beside(phrase: Phrase, slots: Slots, end: int, start: int) -> bool:
    """Whether an amount that ends at ``end`` is of what starts at ``start``: only its product stands between."""
    return (
        end < start
        and all(k in slots.used or phrase.words[k] in ("of", "the", "mixed") for k in range(end + 1, start))
        and start - end < 7
    )
