"""Measures as they are written: "750 ml", "45 to 60 min", "1.15 g/ml", "1 pint", "60 degF".

Metric measures and plain times are whole multiples of the journal's units and are read from a
table here. Everything else goes to pint with the project's own definitions (``models/units.txt``),
and pint is imported only then: a cold process must not wait for it over a tin of 750 ml.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any, Final, NamedTuple

from assistant.data import root
from assistant.problem import Problem
from assistant.quantity import Amount

#: Unit as written -> (unit of the journal, how many of them). Exact, all of them; checked against pint.
PLAIN: Final[dict[str, tuple[str, float]]] = {
    **dict.fromkeys(("ml", "millilitre", "milliliter", "millilitres", "milliliters"), ("ml", 1.0)),
    **dict.fromkeys(("cl", "centilitre", "centilitres", "centiliter", "centiliters"), ("ml", 10.0)),
    **dict.fromkeys(("l", "litre", "litres", "liter", "liters"), ("ml", 1000.0)),
    **dict.fromkeys(("g", "gram", "grams", "gramme", "grammes"), ("g", 1.0)),
    **dict.fromkeys(("kg", "kilo", "kilos", "kilogram", "kilograms"), ("g", 1000.0)),
    **dict.fromkeys(("um", "µm", "μm", "micron", "microns", "micrometre", "micrometres"), ("um", 1.0)),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), ("um", 1000.0)),
    **dict.fromkeys(
        ("degc", "°c", "deg c", "c", "celsius", "degrees c", "degrees celsius", "degree celsius",
         "centigrade", "degrees centigrade"),
        ("degC", 1.0),
    ),
    **dict.fromkeys(("percent", "%", "per cent", "pc"), ("percent", 1.0)),
    **dict.fromkeys(("min", "mins", "minute", "minutes"), ("min", 1.0)),
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), ("h", 1.0)),
    **dict.fromkeys(("d", "day", "days"), ("h", 24.0)),
    **dict.fromkeys(("week", "weeks"), ("h", 168.0)),
    **dict.fromkeys(
        ("m2", "m²", "m^2", "sq m", "sqm", "square metre", "square metres", "square meter", "square meters"),
        ("m2", 1.0),
    ),
}  # fmt: skip

#: Other spellings -> pint's spelling in ``models/units.txt``; ``{}`` takes "imperial" or "us".
_SPELT: Final[dict[str, str]] = {
    **dict.fromkeys(("pt", "pts", "pint", "pints"), "{}_pint"),
    **dict.fromkeys(("qt", "qts", "quart", "quarts"), "{}_quart"),
    **dict.fromkeys(("gal", "gals", "gallon", "gallons"), "{}_gallon"),
    **dict.fromkeys(("gill", "gills"), "{}_gill"),
    **dict.fromkeys(("tsp", "teaspoon", "teaspoons"), "{}_teaspoon"),
    **dict.fromkeys(("tbsp", "tablespoon", "tablespoons"), "{}_tablespoon"),
    **dict.fromkeys(("fl oz", "floz", "fl. oz", "fl.oz", "fluid ounce", "fluid ounces", "fluid oz"), "{}_fluid_ounce"),
    **dict.fromkeys(
        ("degf", "°f", "deg f", "f", "fahrenheit", "degrees f", "degrees fahrenheit", "degree fahrenheit"),
        "degF",
    ),
    **dict.fromkeys(("kelvin", "k"), "kelvin"),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), "pound"),
    **dict.fromkeys(("oz", "ounce", "ounces"), "ounce"),
    **dict.fromkeys(("thou", "thous", "thousandth of an inch", "thousandths of an inch"), "thou"),
    **dict.fromkeys(("in", "inch", "inches"), "inch"),
    **dict.fromkeys(("sec", "secs", "second", "seconds"), "second"),
    **dict.fromkeys(("ft2", "ft²", "ft^2", "sq ft", "sqft", "square foot", "square feet"), "foot**2"),
    **dict.fromkeys(("yd2", "sq yd", "square yard", "square yards"), "yard**2"),
    **dict.fromkeys(("in2", "sq in", "square inch", "square inches"), "inch**2"),
    **dict.fromkeys(("cm2", "sq cm", "square centimetre", "square centimetres"), "centimetre**2"),
    **dict.fromkeys(("m3", "cubic metre", "cubic metres"), "metre**3"),
    **dict.fromkeys(("cm3", "cc", "cubic centimetre", "cubic centimetres"), "centimetre**3"),
}

#: Where an Amount of another unit than PLAIN's ends up: pint's dimension -> (journal's unit, pint's).
_HOME: Final[dict[str, tuple[str, str]]] = {
    "[length] ** 3": ("ml", "millilitre"),
    "[mass]": ("g", "gram"),
    "[length]": ("um", "micrometre"),
    "[temperature]": ("degC", "degC"),
    "[length] ** 2": ("m2", "metre**2"),
    "[time]": ("min", "minute"),
}


class Kind(NamedTuple):
    """A kind of measure: the units it may end in, its limits there, and an example to show."""

    units: tuple[str, ...]
    low: float
    high: float
    example: str


#: The kinds a job file or a card speaks of. Limits are of a boat's cabin, not of nature.
KINDS: Final[dict[str, Kind]] = {
    "volume": Kind(("ml",), 0.0, 1_000_000.0, "750 ml"),
    "mass": Kind(("g",), 0.0, 1_000_000.0, "100 g"),
    "amount": Kind(("ml", "g"), 0.0, 1_000_000.0, "750 ml"),
    "film": Kind(("um",), 0.0, 20_000.0, "40 um"),
    "temperature": Kind(("degC",), -40.0, 60.0, "16 degC"),
    "percent": Kind(("percent",), 0.0, 100.0, "45 percent"),
    "area": Kind(("m2",), 0.0, 100_000.0, "0.4 m2"),
    "time": Kind(("h", "min"), 0.0, 100_000.0, "6 h"),
}
_MAY_BE_NOTHING: Final = ("temperature", "percent")

_NUMBER: Final = r"[-+]?\d+(?:\.\d+)?"
_UNIT: Final = r"[^\s\d.,+-](?:.*?\S)?"
_WRITTEN: Final = re.compile(rf"\s*({_NUMBER})\s*(?:({_UNIT})?\s*(?:\bto\b|-|–)\s*({_NUMBER})\s*)?({_UNIT})?\s*", re.S)


#: Decimal places beyond which a conversion leaves only the noise of its floating point (77 F is 25 degC).
_NOISE: Final = 12


def convert(value: float, unit: str, *, us: bool = False, film: bool = False) -> Amount:
    """Give ``value`` of ``unit`` (a name as written or said, any case) in the journal's units.

    Days and hours come out in h, minutes and seconds in min. Pints, gallons and fluid ounces are
    imperial unless ``us``. "mil" is a millilitre, or a thousandth of an inch when a ``film`` is
    spoken of. ``Problem`` for a unit that is not known. Factors: NIST Handbook 44 and SP 811.
    """
    name = " ".join(unit.casefold().replace("_", " ").split())
    if name in ("mil", "mils"):
        name = "thou" if film else "ml"
    if name in PLAIN:
        home, factor = PLAIN[name]
        return Amount(value * factor, home)
    home, pints = _HOME.get(_dimension(name, us), ("", ""))
    if not home:
        raise Problem(f'"{unit}" is no measure known here: write ml, l, g, um, degC, percent, min, h or m2')
    return Amount(round(float(registry().Quantity(value, _spelt(name, us)).to(pints).magnitude), _NOISE), home)


def span(text: str, kind: str, *, us: bool = False) -> tuple[Amount, Amount]:
    """Read "45 to 60 min" or "30 min to 1 h" as its two ends; "1 h" as the same end twice.

    ``kind`` is one of :data:`KINDS`. ``Problem`` says what is wrong: no unit, another dimension,
    ends the wrong way round, or out of the kind's limits.
    """
    what = KINDS[kind]
    ends = [(v, convert(v, u, us=us, film=kind == "film")) for v, u in _pieces(text, what.example)]
    for _, end in ends:
        if end.unit not in what.units:
            raise Problem(f'"{text}" is not a measure of {kind}: write it like "{what.example}"')
    (_, low), (_, top) = ends
    if low.unit != top.unit and kind == "time":
        low, top = (Amount(_hours(a) * 60, "min") for a in (low, top))
    if low.unit != top.unit:
        raise Problem(f'"{text}" has two kinds of measure in it: write it like "{what.example}"')
    if low.value > top.value:
        raise Problem(f'"{text}" has its least above its most: write the smaller first')
    _within(text, [v for v, _ in ends], low, kind)
    _within(text, [v for v, _ in ends], top, kind)
    if top.value == 0 and kind not in _MAY_BE_NOTHING:
        raise Problem(f'"{text}" is nothing: write it like "{what.example}"')
    return low, top


def measure(text: str, kind: str, *, us: bool = False) -> Amount:
    """Read one measure of ``kind``, in the journal's units. ``Problem`` as :func:`span`, or for a range."""
    low, high = span(text, kind, us=us)
    if low != high:
        raise Problem(f'"{text}" is a range where one figure is wanted, like "{KINDS[kind].example}"')
    return low


