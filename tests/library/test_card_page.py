"""A card as a page: each figure with where it is from."""

import json

import pytest

from assistant.library import labels, page
from assistant.library.cards import STAGES, Row
from assistant.library.families import family, index

VARNISH = {
    "family": "varnish-polyurethane-1k",
    "times": [{"at": "20 degC", "touch": "45 to 60 min", "overcoat": {"min": "6 h", "max": "72 h"}}],
}


def test_a_figure_is_given_with_its_place():
    card = labels.read("amber varnish", VARNISH)
    assert page.why(card, "touch") == "45 to 60 min at 20 degC - label"
    assert page.why(card, "overcoat_max") == "72 h at 20 degC - label"
    assert page.why(card, "handle") == "24 h at 20 degC - common practice, no source"
    assert page.why(card, "volume_solids") == page.why(card, "solids") == "45 percent - memory"
    assert page.why(card, "pot_life") == "not known: neither label nor family says"
    assert page.why(family("thinner-water"), "touch") == "none: a thinner leaves no film"
    assert page.why(family("shellac"), "overcoat_max").startswith("no end - ")


def test_a_figure_that_no_card_has_is_the_callers_mistake():
    with pytest.raises(ValueError, match="colour"):
        page.why(family("shellac"), "colour")


@pytest.mark.parametrize(
    ("row", "text"),
    [
        (Row(20, 1.0, 0.75), "45 to 60 min"),
        (Row(20, 0.25), "15 min"),
        (Row(20, 1.0), "1 h"),
        (Row(20, 2.0, 1.0), "1 to 2 h"),
        (Row(20, 6.0), "6 h"),
        (Row(20, 72.0), "72 h"),
        (Row(20, 168.0), "7 days"),
        (Row(20, 336.0, 168.0), "7 to 14 days"),
    ],
)
def test_times_are_written_as_one_says_them(row, text):
    assert page.hours_text(row) == text


@pytest.mark.parametrize("name", index())
def test_a_whole_card_leaves_nothing_out_and_every_line_has_a_basis(name):
    card = family(name)
    lines = page.lines(card)
    for stage in STAGES:
        assert any(line.startswith(f"{page.NAMES[stage]}: ") for line in lines) or stage not in card.stages
    figures = [line for line in lines[1:] if not line.startswith(("also called", "no drying"))]
    assert all(" - " in line or "not known" in line for line in figures)
    assert not any("no basis given" in line for line in lines)


@pytest.mark.parametrize("name", index())
def test_a_card_as_json_survives_the_trip(name):
    data = page.to_json(family(name))
    assert json.loads(json.dumps(data)) == data
    assert data["family"] == name
    assert all(f["basis"] and f["text"] for f in data["figures"].values())
