"""Alarms fall due at the right minute, once, and survive a restart."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.craft.alarms import KINDS, Alarm, alarms, due
from assistant.craft.shelf import Cards
from assistant.journal.events import Bond, Climate, Event, Fit, Mask, Unmask
from assistant.journal.state import State, fold
from assistant.quantity import celsius

from .build import JOB, coat, job, journal, mix, reading, sand, t

#: The published pot lives: epoxy 8 / 4 / 2 h at 11 / 21 / 31 degC (UFGS-09971 section 3.7.1.3).
EPOXY = JOB.replace(
    'pot_life = { at = "20 degC", mass = "100 g", time = "30 min" }', 'pot_life = { at = "21 degC", time = "4 h" }'
)
POT = mix("08:00", "tread epoxy", 60, ("resin", 40), ("hardener", 20))


def ahead(state: State, cards: Cards, now: datetime, hours: float = 96) -> dict[str, Alarm]:
    return {a.kind: a for a in alarms(state, cards, now, now + timedelta(hours=hours))}


@pytest.mark.parametrize(("degrees", "hours"), [(11.0, 8), (21.0, 4), (31.0, 2)])
def test_a_pot_is_warned_of_at_three_quarters_and_at_its_end(tmp_path: Path, degrees: float, hours: int) -> None:
    air = [reading("07:00", degrees, space=None), reading("07:00", degrees), reading("07:00", degrees, space="galley")]
    state, cards, _ = job(tmp_path, *air, POT, text=EPOXY)
    found = ahead(state, cards, t("08:01"))
    assert found["pot"].at == t("08:00") + timedelta(hours=0.75 * hours)
    assert found["pot end"].at == t("08:00") + timedelta(hours=hours)
    assert found["pot"].product == "tread epoxy"


def test_a_coat_is_called_when_the_label_says(tmp_path: Path) -> None:
    """At the label's own 20 degrees: 6 h to sand and coat again; 72 h until the window shuts, warned 6 h before."""
    state, cards, _ = job(tmp_path, reading("07:00", 20.0), coat("08:00"))
    found = ahead(state, cards, t("08:01"))
    assert found["overcoat"].at == t("14:00")
    assert "sand it" in found["overcoat"].text
    assert "sand" not in found
    assert found["window shut"].at == t("08:00", 17)
    assert found["window"].at == t("02:00", 17)


def test_where_sanding_comes_before_the_next_coat_both_are_called(tmp_path: Path) -> None:
    """The book's two-pack varnish recoats in 8 h at 21 degrees and sands in 24 h at 20: coating comes first."""
    state, cards, _ = job(tmp_path, reading("07:00", 21.0), coat("08:00", product="two-part gloss"))
    found = ahead(state, cards, t("08:01"))
    assert found["overcoat"].at == t("16:00")
    assert "sand it" not in found["overcoat"].text


def test_nothing_more_is_asked_of_a_piece_with_its_last_coat_but_to_handle_it(tmp_path: Path) -> None:
    state, cards, _ = job(tmp_path, reading("07:00", 20.0, space="galley"), coat("08:00", "galley doors", 3))
    found = ahead(state, cards, t("08:01"))
    assert set(found) == {"handle"}
    assert found["handle"].at == t("08:00", 15)


def test_contact_glue_is_bonded_within_its_tack_window(tmp_path: Path) -> None:
    """10 to 30 minutes at 20 degrees (memory); the finger decides (common practice)."""
    glued = Bond(piece="step treads", product="contact glue", at=t("08:00"))
    state, cards, _ = job(tmp_path, reading("07:00", 20.0), glued)
    found = ahead(state, cards, t("08:01"))
    assert found["tack"].at == t("08:10") and "one chance to line up" in found["tack"].text
    assert found["tack end"].at == t("08:30")
    warm, cards, _ = job(tmp_path, reading("07:00", 30.0), glued)  # twice as fast ten degrees warmer
    found = ahead(warm, cards, t("08:01"))
    assert (found["tack"].at, found["tack end"].at) == (t("08:05"), t("08:15"))


def test_glue_in_the_cold_is_not_given_longer_than_the_tin_says(tmp_path: Path) -> None:
    glued = Bond(piece="step treads", product="contact glue", at=t("08:00"))
    state, cards, _ = job(tmp_path, reading("07:00", 12.0), glued)
    found = ahead(state, cards, t("08:01"))
    assert found["tack"].at > t("08:10") and found["tack end"].at == t("08:30")


def test_epoxy_is_looked_at_between_one_and_four_hours(tmp_path: Path) -> None:
    """One to four hours: common practice, no source."""
    state, cards, _ = job(tmp_path, Bond(piece="step treads", product="tread epoxy", at=t("08:00")))
    found = ahead(state, cards, t("08:01"))
    assert (found["set"].at, found["set end"].at) == (t("09:00"), t("12:00"))
    assert "lift the edges" in found["set"].text and "tack" not in found
    fitted = fold([Fit(piece="step treads", at=t("08:30"))], state)
    assert not {"set", "set end"} & set(ahead(fitted, cards, t("08:31")))


