"""What is to come goes on the list: coats in set words, put off and given up, errands with their times."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.craft.wanted import said_skips, wanted
from assistant.dialogue.talk import Refused, Unclear
from assistant.journal.events import Task
from assistant.language.meanings import Act, Answer, Errand, Force, TinFact
from assistant.language.when import Day, When
from assistant.quantity import Amount
from dialogue.build import t
from dialogue.typed import Typed, clock, coat, day, deed, on, product, sand

VARNISH = product("amber varnish")
FRIDAY = When(day=Day(weekday=4))


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Typed]:
    talk = Typed(tmp_path)
    yield talk
    talk.close()


def tasks(told: Typed) -> list[Task]:
    assert all(isinstance(e, Task) for e in told.events)
    return [e for e in told.events if isinstance(e, Task)]


def wants(told: Typed, piece: str) -> dict[str, int]:
    return {w.label: w.coats for w in wanted(told.state) if w.piece == piece}


def test_a_mere_plan_is_no_task_and_changes_no_plan(told):
    before, planned = told.count(), dict(told.state.plans)
    for said in (
        coat(on("galley shelf"), count=3, products=(VARNISH,), force=Force.MEANT),
        coat(on("hatch trim"), force=Force.MEANT, when=day(-1)),
        sand(on("hatch trim"), 240, force=Force.MEANT, due=clock(18)),
        Errand(text="order hinges", force=Force.MEANT),
    ):
        assert "Nothing logged" in told(said)
        assert told.events == []
    assert (told.count(), dict(told.state.plans)) == (before, planned)


def test_coats_put_on_the_list_are_what_the_plan_goes_by(told):
    reply = told(coat(on("galley shelf"), count=3, products=(VARNISH,), force=Force.ORDERED))
    assert wants(told, "galley shelf") == {"amber varnish": 3}
    assert "3 coats of amber varnish on the galley shelf" in reply
    told(coat(on("hatch trim"), count=6, force=Force.ORDERED))
    assert wants(told, "hatch trim") == {"amber varnish": 6}


def test_a_day_for_a_planned_coat_is_the_plans_own_entry(told):
    told(coat(on("hatch trim"), force=Force.ORDERED, when=day(-1)))
    (task,) = tasks(told)
    assert task.text in told.state.plans
    assert task.not_before is not None
    assert task.not_before.date() == t("2026-03-19 12:00").date()
    assert wants(told, "hatch trim") == {"amber varnish": 4}


def test_put_off_is_a_task_with_its_day_and_never_a_coat(told):
    reply = told(coat(on("bulkhead"), kind="undercoat", put_off=True, force=Force.MEANT, not_before=FRIDAY))
    (task,) = tasks(told)
    assert task.not_before.date() == t("2026-03-20 12:00").date()
    assert reply.startswith("Put off")
    assert "Friday" in reply
    assert told(coat(on("bulkhead"), put_off=True, force=Force.MEANT)) == "Till when?"
    told(Answer(when=FRIDAY))
    assert tasks(told)[0].not_before.date() == t("2026-03-20 12:00").date()


def test_one_more_may_be_one_more_than_planned_or_the_next(told):
    assert "One more than the 4 planned" in told(coat(on("hatch trim"), another=True, force=Force.ORDERED))
    told(Answer(yes=True))
    assert wants(told, "hatch trim") == {"amber varnish": 5}


def test_what_the_plan_has_already_goes_by_the_plans_name_and_adds_no_coat(told):
    told(coat(on("hatch trim"), 2, force=Force.ORDERED))
    assert [x.text in told.state.plans for x in tasks(told)] == [True]
    assert wants(told, "hatch trim") == {"amber varnish": 4}


def test_given_up_is_dropped_from_the_plan(told):
    told(coat(on("hatch trim"), dropped=True, force=Force.MEANT))
    assert wants(told, "hatch trim") == {}
    with pytest.raises(Refused):
        told(coat(on("galley shelf"), dropped=True, force=Force.MEANT))


def test_sanding_given_up_is_a_step_left_out(told):
    told(sand(on("hatch trim"), dropped=True, coat=3, force=Force.MEANT))
    assert ("hatch trim", "sand", 3) in set(said_skips(told.state))
    assert any("key" in c for c in told.cautions)


def test_other_work_is_put_on_in_the_words_of_the_trade(told):
    told(sand(on("hatch trim"), 240, force=Force.ORDERED, due=clock(18)))
    (task,) = tasks(told)
    assert (task.text, task.piece, task.due) == ("sand the hatch trim with 240", "hatch trim", t("2026-03-18 18:00"))
    told(deed(Act.UNMASK, on("bulkhead"), force=Force.ORDERED))
    assert tasks(told)[0].text == "take the tape off the bulkhead"


def test_work_without_a_kind_is_listed_in_the_words_that_were_said(told):
    words = "oil the hinge of the port door"
    reply = told(deed(Act.OTHER, on("port cabin door"), force=Force.ORDERED, unused=("hinge",), words=words))
    assert (tasks(told)[0].text, tasks(told)[0].piece) == ("oil the hinge of the port door", "port cabin door")
    assert "left out" not in reply


def test_an_errand_with_its_ring_its_day_and_its_end(told):
    reply = told(Errand(text="order hinges", force=Force.ORDERED, ring=clock(18), due=FRIDAY))
    (task,) = tasks(told)
    assert (task.ring, task.state) == (t("2026-03-18 18:00"), "open")
    assert task.due is not None
    assert "reminding you at 18:00" in reply
    told(Errand(text="hinges ordered"))
    assert tasks(told)[0] == Task(
        id=tasks(told)[0].id, text="order hinges", state="done", at=tasks(told)[0].at, said_at=tasks(told)[0].said_at
    )
    with pytest.raises(Unclear):
        told(Errand(text="paint the sky", dropped=True))


def test_a_job_done_ticks_off_no_other_of_the_same_piece(told):
    told(sand(on("bulkhead"), force=Force.ORDERED))
    told(deed(Act.OTHER, on("bulkhead"), words="measured the bulkhead"))
    assert [e.kind for e in told.events] == ["note"]
    told(Errand(text="measure the bulkhead"))
    assert tasks(told)[0].text == "measure the bulkhead"
    assert any(x.text == "sand the bulkhead" and x.state == "open" for x in told.state.tasks)


def test_two_jobs_as_near_are_asked_about(told):
    told(Errand(text="order hinges", force=Force.ORDERED))
    told(Errand(text="oil hinges", force=Force.ORDERED))
    assert told(Errand(text="hinges")).startswith("Which")
    assert told.events == []
    told(Answer(words="the oil one"))
    assert [(x.text, x.state) for x in tasks(told)] == [("oil hinges", "done")]


def test_an_errand_after_an_entry_of_the_plan_waits_for_it_by_name(told):
    told(Errand(text="hang the pictures", force=Force.ORDERED, after="the bulkhead"))
    (task,) = tasks(told)
    assert task.after in told.state.plans


def test_tins_to_be_bought_are_an_errand(told):
    told(TinFact(change="bought", products=(VARNISH,), count=2, amount=Amount(750, "ml"), force=Force.ORDERED))
    assert [x.text for x in tasks(told)] == ["buy 2 tins of 750 ml of amber varnish"]
