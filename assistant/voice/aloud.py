"""What of a reply is said aloud: the read-back whole, a warning in a few words and once a day.

What is printed, and the JSON, stay complete. Ears behind a respirator take in one short thing at a time, so a
time that is now is "now", and a warning is its first few words: the rest stands on the screen.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from assistant.voice.spoken import number, ordinal, said

#: A warning's first clause is cut again at its first comma if it is longer than this (words).
_LONG: Final = 9
#: Fewer words than this say nothing by themselves ("Dust: ...").
_LEAST: Final = 2
#: So many warnings at a time: a wall of them is not listened to.
_AT_ONCE: Final = 2
_CLAUSE: Final = re.compile(r"[:;.?!](?=\s|$)")


class Aloud:
    """Remembers what has been warned of today."""

    def __init__(self) -> None:
        self._day = ""
        self._warned: set[str] = set()

    def of(self, reply: Mapping[str, Any]) -> str:
        """Give the text to speak for a reply's public JSON, still as written ("10:30")."""
        text = str(reply["reply"])
        if reply["outcome"] == "logged":
            text = _with_numbers(text, reply["events"])
            text = re.sub(rf", {reply['at'][11:16]}(?=\.)", ", now", text)
        warnings = self._new(reply["at"][:10], [brief(c) for c in reply["cautions"]])
        return f"{text} Careful: {' '.join(warnings)}" if warnings else text

    def _new(self, day: str, warnings: list[str]) -> list[str]:
        if day != self._day:
            self._day, self._warned = day, set()
        fresh = [w for w in dict.fromkeys(warnings) if w not in self._warned][:_AT_ONCE]
        self._warned.update(fresh)
        return fresh


def brief(caution: str) -> str:
    """Give the first words of a warning that say something by themselves, as a sentence."""
    ends = [m.start() for m in _CLAUSE.finditer(caution)] or [len(caution)]
    text = next((caution[:end] for end in ends if len(caution[:end].split()) >= _LEAST), caution)
    if len(text.split()) > _LONG:
        comma = next((m.start() for m in re.finditer(",", text) if len(text[: m.start()].split()) >= _LEAST), None)
        text = text[:comma]
    return text.rstrip(".:;,?! ") + "."


def _with_numbers(text: str, events: list[dict[str, Any]]) -> str:
    """Give the read-back with every number that went into the journal: noise breaks numbers, and only this shows it."""
    spoken = f" {re.sub(r'[^a-z ]', ' ', said(text).lower())} "
    missing: list[str] = []
    for value, unit in (found for event in events for found in _numbers(event)):
        ways = [number(f"{v:g}") for v in (value, value / 1000) if v >= 1]
        if not unit and value == int(value):
            ways.append(ordinal(int(value)))
        if value > 0 and not any(f" {way} " in spoken for way in ways):
            missing.append(f"{value:g} {unit}".strip())
    return " ".join([text, *(f"{m[:1].upper()}{m[1:]}." for m in dict.fromkeys(missing))])


def _numbers(values: Mapping[str, Any]) -> Iterator[tuple[float, str]]:
    """Give the numbers of an event with their units; not its identity, nor what was worked out (lists)."""
    for key, value in values.items():
        if key in ("id", "of") or isinstance(value, bool):
            continue
        if isinstance(value, int | float):
            yield float(value), ""
        elif isinstance(value, Mapping):
            if "unit" in value:
                yield float(value["value"]), {"degC": "degrees"}.get(str(value["unit"]), str(value["unit"]))
            else:
                yield from _numbers(value)
