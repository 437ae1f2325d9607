"""Lasting changes of the plan, read: what they change is typed, and what is no change stays with the clauses.

The phrases are common practice on a boat, no source; the pieces and products are the Linnet's.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.language import sentences
from assistant.language.changes import change, changes
from assistant.language.chunks import cut
from assistant.language.meanings import Act, Change, Force, Group, PlanChange, Pronoun, Quantifier
from language.build import names


def read(phrase: str) -> PlanChange | None:
    """The change of the plan in a phrase."""
    return change(cut(phrase, names()))


def pieces(group: Group | None) -> list[str]:
    """The pieces that a group may mean."""
    return [option for name in group.names for option in name.options] if group else []


def products(said: PlanChange) -> tuple[list[str], list[str]]:
    """The products to be used, and those they stand in for."""
    return [o for n in said.products for o in n.options], [o for n in said.instead for o in n.options]


@pytest.mark.parametrize(
    ("phrase", "what", "count"),
    [
        ("the hatch trim wants one more coat", Change.MORE, 1),
        ("give the hatch trim another coat", Change.MORE, 1),
        ("add a coat to the hatch trim", Change.MORE, 1),
        ("two more coats on the hatch trim, to do", Change.MORE, 2),
        ("plan on one more coat on the hatch trim", Change.MORE, 1),
        ("the hatch trim will need two more coats", Change.MORE, 2),
        ("one coat fewer on the hatch trim", Change.FEWER, 1),
        ("one fewer coat on the hatch trim", Change.FEWER, 1),
        ("two coats less on the hatch trim", Change.FEWER, 2),
        ("let's do one less coat on the hatch trim", Change.FEWER, 1),
        ("take a coat off the hatch trim", Change.FEWER, 1),
        ("skip the last coat on the hatch trim", Change.FEWER, 1),
        ("drop one coat from the hatch trim", Change.FEWER, 1),
        ("leave a coat off the hatch trim", Change.FEWER, 1),
        ("make it five coats on the hatch trim", Change.TOTAL, 5),
        ("three coats on the hatch trim instead of four", Change.TOTAL, 3),
        ("put the hatch trim down for six coats instead of five", Change.TOTAL, 6),
        ("only three coats on the hatch trim", Change.TOTAL, 3),
        ("I've decided the hatch trim only wants three coats", Change.TOTAL, 3),
        ("I'm only going to give the hatch trim three coats", Change.TOTAL, 3),
        ("we're only doing three coats on the hatch trim", Change.TOTAL, 3),
        ("I've decided to give the hatch trim five coats", Change.TOTAL, 5),
        ("plan three coats on the hatch trim", Change.TOTAL, 3),
        ("put two coats on the hatch trim in the plan", Change.TOTAL, 2),
        ("five coats on the hatch trim, to do", Change.TOTAL, 5),
        ("the hatch trim gets three coats", Change.TOTAL, 3),
    ],
)
def test_coats_more_fewer_and_in_all(phrase: str, what: Change, count: int) -> None:
    said = read(phrase)
    assert said is not None
    assert (said.change, said.count, said.force) == (what, count, Force.ORDERED)
    assert pieces(said.pieces) == ["hatch trim"]
    assert said.words == phrase


def test_the_product_of_the_coats_is_kept() -> None:
    said = read("plan three coats of varnish on the hatch trim")
    assert said is not None
    assert products(said) == (["amber varnish"], [])


def test_sets_and_pronouns_are_left_to_settling() -> None:
    said = read("give it one more coat")
    assert said is not None
    assert said.pieces is not None
    assert said.pieces.pronoun is Pronoun.IT
    both = read("both doors want one coat less")
    assert both is not None
    assert both.pieces is not None
    assert both.pieces.quantifier is Quantifier.BOTH
    two = read("the hatch trim and the bulkhead get one coat fewer")
    assert two is not None
    assert pieces(two.pieces) == ["hatch trim", "bulkhead"]
    galley = read("everything in the galley gets one coat fewer")
    assert galley is not None
    assert galley.pieces is not None
    assert galley.pieces.spaces[0].options == ("galley",)
    bare = read("one coat fewer")
    assert bare is not None
    assert bare.pieces is None


@pytest.mark.parametrize(
    ("phrase", "act", "coat", "final"),
    [
        ("skip sanding before coat two on the hatch trim", Act.SAND, 2, False),
        ("skip the sanding before the third coat on the hatch trim", Act.SAND, 3, False),
        ("don't sand before the second coat on the hatch trim", Act.SAND, 2, False),
        ("no need to rub down before coat 3 on the hatch trim", Act.SAND, 3, False),
        ("no sanding between coats on the hatch trim", Act.SAND, None, False),
        ("don't bother rubbing down before the last coat on the hatch trim", Act.SAND, None, True),
        ("not bothering with sanding before coat two on the hatch trim", Act.SAND, 2, False),
        ("skip the washing before coat two on the hatch trim", Act.CLEAN, 2, False),
    ],
)
def test_a_step_left_out(phrase: str, act: Act, coat: int | None, final: bool) -> None:
    said = read(phrase)
    assert said is not None
    assert (said.change, said.act, said.coat, said.final) == (Change.SKIP, act, coat, final)
    assert pieces(said.pieces) == ["hatch trim"]


@pytest.mark.parametrize(
    ("phrase", "what"),
    [
        ("drop the hatch trim from the plan", Change.DROP), ("take the hatch trim off the plan", Change.DROP),
        ("take the hatch trim off the list", Change.DROP), ("leave the hatch trim out of the plan", Change.DROP),
        ("put the hatch trim back in the plan", Change.BACK), ("put the hatch trim back on the list", Change.BACK),
    ],
)  # fmt: skip
def test_a_piece_out_of_the_plan_and_back(phrase: str, what: Change) -> None:
    said = read(phrase)
    assert said is not None
    assert said.change is what
    assert pieces(said.pieces) == ["hatch trim"]


@pytest.mark.parametrize(
    ("phrase", "instead"),
    [
        ("use the clear sealer instead of the amber varnish on the cratch board", ["amber varnish"]),
        ("let's use the clear sealer on the cratch board instead of the amber varnish", ["amber varnish"]),
        ("swap the amber varnish for the clear sealer on the cratch board", ["amber varnish"]),
        ("replace the amber varnish with the clear sealer on the cratch board", ["amber varnish"]),
        ("switch from the amber varnish to the clear sealer on the cratch board", ["amber varnish"]),
        ("use the clear sealer on the cratch board", []),
        ("go back to the clear sealer on the cratch board", []),
        ("switch to the clear sealer on the cratch board", []),
    ],
)
def test_which_product_stands_in_for_which(phrase: str, instead: list[str]) -> None:
    said = read(phrase)
    assert said is not None
    assert said.change is Change.USE
    assert products(said) == (["clear sealer"], instead)
    assert pieces(said.pieces) == ["cratch board"]


@pytest.mark.parametrize(
    "phrase",
    [
        "do the hatch trim after the cratch board", "leave the hatch trim till after the cratch board",
        "do the cratch board before the hatch trim", "don't do the hatch trim before the cratch board",
    ],
)  # fmt: skip
def test_what_waits_is_told_from_what_it_waits_for(phrase: str) -> None:
    said = read(phrase)
    assert said is not None
    assert said.change is Change.AFTER
    assert (pieces(said.pieces), pieces(said.other)) == (["hatch trim"], ["cratch board"])


@pytest.mark.parametrize(
    "phrase",
    [
        # done
        "gave it one more coat", "put on three coats", "put three coats on the hatch trim",
        "I give it one more coat", "put another coat on the hatch trim", "gave it three coats instead of four",
        "the hatch trim has had three coats", "I've given the hatch trim three coats",
        "I only put three coats on the hatch trim", "took a coat off the hatch trim",
        "hatch trim only got two coats", "I skipped sanding before coat two on the hatch trim",
        "I dropped the hatch trim", "didn't sand the hatch trim before the second coat",
        "used clear sealer instead of varnish on the cratch board", "did the hatch trim after the cratch board",
        "hatch trim done after the cratch board", "the hatch trim has three coats",
        "I put two coats of primer on the bulkhead as in the plan", "sanded the hatch trim between coats",
        "two more coats on the hatch trim", "three coats of varnish on the hatch trim", "put the hatch trim back",
        # asked, supposed, wished, said by another
        "does the hatch trim need another coat", "do the doors need one more coat",
        "can I skip sanding before coat two", "what if I did four coats on the hatch trim instead of five",
        "if the hatch trim needs another coat I'll do it", "I should have given the hatch trim one more coat",
        "I'd like one more coat on the hatch trim", "Dave reckons the hatch trim only wants three coats",
        "maybe one coat fewer on the hatch trim",
        # denied, to be minded, or of something else
        "don't give the hatch trim another coat", "the bulkhead doesn't need another coat",
        "don't forget the hatch trim", "don't skip sanding before coat two on the hatch trim",
        "don't forget to sand before coat two on the hatch trim", "remind me to give the hatch trim another coat",
        "take the second coat off the hatch trim", "take the tape off the hatch trim",
        "take the brushes off the list", "swap the filters on the extractor",
        "use up the amber varnish on the cratch board", "use less varnish on the hatch trim", "make it ten past",
        "make it the second coat on the hatch trim", "less than three coats on the hatch trim",
        "cross the hatch trim off the list",
        # what is left of the plan is no change of it
        "the hatch trim still needs two coats", "only two coats to go on the hatch trim",
        "only one more coat on the hatch trim", "only two coats left to do on the hatch trim",
        # a time has no place in a change of the plan
        "two coats instead of one on the bulkhead this morning",
        "the hatch trim needs another coat tomorrow", "give the hatch trim one more coat by friday",
    ],
)  # fmt: skip
def test_what_is_no_change_of_the_plan(phrase: str) -> None:
    assert read(phrase) is None


def test_the_clauses_that_are_read_already_need_no_reading_again() -> None:
    phrase = cut("one coat fewer on the hatch trim", names())
    found = sentences.read(phrase)[0]
    assert change(phrase, found) == change(phrase)
    assert change(phrase, [replace(s, force=Force.REPORTED) for s in found]) is None


@pytest.mark.parametrize(
    ("phrase", "told"),
    [
        ("five coats of varnish on the hatch trim and two of sealer on the galley shelf, to do",
         [("hatch trim", 5, "amber varnish"), ("galley shelf", 2, "clear sealer")]),
        ("make it five coats on the hatch trim and three on the bulkhead",
         [("hatch trim", 5, None), ("bulkhead", 3, None)]),
    ],
)  # fmt: skip
def test_several_in_one_breath(phrase: str, told: list[tuple[str, int, str | None]]) -> None:
    said = changes(cut(phrase, names()))
    assert [(pieces(c.pieces)[0], c.count, products(c)[0][0] if c.products else None) for c in said] == told
    assert {c.change for c in said} == {Change.TOTAL}


def test_several_in_one_breath_are_all_changes_or_none() -> None:
    two = changes(cut("drop the bulkhead from the plan and give the hatch trim one more coat", names()))
    assert [c.change for c in two] == [Change.DROP, Change.MORE]
    assert changes(cut("drop the bulkhead from the plan and sand the hatch trim", names())) == []
    assert changes(cut("gave the bulkhead two coats and give the hatch trim one more coat", names())) == []
