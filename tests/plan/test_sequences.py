"""The work chains of ``models/sequences`` read, and mean what people call them."""

from __future__ import annotations

import pytest

from assistant.craft.plan.sequences import all_sequences, find, named, of_kind
from assistant.library import families
from assistant.library.cards import STAGES
from assistant.problem import Problem


def test_every_sequence_reads_and_gives_its_basis():
    assert len(all_sequences()) >= 12
    for sequence in all_sequences().values():
        assert sequence.basis
        for layer in sequence.layers:
            for act in (*layer.steps, *layer.after, layer.lay):
                assert act.waits is None or act.waits in STAGES
                assert act.minutes.of(1.0) > 0


def test_every_layer_names_a_family_that_exists_and_is_of_its_kind():
    for sequence in all_sequences().values():
        for layer in sequence.layers:
            if layer.family is not None:
                assert families.family(layer.family).kind == layer.kind


def test_no_two_sequences_answer_to_one_name():
    names = [n for s in all_sequences().values() for n in (s.id, s.title, *s.also)]
    doubled = {n for n in names if names.count(n) > 1}
    own = {s.id for s in all_sequences().values() if s.id == s.title}
    assert doubled <= own


@pytest.mark.parametrize(
    ("said", "meant"),
    [("varnish", "varnish"), ("Varnish bare wood", "varnish-bare"), ("bond", "treads"), ("re-glue", "laminate"),
     ("fill", "fill"), ("painted joinery", "paint-joinery"), ("epoxy repair", "epoxy-repair")],
)  # fmt: skip
def test_people_call_it(said: str, meant: str):
    found = find(said)
    assert found is not None and found.id == meant


def test_an_unknown_one_is_asked_back_with_the_nearest():
    assert find("polish the moon") is None
    with pytest.raises(Problem, match="did you mean"):
        named("undercot")


def test_dust_is_made_only_by_sanding_and_stripping():
    """Common practice, no source: brushes make no dust, abrasives do; a machine makes noise as well."""
    for sequence in all_sequences().values():
        for layer in sequence.layers:
            for act in (*layer.steps, *layer.after, layer.lay):
                assert act.dust == (act.do in ("sand", "strip"))
                if act.noise:
                    assert act.dust and "sander" in act.gear


def test_amine_blush_is_washed_before_it_is_sanded():
    """AMPP paper 41205-190 (2005): blush that is not washed off costs the bond of the next coat."""
    after = [a for layer in named("epoxy repair").layers for a in layer.after]
    assert [a.do for a in after].index("clean") < [a.do for a in after].index("sand")


def test_bare_wood_goes_through_its_grits_coarse_to_fine():
    """Common practice (FACTS): bare P80, P120, P180; between coats P240 to P320."""
    (layer,) = named("varnish bare wood").layers
    assert [a.grit for a in layer.steps if a.before(1) and a.do == "sand"] == [80, 120, 180]
    assert [a.grit for a in layer.steps if a.before(2) and a.do == "sand"] == [320]


def test_coats_of_a_kind_have_a_sequence():
    for kind in ("varnish", "undercoat", "primer", "topcoat", "sealer", "oil", "filler", "adhesive"):
        assert of_kind(kind) is not None
