"""The families of ``models/families/``: what each is called, and its card.

``models/families.toml`` is the index, so that names cost one small file; a family's own file is
read when its card is asked for, and once.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from assistant.data import read_toml, root
from assistant.library import figures, times
from assistant.library.cards import Card, Over, Rate
from assistant.library.fields import Flaw, as_table, at, only, suggestion, text, texts
from assistant.problem import Problem


class Head(NamedTuple):
    """What a family is called: its id, its kind, its title and its other spoken names."""

    id: str
    kind: str
    title: str
    also: tuple[str, ...]


@cache
def index() -> Mapping[str, Head]:
    """Give every family's head by id, from the index file."""
    table = read_toml(root() / "models" / "families.toml")
    return {i: Head(i, h["kind"], h["title"], tuple(h["also"])) for i, h in table.items()}


@cache
def family(name: str) -> Card:
    """Give the card of one family. ``Problem`` for an unknown id, with the nearest that exists."""
    if name not in index():
        raise Problem(f'there is no family "{name}"{suggestion(name, index())}')
    path = root() / "models" / "families" / f"{name}.toml"
    try:
        return _card(name, read_toml(path))
    except Flaw as flaw:  # a slip in our own data: say the file, so that it can be put right
        raise Problem(f"models/families/{name}.toml {flaw}") from None


#: What stands in for a family where a label names none: no figures, and the cautious usual rate.
NAMELESS = Card(
    name="",
    family="",
    kind="material",
    title="material of no named family",
    rate=Rate("doubling", step=10.0, basis="assumption: no family named; doubling per 10 K"),
    window_rate=Rate("arrhenius", ea=31.0, basis="assumption, by analogy: UFGS-09971 p. 28 (polyurethane), computed"),
)

_HEAD = ("kind", "generic", "title", "also", "no_stages", "over", "rate", "wash")


def _card(name: str, table: Mapping[str, Any]) -> Card:
    only(table, (*_HEAD, *figures.KEYS), "a family")
    rates = table.get("rate", {})
    with at("rate"):
        only(rates, ("stages", "window"), "a rate")
        stages = _rate(rates, "stages") or NAMELESS.rate
        window = _rate(rates, "window") or NAMELESS.window_rate
    assert stages and window
    source = figures.Source(label=False, stages=stages, window=window)
    with at("times"):
        read = times.read(table.get("times", []), source)
    fields = figures.read(table, source)
    if read.endless:
        fields["basis"]["overcoat_max"] = f"none: {read.endless}"
    return Card(
        name=name,
        family=name,
        kind=_needed(table, "kind"),
        title=_needed(table, "title"),
        also=texts(table, "also"),
        stages=read.stages,
        overcoat_max=read.overcoat_max,
        no_stages=text(table, "no_stages"),
        least_basis=fields["basis"].get("least", ""),
        hazards=texts(table, "hazards"),
        over=tuple(_over(table.get("over", []))),
        generic=_needed(table, "generic"),
        rate=stages,
        window_rate=window,
        **fields,
    )


def _needed(table: Mapping[str, Any], key: str) -> str:
    value = text(table, key)
    if value is None:
        raise Flaw((), f"this has no {key}: add it")
    return value


def _rate(rates: Mapping[str, Any], key: str) -> Rate | None:
    if key not in rates:
        return None
    with at(key):
        table = as_table(rates[key], '{ doubles = 10, basis = "..." }')
        only(table, ("ea", "doubles", "basis"), "a rate")
        if ("ea" in table) == ("doubles" in table):
            raise Flaw((), "a rate has either ea (kJ/mol) or doubles (kelvin)")
        basis = _needed(table, "basis")
        if "ea" in table:
            return Rate("arrhenius", ea=float(table["ea"]), basis=basis)
        return Rate("doubling", step=float(table["doubles"]), basis=basis)


def _over(rules: list[Mapping[str, Any]]) -> list[Over]:
    out = []
    for i, rule in enumerate(rules):
        with at("over", i):
            only(rule, ("on", "verdict", "why", "basis"), "a rule")
            verdict = _needed(rule, "verdict")
            if verdict not in ("yes", "no", "test", "keyed"):
                raise Flaw(("verdict",), "say yes, no, test or keyed")
            out.append(Over(_needed(rule, "on"), verdict, _needed(rule, "why"), _needed(rule, "basis")))
    return out
