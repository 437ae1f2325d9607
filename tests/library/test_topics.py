"""Every knowledge card is whole, short enough to be said, and rests on a named word."""

from __future__ import annotations

import re

import pytest

from assistant.library import families, topics
from assistant.library.topics import all_topics
from assistant.problem import Problem

#: What may be cited: the sources that the project's facts were taken from, and what was looked up for these cards.
SOURCES = re.compile(
    r"MIL-HDBK-1110|UFGS-\d{5}|USDA Wood Handbook|ASTM D\d+|TM 55-1905-223-SDC|TM 1-1500-204-23-11|TB 43-0144"
    r"|IMO MSC\.215|HSE|NFPA|29 CFR 1915\.35|EPA lead-safe practice|Griffith, Essentials of Woodworking"
    r"|US Army course EN0562"
)


def test_there_are_cards_enough() -> None:
    assert len(all_topics()) >= 50
    assert len({t.title for t in all_topics()}) == len(all_topics())


def test_every_statement_names_its_basis() -> None:
    for topic in all_topics():
        for said in topic.says:
            assert said.basis.startswith(("published: ", "common practice, no source", "memory")), topic.name
            if said.basis.startswith("published: "):
                assert SOURCES.search(said.basis), (topic.name, said.basis)


def test_statements_can_be_said() -> None:
    for topic in all_topics():
        for said in topic.says:
            assert len(said.text.split()) <= 55, (topic.name, len(said.text.split()))
            assert said.text.endswith(".")


def test_terms_are_single_plain_words() -> None:
    for topic in all_topics():
        for word in topic.terms | topic.bars:
            assert re.fullmatch(r"[a-z]+", word), (topic.name, word)
        assert not topic.terms & topic.bars, (topic.name, topic.terms & topic.bars)


def test_a_statement_is_for_materials_that_there_are() -> None:
    heads = families.index().values()
    there = {h.id for h in heads} | {h.kind for h in heads} | {families.family(h.id).generic for h in heads}
    for topic in all_topics():
        assert topic.kinds <= there
        for said in topic.says:
            assert said.on <= there, (topic.name, said.on - there)


def test_a_card_without_a_basis_is_refused() -> None:
    with pytest.raises(Problem, match="hearsay"):
        topics._statement("x", {"text": "Lick it.", "basis": "hearsay"}, "x.toml")


def test_a_card_that_speaks_of_one_material_only_is_refused() -> None:
    row = {"title": "x", "says": [{"on": ["varnish"], "text": "Yes.", "basis": "memory"}]}
    with pytest.raises(Problem, match="any material"):
        topics._topic("x", row, "x.toml")
