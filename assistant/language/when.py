"""What moment a time that was said means: clocks, days, and how they resolve.

A :class:`Clock` is only what was said ("half ten"); :func:`resolve` turns it into a moment when it is
known whether the thing was done or is to come. It works in the job's own zone and counts
durations in absolute time, so a night on which the clocks change is an hour longer or shorter, as it is.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from typing import Final, NamedTuple


def isleap(year: int) -> bool:
    """Whether a year has a 29 February (``calendar`` has this too, and costs a cold start 10 ms)."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


class Clock(NamedTuple):
    """A clock time as said. ``hours`` are the hours it may mean: one if fixed, two if not."""

    hours: tuple[int, ...]
    minute: int = 0
    rolls: bool = False  # midnight as the end of a day


class Day(NamedTuple):
    """A day as said: ``back`` days before today (negative: ahead), a weekday or a date, and a part."""

    back: int | None = None
    weekday: int | None = None
    nth: int = 0  # "next friday": 1, "last friday": -1
    date: date | None = None
    part: str | None = None


@dataclass(frozen=True, slots=True)
class When:
    """All that one clause said of time."""

    clock: Clock | None = None
    day: Day | None = None
    ago: timedelta | None = None
    ahead: timedelta | None = None

    @property
    def said(self) -> bool:
        """Whether anything was."""
        return self != When()


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


def _local(day: date, hour: int, minute: int, zone: tzinfo) -> datetime:
    # an hour that the change of the clocks skips is taken as the moment it would have been
    naive = datetime.combine(day, time(hour, minute), zone)
    return naive.astimezone(UTC).astimezone(zone)


def _moments(clock: Clock, day: date, zone: tzinfo) -> list[datetime]:
    out = []
    for hour in clock.hours:
        first = _local(day, hour, clock.minute, zone)
        out.append(first)
        second = first.replace(fold=1)
        if second.utcoffset() != first.utcoffset():
            out.append(second)  # an hour that comes twice
    return sorted(out, key=lambda t: t.astimezone(UTC))


#: Days within which a date without a year is the coming one, whatever was said of it.
_SOON: Final = 60


def _after(one: datetime, other: datetime) -> bool:
    # two times of one zone compare by the clock on the wall, which is wrong in an hour that comes twice
    return one.timestamp() > other.timestamp()


def _date_of(day: Day, now: datetime, direction: str) -> date:
    today = now.date()
    if day.back is not None:
        # "tonight" said at two in the morning is the night that has not ended
        early = direction == "past" and now.hour < 5 and day.part == "night" and day.back == 0
        return today - timedelta(days=day.back + early)
    if day.weekday is not None:
        behind = (today.weekday() - day.weekday) % 7
        if direction == "past" and day.nth <= 0:
            return today - timedelta(days=behind or (7 if day.nth else 0))
        ahead = (day.weekday - today.weekday()) % 7
        # "next monday" said on a Tuesday is six days off; only of this week's own day is it a week more
        soon = ahead or (7 if day.nth else 0)
        return today + timedelta(days=soon + (7 if day.nth > 0 and day.weekday > today.weekday() else 0))
    assert day.date is not None
    return _year_for(day.date, today, direction)


def _year_for(said: date, today: date, direction: str) -> date:
    if said.year == 1:  # "the 14th"
        months = [(today.year, today.month + k) for k in (0, -1, 1)]
        dates = [date(y + (m - 1) // 12, (m - 1) % 12 + 1, min(said.day, 28)) for y, m in months]
        dates = [d + timedelta(days=said.day - d.day) for d in dates]
    elif said.year == 2000:  # no year said; 29 February lies up to eight years off
        years = (today.year + k for k in range(-8, 9))
        dates = [date(y, said.month, said.day) for y in years if (said.month, said.day) != (2, 29) or isleap(y)]
        near = min(dates, key=lambda d: abs((d - today).days))
        if direction == "past" and 0 < (near - today).days <= _SOON:
            return near  # the day after tomorrow, not a year ago: whoever logs it is told that it is still to come
    else:
        return said
    good = [d for d in dates if (d <= today if direction == "past" else d >= today)]
    return min(good or dates, key=lambda d: abs((d - today).days))


def _within(clock: Clock, day: Day, base: date, zone: tzinfo) -> list[datetime]:
    """Give the moments of ``clock`` that lie in the said part of the said day."""
    if day.part == "night":
        night = [*_moments(clock, base, zone), *_moments(clock, base + timedelta(days=1), zone)]
        start, end = _local(base, 17, 0, zone), _local(base + timedelta(days=1), 6, 0, zone)
        return [m for m in night if start <= m < end] or _moments(clock, base, zone)
    found = _moments(clock, base + timedelta(days=clock.rolls), zone)
    hours = {"morning": range(12), "afternoon": range(12, 20), "evening": range(16, 24)}.get(day.part or "")
    return [m for m in found if hours is None or m.hour in hours] or found


def resolve(when: When, now: datetime, direction: str = "past") -> datetime:
    """Give the moment that ``when`` means, in the zone of ``now``.

    ``direction`` ``past``: the latest occurrence not after ``now``; ``future``: the next one. A
    day that was named binds, even if the moment then lies on the other side of ``now``.
    """
    zone = now.tzinfo
    assert zone is not None
    if when.ago is not None and when.clock is not None and when.ago >= timedelta(days=1):
        return resolve(When(clock=when.clock, day=Day(back=when.ago.days)), now, direction)
    if when.ago is not None:
        return (now.astimezone(UTC) - when.ago).astimezone(zone)
    if when.ahead is not None:
        return (now.astimezone(UTC) + when.ahead).astimezone(zone)
    if when.clock is None:
        return _dayless(when, now, direction)
    if when.day is not None:
        base = _date_of(when.day, now, direction)
        found = _within(when.clock, when.day, base, zone)
        if direction == "future" and when.day.weekday is not None and found[-1] <= now:
            found = _within(when.clock, when.day, base + timedelta(days=7), zone)  # this week's has gone by
        if direction == "past" and when.day.part and now.hour < 5 and _after(found[0], now):
            # still up at two: "this morning" is the one before this night
            found = _within(when.clock, when.day, base - timedelta(days=1), zone)
        good = [m for m in found if _after(m, now) == (direction == "future")]
        if direction == "past":
            # of two halves of a day that are both over, the waking one: 11:45, not 23:45
            awake = [m for m in good if 6 <= m.hour < 22] if when.day.part is None and base < now.date() else []
            return (awake or good or found)[-1]
        return _working(good or found)
    days = [now.date() + timedelta(days=k) for k in (-1, 0, 1)]
    every = sorted((m for d in days for m in _moments(when.clock, d, zone)), key=lambda t: t.astimezone(UTC))
    if direction == "past":
        return [m for m in every if not _after(m, now)][-1]
    return next(m for m in every if _after(m, now))


def _working(found: list[datetime]) -> datetime:
    # "tomorrow at nine", "friday at six": of two halves of a day the waking one
    return next((m for m in found if m.hour >= 7), found[0])


def _dayless(when: When, now: datetime, direction: str) -> datetime:
    if when.day is None:
        return now
    zone = now.tzinfo
    assert zone is not None
    base = _date_of(when.day, now, direction)
    at = (_LATE if direction == "past" else _EARLY)[when.day.part]
    moment = _local(base, at.hour, at.minute, zone)
    return min(moment, now) if direction == "past" and base <= now.date() else moment
