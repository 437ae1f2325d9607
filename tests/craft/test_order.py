"""The card's own word goes before the general rule."""

import pytest

from assistant.craft.order import may
from assistant.library.cards import Card, Over


def card(family, kind, generic, *over):
    return Card(name=family, family=family, kind=kind, title=family, generic=generic, over=over)


PRIMER = card("primer-epoxy", "primer", "epoxy")


def test_the_cards_word_first_and_the_most_particular_of_those():
    rules = [
        Over("primer", "yes", "kind", ""),
        Over("epoxy", "keyed", "type", ""),
        Over("primer-epoxy", "no", "it", ""),
    ]
    assert may(card("top", "topcoat", "alkyd", *rules), PRIMER).why == "it"
    assert may(card("top", "topcoat", "alkyd", *rules[:2]), PRIMER).why == "type"
    assert may(card("top", "topcoat", "alkyd", *rules[:1]), PRIMER).why == "kind"


def test_a_type_can_be_asked_for_by_name():
    top = card("top", "topcoat", "alkyd", Over("epoxy", "keyed", "80 grit", "a"))
    assert may(top, "Epoxy").verdict == "keyed"


@pytest.mark.parametrize(
    ("kind", "verdict"), [("varnish", "yes"), ("primer", "yes"), ("topcoat", "no"), ("undercoat", "no")]
)
def test_bare_wood_where_the_card_is_silent(kind, verdict):
    assert may(card("it", kind, "oil"), "bare wood").verdict == verdict
    assert may(card("it", kind, "oil"), "wood").verdict == verdict


def test_a_wood_filler_is_not_bare_wood():
    assert may(card("top", "topcoat", "alkyd"), card("filler-wood", "filler", "water-borne")).verdict == "test"


def test_the_same_again():
    sealer = card("sealer-wood-fast", "sealer", "sealer")
    assert may(sealer, sealer).verdict == "yes"


def test_one_pack_and_two_pack_polyurethane_are_not_the_same_type():
    one = card("varnish-polyurethane-1k", "varnish", "polyurethane-1k")
    two = card("varnish-polyurethane-2k", "varnish", "polyurethane-2k")
    assert may(two, one).verdict == "test"
    assert may(one, two).verdict == "test"


def test_two_solvents_are_no_type_of_film():
    assert may(card("wipe", "cleaner", "solvent"), card("thinner", "thinner", "solvent")).verdict == "test"


def test_every_verdict_has_a_reason_and_a_source():
    for under in ("bare wood", "alkyd", "epoxy", "something else", PRIMER):
        verdict = may(card("filler-polyester", "filler", "polyester"), under)
        assert verdict.why
        assert verdict.basis
