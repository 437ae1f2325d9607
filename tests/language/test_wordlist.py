"""The word list: every entry of the files is found, in all its forms, and none is a half sentence."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.noungroup import Head
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
