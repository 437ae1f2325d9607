"""The word list, and words cut and measured: every entry of the files is found, every measure is what it says.

Unit definitions: the imperial and United States gallon (Weights and Measures Act 1985, schedule 1: 4.54609 litres; NIST
Handbook 44, appendix C: 3.785411784 litres), the pound (0.45359237 kg exactly), degC = (degF - 32) x 5/9.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from assistant.language.chunks import Cat
from assistant.language.chunks import cut as chunked
from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.measures import Measure
from assistant.language.noungroup import Head
from assistant.language.tokens import tokens
from assistant.language.wordlist import english, wordlist
from language.build import names

GRAMMARS = Path(__file__).resolve().parents[2] / "grammars"
ENTRIES = {"nouns.toml": "noun", "describing.toml": "describing", "function.toml": "word"}


@cache
def file(name: str) -> dict[str, Any]:
    return tomllib.loads((GRAMMARS / name).read_text(encoding="utf-8"))


def lemmas(name: str, table: str) -> Iterator[str]:
    return (lemma for row in file(name)[table] for lemma in row["say"])


@pytest.mark.parametrize("name", ENTRIES)
def test_every_entry_is_found_where_its_words_stand(name: str) -> None:
    lost = []
    for lemma in lemmas(name, ENTRIES[name]):
        words = lemma.split()
        found = [entry for end, entry in wordlist().entries_at(words, 0) if end == len(words)]
        if lemma not in {entry.lemma for entry in found}:
            lost.append(lemma)
    assert lost == []


def test_every_verb_has_a_use_with_its_particles() -> None:
    lost = [
        lemma
        for lemma in lemmas("verbs.toml", "verb")
        if tuple(lemma.split()[1:]) not in {use.particles for use in wordlist().uses(lemma.split()[0])}
    ]
    assert lost == []


def test_every_verb_of_two_words_is_found_by_them() -> None:
    lost = [
        lemma
        for lemma in lemmas("verbs.toml", "compound")
        if lemma not in {form.lemma for form in wordlist().compound_forms(*lemma.split())}
    ]
    assert lost == []


# Source: principal parts as any dictionary gives them, from memory.
@pytest.mark.parametrize(
    ("form", "lemma", "tag"),
    [
        ("sanded", "sand", "VBD"),
        ("sanding", "sand", "VBG"),
        ("rubbed", "rub", "VBN"),
        ("hung", "hang", "VBD"),
        ("laid", "lay", "VBN"),
        ("varnishes", "varnish", "VBZ"),
        ("put", "put", "VBD"),
    ],
)
def test_an_inflected_form_leads_to_its_verb(form: str, lemma: str, tag: str) -> None:
    assert any(found.lemma == lemma and tag in found.tags for found in wordlist().verb_forms(form))


def test_a_particle_makes_another_verb() -> None:
    senses = {" ".join(("put", *use.particles)): use.sense for use in wordlist().uses("put")}
    assert senses["put off"] != senses["put on"]


def test_the_uses_with_particles_come_first() -> None:
    for lemma in ("put", "rub", "take"):
        counts = [len(use.particles) for use in wordlist().uses(lemma)]
        assert counts == sorted(counts, reverse=True)


def test_every_word_for_a_kind_of_material_is_known() -> None:
    words = {word for row in file("kinds.toml").values() for said in row for word in said.split()}
    assert {word for word in words if word not in wordlist().known and english(word) is None} == set()


def test_every_word_of_the_spoken_shapes_is_known() -> None:
    words = {
        word
        for kind in file("spoken.toml")["spoken"]
        for shape in kind["shapes"]
        for word in shape.replace("[", " ").replace("]", " ").replace("'", " ").split()
        if not word.startswith("<") and len(word) > 1
    }
    known = wordlist().known | CLOCK_WORDS | names().words
    assert {word for word in words if word not in known and english(word) is None} == set()


def test_whatever_fills_a_role_of_a_frame_is_a_kind_of_thing_that_there_is() -> None:
    """A noun's kind in the grammar of clauses is one that a noun group can have; a misspelt one would never fit."""
    heads = {head.value for head in Head}
    nouns = {row["sense"].split(".")[0] for row in file("nouns.toml")["noun"]}
    assert nouns - heads == set()


# -- words and measures -------------------------------------------------------------------------------------

IMPERIAL_FL_OZ = 4546.09 / 160
US_FL_OZ = 3785.411784 / 128


def whole(said: str, what: Measure, *, us: bool = False) -> list[Any]:
    """What all the words may be as one measure of a kind."""
    phrase = chunked(said, names(), us=us)
    return [c.value[1] for c in phrase.of(0, Cat.MEASURE) if c.j == len(phrase) and c.value[0] is what]


