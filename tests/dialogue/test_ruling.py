"""Only what was done is logged as done: every act in every force."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from assistant.dialogue.ruling import TABLE, Ruling, rule
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.language import meanings
from assistant.language.meanings import (
    Act,
    Answer,
    Deed,
    Errand,
    Flaw,
    Force,
    Group,
    Quantifier,
    Question,
    Rule,
    Spell,
    TinFact,
)
from assistant.quantity import Amount
from dialogue.typed import Typed, clock, coat, day, degrees, on, product, sand, space

#: What the journal tells of as work done; a task, a note and words kept unread are none.
DONE_KINDS = {"coat", "sand", "fill", "strip", "clean", "mask", "unmask", "bond", "fit", "mix", "fault", "tin", "gear"}


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Typed]:
    talk = Typed(tmp_path_factory.mktemp("ruling"))
    yield talk
    talk.close()


SHELVES = ("bulkhead", "galley shelf")


def kinds(told: Typed, *said: meanings.Meaning) -> set[str]:
    told.events = []
    try:
        told(*said)
    except (Refused, Unclear):
        return set()
    return {e.kind for e in told.events}


@pytest.mark.parametrize("act", list(Act))
@pytest.mark.parametrize("force", list(Force))
def test_only_done_yields_acts(told: Typed, act: Act, force: Force) -> None:
    told.context = type(told.context)()
    said = Deed(
        act=act, verb=act.value, pieces=on("hatch trim"), force=force, words=f"{act} the hatch trim",
        products=(product("tread epoxy"),) if act is Act.MIX else (),
        amount=Amount(60, "ml") if act is Act.MIX else None,
    )  # fmt: skip
    found = kinds(told, said)
    if force is Force.DONE:
        assert found == {act.value if act.value in DONE_KINDS else "note"}
    elif force is Force.ORDERED:  # a mere plan may come to nothing: only what is wanted on the list goes there
        assert found == {"task"}
    elif force is Force.DENIED:
        assert found <= {"undo"}
    else:
        assert found == set()


@pytest.mark.parametrize("force", [f for f in Force if f is not Force.DONE])
@pytest.mark.parametrize(
    "said",
    [
        Flaw(fault="run", pieces=on("bulkhead")), TinFact(change="bought", products=(product("amber varnish"),)),
        meanings.GearFact(item="filters"),
    ],
    ids=lambda m: type(m).__name__,
)  # fmt: skip
def test_other_facts_are_logged_only_when_they_are_facts(told, said, force):
    from dataclasses import replace

    told.context = type(told.context)()
    found = kinds(told, replace(said, force=force))
    if isinstance(said, Flaw) and force is Force.UNDERWAY:  # "it is sagging" is seen, not begun
        assert found == {"fault"}
    else:
        assert not found & DONE_KINDS


def test_every_kind_of_meaning_has_a_ruling_for_every_force():
    kinds_ = [
        c for c in vars(meanings).values()
        if isinstance(c, type) and issubclass(c, meanings.Meaning) and c is not meanings.Meaning
    ]  # fmt: skip
    assert set(kinds_) == set(TABLE)
    assert all(set(row) == set(Force) for row in TABLE.values())


@pytest.mark.parametrize("force", list(Force))
def test_what_is_held_back_is_never_logged(force):
    assert rule(coat(on("hatch trim"), force=force, held="slotted")) in (
        Ruling.KEEP, Ruling.NOTHING, Ruling.ANSWER
    )  # fmt: skip


def test_none_of_them_denies_and_dropped_is_taken_off():
    assert rule(sand(Group(quantifier=Quantifier.NONE))) is Ruling.DENY
    assert rule(sand(on("hatch trim"), dropped=True, force=Force.ORDERED)) is Ruling.PLAN
    assert rule(sand(on("hatch trim"), dropped=True)) is Ruling.KEEP  # "dropped the trim" may have hurt it
    assert rule(Question()) is Ruling.ANSWER


def test_a_supposed_spell_is_not_reckoned_with_and_a_forecast_is(told):
    assert kinds(told, Spell(temperature=degrees(4), force=Force.SUPPOSED)) == set()
    assert kinds(told, Spell(temperature=degrees(4), when=day(-1), force=Force.REPORTED)) == {"climate"}


def test_held_back_keeps_the_whole_phrase_and_logs_none_of_it(told):
    before = told.count()
    reply = told(
        sand(on("hatch trim"), 180, words="sanded the trim"),
        coat(on("bulkhead"), held="slotted", words="slotted the bulkhead"),
        phrase="sanded the trim and slotted the bulkhead",
    )
    assert [e.kind for e in told.events] == ["unread"]
    assert told.results[0].outcome == "unclear"
    assert "slotted" in reply
    assert "sanded the trim" in reply
    assert told.context.unread == (told.events[0].id,)
    assert told.count() == before + 1


def test_one_question_holds_back_the_whole_phrase_and_says_what_was_understood(told):
    before = told.count()
    reply = told(sand(on("cratch board"), 180), coat(on(meanings.Name("piece", SHELVES)), verb="coat"))
    assert "Sanded the cratch board with 180" in reply
    assert "not logged yet" in reply
    assert "Which one" in reply
    assert told.count() == before
    told(Answer(pieces=on("galley shelf")))
    assert [e.kind for e in told.events] == ["sand", "coat"]


def test_rivals_that_come_to_different_things_are_asked_about(told):
    one, other = sand(on("bulkhead"), 180), sand(on("bulkhead"), 80)
    assert "Which" in told(one, rivals=((other,),))
    assert told.results == []
    assert "Which" not in told(one, rivals=((one,),))


def test_a_doubtful_word_is_asked_about_first(told):
    assert "Did you mean" in told(sand(on("bulkhead"), 180, doubt=0.8, words="sandad the bulkhead"))
    told(Answer(yes=True))
    assert [e.kind for e in told.events] == ["sand"]


def test_hours_and_errands_are_laid_down_by_being_said(told):
    told.at("2026-03-18 16:00")
    assert kinds(told, Rule(rule="closed", spaces=(space("galley"),), start=clock(18), end=clock(20))) == {"hours"}
    assert kinds(told, Errand(text="order hinges", force=Force.WISHED)) == set()
    assert kinds(told, Errand(text="order hinges", force=Force.ORDERED)) == {"task"}
    with pytest.raises(Back):
        from assistant.dialogue.telling import tell

        tell(
            told.linnet.session.talk(told.now), meanings.Reading("x", (Rule(rule="away"),)), told.context
        )  # fmt: skip
