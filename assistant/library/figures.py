"""Reads a material's figures: a family's file and a label use the same keys for the same things.

A label writes a figure plainly (``film = "40 um"``) and its basis is the label. A family's file
writes ``{ value = "40 um", basis = "..." }`` and may leave out no basis.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from assistant.library.cards import Pot, Rate, Ratio, Thinner
from assistant.library.fields import Flaw, Path, as_table, as_text, at, only, text, texts
from assistant.library.measures import hours, measure, months, per
from assistant.problem import Problem

#: Keys of a label besides ``name``, ``also`` and ``family``; a family's file has the same.
KEYS: Final = (
    "times", "volume_solids", "film", "spreading", "coats", "least", "density", "thinner", "ratio",
    "pot_life", "open_time", "set", "shelf", "hazards",
)  # fmt: skip

#: A pot's life halves for each so many kelvin warmer where nothing else is said (UFGS-09971 section 3.7.1.3).
HALVES: Final = 10.0


class Source(NamedTuple):
    """Where figures are read from.

    ``label`` tells a label from a family's file; ``stages`` and ``window`` are the family's rates;
    ``halves`` its pot-life step in kelvin; ``us`` takes a bare pint or gallon for the American.
    """

    label: bool
    stages: Rate
    window: Rate
    halves: float = HALVES
    us: bool = False

    def basis(self, table: Mapping[str, Any], above: str | None = None) -> str:
        """Give where the figures of ``table`` are from; a Flaw when a family does not say."""
        if self.label:
            return "label"
        basis = text(table, "basis") or above
        if basis is None:
            raise Flaw((), "this figure has no basis: add where it is from")
        return basis


Figures = dict[str, Any]


def read(table: Mapping[str, Any], source: Source) -> Figures:
    """Give the figures of ``table`` but its times, as fields of a Card, and their ``basis`` by field.

    Raises :class:`Flaw` with the key that is wrong.
    """
    found: Figures = {"basis": {}}
    for key, (field, read_one) in _PLAIN.items():
        if table.get(key) is None:
            continue
        with at(key):
            value, basis = _plain(table, key, source)
            found[field] = read_one(value, source.us)
            found["basis"][field] = basis
    for key, (field, read_table) in _TABLES.items():
        if table.get(key) is None:
            continue
        with at(key):
            found[field], found["basis"][field] = read_table(table[key], source)
    _parts_agree(found)
    return found


def _plain(table: Mapping[str, Any], key: str, source: Source) -> tuple[str, str]:
    if source.label:
        if key == "coats" and isinstance(table[key], int) and not isinstance(table[key], bool):
            return _coats(str(table[key]), source.us), "label"
        return _must(text(table, key, _EXAMPLES[key]), key), "label"
    within = as_table(table[key], '{ value = "...", basis = "..." }')
    only(within, ("value", "basis"), "a figure")
    return _must(text(within, "value"), "value"), source.basis(within)


def _must(value: str | None, key: str) -> str:
    if value is None:
        raise Flaw((), f"this has no {key}: add it")
    return value


def _coats(value: str, us: bool) -> str:
    del us  # every reader of a plain figure is called alike
    found = re.fullmatch(r"(\d{1,2})(?:\s*(?:to|-)\s*(\d{1,2}))?(?:\s*coats?)?", value.strip())
    if not found or not 0 < int(found[1]) <= int(found[2] or found[1]):
        raise Problem(f'"{value}" is no number of coats: write it like "3 to 6"')
    return f"{found[1]} to {found[2]}" if found[2] else found[1]


def _minutes_pair(value: str, us: bool) -> tuple[float, float]:
    low, high = hours(value, us=us)
    return low * 60, high * 60


_EXAMPLES: Final = {
    "volume_solids": "45 percent", "film": "40 um", "spreading": "12 m2/l", "coats": "3 to 6",
    "least": "10 degC", "open_time": "10 to 20 min", "set": "1 to 4 h", "wash": "wash with water",
}  # fmt: skip

_PLAIN: Final[dict[str, tuple[str, Any]]] = {
    "least": ("least", lambda v, us: measure(v, "temperature", us=us).value),
    "volume_solids": ("solids", lambda v, us: measure(v, "percent", us=us).value),
    "film": ("film", lambda v, us: measure(v, "film", us=us).value),
    "spreading": ("spread", lambda v, us: per(v, "spreading", us=us)[0]),  # the least: buy enough
    "coats": ("coats", _coats),
    "open_time": ("open_time", _minutes_pair),
    "set": ("set_check", lambda v, us: hours(v, us=us)),
    "wash": ("wash", lambda v, _us: v),
}


def _pot(value: Any, source: Source) -> tuple[Pot, str]:
    example = '{ at = "20 degC", mass = "100 g", time = "30 min" }'
    table = as_table(value, example)
    only(table, ("at", "mass", "time", *(() if source.label else ("halves", "basis"))), "a pot life")
    celsius = _at(table, f"write it like {example}")
    time = text(table, "time", "30 min")
    if time is None:
        raise Flaw((), f"this has no time: write it like {example}")
    with at("time"):
        minutes = hours(time, us=source.us)[0] * 60  # of a range the shorter: it sets in the pot
    grams = None
    if (mass := text(table, "mass", "100 g")) is not None:
        with at("mass"):
            grams = measure(mass, "mass", us=source.us).value
    step = source.halves if source.label else float(table.get("halves", HALVES))
    basis = source.basis(table)
    return Pot(celsius, minutes, grams, step, basis, source.label), basis


def _at(table: Mapping[str, Any], hint: str) -> float:
    written = text(table, "at", "20 degC")
    if written is None:
        raise Flaw((), f"this has no temperature: {hint}")
    with at("at"):
        return measure(written, "temperature").value


def _ratio(value: Any, source: Source) -> tuple[Ratio, str]:
    example = '{ by = "volume", parts = ["resin 2", "hardener 1"] }'
    table = as_table(value, example)
    only(table, ("by", "parts", *(() if source.label else ("basis",))), "a ratio")
    by = text(table, "by")
    if by not in ("volume", "weight"):
        raise Flaw(("by",) if by else (), f'say by = "volume" or by = "weight": write it like {example}')
    parts: list[tuple[str, float]] = []
    for i, part in enumerate(texts(table, "parts")):
        found = re.fullmatch(r"\s*(\S.*?)\s+(\d{1,6}(?:\.\d{1,6})?)\s*", part)
        if not found or float(found[2]) == 0:
            raise Flaw(("parts", i), f'"{part}" is no part: write its name and its number, like "resin 2"')
        if found[1] in (name for name, _ in parts):
            raise Flaw(("parts", i), f'"{found[1]}" is there twice: give each part its own name')
        parts.append((found[1], float(found[2])))
    if len(parts) < 2:
        raise Flaw(("parts",) if parts else (), f"a ratio has two parts or more: write it like {example}")
    basis = source.basis(table)
    return Ratio(str(by), tuple(parts), basis, source.label), basis


def _density(value: Any, source: Source) -> tuple[dict[str, float], str]:
    if isinstance(value, str) and source.label:
        return {"mixed": per(value, "density", us=source.us)[0]}, "label"
    table = as_table(value, '{ resin = "1.15 g/ml", hardener = "1.00 g/ml" }')
    found = {}
    for name in table:
        if name == "basis" and not source.label:
            continue
        with at(name):
            found[name] = per(as_text(table[name], "1.15 g/ml"), "density", us=source.us)[0]
    return found, source.basis(table)


def _thinner(value: Any, source: Source) -> tuple[Thinner, str]:
    named = {"name": value} if isinstance(value, str) and source.label else value
    table = as_table(named, '{ name = "white spirit", max = "10 percent" }')
    only(table, ("name", "max", "first", *(() if source.label else ("basis",))), "a thinner")
    name = text(table, "name", "white spirit")
    if name is None:
        raise Flaw((), 'this has no name: add name = "white spirit" or what the label calls it')
    shares: dict[str, float | None] = {"max": None, "first": None}
    for key in shares:
        if (written := text(table, key, "10 percent")) is not None:
            with at(key):
                shares[key] = measure(written, "percent").value
    basis = source.basis(table)
    return Thinner(name, shares["max"], shares["first"], basis), basis


def _shelf(value: Any, source: Source) -> tuple[tuple[float | None, float | None], str]:
    if isinstance(value, str) and source.label:
        return (months(value), None), "label"
    value = as_table(value, '{ unopened = "24 months", opened = "12 months" }')
    only(value, ("unopened", "opened", *(() if source.label else ("basis",))), "a shelf life")
    ends: list[float | None] = []
    for key in ("unopened", "opened"):
        written = text(value, key, "24 months")
        with at(key):
            ends.append(None if written is None else months(written))
    return (ends[0], ends[1]), source.basis(value)


_TABLES: Final[dict[str, tuple[str, Any]]] = {
    "pot_life": ("pot", _pot),
    "ratio": ("ratio", _ratio),
    "density": ("density", _density),
    "thinner": ("thinner", _thinner),
    "shelf": ("shelf", _shelf),
}


def _parts_agree(found: Figures) -> None:
    ratio: Ratio | None = found.get("ratio")
    if ratio is None:
        return
    names = {name for name, _ in ratio.parts} | {"mixed"}
    for name in found.get("density", {}):
        if name not in names:
            path: Path = ("density", name)
            raise Flaw(path, f'the ratio has no part "{name}": it has {", ".join(sorted(names - {"mixed"}))}')
