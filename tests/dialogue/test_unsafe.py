"""What would hurt if misread: a question or a surface as the air, a ratio as a time, a dead pot as a fresh one."""

from __future__ import annotations

import pytest

from dialogue.build import Linnet, only

# Dew points by psychrolib (ASHRAE): 15 degC at 80 %RH 11.58, 25 at 80 21.31.


@pytest.mark.parametrize(
    ("phrase", "point"),
    [
        pytest.param(
            "dew point at 25 degrees and 80 percent",
            21.31,
            marks=pytest.mark.xfail(
                strict=True, reason="a dew point asked without a question word is logged as the air"
            ),
        ),
        pytest.param(
            "dew point 15 degrees 80 percent",
            11.58,
            marks=pytest.mark.xfail(
                strict=True, reason="a dew point asked without a question word is logged as the air"
            ),
        ),
    ],
)
def test_a_dew_point_asked_without_a_question_word_is_answered_and_logs_nothing(
    say: Linnet, phrase: str, point: float
) -> None:
    reply = say(phrase)
    assert not reply["events"]
    assert reply["answer"]["dew_point"]["value"] == pytest.approx(point, abs=0.03)


@pytest.mark.parametrize(
    "phrase",
    [
        pytest.param(
            "recoat time at 10 degrees",
            marks=pytest.mark.xfail(strict=True, reason="a recoat time asked at a temperature is logged as the air"),
        ),
        "outside it's 28 degrees",
        "the hull is at 6 degrees",
    ],
)
def test_what_is_not_the_air_of_a_space_is_not_logged_as_it(say: Linnet, phrase: str) -> None:
    assert not say(phrase)["events"]


@pytest.mark.xfail(strict=True, reason="the temperature of a surface is logged as the air of its space")
def test_a_surface_is_set_against_the_dew_point(say: Linnet) -> None:
    """In air of 15 at 80 %RH a surface wants 3 degrees over the dew point of 11.58 (MIL-HDBK-1110 section 9.6.6)."""
    say("it's 15 degrees and 80 percent humidity in the galley")
    answer = say("the surface in the galley is 14 degrees")["answer"]
    assert (answer["surface"], answer["ok"]) == ({"value": 14.0, "unit": "degC"}, False)
    assert answer["margin"]["value"] == pytest.approx(14 - 11.58, abs=0.03)


@pytest.mark.parametrize(
    ("phrase", "ratio", "warned"),
    [
        ("mixed 90 ml of tread epoxy two to one", [2, 1], False),
        ("mixed 90 ml of tread epoxy at a ratio of 2 to 1", [2, 1], False),
        ("mixed 90 ml of tread epoxy 4 to 1", [4, 1], True),
    ],
)
def test_a_ratio_is_no_clock_time(say: Linnet, phrase: str, ratio: list[float], warned: bool) -> None:
    reply = say(phrase)
    event = only(reply)
    assert event["ratio"] == ratio
    assert event["at"].startswith("2026-03-18T14:00")
    assert any("ratio" in c for c in reply["cautions"]) is warned


def test_a_clock_time_after_a_mix_is_still_one(say: Linnet) -> None:
    assert only(say("mixed 90 ml of epoxy at ten to two"))["at"].startswith("2026-03-18T13:50")


def test_a_pot_that_went_off_is_not_told_as_fresh(say: Linnet) -> None:
    say.at("2026-03-18 10:00")("mixed 90 ml of tread epoxy")
    answer = say.at("2026-03-18 11:30")("how long have I got")["answer"]
    assert answer["minutes"] == 0
    assert answer["ends"] is not None


def test_what_about_sanding_asks(say: Linnet) -> None:
    say("first coat of varnish on the hatch trim")
    reply = say("what about sanding")
    assert (reply["answer"]["about"], reply["answer"]["ready"]) == ("sand", False)


def test_thinner_over_the_label_is_warned_of(say: Linnet) -> None:
    assert any("10 percent" in c for c in say("first coat of varnish on the hatch trim thinned 25 percent")["cautions"])
    assert not say("first coat of varnish on the cratch board thinned 10 percent")["cautions"][1:]
