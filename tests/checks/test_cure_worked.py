"""Equivalent age, maturity and relative rates against worked examples.

Every expected figure was worked out away from the program, with R 8.314 J/(mol K) and 0 degC = 273.15 K.
The laws are those of ASTM C1074 (Arrhenius form: Carino 1984; Nurse-Saul).
"""

from __future__ import annotations

import pytest

from assistant.craft.cure import equivalent_age, hours_at, maturity, reach
from assistant.library.cards import Rate

from .build import START, label, spells


@pytest.mark.parametrize(
    ("air", "t0", "degree_hours"),
    [
        pytest.param([(15, 28 * 24)], -11, 728 * 24, id="ASTM-C1074-teaching-page-28-d-at-15"),
        pytest.param([(10, 12), (20, 12), (5, 24)], 0, 480, id="computed-by-hand-120+240+120"),
        pytest.param([(-5, 24), (10, 10)], 0, 100, id="ASTM-C1074-nothing-added-under-T0"),
    ],
)
def test_nurse_saul_maturity(air, t0, degree_hours):
    assert maturity(spells(*air), t0) == pytest.approx(degree_hours)


@pytest.mark.parametrize(
    ("air", "ea", "hours"),
    [
        pytest.param([(10, 12), (20, 12)], 55.0, 17.408, id="computed-Ea-55"),
        pytest.param([(8, 8), (15, 8), (22, 8)], 50.0, 18.130, id="computed-Ea-50"),
        pytest.param([(20, 24)], 50.0, 24.0, id="ASTM-C1074-at-the-reference-age-is-time"),
    ],
)
def test_equivalent_age(air, ea, hours):
    assert equivalent_age(spells(*air), ea, 20.0) == pytest.approx(hours, abs=0.0006)


#: Rate relative to 20 degC, computed to three places with the constants above.
RELATIVE = {
    50.0: {5: 0.331, 10: 0.485, 15: 0.701, 25: 1.411, 30: 1.967},
    55.0: {5: 0.296, 10: 0.451, 15: 0.676, 25: 1.460, 30: 2.105},
    60.0: {5: 0.265, 10: 0.419, 15: 0.652, 25: 1.511, 30: 2.253},
}


@pytest.mark.parametrize(
    ("ea", "celsius", "rate"),
    [
        pytest.param(ea, celsius, rate, id=f"computed-Ea-{ea:g}-at-{celsius}")
        for ea, row in RELATIVE.items()
        for celsius, rate in row.items()
    ],
)
def test_rate_relative_to_twenty_degrees(ea, celsius, rate):
    law = label([(20.0, 10.0)], Rate("arrhenius", ea=ea))
    assert 10.0 / hours_at(law, celsius) == pytest.approx(rate, abs=0.0006)


def test_doubling_per_ten_kelvin_over_two_half_days():
    """12 h at 10 degC and 12 h at 20 are 18.0 h at 20 (computed: half of twelve and twelve)."""
    found = reach(label([(20.0, 18.0)]), START, spells((10, 12), (20, 12), (-20, 1), endless=True), None)
    assert found.at is not None
    assert (found.at - START).total_seconds() / 3600 == pytest.approx(24.0, abs=1e-5)


@pytest.mark.parametrize(
    ("ea", "cold"),
    [
        pytest.param(47.8, 10, id="computed-47.8-between-10-and-20"),
        pytest.param(51.2, 20, id="computed-51.2-between-20-and-30"),
    ],
)
def test_the_activation_energy_that_doubles_in_ten_kelvin(ea, cold):
    law = label([(cold, 8.0)], Rate("arrhenius", ea=ea))
    assert hours_at(law, cold + 10) == pytest.approx(4.0, rel=0.001)
