"""Tasks are cut into steps, and the journal says how far each chain has got."""

from __future__ import annotations

from typing import Any

from assistant.craft.plan.chain import work
from assistant.craft.plan.tasks import Options
from assistant.journal.events import Coat, Event, Fault, Mask, Sand, Strip, Task
from assistant.journal.state import State
from plan.build import UNDERCOAT, VARNISH, job, shelf, t

TRIM = {"hatch trim": ("fore cabin", 0.4)}
FOUR = {"do": "varnish", "piece": "hatch trim", "coats": 4, "label": VARNISH.name}


def trim(*events: Event, **more: Any) -> State:
    return job(TRIM, [{**FOUR, **more}], *events)


def kinds(state: State, options: Options | None = None) -> list[str]:
    return [f"{s.kind} {s.coat}" if s.coat else s.kind for s in work(state, shelf(), options).steps()]


def coat(n: int, at: str = "13 10:00", product: str | None = VARNISH.name) -> Coat:
    return Coat(piece="hatch trim", product=product, coat=n, at=t(at))


def test_four_coats_are_rubbed_down_between():
    assert kinds(trim()) == ["coat 1", "sand", "coat 2", "sand", "coat 3", "sand", "coat 4"]


def test_what_is_on_is_not_planned_again():
    assert kinds(trim(coat(1), coat(2))) == ["sand", "coat 3", "sand", "coat 4"]
    assert kinds(trim(coat(2))) == ["sand", "coat 3", "sand", "coat 4"]


def test_sanded_since_goes_straight_to_the_coat():
    assert kinds(trim(coat(1), Sand(piece="hatch trim", grit=320, at=t("13 20:00"))))[0] == "coat 2"


def test_all_done_leaves_nothing():
    assert kinds(trim(coat(1), coat(4))) == []


def test_stripping_begins_again():
    assert kinds(trim(coat(1), coat(4), Strip(piece="hatch trim", at=t("13 12:00"))))[0] == "coat 1"


def test_a_substitute_of_the_same_kind_counts():
    assert kinds(trim(coat(1), coat(1, "13 20:00", "slow varnish")))[:2] == ["sand", "coat 3"]


def test_another_material_does_not_count():
    assert len(kinds(trim(coat(1, product=UNDERCOAT.name)))) == 7


def test_one_more_one_fewer_and_skipped():
    assert kinds(trim(), Options(more=(("hatch trim", 1),)))[-1] == "coat 5"
    assert kinds(trim(), Options(more=(("hatch trim", -1),)))[-1] == "coat 3"
    assert kinds(trim(), Options(skip=(("hatch trim", "sand", 2),)))[:3] == ["coat 1", "coat 2", "sand"]
    assert kinds(trim(skip=["sand before coat 3"]))[2:5] == ["coat 2", "coat 3", "sand"]
    assert kinds(trim(), Options(dropped=frozenset({"hatch trim"}))) == []


def test_one_more_on_a_piece_with_ground_and_finish_goes_to_the_finish():
    state = job(TRIM, [
        {"do": "undercoat", "piece": "hatch trim", "coats": 1, "label": UNDERCOAT.name},
        {"do": "topcoat", "piece": "hatch trim", "coats": 1, "label": "white gloss"},
    ])  # fmt: skip
    more = work(state, shelf(), Options(more=(("hatch trim", 1),))).steps()
    assert [s.product for s in more if s.kind == "coat"] == [UNDERCOAT.name, "white gloss", "white gloss"]


def test_a_run_costs_one_coat_until_it_is_put_right():
    run = Fault(piece="hatch trim", fault="run", at=t("13 11:00"))
    assert kinds(trim(coat(1), run)) == ["sand", "coat 2", "sand", "coat 3", "sand", "coat 4", "sand", "coat 5"]
    right = Task(text="put the run right", piece="hatch trim", state="done", at=t("13 12:00"))
    assert kinds(trim(coat(1), run, right))[-1] == "coat 4"


def test_a_speck_of_dust_goes_in_the_next_rubbing_down():
    dust = Fault(piece="hatch trim", fault="dust", at=t("13 11:00"))
    assert "coat 5" not in kinds(trim(coat(1), dust))


def test_a_finer_paper_has_the_coarser_behind_it():
    bare = {"do": "varnish bare wood"}
    sanded = kinds(trim(Sand(piece="hatch trim", grit=120, at=t("13 09:00")), **bare))
    assert sanded[:2] == ["sand", "coat 1"]
    assert kinds(trim(Sand(piece="hatch trim", grit=80, at=t("13 09:00")), **bare))[:3] == ["sand", "sand", "coat 1"]


def test_tape_that_is_on_comes_off_after_the_last_coat():
    assert kinds(trim(Mask(piece="hatch trim", at=t("13 09:00"))))[-1] == "unmask"
    masked = kinds(trim(mask=True))
    assert masked[0] == "mask" and masked[-1] == "unmask"


def test_said_tasks_are_planned_too():
    said = Task(text="2 coats of amber varnish", piece="hatch trim", at=t("13 09:00"))
    assert kinds(job(TRIM, [], said)) == ["coat 1", "sand", "coat 2"]
    plain = work(job(TRIM, [], Task(text="fit the hinges", piece="hatch trim", at=t("13 09:00"))), shelf())
    assert [s.text for s in plain.steps()] == ["fit the hinges (hatch trim)"]
    assert any("30 minutes" in a for a in plain.assumes)


def test_done_and_dropped_tasks_are_gone():
    for state in ("done", "dropped"):
        assert kinds(trim(Task(text="varnish hatch trim", state=state, at=t("13 09:00")))) == []


def test_ground_before_finish_whatever_the_order_of_telling():
    state = job(TRIM, [
        {"do": "topcoat", "piece": "hatch trim", "coats": 1, "label": "white gloss"},
        {"do": "undercoat", "piece": "hatch trim", "coats": 1, "label": UNDERCOAT.name},
        {"do": "prime", "piece": "hatch trim", "coats": 1, "label": "primer"},
    ])  # fmt: skip
    assert [s.product for s in work(state, shelf()).steps() if s.lays] == ["primer", "grey undercoat", "white gloss"]


def test_a_circle_is_told_and_the_rest_is_planned():
    a = {"name": "a", "do": "a", "takes": "1 h", "after": ["b"]}
    b = {"name": "b", "do": "b", "takes": "1 h", "after": ["a"]}
    made = work(job(TRIM, [FOUR, a, b]), shelf())
    assert any("wait for each other" in p for p in made.problems)
    assert len(made.steps()) == 7


def test_long_work_is_cut_into_parts():
    made = work(job(TRIM, [{"do": "strip", "piece": "hatch trim", "takes": "8 h"}]), shelf()).steps()
    assert [round(s.minutes) for s in made] == [160, 160, 160]


def test_hands_wait_for_the_film_whatever_the_work_is_called() -> None:
    """A named job takes hold of the piece, an errand for it does not."""
    state = job(
        {"shelf": ("galley", 0.3)},
        [
            {"piece": "shelf", "do": "fit the brass strip", "takes": "30 min"},
            {"piece": "shelf", "do": "order the brass"},
        ],
    )
    waits = {s.text: s.waits for s in work(state, shelf()).steps()}
    assert sorted(map(str, waits.values())) == ["None", "handle"]
