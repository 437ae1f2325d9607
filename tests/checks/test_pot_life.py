"""Pot life against temperature: UFGS-09971 section 3.7.1.3; the hot-weather rule: TM 1-1500-204-23-11."""

from __future__ import annotations

import pytest

from assistant.craft.pot import notes, pot_life
from assistant.library.cards import Pot

EPOXY = Pot(21.0, 240.0, None, 10.0, "UFGS-09971 section 3.7.1.3")
POLYURETHANE = Pot(21.0, 120.0, None, 10.0, "UFGS-09971 section 3.7.1.3")


@pytest.mark.parametrize(
    ("pot", "celsius", "hours"),
    [
        pytest.param(EPOXY, 11, 8, id="UFGS-09971-3.7.1.3-epoxy-11"),
        pytest.param(EPOXY, 21, 4, id="UFGS-09971-3.7.1.3-epoxy-21"),
        pytest.param(EPOXY, 31, 2, id="UFGS-09971-3.7.1.3-epoxy-31"),
        pytest.param(POLYURETHANE, 11, 4, id="UFGS-09971-3.7.1.3-polyurethane-11"),
        pytest.param(POLYURETHANE, 21, 2, id="UFGS-09971-3.7.1.3-polyurethane-21"),
        pytest.param(POLYURETHANE, 31, 1, id="UFGS-09971-3.7.1.3-polyurethane-31"),
    ],
)
def test_it_halves_for_each_ten_degrees_warmer_and_doubles_colder(pot, celsius, hours):
    assert pot_life(pot, celsius) == hours * 60


@pytest.mark.parametrize("celsius", [32.5, 35, 40])
def test_over_ninety_fahrenheit_no_more_than_half(celsius):
    """TM 1-1500-204-23-11: above 90 degF (32.2 degC) halve the working time, here of a label for 35 degC."""
    assert pot_life(Pot(35.0, 60.0, None, 10.0, ""), celsius) <= 30
    assert any("half" in note for note in notes(EPOXY, celsius))


def test_at_ninety_fahrenheit_it_is_not_yet_said():
    """90 degF is 32.22 degC (NIST SP 811)."""
    assert not any("half" in note for note in notes(EPOXY, 32.2))


@pytest.mark.parametrize("grams", [101, 150, 400, 2000])
def test_a_bigger_mass_goes_off_sooner_than_the_labels(grams):
    """A full cup heats and fumes (TM 55-1905-223-SDC); by how much: common practice, no source."""
    label = Pot(20.0, 30.0, 100.0, 10.0, "")
    assert pot_life(label, 20, grams) < 30
    assert pot_life(label, 20, 50) <= 30


@pytest.mark.parametrize(("pot", "celsius", "exact"), [(EPOXY, 13, 417.87), (POLYURETHANE, 26, 84.85)])
def test_it_is_rounded_down(pot, celsius, exact):
    """Computed: 240 x 2^0.8 and 120 / 2^0.5."""
    assert pot_life(pot, celsius) == int(exact)
