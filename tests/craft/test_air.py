"""The air of a space is what was last said of it, until a spell ends or somebody says otherwise."""

from datetime import timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.air import ASSUMED, WARM, humidity_now, temperature_now, temperatures, warmest
from assistant.journal.events import Set
from assistant.journal.state import State, fold

from .build import job, reading, t

NOW = t("14 12:00")


def line(state, space="fore cabin", start="14 06:00", now=NOW):
    """The spells as (clock of the start, degrees, source)."""
    return [(f"{s.start:%d %H:%M}", s.celsius, s.source) for s in temperatures(state, space, t(start), now)]


def test_nothing_known_is_the_cool_assumption():
    assert line(State()) == [("14 06:00", 10.0, "assumed")]


def test_the_job_file_holds_until_a_reading():
    state = job(reading("14 09:00", 17))
    assert line(state) == [
        ("14 06:00", 20.0, "job file"),
        ("14 09:00", 17.0, "logged"),
        ("14 12:00", 17.0, "expected"),
    ]


def test_without_a_job_file_the_first_reading_reaches_back():
    state = fold([reading("14 09:00", 17)])
    assert line(state) == [("14 06:00", 17.0, "logged"), ("14 12:00", 17.0, "expected")]


def test_a_spell_holds_until_its_end_and_the_air_goes_back():
    state = job(reading("14 08:00", 16), reading("14 11:00", 9, until="15 07:00"))
    assert line(state) == [
        ("14 06:00", 20.0, "job file"),
        ("14 08:00", 16.0, "logged"),
        ("14 11:00", 9.0, "logged"),
        ("14 12:00", 9.0, "expected"),
        ("15 07:00", 16.0, "expected"),
    ]


def test_after_a_spell_and_no_reading_the_job_file_holds_again():
    state = job(reading("14 11:00", 9, until="15 07:00"))
    assert line(state)[-1] == ("15 07:00", 20.0, "job file")


def test_a_spell_that_is_all_anybody_said_leaves_the_assumption_around_it():
    state = fold([reading("14 11:00", 20, until="14 18:00")])
    assert [part[1:] for part in line(state)] == [
        (ASSUMED, "assumed"),
        (20.0, "logged"),
        (20.0, "expected"),
        (ASSUMED, "assumed"),
    ]


def test_a_reading_within_a_spell_corrects_it_and_does_not_end_it():
    state = job(reading("14 08:00", 16), reading("14 09:00", 9, until="15 07:00"), reading("14 11:00", 7))
    assert line(state)[3:] == [
        ("14 11:00", 7.0, "logged"),
        ("14 12:00", 7.0, "expected"),
        ("15 07:00", 16.0, "expected"),
    ]


def test_a_spell_within_a_spell_gives_way_to_the_outer_one():
    state = job(reading("14 07:00", 12, until="14 20:00"), reading("14 09:00", 22, until="14 11:00"))
    assert line(state)[1:4] == [
        ("14 07:00", 12.0, "logged"),
        ("14 09:00", 22.0, "logged"),
        ("14 11:00", 12.0, "logged"),
    ]


def test_a_spell_that_outlasts_the_one_under_it_falls_to_the_lasting_air():
    state = job(reading("14 07:00", 12, until="14 10:00"), reading("14 09:00", 22, until="14 11:00"))
    assert line(state)[1:] == [
        ("14 07:00", 12.0, "logged"),
        ("14 09:00", 22.0, "logged"),
        ("14 11:00", 20.0, "job file"),
    ]


def test_a_later_word_about_everywhere_beats_an_earlier_one_about_the_space():
    state = job(reading("14 08:00", 16), reading("14 09:00", 12, space=None))
    assert temperature_now(state, "fore cabin", NOW).celsius == 12.0


def test_at_one_time_the_word_about_the_space_wins_in_either_order():
    for events in ([None, "fore cabin"], ["fore cabin", None]):
        state = job(*(reading("14 09:00", 16 if space else 12, space=space) for space in events))
        assert temperature_now(state, "fore cabin", NOW).celsius == 16.0


def test_another_space_says_nothing_of_this_one():
    state = job(reading("14 09:00", 5, space="galley"))
    assert temperature_now(state, "fore cabin", NOW) == (NOW, None, 20.0, "job file")


