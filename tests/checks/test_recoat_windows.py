"""Overcoating windows, two-pack polyurethane over itself: UFGS-09971 p. 28 and the rule that goes with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from assistant.craft.cure import hours_at
from assistant.craft.readiness import readiness
from assistant.journal.events import Climate, Coat, Sand
from assistant.journal.state import fold
from assistant.library.cards import Card
from assistant.quantity import celsius

from .build import label

#: degC from, to: hours at least, at most (UFGS-09971 p. 28).
BANDS = {
    (16, 21): (8, 48),
    (22, 27): (6, 48),
    (28, 32): (4, 36),
    (33, 38): (3, 24),
    (39, 43): (2, 12),
    (44, 49): (1, 2),
}
#: A band's figure is put where keeping it is safe all over the band: its least time at the warm end,
#: its most at the cold one.
LEAST = label([(band[1], hours[0]) for band, hours in BANDS.items()])
MOST = label([*((band[0], hours[1]) for band, hours in BANDS.items()), (49, 2)])
CARD = Card("topcoat", "topcoat", "topcoat", "topcoat", stages={"overcoat": LEAST}, overcoat_max=MOST)
LAID = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)

EACH = [pytest.param(band, hours, id=f"UFGS-09971-p28-{band[0]}-{band[1]}") for band, hours in BANDS.items()]


@pytest.mark.parametrize(("band", "hours"), EACH)
def test_the_curve_passes_through_the_rows(band, hours):
    assert hours_at(LEAST, band[1]) == pytest.approx(hours[0])
    assert hours_at(MOST, band[0]) == pytest.approx(hours[1])


@pytest.mark.parametrize(("band", "hours"), EACH)
def test_within_a_band_it_keeps_to_the_safe_side_of_the_table(band, hours):
    for degrees in range(band[0], band[1] + 1):
        assert hours_at(LEAST, degrees) >= hours[0] - 1e-9
        assert hours_at(MOST, degrees) <= hours[1] + 1e-9


def test_between_the_rows_warmer_is_never_slower():
    for law in (LEAST, MOST):
        times = [hours_at(law, 16 + step / 10) for step in range(331)]
        assert all(a >= b - 1e-12 for a, b in pairwise(times))
        assert times[0] > 2 * times[-1]


def asked(degrees, hours, *more, card=CARD):
    air = Climate(at=LAID, temperature=celsius(degrees))
    state = fold([air, Coat(piece="hatch rail", product="topcoat", at=LAID), *more])
    return readiness(state, {"topcoat": card}.get, "hatch rail", "overcoat", LAID + timedelta(hours=hours))


@pytest.mark.parametrize(("band", "hours"), EACH)
def test_a_film_laid_in_that_band_is_ready_only_within_its_window(band, hours):
    for degrees in band:
        assert not asked(degrees, hours[0] - 0.1).ready
        assert not asked(degrees, hours[1]).ready
        assert not asked(degrees, hours[1] + 100).ready
    assert asked(band[1], hours[0]).ready


def test_the_least_and_the_most_follow_their_own_laws():
    """UFGS-09971 p. 28: from 16-21 to 22-27 degC the least falls from 8 h to 6 h, the most stays at 48."""
    card = replace(CARD, stages={"overcoat": label([(21, 8), (27, 6)])}, overcoat_max=label([(21, 48), (27, 48)]))
    cool, warm = asked(21, 1, card=card), asked(27, 1, card=card)
    assert (cool.earliest, warm.earliest) == (LAID + timedelta(hours=8), LAID + timedelta(hours=6))
    assert cool.latest == warm.latest == LAID + timedelta(hours=48)


def test_past_the_most_the_gloss_is_taken_off_with_150_to_200_grit_and_washed():
    """UFGS-09971 p. 28."""
    (note,) = asked(21, 60).notes
    assert "150-200 grit" in note
    assert note.index("150-200 grit") < note.index("wash") < note.index("coat")
    keyed = asked(21, 60, Sand(piece="hatch rail", grit=180, at=LAID + timedelta(hours=59)))
    assert keyed.ready
    assert any("wash" in note for note in keyed.notes)
