"""The work to come, changed in talk: the plan, the stock and the diary go by it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.craft.needs import needs
from assistant.craft.plan.chain import work
from assistant.craft.wanted import said_skips
from assistant.dialogue.talk import Refused
from assistant.journal.events import Task
from assistant.language import vocabulary
from assistant.language.changes import change, changes
from assistant.language.chunks import cut
from assistant.language.meanings import Change, PlanChange
from assistant.language.reader import Reader
from assistant.library.catalogue import Library
from dialogue.typed import IT, Typed, coat, on


class Talked(Typed):
    """The talk, in words: a change of the plan is looked for first, all else is read as always."""

    def say(self, *phrases: str) -> str:
        """Say phrases and give the last reply."""
        reply = ""
        for phrase in phrases:
            names = vocabulary.gazetteer(self.state, Library(self.state.labels))
            said = changes(cut(phrase, names)) or Reader(names).read(phrase).meanings
            reply = self(*said, phrase=phrase)
        return reply

    def steps(self, piece: str, kind: str = "coat") -> list[str]:
        """What is left to do of a kind on a piece, by the plan."""
        found = work(self.state, self.linnet.session.library.card)
        return [s.text for c in found.chains if c.piece == piece for s in c.steps if s.kind == kind]


@pytest.fixture
def told(tmp_path: Path) -> Iterator[Talked]:
    talk = Talked(tmp_path)
    yield talk
    talk.close()


def test_two_kinds_of_work_in_one_breath_are_two_tasks(told: Talked) -> None:
    told.say("five coats of varnish on the hatch trim and two of sealer on the galley shelf, to do")
    assert [e.piece for e in told.events if isinstance(e, Task)] == ["hatch trim", "galley shelf"]
    assert (len(told.steps("hatch trim")), len(told.steps("galley shelf"))) == (5, 2)


def test_what_it_is_to_be_coated_with_is_asked_where_nothing_says(told: Talked) -> None:
    assert told.say("the galley shelf wants two coats") == "Coats of what, on the galley shelf?"
    assert told.events == []
    assert told.say("varnish") == "The galley shelf gets 2 coats of amber varnish."


# The job file wants 4 coats of varnish on the hatch trim, 1 of primer and 2 of undercoat on the bulkhead.


@pytest.mark.parametrize(
    ("phrase", "piece", "coats"),
    [
        ("the hatch trim wants one more coat", "hatch trim", 5),
        ("give the hatch trim another coat of varnish", "hatch trim", 5),
        ("add a coat to the hatch trim", "hatch trim", 5),
        ("two more coats on the hatch trim, to do", "hatch trim", 6),
        ("make it five coats on the hatch trim", "hatch trim", 5),
        ("three coats on the hatch trim instead of four", "hatch trim", 3),
        ("one coat fewer on the hatch trim", "hatch trim", 3),
        ("take a coat off the hatch trim", "hatch trim", 3),
        ("skip the last coat on the hatch trim", "hatch trim", 3),
        ("five coats of varnish on the hatch trim, to do", "hatch trim", 5),
        ("one more coat of primer on the bulkhead to do", "bulkhead", 4),
        ("the bulkhead gets three coats of undercoat", "bulkhead", 4),
        ("three coats of sealer on the galley shelf, to do", "galley shelf", 3),
    ],
)
def test_the_coats_left_are_as_many_as_were_wished(told: Talked, phrase: str, piece: str, coats: int) -> None:
    reply = told.say(phrase)
    assert [e.kind for e in told.events] == ["task"]
    assert len(told.steps(piece)) == coats
    assert reply.startswith(f"The {piece} gets ")


def test_the_reply_names_what_it_was_before(told: Talked) -> None:
    assert told.say("one coat fewer on the hatch trim") == "The hatch trim gets 3 coats of amber varnish, not 4."


def test_what_is_on_counts_and_less_than_that_is_refused(told: Talked) -> None:
    told.at("2026-03-17 09:00")(coat(on("hatch trim"), 1))
    told.at("2026-03-18 09:00")(coat(on("hatch trim"), 2))
    assert len(told.steps("hatch trim")) == 2
    with pytest.raises(Refused, match="2 of them on already"):
        told.say("make it one coat on the hatch trim")
    told.say("make it three coats on the hatch trim")
    assert len(told.steps("hatch trim")) == 1


def test_said_last_holds_and_the_stock_and_the_diary_go_by_it(told: Talked) -> None:
    def wanted() -> int:
        return needs(told.state, told.linnet.session.library.card)["amber varnish"].coats

    before = wanted()
    told.say("one coat fewer on the hatch trim", "make it six coats on the hatch trim")
    assert wanted() == before + 2
    told.say("drop the hatch trim from the plan")
    assert wanted() == before - 4
    told.say("put the hatch trim back in the plan")
    assert wanted() == before + 2


@pytest.mark.parametrize(
    ("phrase", "left"),
    [
        ("skip sanding before coat two on the hatch trim", 1),
        ("don't sand before the second coat on the hatch trim", 1),
        ("no need to sand before coat 3 on the hatch trim", 1),
        ("no sanding between coats on the hatch trim", 3),
        ("don't bother rubbing down before the last coat on the hatch trim", 1),
    ],
)
def test_sanding_left_out_is_left_out_and_warned_of(told: Talked, phrase: str, left: int) -> None:
    before = len(told.steps("hatch trim", "sand"))
    told.say(phrase)
    assert [e.kind for e in told.events] == ["task"]
    assert any("key" in c for c in told.cautions)
    assert len(told.steps("hatch trim", "sand")) == before - left


def test_the_last_coat_is_the_last_that_is_planned(told: Talked) -> None:
    told.say("don't bother rubbing down before the last coat on the hatch trim")
    assert list(said_skips(told.state)) == [("hatch trim", "sand", 4)]


@pytest.mark.parametrize(
    "phrase",
    [
        "skip sanding before coat nine on the hatch trim", "drop the galley shelf from the plan",
        "make it four coats on the hatch trim", "put the hatch trim back in the plan",
        "do the galley shelf after the hatch trim", "use the clear sealer instead of the grey primer on the hatch trim",
    ],
)  # fmt: skip
def test_what_changes_nothing_is_refused(told: Talked, phrase: str) -> None:
    count = told.count()
    with pytest.raises(Refused):
        told.say(phrase)
    assert told.count() == count


def test_a_piece_cannot_wait_for_itself(told: Talked) -> None:
    with pytest.raises(Refused, match="wait for itself"):
        told(PlanChange(change=Change.AFTER, pieces=on("hatch trim"), other=on("hatch trim")))


def test_another_product_is_planned_with_and_the_first_again_when_said(told: Talked) -> None:
    told.say("swap the amber varnish for the clear sealer on the cratch board")
    assert told.steps("cratch board")
    assert all("clear sealer" in text for text in told.steps("cratch board"))
    told.say("use the amber varnish on the cratch board again")
    assert all("amber varnish" in text for text in told.steps("cratch board"))
    told.say("use the clear sealer instead of the amber varnish on the cratch board")
    assert all("clear sealer" in text for text in told.steps("cratch board"))


@pytest.mark.parametrize(
    "phrase", ["leave the hatch trim till after the cratch board", "do the cratch board before the hatch trim"]
)
def test_one_piece_after_another_is_waited_for(told: Talked, phrase: str) -> None:
    told.say(phrase)
    chains = {c.piece: c.steps for c in work(told.state, told.linnet.session.library.card).chains}
    assert chains["hatch trim"][0].after == (chains["cratch board"][-1].id,)


def test_it_is_the_piece_last_spoken_of(told: Talked) -> None:
    told.say("one coat fewer on the hatch trim", "give it one more coat")
    assert [e.piece for e in told.events if isinstance(e, Task)] == ["hatch trim"]
    assert len(told.steps("hatch trim")) == 4


def test_a_piece_that_nobody_named_is_asked_for(told: Talked) -> None:
    assert told(PlanChange(change=Change.MORE, pieces=IT)) == "On which piece?"
    assert told.events == []


@pytest.mark.parametrize(
    "phrase",
    [
        "don't forget the hatch trim", "does the hatch trim need another coat", "do the doors need one more coat",
        "don't give the hatch trim another coat", "gave the hatch trim another coat",
    ],
)  # fmt: skip
def test_what_only_sounds_like_a_change_is_none(told: Talked, phrase: str) -> None:
    assert change(cut(phrase, vocabulary.gazetteer(told.state, Library(told.state.labels)))) is None
