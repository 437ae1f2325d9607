"""Thinner goes by percent of the paint as it comes."""

import pytest

from assistant.craft.thin import thin, thin_to
from assistant.library.cards import Thinner
from assistant.problem import Problem
from assistant.quantity import grams, ml, percent

NO_2 = Thinner("thinner no. 2", max=10.0, first=20.0, basis="the label")


def test_ten_percent_of_two_hundred():
    found = thin(ml(200), 10, NO_2)
    assert (found.base, found.thinner, found.percent) == (ml(200), ml(20), percent(10))
    assert found.name == "thinner no. 2"
    assert found.cautions == ()
    assert found.source == "percent by volume of the paint; the label"


def test_a_thinned_total_is_split():
    found = thin_to(ml(220), 10, NO_2)
    assert (found.base.value, found.thinner.value) == (pytest.approx(200), pytest.approx(20))


def test_more_than_the_label_allows():
    assert thin(ml(200), 15, NO_2).cautions == ("Only the first coat on bare wood: after that 10 percent at most",)
    assert thin(ml(200), 25, NO_2).cautions == ("The label allows 10 percent at most",)


def test_no_thinner_on_the_label():
    assert thin(ml(200), 5).cautions == ("The label names no thinner: try it on a scrap first",)


def test_by_weight_is_a_little_off():
    assert "by volume" in thin(grams(200), 5, NO_2).cautions[0]


@pytest.mark.parametrize(("amount", "by"), [(ml(0), 5), (ml(-1), 5), (percent(5), 5), (ml(5), 0), (ml(5), 101)])
def test_nonsense_is_refused(amount, by):
    with pytest.raises(Problem):
        thin(amount, by)
    with pytest.raises(Problem):
        thin_to(amount, by)
