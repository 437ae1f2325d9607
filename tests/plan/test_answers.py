"""What next, what if, what for tomorrow, and when to begin."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from assistant.craft.plan.change import (
    Held,
    Later,
    LostDay,
    Mishap,
    MoreCoats,
    NightCoat,
    Skipped,
    Swap,
    Warmer,
    Without,
)
from assistant.craft.plan.moves import moves
from assistant.craft.plan.needs import needs
from assistant.craft.plan.week import plan
from assistant.craft.plan.whatif import must_start_by, rescues, what_if
from assistant.journal.events import Coat, Tin
from assistant.problem import Problem
from assistant.quantity import ml
from plan.build import NOW, SLOW, VARNISH, job, shelf, t

pytest.importorskip("ortools")

TWO = {"hatch trim": ("fore cabin", 0.4), "rail": ("fore cabin", 1.0)}
TASKS = [
    {"do": "varnish", "piece": "hatch trim", "coats": 4, "label": VARNISH.name},
    {"do": "varnish", "piece": "rail", "coats": 2, "label": VARNISH.name},
]
STATE = job(TWO, TASKS, sleep=["23:00", "07:00"], deadline="2026-03-16T12:00:00+00:00")
PLAN = plan(STATE, shelf(), NOW)


def if_(change: object, state=STATE, before=PLAN):
    return what_if(state, shelf(), NOW, change, before=before)  # type: ignore[arg-type]


def test_the_next_move_is_the_plans_first_and_says_why_and_what_follows():
    first = moves(PLAN, STATE, NOW)[0]
    assert first.text == PLAN.steps[0].text
    assert first.from_ == NOW
    assert first.why and first.unlocks.startswith("then rub down")
    assert set(first.to_json()) == {"text", "piece", "from", "why"}


def test_moves_come_in_order_and_are_few():
    found = moves(PLAN, STATE, NOW)
    assert [m.from_ for m in found] == sorted(m.from_ for m in found)
    assert 1 <= len(found) <= 6


def test_in_the_night_the_next_move_is_for_the_morning():
    night = t("15 02:00")
    found = moves(plan(STATE, shelf(), night), STATE, night)
    assert found[0].from_ == t("15 07:00")


def test_nothing_to_do_has_no_moves():
    assert moves(plan(job(TWO, []), shelf(), NOW), STATE, NOW) == []


def test_slower_colder_more_and_lost_days_never_end_sooner():
    for change in (
        Swap(SLOW.name, VARNISH.name), Warmer(-5.0), MoreCoats("hatch trim", 1), Mishap("hatch trim"),
        LostDay(date(2026, 3, 15)), Later(NOW + timedelta(hours=5)),
    ):  # fmt: skip
        found = if_(change)
        assert found.proved
        assert found.gain_h is not None and found.gain_h <= 0, found.text


def test_warmer_fewer_and_left_out_never_end_later():
    for change in (
        Warmer(5.0), Held(25.0, nights=True), MoreCoats("hatch trim", -1), Without("rail"), NightCoat(2),
        Skipped("hatch trim", "sand", 2),
    ):  # fmt: skip
        found = if_(change)
        assert found.proved
        assert found.gain_h is not None and found.gain_h >= 0, found.text


def test_the_change_is_told_in_words_with_both_finishes():
    found = if_(LostDay(date(2026, 3, 15)))
    assert found.change == "Sunday lost"
    assert found.finish_before == PLAN.finish
    assert found.text.startswith("With Sunday lost you finish at ")
    assert "24 h later" in found.text


def test_a_lost_day_costs_no_more_than_a_day():
    found = if_(LostDay(date(2026, 3, 15)))
    assert found.gain_h is not None and -24.0 <= found.gain_h < 0.0


def test_ten_degrees_warmer_halves_the_waits():
    """Doubling per 10 K: 6 h at 20 degC are 3 h at 30."""
    state = job({"hatch trim": ("fore cabin", 0.4)}, [{**TASKS[0], "coats": 2}])
    found = what_if(state, shelf(), NOW, Warmer(10.0))
    assert found.gain_h == 3.0


def test_a_mishap_on_a_film_that_is_on():
    state = job(TWO, TASKS, Coat(piece="hatch trim", product=VARNISH.name, coat=1, at=NOW), sleep=["23:00", "07:00"])
    found = what_if(state, shelf(), NOW + timedelta(minutes=30), Mishap("hatch trim"))
    assert found.gain_h is not None and found.gain_h < 0
    assert "run on the hatch trim" in found.text


def test_nothing_of_the_real_job_is_changed():
    before = (STATE.climate, dict(STATE.work), dict(STATE.plans))
    for change in (Warmer(-5.0), Held(25.0, nights=True), Mishap("hatch trim")):
        if_(change)
    assert (STATE.climate, dict(STATE.work), dict(STATE.plans)) == before


def test_what_nobody_knows_is_asked_back():
    for change in (Swap("moon varnish"), Without("moon"), MoreCoats("moon", 1), Warmer(2.0, space="attic")):
        with pytest.raises(Problem):
            if_(change)


def test_the_latest_start_works_and_a_quarter_later_does_not():
    found = must_start_by(STATE, shelf(), NOW)
    assert found.at is not None and found.proved
    from assistant.craft.plan.tasks import Options

    for start, holds in ((found.at, True), (found.at + timedelta(minutes=15), False)):
        assert plan(STATE, shelf(), NOW, options=Options(not_before=start)).holds is holds


def test_too_late_to_start_says_by_how_much():
    found = must_start_by(STATE, shelf(), NOW, NOW + timedelta(hours=8))
    assert found.at is None and "too late" in found.text


def test_no_deadline_no_latest_start():
    with pytest.raises(Problem, match="no deadline"):
        must_start_by(job(TWO, TASKS), shelf(), NOW)


def test_what_would_save_a_missed_deadline():
    late = job(TWO, TASKS, sleep=["23:00", "07:00"], deadline="2026-03-15T12:00:00+00:00")
    found = plan(late, shelf(), NOW)
    assert found.holds is False
    saved = rescues(late, shelf(), NOW, found)
    assert saved and all((w.gain_h or 0) > 0 for w in saved)
    assert any(w.after.holds for w in saved)
    assert saved[0].after.holds


def test_what_a_day_takes_against_the_tins():
    # 12 m2/l and a tenth lost: 0.4 m2 take 0.4 / 12 / 0.9 = 37.0 ml, 1.0 m2 take 92.6 ml.
    state = job(TWO, TASKS, Tin(product=VARNISH.name, change="bought", amount=ml(200), at=t("13 09:00")))
    found = plan(state, shelf(), NOW)
    whole = needs(state, shelf(), found)
    (varnish,) = whole.products
    assert varnish.needed is not None and varnish.short is not None
    assert varnish.needed.value == pytest.approx(4 * 37.04 + 2 * 92.59, abs=0.5)
    assert varnish.short.value == pytest.approx(varnish.needed.value - 200, abs=0.5)
    assert "short" in varnish.text
    today = needs(state, shelf(), found, NOW.date())
    assert today.steps and today.products[0].needed is not None
    assert today.products[0].needed.value < varnish.needed.value
    assert "varnish brush" in today.gear


def test_a_tin_is_not_promised_twice():
    state = job(TWO, TASKS, Tin(product=VARNISH.name, change="bought", amount=ml(1000), at=t("13 09:00")),
                sleep=["23:00", "07:00"])  # fmt: skip
    found = plan(state, shelf(), NOW)
    tomorrow = needs(state, shelf(), found, date(2026, 3, 15))
    today = needs(state, shelf(), found, date(2026, 3, 14))
    assert tomorrow.products[0].left is not None and today.products[0].needed is not None
    assert tomorrow.products[0].left.value == pytest.approx(1000 - today.products[0].needed.value, abs=0.3)


def test_a_day_with_nothing_in_it():
    assert needs(STATE, shelf(), PLAN, date(2027, 1, 1)).products == ()
