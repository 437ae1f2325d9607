"""What may go over what: the published rules and the trade's."""

import pytest

from assistant.craft.order import may
from assistant.library.families import family


@pytest.mark.parametrize(
    ("top", "under", "verdict"),
    [
        # An old coat that a solvent rub picks up: no two-pack over it (MIL-HDBK-1110 section 2.4).
        ("topcoat-polyurethane-2k", "enamel-alkyd", "no"),
        ("varnish-polyurethane-2k", "varnish-polyurethane-1k", "no"),
        ("primer-epoxy", "varnish-oil", "no"),
        # The same generic type over its undercoat (MIL-HDBK-1110 sections 2.4, 4.2.4).
        ("enamel-alkyd", "undercoat-alkyd", "yes"),
        ("topcoat-water-borne", "undercoat-water-borne", "yes"),
        # Polyester filler over epoxy only cured, washed and keyed; epoxy over polyester (common practice).
        ("filler-polyester", "epoxy-laminating", "keyed"),
        ("filler-epoxy", "filler-polyester", "yes"),
        # Rigid over flexible cracks (MIL-HDBK-1110 section 2.4.3).
        ("varnish-polyurethane-1k", "varnish-oil", "test"),
        # Nobody wrote a rule: a test patch (MIL-HDBK-1110 section 4.2.4).
        ("blacking-bitumen", "varnish-oil", "test"),
    ],
)
def test_the_rules_of_order(top, under, verdict):
    rule = may(family(top), family(under))
    assert rule.verdict == verdict
    assert rule.why
    assert rule.basis


def test_bare_wood_takes_varnish_and_primer_but_no_topcoat():
    assert may(family("varnish-oil"), "bare wood").verdict == "yes"
    assert may(family("primer-alkyd"), "bare wood").verdict == "yes"
    assert may(family("enamel-alkyd"), "bare wood").verdict == "no"  # common practice, no source


def test_the_particular_rule_comes_before_the_general_one():
    top = family("topcoat-polyurethane-1k")
    assert may(top, family("undercoat-alkyd")).verdict == "yes"
    assert may(top, family("enamel-alkyd")).verdict == "keyed"
