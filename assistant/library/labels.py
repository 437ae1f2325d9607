"""A label laid over its family: figure by figure, the tin's word over the book's.

Two rules keep the two from contradicting each other. The order of the family's stages stands: if
a family is dust-free no sooner than touch-dry and the label says touch-dry in four hours, the
family's dust-free in two is lifted to four. And a family's greatest overcoating time falls away
where the label's least is already past it: then nobody knows it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from assistant.library import cautions, figures, times
from assistant.library.cards import Card, Law, Row
from assistant.library.families import NAMELESS, family, index
from assistant.library.fields import Flaw, at, only, suggestion, text, texts

#: Every key of a ``[[label]]`` besides ``name``.
KEYS = ("also", "family", *figures.KEYS)


def read(name: str, values: Mapping[str, Any], *, us: bool = False) -> Card:
    """Give the card of the label ``name``; ``values`` are the other keys of its table.

    Raises :class:`Flaw` with the key that is wrong: an unknown key, family, stage or hazard, a
    measure that is none, min above max, times that get shorter as it gets colder, no ``at``.
    """
    only(values, KEYS, "a label")
    base = _family(values)
    assert base.rate and base.window_rate
    halves = base.pot.step if base.pot else figures.HALVES
    source = figures.Source(True, base.rate, base.window_rate, halves, us)
    with at("times"):
        said = times.read(values.get("times") or [], source)
    fields = figures.read(values, source)
    basis = {**base.basis, **fields.pop("basis"), **dict.fromkeys(said.stages, "label")}
    stages = {**_lifted(base, said.stages), **said.stages}
    end, basis["overcoat_max"] = _window_end(base, said)
    if end is not None or not basis["overcoat_max"]:
        del basis["overcoat_max"]
    fields |= _least(base, said, fields)
    if fields["least_basis"]:
        basis["least"] = fields["least_basis"]
    fields["density"] = {**_still_fitting(base, fields), **fields.get("density", {})}
    return replace(
        base,
        name=name,
        also=texts(values, "also"),
        stages=stages,
        overcoat_max=end,
        hazards=tuple(dict.fromkeys((*base.hazards, *_hazards(values)))),
        basis=basis,
        label=name,
        **fields,
    )


def _family(values: Mapping[str, Any]) -> Card:
    name = text(values, "family")
    if name is None:
        return NAMELESS
    if name not in index():
        raise Flaw(("family",), f'there is no family "{name}"{suggestion(name, index())}')
    return family(name)


def _hazards(values: Mapping[str, Any]) -> tuple[str, ...]:
    # They add to the family's and never take one away: a label that forgets a warning is no all-clear.
    said = texts(values, "hazards")
    for i, hazard in enumerate(said):
        if hazard not in cautions.topics():
            near = suggestion(hazard, cautions.topics())
            raise Flaw(("hazards", i), f'there is no caution "{hazard}"{near}')
    return said


def _least(base: Card, said: times.Times, fields: Mapping[str, Any]) -> dict[str, Any]:
    # A label that gives a time at five degrees allows five degrees, whatever the book thinks.
    if "least" in fields:
        return {"least_basis": "label"}
    coldest = min((row.celsius for law in said.stages.values() for row in law.rows), default=None)
    if coldest is not None and base.least is not None and coldest < base.least:
        return {"least": coldest, "least_basis": "label: its coldest row"}
    return {"least_basis": base.least_basis}


def _still_fitting(base: Card, fields: Mapping[str, Any]) -> dict[str, float]:
    # A family's densities by part mean nothing beside a label's other parts, nor its mixed density
    # beside the label's densities of the parts.
    said = fields.get("density", {})
    parts = {name for name, _ in fields["ratio"].parts} if "ratio" in fields else set(base.density)
    return {n: d for n, d in base.density.items() if n in parts or (n == "mixed" and not said)}


def _lifted(base: Card, said: Mapping[str, Law]) -> dict[str, Law]:
    out = {}
    for stage, law in base.stages.items():
        if stage in said:
            continue
        lifted = law
        for other, label in said.items():
            family_law = base.stages.get(other)
            if family_law is None or hours_at(family_law, 20.0) > hours_at(law, 20.0):
                continue
            if any(hours_at(lifted, row.celsius) < row.hours for row in label.rows):
                rows = tuple(Row(row.celsius, max(row.hours, hours_at(lifted, row.celsius))) for row in label.rows)
                why = f"the label's {other}: the family's own time ({law.basis}) would be shorter"
                lifted = replace(lifted, rows=rows, basis=why)
        out[stage] = lifted
    return out


def _window_end(base: Card, said: times.Times) -> tuple[Law | None, str]:
    if said.overcoat_max is not None:
        return said.overcoat_max, "label"
    if said.endless:
        return None, "none: label"
    end, least = base.overcoat_max, said.stages.get("overcoat")
    if end and least and any(hours_at(end, row.celsius) <= row.hours for row in least.rows):
        return None, "not known: the label's least time is past the family's greatest"
    return end, base.basis.get("overcoat_max", "")


def hours_at(law: Law, celsius: float) -> float:
    """Give the hours of ``law`` at one temperature by its rate, from the row nearest to it."""
    row = min(law.rows, key=lambda r: abs(r.celsius - celsius))
    return row.hours * law.rate.factor(row.celsius, celsius)
