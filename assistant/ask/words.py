"""What a reply begins with: the time and the condition asked for; a long list cut short."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.times import like, spoken
from assistant.language.query import At, Between, By, Property, Query, Suppose
from assistant.wording import amount, capital, figure, listed, when

#: A reply names so many; the rows have them all.
MOST: Final = 6


def some(words: Iterable[str], last: str = "and") -> str:
    """Give the first few of a list, and how many more there are."""
    all_ = list(words)
    if len(all_) <= MOST:
        return listed(all_, last)
    return f"{', '.join(all_[:MOST])} and {len(all_) - MOST} more"


def full(text: str) -> str:
    """Give a clause as a sentence."""
    return capital(text.rstrip(". ")) + ("" if text.endswith(("?", "!")) else ".")


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
