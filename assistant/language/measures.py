"""Numbers with what makes them measures: amounts, degrees, percents, grits, ratios, counts.

Every reading that starts at a word is given; which of them a sentence means is decided by what stands around it.
Units that are no powers of ten of the journal's are pint's, loaded only then.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum
from typing import Any, Final, NamedTuple

from assistant.language import numbers
from assistant.language.numbers import Number
from assistant.quantity import Amount


class Measure(StrEnum):
    """What a number is."""

    NUMBER = "number"  # float
    ORDINAL = "ordinal"  # int
    COUNT = "count"  # float, before something counted: "two coats" (the noun is not taken)
    AMOUNT = "amount"
    PERCENT = "percent"
    TEMPERATURE = "temperature"
    GRIT = "grit"  # int
    RATIO = "ratio"  # tuple of floats
    AREA = "area"
    FILM = "film"


class Measured(NamedTuple):
    """Words ``start`` up to ``end`` taken as ``what``; ``doubt`` 0 where a unit or a cue says so."""

    start: int
    end: int
    what: Measure
    value: Any
    doubt: float = 0.0


#: Abrasive grits in common use (ISO 6344 and CAMI numbers; common practice).
GRITS: Final = frozenset(
    [24, 36, 40, 50, 60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000, 1200, 1500, 2000]
)
_VOLUME: Final = {
    "ml": 1.0, "mls": 1.0, "mil": 1.0, "mils": 1.0, "millilitre": 1.0, "millilitres": 1.0, "milliliter": 1.0,
    "milliliters": 1.0, "cc": 1.0, "cl": 10.0, "centilitre": 10.0, "centilitres": 10.0, "l": 1000.0, "litre": 1000.0,
    "litres": 1000.0, "liter": 1000.0, "liters": 1000.0, "ltr": 1000.0,
}  # fmt: skip
_MASS: Final = {
    "g": 1.0, "gm": 1.0, "gms": 1.0, "gram": 1.0, "grams": 1.0, "gramme": 1.0, "grammes": 1.0, "kg": 1000.0,
    "kilo": 1000.0, "kilos": 1000.0, "kilogram": 1000.0, "kilograms": 1000.0, "kgs": 1000.0,
}  # fmt: skip
_OTHER: Final = {
    "pint": "pint",
    "pints": "pint",
    "gallon": "gallon",
    "gallons": "gallon",
    "quart": "quart",
    "quarts": "quart",
    "qt": "quart",
    "qts": "quart",
    "pt": "pint",
    "pts": "pint",
    "gal": "gallon",
    "gals": "gallon",
    "floz": "fluid_ounce",
    "oz": "ounce",
    "ounce": "ounce",
    "ounces": "ounce",
    "lb": "pound",
    "lbs": "pound",
    "pound": "pound",
    "pounds": "pound",
    "teaspoon": "teaspoon",
    "teaspoons": "teaspoon",
    "tablespoon": "tablespoon",
    "tablespoons": "tablespoon",
}
#: Pints and ounces as they are in one country or the other.
_SIZES: Final = {"us": True, "american": True, "uk": False, "imperial": False, "british": False}
_SIDES: Final = {"foot": "foot", "feet": "foot", "ft": "foot", "yard": "yard", "yards": "yard", "yd": "yard"}
_FLUID: Final = (("fluid", "ounce"), ("fluid", "ounces"), ("fl", "oz"), ("fluid", "oz"))
_PAPER: Final = frozenset(["grit", "grade", "paper", "discs", "disc", "pad", "pads", "sheet", "sheets", "wet"])
_PARTS: Final = frozenset(["part", "parts"])
#: Words that a number may begin with.
STARTS: Final = numbers.WORDS | frozenset(
    ["a", "an", "another", "minus", "once", "twice", "p", "grit", "grade", "the", "number"]
)


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def measures_at(words: Sequence[str], kinds: Sequence[str], i: int, *, us: bool = False) -> list[Measured]:
    """Give every measure that starts at word ``i``; ``us`` takes pints and ounces as United States ones."""
    if kinds[i] == "ratio":
        parts = tuple(float(p) for p in words[i].split(":"))
        return [Measured(i, i + 1, Measure.RATIO, parts)] if all(parts) else []
    if words[i] in ("p", "grit", "grade"):
        return _after_grit(words, kinds, i)
    out = [Measured(i, o.end, Measure.ORDINAL, int(o.value)) for o in numbers.ordinals_at(words, i, kinds)]
    if words[i] == "number" and i + 1 < len(words):  # "number two on the door"
        counted = [n for n in numbers.numbers_at(words, i + 1, kinds) if 1 <= n.value <= 9 and n.value == int(n.value)]
        out.extend(Measured(i, n.end, Measure.ORDINAL, int(n.value), 0.1) for n in counted[:1])
    if words[i] in ("once", "twice"):
        out.append(Measured(i, i + 1, Measure.COUNT, 1.0 if words[i] == "once" else 2.0))
    alone = words[i] in ("a", "an", "another")
    found = numbers.numbers_at(words, i, kinds)
    if alone:
        found.append(Number(i + 1, 1.0))
    for n in found:
        article = alone and n.end == i + 1
        out.extend(_united(words, i, n, us=us, article=article))
        if n.value < 0:  # nothing but a temperature is told below nought
            out.append(Measured(i, n.end, Measure.TEMPERATURE, Amount(n.value, "degF" if us else "degC"), 0.1))
        if not article:
            out.append(Measured(i, n.end, Measure.NUMBER, n.value, 0.3))
            out.extend(_grits(words, i, n))
            out.extend(_ratio(words, kinds, i, n))
    return out


def _after_grit(words: Sequence[str], kinds: Sequence[str], i: int) -> list[Measured]:
    # "P240", "grit 240"
    found = numbers.numbers_at(words, i + 1, kinds) if i + 1 < len(words) else []
    return [Measured(i, n.end, Measure.GRIT, int(n.value)) for n in found[:1] if n.value >= 1]


def _grits(words: Sequence[str], i: int, n: Number) -> list[Measured]:
    after, before = _at(words, n.end), _at(words, i - 1)
    if n.end == i + 1 and words[i].isdigit() and after.isdigit() and len(after) == 2:
        paired = int(words[i] + after)
        if paired in GRITS:  # "2 40": a grit said in two, written down in two
            return [Measured(i, n.end + 1, Measure.GRIT, paired, 0.2)]
    if n.value != int(n.value) or not 10 <= n.value <= 5000:
        return []
    if after in _PAPER and not (after == "wet" and _at(words, n.end + 1) != "and"):
        end = n.end + (after in ("grit", "grade"))
        return [Measured(i, end, Measure.GRIT, int(n.value))]
    if after == "g" and int(n.value) in GRITS:
        return [Measured(i, n.end + 1, Measure.GRIT, int(n.value), 0.3)]  # "240g" where thumbs write a grit
    cued = before in ("with", "to", "using", "by", "through", "at", "in")
    doubt = 0.1 if cued else 0.3
    return [Measured(i, n.end, Measure.GRIT, int(n.value), doubt if int(n.value) in GRITS else doubt + 0.4)]


def _ratio(words: Sequence[str], kinds: Sequence[str], i: int, n: Number) -> list[Measured]:
    # "two to one", "five parts to one", "100 to 30"
    at = n.end + (_at(words, n.end) in _PARTS)
    if _at(words, at) not in ("to", "by") or n.value <= 0:
        return []
    said = at > n.end
    out = []
    for m in numbers.numbers_at(words, at + 1, kinds) if at + 1 < len(words) else ():
        end = m.end + (_at(words, m.end) in _PARTS)
        if m.value > 0 and m.value <= n.value * 20:
            out.append(Measured(i, end, Measure.RATIO, (n.value, m.value), 0.0 if said or end > m.end else 0.2))
    return out


def _united(words: Sequence[str], i: int, n: Number, *, us: bool, article: bool) -> list[Measured]:
    """Give the measures that a unit after the number makes."""
    at = n.end
    if _at(words, at) in ("odd", "ish", "something"):
        at += 1
    if _at(words, at) == "of" and _at(words, at + 1) in ("a", "an"):
        at += 2
    elif _at(words, at) in ("a", "an") and n.value < 1:
        at += 1
    unit = _at(words, at)
    if unit in _SIZES and _at(words, at + 1) in (*_OTHER, "fluid", "fl"):
        at, unit, us = at + 1, _at(words, at + 1), _SIZES[unit]
    for name, table in (("ml", _VOLUME), ("g", _MASS)):
        if unit in table:
            end, value = _more(words, at + 1, n.value)
            return [Measured(i, end, Measure.AMOUNT, Amount(value * table[unit], name))]
    if tuple(words[at : at + 2]) in _FLUID:
        return [Measured(i, at + 2, Measure.AMOUNT, _converted(n.value, "fluid_ounce", us=us))]
    if unit in _OTHER:
        end, value = _more(words, at + 1, n.value)
        # where pints are United States ones, an ounce in a workshop is a fluid one
        name = "fluid_ounce" if us and _OTHER[unit] == "ounce" else _OTHER[unit]
        return [Measured(i, end, Measure.AMOUNT, _converted(value, name, us=us))]
    return [] if article else _graded(words, i, n, at, unit)


def _more(words: Sequence[str], end: int, value: float) -> tuple[int, float]:
    # "a litre and a half"
    if tuple(words[end : end + 3]) in (("and", "a", "half"), ("and", "a", "quarter")):
        return end + 3, value + (0.5 if words[end + 2] == "half" else 0.25)
    return end, value


def _graded(words: Sequence[str], i: int, n: Number, at: int, unit: str) -> list[Measured]:
    if unit in ("percent", "%", "pc"):
        return [Measured(i, at + 1, Measure.PERCENT, Amount(n.value, "percent"))]
    if unit == "per" and _at(words, at + 1) == "cent":
        return [Measured(i, at + 2, Measure.PERCENT, Amount(n.value, "percent"))]
    if unit in ("micron", "microns", "um"):
        return [Measured(i, at + 1, Measure.FILM, Amount(n.value, "um"))]
    if unit in ("m", "square", "sq") and _at(words, at + 1) in ("2", "metre", "metres", "m", "meters", "meter"):
        return [Measured(i, at + 2, Measure.AREA, Amount(n.value, "m2"))]
    if unit in ("square", "sq") and (side := _SIDES.get(_at(words, at + 1))):
        return [Measured(i, at + 2, Measure.AREA, _converted(n.value, f"square {side}", us=False))]
    if unit == "below":  # "one below", "two below zero"
        end = at + 1 + (_at(words, at + 1) in ("zero", "freezing"))
        return [Measured(i, end, Measure.TEMPERATURE, Amount(-n.value, "degC"))]
    sign = unit in ("degrees", "degree", "deg", "°")
    scale, end = _at(words, at + sign), at + sign
    if scale in ("c", "celsius", "centigrade"):
        return [Measured(i, end + 1, Measure.TEMPERATURE, Amount(n.value, "degC"))]
    if scale in ("f", "fahrenheit"):
        return [Measured(i, end + 1, Measure.TEMPERATURE, _converted(n.value, "degF", us=False))]
    return [Measured(i, end, Measure.TEMPERATURE, Amount(n.value, "degC"))] if sign else []


def _converted(value: float, unit: str, *, us: bool) -> Amount:
    from assistant.library.measures import convert

    return convert(value, unit, us=us)
