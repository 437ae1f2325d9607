"""Corrections find the entry by what they say, and read back from what to what."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.dialogue.context import Begun, Context, Hints, Pending, Slot
from assistant.dialogue.talk import Refused, Unclear
from assistant.journal.events import Amend, Coat
from assistant.language.meanings import (
    Act,
    Answer,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    Group,
    Rule,
    Spell,
    Undo,
)
from assistant.language.when import Day, When
from assistant.quantity import Amount
from dialogue.build import t
from dialogue.typed import BOTH_DOORS, DOORS, Typed, clock, coat, day, deed, degrees, on, piece, product, sand, space

VARNISH = product("amber varnish")


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Typed]:
    talk = Typed(tmp_path)
    yield talk
    talk.close()


def right(**rest: object) -> Deed:
    return Deed(act=Act.OTHER, **rest)  # type: ignore[arg-type]


def changes(told: Typed) -> list[dict[str, object]]:
    return [e.changes for e in told.events if isinstance(e, Amend)]


def test_a_time_put_right_is_read_back_from_what_to_what(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,), when=clock(13)))
    assert told(Correction(right=right(when=clock(12, 30)))) == "First coat on the hatch trim: 12:30, was 13:00."
    assert told.state.work["hatch trim"][-1].at == t("2026-03-18 12:30")


def test_the_entry_is_found_by_its_piece_and_act_however_long_ago(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,)))
    told(sand(on("bulkhead"), 180))
    told(sand(on("cratch board"), 240))
    told(Correction(target=deed(Act.SAND, on("bulkhead")), right=right(grit=(120,))))
    assert [e.grit for e in told.state.work["bulkhead"]] == [120]
    told(Correction(target=coat(on("hatch trim")), right=right(coat=2)))
    assert told.state.coats["hatch trim"] == {"amber varnish": 2}


def test_two_that_fit_are_asked_about_and_the_answer_is_taken(told):
    told(sand(on("port cabin door"), 180))
    told(sand(on("starboard cabin door"), 180))
    told(deed(Act.CLEAN, on("hatch trim")))
    reply = told(Correction(target=deed(Act.SAND, on(piece(*DOORS))), right=right(grit=(120,), when=clock(12))))
    assert reply.startswith("Which one")
    assert told.events == []
    told(Answer(words="the port one"))
    assert [e.grit for e in told.state.work["port cabin door"]] == [120]
    assert [e.grit for e in told.state.work["starboard cabin door"]] == [180]


def test_several_that_are_named_are_put_right_together(told):
    told(sand(on("port cabin door"), 180))
    told(sand(on("starboard cabin door"), 240))
    told(Correction(target=deed(Act.SAND, on(piece(*DOORS, plural=True))), right=right(grit=(120,))))
    assert [c["grit"] for c in changes(told)] == [120, 120]


def test_what_several_have_in_common_is_put_right_for_all(told):
    told(sand(BOTH_DOORS, 180))
    told(Correction(numbers=(240.0,)))
    assert [c["grit"] for c in changes(told)] == [240, 240]


def test_none_that_fits_changes_nothing_and_says_so(told):
    told(sand(on("hatch trim"), 180))
    with pytest.raises(Unclear, match="no such entry"):
        told(Correction(target=coat(on("bulkhead")), right=right(coat=2)))
    with pytest.raises(Unclear, match="nothing to change"):
        told(Correction(numbers=(180.0,)))


def test_nothing_to_put_right_at_all(told):
    with pytest.raises(Unclear):
        told(Correction(right=right(when=clock(12))))


def test_of_two_pieces_of_a_name_the_one_that_is_not_there_is_meant(told):
    told(sand(on("port cabin door"), 180))
    reply = told(Correction(right=right(pieces=on(piece(*DOORS)))))
    assert "the starboard cabin door, was the port cabin door" in reply
    assert told.context.pieces == ("starboard cabin door",)


def test_another_day_keeps_the_time_of_it(told):
    told(sand(on("hatch trim"), 180, when=clock(10)))
    told(Correction(right=right(when=day(1)), wrong=right(when=day(0))))
    assert told.state.work["hatch trim"][-1].at == t("2026-03-17 10:00")
    with pytest.raises(Refused):
        told(Correction(right=right(when=day(-1))))


def test_a_clock_time_puts_an_entry_right_on_its_own_day(told):
    told(sand(on("hatch trim"), 180, when=When(clock=clock(13).clock, day=Day(back=1))))
    told(Correction(right=right(when=clock(12, 30))))
    assert told.state.work["hatch trim"][-1].at == t("2026-03-17 12:30")
    told(Correction(numbers=(4.0,)))  # no grit is that coarse: a time of that day, in the afternoon
    assert told.state.work["hatch trim"][-1].at == t("2026-03-17 16:00")
    told.at("2026-03-18 00:50")(sand(on("bulkhead"), 180))
    told(Correction(right=right(when=clock(11, 30))))
    assert told.state.work["bulkhead"][-1].at == t("2026-03-17 23:30")


def test_bare_numbers_take_the_role_that_the_entry_has(told):
    told(Spell(spaces=(space("galley"),), temperature=degrees(14)))
    assert told(Correction(numbers=(16.0,))) == "The galley: 16 degrees, was 14 degrees."
    told(deed(Act.MIX, products=(product("tread epoxy"),), amount=Amount(60, "ml")))
    told(Correction(numbers=(90.0,)))
    assert told.state.mixes[-1].amount == Amount(90, "ml")
    assert told.state.mixes[-1].parts == (("resin", Amount(60, "ml")), ("hardener", Amount(30, "ml")))
    told(coat(on("hatch trim"), 2, products=(VARNISH,)))
    told(Correction(numbers=(3.0,)))
    assert changes(told) == [{"coat": 3}]
    told(Correction(numbers=(10.0,)))  # no number of a coat: a time
    assert told.state.work["hatch trim"][-1].at == t("2026-03-18 10:00")


def test_a_number_of_two_roles_is_asked_about(told):
    told(Spell(spaces=(space("galley"),), temperature=degrees(14), humidity=Amount(60, "percent")))
    assert told(Correction(numbers=(16.0,))) == "16: 16 degrees or 16 percent humidity?"
    assert told.events == []
    told(Answer(words="humidity"))
    assert told.state.climate[-1].humidity == Amount(16, "percent")
    told(coat(on("hatch trim"), 2, products=(VARNISH,), when=clock(13)))
    assert "the first coat or at" in told(Correction(numbers=(1.0,))) or "coat" in told(Correction(numbers=(3.0,)))


def test_product_fault_and_what_was_done(told):
    told(coat(on("bulkhead"), 1, products=(VARNISH,)))
    assert "grey primer, was amber varnish" in told(Correction(right=right(products=(product("grey primer"),))))
    told(Flaw(fault="run", pieces=on("bulkhead")))
    assert "sag, was run" in told(Correction(fault="sag"))
    told(deed(Act.CLEAN, on("hatch trim")))
    reply = told(Correction(right=Deed(act=Act.SAND, verb="sand")))
    assert [e.kind for e in told.events] == ["undo", "sand"]
    assert "was cleaning the hatch trim" in reply


def test_the_time_of_a_reminder_and_of_the_deadline_is_one_to_come(told):
    told(Errand(text="order hinges", force=Force.ORDERED, ring=clock(18)))
    assert told(Correction(numbers=(7.0,))) == "Order hinges: 19:00, was 18:00."
    assert changes(told) == [{"ring": t("2026-03-18 19:00").isoformat()}]
    told(Rule(rule="deadline", end=When(day=Day(back=-3))))
    assert "20:00 on Saturday, was 18:00 on Saturday" in told(Correction(right=right(when=clock(20))))
    told(Rule(rule="quiet", start=clock(21), end=clock(7)))
    with pytest.raises(Unclear):
        told(Correction(right=right(when=clock(20))))


def test_after_what_was_not_read_a_correction_asks_first(told):
    told(sand(on("hatch trim"), 180))
    told(deed(Act.OTHER, on("bulkhead"), held="slotted"), phrase="slotted the bulkhead")
    assert "Change sanding the hatch trim with 180" in told(Correction(numbers=(240.0,)))
    assert told.events == []
    told(Answer(yes=True))
    assert [e.grit for e in told.state.work["hatch trim"]] == [240]


# -- taking back ------------------------------------------------------------------------------


def test_the_last_entry_of_the_talk_is_taken_back_and_named(told):
    told(sand(on("hatch trim"), 180))
    told(sand(on("bulkhead"), 180))
    assert told(Undo()).startswith("Taken back: sanding the bulkhead with 180")
    assert told(Undo()).startswith("Taken back: sanding the hatch trim with 180")
    with pytest.raises(Unclear):
        told(Undo())


def test_a_correction_is_taken_back_before_what_it_put_right(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,), when=clock(13)))
    told(Correction(right=right(when=clock(12, 30))))
    assert "so it is first coat of amber varnish on the hatch trim at 13:00" in told(Undo())
    assert told.state.work["hatch trim"][-1].at == t("2026-03-18 13:00")
    told(Correction(right=right(when=clock(12))))
    told(Correction(right=right(coat=2)))  # a second correction is of the entry, not of the first
    assert told.state.coats["hatch trim"] == {"amber varnish": 2}
    told(Undo(count=3))
    assert not told.state.work.get("hatch trim")


def test_the_one_described_is_taken_back(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,)))
    told(sand(on("bulkhead"), 180))
    told(Undo(target=coat(on("hatch trim"), 1)))
    assert not any(isinstance(e, Coat) for e in told.state.work.get("hatch trim", ()))
    assert told.state.work["bulkhead"]
    with pytest.raises(Unclear, match="nothing like that"):
        told(Undo(target=coat(on("cratch board"))))


def test_two_described_alike_are_asked_about(told):
    told(sand(on("hatch trim"), 180))
    told(deed(Act.CLEAN, on("hatch trim")))
    assert told(Undo(target=right(pieces=on("hatch trim")))).startswith("Which one")
    told(Answer(coat=1))
    assert [e.kind for e in told.state.work["hatch trim"]] == ["clean"]


def test_a_denial_takes_back_just_what_it_denies(told):
    told(sand(BOTH_DOORS, 180))
    told(sand(BOTH_DOORS, force=Force.DENIED))
    assert [e.kind for e in told.events] == ["undo"]
    assert told(sand(on("hatch trim"), force=Force.DENIED)) == "Then there is nothing to log."
    told(sand(on("hatch trim"), 180))
    told(sand(on("bulkhead"), 180))
    assert "Take it back?" in told(sand(on("hatch trim"), force=Force.DENIED))
    assert told.events == []
    assert told(Answer(yes=False)) == "dropped"
    assert told.state.work["hatch trim"]


def test_a_denial_of_no_act_in_particular_takes_nothing_back_by_itself(told):
    told(sand(on("hatch trim"), 180))
    told(Deed(act=Act.OTHER, pieces=on("hatch trim"), force=Force.DENIED))
    assert told.events == []


# -- the context ------------------------------------------------------------------------------


def test_the_context_comes_back_from_json_as_it_went():
    context = Context(
        query={"what": "ready"}, answer=[1], batches=((1, 2), (3,)), pieces=("hatch trim",), product="amber varnish",
        space="galley", act=Act.SAND, coat=2, at=t("2026-03-18 14:00"), unread=(7,), unread_last=True,
        begun=(Begun(Act.COAT, ("bulkhead",), t("2026-03-18 13:00")),), cautioned={"dust": "2026-03-18"},
        pending=Pending(
            "x", t("2026-03-18 13:59"), Slot.PIECE, ("a", "b"), "v", 1,
            (Hints(pieces=("a",), amount=Amount(5, "ml"), laid=False, at=t("2026-03-18 10:00")), Hints(1, sure=True)),
        ),
    )  # fmt: skip
    assert Context.from_json(context.to_json()) == context
    assert Context.from_json({"at": 3, "batches": "x"}) == Context()
    assert Context.from_json({}) == Context()


def test_a_question_lets_the_context_stand_as_it_was(told):
    told(sand(on("hatch trim"), 180))
    before = told.context.to_json()
    told(sand(on("bulkhead"), 180), coat(Group(unknown="thing")))
    after = told.context.to_json()
    after.pop("pending")
    assert after == before
