"""What is ready, from when and until when; what is not known is said to be not known."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.craft.readiness import dust, film_on, films_on, readiness, wet
from assistant.journal.events import Fill, Strip
from assistant.journal.state import State
from assistant.library.cards import STAGES, Law, Row
from assistant.problem import Problem

from .build import DOUBLING, bond, clean, coat, epoxy, job, law, reading, sand, shelf, t, varnish

CARDS = shelf(varnish(), epoxy())


def ask(state, stage, now, piece="hatch trim", cards=CARDS):
    return readiness(state, cards, piece, stage, t(now))


class TestFilm:
    def test_the_last_thing_laid_is_the_film(self):
        film = film_on(job(coat("14 06:00"), sand("15 06:00"), coat("15 08:00", n=2)), "hatch trim")
        assert (film.kind, film.coat, film.laid, film.sanded) == ("coat", 2, t("15 08:00"), ())

    def test_work_on_it_since_is_kept(self):
        film = film_on(job(coat("14 06:00"), sand("15 06:00"), clean("15 07:00")), "hatch trim")
        assert [s.grit for s in film.sanded] == [240]
        assert film.cleaned == t("15 07:00")

    def test_stripping_takes_every_film_off(self):
        state = job(coat("14 06:00"), coat("14 14:00", n=2), Strip(piece="hatch trim", at=t("15 09:00")))
        assert film_on(state, "hatch trim") is None

    def test_what_is_done_later_is_not_there_yet(self):
        state = job(coat("14 06:00"), coat("15 06:00", n=2), Strip(piece="hatch trim", at=t("16 06:00")))
        assert film_on(state, "hatch trim", t("15 12:00")).coat == 2
        assert film_on(state, "hatch trim", t("14 12:00")).coat == 1
        assert film_on(state, "hatch trim", t("14 05:59")) is None

    def test_filler_and_glue_are_films_too(self):
        state = job(Fill(piece="hatch trim", product="filler", at=t("14 06:00")), bond("14 08:00"))
        assert [f.kind for f in films_on(state, "hatch trim")] == ["fill", "bond"]


class TestUnknown:
    def test_no_film(self):
        found = ask(job(), "sand", "14 12:00")
        assert (found.ready, found.unknown) == (False, "nothing wet on it that I know of")

    def test_a_piece_nobody_named(self):
        assert ask(State(), "sand", "14 12:00", piece="mast").unknown is not None

    def test_no_product(self):
        found = ask(job(coat("14 06:00", product=None)), "touch", "15 12:00")
        assert (found.ready, found.unknown) == (False, "I don't know what was put on")

    def test_a_product_without_a_card(self):
        found = ask(job(coat("14 06:00", product="grey stuff")), "touch", "15 12:00")
        assert (found.ready, found.unknown) == (False, "I have no label for grey stuff")

    def test_a_library_that_refuses_is_heard(self):
        def cards(product):
            raise Problem(f'there is no product "{product}": load its label')

        state = job(coat("14 06:00", product="grey stuff"))
        assert ask(state, "touch", "14 12:00", cards=cards).unknown == (
            'there is no product "grey stuff": load its label'
        )
        assert [r.piece for r in wet(state, cards, t("14 12:00"))] == ["hatch trim"]

    def test_a_material_without_times_gives_its_reason(self):
        card = varnish(stages={}, no_stages="it does not dry, it is wiped off")
        assert ask(job(coat("14 06:00")), "sand", "15 12:00", cards=shelf(card)).unknown == card.no_stages

    @pytest.mark.parametrize("stage", ["handle", "cured", "overcoat"])
    def test_a_missing_figure_is_not_guessed(self, stage):
        stages = {"touch": law((20, 1))}
        found = ask(job(coat("14 06:00")), stage, "30 12:00", cards=shelf(varnish(stages=stages)))
        assert not found.ready
        assert found.earliest is None
        assert "nothing says when amber varnish is" in found.unknown

    def test_a_stage_nobody_knows_is_refused(self):
        with pytest.raises(Problem, match="no stage called polish"):
            ask(job(coat("14 06:00")), "polish", "14 12:00")


class TestWhen:
    def test_six_hours_at_twenty_degrees(self):
        found = ask(job(coat("14 06:00")), "sand", "14 11:59")
        assert (found.ready, found.earliest, found.latest) == (False, t("14 12:00"), None)
        assert found.product == "amber varnish"
        assert found.laid == t("14 06:00")
        assert found.source == "the label"
        assert ask(job(coat("14 06:00")), "sand", "14 12:00").ready

    def test_the_answer_says_what_air_it_took(self):
        state = job(coat("14 06:00"), reading("14 08:00", 10))
        found = ask(state, "sand", "14 09:00")
        # Two of six hours at 20, then the rest at half the speed: 4 x 2 = 8 hours from 08:00.
        assert found.earliest == t("14 16:00")
        assert found.assumes == (
            (t("14 06:00"), t("14 08:00"), 20.0, "job file"),
            (t("14 08:00"), t("14 09:00"), 10.0, "logged"),
            (t("14 09:00"), t("14 16:00"), 10.0, "expected"),
        )
        assert found.source == "the label; with temperature: assumption"

    def test_a_cold_night_puts_it_off(self):
        state = job(coat("14 20:00"), reading("14 22:00", 10, until="15 07:00"))
        # 2 h of 6 by 22:00, 9 h at half speed make 4.5 h more: done at 06:00, after 8 h of them.
        assert ask(state, "sand", "14 22:30").earliest == t("15 06:00")

    def test_the_late_end_of_a_labels_range_is_the_safe_one(self):
        touch = Law((Row(20.0, 1.0, early=0.75),), DOUBLING, "the label", from_label=True)
        card = varnish(stages={"touch": touch})
        assert ask(job(coat("14 06:00")), "touch", "14 06:50", cards=shelf(card)).earliest == t("14 07:00")

    def test_part_of_a_minute_counts_as_a_whole_one(self):
        card = varnish(stages={"touch": law((20, 1.001))})
        assert ask(job(coat("14 06:00")), "touch", "14 06:50", cards=shelf(card)).earliest == t("14 07:01")

    def test_too_cold_for_good(self):
        found = ask(job(coat("14 06:00"), reading("14 06:00", 3)), "sand", "16 06:00")
        assert (found.ready, found.earliest) == (False, None)
        assert found.unknown == "under 5 degrees it stands still, and no warmer air is expected"

    def test_too_cold_for_a_while(self):
        found = ask(job(coat("14 06:00"), reading("14 06:00", 3, until="14 10:00")), "sand", "14 09:00")
        assert found.earliest == t("14 16:00")
        assert "it stands still while it is under 5 degrees" in found.notes

    def test_beyond_the_labels_temperatures(self):
        found = ask(job(coat("14 06:00"), reading("14 06:00", 35)), "touch", "14 09:00")
        assert "beyond the label's temperatures" in found.notes

    def test_nobody_said_how_warm_it_is(self):
        state = State(work={"hatch trim": (coat("14 06:00"),)})
        found = ask(state, "sand", "14 09:00")
        assert found.earliest == t("14 18:00")  # twelve hours at ten degrees
        assert "nobody has said how warm it is: 10 degrees taken, the slow side" in found.notes

    def test_other_material_underneath_holds_it_up(self):
        slow = varnish(name="slow oil", stages={"cured": law((20, 500))})
        state = job(coat("13 06:00", product="slow oil"), coat("14 06:00"))
        found = ask(state, "cured", "15 06:00", cards=shelf(varnish(), slow))
        assert found.earliest == t("2026-04-03 03:00")  # 500 hours, and the clocks went forward
        assert "the slow oil under it is longer about it" in found.notes

    def test_the_answer_is_in_the_zone_of_now(self):
        state = job(replace(coat("28 22:00"), at=t("28 22:00").astimezone(UTC)))
        found = ask(state, "sand", "28 23:00")
        assert f"{found.earliest:%d %H:%M %z}" == "29 05:00 +0100"

    def test_glue_says_when_to_look_at_it(self):
        card = epoxy(open_time=(10, 20), set_check=(1, 4))
        joined = "bring it together 10 to 20 minutes after it goes on"
        sets = "it begins to set 1 to 4 hours after it goes on"
        for at, notes in (("14 06:15", (joined, sets)), ("14 09:00", (sets,)), ("14 11:00", ())):
            found = ask(job(bond("14 06:00")), "handle", at, cards=shelf(card))
            assert found.earliest == t("14 18:00")
            assert [n for n in (joined, sets) if n in found.notes] == [*notes]  # what is past is not told any more


class TestStandIns:
    def test_sanding_without_a_figure_waits_for_the_next_coats_time_and_says_so(self):
        card = varnish(stages={"touch": law((20, 1)), "overcoat": law((20, 8))})
        found = ask(job(coat("14 06:00")), "sand", "14 09:00", cards=shelf(card))
        assert found.earliest == t("14 14:00")
        assert found.notes[0] == ("no figure for dry enough to sand: the one for ready for the next coat stands in")

    def test_dust_free_never_falls_back_on_touch_dry_which_comes_before_it(self):
        card = varnish(stages={"touch": law((20, 1)), "sand": law((20, 6))})
        found = ask(job(coat("14 06:00")), "dust", "14 09:00", cards=shelf(card))
        assert found.earliest == t("14 12:00")


class TestWindow:
    """Six to seventy-two hours: laid on the 14th at 06:00 it shuts on the 17th at 06:00."""

    def test_open(self):
        found = ask(job(coat("14 06:00")), "overcoat", "14 12:00")
        assert (found.ready, found.earliest, found.latest) == (True, t("14 12:00"), t("17 06:00"))

    def test_open_to_the_last_minute(self):
        assert ask(job(coat("14 06:00")), "overcoat", "17 05:59").ready
        assert not ask(job(coat("14 06:00")), "overcoat", "17 06:00").ready

    def test_shut_it_says_when_and_what_to_do(self):
        found = ask(job(coat("14 06:00")), "overcoat", "18 09:00")
        assert (found.ready, found.latest) == (False, t("17 06:00"))
        assert found.notes == ("window shut at 06:00 yesterday: take the gloss off with 150-200 grit, wash, then coat",)

    def test_keyed_it_is_open_again_and_wants_a_wash(self):
        found = ask(job(coat("14 06:00"), sand("18 09:00", grit=180)), "overcoat", "18 10:00")
        assert (found.ready, found.latest) == (True, t("17 06:00"))
        assert "wash it first" in found.notes

    def test_keyed_and_washed_there_is_nothing_left_to_say_of_washing(self):
        state = job(coat("14 06:00"), sand("18 09:00", grit=180), clean("18 09:30"))
        found = ask(state, "overcoat", "18 10:00")
        assert found.ready
        assert "wash it first" not in found.notes

    def test_washed_before_it_was_sanded_does_not_count(self):
        state = job(coat("14 06:00"), clean("18 08:30"), sand("18 09:00", grit=180))
        assert "wash it first" in ask(state, "overcoat", "18 10:00").notes

    def test_sanded_hard_before_the_window_shut_is_keyed(self):
        assert ask(job(coat("14 06:00"), sand("14 18:00")), "overcoat", "18 10:00").ready

    def test_sanded_while_it_was_soft_is_not(self):
        found = ask(job(coat("14 06:00"), sand("14 09:00")), "overcoat", "18 10:00")
        assert not found.ready
        assert "it was sanded before it was hard enough for that" in found.notes

    def test_sanded_at_the_minute_it_was_said_to_be_ready_counts(self):
        assert ask(job(coat("14 06:00"), sand("14 12:00")), "overcoat", "18 10:00").ready

    def test_polishing_is_no_key(self):
        found = ask(job(coat("14 06:00"), sand("18 09:00", grit=1000)), "overcoat", "18 10:00")
        assert not found.ready
        assert "1000 grit is too fine to key it" in found.notes

    def test_a_new_coat_opens_a_new_window(self):
        state = job(coat("14 06:00"), sand("18 09:00"), coat("18 10:00", n=2))
        found = ask(state, "overcoat", "18 17:00")
        assert (found.ready, found.latest) == (True, t("21 10:00"))

    def test_the_windows_end_is_the_early_end_of_a_range(self):
        card = varnish(overcoat_max=Law((Row(20.0, 72.0, early=48.0),), DOUBLING, "the label"))
        assert ask(job(coat("14 06:00")), "overcoat", "14 12:00", cards=shelf(card)).latest == t("16 06:00")

    def test_cold_stops_the_cure_but_does_not_hold_the_window_open(self):
        found = ask(job(coat("14 06:00"), reading("14 12:00", 0)), "overcoat", "14 13:00")
        # 66 hours left at 20, at zero a quarter of the speed: not never.
        assert found.latest == t("14 12:00") + timedelta(hours=66 * 4)

    def test_without_a_word_on_warmth_the_window_ends_on_the_quick_side(self):
        state = State(work={"hatch trim": (coat("14 06:00"),)})
        found = ask(state, "overcoat", "14 19:00")
        assert (found.earliest, found.latest) == (t("14 18:00"), t("17 06:00"))
        assert "the window's end is taken at 20 degrees, the quick side" in found.notes

    def test_a_label_without_a_longest_time_has_no_end(self):
        card = varnish(overcoat_max=None)
        found = ask(job(coat("14 06:00")), "overcoat", "28 12:00", cards=shelf(card))
        assert (found.ready, found.latest) == (True, None)

    def test_part_of_a_minute_is_taken_off_the_window(self):
        card = varnish(overcoat_max=law((20, 71.999)))
        assert ask(job(coat("14 06:00")), "overcoat", "14 12:00", cards=shelf(card)).latest == t("17 05:59")

    def test_only_the_next_coat_has_a_window(self):
        assert ask(job(coat("14 06:00")), "sand", "28 12:00").ready


class TestWash:
    CARD = varnish(wash="wash the amine blush off with water")

    @pytest.mark.parametrize("stage", ["sand", "overcoat"])
    def test_blush_is_to_be_washed_off(self, stage):
        found = ask(job(coat("14 06:00")), stage, "14 13:00", cards=shelf(self.CARD))
        assert "wash the amine blush off with water" in found.notes

    def test_once_washed_it_is_not_mentioned(self):
        found = ask(job(coat("14 06:00"), clean("14 12:30")), "sand", "14 13:00", cards=shelf(self.CARD))
        assert found.notes == ()


class TestWet:
    def test_wet_until_dust_free(self):
        state = job(coat("14 06:00"))
        assert [r.piece for r in wet(state, CARDS, t("14 07:59"))] == ["hatch trim"]
        assert wet(state, CARDS, t("14 08:00")) == []

    def test_an_unknown_film_is_wet_for_a_day(self):
        state = job(coat("14 06:00", product=None))
        assert [r.piece for r in wet(state, CARDS, t("15 05:59"))] == ["hatch trim"]
        assert wet(state, CARDS, t("15 06:00")) == []

    def test_a_film_stopped_by_cold_stays_wet(self):
        state = job(coat("14 06:00"), reading("14 06:00", 2))
        assert [r.piece for r in wet(state, CARDS, t("20 06:00"))] == ["hatch trim"]

    def test_glue_lines_are_not_wet_films(self):
        assert wet(job(bond("14 06:00")), CARDS, t("14 06:10")) == []

    def test_the_longest_about_it_is_named(self):
        state = job(coat("14 06:00"), coat("14 06:30", piece="hatch rail"), coat("14 06:10", piece="galley doors"))
        assert dust(state, CARDS, "fore cabin", t("14 07:00")).piece == "hatch rail"
        everywhere = dust(state, CARDS, None, t("14 07:00"))  # the galley is at 15 degrees
        assert everywhere.piece == "galley doors"
        assert (everywhere.stage, everywhere.ready) == ("dust", False)

    def test_nothing_wet(self):
        assert dust(job(coat("14 06:00")), CARDS, None, t("14 12:00")) is None

    def test_another_space_does_not_matter_but_an_unknown_one_does(self):
        state = job(coat("14 06:00"))
        assert dust(state, CARDS, "galley", t("14 07:00")) is None
        state = job(coat("14 06:00", piece="cratch board"))  # nobody said where it is
        assert dust(state, CARDS, "galley", t("14 07:00")).piece == "cratch board"

    def test_an_end_nobody_knows_is_longest_of_all(self):
        state = job(coat("14 06:00", product=None), coat("14 06:30", piece="hatch rail"))
        assert dust(state, CARDS, "fore cabin", t("14 07:00")).piece == "hatch trim"


HOURS = st.floats(0.2, 60)


@given(HOURS, st.floats(6, 35), st.floats(0.1, 15), st.integers(0, 20000))
def test_never_ready_before_earliest_and_colder_is_never_earlier(hours, degrees, colder, minutes):
    cards = shelf(varnish(stages={"sand": law((20, hours))}, least=None))
    now = t("14 06:00") + timedelta(minutes=minutes)
    warm = readiness(job(coat("14 06:00"), reading("14 06:00", degrees)), cards, "hatch trim", "sand", now)
    cold = readiness(job(coat("14 06:00"), reading("14 06:00", degrees - colder)), cards, "hatch trim", "sand", now)
    assert warm.ready == (now >= warm.earliest)
    assert warm.earliest.second == warm.earliest.microsecond == 0
    assert cold.earliest >= warm.earliest
    assert warm.ready or not cold.ready


@given(st.sampled_from(STAGES), st.integers(0, 100000), st.lists(st.integers(0, 8000), max_size=4))
def test_unknown_and_ready_exclude_each_other(stage, minutes, sandings):
    laid = coat("14 06:00")
    work = [replace(sand("14 06:00"), at=laid.at + timedelta(minutes=m)) for m in sandings]
    for cards in (CARDS, shelf(varnish(stages={"touch": law((20, 1))})), shelf()):
        found = readiness(job(laid, *work), cards, "hatch trim", stage, laid.at + timedelta(minutes=minutes))
        assert not (found.ready and found.unknown)
        assert found.ready or found.unknown or found.earliest
        if found.ready:
            assert found.source


def test_ten_years_of_readings_are_no_reason_to_wait():
    # Not timed: it has to come back at all, with 2000 readings in between.
    many = [reading("1 00:00", 15 + i % 7) for i in range(2000)]
    many = [replace(r, at=r.at + timedelta(minutes=20 * i)) for i, r in enumerate(many)]
    assert ask(job(coat("2 06:00"), *many), "cured", "30 06:00").earliest is not None
