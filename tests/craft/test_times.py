"""Instants are real instants, and round the safe way."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.times import HAIR, down, hours, spoken, up, utc

from .build import LONDON, t

INSTANTS = st.datetimes(datetime(2020, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC))


def test_the_night_the_clocks_go_forward_is_an_hour_short():
    # In 2026 the United Kingdom's clocks go forward on 29 March at 01:00 UTC (Summer Time Order 2002).
    assert hours(t("28 22:00"), t("29 07:00")) == 8.0


def test_the_night_the_clocks_go_back_is_an_hour_long():
    # 25 October 2026, 01:00 UTC.
    assert hours(t("2026-10-24 22:00"), t("2026-10-25 07:00")) == 10.0


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="no zone"):
        utc(datetime(2026, 3, 14))


@given(INSTANTS)
def test_up_is_never_early_and_down_never_late_by_more_than_a_hair(time):
    assert timedelta(0) <= up(time) - time + HAIR <= timedelta(minutes=1)
    assert timedelta(0) <= time - down(time) + HAIR <= timedelta(minutes=1)
    assert up(time).second == down(time).second == 0


def test_a_whole_minute_stays():
    time = t("14 10:30")
    assert up(time) == down(time) == time
    assert up(time + timedelta(microseconds=3)) == time
    assert down(time - timedelta(microseconds=3)) == time


def test_a_second_over_waits_for_the_next_minute():
    time = t("14 10:30") + timedelta(seconds=1)
    assert up(time) == t("14 10:31")
    assert down(time) == t("14 10:30")


@pytest.mark.parametrize(
    ("time", "said"),
    [
        ("14 14:20", "14:20"),
        ("15 07:05", "07:05 tomorrow"),
        ("13 23:59", "23:59 yesterday"),
        ("17 14:20", "14:20 on Tuesday"),  # 17 March 2026 is a Tuesday
        ("28 14:20", "14:20 on 28 March"),
        ("2 14:20", "14:20 on 2 March"),
    ],
)
def test_a_time_is_said_from_where_now_stands(time, said):
    assert spoken(t(time), t("14 09:00")) == said


def test_a_time_in_another_zone_is_said_in_the_jobs():
    summer = datetime(2026, 7, 1, 9, 0, tzinfo=UTC)
    assert spoken(summer, datetime(2026, 7, 1, 12, 0, tzinfo=LONDON)) == "10:00"
