"""What stands of a run of events: amends carried out, and what was taken back left out."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from assistant.journal.events import Amend, Event, Undo, amended


class Entry(NamedTuple):
    """An event as it stands, amends carried out, and what later events did to it."""

    event: Event
    corrected: bool
    undone: bool


def taken_back(events: Sequence[Event]) -> set[int]:
    """Give the ids of what was taken back and not brought back, undos and amends among them."""
    dead: set[int] = set()
    for e in reversed(events):  # a later undo decides about an earlier one
        if isinstance(e, Undo) and e.id not in dead:
            dead.update(e.of)
    return dead


def entries(events: Iterable[Event]) -> list[Entry]:
    """Give ``events`` in journal order with their own undos and amends carried out.

    Undo and amend themselves are dropped. An undo of an undo brings the first back; an amend
    that was undone does not count.
    """
    listed = list(events)
    dead = taken_back(listed)
    changes: dict[int, list[dict[str, Any]]] = {}
    for e in listed:
        if isinstance(e, Amend) and e.id not in dead:
            changes.setdefault(e.of, []).append(e.changes)
    out = []
    for e in listed:
        if isinstance(e, Undo | Amend):
            continue
        stands = e
        for change in changes.get(e.id, ()):
            stands = amended(stands, change)
        out.append(Entry(stands, e.id in changes, e.id in dead))
    return out


def effective(events: Iterable[Event]) -> list[Event]:
    """Give what stands of ``events``, in journal order: amended, and without what was undone."""
    return [entry.event for entry in entries(events) if not entry.undone]
