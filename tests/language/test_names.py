"""Who is named: whole names, other names, parts of names, plurals, and what is a question because two have it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from assistant.journal.state import Word
from assistant.language.chunks import Cat, Chunk
from assistant.language.chunks import cut as chunked
from assistant.language.names import Gazetteer, Known, cut, plural, singular
from assistant.language.vocabulary import gazetteer, made_known
from assistant.library.catalogue import Library
from language.build import linnet, names

DOORS = ("port cabin door", "starboard cabin door")


def spans(said: str, kind: str) -> list[Chunk]:
    """All names of one kind in some words."""
    return [c for held in chunked(said, names()).chunks for c in held if c.cat is Cat.NAME and c.value.kind == kind]


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


# -- words of the person's own ----------------------------------------------------------------------------


def with_words(*words: Word) -> Gazetteer:
    """The job's names after some words were settled."""
    job = replace(linnet(), words={word.name: word for word in words})
    return gazetteer(job, Library(job.labels))


def test_a_word_that_was_settled_is_one_more_name_of_what_it_means() -> None:
    held = with_words(
        Word("brightwork", "hatch trim", "piece"),
        Word("goo", "tread epoxy", "product"),
        Word("pointy end", "fore cabin", "space"),
    )
    for said, kind, meant in (
        (("brightwork",), "piece", "hatch trim"),
        (("goo",), "product", "tread epoxy"),
        (("pointy", "end"), "space", "fore cabin"),
    ):
        assert [(n.kind, n.options, n.doubt) for n in held.full[said]] == [(kind, (meant,), 0.0)]
    assert {"brightwork", "goo", "pointy"} <= held.words


def test_a_verb_of_ones_own_and_a_word_for_what_is_gone_name_nothing() -> None:
    held = with_words(Word("blatted", "sand", "act"), Word("old lid", "locker lid", "piece"))
    assert ("blatted",) not in held.full
    assert ("old", "lid") not in held.full


# -- a name that nothing else could know ------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "what", "name", "values"),
    [
        (
            "new piece locker lid in the galley, 0.4 square metres",
            "piece",
            "locker lid",
            {"space": "galley", "area": "0.4 m2"},
        ),
        ("there's a new space called the Wet Room.", "space", "wet room", {}),
        ("please add a new piece: chart table", "piece", "chart table", {}),
        ("new room saloon", "space", "saloon", {}),
        (
            "new piece bunk board in the fore cabin of 0.6 m²",
            "piece",
            "bunk board",
            {"space": "fore cabin", "area": "0.6 m2"},
        ),
        ("New piece called Rail for the Step", "piece", "rail for the step", {}),
        ("new piece locker lid half a square metre", "piece", "locker lid", {"area": "0.5 m2"}),
        ("new piece zxqwk", "piece", "zxqwk", {}),
    ],
)
def test_a_piece_or_a_space_is_made_known(said: str, what: str, name: str, values: dict[str, str]) -> None:
    assert made_known(said) == (what, name, values)


@pytest.mark.parametrize(
    "said",
    [
        "new piece",
        "new space",
        "is there a new piece?",
        "new piece of tape on the shelf",
        "there's a new piece that needs sanding",
        "new piece sanded",
        "the new piece is in the galley",
        "new piece door is dry",
        "new piece called locker lid sanded with 240",
        "new piece shelf at noon",
        "new tin of varnish",
        "new piece locker lid in",
        "",
    ],
)
def test_what_says_more_or_less_than_a_new_name_makes_nothing_known(said: str) -> None:
    assert made_known(said) is None
