"""Dew: whether a surface is dry enough, and will stay so, to lay a film on."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from assistant.problem import Problem

#: Magnus constants of Alduchov and Eskridge (1996), over water, -40 to 50 degC.
A, B = 17.625, 243.04
#: Surface this much over the dew point: MIL-HDBK-1110 section 9.6.6 (5 degF, 3 degC).
MARGIN: Final = 3.0
#: No coating work in damper air: IMO MSC.215(82), secondary.
DAMPEST: Final = 85.0
SOURCE: Final = "MIL-HDBK-1110 section 9.6.6; IMO MSC.215(82), secondary"


@dataclass(frozen=True, slots=True)
class Dew:
    """Degrees C throughout; ``ok`` to lay a film, and ``why`` in one short sentence."""

    dew_point: float
    surface: float
    margin: float
    ok: bool
    why: str
    surface_told: bool
    source: str = SOURCE


def dew_point(celsius: float, humidity: float) -> float:
    """Degrees C at which air of ``humidity`` percent begins to shed water."""
    if not 0.0 < humidity <= 100.0:
        raise Problem(f"a humidity of {humidity:g} percent cannot be: it is over 0 and up to 100")
    if not -40.0 <= celsius <= 60.0:
        raise Problem(f"air at {celsius:g} degrees is outside what a dew point can be worked out for")
    g = math.log(humidity / 100.0) + A * celsius / (B + celsius)
    return B * g / (A - g)


def check(air: float, humidity: float, surface: float | None = None) -> Dew:
    """Judge air (degC, percent) and a surface (degC; not told: as warm as the air)."""
    point = dew_point(air, humidity)
    told = surface is not None
    skin = air if surface is None else surface
    margin = skin - point
    reasons = []
    if margin < MARGIN:
        reasons.append(f"the surface is {_gap(margin)} the dew point of {point:.1f} and wants 3")
    if humidity > DAMPEST:
        reasons.append(f"{humidity:g} percent humidity is over 85")
    ok = not reasons
    why = "; ".join(reasons) or f"the surface is {_gap(margin)} the dew point of {point:.1f}"
    if not told:
        why += ", taking the surface to be as warm as the air"
    return Dew(point, skin, margin, ok, why, told)


def _gap(margin: float) -> str:
    """Say the margin; a margin just short of the limit is not rounded up to it."""
    shown = math.floor(abs(margin) * 10.0) / 10.0 if margin >= 0.0 else math.ceil(-margin * 10.0) / 10.0
    return f"{shown:.1f} degrees {'over' if margin >= 0.0 else 'under'}"
