"""Coats, sanding and the plain acts, as typed meanings on the Linnet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time, timedelta
from pathlib import Path

import pytest

from assistant.dialogue.talk import Refused, Unclear
from assistant.journal.events import Coat, Sand, Task, Tin, to_json
from assistant.language.meanings import Act, Answer, Deed, Force, Group, Quantifier, Same
from assistant.language.when import Day, When
from assistant.quantity import Amount
from dialogue.build import t
from dialogue.typed import (
    BOTH_DOORS,
    DOORS,
    IT,
    OTHER,
    THEM,
    Typed,
    clock,
    coat,
    day,
    deed,
    on,
    piece,
    product,
    sand,
    space,
)

VARNISH = product("amber varnish")
PRIMER = product("grey primer")
UNDERCOAT = product("white undercoat")


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Typed]:
    talk = Typed(tmp_path)
    yield talk
    talk.close()


def coats(told: Typed) -> list[tuple[str, int, str | None]]:
    return [(e.piece, e.coat, e.product) for e in told.events if isinstance(e, Coat)]


def test_a_coat_with_all_that_was_said_of_it(told):
    reply = told(coat(on("hatch trim"), 1, products=(VARNISH,), when=clock(10), thinned=Amount(10, "percent")))
    assert reply == "First coat of amber varnish on the hatch trim, thinned 10 percent, 10:00."
    (event,) = told.events
    assert (event.at, event.thinned) == (t("2026-03-18 10:00"), Amount(10, "percent"))


def test_a_thinned_coat_over_the_labels_most_is_cautioned(told):
    told(coat(on("hatch trim"), 1, thinned=Amount(20, "percent")))
    assert any("10 percent at most" in c for c in told.cautions)


def test_coats_are_counted_on_and_a_doubled_or_skipped_number_is_cautioned(told):
    told(coat(on("hatch trim")))
    told.at("2026-03-19 14:00")(coat(on("hatch trim")))
    assert coats(told) == [("hatch trim", 2, "amber varnish")]
    told.at("2026-03-20 14:00")(coat(on("hatch trim"), 2))
    assert any("has 2 already" in c for c in told.cautions)
    told.at("2026-03-21 14:00")(coat(on("hatch trim"), 4))
    assert any("was one not logged" in c for c in told.cautions)


def test_the_last_coat_is_held_against_the_plan(told):
    told(coat(on("hatch trim"), final=True))
    assert any("The plan has 4" in c for c in told.cautions)


def test_a_group_is_named_whole(told):
    reply = told(coat(BOTH_DOORS, 1, products=(UNDERCOAT,), verb="put on"))
    assert reply == "First coat of white undercoat on the port cabin door and the starboard cabin door, 14:00."
    assert coats(told) == [(d, 1, "white undercoat") for d in DOORS]


def test_two_products_on_one_piece_are_one_coat_each(told):
    told(coat(on("port cabin door"), products=(PRIMER, UNDERCOAT), verb="put on"))
    assert coats(told) == [("port cabin door", 1, "grey primer"), ("port cabin door", 1, "white undercoat")]


def test_two_products_on_two_pieces_are_asked_about(told):
    assert "Which of them" in told(coat(BOTH_DOORS, products=(PRIMER, UNDERCOAT), verb="put on"))
    assert told.events == []


def test_the_product_comes_of_the_verb_the_plan_or_the_last_coat_and_of_no_other_piece(told):
    told(coat(on("bulkhead"), kind="primer", verb="prime"))
    assert coats(told) == [("bulkhead", 1, "grey primer")]
    told(coat(on("cratch board"), 1))
    assert coats(told) == [("cratch board", 1, "amber varnish")]
    reply = told(coat(on("galley shelf"), 1))  # nothing planned, nothing on it: not the varnish of before
    assert coats(told) == [("galley shelf", 1, None)]
    assert "Of what?" in reply
    assert told(Answer(products=(UNDERCOAT,))) == "White undercoat it was."
    assert told.state.coats["galley shelf"] == {"white undercoat": 1}


def test_a_number_that_fits_the_planned_and_the_last_product_alike_is_asked_about(told):
    told(coat(on("bulkhead"), kind="primer", verb="prime"))
    assert "white undercoat or grey primer" in told(coat(on("bulkhead"), 2))
    told(Answer(products=(UNDERCOAT,)))
    assert coats(told) == [("bulkhead", 2, "white undercoat")]
    told(coat(on("bulkhead"), 3))
    assert coats(told) == [("bulkhead", 3, "white undercoat")]


def test_the_answer_for_one_piece_is_not_carried_over_to_another(told):
    told(coat(on("bulkhead"), kind="primer", verb="prime"))
    told(coat(on("bulkhead", "hatch trim", "galley shelf"), 2, verb="coat"))
    told(Answer(products=(UNDERCOAT,)))
    assert coats(told) == [
        ("bulkhead", 2, "white undercoat"), ("hatch trim", 2, "amber varnish"), ("galley shelf", 2, None)
    ]  # fmt: skip


def test_each_clause_asks_for_itself(told):
    before = told.count()
    assert "Which one" in told(sand(on(piece(*DOORS)), 180), sand(on(piece("hatch trim", "companionway trim")), 80))
    assert "Which one" in told(Answer(pieces=on("port cabin door")))
    assert told.count() == before
    told(Answer(pieces=on("companionway trim")))
    assert [(e.piece, e.grit) for e in told.events] == [("port cabin door", 180), ("companionway trim", 80)]
    assert "Which one" in told(sand(on(piece("hatch trim", "cratch board"), piece("bulkhead", "galley shelf")), 120))
    assert "Which one" in told(Answer(pieces=on("cratch board")))
    told(Answer(pieces=on("bulkhead")))
    assert [e.piece for e in told.events] == ["cratch board", "bulkhead"]


def test_two_coats_at_once_are_asked_about_once(told):
    reply = told(coat(on("galley shelf"), count=2, products=(VARNISH,), verb="put on"))
    assert "when did each go on" in reply
    assert told.events == []
    told(Answer(coat=2))
    assert coats(told) == [("galley shelf", 2, "amber varnish")]


def test_a_coat_goes_on_a_part(told):
    half = Group(names=(piece("bulkhead"),), part="bottom half")
    reply = told(coat(half, 1, products=(PRIMER,)))
    assert reply.startswith("First coat of grey primer on the bottom half of the bulkhead")
    assert to_json(told.events[0])["part"] == "bottom half"


def test_the_other_half_is_the_same_coat_and_no_doubled_one(told):
    def half(part: str) -> Group:
        return Group(names=(piece("bulkhead"),), part=part)

    told(coat(half("bottom half"), products=(PRIMER,), verb="prime"))
    told(coat(half("top half"), products=(PRIMER,), verb="prime"))
    assert coats(told) == [("bulkhead", 1, "grey primer")]
    assert not any("already" in c for c in told.cautions)
    told.at("2026-03-19 14:00")(coat(half("top half"), products=(PRIMER,), verb="prime"))
    assert coats(told) == [("bulkhead", 2, "grey primer")]


def test_figures_that_an_entry_has_no_place_for_are_named(told):
    reply = told(sand(on("hatch trim"), 180, coat=2, amount=Amount(60, "ml"), products=(VARNISH,)))
    assert reply.endswith("I left out: amber varnish, second coat and 60 ml.")


def test_what_was_used_comes_off_the_tin(told):
    told(coat(on("hatch trim"), products=(VARNISH,), amount=Amount(60, "ml"), verb="put on"))
    assert [e.amount for e in told.events if isinstance(e, Tin)] == [Amount(60, "ml")]


def test_filler_lays_no_coat(told):
    told(coat(on("bulkhead"), products=(product("fairing filler"),), verb="spread"))
    assert [e.kind for e in told.events] == ["fill"]


def test_a_time_to_come_is_refused_for_what_is_done(told):
    with pytest.raises(Refused, match="still to come"):
        told(coat(on("hatch trim"), 1, when=When(clock=clock(9).clock, day=Day(back=-1))))
    assert told.events == []


def test_a_vague_time_is_kept_as_a_window_and_read_back_as_one(told):
    vague = When(window=(time(9, 30), time(11, 0)))
    reply = told(coat(on("hatch trim"), 1, when=vague))
    (event,) = told.events
    assert event.between == (t("2026-03-18 09:30"), t("2026-03-18 11:00"))
    assert event.at == t("2026-03-18 10:15")
    assert "about 10:15" in reply


def test_a_day_alone_is_read_back_by_its_ends(told):
    reply = told(sand(on("hatch trim"), 180, when=day(1)))
    assert "between" in reply
    assert "yesterday" in reply
    assert told.events[0].at.date() == t("2026-03-17 12:00").date()


def test_begun_and_took(told):
    told(sand(on("hatch trim"), when=clock(13), began=clock(12)))
    assert told.events[0].began == t("2026-03-18 12:00")
    reply = told(sand(on("bulkhead"), when=clock(13), took=timedelta(minutes=40)))
    assert told.events[0].began == t("2026-03-18 12:20")
    assert "40 minutes" in reply
    with pytest.raises(Refused):
        told(sand(on("bulkhead"), when=clock(13), began=clock(13, 30, 13)))


def test_under_way_is_no_coat_and_its_beginning_is_kept(told):
    assert told(coat(on("galley shelf"), force=Force.UNDERWAY)) == "Coating the galley shelf. Tell me when it is on."
    assert told.events == []
    told(coat(on("galley shelf"), products=(VARNISH,), verb="varnish"))
    assert told.events[0].began == t("2026-03-18 14:00")


def test_what_could_not_be_used_is_named(told):
    reply = told(sand(on("hatch trim"), 180, unused=("with the good brush",)))
    assert reply.endswith('I left out: "with the good brush".')


def test_sanding_through_the_grits(told):
    reply = told(sand(on("hatch trim"), 120, 180))
    assert [e.grit for e in told.events if isinstance(e, Sand)] == [120, 180]
    assert "with 120 then 180" in reply
    with pytest.raises(Refused):
        told(sand(on("hatch trim"), 7))


def test_it_them_and_the_other(told):
    told(sand(on("port cabin door"), 180))
    told(deed(Act.CLEAN, IT))
    assert [e.piece for e in told.events] == ["port cabin door"]
    told(deed(Act.CLEAN, OTHER))
    assert [e.piece for e in told.events] == ["starboard cabin door"]
    told(sand(BOTH_DOORS, 240))
    told(deed(Act.CLEAN, THEM))
    assert [e.piece for e in told.events] == list(DOORS)


def test_in_one_breath_it_is_what_was_named_before(told):
    told(sand(on("hatch trim"), 180), deed(Act.CLEAN, IT), coat(IT, 1, verb="coat"))
    assert [(e.kind, e.piece) for e in told.events] == [
        ("sand", "hatch trim"), ("clean", "hatch trim"), ("coat", "hatch trim")
    ]  # fmt: skip


def test_a_clause_without_a_verb_takes_the_number_of_the_one_before(told):
    other = coat(on("companionway trim"), products=(VARNISH,), gapped=True, when=clock(13))
    told(coat(on("hatch trim"), 2, products=(VARNISH,), when=clock(12, 30)), other)
    assert coats(told) == [("hatch trim", 2, "amber varnish"), ("companionway trim", 2, "amber varnish")]
    assert [e.at for e in told.events] == [t("2026-03-18 12:30"), t("2026-03-18 13:00")]


def test_the_rest_are_those_that_have_not_had_it_today(told):
    told(sand(on("bulkhead"), 180))
    told(sand(on("port cabin door"), 180))
    rest = Group(quantifier=Quantifier.REST, spaces=(space("galley"),))
    told(sand(rest, 180))
    assert {e.piece for e in told.events} == {"starboard cabin door", "galley shelf"}


def test_glue_tape_and_what_has_no_event(told):
    told(deed(Act.BOND, on("step treads")))
    assert told.events[0].product == "tread epoxy"
    told(deed(Act.MASK, on("hatch trim")))
    told(deed(Act.UNMASK))
    assert told.events[0].piece == "hatch trim"
    told(deed(Act.UNFIT, on("port cabin door"), words="took the port door down"))
    assert told.events[0].kind == "note"
    told(deed(Act.CLEAN, Group(spaces=(space("galley"),)), words="swept the galley"))
    assert told.events[0].kind == "note"


def test_a_stripped_varnish_is_what_came_off(told):
    reply = told(deed(Act.STRIP, on("hatch trim"), products=(VARNISH,)))
    assert told.events[0].product is None
    assert "amber varnish off it" in reply


def test_the_same_again_on_another(told):
    told(coat(on("hatch trim"), 2, products=(VARNISH,), when=clock(12)))
    told(Same(pieces=on("companionway trim"), when=clock(13), coat=2))
    assert coats(told) == [("companionway trim", 2, "amber varnish")]
    told(Same(pieces=on("cratch board"), source=on("hatch trim")))
    assert coats(told) == [("cratch board", 1, "amber varnish")]
    with pytest.raises(Unclear):
        told(Same(pieces=on("cratch board"), source=on("galley shelf")))


def test_one_more_coat_too_soon_may_be_a_wish(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,)))
    assert "Is it on, or is it to do?" in told(coat(on("hatch trim"), another=True))
    assert told.events == []
    told(Answer(yes=True))
    assert coats(told) == [("hatch trim", 2, "amber varnish")]


def test_a_job_on_the_list_is_ticked_off_when_it_is_done(told):
    told(sand(on("hatch trim"), 240, force=Force.ORDERED))
    assert [e.state for e in told.events if isinstance(e, Task)] == ["open"]
    assert "ticked off" in told(sand(on("hatch trim"), 240))
    assert [e.state for e in told.events if isinstance(e, Task)] == ["done"]


def test_a_hazard_is_said_once_a_day(told):
    told(sand(on("hatch trim"), 180))
    assert any("FFP3" in c for c in told.cautions)
    told(sand(on("bulkhead"), 180))
    assert not any("FFP3" in c for c in told.cautions)
    told.at("2026-03-19 14:00")(sand(on("bulkhead"), 240))
    assert any("FFP3" in c for c in told.cautions)


def test_nothing_said_and_nothing_spoken_of_is_asked_about(told):
    assert told(Deed(act=Act.SAND, verb="sand")) == "On which piece?"
    assert told.events == []
