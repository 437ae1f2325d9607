"""A pot's life is never said to be longer than it is."""

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.pot import air_for, notes, pot_life, running
from assistant.journal.state import State, fold
from assistant.library.cards import Pot
from assistant.problem import Problem
from assistant.quantity import grams, ml

from .build import epoxy, job, mix, reading, shelf, t, varnish

POT = Pot(20.0, 30.0, 100.0, 10.0, "the label")
CARDS = shelf(epoxy(), varnish())


def test_the_labels_own_pot():
    assert pot_life(POT, 20.0, 100.0) == 30


def test_a_bigger_pot_is_shorter_in_proportion():
    assert pot_life(POT, 20.0, 200.0) == 15


def test_a_smaller_pot_is_no_longer():
    assert pot_life(POT, 20.0, 10.0) == 30


def test_parts_of_minutes_are_dropped():
    assert pot_life(POT, 20.0, 170.0) == 17  # 17.6


def test_hot_weather_halves_it_at_least():
    label = Pot(30.0, 40.0, None, 10.0, "the label")
    assert pot_life(label, 33.0) == 20
    assert pot_life(label, 32.0) == 34  # not yet: 40 / 2 ** 0.2


def test_a_pot_has_a_weight_and_a_temperature():
    with pytest.raises(Problem, match="weighs"):
        pot_life(POT, 20.0, 0.0)
    with pytest.raises(Problem, match="400 degrees"):
        pot_life(POT, 400.0)


def test_what_it_rests_on_is_said():
    assert notes(POT, 20.0, 100.0) == ()
    assert "Over the label's 100 g" in notes(POT, 20.0, 150.0)[0]
    assert "For 100 g" in notes(POT, 20.0)[0]
    assert "half the working time" in notes(POT, 33.0, 50.0)[0]
    assert "Nobody has said" in notes(POT, 20.0, 50.0, assumed=True)[0]


def test_a_running_pot():
    (pot,) = running(job(mix("14 12:00", grams(100))), CARDS, t("14 12:10"))
    assert (pot.product, pot.mixed_at, pot.ends) == ("tread epoxy", t("14 12:00"), t("14 12:30"))
    assert pot.three_quarters == t("14 12:22")  # 22.5 minutes, rounded down
    assert (pot.grams, pot.celsius, pot.minutes) == (100.0, 20.0, 30)


def test_a_pot_that_has_gone_off_is_not_running():
    state = job(mix("14 12:00", grams(100)))
    assert running(state, CARDS, t("14 12:29"))
    assert not running(state, CARDS, t("14 12:30"))


def test_the_one_that_ends_first_comes_first():
    state = job(mix("14 12:00", grams(100)), mix("14 12:05", grams(200)))
    assert [p.grams for p in running(state, CARDS, t("14 12:10"))] == [200.0, 100.0]


def test_millilitres_are_weighed_by_their_parts():
    parts = (("resin", ml(100)), ("hardener", ml(50)))
    (pot,) = running(job(mix("14 12:00", ml(150), parts=parts)), CARDS, t("14 12:01"))
    assert pot.grams == pytest.approx(165.0)
    assert pot.minutes == 18


def test_a_pot_of_unknown_density_is_taken_heavy():
    (pot,) = running(job(mix("14 12:00", ml(100))), CARDS, t("14 12:01"))
    assert pot.grams == pytest.approx(120.0)


def test_a_pot_nobody_measured_goes_by_the_label():
    (pot,) = running(job(mix("14 12:00")), CARDS, t("14 12:01"))
    assert (pot.grams, pot.minutes) == (None, 30)
    assert "For 100 g" in pot.notes[0]


def test_the_warmest_space_counts():
    (pot,) = running(job(reading("14 11:00", 30, space="galley"), mix("14 12:00")), CARDS, t("14 12:01"))
    assert (pot.celsius, pot.minutes) == (30.0, 15)


def test_a_warm_up_after_mixing_counts_at_once():
    state = job(mix("14 12:00"), reading("14 12:05", 30))
    assert running(state, CARDS, t("14 12:04"))[0].minutes == 30
    assert running(state, CARDS, t("14 12:06"))[0].minutes == 15


def test_nobody_said_how_warm_it_is():
    assert air_for(State(), POT, t("14 12:00"), t("14 12:00")) == (20.0, True)
    warm_label = Pot(25.0, 30.0, None, 10.0, "the label")
    assert air_for(State(), warm_label, t("14 12:00"), t("14 12:00")) == (25.0, True)
    (pot,) = running(fold([mix("14 12:00", grams(50))]), CARDS, t("14 12:01"))
    assert pot.minutes == 30
    assert "Nobody has said" in pot.notes[0]


def test_what_has_no_pot_life_does_not_run():
    state = job(mix("14 12:00", ml(50), product="amber varnish"), mix("14 12:00", product=None))
    assert running(state, CARDS, t("14 12:01")) == ()
    assert running(job(mix("14 12:00")), shelf(), t("14 12:01")) == ()


@given(st.floats(-10, 60), st.floats(0, 30), st.none() | st.floats(1, 2000), st.floats(0, 500))
def test_warmer_or_more_of_it_never_lasts_longer(degrees, warmer, mass, more):
    life = pot_life(POT, degrees, mass)
    assert pot_life(POT, degrees + warmer, mass) <= life
    if mass is not None:
        assert pot_life(POT, degrees, mass + more) <= life


@given(st.floats(5, 35), st.integers(0, 59))
def test_the_end_is_never_later_than_the_life(degrees, seconds):
    event = mix("14 12:00", grams(100))
    event = type(event)(product=event.product, amount=event.amount, at=event.at + timedelta(seconds=seconds))
    air = [reading("14 11:00", degrees, space=space) for space in ("fore cabin", "galley")]
    longest = timedelta(minutes=30 * 2 ** ((20 - degrees) / 10) + 0.01)
    for pot in running(job(*air, event), CARDS, event.at):
        assert pot.three_quarters <= pot.ends <= event.at + longest
