"""Noun groups: who is spoken of, how many of them, which part, and who is left out."""

from __future__ import annotations

import pytest

from assistant.language.chunks import cut
from assistant.language.groups import groups_at
from assistant.language.meanings import Pronoun, Quantifier
from assistant.language.noungroup import Head, NounGroup
from language.build import names

DOORS = {"port cabin door", "starboard cabin door"}


def whole(said: str) -> NounGroup:
    """The surest group that takes all the words."""
    phrase = cut(said, names())
    found = [g for g in groups_at(phrase, 0) if g.j == len(phrase)]
    assert found, f"{said!r} is no one group"
    return min(found, key=lambda g: g.doubt)


def pieces(group: NounGroup) -> set[str]:
    return {option for name in group.names for option in name.options}


@pytest.mark.parametrize(
    ("said", "named", "quantifier"),
    [
        ("the hatch trim", {"hatch trim"}, None),
        ("both doors", DOORS, Quantifier.BOTH),
        ("all the doors", DOORS, Quantifier.ALL),
        ("each door", DOORS, Quantifier.EACH),
        ("the other door", DOORS, Quantifier.OTHER),
        ("the hatch trim and the galley shelf", {"hatch trim", "galley shelf"}, None),
        ("the bulkhead, the cratch board and the treads", {"bulkhead", "cratch board", "step treads"}, None),
        ("neither door", DOORS, Quantifier.NONE),
    ],
)
def test_the_pieces_of_a_group_and_how_many_of_them(said: str, named: set[str], quantifier: Quantifier | None) -> None:
    group = whole(said)
    assert pieces(group) == named
    assert group.quantifier is quantifier


UNREAD = pytest.mark.xfail(reason="It is not yet read as leaving anybody out.", strict=True)


@pytest.mark.parametrize(
    "joint",
    [
        "except",
        "apart from",
        "but not",
        "except for",
        pytest.param("other than", marks=UNREAD),
        pytest.param("bar", marks=UNREAD),
    ],
)
def test_who_is_left_out_is_no_member_of_the_group(joint: str) -> None:
    group = whole(f"everything {joint} the cratch board")
    assert group.quantifier is Quantifier.ALL
    assert not group.names
    assert group.besides is not None
    assert pieces(group.besides) == {"cratch board"}


def test_a_set_may_be_given_by_its_space() -> None:
    group = whole("everything in the fore cabin")
    assert group.quantifier is Quantifier.ALL
    assert [name.options for name in group.spaces] == [("fore cabin",)]


@pytest.mark.parametrize(
    ("said", "part"),
    [
        ("the underside of the galley shelf", "underside"),
        ("the bottom half of the bulkhead", "bottom half"),
        ("the back of the cratch board", "back"),
    ],
)
def test_a_part_is_of_the_piece_and_not_the_piece(said: str, part: str) -> None:
    group = whole(said)
    assert group.part is not None
    assert part in group.part
    assert len(group.names) == 1


@pytest.mark.parametrize(("said", "pronoun"), [("it", Pronoun.IT), ("them", Pronoun.THEM), ("those", Pronoun.THEM)])
def test_a_pronoun_names_nobody_and_says_that_it_stands_for_somebody(said: str, pronoun: Pronoun) -> None:
    group = whole(said)
    assert group.pronoun is pronoun
    assert group.names == ()


def test_the_speaker_and_others_are_no_pieces() -> None:
    assert whole("i").head is Head.SELF
    assert whole("he").head is Head.OTHERS
    assert not whole("we").of_pieces


def test_a_coat_has_its_number_and_its_product() -> None:
    group = whole("the second coat of amber varnish")
    assert group.head is Head.COAT
    assert group.ordinal == 2
    assert [name.options for name in group.products] == [("amber varnish",)]


def test_a_longer_group_comes_first_and_shorter_ones_after_it() -> None:
    phrase = cut("the hatch trim and the galley shelf at noon", names())
    ends = [g.j for g in groups_at(phrase, 0)]
    assert ends == sorted(ends, reverse=True)
    assert {3, 7} <= set(ends)
