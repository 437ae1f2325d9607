"""A fault says its likely cause, its cure, what that waits for, and what it costs."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from assistant.craft.faults import Remedy, remedy, task_for, told
from assistant.craft.readiness import readiness
from assistant.journal.events import FAULTS, Event, Fault
from assistant.journal.state import fold
from assistant.library.faults import all_faults

from .build import coat, job, reading, sand, t


def ask(folder: Path, fault: str, *events: Event, at: str = "10:00", piece: str | None = "hatch trim") -> Remedy:
    state, cards, _ = job(folder, *events)
    return remedy(state, cards, Fault(piece=piece, fault=fault, at=t(at)), all_faults(), t(at))


def test_every_fault_the_journal_knows_has_a_card_with_bases() -> None:
    book = all_faults()
    assert set(book) == set(FAULTS)
    for card in book.values():
        assert card.causes and card.cure and card.basis and "{piece}" in card.task
        assert all(text and basis for text, basis in card.causes)
        assert 0 < card.minutes <= 240


def test_a_run_costs_the_sanding_and_a_coat_again(tmp_path: Path) -> None:
    """At 20 degrees: coat at 08:00, sands at 14:00, half an hour of work, 6 h for the coat again: 20:30, so 6.5 h."""
    found = ask(tmp_path, "run", reading("07:00", 20.0), coat("08:00"))
    assert found.starts == t("14:00")
    assert found.back == t("20:30")
    assert found.costs is not None and found.costs.value == pytest.approx(6.5)
    assert "about 6.5 hours" in told(found, t("10:00"))


def test_it_costs_more_in_the_cold(tmp_path: Path) -> None:
    """Ten degrees colder, twice as long (the family's assumption): 12 h to sand, 12 h again, and the half hour."""
    found = ask(tmp_path, "run", reading("07:00", 10.0), coat("08:00"))
    assert found.costs is not None and found.costs.value == pytest.approx(12.5)


def test_dust_costs_no_coat(tmp_path: Path) -> None:
    found = ask(tmp_path, "dust", reading("07:00", 20.0), coat("08:00"))
    assert found.costs is not None and found.costs.value == pytest.approx(20 / 60)


def test_what_the_journal_holds_against_the_coat_comes_first(tmp_path: Path) -> None:
    """Coated half an hour after sanding in the same cabin; coated at 92 percent; coated before its time."""
    dusty = ask(tmp_path, "dust", sand("07:40", "hatch rail"), coat("08:00"))
    assert any("sanded 20 minutes before" in s for s in dusty.signs)
    damp = ask(tmp_path, "bloom", reading("07:00", 12.0, 92.0), coat("08:00"))
    assert any("damp" in s for s in damp.signs)
    soon = ask(tmp_path, "wrinkle", reading("05:00", 20.0), coat("06:00"), coat("08:00", n=2))
    assert any("Too soon" in s for s in soon.signs)
    assert ask(tmp_path, "run", sand("07:40", "hatch rail"), coat("08:00")).signs == ()


def test_wet_it_says_what_can_still_be_done_and_dry_it_does_not(tmp_path: Path) -> None:
    events = (reading("07:00", 20.0), coat("08:00"))
    assert ask(tmp_path, "run", *events, at="08:20").wet
    assert ask(tmp_path, "run", *events, at="12:00").wet is None


def test_it_waits_for_the_stage_its_card_names(tmp_path: Path) -> None:
    state, cards, _ = job(tmp_path, reading("07:00", 20.0), coat("08:00"))
    for name, card in all_faults().items():
        found = remedy(state, cards, Fault(piece="hatch trim", fault=name, at=t("10:00")), all_faults(), t("10:00"))
        assert found.starts == readiness(state, cards, "hatch trim", card.waits, t("10:00")).earliest


def test_where_nothing_is_known_no_time_is_promised(tmp_path: Path) -> None:
    for found in (
        ask(tmp_path, "run"), ask(tmp_path, "run", piece=None),
        ask(tmp_path, "run", coat("08:00", product="mystery paint")),
    ):  # fmt: skip
        assert found.starts is None and found.costs is None and found.unknown
        assert "can't say" in told(found, t("10:00"))


def test_it_opens_a_task_on_its_piece(tmp_path: Path) -> None:
    found = ask(tmp_path, "run", coat("08:00"))
    task = task_for(found, t("10:00"))
    assert (task.state, task.piece, task.at) == ("open", "hatch trim", t("10:00"))
    assert task.text == "flat the run on the hatch trim and coat it again"
    state, _, _ = job(tmp_path, coat("08:00"))
    assert fold([task], state).tasks == (task,)


def test_the_state_may_have_the_fault_already(tmp_path: Path) -> None:
    fault = Fault(piece="hatch trim", fault="run", at=t("10:00"))
    state, cards, _ = job(tmp_path, reading("07:00", 20.0), coat("08:00"))
    later = t("10:00") + timedelta(minutes=1)
    without = remedy(state, cards, fault, all_faults(), later)
    assert remedy(fold([fault], state), cards, fault, all_faults(), later) == without
