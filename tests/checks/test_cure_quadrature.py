"""The exact piecewise solution against scipy's quadrature and root finder, over random air.

The integral of dt / t(T(t)) is written again here from its definition, with scipy's interpolation for
labels of several rows; nothing of ``assistant.craft`` but the result under test is used.
"""

from __future__ import annotations

from itertools import accumulate, pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.interpolate import interp1d
from scipy.optimize import brentq

from assistant.craft.cure import progress, reach
from assistant.library.cards import Rate

from .build import START, label, spells

AIR = st.lists(st.tuples(st.floats(-5, 35), st.floats(0.5, 40)), min_size=1, max_size=5)
HOURS = st.floats(0.5, 60)


def solve(time_at, air, least):
    """Hours at which the integral over ``air`` (its last part endless) comes to one; None: never."""
    edges = [0.0, *accumulate(hours for _, hours in air)][:-1]

    def rate(hour):
        celsius = air[max(i for i, edge in enumerate(edges) if edge <= hour)][0]
        return 0.0 if least is not None and celsius < least else 1.0 / time_at(celsius)

    def integral(upto):
        cuts = [*[edge for edge in edges if edge < upto], upto]
        return sum(quad(rate, a, b - (b - a) * 1e-12)[0] for a, b in pairwise(cuts))

    at_edges = [integral(edge) for edge in edges[1:]]
    assume(all(abs(done - 1.0) > 1e-7 for done in at_edges))  # on the knife's edge neither is wrong
    if at_edges[-1:] < [1.0] and rate(edges[-1]) == 0.0:
        return None
    far = edges[-1] + 1.0 + (1.0 / rate(edges[-1]) if rate(edges[-1]) else 0.0)
    return brentq(lambda hour: integral(hour) - 1.0, 0.0, far, xtol=1e-9)


def agree(law, time_at, air, least):
    expected = solve(time_at, air, least)
    found = reach(law, START, spells(*air, endless=True), least).at
    if expected is None:
        assert found is None
    else:
        assert found is not None
        assert (found - START).total_seconds() / 3600 == pytest.approx(expected, rel=1e-6, abs=1e-5)


@settings(max_examples=60, deadline=None)
@given(AIR, HOURS, st.floats(25, 80), st.none() | st.floats(0, 15))
def test_one_row_and_an_activation_energy(air, hours, ea, least):
    def time_at(celsius):
        return hours * np.exp(ea * 1000 / 8.314 * (1 / (celsius + 273.15) - 1 / 293.15))

    agree(label([(20.0, hours)], Rate("arrhenius", ea=ea)), time_at, air, least)


@settings(max_examples=60, deadline=None)
@given(AIR, HOURS, st.floats(6, 14), st.none() | st.floats(0, 15))
def test_one_row_and_doubling(air, hours, step, least):
    agree(
        label([(20.0, hours)], Rate("doubling", step=step)),
        lambda celsius: hours * np.power(2.0, (20.0 - celsius) / step),
        air,
        least,
    )


@settings(max_examples=80, deadline=None)
@given(AIR, HOURS, st.floats(1.05, 4), st.floats(1.05, 4), st.none() | st.floats(0, 15))
def test_rows_with_interpolation_between_and_the_end_slopes_beyond(air, hours, one, two, least):
    rows = [(5.0, hours * one * two), (15.0, hours * one), (25.0, hours)]
    line = interp1d([1 / (c + 273.15) for c, _ in rows], [np.log(h) for _, h in rows], fill_value="extrapolate")
    agree(label(rows), lambda celsius: float(np.exp(line(1 / (celsius + 273.15)))), air, least)


@settings(max_examples=40, deadline=None)
@given(AIR, HOURS, st.floats(0.5, 100))
def test_the_progress_made_by_a_time(air, hours, upto):
    edges = [0.0, *accumulate(h for _, h in air)][:-1]

    def rate(hour):
        return 2.0 ** ((air[max(i for i, e in enumerate(edges) if e <= hour)][0] - 20.0) / 10.0) / hours

    whole = quad(rate, 0.0, upto, points=[e for e in edges if 0 < e < upto] or None, limit=200)[0]
    until = spells((0, upto))[0].end
    assert until is not None
    found = progress(label([(20.0, hours)]), START, spells(*air, endless=True), None, until)
    assert found == pytest.approx(whole, rel=1e-5)
