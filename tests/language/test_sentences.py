"""A phrase cut into clauses, and the force that each has among the others."""

from __future__ import annotations

from itertools import pairwise

import pytest

from assistant.language import sentences
from assistant.language.chunks import cut
from assistant.language.meanings import Force
from language.build import names


def clauses(said: str) -> list[tuple[str, Force]]:
    """The frames of a phrase in order, with their forces."""
    return [(s.clause.frame.name, s.force) for s in sentences.read(cut(said, names()))[0]]


DONE, MEANT, DENIED, ASKED, SUPPOSED = Force.DONE, Force.MEANT, Force.DENIED, Force.ASKED, Force.SUPPOSED


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        ("sanded the hatch trim, varnished it at noon", [("sand", DONE), ("coat", DONE)]),
        ("sanded the hatch trim and varnished the bulkhead", [("sand", DONE), ("coat", DONE)]),
        ("sanded the hatch trim then masked the bulkhead", [("sand", DONE), ("mask", DONE)]),
        ("sanded the hatch trim and the bulkhead", [("sand", DONE)]),
        ("sanded the hatch trim but didn't varnish the bulkhead", [("sand", DONE), ("coat", DENIED)]),
        ("sanded the hatch trim and i'll varnish it tomorrow", [("sand", DONE), ("coat", MEANT)]),
        ("stripped the bulkhead sanded the galley shelf", [("strip", DONE), ("sand", DONE)]),  # dictated: no marks
    ],
)
def test_each_predicate_has_a_clause_and_a_force_of_its_own(said: str, wanted: list[tuple[str, Force]]) -> None:
    assert clauses(said) == wanted


def test_a_condition_makes_what_hangs_on_it_supposed() -> None:
    for said in ("if it's dry i'll sand the hatch trim", "i'll sand the hatch trim if it's dry"):
        assert all(force is not DONE for frame, force in clauses(said) if frame == "sand"), said


def test_the_clauses_cover_the_phrase_in_order_and_do_not_overlap() -> None:
    for said in (
        "sanded the hatch trim, varnished it at noon and it's 17 degrees in the galley",
        "stripped the bulkhead sanded the galley shelf primed the cratch board at ten",
        "second coat on the hatch trim at noon",
    ):
        phrase = cut(said, names())
        found = [s.clause for s in sentences.read(phrase)[0]]
        assert found[0].i == 0
        assert found[-1].j == len(phrase)
        assert all(a.j <= b.i for a, b in pairwise(found)), said


def test_a_long_dictation_without_marks_is_still_read_clause_by_clause() -> None:
    said = (
        "sanded the hatch trim with 240 at nine then masked the bulkhead and primed the cratch board at ten "
        "then sanded the galley shelf and varnished the companionway trim at noon"
    )
    assert [frame for frame, _ in clauses(said)] == ["sand", "mask", "coat", "sand", "coat"]
