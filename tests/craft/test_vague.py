"""A coat laid at a vague time: every wait from the later end of it, the window's end from the earlier.

What is right is worked out with plain coats: the same coat laid exactly at either end.
"""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.alarms import alarms
from assistant.craft.readiness import readiness, wet
from assistant.journal.events import Mask
from assistant.library.cards import STAGES

from .build import bond, coat, epoxy, job, reading, sand, shelf, t, varnish

CARDS = shelf(varnish(), epoxy())
START = t("14 08:00").astimezone(UTC)


def laid(first: int, last: int, *rest):
    """The fore cabin with a coat laid between so many minutes after eight and so many; and whatever else."""
    ends = START + timedelta(minutes=first), START + timedelta(minutes=last)
    between = None if first == last else ends
    return job(replace(coat("14 08:00"), at=ends[0] + (ends[1] - ends[0]) / 2, between=between), *rest)


@pytest.mark.parametrize("stage", STAGES)
@given(
    first=st.integers(0, 300), length=st.integers(1, 400), later=st.integers(0, 9000),
    cold=st.sampled_from([None, 3, 10, 26]), at=st.integers(-200, 2000),
)  # fmt: skip
def test_the_safe_end_of_the_window_counts(stage, first, length, later, cold, at):
    air = () if cold is None else (replace(reading("14 08:00", cold), at=START + timedelta(minutes=at)),)
    now = START + timedelta(minutes=first + length + later)
    vague, early, late = (
        readiness(laid(a, b, *air), CARDS, "hatch trim", stage, now)
        for a, b in ((first, first + length), (first, first), (first + length, first + length))
    )
    assert vague.earliest == late.earliest
    assert vague.latest == early.latest
    assert early.earliest is None or late.earliest is None or early.earliest <= vague.earliest
    # Wherever in the window it was laid, it is ready if it is said to be.
    assert not vague.ready or (early.ready and late.ready)


def test_a_morning_is_shown_as_its_middle_and_counted_from_its_end():
    state = laid(0, 240)  # eight to noon, 6 h to sand at 20 degrees
    found = readiness(state, CARDS, "hatch trim", "sand", t("14 17:59"))
    assert (found.laid, found.earliest, found.ready) == (t("14 10:00"), t("14 18:00"), False)
    # 72 h from eight in the morning, not from noon
    assert readiness(state, CARDS, "hatch trim", "overcoat", t("14 19:00")).latest == t("17 08:00")


def test_a_coat_that_took_an_hour_waits_from_its_end_and_shuts_from_its_start():
    state = job(replace(coat("14 10:00"), began=t("14 09:00")))
    found = readiness(state, CARDS, "hatch trim", "overcoat", t("14 12:00"))
    assert (found.laid, found.earliest, found.latest) == (t("14 10:00"), t("14 16:00"), t("17 09:00"))


def test_a_film_of_a_vague_time_is_wet_as_long_as_it_can_be():
    assert wet(laid(0, 240), CARDS, t("14 13:59"))  # dust-free 2 h after noon
    assert not wet(laid(0, 240), CARDS, t("14 14:00"))


def test_a_sanding_that_may_have_been_too_early_is_no_key():
    hard = t("14 16:00")  # laid exactly at ten
    late = t("18 12:00")
    for minutes, keyed in ((-1, False), (0, True)):
        start = hard.astimezone(UTC) + timedelta(minutes=minutes - 1)
        vague = replace(sand("14 17:00"), between=(start, t("14 18:00").astimezone(UTC)))
        found = readiness(laid(120, 120, vague), CARDS, "hatch trim", "overcoat", late)
        assert found.ready is keyed, found.notes


def test_alarms_warn_of_the_window_by_the_earlier_end_and_of_the_wait_by_the_later():
    now, end = t("14 13:00"), t("30 00:00")
    vague = {a.kind: a.at for a in alarms(laid(0, 240), CARDS, now, end)}
    early = {a.kind: a.at for a in alarms(laid(0, 0), CARDS, now, end)}
    late = {a.kind: a.at for a in alarms(laid(240, 240), CARDS, now, end)}
    assert vague["overcoat"] == late["overcoat"] != early["overcoat"]
    assert vague["window shut"] == early["window shut"] != late["window shut"]


def test_glue_of_a_vague_time_is_not_open_longer_than_it_can_be():
    card = epoxy(open_time=(10.0, 40.0), set_check=(2.0, 6.0))
    between = (t("14 08:00"), t("14 08:20"))
    state = job(replace(bond("14 08:10"), between=between))
    told = {a.kind: a.at for a in alarms(state, shelf(card), t("14 08:10"), t("15 00:00"))}
    assert told["tack"] == t("14 08:30")
    assert told["tack end"] == t("14 08:40")


def test_tape_under_a_vague_coat_is_pulled_by_the_earlier_end():
    mask = Mask(piece="hatch trim", at=t("14 07:00"))
    for ends, now, pull in (((0, 0), "08:40", "09:00"), ((0, 60), "08:40", "09:00"), ((60, 60), "09:10", "10:00")):
        told = {a.kind: a.at for a in alarms(laid(*ends, mask), CARDS, t(f"14 {now}"), t("15 00:00"))}
        assert told["tape"] == t(f"14 {pull}")
