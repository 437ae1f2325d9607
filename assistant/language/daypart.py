"""Parts of the day, vague hours and meals, as windows of local clock time.

The figures are in ``grammars/times.toml`` (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time
from functools import cache
from typing import Any, Final, NamedTuple

from assistant import data

#: From and to as local clock times; a ``to`` not after ``from`` lies on the next day, midnight is its end.
Window = tuple[time, time]
Said = tuple[str, ...]
PARTS: Final = ("morning", "afternoon", "evening", "night")


class Named(NamedTuple):
    """A vague time of day that begins at a token: tokens up to ``end``, its window, and the other it may be."""

    end: int
    window: Window
    twin: Window | None = None


@dataclass(frozen=True, slots=True)
class Dayparts:
    """What the data file says, ready for use."""

    parts: dict[str, Window]
    within: dict[str, Window]
    names: dict[tuple[str, ...], tuple[Window, Window | None]]
    firsts: frozenset[str]
    hedges: dict[str, dict[Said, tuple[int, int]]]  # for "clock", "clock_after", "length", "length_after"
    measures: frozenset[str]
    labels: frozenset[str]
    closers: frozenset[str]
    days: dict[Said, dict[str, Any]]  # the fields of a day that has a name of its own
    day_tails: dict[Said, dict[str, Any]]  # and those that words after a weekday change
    loose: dict[Said, tuple[int, int]]  # shortest and longest, in minutes

    def hedge_at(self, kind: str, words: Sequence[str], i: int) -> tuple[int, tuple[int, int]] | None:
        """Give the longest hedge of a kind that starts at token ``i``: its end, and how far out it leaves things."""
        table = self.hedges[kind]
        for n in range(min(4, len(words) - i), 0, -1):
            out = table.get(tuple(words[i : i + n]))
            if out is not None:
                return i + n, out
        return None


def _time(text: str) -> time:
    hour, minute = text.split(":")
    return time(int(hour) % 24, int(minute))


def _window(pair: Sequence[str]) -> Window:
    return _time(pair[0]), _time(pair[1])


@cache
def dayparts() -> Dayparts:
    """Give the windows of the data file (cached)."""
    raw: dict[str, Any] = data.read_toml(data.root() / "grammars" / "times.toml")
    names: dict[tuple[str, ...], tuple[Window, Window | None]] = {}
    for name, pair in raw["hours"].items():
        names[tuple(name.split())] = (_window(pair), None)
    for name, pair in raw["shades"].items():
        for said in _shaded(*name.split()):
            names[said] = (_window(pair), None)
    for meal, hours in raw["meals"].items():
        other = raw["noon_meals"].get(meal)
        for side in ("at", "before", "after"):
            value = (_window(hours[side]), _window(other[side]) if other else None)
            for said in ((meal,), (meal + "time",), (meal, "time")):
                names[said if side == "at" else (side, *said)] = value
    return Dayparts(
        {part: _window(pair) for part, pair in raw["parts"].items()},
        {part: _window(pair) for part, pair in raw["within"].items()},
        names,
        frozenset(said[0] for said in names),
        {kind: _hedges(groups) for kind, groups in raw["hedges"].items()},
        frozenset(raw["roles"]["measures"]),
        frozenset(raw["roles"]["labels"]),
        frozenset(raw["roles"]["closers"]),
        {tuple(said.split()): fields for said, fields in raw["days"].items()},
        {tuple(said.split()): fields for said, fields in raw["day_tails"].items()},
        {tuple(said.split()): (least, most) for said, (least, most) in raw["loose"].items()},
    )


def _hedges(groups: dict[str, Any]) -> dict[Said, tuple[int, int]]:
    return {
        tuple(said.split()): (group["out"][0], group["out"][1]) for group in groups.values() for said in group["words"]
    }


def _shaded(shade: str, part: str) -> list[tuple[str, ...]]:
    out = [(shade, part), (shade, "in", "the", part), (shade, "on", "in", "the", part)]
    if shade == "mid":
        # "midday" and "midnight" are clock times
        out = [] if part in ("day", "night") else [(shade, part), (shade + part,)]
        out += [("middle", "of", "the", part), ("halfway", "through", "the", part)]
    if shade == "late":
        out += [("later", "in", "the", part), ("end", "of", "the", part)] if part != "day" else []
        out += [("late", "at", "night"), ("late", "on", "at", "night")] if part == "night" else []
    if shade == "early":
        out += [("start", "of", "the", part), ("beginning", "of", "the", part), ("earlier", "in", "the", part)]
    return out


def named_at(words: Sequence[str], i: int) -> list[Named]:
    """Give every vague time of day that starts at token ``i``, the longest first."""
    if i >= len(words) or words[i] not in dayparts().firsts:
        return []
    names = dayparts().names
    found = []
    for n in range(5, 0, -1):
        value = names.get(tuple(words[i : i + n]))
        if value is not None and i + n <= len(words):
            found.append(Named(i + n, *value))
    return found


def minutes(at: time) -> int:
    """Give the minutes of the day."""
    return at.hour * 60 + at.minute


def holds(window: Window, hour: int, minute: int, slack: int = 0) -> bool:
    """Whether a clock time lies in ``window``, or at most ``slack`` minutes outside it."""
    start = minutes(window[0]) - slack
    length = (minutes(window[1]) - minutes(window[0])) % 1440 or 1440
    return (hour * 60 + minute - start) % 1440 <= min(length + 2 * slack, 1439)
