"""How far a tin goes is worked from the label first."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.film import coverage, dry_film, spreading_rate, wet_film
from assistant.problem import Problem
from assistant.quantity import ml, square_metres

from .build import varnish


def test_the_labels_spreading_rate_goes_first():
    card = varnish(spread=12.0, solids=45.0, film=40.0, basis={"spread": "the label"})
    found = coverage(card, square_metres(2.4), 5, loss=0.0)
    assert found.amount == ml(pytest.approx(1000.0))
    assert (found.rate, found.source) == (12.0, "the label")


def test_a_loss_is_added_and_stated():
    found = coverage(varnish(spread=12.0), square_metres(2.4), 5, loss=20.0)
    assert found.amount.value == pytest.approx(1250.0)
    assert found.loss == 20.0


def test_solids_and_film_do_where_the_label_gives_no_rate():
    found = coverage(varnish(solids=50.0, film=50.0, basis={"solids": "memory"}), square_metres(10), 1, loss=0.0)
    assert found.amount.value == pytest.approx(1000.0)
    assert found.source == "solids: memory"


@pytest.mark.parametrize(
    ("figures", "missing"),
    [({}, "volume solids or film"), ({"solids": 45.0}, "film"), ({"film": 40.0}, "volume solids")],
)
def test_what_is_missing_is_named(figures, missing):
    with pytest.raises(Problem, match=f"I have no {missing} for amber varnish"):
        coverage(varnish(**figures), square_metres(1), 1)


@pytest.mark.parametrize(
    ("area", "coats", "loss"),
    [(square_metres(0), 1, 0), (ml(3), 1, 0), (square_metres(1), 0, 0), (square_metres(1), 1, 100)],
)
def test_nonsense_is_refused(area, coats, loss):
    with pytest.raises(Problem):
        coverage(varnish(spread=12.0), area, coats, loss)


@pytest.mark.parametrize("solids", [0.0, -1.0, 100.1])
def test_solids_are_a_share(solids):
    with pytest.raises(Problem, match="percent solids cannot be"):
        dry_film(100, solids)


def test_nothing_is_thinner_than_nothing():
    with pytest.raises(Problem):
        spreading_rate(50, 0)
    with pytest.raises(Problem):
        wet_film(50, 50, -1)


@given(st.floats(1, 500), st.floats(1, 100), st.floats(0, 100))
def test_wet_and_dry_undo_each_other(dry, solids, thinned):
    assert dry_film(wet_film(dry, solids, thinned), solids, thinned) == pytest.approx(dry)
    assert wet_film(dry, solids, thinned) >= dry * 0.999999
