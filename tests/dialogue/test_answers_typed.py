"""Short answers to questions back: what counts as one, and what is something new."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.dialogue.talk import Refused
from assistant.language.meanings import (
    Act,
    Answer,
    Deed,
    Errand,
    Force,
    Group,
    Quantifier,
    Remark,
    Spell,
    TinFact,
    Undo,
)
from assistant.quantity import Amount
from dialogue.typed import DOORS, Typed, clock, coat, deed, on, piece, product, sand, space

VARNISH = product("amber varnish")


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Typed]:
    talk = Typed(tmp_path)
    yield talk
    talk.close()


def asked_which_door(told: Typed) -> None:
    assert "Which one" in told(sand(on(piece(*DOORS)), 180))


@pytest.mark.parametrize(
    ("answer", "sanded"),
    [
        (Answer(pieces=on("port cabin door")), ["port cabin door"]),
        (Answer(words="port"), ["port cabin door"]),
        (Answer(words="the starboard one"), ["starboard cabin door"]),
        (Answer(coat=2), ["starboard cabin door"]),  # "the second"
        (Answer(pieces=Group(quantifier=Quantifier.BOTH)), list(DOORS)),
        (Deed(act=Act.COAT, pieces=on("port cabin door")), ["port cabin door"]),
    ],
    ids=repr,
)
def test_ways_to_say_which(told, answer, sanded):
    asked_which_door(told)
    told(answer, Remark(words="cheers"))
    assert [e.piece for e in told.events] == sanded
    assert {e.kind for e in told.events} == {"sand"}


def test_a_new_statement_is_no_answer(told):
    asked_which_door(told)
    told(coat(on("port cabin door"), 2, products=(VARNISH,)))
    assert [e.kind for e in told.events] == ["coat"]
    assert told.asked is None


def test_a_bare_yes_says_not_which(told):
    asked_which_door(told)
    assert "asked you nothing" in told(Answer(yes=True))
    assert told.events == []


def test_no_drops_it(told):
    asked_which_door(told)
    assert told(Answer(yes=False)) == "dropped"
    assert told.events == []


def test_scratch_that_drops_the_question_and_takes_nothing_back(told):
    told(sand(on("hatch trim"), 180))
    asked_which_door(told)
    assert told(Undo()) == "dropped"
    assert told.state.work["hatch trim"]


def test_scratch_that_after_what_was_refused_asks_first(told):
    told(sand(on("hatch trim"), 180))
    with pytest.raises(Refused):
        told(sand(on("hatch trim"), 7))
    assert "Take back" in told(Undo())


def test_a_question_does_not_wait_for_ever(told):
    asked_which_door(told)
    told.at("2026-03-18 15:00")
    told(Answer(pieces=on("port cabin door")))
    assert told.events == []


def test_the_time_is_that_of_the_first_phrase(told):
    asked_which_door(told)
    told.at("2026-03-18 14:20")(Answer(words="port"))
    assert f"{told.events[0].at:%H:%M}" == "14:00"


def test_figures_for_what_was_asked(told):
    assert told(Spell(spaces=(space("galley"),), heating=None)) == "To what temperature?"
    told(Answer(numbers=(15.0,)))
    assert (told.events[0].temperature, told.events[0].space) == (Amount(15, "degC"), "galley")
    assert told(TinFact(change="used", products=(VARNISH,))) == "How much of it?"
    told(Answer(amount=Amount(80, "ml")))
    assert told.events[0].amount == Amount(80, "ml")


def test_on_or_to_do(told):
    told(coat(on("hatch trim"), 1, products=(VARNISH,)))
    told(coat(on("hatch trim"), another=True))
    assert "One more than the 4 planned" in told(Errand(text="to do", force=Force.ORDERED))
    told(Answer(yes=True))
    assert [e.text for e in told.events] == ["5 coats of amber varnish on the hatch trim"]
    told.at("2026-03-18 15:00")(coat(on("hatch trim"), another=True))
    told(deed(Act.COAT, Group()))
    assert [e.kind for e in told.events] == ["coat"]


def test_scratch_that_twice_means_it(told):
    told(sand(on("hatch trim"), 180))
    told(deed(Act.OTHER, held="slotted"), phrase="slotted it")
    assert "Take back" in told(Undo())
    assert told(Undo()).startswith("Taken back: sanding the hatch trim")


def test_till_when_takes_a_day_to_come(told):
    told(sand(on("hatch trim"), put_off=True, force=Force.MEANT))
    told(Answer(when=clock(18)))
    assert f"{told.events[0].not_before:%d %H:%M}" == "18 18:00"
