"""A card as a page to read: every figure, and where it comes from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from assistant.library.cards import STAGES, Card, Law, Rate, Row

#: Figure -> what it is called on the page, in the order of the page.
NAMES: Final[dict[str, str]] = {
    "touch": "touch-dry", "dust": "dust-free", "sand": "sandable", "overcoat": "next coat from",
    "overcoat_max": "next coat until", "handle": "handle", "cured": "fully cured", "rate": "with temperature",
    "window_rate": "window with temperature", "least": "not below", "pot": "pot life", "ratio": "ratio",
    "density": "density", "thinner": "thinner", "solids": "solids by volume", "film": "dry film a coat",
    "spread": "spreads", "coats": "coats", "open_time": "close the joint", "set_check": "begins to set",
    "shelf": "keeps", "wash": "wash", "hazards": "hazards",
}  # fmt: skip

#: A label's key -> the figure it gives, so that either may be asked for.
KEYS: Final = {
    "pot_life": "pot", "volume_solids": "solids", "spreading": "spread", "set": "set_check",
}  # fmt: skip

#: What a reader looks for on a page, so that it is said when nobody gave it; a joint has no next coat.
_MISSED: Final = ("touch", "overcoat", "overcoat_max", "least")
_JOINTS: Final = ("adhesive", "sealant")


def why(card: Card, figure: str) -> str:
    """Give a figure and where it is from: "45 to 60 min at 20 degC - label".

    ``figure`` is a key of :data:`NAMES` or of a label. What nobody gave reads "not known".
    """
    figure = KEYS.get(figure, figure)
    told = _told(card, figure)
    return f"{told[0]} - {told[1]}" if told else _unknown(card, figure)


def lines(card: Card) -> list[str]:
    """Give the whole card, a line a figure."""
    family = card.family or "no family named"
    out = [f"{card.label or card.family}: {card.title}" + (f" (family {family})" if card.label else "")]
    if card.also:
        out.append(f"also called: {', '.join(card.also)}")
    if card.no_stages:
        out.append(f"no drying times: {card.no_stages}")
    for figure, name in NAMES.items():
        if (told := _told(card, figure)) is not None:
            out.append(f"{name}: {told[0]} - {told[1]}")
        elif figure in _MISSED and not card.no_stages and not (card.kind in _JOINTS and "over" in figure):
            out.append(f"{name}: {_unknown(card, figure)}")
    out += [f"over {o.kind}: {o.verdict}: {o.why} - {o.basis}" for o in card.over]
    return out


def to_json(card: Card) -> dict[str, Any]:
    """Give the card as plain values: ``figures`` by name, each with its ``text`` and ``basis``."""
    told = {figure: _told(card, figure) for figure in NAMES}
    return {
        "name": card.name,
        "label": card.label,
        "family": card.family or None,
        "kind": card.kind,
        "title": card.title,
        "also": list(card.also),
        "no_stages": card.no_stages,
        "figures": {f: {"text": t[0], "basis": t[1]} for f, t in told.items() if t is not None},
        "stages": {stage: _law_json(law) for stage, law in card.stages.items()},
        "overcoat_max": _law_json(card.overcoat_max) if card.overcoat_max else None,
        "hazards": list(card.hazards),
        "over": [{"kind": o.kind, "verdict": o.verdict, "why": o.why, "basis": o.basis} for o in card.over],
    }


def _law_json(law: Law) -> dict[str, Any]:
    rows = [
        {
            "temperature": {"value": r.celsius, "unit": "degC"},
            "time": {"value": r.hours, "unit": "h"},
            "early": None if r.early is None else {"value": r.early, "unit": "h"},
        }
        for r in law.rows
    ]
    return {"rows": rows, "rate": _rate(law.rate), "basis": law.basis, "from_label": law.from_label}


def _told(card: Card, figure: str) -> tuple[str, str] | None:
    if figure in STAGES:
        law = card.stages.get(figure)
        return (_rows(law), law.basis) if law else None
    if figure == "overcoat_max":
        if card.overcoat_max:
            return _rows(card.overcoat_max), card.overcoat_max.basis
        basis = card.basis.get(figure, "")
        return ("no end", basis.removeprefix("none: ")) if basis.startswith("none: ") else None
    if figure == "rate":
        return (_rate(card.rate), card.rate.basis) if card.rate and card.stages else None
    if figure == "window_rate":
        window = card.window_rate if card.overcoat_max else None
        return (_rate(window), window.basis) if window else None
    if figure == "hazards":
        return (", ".join(card.hazards), "see the cautions for whose word each is") if card.hazards else None
    if figure not in _WRITTEN:
        raise ValueError(f"no card has a figure {figure!r}")
    written = _WRITTEN[figure](card)
    return (written, card.basis.get(figure, "no basis given")) if written else None


def _unknown(card: Card, figure: str) -> str:
    if figure == "overcoat_max" and card.basis.get(figure, "").startswith("not known"):
        return card.basis[figure]
    if card.no_stages and figure in (*STAGES, "overcoat_max"):
        return f"none: {card.no_stages}"
    return "not known: neither label nor family says" if card.label else "not known: go by the label"


def hours_text(row: Row) -> str:
    """Write a row's time as one says it: "45 to 60 min", "6 h", "7 days"."""
    if row.hours <= 2 and not (row.hours in (1, 2) and row.early in (None, 1)):
        return _range(row, 60, "min")
    if row.hours >= 96 and row.hours % 24 == 0 and (row.early or 0) % 24 == 0:
        return _range(row, 1 / 24, "days")
    return _range(row, 1, "h")