def test_tape_is_pulled_while_the_last_coat_is_tacky_and_both_opinions_are_said(tmp_path: Path) -> None:
    """Common practice: while tacky; TB 750-251: after it is dry. The label's touch dry is 45 to 60 min."""
    taped = [reading("07:00", 20.0), Mask(piece="hatch trim", at=t("07:30")), coat("08:00", n=5)]
    state, cards, _ = job(tmp_path, *taped)
    found = ahead(state, cards, t("08:01"))
    assert found["tape"].at == t("08:45")
    assert "tacky" in found["tape"].text and "after it is dry" in found["tape"].text
    pulled = fold([Unmask(piece="hatch trim", at=t("08:20"))], state)
    assert "tape" not in ahead(pulled, cards, t("08:21"))
    early, cards, _ = job(tmp_path, *taped[:2], coat("08:00", n=2))
    assert "tape" not in ahead(early, cards, t("08:01"))


def test_what_was_sanded_is_not_called_for_sanding(tmp_path: Path) -> None:
    events = [reading("07:00", 20.0), coat("08:00")]
    state, cards, _ = job(tmp_path, *events)
    (plain,) = due(state, cards, t("13:55"), t("14:00"))
    rubbed = fold([sand("13:50")], state)
    (called,) = due(rubbed, cards, t("13:55"), t("14:00"))
    assert "sand it" in plain.text and "sand it" not in called.text


def test_looking_every_few_minutes_gives_each_alarm_once(tmp_path: Path) -> None:
    events = [
        reading("07:00", 20.0), POT, coat("08:00"), coat("08:30", "galley doors"),
        Bond(piece="step treads", product="tread epoxy", at=t("08:05")),
    ]  # fmt: skip
    state, cards, _ = job(tmp_path, *events)
    wanted = [a.key for a in alarms(state, cards, t("09:00"), t("09:00", 16))]
    heard: list[str] = []
    at = t("09:00")
    while at < t("09:00", 16):
        then = at + timedelta(minutes=7)
        heard += [a.key for a in due(state, cards, at, min(then, t("09:00", 16)))]
        at = then
    assert heard == wanted and len(set(heard)) == len(heard) > 4


def test_a_pot_that_warmth_cut_short_is_still_called(tmp_path: Path) -> None:
    """At 20 degrees it was to end at 08:30; 30 degrees, told at 08:20, halve it to 08:15: called at the next look."""
    air = [reading("07:00", 20.0, space=s) for s in (None, "fore cabin", "galley")]
    state, cards, _ = job(tmp_path, *air, POT)
    assert [a.kind for a in due(state, cards, t("08:00"), t("08:19"))] == []
    hot = Climate(space="galley", temperature=celsius(30.0), at=t("08:05"), said_at=t("08:20"))
    warmer = fold([hot], state)
    assert [a.kind for a in due(warmer, cards, t("08:19"), t("08:21"))] == ["pot", "pot end"]
    assert due(warmer, cards, t("08:21"), t("09:30")) == []


def test_what_was_over_before_it_was_told_is_not_rung(tmp_path: Path) -> None:
    from dataclasses import replace

    state, cards, _ = job(tmp_path, reading("07:00", 20.0), replace(POT, said_at=t("11:00")))
    assert due(state, cards, t("08:00"), t("12:00")) == []


def test_they_survive_a_restart(tmp_path: Path) -> None:
    """From the file alone, by another process as it were: the same alarms, with the same keys."""
    events = [reading("07:00", 20.0), POT, coat("08:00")]
    with journal(tmp_path, events) as book:
        _, cards, _ = job(tmp_path, *events)
        before = [(a.at, a.kind, a.text) for a in alarms(book.state, cards, t("08:01"), t("08:01", 18))]
    from assistant.journal.store import Journal

    with Journal.open(tmp_path / "job.sqlite") as again:
        after = alarms(again.state, cards, t("08:01"), t("08:01", 18))
        assert [(a.at, a.kind, a.text) for a in after] == before
        assert len({a.key for a in after}) == len(after) == 5


ACTS = st.lists(
    st.tuples(st.sampled_from(("coat", "mix", "bond", "mask", "air")), st.integers(0, 600)), min_size=1, max_size=8
)


@settings(max_examples=30, deadline=None)
@given(ACTS, st.integers(1, 240))
def test_whatever_was_done_no_alarm_is_lost_or_said_twice(
    tmp_path_factory: pytest.TempPathFactory, acts: list[tuple[str, int]], step: int
) -> None:
    made: list[Event] = []
    for kind, minute in acts:
        at = t("06:00") + timedelta(minutes=minute)
        made.append({
            "coat": lambda at=at: coat(f"{at:%H:%M}", "hatch trim", 1),
            "mix": lambda at=at: mix(f"{at:%H:%M}", "tread epoxy", 60, ("resin", 40), ("hardener", 20)),
            "bond": lambda at=at: Bond(piece="step treads", product="contact glue", at=at),
            "mask": lambda at=at: Mask(piece="hatch trim", at=at),
            "air": lambda at=at, minute=minute: reading(f"{at:%H:%M}", 8.0 + minute / 40),
        }[kind]())  # fmt: skip
    made.sort(key=lambda e: e.at)
    state, cards, _ = job(tmp_path_factory.mktemp("job"), *made)
    start, end = t("16:01"), t("16:01", 19)
    wanted = [a.key for a in alarms(state, cards, start, end)]
    heard: list[str] = []
    at = start
    while at < end:
        then = min(at + timedelta(minutes=step * 10), end)
        heard += [a.key for a in due(state, cards, at, then)]
        at = then
    assert heard == wanted
    assert {a.kind for a in alarms(state, cards, start, end)} <= set(KINDS)