@pytest.mark.parametrize(
    ("said", "cut"),
    [
        ("Second coat, please!", ["second", "coat", ",", "please", "!"]),
        ("750ml", ["750", "ml"]),
        ("P240", ["p", "240"]),
        ("twenty-five", ["twenty", "five"]),
        ("at 20:15", ["at", "20:15"]),
        ("2:1", ["2:1"]),
        ("the 2nd", ["the", "2nd"]),
        ("½ litre", ["1/2", "litre"]),
        ("2 a.m.", ["2", "am"]),
        ("it's didn't I'm", ["it", "is", "did", "not", "i", "am"]),
        ("the trim's dry", ["the", "trim", "'s", "dry"]),
        ("hatch trim @ noon", ["hatch", "trim", "at", "noon"]),
        ("sanded…then wiped", ["sanded", ",", "then", "wiped"]),
        ("ＨＡＴＣＨ", ["hatch"]),  # full-width letters, as some keyboards send them
        ("-5 degrees", ["-5", "degrees"]),
        ("", []),
    ],
)
def test_a_phrase_is_cut_as_it_is_spoken(said: str, cut: list[str]) -> None:
    assert [token.text for token in tokens(said)] == cut


AMOUNTS = [
    ("60 ml", 60, "ml"),
    ("sixty mil", 60, "ml"),
    ("three hundred mil", 300, "ml"),
    ("half a litre", 500, "ml"),
    ("1.5 litres", 1500, "ml"),
    ("a litre and a half", 1500, "ml"),
    ("two and a half litres", 2500, "ml"),
    ("5 cl", 50, "ml"),
    ("a quarter of a litre", 250, "ml"),
    ("a pint", 20 * IMPERIAL_FL_OZ, "ml"),
    ("half a pint", 10 * IMPERIAL_FL_OZ, "ml"),
    ("two fluid ounces", 2 * IMPERIAL_FL_OZ, "ml"),
    ("4 fl oz", 4 * IMPERIAL_FL_OZ, "ml"),
    ("a gallon", 4546.09, "ml"),
    ("100 g", 100, "g"),
    ("half a kilo", 500, "g"),
    ("two pounds", 907.18474, "g"),
    ("8 ounces", 226.796185, "g"),
    ("1,500 ml", 1500, "ml"),
]


@pytest.mark.parametrize(("said", "value", "unit"), AMOUNTS)
def test_amounts(said: str, value: float, unit: str) -> None:
    found = whole(said, Measure.AMOUNT)
    assert found
    assert all(one.unit == unit and one.value == pytest.approx(value) for one in found)


def test_pints_and_ounces_are_american_where_the_job_says_so() -> None:
    for said, count in (("a pint", 16), ("4 fl oz", 4), ("a gallon", 128)):
        assert {round(one.value, 3) for one in whole(said, Measure.AMOUNT, us=True)} == {round(count * US_FL_OZ, 3)}


@pytest.mark.parametrize(
    ("said", "degrees"),
    [
        ("fourteen degrees", 14.0),
        ("9 degrees", 9.0),
        ("12.5 c", 12.5),
        ("minus two degrees", -2.0),
        ("two below", -2.0),
        ("three below zero", -3.0),
        ("50 fahrenheit", 10.0),
        ("68 degrees f", 20.0),
        ("14 °C", 14.0),
    ],
)
def test_temperatures(said: str, degrees: float) -> None:
    found = whole(said, Measure.TEMPERATURE)
    assert found
    assert all(one.unit == "degC" and one.value == pytest.approx(degrees) for one in found)


@pytest.mark.parametrize(
    ("said", "grit"),
    [
        ("240", 240),
        ("two forty", 240),
        ("P320", 320),
        ("three twenty grit", 320),
        ("2 40", 240),
    ],
)
def test_grits(said: str, grit: int) -> None:
    assert grit in whole(said, Measure.GRIT)


@pytest.mark.parametrize(
    ("said", "ratio"),
    [("2:1", (2, 1)), ("two to one", (2, 1)), ("five parts to one", (5, 1)), ("100 to 30", (100, 30))],
)
def test_ratios(said: str, ratio: tuple[int, int]) -> None:
    assert ratio in whole(said, Measure.RATIO)


@pytest.mark.parametrize(
    ("said", "metres"),
    [("20 square feet", 20 * 0.09290304), ("ten sq ft", 0.9290304), ("two square yards", 2 * 0.83612736)],
)
def test_areas_in_feet_and_yards(said: str, metres: float) -> None:
    """Factors: NIST SP 811, appendix B (square foot, square yard)."""
    (found,) = whole(said, Measure.AREA)
    assert (found.value, found.unit) == (pytest.approx(metres), "m2")