def _range(row: Row, factor: float, unit: str) -> str:
    early = "" if row.early is None else f"{_short(row.early * factor)} to "
    return f"{early}{_short(row.hours * factor)} {unit}"


def _rows(law: Law) -> str:
    return ", ".join(f"{hours_text(row)} at {row.celsius:g} degC" for row in law.rows)


def _rate(rate: Rate) -> str:
    if rate.law == "doubling":
        return f"twice as long for each {rate.step:g} degC colder"
    return f"Arrhenius, {rate.ea:g} kJ/mol"


def _short(value: float) -> str:
    return f"{round(value, 1):g}"


def _pair(pair: tuple[float, float] | None, unit: str) -> str | None:
    if pair is None:
        return None
    low, high = pair
    return f"{_short(high)} {unit}" if low == high else f"{_short(low)} to {_short(high)} {unit}"


def _pot(card: Card) -> str | None:
    if card.pot is None:
        return None
    mass = f" for {card.pot.grams:g} g" if card.pot.grams is not None else ""
    minutes = card.pot.minutes
    time = f"{_short(minutes)} min" if minutes < 120 else f"{_short(minutes / 60)} h"
    return f"{time}{mass} at {card.pot.celsius:g} degC, half for each {card.pot.step:g} degC warmer"


def _ratio(card: Card) -> str | None:
    if card.ratio is None:
        return None
    return ", ".join(f"{name} {number:g}" for name, number in card.ratio.parts) + f" by {card.ratio.by}"


def _thinner(card: Card) -> str | None:
    t = card.thinner
    if t is None:
        return None
    most = f", at most {t.max:g} percent" if t.max is not None else ""
    first = f", first coat on bare wood {t.first:g} percent" if t.first is not None else ""
    return f"{t.name}{most}{first}"


def _shelf(card: Card) -> str | None:
    new, opened = card.shelf
    said = [f"{_short(new)} months unopened"] if new else []
    return ", ".join([*said, f"{_short(opened)} months opened"] if opened else said) or None


def _unit(value: float | None, unit: str) -> str | None:
    return None if value is None else f"{value:g} {unit}"


_WRITTEN: Final[dict[str, Callable[[Card], str | None]]] = {
    "least": lambda c: _unit(c.least, "degC"),
    "pot": _pot,
    "ratio": _ratio,
    "density": lambda c: ", ".join(f"{n} {d:g} g/ml" for n, d in c.density.items()) or None,
    "thinner": _thinner,
    "solids": lambda c: _unit(c.solids, "percent"),
    "film": lambda c: _unit(c.film, "um"),
    "spread": lambda c: _unit(c.spread, "m2/l"),
    "coats": lambda c: c.coats,
    "open_time": lambda c: _pair(c.open_time, "min"),
    "set_check": lambda c: _pair(c.set_check, "h"),
    "shelf": _shelf,
    "wash": lambda c: c.wash,
}