def test_a_film_in_no_known_place_dries_in_the_coolest_air():
    state = job(reading("14 09:00", 25))
    assert temperature_now(state, None, NOW).celsius == 15.0  # the galley's, by the job file


def test_a_spell_said_beforehand_begins_when_it_begins():
    state = job(reading("14 22:00", 8, until="15 07:00"))
    assert line(state) == [
        ("14 06:00", 20.0, "job file"),
        ("14 22:00", 8.0, "expected"),
        ("15 07:00", 20.0, "job file"),
    ]


def test_readings_before_the_start_still_hold_at_it():
    state = job(reading("10 09:00", 13))
    assert line(state, start="14 06:00") == [("14 06:00", 13.0, "logged"), ("14 12:00", 13.0, "expected")]


def test_an_hour_that_the_clocks_skip_is_not_counted():
    # 28 to 29 March 2026: nine degrees "until seven" is nine hours by the clock face and eight by the sun.
    state = job(reading("28 22:00", 9, until="29 07:00"))
    cold = temperatures(state, "fore cabin", t("28 22:00"), t("28 22:00"))[0]
    assert cold.celsius == 9.0
    assert cold.end is not None
    assert cold.end.timestamp() - cold.start.timestamp() == 8 * 3600


def test_the_warmest_space_counts_for_a_pot():
    state = job(reading("14 11:00", 12), reading("14 11:00", 24, space="galley", until="14 13:00"))
    assert warmest(state, t("14 11:30"), NOW).celsius == 24.0
    assert warmest(State(), NOW, NOW) == (NOW, None, WARM, "assumed")


def test_humidity_is_the_last_said_or_nothing():
    state = job(reading("14 09:00", None, damp=70), reading("14 10:00", None, damp=88, until="14 11:00"))
    assert humidity_now(state, "fore cabin", t("14 10:30")) == 88.0
    assert humidity_now(state, "fore cabin", NOW) == 70.0
    assert humidity_now(state, "galley", NOW) is None
    assert humidity_now(state, None, NOW) == 70.0


def test_a_humidity_reading_says_nothing_of_the_temperature():
    assert temperature_now(job(reading("14 09:00", None, damp=70)), "fore cabin", NOW).source == "job file"


def test_a_job_file_that_changes_is_read_again():
    state = job()
    assert temperature_now(state, "galley", NOW).celsius == 15.0
    state = fold([Set(what="space", name="galley", values={"temperature": "11 degC"})], state)
    assert temperature_now(state, "galley", NOW).celsius == 11.0


def test_a_figure_nobody_can_read_is_not_known():
    state = fold([Set(what="space", name="hold", values={"temperature": "warmish"})])
    assert temperature_now(state, "hold", NOW).source == "assumed"


TOLD = st.lists(
    st.tuples(
        st.integers(-2000, 2000), st.integers(-5, 35), st.none() | st.integers(1, 900),
        st.sampled_from([None, "fore cabin", "galley"]),
    ),
    max_size=12,
)  # fmt: skip


@given(TOLD, st.sampled_from([None, "fore cabin", "elsewhere"]), st.integers(-1500, 1500))
def test_spells_follow_each_other_without_a_gap_to_the_end_of_time(told, space, offset):
    events = []
    for minutes, degrees, lasts, where in told:
        event = reading("14 12:00", degrees, space=where)
        at = event.at + timedelta(minutes=minutes)
        until = None if lasts is None else at + timedelta(minutes=lasts)
        events.append(type(event)(space=where, temperature=event.temperature, at=at, until=until))
    start = NOW + timedelta(minutes=offset)
    found = temperatures(job(*events), space, start, NOW)
    assert found[0].start == start
    assert found[-1].end is None
    for one, two in pairwise(found):
        assert one.end == two.start > one.start
        assert one[2:] != two[2:]
    assert all(s.start >= NOW for s in found if s.source == "expected")
    assert all(s.end is not None and s.end <= NOW for s in found if s.source == "logged")


@pytest.mark.parametrize("space", ["fore cabin", "galley"])
def test_asking_twice_gives_the_same(space):
    state = job(reading("14 09:00", 16), reading("14 10:00", 9, space=None, until="14 20:00"))
    assert line(state, space) == line(state, space)
