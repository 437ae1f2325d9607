"""A margin short of three degrees or air over 85 percent is not ok, and is said so."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.dew import check, dew_point
from assistant.problem import Problem


def test_dry_air_is_ok():
    found = check(20.0, 60.0)
    assert found.ok
    assert found.margin == pytest.approx(8.0, abs=0.05)
    assert found.why.endswith("taking the surface to be as warm as the air")
    assert not found.surface_told


def test_a_cold_surface_is_not():
    found = check(20.0, 60.0, surface=13.55)
    assert not found.ok
    assert found.why == "the surface is 1.5 degrees over the dew point of 12.0 and wants 3"


def test_a_surface_under_the_dew_point():
    assert "degrees under the dew point" in check(20.0, 80.0, surface=10.0).why


def test_a_warm_surface_in_damp_air_is_not_either():
    found = check(20.0, 86.0, surface=30.0)
    assert not found.ok
    assert found.why == "86 percent humidity is over 85"


def test_three_degrees_and_85_percent_are_just_enough():
    point = dew_point(20.0, 85.0)
    assert check(20.0, 85.0, surface=point + 3.0).ok
    assert not check(20.0, 85.0, surface=point + 2.999).ok


def test_a_margin_short_of_three_is_not_said_to_be_three():
    assert "2.9 degrees over" in check(20.0, 60.0, surface=dew_point(20.0, 60.0) + 2.96).why


@pytest.mark.parametrize(("air", "humidity"), [(20, 0), (20, -5), (20, 101), (400, 50), (-80, 50)])
def test_nonsense_is_refused(air, humidity):
    with pytest.raises(Problem):
        dew_point(air, humidity)


@given(st.floats(-20, 45), st.floats(1, 100), st.floats(0, 20))
def test_the_dew_point_is_never_over_the_air_and_rises_with_humidity(air, humidity, more):
    point = dew_point(air, humidity)
    assert point <= air + 1e-9
    assert dew_point(air, min(100.0, humidity + more)) >= point - 1e-9  # the last bit of a float
