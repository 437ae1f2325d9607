"""The values of events and their public form.

The keys by kind are those of the published table of events (copied below by hand).
"""

from __future__ import annotations

import json
from datetime import datetime

import pytest
from hypothesis import given
from journal_samples import NOON, coat, journals, ordinary

from assistant.journal.events import KINDS, Event, Set, amended, from_json, to_json
from assistant.journal.rows import decode, encode, line

PUBLISHED = {
    "coat": "piece coat product thinned part", "sand": "piece grit part",
    **dict.fromkeys(("fill", "strip", "clean", "mask", "unmask", "bond", "fit"), "piece product part"),
    "mix": "product amount ratio parts", "climate": "space temperature humidity until",
    "fault": "piece fault text", "tin": "product change amount", "task": "text piece state after not_before due ring",
    "note": "text", "unread": "text",
    "hours": "rule from to space piece repeat", "gear": "item change", "undo": "of", "amend": "of changes",
    "set": "what name",
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_an_events_json_has_the_published_keys(kind: str) -> None:
    """An event's JSON has every published key of its kind and no other, null where nothing was said."""
    keys = PUBLISHED[kind].split()
    data = to_json(KINDS[kind](**({"piece": "hatch trim"} if "piece" in keys else {})))
    assert set(data) == {"id", "kind", "at", "said_at", *keys}


def test_the_kinds_are_the_published_ones() -> None:
    """There are the published kinds of event and no other."""
    assert set(KINDS) == set(PUBLISHED)


@given(journals())
def test_an_event_comes_back_from_its_json_as_it_was(events: list[Event]) -> None:
    """Reading an event's JSON gives the event, and writing that gives the JSON to the byte."""
    for event in events:
        text = json.dumps(to_json(event))
        again = from_json(json.loads(text))
        assert again == event
        assert type(again) is type(event)
        assert json.dumps(to_json(again)) == text


@given(ordinary)
def test_an_event_comes_back_from_its_row_as_it_was(event: Event) -> None:
    """A row read gives the event with its number, and its export line is its public JSON."""
    row, stored = encode(event, 7)
    assert decode(*row) == stored
    assert from_json(json.loads(line(row))) == stored
    assert stored.at == event.at
    assert stored.at.utcoffset() == event.at.utcoffset()


REFUSED = [
    ({"kind": "dance"}, "no event of kind"),
    ({"kind": "coat"}, "incomplete"),
    ({"kind": "coat", "piece": None}, "may not be null"),
    ({"kind": "coat", "piece": 5}, "must be text"),
    ({"kind": "coat", "piece": "hatch trim", "coat": True}, "whole number"),
    ({"kind": "coat", "piece": "hatch trim", "coat": "two"}, "whole number"),
    ({"kind": "coat", "piece": "hatch trim", "colour": "red"}, "has no colour"),
    ({"kind": "coat", "piece": "hatch trim", "thinned": {"value": 5, "unit": "furlong"}}, "furlong"),
    ({"kind": "coat", "piece": "hatch trim", "thinned": 5}, "thinned"),
    ({"kind": "note", "text": "x", "at": "2026-03-14T12:00:00"}, "no offset"),
    ({"kind": "note", "text": "x", "at": "noonish"}, "noonish"),
    ({"kind": "note", "text": "x", "at": 12}, "at 12"),
    ({"kind": "fault", "fault": "ugly"}, "must be one of run"),
    ({"kind": "tin", "change": "lost"}, "must be one of bought"),
    ({"kind": "set", "what": "boat", "name": "Linnet"}, "must be one of job"),
    ({"kind": "hours", "rule": "tea"}, "must be one of sleep"),
    ({"kind": "undo", "of": 3}, "of 3"),
    ({"kind": "undo", "of": ["3"]}, "whole number"),
    ({"kind": "amend", "of": 3, "changes": ["at"]}, "table"),
    ({"kind": "mix", "parts": ["resin"]}, "parts"),
]


@pytest.mark.parametrize(("data", "reason"), REFUSED, ids=[r for _, r in REFUSED])
def test_json_that_is_no_event_is_refused_with_the_reason(data: dict, reason: str) -> None:
    """JSON that is no event raises ValueError that names what is wrong."""
    with pytest.raises(ValueError, match=reason):
        from_json(data)


def test_an_amend_changes_only_what_it_says() -> None:
    """An amend puts in the fields it names, typed, and leaves the others."""
    changed = amended(coat(number=2), {"coat": 3, "at": "2026-03-14T09:30:00+00:00"})
    assert (changed.coat, changed.piece, changed.product) == (3, "hatch trim", "amber varnish")
    assert changed.at == datetime.fromisoformat("2026-03-14T09:30:00+00:00")


def test_an_amend_of_a_thing_made_known_reaches_its_values() -> None:
    """An amend of a set event changes one value of the thing and keeps the rest."""
    piece = Set(at=NOON, said_at=NOON, what="piece", name="hatch trim", values={"space": "galley", "area": "1 m2"})
    assert amended(piece, {"space": "fore cabin"}).values == {"space": "fore cabin", "area": "1 m2"}


@pytest.mark.parametrize("changes", [{"id": 3}, {"kind": "sand"}, {"said_at": None}, {"colour": 1}, {"coat": None}])
def test_an_amend_that_does_not_fit_is_refused(changes: dict) -> None:
    """An amend of what an event is, or to what it cannot be, raises ValueError."""
    with pytest.raises(ValueError, match=r"amended|has no|null"):
        amended(coat(), changes)


def test_a_thing_whose_value_would_hide_a_key_is_refused() -> None:
    """A set event with a value called like one of the event's own keys is not written down wrong."""
    with pytest.raises(ValueError, match="value called at"):
        to_json(Set(what="label", name="amber varnish", values={"at": "20 degC"}))
