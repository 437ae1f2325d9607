"""What speaks against doing a thing is said in a short sentence; what is in order draws none."""

from dataclasses import replace

import pytest

from assistant.craft.clash import clash
from assistant.journal.events import Fill, Fit, Mask, Note, Strip
from assistant.journal.state import apply
from assistant.library.cards import Over
from assistant.quantity import ml

from .build import bond, clean, coat, epoxy, job, law, mix, reading, sand, shelf, t, varnish

CARDS = shelf(varnish(), epoxy())


def say(state, event, cards=CARDS):
    return clash(state, cards, event, event.at)


def test_sanding_beside_a_wet_film():
    state = job(coat("14 06:00", piece="hatch rail"))
    assert say(state, sand("14 07:00")) == ["The hatch rail is wet until 08:00 in the same air: no dust yet"]


def test_sanding_in_another_space_is_in_order():
    assert say(job(coat("14 06:00", piece="galley doors")), sand("14 07:00")) == []


def test_a_film_in_no_known_place_is_in_every_air():
    said = say(job(coat("14 06:00", piece="cratch board")), sand("14 06:30"))
    assert len(said) == 1
    assert "cratch board" in said[0]


def test_stripping_makes_dust_too():
    state = job(coat("14 06:00", piece="hatch rail"))
    assert say(state, Strip(piece="hatch trim", at=t("14 07:00")))[0].startswith("The hatch rail is wet")


def test_a_film_nobody_knows_is_taken_for_wet():
    state = job(coat("14 06:00", piece="hatch rail", product=None))
    assert say(state, sand("14 12:00")) == ["The hatch rail may be wet in the same air: I don't know what was put on"]


def test_sanding_too_soon():
    assert say(job(coat("14 06:00")), sand("14 09:00")) == [
        "Too soon to sand the hatch trim: from 12:00, or it clogs and tears"
    ]


def test_sanding_on_time():
    assert say(job(coat("14 06:00")), sand("14 12:00")) == []


def test_blush_before_sanding():
    cards = shelf(varnish(wash="wash the amine blush off with water"))
    assert say(job(coat("14 06:00")), sand("14 13:00"), cards) == [
        "Before sanding the hatch trim: wash the amine blush off with water"
    ]
    assert say(job(coat("14 06:00"), clean("14 12:30")), sand("14 13:00"), cards) == []


def test_a_coat_too_soon():
    assert say(job(coat("14 06:00")), coat("14 10:00", n=2)) == [
        "Too soon on the hatch trim: from 12:00, or it may lift and wrinkle"
    ]


def test_a_coat_on_time():
    assert say(job(coat("14 06:00")), coat("14 12:00", n=2)) == []


def test_a_coat_after_the_window_shut():
    assert say(job(coat("14 06:00")), coat("18 10:00", n=2)) == [
        "The window on the hatch trim shut at 06:00 yesterday: take the gloss off with 150-200 grit, wash, then coat"
    ]


def test_a_coat_after_the_window_shut_on_a_keyed_film():
    state = job(coat("14 06:00"), sand("18 07:00", grit=180))
    assert say(state, coat("18 10:00", n=2)) == [
        "The window on the hatch trim shut at 06:00 yesterday and it was keyed: wash it first"
    ]
    state = job(coat("14 06:00"), sand("18 07:00", grit=180), clean("18 08:00"))
    assert say(state, coat("18 10:00", n=2)) == []


def test_a_coat_on_a_film_that_stands_still():
    state = job(coat("14 06:00"), reading("14 06:00", 3))
    assert say(state, coat("15 06:00", n=2)) == [
        "The last film on the hatch trim is not dry: under 5 degrees it stands still, and no warmer air is expected",
        "3 degrees is too cold for amber varnish: it wants 5 or more",
    ]


def test_a_coat_on_a_cured_film_that_nobody_sanded():
    cards = shelf(varnish(overcoat_max=None))
    assert say(job(coat("14 06:00")), coat("28 06:00", n=2), cards) == [
        "The film on the hatch trim is cured and not sanded: take the gloss off with 150-200 grit, wash, then coat"
    ]
    assert say(job(coat("14 06:00"), sand("27 06:00")), coat("28 06:00", n=2), cards) == []


