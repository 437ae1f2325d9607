"""What was heard in free speech is taken only if it is about the work; other talk is heard as well."""

from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from assistant.turn import Session
from tests.fixtures import voice_talk

NOW = datetime(2026, 3, 16, 12, 0, tzinfo=ZoneInfo("Europe/London"))


@pytest.fixture(scope="module")
def session(tmp_path_factory):
    with Session.open(tmp_path_factory.mktemp("own") / "linnet.sqlite") as found:
        found.load(Path(__file__).parents[2] / "examples" / "linnet.toml", NOW)
        yield found


@pytest.mark.parametrize("text", [
    pytest.param(
        "Gave the companionway trim a rub with two hundred and forty.",
        marks=pytest.mark.xfail(
            strict=True, reason="a rub given with a grit reads at a cost, as if a word were left over"
        ),
    ),
    "The galley is minus two degrees,",
    "How long till I can put another coat on the Cratchboard?",
    "I have knocked up eighty grams of epoxy for the treads.",
    "Half an hour ago I gave the bulkhead a second coat of primer.",
    "Is it safe to make dust in the fore cabin?",
])  # fmt: skip
def test_own_words_about_the_work_read(session, text):
    assert session.free_cost(text) == pytest.approx(0.0, abs=0.1)


def test_other_talk_seldom_reads_and_what_does_logs_nothing(session):
    """61 sentences of other talk, as they were said: those that read at all are questions, or name the work."""
    read = [t for t in voice_talk.OTHER if (session.free_cost(t) or 0.0) <= 0.2 and session.free_cost(t) is not None]
    assert len(read) <= 2, read
    for text in read:
        assert session.take(text, NOW).outcome != "logged"


def test_half_a_sentence_about_the_work_is_not_enough(session):
    assert session.free_cost("careful with the rope, it is wet") is None
    assert session.free_cost("") is None
