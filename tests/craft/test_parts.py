"""A piece worked on part by part: each part has its own film, the piece is as far as its slowest part."""

from dataclasses import replace

import pytest

from assistant.craft.clash import clash
from assistant.craft.films import film_on, make_whole, next_coat, surfaces
from assistant.craft.readiness import dust, readiness, wet
from assistant.journal.events import Strip

from .build import clean, coat, epoxy, job, law, sand, shelf, t, varnish

CARDS = shelf(varnish(), epoxy())


def on(part, event):
    return replace(event, part=part)


def ask(state, stage, now, part=None):
    return readiness(state, CARDS, "hatch trim", stage, t(now), part)


class TestWhatIsOnTop:
    def test_a_coat_on_a_part_leaves_the_rest_as_it_was(self):
        state = job(coat("13 06:00"), on("top half", coat("14 06:00", n=2)))
        assert {part: film.coat for part, film in surfaces(state, "hatch trim").items()} == {None: 1, "top half": 2}
        assert film_on(state, "hatch trim").coat == 2
        assert film_on(state, "hatch trim", part="bottom half").coat == 1

    def test_both_halves_cover_the_whole(self):
        halves = [on("top half", coat("14 06:00", n=2)), on("bottom half", coat("14 10:00", n=2))]
        assert set(surfaces(job(coat("13 06:00"), *halves), "hatch trim")) == {"top half", "bottom half"}

    def test_a_coat_on_the_whole_covers_every_part(self):
        state = job(on("top half", coat("14 06:00")), coat("15 06:00", n=2))
        assert set(surfaces(state, "hatch trim")) == {None}

    def test_sanding_a_part_is_no_sanding_of_the_rest_until_the_other_is_sanded_too(self):
        one = job(coat("13 06:00"), on("top half", sand("14 06:00")))
        assert film_on(one, "hatch trim", part="top half").sanded
        assert not film_on(one, "hatch trim", part="bottom half").sanded
        both = job(coat("13 06:00"), on("top half", sand("14 06:00")), on("bottom half", sand("14 07:00")))
        assert all(film.sanded for film in surfaces(both, "hatch trim").values())

    def test_a_part_stripped_bare_has_no_film(self):
        state = job(coat("13 06:00"), Strip(piece="hatch trim", at=t("14 06:00"), part="top half"))
        assert film_on(state, "hatch trim", part="top half") is None
        assert film_on(state, "hatch trim", part="bottom half").coat == 1

    @pytest.mark.parametrize(
        ("one", "other", "whole"),
        [
            ("top half", "bottom half", True), ("port side", "starboard side", True), ("inside", "outside", True),
            ("underside", "topside", True), ("top half", "top half", False), ("top half", "bottom edge", False),
            ("port end", "starboard end", False), ("top half", "front", False), ("", "", False),
        ],
    )  # fmt: skip
    def test_which_parts_are_the_two_of_one_thing(self, one, other, whole):
        """Two ends leave a middle (common practice, no source)."""
        assert make_whole(one, other) is whole
        assert make_whole(other, one) is whole


class TestReady:
    HALVES = (on("top half", coat("14 06:00")), on("bottom half", coat("14 09:00")))

    def test_the_piece_is_as_late_as_its_last_half_and_its_window_shuts_with_the_first(self):
        state = job(*self.HALVES)
        found = ask(state, "overcoat", "14 12:00")
        assert (found.ready, found.earliest, found.latest) == (False, t("14 15:00"), t("17 06:00"))
        assert (found.part, found.laid) == ("bottom half", t("14 09:00"))
        assert ask(state, "overcoat", "14 15:00").ready
        shut = ask(state, "overcoat", "17 07:00")
        assert not shut.ready
        assert any("top half" in note and "window shut" in note for note in shut.notes)

    def test_each_half_alone_is_as_if_there_were_no_other(self):
        state = job(*self.HALVES)
        for part, only in zip(("top half", "bottom half"), self.HALVES, strict=True):
            alone = ask(job(replace(only, part=None)), "sand", "14 12:00")
            found = ask(state, "sand", "14 12:00", part)
            assert (found.ready, found.earliest) == (alone.ready, alone.earliest)

    def test_a_half_without_a_label_is_never_ready(self):
        state = job(self.HALVES[0], on("bottom half", coat("14 06:00", product="grey stuff")))
        found = ask(state, "touch", "20 06:00")
        assert (found.ready, found.part) == (False, "bottom half")
        assert found.unknown == "I have no label for grey stuff"

    def test_slow_material_under_one_half_holds_up_that_half_and_the_piece_and_not_the_other(self):
        slow = replace(varnish(), name="slow primer", stages={"sand": law((20, 40))})
        state = job(on("bottom half", coat("13 18:00", product="slow primer")), *self.HALVES)
        cards = shelf(varnish(), slow)
        earliest = {
            part: readiness(state, cards, "hatch trim", "sand", t("14 12:00"), part).earliest
            for part in ("top half", "bottom half", None)
        }
        assert earliest == {"top half": t("14 12:00"), "bottom half": t("15 10:00"), None: t("15 10:00")}

    def test_one_half_wet_is_a_wet_piece(self):
        state = job(*self.HALVES)
        assert [r.earliest for r in wet(state, CARDS, t("14 10:59"))] == [t("14 11:00")]
        assert dust(state, CARDS, "fore cabin", t("14 10:59")).piece == "hatch trim"
        assert wet(state, CARDS, t("14 11:00")) == []

    def test_the_rest_keeps_its_own_window_until_it_is_keyed(self):
        state = (coat("10 06:00"), on("top half", sand("14 05:00")), on("top half", coat("14 06:00", n=2)))
        found = ask(job(*state), "overcoat", "14 13:00")
        assert (found.ready, found.latest) == (False, t("13 06:00"))
        keyed = job(*state, on("bottom half", sand("14 12:00")), on("bottom half", clean("14 12:30")))
        assert ask(keyed, "overcoat", "14 13:00").ready


class TestClash:
    def test_the_other_half_may_be_coated_at_once_and_the_same_one_not(self):
        top = on("top half", coat("14 06:00"))
        other = on("bottom half", coat("14 07:00"))
        assert not any("Too soon" in line for line in clash(job(top), CARDS, other, t("14 07:00")))
        again = on("top half", coat("14 07:00", n=2))
        assert any("Too soon on the hatch trim" in line for line in clash(job(top), CARDS, again, t("14 07:00")))
        whole = coat("14 07:00", n=2)
        assert any("Too soon on the hatch trim" in line for line in clash(job(top), CARDS, whole, t("14 07:00")))

    def test_sanding_one_half_beside_the_wet_other_is_warned_of(self):
        state = job(on("bottom half", coat("12 06:00")), on("top half", coat("14 06:00")))
        said = clash(state, CARDS, on("bottom half", sand("14 07:00")), t("14 07:00"))
        assert said == ["The top half of the hatch trim is wet until 08:00: no dust yet"]


class TestCount:
    def test_a_second_coat_on_the_same_part_counts_on_and_the_other_half_catches_up(self):
        state = job(on("top half", coat("14 06:00", n=1)))
        assert next_coat(state, "hatch trim", "amber varnish", "top half") == 2
        assert next_coat(state, "hatch trim", "amber varnish", "bottom half") == 1
        assert next_coat(state, "hatch trim", "amber varnish") == 2

    def test_a_coat_on_the_whole_counts_for_every_part(self):
        state = job(coat("14 06:00", n=3))
        assert next_coat(state, "hatch trim", "amber varnish", "top half") == 4
        assert next_coat(state, "hatch trim", "grey primer", "top half") == 1
