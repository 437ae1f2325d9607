"""Who is named: whole names, other names, parts of names, plurals, and what is a question because two have it."""

from __future__ import annotations

import pytest

from assistant.language.names import Gazetteer, Known, cut, plural, singular
from language.build import linnet, names, spans

DOORS = ("port cabin door", "starboard cabin door")


def named(said: str, kind: str = "piece") -> tuple[str, ...]:
    """The best reading of words as one name."""
    found = [s for s in spans(said, kind) if s.i == 0 and s.j == len(said.split())]
    return min(found, key=lambda s: s.doubt).value.options if found else ()


@pytest.mark.parametrize("name", sorted(linnet().pieces))
def test_a_whole_name_is_itself_and_nothing_has_to_be_supposed(name: str) -> None:
    found = [s for s in spans(name, "piece") if s.j == len(cut(name)) and s.i == 0]
    best = min(found, key=lambda s: s.doubt)
    assert best.value.options == (name,)
    assert best.doubt == 0


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("hatch rail", ("hatch trim",)),  # its other name
        ("rail", ("hatch trim",)),
        ("treads", ("step treads",)),
        ("tread", ("step treads",)),
        ("cratch", ("cratch board",)),
        ("board", ("cratch board",)),
        ("companionway", ("companionway trim",)),
        ("shelf", ("galley shelf",)),
        ("port door", ("port cabin door",)),
        ("port one", ("port cabin door",)),
        ("starboard one", ("starboard cabin door",)),
        ("hatchtrim", ("hatch trim",)),
        ("companion way trim", ("companionway trim",)),
        ("bulk head", ("bulkhead",)),
    ],
)
def test_part_of_a_name_another_name_or_one_cut_elsewhere(said: str, meant: tuple[str, ...]) -> None:
    assert named(said) == meant


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("door", DOORS),
        ("cabin door", DOORS),
        ("trim", ("hatch trim", "companionway trim")),
        ("doors", DOORS),
        ("cabin doors", DOORS),
    ],
)
def test_what_two_pieces_share_names_both(said: str, meant: tuple[str, ...]) -> None:
    assert set(named(said)) == set(meant)


def test_a_plural_is_all_of_them_and_a_singular_a_question() -> None:
    many = [s.value for s in spans("doors", "piece")]
    one = [s.value for s in spans("door", "piece")]
    assert all(name.plural for name in many)
    assert not any(name.plural for name in one)


@pytest.mark.parametrize("said", ["mast", "one", "the", "side", "new", "new one", "wheelhouse", "cabin", "step"])
def test_what_names_no_piece(said: str) -> None:
    assert named(said) == ()


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("varnish", ("amber varnish",)),
        ("primer", ("grey primer",)),
        ("epoxy", ("tread epoxy",)),
        ("white undercoat", ("white undercoat",)),
    ],
)
def test_products_by_their_other_names(said: str, meant: tuple[str, ...]) -> None:
    assert named(said, "product") == meant


def test_a_colour_alone_is_no_product() -> None:
    for colour in ("white", "grey", "clear"):
        assert named(colour, "product") == ()


def test_a_misspelt_name_carries_a_doubt_and_a_right_one_none() -> None:
    right = min(s.doubt for s in spans("hatch trim", "piece") if s.j == 2)
    wrong = min(s.doubt for s in spans("hach trim", "piece") if s.j == 2)
    assert right == 0 < wrong


def test_a_word_of_two_kinds_is_both() -> None:
    held = Gazetteer([Known("piece", "galley"), Known("space", "galley"), Known("product", "deck oil", ("oil",))])
    assert {n.kind for n in held.full[("galley",)]} == {"piece", "space"}


def test_a_family_of_the_library_yields_to_the_jobs_own_label() -> None:
    held = Gazetteer(
        [Known("product", "amber varnish", ("varnish",)), Known("product", "spirit varnish", ("varnish",), weak=True)]
    )
    assert held.full[("varnish",)][0].options == ("amber varnish",)


def test_the_names_words_are_known_to_the_speller() -> None:
    assert {"hatch", "trim", "companionway", "bulkhead", "varnish"} <= names().words


@pytest.mark.parametrize(
    ("one", "many"),
    [
        ("door", "doors"),
        ("hatch", "hatches"),
        ("box", "boxes"),
        ("shelf", "shelves"),
        ("galley", "galleys"),
        ("berth", "berths"),
        ("roof", "roofs"),
        ("gallery", "galleries"),
    ],
)
def test_plurals_and_back(one: str, many: str) -> None:
    assert plural(one) == many
    assert singular(many) == one


def test_words_that_only_end_like_plurals_stay() -> None:
    for word in ("brass", "glass", "gas"):
        assert singular(word) == word
