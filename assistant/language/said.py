"""A clock time and a day as said, and the date that such a day is."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Final, NamedTuple


def isleap(year: int) -> bool:
    """Whether a year has a 29 February (``calendar`` has this too, and costs a cold start 10 ms)."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


class Clock(NamedTuple):
    """A clock time as said. ``hours`` are the hours it may mean: one if fixed, two if not, all if none was said."""

    hours: tuple[int, ...]
    minute: int = 0
    rolls: bool = False  # midnight as the end of a day


class Day(NamedTuple):
    """A day as said: ``back`` days before today (negative: ahead), a weekday or a date, and a part.

    A part alone ("in the afternoon") is that of the day it falls on last, or next.
    """

    back: int | None = None
    weekday: int | None = None
    nth: int = 0  # "next friday": 1, "last friday": -1
    date: date | None = None
    part: str | None = None
    weeks: int = 0  # so many weeks after the day named: "friday week" 1, "a week last tuesday" -1
    week: int | None = None  # of that calendar week: "tuesday of next week" 1; with no weekday, the week
    days: int = 1  # how many days it is long: a weekend 2, a week 7

    @property
    def based(self) -> bool:
        """Whether it names a day and not only a part of one."""
        return not (self.back is None and self.weekday is None and self.date is None and self.week is None)


#: Days within which a date without a year is the coming one, whatever was said of it.
_SOON: Final = 60


def date_of(day: Day, now: datetime, direction: str) -> date:
    """Give the date that ``day`` means: of what is past the latest, of what is to come the next."""
    return _named_date(day, now, direction) + timedelta(weeks=day.weeks)


def _named_date(day: Day, now: datetime, direction: str) -> date:
    today = now.date()
    if day.back is not None:
        # "tonight" said at two in the morning is the night that has not ended
        early = direction == "past" and now.hour < 5 and day.part == "night" and day.back == 0
        return today - timedelta(days=day.back + early)
    if day.week is not None:
        return today + timedelta(weeks=day.week, days=(day.weekday or 0) - today.weekday())
    if day.date is not None:
        return _year_for(day, today, direction)
    if day.weekday is not None:
        behind = (today.weekday() - day.weekday) % 7
        if direction == "past" and day.nth <= 0:
            return today - timedelta(days=behind or (7 if day.nth else 0))
        ahead = (day.weekday - today.weekday()) % 7
        # "next monday" said on a Tuesday is six days off; only of this week's own day is it a week more
        soon = ahead or (7 if day.nth else 0)
        return today + timedelta(days=soon + (7 if day.nth > 0 and day.weekday > today.weekday() else 0))
    return today


def _year_for(day: Day, today: date, direction: str) -> date:
    said = day.date
    assert said is not None
    if said.year == 1:  # "the 14th"
        dates = _month_days(said.day, today)
        if day.weekday is not None:  # "tuesday the 19th"
            dates = [d for d in dates if d.weekday() == day.weekday] or dates
    elif said.year == 2000:  # no year said; 29 February lies up to eight years off
        years = (today.year + k for k in range(-8, 9))
        dates = [date(y, said.month, said.day) for y in years if (said.month, said.day) != (2, 29) or isleap(y)]
        if day.weekday is not None:  # "friday, 18 july"
            dates = [d for d in dates if d.weekday() == day.weekday] or dates
        near = min(dates, key=lambda d: abs((d - today).days))
        if direction == "past" and 0 < (near - today).days <= _SOON:
            return near  # the day after tomorrow, not a year ago: whoever logs it is told that it is still to come
    else:
        return said
    good = [d for d in dates if (d <= today if direction == "past" else d >= today)]
    return min(good or dates, key=lambda d: abs((d - today).days))


def _month_days(day: int, today: date) -> list[date]:
    out = []
    for k in range(-11, 12):
        year, month = today.year + (today.month - 1 + k) // 12, (today.month - 1 + k) % 12 + 1
        first = date(year, month, 1)
        if (first + timedelta(days=day - 1)).month == month:
            out.append(date(year, month, day))
    return out
