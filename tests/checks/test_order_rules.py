"""What may go over what, by the families' own cards: each rule beside where it is from."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from assistant.craft.clash import clash
from assistant.craft.order import may
from assistant.craft.readiness import readiness
from assistant.journal.events import Clean, Climate, Coat, Fill, Sand
from assistant.journal.state import fold
from assistant.library.catalogue import Library
from assistant.quantity import celsius

CARDS = Library({}).card
LAID = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("over", "under", "verdict"),
    [
        pytest.param("filler-polyester", "primer-epoxy", "keyed", id="common-practice-polyester-over-epoxy-keyed"),
        pytest.param("filler-polyester", "epoxy-laminating", "keyed", id="common-practice-polyester-over-laminate"),
        pytest.param("primer-epoxy", "filler-polyester", "yes", id="common-practice-epoxy-over-polyester"),
        pytest.param("varnish-oil", "varnish-oil", "yes", id="MIL-HDBK-1110-2.4-same-generic-type"),
        pytest.param("enamel-alkyd", "undercoat-alkyd", "yes", id="MIL-HDBK-1110-4.2.4-same-generic-type"),
        pytest.param("varnish-polyurethane-1k", "bare wood", "yes", id="common-practice-varnish-on-bare-wood"),
        pytest.param("undercoat-alkyd", "bare wood", "no", id="MIL-HDBK-1110-6.3.1-bare-wood-is-primed"),
    ],
)
def test_verdicts(over, under, verdict):
    assert may(CARDS(over), under if under == "bare wood" else CARDS(under)).verdict == verdict


@pytest.mark.parametrize(
    ("over", "under", "verdict"),
    [
        pytest.param("filler-polyester", "primer-epoxy", "keyed", id="common-practice-polyester-over-epoxy"),
        pytest.param("epoxy-laminating", "gelcoat-polyester", "yes", id="common-practice-epoxy-over-polyester"),
        pytest.param("topcoat-polyurethane-2k", "varnish-oil", "test", id="MIL-HDBK-1110-2.4-solvent-rub"),
        pytest.param("enamel-alkyd", "undercoat-alkyd", "yes", id="MIL-HDBK-1110-4.2.4-same-type"),
        pytest.param("varnish-water-borne", "blacking-bitumen", "test", id="MIL-HDBK-1110-4.2.4-test-patch"),
        pytest.param("enamel-alkyd", "bare wood", "no", id="MIL-HDBK-1110-6.3.1-prime-bare-wood"),
    ],
)
def test_the_general_rules_hold_where_a_card_says_nothing(over, under, verdict):
    silent = replace(CARDS(over), over=())
    assert may(silent, under if under == "bare wood" else CARDS(under)).verdict == verdict


def test_where_a_card_says_nothing_the_old_coat_is_rubbed_with_solvent_first():
    """MIL-HDBK-1110 section 2.4: a coat that a solvent rub picks up takes no two-pack."""
    verdict = may(replace(CARDS("varnish-polyurethane-2k"), over=()), CARDS("varnish-oil"))
    assert "solvent" in verdict.why
    assert verdict.basis == "MIL-HDBK-1110 section 2.4"


@pytest.mark.parametrize("under", ["enamel-alkyd", "varnish-oil", "topcoat-polyurethane-1k"])
@pytest.mark.parametrize("over", ["topcoat-polyurethane-2k", "varnish-polyurethane-2k"])
def test_no_two_pack_without_a_rub_over_a_coat_that_solvent_lifts(over, under):
    """MIL-HDBK-1110 section 2.4."""
    assert may(CARDS(over), CARDS(under)).verdict in ("no", "test")


def test_unlike_materials_never_get_a_plain_yes_from_silence():
    """MIL-HDBK-1110 sections 2.4 and 4.2.4: else a test patch watched for days."""
    assert may(CARDS("varnish-water-borne"), CARDS("blacking-bitumen")).verdict != "yes"


def laying(*events, product, at, what=Coat):
    event = what(piece="bulkhead", product=product, at=at)
    return " ".join(clash(fold(events), CARDS, event, at))


def test_polyester_filler_over_fresh_epoxy_is_spoken_against():
    """Common practice: only fully cured, washed and keyed with 80 grit."""
    primer = Coat(piece="bulkhead", product="primer-epoxy", at=LAID)
    said = laying(primer, product="filler-polyester", at=LAID + timedelta(days=4), what=Fill)
    assert "80 grit" in said


def test_amine_blush_is_washed_off_before_sanding():
    """Common practice; delamination over blush: AMPP paper 41205-190 (2005)."""
    laid = Coat(piece="bulkhead", product="epoxy-laminating", at=LAID)
    later = LAID + timedelta(days=3)
    sanding = Sand(piece="bulkhead", grit=80, at=later)
    assert "wash" in " ".join(clash(fold([laid]), CARDS, sanding, later))
    washed = Clean(piece="bulkhead", at=later - timedelta(hours=1))
    assert "wash" not in " ".join(clash(fold([laid, washed]), CARDS, sanding, later))


def test_a_coat_before_the_least_time_may_lift_and_wrinkle():
    """Common practice, no source."""
    first = Coat(piece="bulkhead", product="enamel-alkyd", at=LAID)
    said = laying(first, product="enamel-alkyd", at=LAID + timedelta(hours=2))
    assert "lift" in said
    assert "wrinkle" in said


def test_no_dust_is_made_beside_a_film_that_is_not_dust_free():
    """Common practice, no source."""
    wet = Coat(piece="cabin doors", product="varnish-polyurethane-1k", at=LAID)
    sanding = Sand(piece="bulkhead", grit=120, at=LAID + timedelta(minutes=20))
    assert any("cabin doors" in word for word in clash(fold([wet]), CARDS, sanding, sanding.at))


@pytest.mark.parametrize(
    ("product", "least"),
    [
        pytest.param("enamel-alkyd", 4, id="USDA-Wood-Handbook-ch16-alkyd-at-least-4-degC"),
        pytest.param("varnish-oil", 4, id="USDA-Wood-Handbook-ch16-oil-at-least-4-degC"),
        pytest.param("varnish-water-borne", 10, id="USDA-Wood-Handbook-ch16-latex-at-least-10-degC"),
        pytest.param("varnish-polyurethane-1k", 7.2, id="MIL-HDBK-1110-7.4.1-45-degF"),
    ],
)
def test_under_its_least_temperature_a_film_never_gets_there(product, least):
    cold = Climate(at=LAID, temperature=celsius(least - 0.3))
    state = fold([cold, Coat(piece="bulkhead", product=product, at=LAID)])
    found = readiness(state, CARDS, "bulkhead", "touch", LAID + timedelta(days=3))
    assert not found.ready
    assert found.earliest is None
    assert found.unknown is not None