def test_dust_still_in_the_air():
    assert say(job(sand("14 11:20", piece="hatch rail")), coat("14 12:00")) == [
        "The hatch rail was sanded 40 minutes before: let the dust settle, then tack off"
    ]
    assert say(job(sand("14 11:00", piece="hatch rail")), coat("14 12:00")) == []
    assert say(job(sand("14 11:20", piece="galley doors")), coat("14 12:00")) == []


def test_sanded_and_coated_in_one_breath_draws_no_word_on_dust():
    assert say(job(sand("14 12:00")), coat("14 12:00")) == []


def test_too_cold_to_lay():
    assert say(job(reading("14 08:00", 4)), coat("14 12:00")) == [
        "4 degrees is too cold for amber varnish: it wants 5 or more"
    ]
    assert say(job(reading("14 08:00", 4)), bond("14 12:00")) == [
        "4 degrees is too cold for tread epoxy: it wants 8 or more"
    ]


def test_going_cold_before_it_is_dry():
    state = job(reading("14 08:00", 12), reading("14 12:30", 2, until="15 07:00"))
    assert say(state, coat("14 12:00")) == ["It is going under 5 degrees before amber varnish is dry"]


def test_too_damp():
    said = say(job(reading("14 08:00", 15, damp=92)), coat("14 12:00"))
    assert len(said) == 1
    assert said[0].startswith("Too damp to coat: the surface is 1.2 degrees over the dew point of 13.7")
    assert "92 percent humidity is over 85" in said[0]
    assert say(job(reading("14 08:00", 15, damp=60)), coat("14 12:00")) == []


def test_damp_that_nobody_measured_is_not_talked_of():
    assert say(job(), coat("14 12:00")) == []


@pytest.mark.parametrize(
    ("verdict", "said"),
    [
        ("no", ["top does not go over amber varnish: it lifts"]),
        ("test", ["top over amber varnish: it lifts"]),
        ("keyed", ["top over amber varnish needs a key: it lifts"]),
        ("yes", []),
    ],
)
def test_order(verdict, said):
    top = varnish(name="top", family="topcoat", over=(Over("varnish", verdict, "it lifts", "memory"),))
    cards = shelf(varnish(), top)
    assert say(job(coat("14 06:00")), coat("14 13:00", product="top"), cards) == said


def test_filler_is_laid_under_the_same_rules():
    fill = Fill(piece="hatch trim", product="amber varnish", at=t("14 09:00"))
    assert say(job(coat("14 06:00")), fill)[0].startswith("Too soon on the hatch trim")


def test_hanging_and_taping_a_soft_film():
    state = job(coat("14 06:00"))  # 16 hours to handle
    assert say(state, Fit(piece="hatch trim", at=t("14 12:00"))) == [
        "The hatch trim is not hard enough to handle until 22:00: it will mark"
    ]
    assert "tape will mark it" in say(state, Mask(piece="hatch trim", at=t("14 12:00")))[0]
    assert say(state, Fit(piece="hatch trim", at=t("15 12:00"))) == []


def test_a_second_pot_while_one_is_running():
    state = job(mix("14 12:00", ml(60)))
    assert say(state, mix("14 12:10", ml(60))) == [
        "A pot of tread epoxy is still good until 12:30: use one up before the next"
    ]
    assert say(state, mix("14 12:30", ml(60))) == []


@pytest.mark.parametrize(
    "event",
    [
        sand("14 09:00"),
        coat("14 09:00", n=2),
        mix("14 09:00", ml(10)),
        Fit(piece="hatch trim", at=t("14 09:00")),
    ],
)
def test_it_makes_no_difference_whether_the_event_is_in_the_journal_already(event):
    state = job(coat("14 06:00"), coat("14 08:30", piece="hatch rail"))
    before = say(state, event)
    event = replace(event, id=99)
    apply(state, event)
    assert say(state, event) == before


def test_what_was_done_later_does_not_count_against_it():
    state = job(coat("14 13:00", piece="hatch rail"), coat("14 18:00"))
    assert say(state, sand("14 12:00")) == []


def test_a_note_clashes_with_nothing():
    assert say(job(coat("14 06:00")), Note(text="the kettle is on", at=t("14 07:00"))) == []


def test_the_first_coat_on_bare_wood_clashes_with_nothing():
    assert say(job(), coat("14 12:00"), shelf(varnish(stages={"overcoat": law((20, 6))}))) == []
