"""Clock times, days and durations one by one, and whole phrases that are one of them.

Reading and resolving are apart: here is what was said, in :mod:`assistant.language.when` the moment
that it means. A whole expression ("yesterday afternoon at about four") is read by :mod:`assistant.language.times`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from assistant.language.dates import MONTH_WORDS, MONTHS, WEEKDAYS, days_at
from assistant.language.daypart import PARTS
from assistant.language.faces import faces_at, in_part, tail_at
from assistant.language.lengths import LONGEST, SPANS, lengths_at
from assistant.language.tokens import tokens
from assistant.language.when import Clock, Day, When, resolve

__all__ = ["MONTHS", "PARTS", "SPANS", "WEEKDAYS", "WORDS", "Found", "duration", "moment", "times_at"]

WORDS: Final = frozenset(
    {
        *WEEKDAYS, *MONTH_WORDS, *PARTS, *SPANS, "am", "pm", "o'clock", "oclock", "noon", "midday", "midnight",
        "past", "to", "after", "before", "half", "quarter", "ago", "yesterday", "today", "tomorrow", "tonight",
        "last", "next", "this", "until", "till", "hundred", "hours", "overnight", "ish", "lunchtime",
    }
)  # fmt: skip


class Found(NamedTuple):
    """A time expression: tokens up to ``end``, its tag, its value, and a doubt from 0."""

    end: int
    tag: str
    value: Clock | Day | timedelta
    doubt: float = 0.0


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def times_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    """Give every single clock time, day and duration that starts at token ``i``."""
    return [*_clocks(words, i, kinds), *_days(words, i, kinds), *_durations(words, i, kinds)]


def _clocks(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    out: list[Found] = []
    for stop, clock, doubt in faces_at(words, i, kinds):
        end = stop + (_at(words, stop) in ("o'clock", "oclock", "ish"))
        tail, part = tail_at(words, end)
        if part:
            # "at ten in the morning" is one thing; "at ten, in the evening I ..." is rare enough
            out.append(Found(tail, "clock", in_part(clock, part)))
            continue
        out.append(Found(end, "clock", clock, 0.0 if words[end - 1] in ("o'clock", "oclock") else doubt))
    for said, hour in (("lunchtime", 13), ("noonish", 12)):
        if _at(words, i) == said and _at(words, i - 1) not in ("o'clock", "oclock"):
            out.append(Found(i + 1, "clock", Clock((hour,))))
    if _at(words, i) in ("before", "after") and _at(words, i + 1) in ("breakfast", "lunch"):
        hour = {"breakfast": 7, "lunch": 12}[words[i + 1]] + (words[i] == "after")
        out.append(Found(i + 2, "clock", Clock((hour,))))
    return out


def _days(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    if _at(words, i) == "overnight":
        return [Found(i + 1, "day", Day(back=1, part="night"))]
    if tuple(words[i : i + 2]) == ("earlier", "today"):
        return [Found(i + 2, "day", Day(back=0))]
    out = []
    for end, day, doubt in days_at(words, i, kinds)[:1]:
        if day.based:
            out.append(Found(end, "day", day, doubt))
        elif doubt < 0.5 and words[i] in ("in", "during"):
            out.append(Found(end, "day", day._replace(back=0), doubt))
    return out


def _durations(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    lead = _at(words, i) in ("in", "within") and 1
    out: list[Found] = []
    for end, seconds in lengths_at(words, i + lead, kinds):
        if seconds > LONGEST:
            continue
        span = timedelta(seconds=seconds)
        if lead:
            out.append(Found(end + (_at(words, end) == "time"), "ahead", span))
        elif _at(words, end) in ("ago", "back", "earlier", "since"):
            out.append(Found(end + 1, "ago", span))
        elif tuple(words[end : end + 2]) == ("from", "now"):
            out.append(Found(end + 2, "ahead", span))
        else:
            out.append(Found(end, "duration", span))
    return out


# -- whole phrases -----------------------------------------------------------------------------


def _cut(text: str) -> tuple[list[str], list[str]]:
    cut = [t for t in tokens(text) if t.text not in (",", "-")]
    return [t.text for t in cut], [t.kind for t in cut]


def said_when(text: str) -> When | None:
    """Read ``text`` as what was said of one moment and nothing else, or None."""
    from assistant.language.times import chunks_at

    words, kinds = _cut(text)
    for start in range(2):
        if start and words[:1] not in (["by"], ["for"], ["the"]):
            break
        whole = [f for f in chunks_at(words, start, kinds) if f.end == len(words) and isinstance(f.value, When)]
        if whole:
            found = min(whole, key=lambda f: f.doubt).value
            return found if isinstance(found, When) else None
    return None


def moment(text: str, now: datetime, direction: str = "past") -> datetime | None:
    """Read ``text`` as a moment and nothing else, or None; of a vague time its middle."""
    when = said_when(text)
    return None if when is None else resolve(when, now, direction)


def duration(text: str) -> timedelta | None:
    """Read ``text`` as a length of time and nothing else, or None."""
    from assistant.language.times import chunks_at

    words, kinds = _cut(text)
    start = int(words[:1] == ["for"])
    whole = [f for f in chunks_at(words, start, kinds) if f.end == len(words) and f.tag == "duration"]
    found = min(whole, key=lambda f: f.doubt).value if whole else None
    return found if isinstance(found, timedelta) else None
