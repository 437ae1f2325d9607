"""How things are said: numbers, amounts, times, lists. Short, and in the trade's words."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.times import like, spoken, utc
from assistant.language.query import At, Between, By, Property, Query, Suppose
from assistant.quantity import Amount

_NTH: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
#: A reply names so many; the rows have them all.
MOST: Final = 6


def nth(number: int) -> str:
    """Give ``second``, or ``11th`` where words run out."""
    if 0 < number < len(_NTH):
        return _NTH[number]
    tail = "th" if 10 < number % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{tail}"


def figure(value: float) -> str:
    """Give a number as a measure shows it: ``12``, ``12.5``, ``0.25``."""
    if abs(value) >= 100 or abs(value - round(value)) < 1e-6:
        return f"{value:.0f}"
    return f"{value:.1f}".rstrip("0").rstrip(".") if abs(value) >= 1 else f"{value:.2f}".rstrip("0").rstrip(".")


def amount(said: Amount) -> str:
    """Give ``60 ml``, ``1.5 litres``, ``14 degrees``, ``10 percent``, ``0.4 square metres``."""
    value, unit = said
    if unit == "ml" and value >= 1000:
        litres = f"{value / 1000:.2f}".rstrip("0").rstrip(".")
        return f"{litres} litre" + ("" if litres == "1" else "s")
    if unit == "g" and value >= 1000:
        return f"{value / 1000:.2f}".rstrip("0").rstrip(".") + " kg"
    name = {"degC": " degrees", "percent": " percent", "m2": " square metres", "um": " microns", "min": " minutes"}
    return figure(value) + name.get(unit, f" {unit}")


def listed(words: Iterable[str], last: str = "and") -> str:
    """Give ``a``, ``a and b``, ``a, b and c``."""
    all_ = list(words)
    return "".join(all_) if len(all_) < 2 else f"{', '.join(all_[:-1])} {last} {all_[-1]}"


def some(words: Iterable[str], last: str = "and") -> str:
    """Give the first few of a list, and how many more there are."""
    all_ = list(words)
    if len(all_) <= MOST:
        return listed(all_, last)
    return f"{', '.join(all_[:MOST])} and {len(all_) - MOST} more"


def capital(text: str) -> str:
    """Begin with a capital, leaving the rest alone."""
    return text[:1].upper() + text[1:]


def full(text: str) -> str:
    """Give a clause as a sentence."""
    return capital(text.rstrip(". ")) + ("" if text.endswith(("?", "!")) else ".")


def many(number: int, word: str) -> str:
    """Give ``1 coat``, ``2 coats``."""
    return f"{number} {word}" + ("" if number == 1 else "s")


def when(moment: datetime, now: datetime) -> str:
    """Give ``now``, ``14:20``, ``14:20 tomorrow``: a time as said at ``now``."""
    return "now" if abs((utc(moment) - utc(now)).total_seconds()) < 60 else spoken(like(moment, now), now)


def lasting(span: timedelta) -> str:
    """Give ``40 minutes``, ``3 hours``, ``3 and a half hours``, ``2 days``."""
    minutes = round(span.total_seconds() / 60)
    if minutes < 60:
        return many(minutes, "minute")
    halves = round(minutes / 30)
    if halves < 96:
        whole, half = divmod(halves, 2)
        if whole == 1:
            return "an hour and a half" if half else "an hour"
        return f"{whole} and a half hours" if half else f"{whole} hours"
    return f"{round(minutes / 1440)} days"


def time_said(query: Query, now: datetime) -> str:
    """Give the time asked for, to begin a reply with: ``At 18:00``; "" where none was said."""
    match query.time:
        case At(moment):
            return "Now" if when(moment, now) == "now" else f"At {when(moment, now)}"
        case By(moment):
            return f"By {when(moment, now)}"
        case Between(start, end):
            if day := _whole_day(like(start, now), like(end, now), now):
                return day
            same = like(start, now).date() == like(end, now).date()
            last = f"{like(end, now):%H:%M}" if same else spoken(end, now)
            first = f"{like(start, now):%H:%M}" if same else spoken(start, now)
            day = spoken(end, now)[5:] if same else ""
            return f"Between {first} and {last}{day}"
    return ""


def _whole_day(start: datetime, end: datetime, now: datetime) -> str:
    """Give ``Tomorrow`` or ``On Friday`` where a stretch is all of a day, or what is left of today; else ""."""
    begins = f"{start:%H:%M}" == "00:00" or start == now
    ends = start.date() == end.date() and f"{end:%H:%M}" == "23:59"
    if not begins or not (ends or (end - start == timedelta(days=1) and f"{end:%H:%M}" == "00:00")):
        return ""
    days = (start.date() - now.date()).days
    named = {-1: "Yesterday", 0: "Today", 1: "Tomorrow"}
    return named.get(days) or (f"On {start:%A}" if 0 < days < 7 else f"On {start.day} {start:%B}")


def supposed(suppose: Suppose | None) -> str:
    """Give the condition in words: ``at 18 degrees``, ``in the galley``, ``without sanding``; "" for none."""
    if suppose is None:
        return ""
    parts = []
    if suppose.temperature is not None:
        parts.append(f"at {amount(suppose.temperature)}")
    if suppose.warmer is not None:
        parts.append(f"{figure(abs(suppose.warmer))} degrees {'warmer' if suppose.warmer >= 0 else 'colder'}")
    if suppose.surface is not None:
        parts.append(f"with the surface at {amount(suppose.surface)}")
    if suppose.humidity is not None:
        parts.append(f"at {figure(suppose.humidity.value)} percent humidity")
    if suppose.moved is not None:
        parts.append(f"moved to the {suppose.moved}")
    if suppose.product is not None:
        parts.append(f"with {suppose.product}")
    if suppose.ratio is not None:
        parts.append(f"at {' to '.join(figure(r) for r in suppose.ratio)}")
    if suppose.skipped is not None:
        parts.append(f"without {_ING.get(suppose.skipped.value, suppose.skipped.value)}")
    return ", ".join(parts)


_ING: Final = {"sand": "sanding", "clean": "cleaning", "coat": "a coat", "mask": "masking", "fill": "filling"}


def opening(query: Query, now: datetime) -> str:
    """Give time and condition, to begin a reply with: ``At 18:00, at 18 degrees``; "" where none was said.

    A what-if tells its condition itself.
    """
    condition = "" if query.what in (Property.WHATIF, Property.FINISH) else supposed(query.suppose)
    return capital(", ".join(part for part in (time_said(query, now), condition) if part))


def begun(lead: str, text: str) -> str:
    """Put the time and condition before a sentence: ``At 18:00: yes, ...``."""
    return full(f"{lead}: {text}" if lead else text)
