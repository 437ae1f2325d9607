"""Mixes, tins, the air, hours, faults, gear, notes and words kept unread, as typed meanings on the Linnet."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from assistant.dialogue.talk import Refused, Unclear
from assistant.journal.events import Climate, Hours, Mix, Tin
from assistant.language.meanings import (
    Act,
    Answer,
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Note,
    Remark,
    Rule,
    Spell,
    TinFact,
    Undo,
    Unread,
)
from assistant.language.when import Clock, Day, When
from assistant.quantity import Amount
from dialogue.build import t
from dialogue.typed import BOTH_DOORS, Typed, clock, day, deed, degrees, on, product, sand, space

EPOXY = product("tread epoxy")
VARNISH = product("amber varnish")


def ml(value: float) -> Amount:
    return Amount(value, "ml")


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Typed]:
    talk = Typed(tmp_path)
    yield talk
    talk.close()


# -- mixes ------------------------------------------------------------------------------------


def test_a_mix_by_its_total_is_parted_by_the_label(told):
    # The job's label: 2 resin to 1 hardener by volume.
    reply = told(deed(Act.MIX, products=(EPOXY,), amount=ml(90)))
    (event,) = told.events
    assert isinstance(event, Mix)
    assert (event.amount, event.ratio) == (ml(90), (2.0, 1.0))
    assert event.parts == (("resin", ml(60)), ("hardener", ml(30)))
    assert "90 ml" in reply
    assert "Pot good until" in reply


def test_parts_that_are_off_the_labels_ratio_are_cautioned(told):
    told(deed(Act.MIX, parts=(("resin", ml(60)), ("hardener", ml(60)))))
    assert told.events[0].product == "tread epoxy"
    assert told.events[0].amount == ml(120)
    assert any("never harden" in c for c in told.cautions)


def test_parts_that_do_not_come_to_the_total_are_asked_about(told):
    said = deed(Act.MIX, products=(EPOXY,), amount=ml(100), parts=(("resin", ml(60)), ("hardener", ml(30))))
    assert "come to 90 ml, not 100 ml" in told(said)
    assert told.events == []


def test_how_much_was_mixed_is_asked_and_taken(told):
    assert told(deed(Act.MIX, products=(EPOXY,))) == "How much tread epoxy?"
    told(Answer(numbers=(60.0,)))
    assert told.events[0].amount == ml(60)


# -- tins -------------------------------------------------------------------------------------


def test_tins_come_one_event_each_and_a_share_is_of_the_tin(told):
    reply = told(TinFact(change="bought", products=(VARNISH,), amount=ml(750), count=2))
    assert [e.amount for e in told.events if isinstance(e, Tin)] == [ml(750), ml(750)]
    assert "2 tins" in reply
    reply = told(TinFact(change="used", products=(VARNISH,), share=0.5))
    assert told.events[0].amount == ml(375)
    assert "half a tin" in reply


def test_a_tin_that_nobody_has_is_asked_about(told):
    assert "no product called goop" in told(TinFact(change="bought", unknown="goop"))
    assert told.events == []
    assert told(TinFact(change="used", products=(VARNISH,))) == "How much of it?"
    with pytest.raises(Refused):
        told(TinFact(change="used", products=(VARNISH,), amount=ml(-3)))


def test_out_of_it_is_empty_and_what_is_left_is_noted(told):
    told(TinFact(change="empty", products=(VARNISH,)))
    assert told.events[0].change == "empty"
    told(TinFact(change="left", products=(VARNISH,), share=0.25))
    assert told.events[0].text == "188 ml of amber varnish left"
    told(TinFact(change="left", products=(VARNISH,), count=2))
    assert told.events[0].text == "2 tins of amber varnish left"


# -- the air ----------------------------------------------------------------------------------


def test_a_reading_of_a_space(told):
    reply = told(Spell(spaces=(space("galley"),), temperature=degrees(14), humidity=Amount(60, "percent")))
    assert reply == "14 degrees and 60 percent humidity in the galley."
    (event,) = told.events
    assert isinstance(event, Climate)
    assert (event.space, event.until) == ("galley", None)


def test_everywhere_besides_a_space_is_each_of_the_others(told):
    told(Spell(everywhere=True, besides=(space("galley"),), temperature=degrees(9)))
    assert {e.space for e in told.events} == set(told.state.spaces) - {"galley"}


def test_a_spell_to_come_begins_then_and_ends_when_it_was_said(told):
    reply = told(Spell(temperature=degrees(18), when=clock(20), until=clock(7), force=Force.MEANT))
    (event,) = told.events
    assert (event.at, event.until) == (t("2026-03-18 20:00"), t("2026-03-19 07:00"))
    assert "from 20:00" in reply
    assert "until 07:00 tomorrow" in reply


def test_tonight_is_the_night_that_comes(told):
    told(Spell(temperature=degrees(4), when=When(day=Day(back=0, part="night")), force=Force.MEANT))
    (event,) = told.events
    assert (event.at, event.until) == (t("2026-03-18 20:00"), t("2026-03-19 07:00"))


def test_a_temperature_of_tomorrow_is_no_reading(told):
    told(Spell(temperature=degrees(18), when=day(-1)))
    assert told.events[0].at > t("2026-03-19 00:00")


def test_a_spell_lasts_as_long_as_it_was_said(told):
    told(Spell(temperature=degrees(18), lasting=timedelta(hours=3)))
    assert told.events[0].until == t("2026-03-18 17:00")


def test_the_heating_without_a_figure_is_a_line_and_a_question(told):
    reply = told(Spell(heating="off", words="heating's off"))
    assert told.events[0].kind == "note"
    assert reply.endswith("How warm is it now?")
    assert told(Spell(heating="on", force=Force.MEANT)) == "With the heating on, how warm will it be?"


def test_figures_no_boat_has_are_refused(told):
    for said in (Spell(temperature=degrees(80)), Spell(humidity=Amount(140, "percent"))):
        with pytest.raises(Refused):
            told(said)
    with pytest.raises(Unclear):
        told(Spell(temperature=degrees(4), outside=True))


# -- hours ------------------------------------------------------------------------------------


def hours(told: Typed) -> list[tuple[str, str | None, str | None, str | None]]:
    return [(e.rule, e.repeat, e.space, e.piece) for e in told.events if isinstance(e, Hours)]


def test_quiet_hours_recur_unless_a_day_was_named(told):
    reply = told(Rule(rule="quiet", start=clock(21), end=clock(7)))
    assert hours(told) == [("quiet", "daily", None, None)]
    assert (told.events[0].start, told.events[0].end) == (t("2026-03-18 21:00"), t("2026-03-19 07:00"))
    assert "every day" in reply
    told(Rule(rule="quiet", start=When(clock=Clock((21,)), day=Day(back=0)), end=clock(7)))
    assert hours(told) == [("quiet", None, None, None)]


@pytest.mark.parametrize(
    ("now", "start", "end", "hours_"),
    [
        ("06:00", clock(9), clock(7), ("21:00", "07:00")),  # an evening and a morning, whenever it is said
        ("14:00", None, clock(9), ("20:00", "09:00")),
        ("14:00", clock(10), None, ("22:00", "08:00")),
    ],
)
def test_hours_that_recur_take_the_half_of_the_day_that_is_likely(told, now, start, end, hours_):
    told.at(f"2026-03-18 {now}")(Rule(rule="quiet", start=start, end=end))
    (event,) = told.events
    assert (f"{event.start:%H:%M}", f"{event.end:%H:%M}") == hours_
    assert event.end - event.start < timedelta(hours=14)


def test_deadlines_of_the_job_and_of_a_piece(told):
    told(Rule(rule="deadline", end=day(-3)))
    assert told.events[0].end == t("2026-03-21 18:00")
    reply = told(Rule(rule="deadline", end=clock(18), pieces=BOTH_DOORS))
    assert [p for _, _, _, p in hours(told)] == ["port cabin door", "starboard cabin door"]
    assert reply == "The port cabin door and the starboard cabin door: deadline 18:00."


def test_away_closed_and_a_helper(told):
    told(Rule(rule="away", start=day(-1)))
    assert told.events[0].end == t("2026-03-19 23:59")
    told(Rule(rule="closed", spaces=(space("galley"),), start=clock(16), end=clock(18)))
    assert hours(told) == [("closed", None, "galley", None)]
    told(Rule(rule="helper", start=clock(15), end=clock(17)))
    assert hours(told) == [("helper", None, None, None)]
    assert told(Rule(rule="away")) == "From when to when?"


def test_a_time_that_has_passed_is_refused(told):
    with pytest.raises(Refused):
        told(Rule(rule="away", end=When(clock=Clock((10,)), day=Day(back=0))))


# -- faults, gear, notes ----------------------------------------------------------------------


def test_a_fault_is_told_with_its_likely_cause_and_its_mending_ends_the_task(told):
    told(deed(Act.COAT, on("hatch trim"), products=(VARNISH,), when=clock(10)))
    reply = told(Flaw(fault="run", pieces=on("hatch trim"), words="there's a run on the trim"))
    assert "Likely" in reply
    assert told.events[0].text == "there's a run on the trim"
    assert any(x.text == "put the run right" and x.state == "open" for x in told.state.tasks)
    told(Flaw(fault="run", mended=True), sand(on("hatch trim"), 320))
    assert [e.kind for e in told.events] == ["task", "sand"]
    assert not any(x.text == "put the run right" and x.state == "open" for x in told.state.tasks)
    with pytest.raises(Unclear):
        told(Flaw(fault="run", mended=True))


def test_gear_and_notes(told):
    told(GearFact(item="mask filters"))
    assert (told.events[0].item, told.events[0].change) == ("mask filters", "replaced")
    assert told(Note(text="the hinge wants oil")) == "Noted: the hinge wants oil."
    assert told.events[0].text == "the hinge wants oil"


# -- unread -----------------------------------------------------------------------------------


def test_what_is_not_read_is_kept_and_off_the_list_when_it_is_said_again(told):
    told(Unread(words="slotted the bulkhead", missing='"slotted"'), phrase="slotted the bulkhead with eighty")
    assert [x.text for x in told.events] == ["slotted the bulkhead with eighty"]
    assert told.context.unread == (told.events[0].id,)
    told(sand(on("bulkhead"), 80), phrase="sanded the bulkhead with eighty")
    assert [e.kind for e in told.events] == ["sand", "amend"]
    assert told.context.unread == ()


def test_scratch_that_after_what_was_not_read_asks_first(told):
    told(sand(on("hatch trim"), 180))
    told(Unread(words="mumble"), phrase="mumble mumble")
    assert told(Undo()).startswith("What you said last was not logged. Take back sanding the hatch trim with 180")
    assert told(Answer(yes=True)).startswith("Taken back: sanding the hatch trim")


def test_scratch_that_with_nothing_logged_strikes_the_words(told):
    told(Unread(words="mumble"), phrase="mumble mumble")
    assert told(Undo()) == 'Struck: "mumble mumble".'
    assert told.context.unread == ()


def test_a_verb_told_in_a_word_is_known_from_then_on(told):
    unknown = deed(Act.OTHER, on("bulkhead"), held="slotted", words="slotted the bulkhead", grit=(80,))
    told(unknown, phrase="slotted the bulkhead with eighty")
    told(Deed(act=Act.SAND, verb="sand"), phrase="sanded")
    assert [e.kind for e in told.events] == ["set", "sand", "amend"]
    assert (told.events[1].piece, told.events[1].grit) == ("bulkhead", 80)
    assert told.context.unread == ()
    told(deed(Act.OTHER, on("hatch trim"), held="slotted"))
    assert [(e.kind, e.piece) for e in told.events] == [("sand", "hatch trim")]


def test_a_noun_that_held_a_deed_back_is_told_in_a_word(told):
    told(deed(Act.COAT, on("bulkhead"), held="goo", words="put goo on the bulkhead"), phrase="put goo on the bulkhead")
    assert told.results[0].outcome == "unclear"
    told(Answer(products=(product("grey primer"),)))
    assert [e.kind for e in told.events] == ["set", "coat", "amend"]
    assert told.events[1].product == "grey primer"
    assert "correction" not in told(Undo())
    assert told.state.coats.get("bulkhead") is None
    told(deed(Act.SAND, held="thingy", words="sanded the thingy"), phrase="sanded the thingy")
    told(Answer(pieces=on("hatch trim")))
    assert [e.kind for e in told.events] == ["set", "sand", "amend"]


def test_a_word_for_a_product_is_learnt(told):
    told(TinFact(change="opened", unknown="goop"))
    told(Answer(products=(EPOXY,)))
    assert [e.kind for e in told.events] == ["set", "tin"]
    told(TinFact(change="empty", unknown="goop"))
    assert told.events[0].product == "tread epoxy"


def test_a_remark_and_a_stray_answer_log_nothing(told):
    assert told(Remark(words="morning")) == "Nothing to log in that."
    assert "asked you nothing" in told(Answer(yes=True))
    assert told.results[0].outcome == "unclear"
    assert told.events == []
    assert "hatch" not in told(Errand(text="do the hatch", force=Force.SUPPOSED))
