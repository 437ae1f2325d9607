"""Who takes which frame. A room is loaded when a phrase first needs it: one said alone waits for no other."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from assistant.dialogue.talk import Result, Talk
    from assistant.language.meaning import Meaning

    Handler = Callable[[Talk, Meaning], Result]

#: The rooms and their tables: what is said most first, what takes longest to load last.
ROOMS: Final = (
    ("record", "RECORD"), ("correct", "CORRECT"), ("readying", "READY"), ("tasks", "TASKS"), ("faults", "FAULTS"),
    ("pots", "POTS"), ("safety", "SAFETY"),
    ("asking", "ASK"), ("reading_back", "DIARY"), ("planning", "PLAN"), ("replanning", "REPLAN"),
)  # fmt: skip
#: Frames of a room without a table, each taken by the function of its name.
ALONE: Final = {"mixture": "mixing", "thin": "mixing"}


@cache
def handler(frame: str) -> Handler | None:
    """Give what takes ``frame``, or None if nothing does."""
    if frame in ALONE:
        alone: Handler = getattr(_room(ALONE[frame]), frame)
        return alone
    for room, table in ROOMS:
        taken: Handler | None = getattr(_room(room), table).get(frame)
        if taken:
            return taken
    return None


def _room(name: str) -> object:
    return import_module(f"assistant.dialogue.{name}")
