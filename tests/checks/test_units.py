"""Exact unit definitions: NIST Handbook 44 appendix C and NIST SP 811."""

from __future__ import annotations

import pytest

from assistant.library.measures import convert


@pytest.mark.parametrize(
    ("unit", "us", "value", "home"),
    [
        pytest.param("gallon", True, 3785.411784, "ml", id="NIST-HB44-US-gallon"),
        pytest.param("fluid ounce", True, 29.5735295625, "ml", id="NIST-HB44-US-fluid-ounce"),
        pytest.param("pint", True, 473.176473, "ml", id="NIST-HB44-US-liquid-pint"),
        pytest.param("gallon", False, 4546.09, "ml", id="NIST-HB44-imperial-gallon"),
        pytest.param("pint", False, 568.26125, "ml", id="NIST-HB44-imperial-pint"),
        pytest.param("fluid ounce", False, 28.4130625, "ml", id="NIST-HB44-imperial-fluid-ounce"),
        pytest.param("ounce", False, 28.349523125, "g", id="NIST-SP811-avoirdupois-ounce"),
        pytest.param("pound", False, 453.59237, "g", id="NIST-SP811-avoirdupois-pound"),
        pytest.param("thou", False, 25.4, "um", id="NIST-SP811-thousandth-of-an-inch"),
        pytest.param("square foot", False, 0.09290304, "m2", id="NIST-SP811-square-foot"),
        pytest.param("litre", False, 1000.0, "ml", id="SI-litre"),
        pytest.param("mil", False, 1.0, "ml", id="common-practice-a-mil-of-liquid-is-a-millilitre"),
    ],
)
def test_one_of_each(unit, us, value, home):
    found = convert(1.0, unit, us=us)
    assert found.unit == home
    assert found.value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [
        pytest.param(32, 0.0, id="NIST-SP811-freezing"),
        pytest.param(212, 100.0, id="NIST-SP811-boiling"),
        pytest.param(-40, -40.0, id="NIST-SP811-where-they-meet"),
        pytest.param(90, 32.2222222222, id="NIST-SP811-ninety"),
    ],
)
def test_fahrenheit(fahrenheit, celsius):
    assert convert(float(fahrenheit), "degF").value == pytest.approx(celsius, abs=1e-9)


def test_a_mil_of_film_is_a_thousandth_of_an_inch():
    """NIST SP 811: the inch is 25.4 mm exactly."""
    assert convert(5.0, "mil", film=True) == (pytest.approx(127.0), "um")
