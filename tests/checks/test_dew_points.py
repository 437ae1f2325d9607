"""Dew points against psychrolib (ASHRAE) over a grid, and against tabled values; the limits for coating."""

from __future__ import annotations

import psychrolib
import pytest

from assistant.craft.dew import check, dew_point

psychrolib.SetUnitSystem(psychrolib.SI)

GRID = [(t, rh) for t in range(4, 37, 4) for rh in (30, 45, 60, 75, 85, 90, 95, 99)]


@pytest.mark.parametrize("celsius", sorted({t for t, _ in GRID}))
def test_against_psychrolib_above_freezing(celsius):
    """ASHRAE through psychrolib; under 0 degC it gives a frost point, which is another quantity."""
    compared = 0
    for humidity in (rh for t, rh in GRID if t == celsius):
        theirs = psychrolib.GetTDewPointFromRelHum(celsius, humidity / 100)
        if theirs > 0.0:
            assert dew_point(celsius, humidity) == pytest.approx(theirs, abs=0.03)
            compared += 1
    assert compared >= 3


@pytest.mark.parametrize(
    ("celsius", "humidity", "point"),
    [
        pytest.param(*row, id=f"computed-{row[0]}-{row[1]}")
        for row in (
            (10, 60, 2.60), (10, 80, 6.71), (15, 60, 7.31), (15, 80, 11.58), (15, 90, 13.4), (20, 60, 12.01),
            (20, 80, 16.45), (20, 95, 19.18), (25, 60, 16.70), (25, 80, 21.31),
        )
    ],
)  # fmt: skip
def test_tabled_values(celsius, humidity, point):
    """Magnus formula: Alduchov and Eskridge 1996 or WMO No. 8, which differ by under 0.02."""
    assert dew_point(celsius, humidity) == pytest.approx(point, abs=0.05 if humidity == 90 else 0.02)


def test_saturated_air_is_at_its_dew_point():
    """By definition of relative humidity."""
    assert dew_point(14.0, 100.0) == pytest.approx(14.0)


@pytest.mark.parametrize(
    ("air", "humidity", "surface", "ok"),
    [
        # The dew point at 20 degC and 60 % is 12.01 (table above).
        pytest.param(20, 60, 15.1, True, id="MIL-HDBK-1110-9.6.6-over-3-degC"),
        pytest.param(20, 60, 14.9, False, id="MIL-HDBK-1110-9.6.6-under-3-degC"),
        pytest.param(20, 84.9, 25, True, id="IMO-MSC.215(82)-under-85-percent"),
        pytest.param(20, 85.1, 25, False, id="IMO-MSC.215(82)-over-85-percent"),
        pytest.param(10, 80, 10, True, id="computed-margin-3.29"),
        pytest.param(20, 84, None, False, id="computed-margin-under-3-with-the-surface-as-the-air"),
    ],
)
def test_the_limits_for_coating(air, humidity, surface, ok):
    assert check(air, humidity, surface).ok is ok
