"""What moment a time that was said means: clocks, days, windows, and how they resolve.

A :class:`When` is only what was said ("half ten", "mid-morning"); :func:`resolve` turns it into a moment and
:func:`window` into the two ends of a vague one, when it is known whether the thing was done or is to come.
Both work in the job's own zone and count durations in absolute time, so a night on which the clocks change is
an hour longer or shorter, as it is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final

from assistant.language.daypart import Window, dayparts, holds
from assistant.language.said import Clock, Day, date_of

__all__ = ["Clock", "Day", "When", "moments", "resolve", "window"]


@dataclass(frozen=True, slots=True)
class When:
    """All that one clause said of time.

    Vague are: a ``window`` ("mid-morning"; ``twin`` is the other thing its name may mean), ``between`` two clock
    times, and what may have been earlier or later by ``spread`` ("about ten", "an hour and a bit ago").
    """

    clock: Clock | None = None
    day: Day | None = None
    ago: timedelta | None = None
    ahead: timedelta | None = None
    window: Window | None = None
    twin: Window | None = None
    between: tuple[Clock, Clock] | None = None
    spread: tuple[timedelta, timedelta] | None = None

    @property
    def said(self) -> bool:
        """Whether anything was."""
        return self != When()

    @property
    def hourless(self) -> bool:
        """Whether it names minutes of an hour that was not said: "quarter past", "ten to"."""
        return self.clock is not None and len(self.clock.hours) > 2

    @property
    def vague(self) -> bool:
        """Whether it was said to be a window rather than a moment."""
        return self.window is not None or self.between is not None or self.spread is not None


#: Where in the day something without a clock time is taken to have been: late, which is the safe side
#: for a film, and said back to the person.
_LATE: Final = {
    "morning": time(12),
    "afternoon": time(17),
    "evening": time(21),
    "night": time(22),
    None: time(18),
}
_EARLY: Final = {
    "morning": time(8),
    "afternoon": time(13),
    "evening": time(18),
    "night": time(20),
    None: time(8),
}
_DAY: Final = timedelta(days=1)
_NO_TIME: Final = timedelta()
#: The hours of a day on which work is thought to be done (common practice, no source).
_WORK: Final = (time(7), time(20))


def _local(day: date, hour: int, minute: int, zone: tzinfo) -> datetime:
    # an hour that the change of the clocks skips is taken as the moment it would have been
    naive = datetime.combine(day, time(hour, minute), zone)
    return naive.astimezone(UTC).astimezone(zone)


def moments(clock: Clock, day: date, zone: tzinfo) -> list[datetime]:
    """Give the moments of ``day`` at which a watch shows ``clock``, in order."""
    out = []
    for hour in clock.hours:
        first = _local(day, hour, clock.minute, zone)
        out.append(first)
        second = first.replace(fold=1)
        if second.utcoffset() != first.utcoffset():
            out.append(second)  # an hour that comes twice
    return sorted(out, key=lambda t: t.astimezone(UTC))


def _after(one: datetime, other: datetime) -> bool:
    # two times of one zone compare by the clock on the wall, which is wrong in an hour that comes twice
    return one.timestamp() > other.timestamp()


def _shift(at: datetime, by: timedelta) -> datetime:
    return (at.astimezone(UTC) + by).astimezone(at.tzinfo)


def _within(clock: Clock, day: Day, base: date, zone: tzinfo) -> list[datetime]:
    """Give the moments of ``clock`` that lie in the said part of the said day."""
    if day.part == "night":
        night = [*moments(clock, base, zone), *moments(clock, base + _DAY, zone)]
        start, end = _local(base, 17, 0, zone), _local(base + _DAY, 6, 0, zone)
        return [m for m in night if start <= m < end] or moments(clock, base, zone)
    found = moments(clock, base + timedelta(days=clock.rolls), zone)
    hours = dayparts().within.get(day.part or "")
    return [m for m in found if hours is None or (holds(hours, m.hour, m.minute) and m.hour != hours[1].hour)] or found


def resolve(when: When, now: datetime, direction: str = "past") -> datetime:
    """Give the moment that ``when`` means, in the zone of ``now``; of a vague time its middle.

    ``direction`` ``past``: the latest occurrence not after ``now``; ``future``: the next one. A
    day that was named binds, even if the moment then lies on the other side of ``now``.
    """
    if not when.vague:
        return _exact(when, now, direction)
    ends = window(when, now, direction)
    assert ends is not None
    if when.spread is not None and when.spread[0] == when.spread[1]:
        # "about ten" is ten, unless that lies on the other side of now
        middle = max(_centre(when, now, direction), ends[0], key=datetime.timestamp)
        return min(middle, ends[1], key=datetime.timestamp)
    return _shift(ends[0], _minute((ends[1].astimezone(UTC) - ends[0].astimezone(UTC)) / 2))


def _minute(span: timedelta) -> timedelta:
    return timedelta(minutes=span // timedelta(minutes=1)) if span >= timedelta(minutes=1) else span


def window(when: When, now: datetime, direction: str = "past") -> tuple[datetime, datetime] | None:
    """Give both ends of a vague time, in the zone of ``now``; None for a moment.

    Of something past nothing lies after ``now``; of something to come, nothing before it, unless the day was named.
    A day with no hour is as long as its hours of work.
    """
    zone = now.tzinfo
    assert zone is not None
    if when.spread is not None:
        middle = _centre(when, now, direction)
        ends = _shift(middle, -when.spread[0]), _shift(middle, when.spread[1])
    elif when.between is not None:
        ends = _pair(when, now, direction)
    elif when.window is not None:
        ends = _named(when, now, direction)
    elif when.clock is not None or not _days_only(when):
        return None
    else:
        ends = _whole(when, now, direction)
    return _kept(when, ends, now, direction)


def _by_weekday(day: Day) -> bool:
    return day.weekday is not None and day.week is None and day.date is None


def _days_only(when: When) -> bool:
    # "yesterday", "two days ago": no hour was said
    whole = when.ago if when.ago is not None else when.ahead
    return when.day is not None if whole is None else whole >= _DAY and whole % _DAY == _NO_TIME


def _whole(when: When, now: datetime, direction: str) -> tuple[datetime, datetime]:
    zone = now.tzinfo
    assert zone is not None
    middle = _exact(when, now, direction)
    first = _local(middle.date(), _WORK[0].hour, 0, zone)
    span = when.day.days if when.day is not None else 1
    last = _local(middle.date() + timedelta(days=span - 1), _WORK[1].hour, 0, zone)
    return min(first, middle, key=datetime.timestamp), max(last, middle, key=datetime.timestamp)


def _kept(when: When, ends: tuple[datetime, datetime], now: datetime, direction: str) -> tuple[datetime, datetime]:
    start, end = ends
    if direction == "past" and _after(end, now) and not _after(start, now):
        return start, now
    if direction == "future" and _after(now, start) and not _after(now, end) and when.ago is None:
        return now, end
    return ends


def _centre(when: When, now: datetime, direction: str) -> datetime:
    # "about ten" said at five to ten of something done is this ten, not last night's
    assert when.spread is not None
    plain = replace(when, spread=None)
    if when.ago is not None and when.ago >= _DAY and when.clock is None:
        far = _exact(plain, now, direction)  # days ago: by day
        return far if _WORK[0] <= far.time() <= _WORK[1] else far.replace(hour=12, minute=0)
    if when.day is None and when.clock is not None:
        return _exact(plain, _shift(now, when.spread[0] if direction == "past" else -when.spread[1]), direction)
    return _exact(plain, now, direction)


def _bases(when: When, now: datetime, direction: str) -> tuple[list[date], bool]:
    """Give the days that a window or pair may lie on, and whether they were named."""
    if when.ago is not None:
        return [now.date() - timedelta(days=when.ago.days)], True
    if when.ahead is not None:
        return [now.date() + timedelta(days=when.ahead.days)], True
    if when.day is None or not when.day.based:
        return [now.date() + timedelta(days=k) for k in (-2, -1, 0, 1, 2)], False
    return [date_of(when.day, now, direction)], True


def _named(when: When, now: datetime, direction: str) -> tuple[datetime, datetime]:
    bases, named = _bases(when, now, direction)
    found = [
        _span(base, w, when.day.part if when.day else None, now)
        for base in bases
        for w in (when.window, when.twin)
        if w is not None
    ]
    if named and direction == "past" and now.hour < 5 and when.day and when.day.part and _after(found[0][0], now):
        # still up at two: "this morning" is the one before this night
        found = [(_shift(a, -_DAY), _shift(b, -_DAY)) for a, b in found]
    if named and direction == "future" and when.day and _by_weekday(when.day) and not _after(found[0][1], now):
        found = [(_shift(a, 7 * _DAY), _shift(b, 7 * _DAY)) for a, b in found]
    if named and (when.twin is None or bases[0] != now.date()):
        return found[0]
    return _latest(found, now) if direction == "past" else _next(found, now)


def _span(base: date, hours: Window, part: str | None, now: datetime) -> tuple[datetime, datetime]:
    zone = now.tzinfo
    assert zone is not None
    if part == "night" and hours[0].hour < 6:
        base += _DAY  # "last night in the small hours"
    start = _local(base, hours[0].hour, hours[0].minute, zone)
    over = hours[1] <= hours[0]
    return start, _local(base + timedelta(days=over), hours[1].hour, hours[1].minute, zone)


def _latest(found: list[tuple[datetime, datetime]], now: datetime) -> tuple[datetime, datetime]:
    # a night counts once half of it is over: "overnight" said at eleven is the night before
    begun = [
        (a, b)
        for a, b in found
        if not _after(a if a.date() == b.date() or b.hour == 0 else _shift(a, (b - a) / 2), now)
    ]
    return max(begun or found[:1], key=lambda ends: ends[0].timestamp())


def _next(found: list[tuple[datetime, datetime]], now: datetime) -> tuple[datetime, datetime]:
    coming = [ends for ends in found if _after(ends[1], now)]
    return min(coming or found[-1:], key=lambda ends: ends[0].timestamp())


def _pair(when: When, now: datetime, direction: str) -> tuple[datetime, datetime]:
    """Give "between nine and ten": the first clock time, and the next showing of the second."""
    zone = now.tzinfo
    assert zone is not None and when.between is not None
    one, two = when.between
    bases, named = _bases(when, now, direction)
    day = when.day or Day()
    starts = [m for base in bases for m in _within(one, day, base, zone)]
    found = []
    for start in starts:
        ends = [m for k in (0, 1) for m in moments(two, start.date() + timedelta(days=k), zone) if _after(m, start)]
        found.append((start, min(ends, key=datetime.timestamp)))
    if named:
        good = [p for p in found if _after(p[0], now) == (direction == "future")]
        waking = [p for p in good or found if 6 <= p[0].hour < 22]
        return (waking or good or found)[-1 if direction == "past" else 0]
    return _latest([(a, b) for a, b in found if not _after(a, now)], now) if direction == "past" else _next(found, now)


def _exact(when: When, now: datetime, direction: str) -> datetime:
    zone = now.tzinfo
    assert zone is not None
    if when.ago is not None and when.clock is not None and when.ago >= _DAY:
        return _exact(When(clock=when.clock, day=Day(back=when.ago.days)), now, direction)
    if when.ahead is not None and when.clock is not None and when.ahead >= _DAY:
        return _exact(When(clock=when.clock, day=Day(back=-when.ahead.days)), now, direction)
    if when.ago is not None:
        return _shift(now, -when.ago)
    if when.ahead is not None:
        return _shift(now, when.ahead)
    if when.clock is None:
        return _dayless(when, now, direction)
    if when.day is not None and when.day.based:
        return _on_day(when.clock, when.day, now, direction)
    days = [now.date() + timedelta(days=k) for k in (-1, 0, 1)]
    part = when.day or Day()
    every = sorted((m for d in days for m in _within(when.clock, part, d, zone)), key=datetime.timestamp)
    if direction == "past":
        return [m for m in every if not _after(m, now)][-1]
    return next(m for m in every if _after(m, now))


def _on_day(clock: Clock, day: Day, now: datetime, direction: str) -> datetime:
    zone = now.tzinfo
    assert zone is not None
    base = date_of(day, now, direction)
    found = _within(clock, day, base, zone)
    if direction == "future" and day.weekday is not None and day.week is None and found[-1] <= now:
        found = _within(clock, day, base + timedelta(days=7), zone)  # this week's has gone by
    if direction == "past" and day.part and now.hour < 5 and _after(found[0], now):
        # still up at two: "this morning" is the one before this night
        found = _within(clock, day, base - _DAY, zone)
    good = [m for m in found if _after(m, now) == (direction == "future")]
    if direction == "past":
        # of two halves of a day that are both over, the waking one: 11:45, not 23:45
        awake = [m for m in good if 6 <= m.hour < 22] if day.part is None and base < now.date() else []
        return (awake or good or found)[-1]
    return _working(good or found)


def _working(found: list[datetime]) -> datetime:
    # "tomorrow at nine", "friday at six", "quarter to seven tomorrow": of two halves of a day the waking one
    return next((m for m in found if (m.hour, m.minute) >= (6, 30)), found[0])


def _dayless(when: When, now: datetime, direction: str) -> datetime:
    if when.day is None:
        return now
    zone = now.tzinfo
    assert zone is not None
    base = date_of(when.day, now, direction)
    at = (_LATE if direction == "past" else _EARLY)[when.day.part]
    moment = _local(base, at.hour, at.minute, zone)
    if direction == "future" and _by_weekday(when.day) and not _after(moment, now):
        moment = _local(base + timedelta(days=7), at.hour, at.minute, zone)  # "till friday" said on a friday
    if direction == "future" and base == now.date() and when.day.part is None:
        moment = max(moment, now, key=datetime.timestamp)  # "today", said in the afternoon
    return min(moment, now) if direction == "past" and base <= now.date() else moment
