"""The bad week of ``examples/week-of-trouble.toml``: every trouble is told of before it bites."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from pathlib import Path

import pytest

from assistant.craft.plan.change import NightCoat, Swap
from assistant.craft.plan.outlook import outlook
from assistant.craft.plan.step import Plan
from assistant.craft.plan.warning import Warning
from assistant.craft.plan.week import plan
from assistant.craft.plan.whatif import what_if
from assistant.journal.events import Climate, Coat, Event, Fault, Mask, Task, Tin
from assistant.journal.state import State, fold
from assistant.library.catalogue import Library
from assistant.library.jobfile import read_job
from assistant.quantity import celsius
from plan.build import t

pytest.importorskip("ortools")

JOB = Path(__file__).parents[2] / "examples" / "week-of-trouble.toml"
TUESDAY: tuple[Event, ...] = (
    Climate(space="fore cabin", temperature=celsius(16), at=t("17 07:40")),
    Task(text="fit the mask filters", at=t("17 07:45")),
)
COATED: tuple[Event, ...] = (
    *TUESDAY,
    Coat(piece="bulkhead", product="white undercoat", coat=1, at=t("17 08:40")),
    Mask(piece="hatch trim", at=t("17 09:30")),
    Coat(piece="hatch trim", product="amber varnish", coat=1, at=t("17 10:00")),
)
RUN: tuple[Event, ...] = (*COATED, Fault(piece="bulkhead", fault="run", at=t("17 16:00")))
COLD: tuple[Event, ...] = (
    *RUN,
    Climate(space="fore cabin", temperature=celsius(3), at=t("18 17:00"), until=t("19 08:00")),
)
SPOILED: tuple[Event, ...] = (*COLD, Tin(product="amber varnish", change="spoiled", at=t("19 07:30")))


def job(events: tuple[Event, ...]) -> State:
    start = State()
    return fold([*read_job(JOB, said_at=t("17 07:30"), state=start), *events], start)


@cache
def week(events: tuple[Event, ...], now: datetime) -> tuple[State, Library, Plan, tuple[Warning, ...]]:
    state = job(events)
    library = Library(state.labels)
    found = plan(state, library.card, now)
    return state, library, found, tuple(outlook(state, library.card, now, found))


def about(warnings: tuple[Warning, ...], what: str) -> list[Warning]:
    return [w for w in warnings if w.about == what]


def test_the_glue_that_runs_out_is_told_before_it_is_mixed():
    _, _, found, warnings = week(TUESDAY, t("17 08:00"))
    (glue,) = about(warnings, "glue")
    bond = next(p for p in found.steps if p.step.kind == "bond")
    assert glue.when == bond.start
    # 0.6 m2 at 4 m2/l is 150 ml, and with a tenth lost in the kettle 150 / 0.9 = 166.7 ml.
    assert "tread epoxy runs out" in glue.text
    assert "167 ml wanted" in glue.text
    assert "150 ml left" in glue.text


def test_the_mask_filters_not_delivered_stand_before_the_first_varnish():
    _, _, found, warnings = week(TUESDAY, t("17 08:00"))
    (gear,) = about(warnings, "gear")
    first = next(p for p in found.steps if "mask with A filters" in p.step.gear)
    assert gear.when == first.start
    assert "fit the mask filters" in gear.text
    fit = next(p for p in found.steps if p.text == "fit the mask filters")
    assert fit.end <= first.start


def test_a_fitted_filter_is_not_warned_of():
    done = (*TUESDAY, Task(text="fit the mask filters", state="done", at=t("17 07:50")))
    assert about(week(done, t("17 08:00"))[3], "gear") == []


def test_the_sander_is_warned_of_before_the_quiet_hours():
    _, _, found, warnings = week(COLD, t("18 17:05"))
    sanding = [p for p in found.steps if p.step.noise]
    assert sanding
    for placed in sanding:  # quiet from 20:00 to 08:00
        assert 8 <= placed.start.hour < 20
        assert placed.end.hour < 20 or (placed.end.hour, placed.end.minute) == (20, 0)
    noise = about(warnings, "noise")
    assert noise
    assert all("quiet hours" in w.text for w in noise)


def test_dust_next_to_a_wet_film_is_told():
    warnings = week(COATED, t("17 10:30"))[3]
    dust = about(warnings, "dust")
    assert dust
    assert "no dust in the fore cabin" in dust[0].text
    assert "wet" in dust[0].text


def test_tape_that_must_come_off_is_told_before_the_last_coat_is_dust_free():
    state = job(COATED)
    state = fold([Coat(piece="hatch trim", product="amber varnish", coat=4, at=t("17 11:00"))], state)
    library = Library(state.labels)
    now = t("17 11:20")
    found = plan(state, library.card, now)
    (tape,) = about(tuple(outlook(state, library.card, now, found)), "tape")
    assert t("17 11:20") < tape.when <= t("17 15:00")  # dust-free in 2 h at 20, 4 h at 10: between at 16 degrees
    assert "pull the tape on the hatch trim" in tape.text
    late = t("17 18:00")
    found = plan(state, library.card, late)
    (tape,) = about(tuple(outlook(state, library.card, late, found)), "tape")
    assert "should have been off" in tape.text


def test_the_run_costs_a_day():
    _, _, _, warnings = week(RUN, t("17 16:05"))
    (fault,) = about(warnings, "fault")
    assert "run on the bulkhead cannot be flatted off before" in fault.text
    assert "it costs 24 h" in fault.text
    before, after = week(COATED, t("17 16:05"))[2], week(RUN, t("17 16:05"))[2]
    assert before.finish is not None and after.finish is not None
    assert (after.finish - before.finish).total_seconds() == 24 * 3600


def test_the_cold_night_is_told_and_nothing_is_laid_in_it():
    _, _, found, warnings = week(COLD, t("18 17:05"))
    cold = about(warnings, "cold")
    assert cold
    assert "3 degrees in the fore cabin" in cold[0].text
    for placed in found.steps:
        if placed.step.lays and placed.step.space == "fore cabin":
            assert placed.start >= t("19 08:00")


def test_the_spoiled_tin_names_its_slower_substitute_and_what_that_costs():
    state, library, found, warnings = week(SPOILED, t("19 07:35"))
    (tin,) = [w for w in about(warnings, "tin") if "spoiled" in w.text]
    assert "with slow varnish instead" in tin.text
    assert "past the deadline" in tin.text
    swap = what_if(state, library.card, t("19 07:35"), Swap("slow varnish", "amber varnish"), before=found)
    assert swap.gain_h is not None and swap.gain_h < -12
    assert swap.after.holds is False


def test_the_tin_bought_long_ago_is_opened_before_it_is_needed():
    state, library, _, _ = week(SPOILED, t("19 07:35"))
    swapped = fold([], state)
    for name, named in state.plans.items():
        if named.values.get("label") == "amber varnish":
            swapped.plans[name] = type(named)(name, {**named.values, "label": "slow varnish"})
    found = plan(swapped, library.card, t("19 07:35"))
    texts = [w.text for w in outlook(swapped, library.card, t("19 07:35"), found)]
    assert any("slow varnish" in text and "open it today" in text for text in texts)


def test_a_coat_at_two_beats_the_week_without_one():
    state, library, found, _ = week(TUESDAY, t("17 08:00"))
    night = what_if(state, library.card, t("17 08:00"), NightCoat(2), before=found)
    assert night.proved
    assert night.gain_h is not None and night.gain_h > 4
    dark = [p for p in night.after.steps if p.start.hour < 7]
    assert dark
    assert all(2 <= p.start.hour < 5 for p in dark)
    assert len({p.step.piece for p in dark}) == 1
    assert sum(p.step.kind == "coat" for p in dark) == 1


def test_warnings_come_before_they_bite():
    for events, now in ((TUESDAY, t("17 08:00")), (COATED, t("17 10:30")), (SPOILED, t("19 07:35"))):
        for warning in week(events, now)[3]:
            assert warning.when >= now
