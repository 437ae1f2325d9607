"""The list of what is to be done, in the words people put on it and take off it."""

from __future__ import annotations

import pytest

from dialogue.build import Linnet, only


@pytest.mark.parametrize(
    ("phrase", "text"),
    [
        ("add buy rags", "buy rags"), ("add order hinges to the list", "order hinges"),
        ("remind me to fetch diesel", "fetch diesel"), ("add ring the yard to my to do list", "ring the yard"),
    ],
)  # fmt: skip
def test_what_goes_on_the_list_is_the_errand_alone(say: Linnet, phrase: str, text: str) -> None:
    event = only(say(phrase))
    assert (event["kind"], event["text"], event["state"]) == ("task", text, "open")


@pytest.mark.parametrize(
    ("phrase", "state"),
    [
        pytest.param(
        "cancel the task buy rags", "dropped",
        marks=pytest.mark.xfail(
            strict=True, reason="cancelling a task takes it back and puts the errand on the list again"
        ),
    ), ("take buy rags off the list", "dropped"),
        pytest.param(
        "strike buy rags off my list", "dropped",
        marks=pytest.mark.xfail(
            strict=True, reason="striking an errand off is logged as done rather than dropped"
        ),
    ), ("cross buy rags off the list", "done"),
        ("tick buy rags off", "done"), ("the rags are bought", "done"),
    ],
)  # fmt: skip
def test_what_comes_off_the_list_is_done_or_dropped(say: Linnet, phrase: str, state: str) -> None:
    say("remind me to buy rags")
    event = only(say(phrase))
    assert (event["kind"], event["text"], event["state"]) == ("task", "buy rags", state)
    assert "rags" not in say("what's on my list")["reply"]


def test_what_is_not_on_the_list_cannot_come_off_it(say: Linnet) -> None:
    assert say.silent("take the geraniums off the list")["outcome"] in ("unclear", "asked", "refused")
    assert only(say("took the tape off the hatch trim"))["kind"] == "unmask"
