"""Film thickness and spreading rate: MIL-HDBK-1110 section 2.1.5, and coating practice's worked examples."""

from __future__ import annotations

import pytest

from assistant.craft.film import coverage, dry_film, spreading_rate, wet_film
from assistant.library.cards import Card
from assistant.quantity import square_metres

#: Microns in a thousandth of an inch, exact (NIST SP 811).
MIL = 25.4


def test_eight_mils_of_35_percent_leave_2_8():
    """Coating-practice worked example: 8 mil x 35 % = 2.8 mil."""
    assert dry_film(8 * MIL, 35) == pytest.approx(2.8 * MIL)


def test_thinned_by_a_tenth_it_takes_8_8_mils_wet():
    """Coating-practice worked example: 2.8 x 1.10 / 0.35 = 8.8 mil."""
    assert wet_film(2.8 * MIL, 35, 10) == pytest.approx(8.8 * MIL)


@pytest.mark.parametrize(
    ("solids", "microns", "rate"),
    [
        pytest.param(65, 125, 5.2, id="coating-practice-65-percent-125-um"),
        pytest.param(50, 50, 10.0, id="computed-50-percent-50-um"),
        pytest.param(100, 1000, 1.0, id="definition-a-litre-is-a-millimetre-on-a-square-metre"),
    ],
)
def test_square_metres_to_the_litre(solids, microns, rate):
    assert spreading_rate(solids, microns) == pytest.approx(rate)


def test_square_feet_to_the_us_gallon():
    """1604 x 0.65 / 5 mil = 208.5; a US gallon is 3.785411784 L, a foot 0.3048 m (NIST Handbook 44)."""
    assert spreading_rate(65, 5 * MIL) * 3.785411784 / 0.3048**2 == pytest.approx(208.5, abs=0.1)


@pytest.mark.parametrize(
    ("area", "coats", "loss", "litres"),
    [
        pytest.param(5.2, 1, 0, 1.0, id="coating-practice-5.2-m2-a-litre"),
        pytest.param(5.2, 3, 0, 3.0, id="coating-practice-three-coats"),
        pytest.param(5.2, 1, 20, 1.25, id="coating-practice-four-fifths-arrive"),
    ],
)
def test_what_an_area_takes(area, coats, loss, litres):
    card = Card("primer", "primer", "primer", "primer", solids=65.0, film=125.0)
    assert coverage(card, square_metres(area), coats, loss).amount.value == pytest.approx(1000 * litres)
