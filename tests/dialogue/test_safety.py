"""What may hurt a person or a film: flames, rags, accidents, air too cold or damp, machines in quiet hours."""

from __future__ import annotations

import pytest

from dialogue.build import Linnet, only, t


@pytest.mark.parametrize(
    ("phrase", "word"),
    [
        ("got varnish in my eye", "15 minutes"),  # ANSI/ISEA Z358.1, from memory
        ("I've got epoxy on my hands", "never solvent on skin"),  # HSE RR79
        ("I've got a headache from the fumes", "fresh air"),  # common practice, no source
        pytest.param(
            "the cup is smoking",
            "Out of the cabin",
            marks=pytest.mark.xfail(strict=True, reason="the advice on a smoking cup does not defer to the label"),
        ),  # TM 55-1905-223-SDC: a full cup heats and fumes; the rest common practice
        pytest.param(
            "what do I do with the rags",
            "Spread them flat outdoors",
            marks=pytest.mark.xfail(strict=True, reason="the advice on rags does not defer to the label"),
        ),  # NFPA
    ],
)
def test_an_accident_is_answered_at_once_and_defers(say: Linnet, phrase: str, word: str) -> None:
    reply = say.silent(phrase)
    assert reply["outcome"] == "answered"
    assert word in reply["reply"]
    assert "label" in reply["reply"]


def test_no_flame_beside_a_film_that_gives_off_solvent(say: Linnet) -> None:
    """29 CFR 1915.35 (partly memory): no ignition source in the vapour."""
    say("coat of varnish on the hatch trim")
    for phrase in ("can I light the stove", "can I have the stove lit while that's wet"):
        reply = say.silent(phrase)
        assert reply["answer"]["about"] == "aid"
        assert "no flame" in reply["reply"].lower()


def test_rags_bought_are_no_accident(say: Linnet) -> None:
    assert only(say("remind me to buy rags"))["kind"] == "task"


@pytest.mark.parametrize(
    ("air", "word"),
    [
        ("5 degrees in the fore cabin", "too cold"),  # the varnish's card: not under its least temperature
        ("16 degrees and 92 percent in the fore cabin", "too damp"),  # MIL-HDBK-1110: 85 %RH, 3 degrees over dew
    ],
)
def test_a_film_that_is_ready_is_not_ready_for_a_coat_in_any_air(say: Linnet, air: str, word: str) -> None:
    say.at("2026-03-17 08:00")("coat of varnish on the hatch trim")
    say.at("2026-03-18 14:00")(air)
    for phrase in ("can I recoat the hatch trim", "what can I recoat"):
        reply = say(phrase)
        assert reply["answer"]["ready"] is False
        assert word in reply["reply"].lower()
    say("18 degrees and 60 percent in the fore cabin")
    assert say("can I recoat the hatch trim")["answer"]["ready"] is True


@pytest.mark.parametrize(
    ("at", "free"), [("07:30", False), ("08:00", True), ("19:59", True), ("20:00", False), ("23:30", False)]
)
def test_machines_keep_the_quiet_hours(say: Linnet, at: str, free: bool) -> None:
    """The job's quiet hours are 20:00 to 08:00."""
    reply = say.at(f"2026-03-18 {at}")("can I run the sander now")
    assert reply["answer"]["about"] == "dust"
    assert reply["answer"]["ready"] is free
    if not free:
        ends = "2026-03-18 08:00" if at < "08:00" else "2026-03-19 08:00"
        assert reply["answer"]["earliest"] == t(ends).isoformat()
    assert say("can I rub down the cratch board by hand")["answer"]["about"] != "dust"


# -- what is not done is not logged --------------------------------------------------------------------------


@pytest.mark.parametrize("phrase", [
    "primer's next on the doors isn't it", "third coat on the hatch next then", "third coat on the hatch isn't it",
    pytest.param(
        "I reckon a third coat on the hatch",
        marks=pytest.mark.xfail(
            strict=True, reason="a guess about a coat is put on the list as a task"
        ),
    ), "time for the third coat on the hatch",
    "so that's the bulkhead needing its second undercoat", pytest.param(
        "just the companionway to coat now",
        marks=pytest.mark.xfail(
            strict=True, reason="what is still to be coated is logged as a coat"
        ),
    ),
    pytest.param(
        "give the hatch another hour",
        marks=pytest.mark.xfail(
            strict=True, reason="a wait is logged as a note"
        ),
    ), "give the companionway another couple of days",
    "third coat on the hatch or leave it",
    "I won't get to the companionway till Thursday night, is that alright", "mix me thirty mil",
])  # fmt: skip
def test_a_plan_a_guess_or_a_wait_logs_nothing(say: Linnet, phrase: str) -> None:
    say("second coat of varnish on the hatch trim", "filled the port cabin door")
    say.silent(phrase)


