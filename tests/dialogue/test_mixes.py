"""What was poured into the cup: parts told with and without their units, and a ratio that is not the label's."""

from __future__ import annotations

import pytest

from dialogue.build import Linnet, only

# The label of the tread epoxy says 2 resin to 1 hardener by volume.


@pytest.mark.parametrize(
    ("phrase", "resin", "hardener"),
    [
        ("mixed 80 ml of resin with 40 ml of hardener", 80, 40),
        ("mixed eighty mil resin and forty hardener", 80, 40),
        ("mixed 80 resin 40 hardener", 80, 40),
        ("mixed sixty of resin and thirty of hardener", 60, 30),
    ],
)
def test_each_part_is_what_was_said_of_it(say: Linnet, phrase: str, resin: float, hardener: float) -> None:
    parts = {p["name"]: p["amount"] for p in only(say(phrase))["parts"]}
    assert parts == {"resin": {"value": resin, "unit": "ml"}, "hardener": {"value": hardener, "unit": "ml"}}


@pytest.mark.parametrize(
    ("phrase", "warned"),
    [
        ("mixed 60 ml resin and 40 ml hardener", True),
        ("mixed 60 ml resin and 30 ml hardener", False),
        ("mixed 61 ml resin and 30 ml hardener", False),  # what a syringe can show
        ("mixed 90 ml of epoxy", False),
    ],
)
def test_parts_off_the_label_s_ratio_are_warned_of(say: Linnet, phrase: str, warned: bool) -> None:
    """Epoxy off its ratio stays soft: common practice, no source."""
    reply = say(phrase)
    assert reply["outcome"] == "logged"
    assert any("ratio" in c for c in reply["cautions"]) is warned
