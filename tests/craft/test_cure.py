"""Cure is an integral over the air; colder never comes earlier."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.cure import hours_at, outside, progress, reach, shares
from assistant.library.cards import Rate

from .build import law, spells, t

START = t("10 00:00")


def test_steady_air_at_the_labels_temperature_takes_the_labels_time():
    found = reach(law((20, 6)), START, spells((20, None)), None)
    assert found == (START + timedelta(hours=6), False, False)


def test_half_the_cure_warm_and_half_cold():
    # Doubling per 10 K: three hours at 20 are half of six; the other half takes six at 10.
    found = reach(law((20, 6)), START, spells((20, 3), (10, None)), None)
    assert found.at == START + timedelta(hours=9)


def test_under_the_least_temperature_it_stands_still_and_resumes():
    found = reach(law((20, 6)), START, spells((20, 3), (4, 10), (20, None)), 5.0)
    assert found.at == START + timedelta(hours=16)
    assert found.stalled


def test_at_the_least_temperature_itself_it_goes_on():
    assert not reach(law((20, 6)), START, spells((5, None)), 5.0).stalled


def test_if_it_never_warms_it_never_comes():
    assert reach(law((20, 6)), START, spells((20, 3), (4, None)), 5.0) == (None, False, True)


def test_a_stage_reached_as_the_cold_comes_is_reached():
    # Ten tenths of six hours do not quite make six in floats; the cold for good comes right after them.
    tenths = [(20.0, 0.6)] * 10
    assert reach(law((20, 6)), START, spells(*tenths, (4, None)), 5.0).at is not None


def test_a_cold_spell_after_the_stage_does_not_count_as_stalled():
    assert not reach(law((20, 2)), START, spells((20, 3), (4, None)), 5.0).stalled


def test_air_that_would_take_years_is_said_not_to_get_there():
    assert reach(law((20, 2000)), START, spells((-40, None)), None).at is None


def test_beyond_the_rows_is_flagged_and_between_them_is_not():
    label = law((10, 12), (20, 6))
    assert not reach(label, START, spells((15, None)), None).beyond
    assert reach(label, START, spells((9, None)), None).beyond
    assert reach(label, START, spells((21, None)), None).beyond


def test_one_row_speaks_for_ten_degrees_about_itself():
    assert not outside(law((20, 6)), 10.0)
    assert outside(law((20, 6)), 9.9)


def test_between_rows_the_curve_passes_through_them_whatever_the_rate_says():
    label = law((10, 24), (20, 6), (30, 4), rate=Rate("arrhenius", ea=90.0))
    assert [hours_at(label, c) for c in (10, 20, 30)] == pytest.approx([24, 6, 4])


def test_beyond_the_rows_the_end_segments_slope_goes_on():
    label = law((10, 24), (20, 12), (30, 12))
    assert hours_at(label, 40) == pytest.approx(12.0)
    assert hours_at(label, 0) > 48.0  # 1/T: a little more than doubling, colder


def test_rows_may_come_in_any_order_and_the_slower_of_two_counts():
    assert hours_at(law((20, 6), (10, 12), (20, 8)), 20) == pytest.approx(8.0)


def test_a_law_without_rows_is_an_error_of_the_program():
    with pytest.raises(ValueError, match="rows"):
        hours_at(law(), 20)


def test_the_sum_is_shown_spell_by_spell():
    parts = shares(law((20, 6)), START, spells((20, 3), (4, 2), (10, None)), 5.0, START + timedelta(hours=8))
    assert [(p.celsius, p.hours, p.needed) for p in parts] == [
        (20, 3.0, 6.0),
        (4, 2.0, None),
        (10, 3.0, 12.0),
    ]
    assert [p.share for p in parts] == [0.5, 0.0, 0.25]


def test_progress_before_the_start_is_none():
    assert progress(law((20, 6)), START, spells((20, None)), None, START - timedelta(hours=1)) == 0.0


def test_the_night_of_the_clock_change_has_its_real_hours():
    # Laid at 22:00 on 28 March 2026, six hours on is 05:00 by the summer clock.
    laid = t("28 22:00")
    found = reach(law((20, 6)), laid, spells((20, None), start=laid), None)
    assert found.at == t("29 05:00")
    assert f"{found.at:%H:%M %z}" == "05:00 +0100"


LAWS = st.one_of(
    st.builds(lambda h, ea: law((20, h), rate=Rate("arrhenius", ea)), st.floats(0.1, 300), st.floats(20, 90)),
    st.builds(lambda h, s: law((20, h), rate=Rate("doubling", 50, s)), st.floats(0.1, 300), st.floats(5, 15)),
    st.builds(
        lambda h, a, b: law((5, h * a * b), (15, h * a), (25, h)),
        st.floats(0.1, 50), st.floats(1, 4), st.floats(1, 4),
    ),
)  # fmt: skip
AIR = st.lists(st.tuples(st.floats(-10, 40), st.floats(0.1, 60)), min_size=1, max_size=6)
LEAST = st.none() | st.floats(0, 12)


@given(LAWS, AIR, LEAST, st.integers(0, 5), st.floats(0.01, 15))
def test_colder_air_never_comes_earlier(label, air, least, which, by):
    warm = [*air[:-1], (air[-1][0], None)]
    cold = list(warm)
    i = which % len(cold)
    cold[i] = (cold[i][0] - by, cold[i][1])
    soon = reach(label, START, spells(*warm), least).at
    late = reach(label, START, spells(*cold), least).at
    assert late is None or (soon is not None and soon <= late + timedelta(milliseconds=1))


@given(LAWS, AIR, LEAST, st.floats(0.01, 48))
def test_what_is_laid_later_is_never_ready_earlier(label, air, least, delay):
    line = spells(*air[:-1], (air[-1][0], None))
    one = reach(label, START, line, least).at
    two = reach(label, START + timedelta(hours=delay), line, least).at
    assert two is None or (one is not None and one <= two + timedelta(milliseconds=1))


@given(LAWS, AIR, LEAST)
def test_progress_is_one_at_the_time_reached(label, air, least):
    line = spells(*air[:-1], (air[-1][0], None))
    at = reach(label, START, line, least).at
    if at is not None:
        assert progress(label, START, line, least, at) == pytest.approx(1.0, abs=1e-6)


@given(LAWS, AIR, LEAST, st.integers(0, 5), st.floats(0.05, 0.95))
def test_cutting_a_spell_in_two_changes_nothing(label, air, least, which, part):
    i = which % len(air)
    degrees, lasts = air[i]
    cut = [*air[:i], (degrees, lasts * part), (degrees, lasts * (1 - part)), *air[i + 1 :]]
    whole = reach(label, START, spells(*air, (15, None)), least).at
    halves = reach(label, START, spells(*cut, (15, None)), least).at
    assert (whole is None) == (halves is None)
    if whole is not None and halves is not None:
        assert abs(whole - halves) < timedelta(seconds=1)