@pytest.mark.xfail(strict=True, reason="brushing out a run is logged as another coat")
def test_brushing_out_a_run_is_no_coat(say: Linnet) -> None:
    say("third coat of varnish on the hatch trim")
    assert only(say("it's running"))["fault"] == "run"
    assert say.silent("brushed it out")["events"] == []


@pytest.mark.parametrize(
    "phrase",
    [
        pytest.param(
            "I've gone through to the primer on the bulkhead",
            marks=pytest.mark.xfail(strict=True, reason="gone through is read as used up, and it asks how much"),
        ),
        pytest.param(
            "rubbed through the bulkhead",
            marks=pytest.mark.xfail(strict=True, reason="a rub-through is logged as a sanding and no fault"),
        ),
    ],
)
def test_a_rub_through_is_a_fault(say: Linnet, phrase: str) -> None:
    event = only(say(phrase))
    assert (event["kind"], event["piece"], event["fault"]) == ("fault", "bulkhead", "other")


@pytest.mark.xfail(strict=True, reason="a run that was flatted back is sanded but its task is left open")
def test_a_fault_put_right_is_sanded_and_ticked_off(say: Linnet) -> None:
    say("there's a run in the varnish on the hatch trim")
    events = say("flatted the run back on the hatch trim with 320")["events"]
    assert [(e["kind"], e.get("grit"), e.get("state")) for e in events] == [("sand", 320, None), ("task", None, "done")]
    assert "run" not in say("what's on my list")["reply"]


@pytest.mark.parametrize("percent", [5, 10])
def test_a_bare_number_after_thinned_is_a_percent(say: Linnet, percent: int) -> None:
    event = only(say(f"second coat on the hatch trim thinned {percent}"))
    assert event["thinned"] == {"value": percent, "unit": "percent"}
    assert event["at"] == t("2026-03-18 14:00").isoformat()


@pytest.mark.parametrize("phrase", ["second coat on the hatch, didn't thin it", "second coat on the hatch, neat"])
def test_a_coat_as_it_came_is_a_coat(say: Linnet, phrase: str) -> None:
    event = only(say(phrase))
    assert (event["kind"], event["coat"]) == ("coat", 2)
    assert event["thinned"] in (None, {"value": 0.0, "unit": "percent"})


# -- a piece named is the one that is meant --------------------------------------------------------------------


def says(reply: str, *parts: str) -> bool:
    """Whether a reply has what a person must hear, in whatever words stand between."""
    return all(part in reply for part in parts)


@pytest.fixture
def two(say: Linnet) -> Linnet:
    say.at("2026-03-18 09:00")("coat of varnish on the hatch trim")
    say.at("2026-03-18 11:30")("filled the port cabin door")
    return say.at("2026-03-18 13:00")


def test_another_pieces_time_is_put_right_in_its_own_event(two: Linnet) -> None:
    changes = only(two("the hatch trim was at half nine"))["changes"]
    assert changes == {"at": t("2026-03-18 09:30").isoformat()}


@pytest.mark.xfail(strict=True, reason="a denial of what was logged is refused without naming the entry")
def test_a_denial_does_not_move_what_was_done_elsewhere(two: Linnet) -> None:
    told = two.silent("I didn't do the hatch trim")["reply"]
    assert says(told, "first coat", "hatch trim", "09:00")
    two.forget()
    taken = two("take back the hatch trim")
    assert only(taken)["kind"] == "undo"
    assert says(taken["reply"], "Taken back", "first coat", "hatch trim")
    assert two("when did I fill the port cabin door")["outcome"] == "answered"


@pytest.mark.xfail(strict=True, reason="taking off the last coat takes back a filling that was logged after it")
def test_take_off_that_last_coat_takes_back_a_coat(two: Linnet) -> None:
    taken = two("take off that last coat")
    assert only(taken)["kind"] == "undo"
    assert says(taken["reply"], "Taken back", "first coat", "hatch trim")


@pytest.mark.xfail(strict=True, reason="a correction back to the first piece is logged as a task")
def test_back_to_the_first_piece_after_all(say: Linnet) -> None:
    say("third coat of varnish on the hatch trim", "hang on it was the companionway I did not the hatch")
    assert only(say("no scrap that it was the hatch after all"))["changes"]["piece"] == "hatch trim"


def test_and_the_other_one_after_what_was_not_understood_is_of_nothing(say: Linnet) -> None:
    say("coat of varnish on the hatch trim", "how long till fiddlesticks")
    say.silent("and the other one")
