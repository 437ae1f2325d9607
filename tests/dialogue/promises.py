"""What the public interface promises of every reply, whatever was said."""

from __future__ import annotations

import json

from assistant.reply import OUTCOMES
from dialogue.build import NOW, Said, t

KEYS = {"heard", "at", "outcome", "events", "answer", "reply", "cautions", "confidence"}
KINDS = {
    "coat",
    "sand",
    "fill",
    "strip",
    "clean",
    "mask",
    "unmask",
    "bond",
    "fit",
    "mix",
    "climate",
    "fault",
    "tin",
    "task",
    "note",
    "hours",
    "gear",
    "undo",
    "amend",
    "set",
}
ABOUT = {
    "touch",
    "dust",
    "sand",
    "overcoat",
    "handle",
    "cured",
    "mix",
    "thin",
    "pot_life",
    "coverage",
    "dew",
    "next",
    "finish",
    "what_if",
    "status",
    "diary",
    "stock",
    "gear",
    "explain",
    "compare",
    "count",
    "entry",
    "needed",
    "convert",
    "know",
    "aid",
    "chance",
}
UNITS = {"ml", "g", "um", "degC", "percent", "min", "h", "m2"}


def promises(reply: Said, phrase: str) -> None:
    """What the public interface promises of every reply."""
    assert set(reply) == KEYS
    assert reply["heard"] == phrase
    assert reply["outcome"] in OUTCOMES
    assert t(NOW).fromisoformat(reply["at"]).utcoffset() is not None
    assert bool(reply["events"]) == (reply["outcome"] == "logged")
    assert (reply["answer"] is not None) == (reply["outcome"] == "answered")
    assert reply["reply"].strip()
    assert all(isinstance(c, str) and c for c in reply["cautions"])
    assert 0 <= reply["confidence"] <= 1
    for event in reply["events"]:
        assert event["kind"] in KINDS
        assert event["id"] > 0
        assert t(NOW).fromisoformat(event["at"]) <= t(NOW).fromisoformat(reply["at"]) or event["kind"] in (
            "climate",
            "hours",
        )
    if reply["answer"]:
        assert reply["answer"]["about"] in ABOUT
    amounts(reply)
    json.dumps(reply, allow_nan=False)


def amounts(value: object) -> None:
    """Every amount anywhere in a reply is a number in one of the interface's units."""
    if isinstance(value, dict):
        if value.get("about") == "convert":  # in whatever unit was asked for
            return
        if "unit" in value:
            assert set(value) == {"value", "unit"}
            assert value["unit"] in UNITS
            assert isinstance(value["value"], float)
        for held in value.values():
            amounts(held)
    elif isinstance(value, list):
        for held in value:
            amounts(held)