def hours(text: str, *, us: bool = False) -> tuple[float, float]:
    """Read a time or a range of times, in hours: early end, late end."""
    low, high = span(text, "time", us=us)
    return _hours(low), _hours(high)


def _hours(time: Amount) -> float:
    return time.value / 60 if time.unit == "min" else time.value


_PER: Final[dict[str, tuple[tuple[str, ...], str, float, float, str]]] = {
    "density": (("g/ml", "kg/l", "g/cm3", "g/cc"), "gram/millilitre", 0.2, 8.0, "1.15 g/ml"),
    "spreading": (("m2/l", "m²/l", "m2/litre"), "metre**2/litre", 0.2, 100.0, "12 m2/l"),
}


def per(text: str, kind: str, *, us: bool = False) -> tuple[float, float]:
    """Read a density (``kind`` "density", in g/ml) or a spreading rate ("spreading", m2/l): its two ends."""
    home, pints, least, most, example = _PER[kind]
    (first, low_unit), (second, unit) = _pieces(text, example)
    factor = 1.0
    if unit.replace(" ", "") not in home:
        parts = [p.strip() for p in re.split(r"/|\bper\b", unit.casefold())]
        try:
            if len(parts) != 2:
                raise Problem("not one thing by another")
            made = "/".join(_spelt(p, us) for p in parts)
            factor = float(registry().Quantity(1.0, made).to(pints).magnitude)
        except Exception as error:
            if not _is_pints(error):
                raise
            raise Problem(f'"{text}" is not a {kind}: write it like "{example}"') from None
    if low_unit != unit or not least <= first * factor <= second * factor <= most:
        raise Problem(f'"{text}" cannot be a {kind}: write it like "{example}"')
    return first * factor, second * factor


