"""Times of a question: a moment, an end or a stretch, out of what was said of time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Final

from assistant.craft.times import like, utc
from assistant.dialogue.talk import Unclear
from assistant.language.asking.said import Timed
from assistant.language.periods import Bound, Edge, Kind, Range, period
from assistant.language.query import At, Between, By, Property, Time
from assistant.language.when import When, resolve, window

#: Properties asked up to a moment rather than at it.
_UP_TO: Final = frozenset({Property.FINISH, Property.BUY, Property.STOCK, Property.LEFT})
#: Properties asked of what lies behind.
BEHIND: Final = frozenset({Property.ENTRY, Property.DIARY})


def moment_of(said: Timed, now: datetime, *, past: bool = False) -> datetime:
    """Give the one moment that a time means."""
    direction = "past" if past else "future"
    match said:
        case timedelta():
            return like(utc(now) + said, now)
        case Bound(_, when):
            return resolve(when, now, direction)
        case Range(start, _):
            return resolve(start, now, direction)
    return resolve(said, now, direction)


def time_of(times: Sequence[Timed], now: datetime, what: Property, *, past: bool) -> Time | None:
    """Give the time asked for; None where none was said. ``Unclear`` where two were that do not go together."""
    found = [_one(t, now, what, past=past) for t in times]
    if not found:
        return None
    if len(found) == 1:
        return found[0]
    if len(found) == 2 and isinstance(found[0], Between) and isinstance(found[1], At | By):
        start, end = found[0].start, found[0].end
        if utc(start) <= utc(found[1].moment) <= utc(end):
            return found[1]
    if len(set(found)) == 1:
        return found[0]
    if len(found) == 2 and all(isinstance(f, At) for f in found):
        one, two = (f.moment for f in found if isinstance(f, At))
        return Between(min(one, two, key=utc), max(one, two, key=utc))
    raise Unclear("Two times: say it with one of them.")


def _one(said: Timed, now: datetime, what: Property, *, past: bool) -> Time:
    match said:
        case timedelta() if said == timedelta():
            return At(now)
        case timedelta():
            end = like(utc(now) + said, now)
            if past:
                return Between(like(utc(now) - said, now), now)
            return Between(now, end) if what is Property.NEXT else By(end)
        case Range():
            return Between(*period(said, now, Kind.PAST if past else Kind.COMING))
        case Bound():
            return _bound(said, now, past=past)
    return _when(said, now, what, past=past)


def _bound(said: Bound, now: datetime, *, past: bool) -> Time:
    day = _day(said.when, now, past=past)
    if said.edge in (Edge.SINCE, Edge.FROM, Edge.AFTER):
        start = day[0] if day else resolve(said.when, now, "past" if past or said.edge is Edge.SINCE else "future")
        return Between(start, now) if utc(start) < utc(now) else At(start)
    if day is not None:
        return By(day[0] if said.edge is Edge.BEFORE else day[1])
    direction = "past" if past else "future"
    return By(resolve(said.when, now, direction))


def _when(said: When, now: datetime, what: Property, *, past: bool) -> Time:
    direction = "past" if past else "future"
    day = _day(said, now, past=past)
    if day is not None:
        if what in _UP_TO:
            return By(day[1])
        start = max(day[0], now, key=utc) if not past and what not in BEHIND and day[1] > now else day[0]
        return Between(start, day[1])
    if said.spread is None and (ends := window(said, now, direction)) is not None:
        return By(ends[1]) if what in _UP_TO else Between(*ends)
    moment = resolve(said, now, direction)
    return By(moment) if what in _UP_TO else At(moment)


def _day(said: When, now: datetime, *, past: bool) -> tuple[datetime, datetime] | None:
    """Give the first and the last minute of the day or days that were named without an hour; None if an hour was."""
    if (
        said.day is None
        or said.clock is not None
        or said.window is not None
        or said.between is not None
        or said.ago
        or said.ahead
    ):
        return None
    ends = window(said, now, "past" if past else "future")
    if ends is None:
        return None
    first, last = ends[0].date(), ends[1].date()
    if said.day.part == "night" or (said.day.back is None and said.day.part is not None):
        return None
    return datetime.combine(first, time(0), now.tzinfo), datetime.combine(last, time(23, 59), now.tzinfo)
