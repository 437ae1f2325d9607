"""The cautions: each with its source, and said when it belongs."""

import pytest

from assistant.journal.events import KINDS
from assistant.library.cautions import all_cautions, cautions_for, topics
from assistant.library.families import family, index


def said(act, name=None, **more):
    card = family(name) if name else None
    hazards = card.hazards if card else ()
    return {c.topic for c in cautions_for(act, kind=card.kind if card else "", hazards=hazards, **more)}


@pytest.mark.parametrize("caution", all_cautions(), ids=lambda c: c.topic)
def test_a_caution_is_short_has_a_source_and_belongs_to_something(caution):
    assert 0 < len(caution.text.split()) <= 25
    assert caution.source
    assert caution.acts
    assert set(caution.acts) <= {*KINDS, "thin"}
    assert caution.hazards or caution.kinds or caution.always
    assert set(caution.always) <= set(caution.acts)
    assert set(caution.hazards) <= topics()


def test_every_hazard_of_a_family_is_said_at_some_act():
    for name in index():
        heard = set().union(*(said(act, name) for act in (*KINDS, "thin")))
        assert set(family(name).hazards) <= heard, name


@pytest.mark.parametrize(
    ("act", "name", "topic"),
    [
        ("coat", "topcoat-polyurethane-2k", "isocyanate"),  # HSE
        ("mix", "epoxy-laminating", "exotherm"),  # TM 55-1905-223-SDC
        ("mix", "epoxy-laminating", "epoxy-skin"),  # HSE RR79
        ("mix", "filler-polyester", "peroxide-eyes"),  # OSHA 1989 through NIOSH
        ("coat", "varnish-oil", "oily-rags"),  # NFPA
        ("coat", "varnish-oil", "ignition"),  # 29 CFR 1915.35
        ("sand", "antifouling", "antifouling"),  # common practice
        ("sand", "varnish-oil", "dust"),  # EN 143
        ("strip", None, "old-paint"),  # EPA
        ("strip", None, "heat-gun"),  # 29 CFR 1915.35 by analogy
    ],
)
def test_a_warning_is_given_where_it_belongs(act, name, topic):
    assert topic in said(act, name)


def test_nothing_is_said_of_solvent_over_a_water_borne_coat():
    assert not said("coat", "varnish-water-borne") & {"organic-vapour", "ignition", "isocyanate", "oily-rags"}


def test_isocyanate_comes_before_the_lesser_warnings():
    heard = cautions_for("coat", kind="topcoat", hazards=family("topcoat-polyurethane-2k").hazards)
    assert heard[0].topic == "isocyanate"