def months(text: str) -> float:
    """Read a shelf life in months: "24 months", "2 years"; of a range the shorter. ``Problem`` otherwise."""
    (first, _), (second, unit) = _pieces(text, "24 months")
    each = {"month": 1.0, "months": 1.0, "year": 12.0, "years": 12.0}.get(unit.casefold())
    if each is None or not 0 < first <= second or second * each > 600:
        raise Problem(f'"{text}" is not a shelf life: write it like "24 months"')
    return first * each


@cache
def registry() -> Any:
    """Give the one pint registry of the program, made of ``models/units.txt`` (imports pint)."""
    import pint

    return pint.UnitRegistry(str(root() / "models" / "units.txt"))


def _dimension(name: str, us: bool) -> str:
    try:
        return str(registry().Unit(_spelt(name, us)).dimensionality)
    except Exception as error:  # pint's own errors are four unrelated classes
        if not _is_pints(error):
            raise
        return ""


def _is_pints(error: Exception) -> bool:
    import pint

    plain = (AttributeError, ValueError, TypeError, AssertionError, SyntaxError, Problem)
    return isinstance(error, (pint.PintError, *plain))


def _spelt(name: str, us: bool) -> str:
    system = "us" if us else "imperial"
    name = " ".join(name.casefold().replace("_", " ").split())
    for said, said_system in (("imperial ", "imperial"), ("us ", "us"), ("u.s. ", "us"), ("american ", "us")):
        if name.startswith(said):
            name, system = name.removeprefix(said), said_system
    if name in PLAIN:
        return _FULL.get(PLAIN[name][0], PLAIN[name][0]) if PLAIN[name][1] == 1.0 else _MULTIPLE[name]
    if name in _SPELT:
        return _SPELT[name].format(system)
    if not re.fullmatch(r"[a-z]+", name):  # never hand pint an expression to evaluate
        raise Problem(f'"{name}" is not a measure known here')
    return name


_FULL: Final = {"m2": "metre**2", "um": "micrometre"}
_MULTIPLE: Final = {
    name: {("ml", 10.0): "centilitre", ("ml", 1000.0): "litre", ("g", 1000.0): "kilogram",
           ("um", 1000.0): "millimetre", ("h", 24.0): "day", ("h", 168.0): "week"}[home]
    for name, home in PLAIN.items() if home[1] != 1.0
}  # fmt: skip


def _pieces(text: str, example: str) -> tuple[tuple[float, str], tuple[float, str]]:
    found = _WRITTEN.fullmatch(text) if len(text) <= 60 else None
    if found is None:
        raise Problem(f'"{text[:40]}" is not a number and a unit: write it like "{example}"')
    first, its_unit, second, unit = found.groups()
    if not unit:
        raise Problem(f'"{text}" has no unit: write it like "{example}"')
    last = float(second) if second else float(first)
    return (float(first), its_unit or unit), (last, unit)


def _within(text: str, said: list[float], end: Amount, kind: str) -> None:
    what = KINDS[kind]
    if min(said) < 0 and kind != "temperature":
        raise Problem(f'"{text}" cannot be negative: write it like "{what.example}"')
    if not what.low <= end.value <= what.high:
        limits = f"{what.low:g} to {what.high:g} {end.unit}"
        raise Problem(f'"{text}" cannot be right: a {kind} from {limits} is taken')
