"""Puts together what one clause said of time in several places, and says when they conflict."""

from __future__ import annotations

from dataclasses import replace
from datetime import time, timedelta
from typing import TypeVar

from assistant.language.daypart import Window, dayparts, holds, minutes
from assistant.language.faces import in_part
from assistant.language.when import Clock, Day, When

T = TypeVar("T")
_DAY = timedelta(days=1)


class _Conflict(Exception):
    """Two things were said that cannot both be."""


def merge(a: When, b: When) -> When | None:
    """Put two times of one clause together, in either order; None if they conflict."""
    if a == b:
        return settled(a)
    try:
        day = _days(a.day, b.day)
        window, twin = _windows(a, b)
        whole = When(
            clock=_clocks(a.clock, b.clock),
            day=day,
            ago=_one(a.ago, b.ago),
            ahead=_one(a.ahead, b.ahead),
            window=window,
            twin=twin,
            between=_one(a.between, b.between),
            spread=_wider(a.spread, b.spread),
        )
        return settled(whole)
    except _Conflict:
        return None


def on_day(said: When, day: When | None) -> When:
    """Give a time on the day that was said apart from it, where it has none of its own and the two agree."""
    if day is None or said is day or said.day is not None:
        return said
    return merge(day, said) or said


def settled(when: When) -> When | None:
    """Give ``when`` with each thing said once: the half of the day in its clock time, the window in its day's part.

    None if what was said cannot all be.
    """
    if when.ago is not None and when.ahead is not None:
        return None
    far = when.ago if when.ago is not None else when.ahead
    if far is not None and not _fits(when, far):
        return None
    if when.clock is not None and when.between is not None:
        return None
    if when.between is not None and when.window is not None:
        when = replace(when, window=None, twin=None)
    if when.clock is not None:
        return _clocked(when, when.clock)
    if when.day is not None and when.day.part and when.window is None and when.between is None and far is None:
        return replace(when, window=dayparts().parts[when.day.part])
    return when


def _fits(when: When, far: timedelta) -> bool:
    """Whether "two days ago" and the rest go together: a clock time does, a day does not."""
    if when.day is not None and when.day.based and when.day.back != 0:
        return False
    timed = when.clock is not None or when.between is not None or when.window is not None
    return not timed or (far >= _DAY and far % _DAY == timedelta())


def _clocked(when: When, clock: Clock) -> When | None:
    if when.window is not None:
        own = when.day is not None and when.day.part and when.window == dayparts().parts[when.day.part]
        within = [
            h for h in clock.hours
            if own or any(w is not None and holds(w, h, clock.minute, 75) for w in (when.window, when.twin))
        ]  # fmt: skip
        if not within:
            return None  # "at nine in the small hours"
        clock = clock._replace(hours=tuple(within))
        when = replace(when, clock=clock, window=None, twin=None)
    if when.day is not None and when.day.part and not when.day.based and len(clock.hours) <= 2:
        return replace(when, clock=in_part(clock, when.day.part), day=None)
    return when


def _one(a: T | None, b: T | None) -> T | None:
    if a is not None and b is not None and a != b:
        raise _Conflict
    return b if a is None else a


def _wider(
    a: tuple[timedelta, timedelta] | None, b: tuple[timedelta, timedelta] | None
) -> tuple[timedelta, timedelta] | None:
    if a is None or b is None:
        return b if a is None else a
    return max(a[0], b[0]), max(a[1], b[1])


def _clocks(a: Clock | None, b: Clock | None) -> Clock | None:
    if a is None or b is None or a == b:
        return b if a is None else a
    if a.minute != b.minute or a.rolls != b.rolls:
        raise _Conflict
    both = tuple(h for h in a.hours if h in b.hours)
    if not both:
        raise _Conflict
    return a._replace(hours=both)


def _days(a: Day | None, b: Day | None) -> Day | None:
    if a is None or b is None or a == b:
        return b if a is None else a
    if a.based and b.based:
        return _same_day(a, b)
    whole, part = (a, b) if a.based else (b, a)
    return whole._replace(part=_parts(whole.part, part.part))


def _same_day(a: Day, b: Day) -> Day:
    # "tuesday the 19th", "monday, 18 february": two names of one day
    dated, named = (a, b) if a.date is not None else (b, a)
    if dated.date is None or named.weekday is None or named.date is not None or dated.weekday is not None:
        raise _Conflict
    if named.weeks or named.week is not None or named.days > 1:
        raise _Conflict
    if dated.date.year > 2000 and dated.date.weekday() != named.weekday:
        raise _Conflict
    return dated._replace(weekday=named.weekday, part=_parts(dated.part, named.part))


def _parts(a: str | None, b: str | None) -> str | None:
    if {a, b} == {"evening", "night"}:
        return "evening"
    return _one(a, b)


def _windows(a: When, b: When) -> tuple[Window | None, Window | None]:
    one, two = _said(a), _said(b)
    if one is None or two is None:
        kept = a if two is None else b
        return _said(kept), kept.twin
    # the narrower of two that overlap: "this morning, mid-morning"
    inner, outer = sorted((one, two), key=lambda w: (_length(w), w))
    if inner != outer and not holds(outer, inner[0].hour, inner[0].minute) and not _inside(inner, outer):
        raise _Conflict
    return inner, None


def _said(when: When) -> Window | None:
    """Give the window, unless it is only that of the day's part, which yields to any other."""
    part = when.day.part if when.day is not None else None
    return None if part and when.window == dayparts().parts[part] else when.window


def _length(window: tuple[time, time]) -> int:
    return (minutes(window[1]) - minutes(window[0])) % 1440 or 1440


def _inside(inner: Window, outer: Window) -> bool:
    return holds(outer, inner[1].hour, inner[1].minute)
