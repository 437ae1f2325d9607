"""Questions settled on the Linnet's job: names and times become the job's own, follow-ups edit the last question."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from assistant.ask.answer import Answer
from assistant.ask.evaluate import evaluate
from assistant.dialogue import inquiry
from assistant.dialogue.context import Context
from assistant.dialogue.lastquery import KEPT, keep, last_query, to_json
from assistant.dialogue.talk import Back
from assistant.language.asking import ask, lemmas_of
from assistant.language.chunks import cut
from assistant.language.meanings import Act
from assistant.language.query import At, Between, By, Property, Query, Shape, Stage, Subject, Suppose, Unknown
from assistant.quantity import Amount, celsius, ml
from dialogue.build import NOW, Linnet, t


class Inquirer:
    """Asks phrases one after the other, as the turn does, and keeps the context between them."""

    def __init__(self, folder: Path) -> None:
        self.linnet, self.context, self.now = Linnet(folder), Context(), t(NOW)
        for told in (
            "first coat of amber varnish on the hatch trim at nine",
            "first coat of grey primer on the bulkhead at ten",
        ):
            assert self.linnet(told)["outcome"] == "logged", told

    def asked(self, phrase: str) -> Query:
        """Settle one phrase and remember it; give the query."""
        talk = self.linnet.session.talk(self.now, phrase)
        names = self.linnet.session.names
        found = ask(cut(phrase, names), last=last_query(self.context, self.now) is not None)
        assert found is not None, phrase
        query = inquiry.settle(found, talk, self.context)
        self.answer: Answer = evaluate(query, talk)
        inquiry.remember(query, self.context, talk, self.answer.pieces, self.answer.products)
        self.context.answer, self.context.at = self.answer.to_json(), self.now
        return query


@pytest.fixture
def job(tmp_path: Path) -> Iterator[Inquirer]:
    inquirer = Inquirer(tmp_path)
    yield inquirer
    inquirer.linnet.session.close()


def test_at_by_and_between_are_told_apart(job: Inquirer) -> None:
    assert job.asked("can I sand the hatch trim at six").time == At(t("2026-03-18 18:00"))
    assert job.asked("can I sand the hatch trim before six").time == By(t("2026-03-18 18:00"))
    morning = job.asked("can I sand the hatch trim tomorrow morning").time
    assert isinstance(morning, Between)
    assert morning.start.date() == morning.end.date() == t("2026-03-19 08:00").date()


def test_a_whole_day_is_all_of_it_and_a_deadline_its_end(job: Inquirer) -> None:
    tomorrow = job.asked("what can I sand tomorrow").time
    assert tomorrow == Between(t("2026-03-19 00:00"), t("2026-03-19 23:59"))
    assert job.asked("will I be done by Friday").time == By(t("2026-03-20 23:59"))


def test_two_pieces_that_fit_are_asked_about(job: Inquirer) -> None:
    with pytest.raises(Back) as back:
        job.asked("when can I sand the cabin door")
    assert set(back.value.options) == {"port cabin door", "starboard cabin door"}


def test_a_condition_is_settled_with_its_place(job: Inquirer) -> None:
    query = job.asked("what if the galley was at 20 degrees")
    assert (query.what, query.suppose) == (Property.WHATIF, Suppose(temperature=celsius(20), space="galley"))


def test_follow_ups_replace_the_slot_of_their_own_kind(job: Inquirer) -> None:
    first = job.asked("when can I sand the hatch trim")
    assert first.subject == Subject(pieces=("hatch trim",))
    other = job.asked("and the bulkhead?")
    assert (other.subject.pieces, other.stage, other.shape) == (("bulkhead",), Stage.SAND, Shape.WHEN)
    assert job.asked("and touch?").stage is Stage.TOUCH
    warm = job.asked("at eighteen degrees?")
    assert (warm.suppose, warm.subject.pieces) == (Suppose(temperature=celsius(18)), ("bulkhead",))
    assert job.asked("why").shape is Shape.WHY
    assert job.asked("tomorrow?").shape is Shape.WHEN  # the reasons were asked in passing


def test_amounts_are_followed_up(job: Inquirer) -> None:
    assert job.asked("how much hardener for 60 ml of resin").amount == ml(60)
    assert job.asked("for double that").amount == ml(120)
    again = job.asked("and for 90?")
    assert (again.amount, again.wanted, again.time) == (ml(90), "hardener", None)
    assert job.asked("by weight?").by_weight is True


def test_the_last_question_is_kept_for_ten_minutes(job: Inquirer) -> None:
    job.asked("when can I sand the hatch trim")
    job.now += KEPT
    assert last_query(job.context, job.now) is not None
    job.now += timedelta(minutes=1)
    assert last_query(job.context, job.now) is None


@pytest.mark.parametrize(
    "query",
    [
        Query(
            Property.READY,
            Shape.WHEN,
            Subject(pieces=("hatch trim",)),
            time=At(t("2026-03-18 18:00")),
            stage=Stage.SAND,
        ),
        Query(
            Property.MIX,
            amount=ml(60),
            suppose=Suppose(ratio=(5.0, 1.0)),
            wanted="hardener",
            lemmas=frozenset({"much"}),
        ),
        Query(Property.POT, Shape.NEEDED, unknown=Unknown.AMOUNT, goal=Amount(40.0, "min")),
        Query(Property.ENTRY, Shape.LAST, time=Between(t("2026-03-17 00:00"), t("2026-03-17 23:59")), act=Act.SAND),
    ],
)
def test_a_query_survives_the_talk_row(query: Query) -> None:
    context = Context()
    keep(query, context, t(NOW))
    again = Context.from_json(context.to_json())
    assert last_query(again, t(NOW)) == query
    assert to_json(query) == context.query["query"]


def test_what_is_no_query_is_as_if_nothing_was_asked() -> None:
    for held in (
        None,
        {"frame": "ready"},
        {"query": {"what": "nothing known"}, "asked": NOW},
        {"query": 3, "asked": "x"},
    ):
        assert last_query(Context(query=held), t(NOW)) is None


def test_dangers_go_before_anything_else(job: Inquirer) -> None:
    query = job.asked("can I wash my hands in white spirit before I sand the hatch trim")
    assert query.what is Property.AID
    told = inquiry.danger(lemmas_of(cut("I've got hardener in my eye", job.linnet.session.names)))
    assert told is not None and told.danger == "eye"
