"""Mixing sums worked out away from the program."""

from __future__ import annotations

import pytest

from assistant.craft.mix import catalyst, measured, phr, portions
from assistant.craft.thin import thin
from assistant.library.cards import Ratio
from assistant.quantity import grams, ml

RESIN_BY_WEIGHT = Ratio("weight", (("resin", 100.0), ("hardener", 30.0)), "label")


def values(found):
    return [amount.value for _, amount in found.parts]


def test_a_ratio_by_weight_in_volumes():
    """Computed: (100/1.15) : (30/0.97) = 86.957 : 30.928 = 2.81 : 1."""
    resin, hardener = values(portions(RESIN_BY_WEIGHT, {"resin": 1.15, "hardener": 0.97}, ml(100), "total"))
    assert resin / hardener == pytest.approx(2.81, abs=0.005)
    assert (resin, hardener) == (pytest.approx(73.764, abs=0.001), pytest.approx(26.236, abs=0.001))


def test_four_to_one_makes_five_hundred_grams():
    """TM 55-1905-223-SDC section 8-24: 400 g and 100 g."""
    ratio = Ratio("weight", (("resin", 4.0), ("hardener", 1.0)), "label")
    assert values(portions(ratio, {}, grams(500), "total")) == pytest.approx([400.0, 100.0])


@pytest.mark.parametrize(
    ("amount", "reading", "given", "parts"),
    [
        pytest.param(60, "base", None, [60, 30], id="by-hand-2:1-sixty-of-resin"),
        pytest.param(60, "total", None, [40, 20], id="by-hand-2:1-sixty-in-the-pot"),
        pytest.param(20, "base", "hardener", [40, 20], id="by-hand-2:1-twenty-of-hardener"),
        pytest.param(300, "total", None, [200, 100], id="by-hand-2:1-three-hundred-mixed"),
    ],
)
def test_both_readings_of_an_amount(amount, reading, given, parts):
    ratio = Ratio("volume", (("resin", 2.0), ("hardener", 1.0)), "label")
    assert values(portions(ratio, {}, ml(amount), reading, given)) == pytest.approx(parts)


def test_a_ratio_by_volume_on_the_scales():
    """By hand: 3 ml of 1.15 g/ml to 1 ml of 1.00 g/ml is 3.45 g to 1 g, so 89 g makes 69 g and 20 g."""
    ratio = Ratio("volume", (("resin", 3.0), ("hardener", 1.0)), "label")
    found = portions(ratio, {"resin": 1.15, "hardener": 1.0}, grams(89), "total")
    assert values(found) == pytest.approx([69.0, 20.0])


@pytest.mark.parametrize(
    ("ahew", "eew", "parts"),
    [
        pytest.param(103 / 5, 200, 10.3, id="textbook-DETA-200"),
        pytest.param(103 / 5, 190, 10.84, id="textbook-DETA-190"),
    ],
)
def test_parts_of_amine_to_a_hundred_of_resin(ahew, eew, parts):
    """Diethylenetriamine: molar mass 103, five active hydrogens (textbook)."""
    assert phr(ahew, eew) == pytest.approx(parts, abs=0.005)


@pytest.mark.parametrize(
    ("percent", "weight"),
    [pytest.param(1, 2.5, id="common-practice-1"), pytest.param(2, 5.0, id="common-practice-2")],
)
def test_peroxide_for_polyester(percent, weight):
    """1 to 2 percent of the resin's weight (common practice, no source); by hand for 250 g."""
    assert catalyst(grams(250), percent).value == pytest.approx(weight)


def test_the_error_that_rounding_makes():
    """By hand: 5:1 of 20 ml is 16.67 and 3.33; poured as 17 and 3 it is 5.67:1, 11.8 percent too little."""
    ratio = Ratio("volume", (("resin", 5.0), ("hardener", 1.0)), "label")
    found = measured(portions(ratio, {}, ml(20), "total").parts, 1.0)
    assert values(found) == [17.0, 3.0]
    assert found.error == pytest.approx(11.76, abs=0.01)
    assert found.says is not None


def test_ten_percent_of_thinner():
    """By hand: percent by volume of the paint, so 750 ml take 75."""
    assert thin(ml(750), 10).thinner == ml(75)
