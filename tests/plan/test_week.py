"""The plan of the week: what it keeps to, and what it says when it cannot be done."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from assistant.craft.plan import solve
from assistant.craft.plan.tasks import Options
from assistant.craft.plan.week import plan
from assistant.journal.events import Clean, Climate, Coat, Hours, Mask, Mix, Sand, Task
from assistant.journal.state import fold
from assistant.library.cards import Pot
from assistant.quantity import celsius, ml
from plan.build import NOW, SLOW, UNDERCOAT, VARNISH, film, job, shelf, t, week

TRIM = {"hatch trim": ("fore cabin", 0.4)}
FOUR = {"do": "varnish", "piece": "hatch trim", "coats": 4, "label": VARNISH.name}
NIGHTS = {"sleep": ["23:00", "07:00"], "quiet": ["20:00", "08:00"]}


def test_one_coat_takes_its_hands_on_time_and_nothing_else():
    found = plan(job(TRIM, [{**FOUR, "coats": 1}]), shelf(), NOW)
    # 15 + 25 x 0.4 = 25 min: two quarters.
    assert (found.steps[0].start, found.finish) == (NOW, NOW + timedelta(minutes=30))
    assert found.optimal and found.feasible and found.holds is None


def test_two_coats_wait_the_label_out():
    found = plan(job(TRIM, [{**FOUR, "coats": 2}]), shelf(), NOW)
    first, sand, second = found.steps
    assert sand.start - first.end == timedelta(hours=6)
    assert second.start - sand.end == timedelta(hours=1)  # dust hangs for an hour
    assert "amber varnish on the hatch trim drying (6 h)" in found.critical


def test_nothing_to_do():
    found = plan(job(TRIM, []), shelf(), NOW)
    assert found.steps == () and found.finish is None and found.feasible and found.problems == ()


def test_what_is_on_already_is_waited_for_from_the_journal():
    on = Coat(piece="hatch trim", product=VARNISH.name, coat=1, at=t("14 05:00"))
    found = plan(job(TRIM, [{**FOUR, "coats": 2}], on), shelf(), NOW)
    assert found.steps[0].start == t("14 11:00")
    assert found.films[0].done


def test_a_shut_window_costs_a_key():
    over = film("fast epoxy", "varnish", 2.0, most=4.0)
    state = job(
        TRIM, [{"do": "varnish", "piece": "hatch trim", "coats": 2, "label": over.name, "skip": ["sand 2"]}],
        Coat(piece="hatch trim", product=over.name, coat=1, at=t("14 01:00")), cards=[over],
    )  # fmt: skip
    found = plan(state, shelf(over), NOW)
    assert found.steps[0].late
    assert found.steps[0].text.startswith("key it wet")
    in_time = plan(state, shelf(over), t("14 03:30"))
    assert not in_time.steps[0].late
    assert in_time.finish is not None and in_time.finish <= t("14 05:00")


def test_tape_comes_off_before_the_film_is_dust_free():
    found = plan(job(TRIM, [{**FOUR, "coats": 1, "mask": True}]), shelf(), NOW)
    coat, pull = found.steps[-2:]
    assert pull.step.kind == "unmask"
    assert pull.end - coat.end <= timedelta(hours=2)  # dust-free a third of six hours after


def test_tape_on_a_coat_in_the_journal_comes_off_before_sleep_or_else_first_thing():
    on = Mask(piece="hatch trim", at=t("14 21:00"))
    last = Coat(piece="hatch trim", product=VARNISH.name, coat=1, at=t("14 22:30"))
    other = {"name": "sweep up", "do": "sweep up", "takes": "15 min"}
    state = job(TRIM, [other, {**FOUR, "coats": 1}], on, last, **NIGHTS)
    found = plan(state, shelf(), t("14 22:40"))
    assert found.steps[0].step.kind == "unmask" and found.steps[0].start == t("14 22:45")
    late = plan(state, shelf(), t("14 23:40"))
    assert late.unplaced == () and late.steps[0].start == t("15 07:00")


def test_a_pot_that_is_mixed_is_used_before_it_goes_off():
    epoxy = replace(film("tread epoxy", "adhesive", 8.0), pot=Pot(20.0, 60.0, 100.0, 10.0, "the label"))
    pieces = {"treads": ("galley", 0.2), "hatch trim": ("fore cabin", 0.4), "rail": ("fore cabin", 2.0)}
    tasks = [FOUR, {**FOUR, "piece": "rail"}, {"do": "bond", "piece": "treads", "label": epoxy.name}]
    pot = Mix(product=epoxy.name, amount=ml(60), at=NOW)
    keyed = [Sand(piece="treads", at=t("14 07:00")), Clean(piece="treads", at=t("14 07:30"))]
    found = plan(job(pieces, tasks, pot, *keyed, cards=[epoxy, VARNISH]), shelf(epoxy, VARNISH), NOW)
    bond = next(p for p in found.steps if p.step.kind == "bond")
    assert bond.end <= NOW + timedelta(minutes=60)


def test_contact_adhesive_is_brought_together_in_its_open_time():
    glue = replace(film("contact glue", "adhesive", 1.0), open_time=(10.0, 30.0))
    state = job(
        {"shelf": ("galley", 0.4)}, [{"do": "re-glue", "piece": "shelf", "label": glue.name}], cards=[glue], **NIGHTS
    )
    found = plan(state, shelf(glue), t("14 21:30"))
    spread, join = found.steps[-2:]
    assert timedelta(minutes=10) <= join.start - spread.end <= timedelta(minutes=30)


def test_one_pot_for_two_pieces_is_used_in_its_life():
    pieces = {"treads": ("galley", 0.2), "step": ("galley", 0.2), "hatch trim": ("fore cabin", 0.4)}
    epoxy = replace(film("tread epoxy", "adhesive", 8.0), pot=Pot(20.0, 60.0, 100.0, 10.0, "the label"))
    tasks = [{"do": "bond", "piece": p, "label": epoxy.name, "batch": "one"} for p in ("treads", "step")]
    found = plan(job(pieces, [*tasks, FOUR], cards=[epoxy, VARNISH]), shelf(epoxy, VARNISH), NOW)
    one, two = (p for p in found.steps if p.step.kind == "bond")
    assert two.end - one.start <= timedelta(minutes=60)


def test_varnish_before_paint_where_two_pieces_meet():
    state = job(
        {**TRIM, "bulkhead": ("fore cabin", 1.0)},
        [{"do": "topcoat", "piece": "bulkhead", "coats": 1, "label": "white gloss"}, {**FOUR, "coats": 1}],
    )
    apart = plan(state, shelf(), NOW)
    state.pieces["hatch trim"] = replace(
        state.pieces["hatch trim"], values={**state.pieces["hatch trim"].values, "meets": ["bulkhead"]}
    )
    found = plan(state, shelf(), NOW)
    order = [p.piece for p in found.steps]
    assert order == ["hatch trim", "bulkhead"]
    assert found.steps[1].start - found.steps[0].end >= timedelta(hours=2)  # dust-free
    assert apart.finish is not None and found.finish is not None and apart.finish < found.finish


def test_heat_stays_away_from_a_wet_film():
    state = job(
        {**TRIM, "old rail": ("fore cabin", 0.2)},
        [{**FOUR, "coats": 1}, {"do": "strip and varnish", "piece": "old rail", "coats": 1, "label": VARNISH.name}],
        Coat(piece="hatch trim", product=VARNISH.name, coat=1, at=NOW - timedelta(minutes=15)),
    )
    found = plan(state, shelf(), NOW)
    strip = next(p for p in found.steps if p.step.hot)
    assert strip.start >= NOW - timedelta(minutes=15) + timedelta(hours=2)


def test_the_deadline_and_its_slack():
    found = plan(job(TRIM, [{**FOUR, "coats": 1}], deadline="2026-03-14T10:30:00+00:00"), shelf(), NOW)
    assert found.holds is True and found.slack_h == 2.0 and found.late_by is None


def test_an_impossible_deadline_says_by_how_much():
    found = plan(job(TRIM, [FOUR], deadline="2026-03-14T20:00:00+00:00", **NIGHTS), shelf(), NOW)
    assert found.holds is False and found.slack_h is not None and found.slack_h < 0
    assert found.late_by == timedelta(hours=-found.slack_h)
    assert any("cannot be done by 20:00" in p for p in found.problems)


def test_a_deadline_said_last_counts():
    said = Hours(rule="deadline", end=t("15 12:00"), at=NOW)
    found = plan(job(TRIM, [FOUR], said, deadline="2026-03-20T20:00:00+00:00"), shelf(), NOW)
    assert found.deadline == t("15 12:00")


def test_a_deadline_in_the_past_is_said():
    found = plan(job(TRIM, [FOUR], deadline="2026-03-10T20:00:00+00:00"), shelf(), NOW)
    assert found.holds is False
    assert any("has passed" in p for p in found.problems)


def test_away_is_kept_free():
    away = Hours(rule="away", start=t("14 08:00"), end=t("16 08:00"), at=NOW)
    found = plan(job(TRIM, [FOUR], away), shelf(), NOW)
    assert found.steps[0].start == t("16 08:00")


def test_a_circle_of_tasks_is_told_and_the_rest_planned():
    ring = [{"name": "a", "do": "a", "after": ["b"]}, {"name": "b", "do": "b", "after": ["a"]}]
    found = plan(job(TRIM, [FOUR, *ring]), shelf(), NOW)
    assert len(found.steps) == 7 and not found.feasible
    assert any("circle" in p for p in found.problems)


def test_a_piece_in_no_space_takes_the_coolest_air():
    state = job({"cratch board": ("", 0.4)}, [{**FOUR, "piece": "cratch board", "coats": 2}],
                spaces={"fore cabin": 20.0, "galley": 10.0})  # fmt: skip
    found = plan(state, shelf(), NOW)
    assert found.steps[1].start - found.steps[0].end == timedelta(hours=12)  # half the speed, 10 K colder
    assert any("nobody said where the cratch board is" in a for a in found.assumes)


def test_a_product_with_no_times_is_no_promise():
    bare = replace(VARNISH, name="nameless", stages={}, overcoat_max=None)
    state = job(TRIM, [{**FOUR, "coats": 2, "label": "nameless"}], cards=[bare], deadline="2026-03-20T20:00:00+00:00")
    found = plan(state, shelf(bare), NOW)
    assert found.holds is None and not found.sure
    assert any("no promise" in p for p in found.problems)


def test_a_label_nobody_has():
    found = plan(job(TRIM, [{**FOUR, "coats": 2, "label": "moon varnish"}]), shelf(), NOW)
    assert not found.sure and len(found.steps) == 3


def test_under_the_least_temperature_all_week_nothing_is_promised():
    cold = replace(VARNISH, least=8.0)
    state = job(TRIM, [FOUR, {"name": "hang the door", "do": "hang the door", "takes": "1 h"}],
                spaces={"fore cabin": 5.0}, cards=[cold], deadline="2026-03-20T20:00:00+00:00")  # fmt: skip
    found = plan(state, shelf(cold), NOW)
    assert [p.text for p in found.steps] == ["hang the door"]
    assert found.holds is False and not found.feasible
    assert "wants 8 degrees" in found.unplaced[0].why and "fore cabin" in found.unplaced[0].why


def test_a_film_on_already_that_stands_still_is_told():
    cold = replace(VARNISH, least=8.0)
    state = job(TRIM, [FOUR], Coat(piece="hatch trim", product=VARNISH.name, coat=1, at=t("14 05:00")),
                spaces={"fore cabin": 5.0}, cards=[cold])  # fmt: skip
    found = plan(state, shelf(cold), NOW)
    assert found.steps == () and "stands still" in found.unplaced[0].why


def test_no_film_is_laid_into_a_frost():
    cold = replace(VARNISH, least=8.0)
    night = Climate(space="fore cabin", temperature=celsius(4), at=t("14 09:00"), until=t("14 18:00"))
    found = plan(job(TRIM, [{**FOUR, "coats": 2}], night, cards=[cold]), shelf(cold), NOW)
    for placed in found.steps:
        if placed.step.lays:
            assert placed.start >= t("14 18:00") or placed.end + timedelta(hours=1) <= t("14 09:00")


def test_work_that_fits_into_no_day_is_told():
    state = job(TRIM, [{"name": "rout the channel", "do": "rout the channel", "takes": "3 h", "noise": True}],
                sleep=["22:00", "09:00"], quiet=["11:00", "10:00"])  # fmt: skip
    found = plan(state, shelf(), NOW)
    assert found.finish is None and "no day has so long a stretch" in found.unplaced[0].why


def test_the_clocks_go_forward():
    """On 29 March 2026 at 1:00 GMT it becomes 2:00 BST: sleep to 07:00 is an hour shorter."""
    state = job(TRIM, [{**FOUR, "coats": 1}], sleep=["23:00", "07:00"])
    now = datetime(2026, 3, 28, 23, 30, tzinfo=ZoneInfo("Europe/London"))
    found = plan(state, shelf(), now)
    assert found.steps[0].start.hour == 7
    assert found.steps[0].start.astimezone(ZoneInfo("UTC")).hour == 6


def test_seconds_and_odd_minutes_of_now():
    found = plan(job(TRIM, [{**FOUR, "coats": 1}]), shelf(), NOW + timedelta(minutes=7, seconds=30))
    assert found.steps[0].start == NOW + timedelta(minutes=15)


def test_a_new_plan_keeps_the_week():
    state = week(40, 7, 2)
    old = plan(state, shelf(), NOW, limit_s=1.0)
    first = old.steps[0]
    assert first.piece is not None
    done = Coat(piece=first.piece, product=first.step.product, coat=1, at=first.end)
    new = plan(fold([done], state), shelf(), first.end, limit_s=1.0, previous=old)
    before = {p.step.id: p.start for p in old.steps}
    same = sum(before[p.step.id] == p.start for p in new.steps)
    assert same >= 0.9 * len(new.steps)
    assert new.finish == old.finish


def test_work_that_can_wait_for_the_day_does():
    """Nobody said when they sleep: the critical chain runs through the night, what has time does not."""
    pieces = {**TRIM, "rail": ("galley", 0.4)}
    rail = {"do": "varnish", "piece": "rail", "coats": 2, "label": VARNISH.name}
    found = plan(job(pieces, [{**FOUR, "coats": 5}, rail]), shelf(), t("14 16:00"))
    alone = plan(job(TRIM, [{**FOUR, "coats": 5}]), shelf(), t("14 16:00"))
    assert found.finish == alone.finish and found.optimal
    dark = {p.piece for p in found.steps if p.start.hour >= 23 or p.start.hour < 7}
    assert dark == {"hatch trim"}


def test_one_thing_moved_does_not_shuffle_the_week():
    state = week(40, 7, 2)
    old = plan(state, shelf(), NOW, limit_s=1.0)
    more = Options(more=((old.steps[-1].piece or "", 1),))
    new = plan(state, shelf(), NOW, limit_s=1.0, options=more, previous=old)
    order = [p.step.id for p in old.steps]
    kept = [order.index(p.step.id) for p in new.steps if p.step.id in order]
    moved = sum(b < a for a, b in pairwise(kept))
    assert moved <= 4


def test_five_hundred_steps_are_answered_and_the_bound_is_said():
    found = plan(week(500, 30, 1), shelf(), NOW, limit_s=1.0)
    assert len(found.steps) >= 499
    assert found.finish is not None and found.bound is not None and found.bound <= found.finish
    assert found.optimal or any("not proved" in a for a in found.assumes)


def test_far_too_many_steps_are_cut_and_said():
    found = plan(week(2000, 40, 1), shelf(), NOW, limit_s=0.5)
    assert 0 < len(found.steps) <= 800
    assert not found.feasible and found.holds is False
    assert any("more than one plan holds" in p for p in found.problems)


def test_without_the_solver_the_first_plan_stands(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(solve, "available", lambda: False)
    found = plan(week(40, 7, 1), shelf(), NOW)
    assert found.finish is not None and len(found.steps) == 40
    assert found.optimal or any("ortools is not installed" in a for a in found.assumes)


def test_progress_is_told():
    lines: list[str] = []
    plan(week(40, 7, 1), shelf(), NOW, limit_s=2.0, progress=lines.append)
    assert any("a plan that finishes" in line for line in lines) or lines[-1].startswith("proved")
    assert lines[-1].startswith(("proved", "not proved"))


def test_slower_products_take_longer():
    slow = plan(job(TRIM, [{**FOUR, "label": SLOW.name}]), shelf(), NOW)
    fast = plan(job(TRIM, [FOUR]), shelf(), NOW)
    assert slow.finish is not None and fast.finish is not None and slow.finish > fast.finish


def test_after_waits_for_another_piece():
    state = job({**TRIM, "bulkhead": ("galley", 1.0)},
                [{**FOUR, "coats": 1, "after": ["undercoat bulkhead"]},
                 {"do": "undercoat", "piece": "bulkhead", "coats": 2, "label": UNDERCOAT.name}])  # fmt: skip
    found = plan(state, shelf(), NOW)
    assert [p.piece for p in found.steps][-1] == "hatch trim"


def test_a_done_task_is_not_waited_for():
    state = job(TRIM, [{**FOUR, "coats": 1, "after": ["sweep up"]}, {"name": "sweep up", "do": "sweep up"}],
                Task(text="sweep up", state="done", at=NOW))  # fmt: skip
    assert [p.step.kind for p in plan(state, shelf(), NOW).steps] == ["coat"]
