"""Parts add up, in the ratio of the label, whatever was asked for."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.mix import catalyst, measured, portions, step_for, weight
from assistant.library.cards import Ratio
from assistant.problem import Problem
from assistant.quantity import Amount, celsius, grams, ml

TWO_TO_ONE = Ratio("volume", (("resin", 2.0), ("hardener", 1.0)), "the label")
BY_WEIGHT = Ratio("weight", (("resin", 100.0), ("hardener", 30.0)), "the label")
DENSITY = {"resin": 1.15, "hardener": 0.97}


def plain(found):
    return {name: (round(a.value, 6), a.unit) for name, a in found.parts}


def test_sixty_as_the_base():
    found = portions(TWO_TO_ONE, {}, ml(60), "base")
    assert plain(found) == {"resin": (60.0, "ml"), "hardener": (30.0, "ml")}
    assert (found.total, found.reading) == (ml(90), "base")


def test_sixty_as_the_total():
    found = portions(TWO_TO_ONE, {}, ml(60), "total")
    assert plain(found) == {"resin": (40.0, "ml"), "hardener": (20.0, "ml")}
    assert found.total == ml(60)


def test_twenty_of_hardener():
    found = portions(TWO_TO_ONE, {}, ml(20), "base", given="Hardener")
    assert plain(found) == {"resin": (40.0, "ml"), "hardener": (20.0, "ml")}
    assert found.reading == "Hardener"


def test_three_parts():
    ratio = Ratio("volume", (("base", 4.0), ("activator", 1.0), ("thinner", 0.5)), "the label")
    found = portions(ratio, {}, ml(110), "total")
    assert [round(a.value, 6) for _, a in found.parts] == [80.0, 20.0, 10.0]


def test_a_part_it_does_not_have():
    with pytest.raises(Problem, match="there is no catalyst in it: its parts are resin and hardener"):
        portions(TWO_TO_ONE, {}, ml(20), "base", given="catalyst")


def test_grams_of_a_ratio_by_volume_need_both_densities():
    found = portions(TWO_TO_ONE, DENSITY, grams(230), "base")  # 200 ml of resin, so 100 ml of hardener
    assert plain(found) == {"resin": (230.0, "g"), "hardener": (97.0, "g")}
    with pytest.raises(Problem, match="by volume and I have no density for the hardener"):
        portions(TWO_TO_ONE, {"resin": 1.15}, grams(230), "base")


def test_millilitres_of_a_ratio_by_weight_need_both_densities():
    found = portions(BY_WEIGHT, DENSITY, ml(100), "base")  # 115 g, so 34.5 g of hardener
    assert found.parts[1][1].value == pytest.approx(34.5 / 0.97)
    with pytest.raises(Problem, match="by weight and I have no density for the resin: weigh it"):
        portions(BY_WEIGHT, {"hardener": 0.97}, ml(100), "base")


@pytest.mark.parametrize("amount", [ml(0), ml(-5), celsius(20), ml(math.inf), ml(math.nan)])
def test_an_amount_has_to_be_one(amount):
    with pytest.raises(Problem, match="more than nothing"):
        portions(TWO_TO_ONE, {}, amount, "base")


def test_a_reading_is_one_of_two():
    with pytest.raises(ValueError, match="base or total"):
        portions(TWO_TO_ONE, {}, ml(10), "both")


def test_rounding_keeps_quiet_when_it_does_no_harm():
    found = measured(portions(TWO_TO_ONE, {}, ml(60), "total").parts, 1.0)
    assert [a.value for _, a in found.parts] == [40.0, 20.0]
    assert (found.error, found.says) == (0.0, None)


def test_rounding_says_how_far_the_ratio_is_out():
    # 10 ml of 2:1 is 6.67 and 3.33; by whole millilitres 7 and 3, a ratio of 2.33, 14 percent off.
    found = measured(portions(TWO_TO_ONE, {}, ml(10), "total").parts, 1.0)
    assert [a.value for _, a in found.parts] == [7.0, 3.0]
    assert found.error == pytest.approx(100 * (1 - (3 / 7) / 0.5))
    assert "14 percent out" in found.says


def test_nothing_is_rounded_away():
    found = measured((("resin", ml(20)), ("hardener", ml(0.3))), 1.0)
    assert found.parts[1][1] == ml(1.0)
    assert found.says is not None


def test_the_step_is_finer_for_small_pots():
    assert step_for((("resin", ml(40)), ("hardener", ml(20)))) == 1.0
    assert step_for((("resin", ml(20)), ("hardener", ml(10)))) == 0.5


def test_a_step_of_nothing_is_an_error_of_the_program():
    with pytest.raises(ValueError, match="step"):
        measured((("resin", ml(20)),), 0.0)


def test_catalyst_is_weighed():
    assert catalyst(ml(100), 2.0, density=1.5) == grams(3.0)
    with pytest.raises(Problem, match="weigh"):
        catalyst(ml(100), 2.0)
    with pytest.raises(Problem, match="1 to 2 percent"):
        catalyst(grams(100), 20.0)


def test_weight_of_a_mix():
    assert weight(grams(30), {}) == 30.0
    assert weight(ml(30), {"mixed": 1.1}) == pytest.approx(33.0)
    assert weight(ml(30), {}) is None


PARTS = st.lists(st.floats(0.5, 100), min_size=2, max_size=4)


@given(PARTS, st.floats(1, 5000), st.sampled_from(["volume", "weight"]), st.sampled_from(["ml", "g"]))
def test_parts_add_up_and_the_two_readings_agree(numbers, value, by, unit):
    names = [f"part {i}" for i in range(len(numbers))]
    ratio = Ratio(by, tuple(zip(names, numbers, strict=True)), "the label")
    density = dict.fromkeys(names, 1.1) | {"part 0": 0.9}
    base = portions(ratio, density, Amount(value, unit), "base")
    assert base.parts[0][1].value == pytest.approx(value)
    assert sum(a.value for _, a in base.parts) == pytest.approx(base.total.value)
    again = portions(ratio, density, base.total, "total")
    for one, two in zip(base.parts, again.parts, strict=True):
        assert one[1].value == pytest.approx(two[1].value)


@given(PARTS, st.sampled_from([0.1, 0.5, 1.0, 5.0]))
def test_rounded_parts_are_whole_steps_within_half_of_one(numbers, step):
    parts = tuple((f"part {i}", ml(n)) for i, n in enumerate(numbers))
    for (_, now), (_, was) in zip(measured(parts, step).parts, parts, strict=True):
        assert round(now.value / step) == pytest.approx(now.value / step)
        assert now.value >= step * 0.999
        assert abs(now.value - was.value) <= max(step / 2, step - was.value) + 1e-9
