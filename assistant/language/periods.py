"""Ends and spans of time: "until friday", "from eight tonight", "from eleven to seven", and what they mean.

A range of clock times is open until it is known what it is of: a sleep from eleven to seven is a night, work from
nine to five is a day, and what was done lies behind now.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import Final

from assistant.language.when import Clock, When, moments, resolve, window


class Edge(StrEnum):
    """How a word ties something to a moment."""

    BY = "by"  # at the latest then
    UNTIL = "until"  # up to then, and no longer
    BEFORE = "before"
    FROM = "from"
    SINCE = "since"
    AFTER = "after"  # not before then


@dataclass(frozen=True, slots=True)
class Bound:
    """One end of a time, as said."""

    edge: Edge
    when: When


@dataclass(frozen=True, slots=True)
class Range:
    """Both ends of a time, as said: "from eight to nine", "between 8 pm and 8 am", "from friday to sunday"."""

    start: When
    end: When


class Kind(StrEnum):
    """What a range is of, which decides the half of the day that was not said."""

    PAST = "past"  # something done or measured
    COMING = "coming"  # something to come, by day if it can be
    SLEEP = "sleep"  # a night
    QUIET = "quiet"  # a night if it is long, else by day


_DAY: Final = timedelta(days=1)
#: A sleep is no shorter and no longer than this; quiet hours that are as long lie over the night.
_NIGHT: Final = (timedelta(hours=4), timedelta(hours=13))


def period(span: Range, now: datetime, kind: Kind = Kind.COMING) -> tuple[datetime, datetime]:
    """Give both ends of a range in the zone of ``now``, the end always after the start.

    Of what is to come, the one that is under way or the next; of what is past, the latest that has begun.
    """
    clocks = span.start.clock, span.end.clock
    if clocks[0] is None or clocks[1] is None or _placed(span.end) or span.start.ago is not None:
        return _in_turn(span, now, kind)
    pairs = _pairs(span, now, kind)
    if kind is Kind.PAST:
        over = [p for p in pairs if _stamp(p[1]) <= _stamp(now)]
        begun = [p for p in pairs if _stamp(p[0]) <= _stamp(now)]
        shortest = min(_length(p) for p in pairs)
        near = [p for p in over or begun or pairs if _length(p) <= shortest + timedelta(hours=2)]
        if _placed(span.start):
            # "thursday from nine to eleven": of two that are over, the one in hours of work
            near = [p for p in near if p[0].hour >= 7 and p[1].hour <= 19 and p[0].date() == p[1].date()] or near
        return max(near or over or begun or pairs, key=lambda p: _stamp(p[0]))
    coming = [p for p in pairs if _stamp(p[1]) > _stamp(now)] or pairs
    shortest = min(_length(p) for p in coming)
    likely = [p for p in coming if _length(p) <= shortest + timedelta(hours=2)]
    return min(likely, key=lambda p: (_unlikely(p, kind), _stamp(p[0])))


def following(when: When, other: datetime) -> datetime:
    """Give the next moment after ``other`` that ``when`` can be: "one at noon, the next at ten past"."""
    if when.clock is not None and (when.day is None or not when.day.based):
        return _following(when.clock, other)[0]
    return resolve(when, other, "future")


def _stamp(at: datetime) -> float:
    return at.timestamp()


def _placed(when: When) -> bool:
    return when.day is not None and when.day.based


def _in_turn(span: Range, now: datetime, kind: Kind) -> tuple[datetime, datetime]:
    # an end that has a day of its own, or no clock time: the start first, then the end that follows it
    direction = "past" if kind is Kind.PAST else "future"
    if span.end.clock is not None and _placed(span.end) and not _placed(span.start) and not span.start.ago:
        end = resolve(span.end, now, direction)
        start = resolve(span.start, end, "past")
    else:
        start = resolve(span.start, now, direction)
        end = resolve(span.end, start, "future")
        if _stamp(end) <= _stamp(start):
            end = resolve(span.end, now, direction)
    ends = window(span.end, start, "future") if span.end.clock is None else None
    end = ends[1] if ends is not None and _stamp(ends[1]) > _stamp(start) else end
    if _stamp(end) <= _stamp(start):
        end = (start.astimezone(UTC) + timedelta(hours=1)).astimezone(start.tzinfo)
    return start, end


def _pairs(span: Range, now: datetime, kind: Kind) -> list[tuple[datetime, datetime]]:
    zone = now.tzinfo
    assert zone is not None and span.start.clock is not None and span.end.clock is not None
    if _placed(span.start):
        direction = "past" if kind is Kind.PAST else "future"
        # every half of the day that the said day leaves open
        only = resolve(span.start, now, direction)
        parted = span.start.day is not None and span.start.day.part
        halves = span.start.clock.hours if not parted else ()
        hours = [replace(span.start, clock=span.start.clock._replace(hours=(h,))) for h in halves]
        starts = [s for one in hours if (s := resolve(one, now, direction)).date() == only.date()] or [only]
    else:
        starts = [m for k in (-2, -1, 0, 1, 2) for m in moments(span.start.clock, now.date() + k * _DAY, zone)]
    return [(start, end) for start in starts for end in _following(span.end.clock, start)]


def _following(clock: Clock, start: datetime) -> list[datetime]:
    zone = start.tzinfo
    assert zone is not None
    found = [m for k in (0, 1) for m in moments(clock, start.date() + k * _DAY, zone)]
    return [m for m in found if _stamp(start) < _stamp(m) < _stamp(start) + 90000]


def _length(pair: tuple[datetime, datetime]) -> timedelta:
    return timedelta(seconds=_stamp(pair[1]) - _stamp(pair[0]))


def _waking(pair: tuple[datetime, datetime]) -> bool:
    return 6 <= pair[0].hour < 22


def _overnight(pair: tuple[datetime, datetime]) -> bool:
    """Whether three in the morning lies in it, for as long as a night's sleep."""
    start, end = pair
    three = start.replace(hour=3, minute=0)
    three = three if start.hour < 3 else three + _DAY
    return _stamp(start) <= _stamp(three) < _stamp(end) and _NIGHT[0] <= end - start <= _NIGHT[1]


def _unlikely(pair: tuple[datetime, datetime], kind: Kind) -> tuple[int, timedelta]:
    start, end = pair
    if kind is Kind.SLEEP:
        # a night of about eight hours; a nap is by day and short
        return (0 if _overnight(pair) else 1), abs(end - start - timedelta(hours=8))
    if kind is Kind.QUIET:
        long = end - start >= timedelta(hours=6)
        return (0 if _overnight(pair) and long else 1 if _waking(pair) else 2), timedelta()
    return (0 if _waking(pair) and start.hour >= 7 else 1), end - start
