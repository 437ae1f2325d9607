"""Cure against temperature: a stage is reached when the integral of dt / t(T) comes to one.

Equivalent age and maturity are those of ASTM C1074, which describes concrete; the rate law is the same
Arrhenius form, and the family cards say where each activation energy is from.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final, NamedTuple

from assistant.craft.air import Spell
from assistant.craft.times import hours, like, utc
from assistant.library.cards import Law, Row

R: Final = 8.314  # J/(mol K)
KELVIN: Final = 273.15
#: Past ten years nobody waits: it is said to stand still, and dates do not overflow.
FAR: Final = 10 * 365.25 * 24
#: Hours: a sum that falls short of one by the dust of its floats has come to one.
_SLACK: Final = 1e-9
_HOUR: Final = timedelta(hours=1)
#: One row says nothing about air this much warmer or colder than itself.
REACH: Final = 10.0
#: Outside these no paint is laid and the exponentials mean nothing; the law is held at its ends.
COLDEST, HOTTEST = -60.0, 120.0


class Reached(NamedTuple):
    """When a stage is reached, exact; None if it is not, ever, in the air given.

    ``beyond``: some of the air was outside the label's temperatures. ``stalled``: cure stood still for
    a time (or for good) because the air was under the film's least temperature.
    """

    at: datetime | None
    beyond: bool
    stalled: bool


class Share(NamedTuple):
    """One spell's part of the cure: ``hours`` spent where ``needed`` hours would do it, so ``share``."""

    start: datetime
    end: datetime
    celsius: float
    hours: float
    needed: float | None  # None: under the least temperature
    share: float


def hours_at(law: Law, celsius: float) -> float:
    """Hours to the stage in steady air.

    Two rows or more: ln t linear in 1/T between them (an Arrhenius law through each pair), the end
    segment's slope beyond. One row: the law's rate. ``ValueError`` for a law without rows.
    """
    celsius = min(max(celsius, COLDEST), HOTTEST)
    rows = _rows(law)
    if len(rows) == 1:
        (row,) = rows
        if law.rate.law == "doubling":
            return row.hours * math.exp2((row.celsius - celsius) / law.rate.step)
        return row.hours * math.exp(law.rate.ea * 1000.0 / R * (_inverse(celsius) - _inverse(row.celsius)))
    pairs = list(pairwise(rows))
    cold, warm = next((p for p in pairs if celsius <= p[1].celsius), pairs[-1])
    if min(cold.hours, warm.hours) <= 0.0:
        return max(cold.hours, warm.hours)
    along = (_inverse(celsius) - _inverse(warm.celsius)) / (_inverse(cold.celsius) - _inverse(warm.celsius))
    return warm.hours * math.exp(along * math.log(cold.hours / warm.hours))


def outside(law: Law, celsius: float) -> bool:
    """Say whether ``celsius`` is beyond what the label's rows speak for."""
    rows = _rows(law)
    slack = REACH if len(rows) == 1 else 0.0
    return not rows[0].celsius - slack <= celsius <= rows[-1].celsius + slack


def reach(law: Law, start: datetime, spells: Sequence[Spell], least: float | None) -> Reached:
    """Solve for the time at which the integral from ``start`` comes to one.

    ``spells`` follow each other without gaps and the last has no end; air before the first is taken as
    the first. Under ``least`` degC the integral stands still. The answer has the zone of ``start``.
    """
    done, beyond, stalled = 0.0, False, False
    for begin, end, celsius in _pieces(start, spells):
        if least is not None and celsius < least:
            stalled = True
            continue
        needed = hours_at(law, celsius)
        beyond = beyond or outside(law, celsius)
        left = max(1.0 - done, 0.0) * needed
        span = math.inf if end is None else (end - begin) / _HOUR
        if left <= span + _SLACK:
            if left > FAR:
                break
            return Reached(like(begin + timedelta(hours=left), start), beyond, stalled)
        done += span / needed
    return Reached(None, beyond, stalled)


def shares(
    law: Law, start: datetime, spells: Sequence[Spell], least: float | None, until: datetime
) -> tuple[Share, ...]:
    """Give the sum spell by spell, from ``start`` to ``until``."""
    out = []
    for begin, end, celsius in _pieces(start, spells):
        stop = utc(until) if end is None else min(end, utc(until))
        if stop <= begin:
            break
        span = (stop - begin) / _HOUR
        needed = None if least is not None and celsius < least else hours_at(law, celsius)
        share = 0.0 if needed is None else (span / needed if needed > 0.0 else 1.0)
        out.append(Share(like(begin, start), like(stop, start), celsius, span, needed, share))
    return tuple(out)


def progress(law: Law, start: datetime, spells: Sequence[Spell], least: float | None, until: datetime) -> float:
    """Give the integral from ``start`` to ``until``: 1 and over is reached."""
    return sum(part.share for part in shares(law, start, spells, least, until))


def equivalent_age(spells: Sequence[Spell], ea: float, tref: float) -> float:
    """Hours at ``tref`` degC that age a film as much as ``spells`` did (``ea`` in kJ/mol; ASTM C1074).

    ``ValueError`` if a spell has no end.
    """
    return sum(
        span * math.exp(ea * 1000.0 / R * (_inverse(tref) - _inverse(celsius))) for span, celsius in _finite(spells)
    )


def maturity(spells: Sequence[Spell], t0: float) -> float:
    """Degree-hours over ``t0`` degC, nothing counted under it (Nurse-Saul; ASTM C1074)."""
    return sum(span * max(celsius - t0, 0.0) for span, celsius in _finite(spells))


def _inverse(celsius: float) -> float:
    return 1.0 / (celsius + KELVIN)


def _rows(law: Law) -> list[Row]:
    """Give the rows, coldest first; of two at one temperature the slower."""
    by_temperature: dict[float, Row] = {}
    for row in law.rows:
        kept = by_temperature.get(row.celsius)
        if kept is None or row.hours > kept.hours:
            by_temperature[row.celsius] = row
    if not by_temperature:
        raise ValueError("a law without rows says nothing")
    return [by_temperature[celsius] for celsius in sorted(by_temperature)]


def _pieces(start: datetime, spells: Sequence[Spell]) -> Iterator[tuple[datetime, datetime | None, float]]:
    """Give what lies after ``start`` as (begin, end, celsius) in UTC."""
    at = utc(start)
    for spell in spells:
        end = None if spell.end is None else utc(spell.end)
        if end is None or end > at:
            yield at, end, spell.celsius
            if end is None:
                return
            at = end


def _finite(spells: Sequence[Spell]) -> Iterator[tuple[float, float]]:
    for spell in spells:
        if spell.end is None:
            raise ValueError("the last spell has no end")
        yield hours(spell.start, spell.end), spell.celsius
