"""Measures: exact factors from outside, and every measure that cannot be."""

import subprocess
import sys

import pint
import pytest

from assistant.library import measures
from assistant.library.measures import convert, hours, measure, months, per, span
from assistant.problem import Problem

# NIST Handbook 44 appendix C, NIST SP 811 appendix B (exact by definition).
NIST = [
    ("pint", False, 568.26125, "ml"),
    ("pint", True, 473.176473, "ml"),
    ("gallon", False, 4546.09, "ml"),
    ("gallon", True, 3785.411784, "ml"),
    ("fl oz", False, 28.4130625, "ml"),
    ("fluid ounces", True, 29.5735295625, "ml"),
    ("quart", False, 1136.5225, "ml"),
    ("quart", True, 946.352946, "ml"),
    ("teaspoons", True, 4.92892159375, "ml"),
    ("us pint", False, 473.176473, "ml"),
    ("imperial pint", True, 568.26125, "ml"),
    ("lb", False, 453.59237, "g"),
    ("oz", False, 28.349523125, "g"),
    ("thou", False, 25.4, "um"),
    ("sq ft", False, 0.09290304, "m2"),
    ("square yards", False, 0.83612736, "m2"),
]


@pytest.mark.parametrize(("unit", "us", "value", "home"), NIST)
def test_one_of_each_unit_is_what_nist_says(unit, us, value, home):
    amount = convert(1.0, unit, us=us)
    assert amount.unit == home
    assert amount.value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [(32.0, 0.0), (212.0, 100.0), (-40.0, -40.0), (68.0, 20.0)],  # the scale's fixed points, SP 811
)
def test_fahrenheit_is_a_scale_with_its_own_zero(fahrenheit, celsius):
    assert convert(fahrenheit, "degF").value == pytest.approx(celsius, abs=1e-9)


def test_the_table_of_plain_units_agrees_with_pints_own_definitions():
    theirs = pint.UnitRegistry()
    spelt = {
        "µm": "um",
        "μm": "um",
        "kilo": "kg",
        "kilos": "kg",
        "gramme": "g",
        "grammes": "g",
        "mins": "minute",
    }
    compared = 0
    for name, (home, factor) in measures.PLAIN.items():
        if home in ("degC", "percent", "m2") or " " in name:  # pint spells squares another way
            continue
        unit = {"min": "minute", "h": "hour"}.get(home, home)
        got = theirs.Quantity(1.0, spelt.get(name, name)).to(unit).magnitude
        assert got == pytest.approx(factor, rel=1e-12), name
        compared += 1
    assert compared > 40


def test_a_mil_is_a_millilitre_of_a_liquid_and_a_thousandth_of_an_inch_of_a_film():
    # The workshop's word; 0.001 in = 25.4 um (NIST SP 811).
    assert convert(60, "mil") == (60.0, "ml")
    assert convert(2, "mils", film=True).value == pytest.approx(50.8)
    assert measure("2 mil", "film").value == pytest.approx(50.8)
    assert measure("60 mil", "volume").value == 60.0


def test_ranges_keep_both_ends_and_mixed_units_come_to_one():
    assert span("45 to 60 min", "time") == ((45.0, "min"), (60.0, "min"))
    assert hours("45 to 60 min") == (0.75, 1.0)
    assert hours("30 min to 2 h") == (0.5, 2.0)
    assert hours("7 days") == (168.0, 168.0)
    assert hours("1-4 h") == (1.0, 4.0)


def test_density_and_spreading_rate_in_other_units():
    # 1 lb per US gallon is 119.8264 kg/m3 (NIST SP 811 appendix B.8).
    assert per("10 lb/gal", "density", us=True)[0] == pytest.approx(1.198264, rel=1e-6)
    assert per("1.15 kg/l", "density") == (1.15, 1.15)
    # 400 ft2 are 37.161216 m2 and a US gallon is 3.785411784 l: 9.816955 m2/l by hand.
    assert per("400 sq ft per gallon", "spreading", us=True)[0] == pytest.approx(9.816955, rel=1e-6)
    assert per("10 to 12 m2/l", "spreading") == (10.0, 12.0)


def test_shelf_life_is_counted_in_months():
    assert months("2 years") == 24.0
    assert months("12 to 18 months") == 12.0


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("400 degC", "temperature", "-40 to 60"),
        ("-5 ml", "volume", "negative"),
        ("-0.4 m2", "area", "negative"),
        ("0 ml", "volume", "nothing"),
        ("140 percent", "percent", "0 to 100"),
        ("3 min", "area", "not a measure of area"),
        ("12 degC", "amount", "not a measure of amount"),
        ("12", "area", "no unit"),
        ("some", "area", "not a number"),
        ("", "area", "not a number"),
        ("1,5 l", "volume", "not a number"),
        ("60 to 45 min", "time", "least above its most"),
        ("1 h to 30 min", "time", "least above its most"),
        ("45 to 60 percent", "percent", "range"),
        ("3 furlong", "area", "furlong"),
        ("5 kg*kg", "mass", "kg*kg"),
        ("5 __import__('os')", "mass", "no measure known"),
        ("9" * 59 + " l", "volume", "not a number"),
        ("1 ml to 3 g", "amount", "two kinds"),
    ],
)
def test_a_measure_that_cannot_be_is_one_clear_problem(text, kind, says):
    with pytest.raises(Problem) as caught:
        measure(text, kind)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("text", ["1 kg/m3", "0 g/ml", "-1 g/ml", "3 ml", "1 g/l/l", "2 min/min", "1.2"])
def test_a_density_that_cannot_be_is_one_clear_problem(text):
    with pytest.raises(Problem, match=r"density|1\.15 g/ml"):
        per(text, "density")


def test_plain_units_do_not_load_pint_and_others_do():
    code = (
        "import sys; from assistant.library.measures import measure, hours, per, months\n"
        "measure('750 ml','volume'); measure('16 degC','temperature'); measure('2.5 l','amount')\n"
        "hours('45 to 60 min'); hours('7 days'); per('1.15 g/ml','density'); per('12 m2/l','spreading')\n"
        "measure('45 percent','percent'); measure('40 um','film'); measure('0.4 m2','area')\n"
        "months('2 years')\n"
        "assert 'pint' not in sys.modules, 'too early'\n"
        "measure('1 pint','volume'); assert 'pint' in sys.modules, 'never'"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
