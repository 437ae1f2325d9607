"""Arithmetic: one unit in another (by pint), percent of an amount, an amount by parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import Facts, Missing, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.language.query import Measure, Property, Query, Shape
from assistant.library.measures import convert, registry
from assistant.problem import Problem
from assistant.wording import figure, listed


@dataclass(frozen=True, slots=True, kw_only=True)
class ConvertFacts(Facts):
    """A number and its unit, as asked for; ``parts`` where it was cut in parts."""

    value: float
    unit: str
    text: str
    parts: tuple[float, ...] = ()


def row(job: Job, query: Query, subject: str | None) -> Row:  # noqa: ARG001
    """Work the sum out; ``Problem`` where the units are of two kinds."""
    said = query.measure
    if said is None:
        raise Missing("How much, and in what?", "amount")
    us = job.state.job.get("units") == "us"
    shown = f"{figure(said.value)} {said.unit}".strip()
    if query.percent is not None:
        value = said.value * query.percent.value / 100.0
        return _row(value, said.unit, f"{_number(value)} {said.unit}, {figure(query.percent.value)} percent of {shown}")
    if query.suppose is not None and query.suppose.ratio:
        ratio = query.suppose.ratio
        parts = tuple(said.value * r / sum(ratio) for r in ratio)
        text = f"{listed(f'{_number(p)} {said.unit}'.strip() for p in parts)}, {shown} in all"
        return _row(said.value, said.unit, text, parts)
    if not query.unit:
        found = convert(said.value, said.unit, us=us)
        return _row(found.value, found.unit, f"{_number(found.value)} {found.unit}, {shown}")
    value = _into(said, query.unit, us=us)
    return _row(value, query.unit, f"{_number(value)} {query.unit}, {shown}")


def _into(said: Measure, unit: str, *, us: bool) -> float:
    """Give a measure in another unit, by way of the journal's own; ``Problem`` if they measure two things."""
    home = convert(said.value, said.unit, us=us)
    one = convert(1.0, unit, us=us)
    pair = {home.unit, one.unit}
    value = home.value
    if home.unit != one.unit:
        if pair == {"min", "h"}:
            value = value / 60.0 if home.unit == "min" else value * 60.0
        else:
            raise Problem(f"{said.unit} and {unit} do not measure the same")
    if home.unit == "degC":
        return _degrees(value, unit)
    return value / one.value


def _degrees(celsius: float, unit: str) -> float:
    names = {"f": "degF", "fahrenheit": "degF", "degf": "degF", "k": "kelvin", "kelvin": "kelvin"}
    name = names.get(unit.casefold().removeprefix("degrees ").strip(), "degC")
    if name == "degC":
        return celsius
    return float(registry().Quantity(celsius, "degC").to(name).magnitude)


def _number(value: float) -> str:
    """Give a number to three figures or so, as a measure is read."""
    return figure(value) if abs(value) >= 10 else f"{value:.3g}"


def _row(value: float, unit: str, text: str, parts: tuple[float, ...] = ()) -> Row:
    shown = " ".join(text.split())
    facts = ConvertFacts(about="convert", value=round(value, 6), unit=unit, text=shown, parts=parts)
    return Row(name=unit, facts=facts, said=shown, evidence=Told(f"{shown}. Factors: NIST Handbook 44 and SP 811."))


RESOLVER: Final = Resolver(
    what=Property.CONVERT, subjects=whole, row=row, natural=Shape.HOW_MUCH, condition=False,
    takes=frozenset({"ratio"}),
    shapes=frozenset({Shape.HOW_MUCH, Shape.HOW_MANY, Shape.WHAT, Shape.WHY}), topic="a measure in other units",
)  # fmt: skip
