"""When a rule of the clock holds: each day, or once."""

from dataclasses import replace

import pytest

from assistant.craft.plan.grid import Grid, daily_rule, deadline, ruled, ruled_until
from assistant.journal.events import Hours, Set

from .build import job, t

NOW = t("14 12:00")
DAY = 96  # quarter hours
NIGHT = Hours(rule="sleep", start=t("13 23:00"), end=t("14 07:00"))


def starts(state, what, space=None, days=2):
    return [start for start, _ in ruled(state, what, NOW, days * DAY, space)]


def test_a_nap_does_not_take_the_place_of_the_night():
    nap = Hours(rule="sleep", start=t("14 14:00"), end=t("14 15:00"), repeat=None)
    state = job(NIGHT, nap)
    assert daily_rule(state, "sleep", NOW) == daily_rule(job(NIGHT), "sleep", NOW)
    assert t("14 14:00") in starts(state, "sleep")
    assert t("15 14:00") not in starts(state, "sleep")
    assert {t("14 23:00"), t("15 23:00")} <= set(starts(state, "sleep"))
    hands = Grid(state, NOW, 2).hands
    assert [hands[q] for q in (7, 8, 11, 12, 8 + DAY)] == [1, 0, 0, 1, 1]


def test_the_last_nightly_rule_stands_and_every_daily_absence_does():
    later = replace(NIGHT, start=t("13 22:00"))
    assert starts(job(NIGHT, later), "sleep")[-1].hour == 22
    absences = [
        Hours(rule="away", start=t(f"14 {a}:00"), end=t(f"14 {b}:00"), repeat="daily") for a, b in ((13, 14), (16, 17))
    ]
    found = starts(job(*absences), "away")
    assert {t("14 13:00"), t("14 16:00"), t("15 13:00"), t("15 16:00")} <= set(found)
    hands = Grid(job(*absences), NOW, 2).hands
    assert [hands[q] for q in (3, 4, 8, 16, 4 + DAY)] == [1, 0, 1, 0, 0]


def test_an_absence_for_once_is_over_when_it_is():
    state = job(Hours(rule="away", start=t("14 13:00"), end=t("14 14:00")))
    assert starts(state, "away") == [t("14 13:00")]
    assert [start for start, _ in ruled(state, "away", t("14 14:00"), DAY)] == []


def test_a_closed_space_is_closed_there_and_nowhere_else_and_keeps_nobody_from_working():
    state = job(Hours(rule="closed", start=t("14 13:00"), end=t("14 18:00"), space="galley"))
    assert starts(state, "closed", "galley") == [t("14 13:00")]
    assert starts(state, "closed", "fore cabin") == []
    assert all(Grid(state, NOW, 1).hands)


@pytest.mark.parametrize("now, end", [("14 20:30", "14 22:00"), ("15 21:00", None)])
def test_quiet_for_one_evening_is_quiet_for_that_one(now, end):
    state = job(Hours(rule="quiet", start=t("14 20:00"), end=t("14 22:00"), repeat=None))
    assert ruled_until(state, "quiet", t(now)) == (end and t(end))


def test_the_deadline_of_a_piece_is_not_the_jobs():
    whole = Set(what="job", name="linnet", values={"deadline": "2026-03-22T18:00:00"})
    mine = Hours(rule="deadline", end=t("16 18:00"), piece="hatch trim")
    assert deadline(job(whole, mine), NOW) == t("22 18:00")
    assert deadline(job(whole, replace(mine, piece=None)), NOW) == t("16 18:00")
