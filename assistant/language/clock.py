"""Clock times, days and durations as people say them.

Reading and resolving are apart: here is what was said, in :mod:`assistant.language.when` the moment
that it means.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Final, NamedTuple

from assistant.language.numbers import SMALL, TENS, UNITS, numbers_at
from assistant.language.tokens import tokens
from assistant.language.when import Clock, Day, When, resolve

WEEKDAYS: Final = {
    "monday": 0, "tuesday": 1, "wednesday": 2, "thursday": 3, "friday": 4, "saturday": 5, "sunday": 6,
    "mon": 0, "tue": 1, "tues": 1, "wed": 2, "thu": 3, "thur": 3, "thurs": 3, "fri": 4, "sat": 5, "sun": 6,
}  # fmt: skip
MONTHS: Final = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip
_MONTH_WORDS: Final = {m: m for m in MONTHS} | {m[:3]: m for m in MONTHS} | {"sept": "september"}
PARTS: Final = ("morning", "afternoon", "evening", "night")
#: Years that a job can lie in, and the longest time that anyone speaks of, in seconds.
_YEARS: Final = range(1900, 2200)
_AGE: Final = 100 * 365.25 * 86400
#: Seconds in each unit of a duration.
SPANS: Final = {
    "second": 1, "seconds": 1, "sec": 1, "secs": 1, "minute": 60, "minutes": 60, "min": 60, "mins": 60,
    "hour": 3600, "hours": 3600, "hr": 3600, "hrs": 3600, "h": 3600, "day": 86400, "days": 86400,
    "week": 604800, "weeks": 604800, "fortnight": 1209600,
}  # fmt: skip
WORDS: Final = frozenset(
    {
        *WEEKDAYS, *_MONTH_WORDS, *PARTS, *SPANS, "am", "pm", "o'clock", "oclock", "noon", "midday", "midnight",
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


_DAYPART_TAILS: Final = (
    (("in", "the", "morning"), "morning"), (("in", "the", "afternoon"), "afternoon"),
    (("in", "the", "evening"), "evening"), (("at", "night"), "night"), (("in", "the", "night"), "night"),
    (("of", "the", "morning"), "morning"), (("am",), "morning"), (("pm",), "afternoon"),
    (("a", "m"), "morning"), (("p", "m"), "afternoon"),
)  # fmt: skip


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def times_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    """Give every time expression that starts at token ``i``."""
    return [*_clocks(words, i, kinds), *_days(words, i, kinds), *_durations(words, i, kinds)]


# -- clocks ------------------------------------------------------------------------------------


def _two(hour: int) -> tuple[int, ...]:
    return (hour % 12, hour % 12 + 12) if 1 <= hour <= 12 else (hour,)


def _clocks(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    out: list[Found] = []
    for stop, clock, doubt in _faces(words, i, kinds):
        end = stop + (_at(words, stop) in ("o'clock", "oclock", "ish"))
        tail, part = _tail(words, end)
        if part:
            out.append(Found(tail, "clock", _in_part(clock, part)))
            # "at ten in the morning" is one thing; "at ten, in the evening I ..." is rare enough
            continue
        out.append(Found(end, "clock", clock, 0.0 if words[end - 1] in ("o'clock", "oclock") else doubt))
    return out


def _tail(words: Sequence[str], end: int) -> tuple[int, str | None]:
    for tail, part in _DAYPART_TAILS:
        if tuple(words[end : end + len(tail)]) == tail:
            return end + len(tail), part
    return end, None


def _in_part(clock: Clock, part: str) -> Clock:
    hour = clock.hours[0] % 12 if len(clock.hours) > 1 else clock.hours[0]
    if len(clock.hours) == 1 and hour > 12:
        return clock
    if part == "morning":
        hours = (hour % 12,)
    elif part in ("afternoon", "evening"):
        hours = (hour % 12 + 12,)
    else:  # at night: ten is 22, two is 2
        hours = (hour % 12 if hour % 12 < 6 else hour % 12 + 12,)
    return Clock(hours, clock.minute)


#: The hours before and after a meal, near enough to a statement that names no other (common practice, no source).
_MEALS: Final = {"breakfast": (7, 8), "lunch": (12, 13)}


def _faces(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, Clock, float]]:
    word, kind = _at(words, i), kinds[i] if i < len(kinds) else ""
    if word == "mid" and _at(words, i + 1) in ("day", "night"):
        return _faces([*words[: i + 1], f"mid{words[i + 1]}", *words[i + 2 :]], i + 1, kinds)
    if word in ("noon", "midday", "noonish"):
        return [(i + 1, Clock((12,)), 0.0)]
    if word == "lunchtime" and not _named_hour(words, i):
        return [(i + 1, Clock((13,)), 0.0)]
    if word in ("before", "after") and _at(words, i + 1) in _MEALS:
        return [(i + 2, Clock((_MEALS[words[i + 1]][word == "after"],)), 0.0)]
    if word == "midnight":
        return [(i + 1, Clock((0,), 0, rolls=True), 0.0)]
    if word == "twelve" and _at(words, i + 1) in ("noon", "midday", "midnight"):
        return _faces(words, i + 1, kinds)
    if kind in ("clock", "ratio"):
        return _written(word, i)
    if kind == "number":
        return [*_figures(words, i), *_relative(words, i, kinds)]
    return [*_relative(words, i, kinds), *_spoken(words, i)]


def _named_hour(words: Sequence[str], i: int) -> bool:
    # "twelve o'clock lunchtime": the clock time is said already
    before = _at(words, i - 1)
    return before in ("o'clock", "oclock") or before.isdecimal() or before in SMALL


def _face(hour: int, minute: int, *, leading_zero: bool = False) -> Clock | None:
    if not (0 <= hour <= 23 and 0 <= minute <= 59):
        return None
    return Clock((hour,) if leading_zero or hour == 0 or hour > 12 else _two(hour), minute)


def _written(word: str, i: int) -> list[tuple[int, Clock, float]]:
    parts = word.replace("h", ":").split(":")
    if len(parts) > 3 or not all(p.isdecimal() for p in parts) or len(parts[1]) != 2:
        return []
    # "02:05" is said by a 24 h clock; "2:05" may be either
    face = _face(int(parts[0]), int(parts[1]), leading_zero=parts[0].startswith("0"))
    return [(i + 1, face, 0.0)] if face else []


def _figures(words: Sequence[str], i: int) -> list[tuple[int, Clock, float]]:
    text, cued = words[i], _at(words, i - 1) in _CUES
    named = _at(words, i + 1) == "hours"
    if len(text) == 3 and text.isdecimal():  # "340pm", "at 920"
        face = _face(int(text[0]), int(text[1:]))
        return [(i + 1, face, 0.0 if cued or _at(words, i + 1) in ("am", "pm") else 0.6)] if face else []
    after = _at(words, i + 1)
    if len(text) <= 2 and text.isdecimal() and cued and len(after) == 2 and after.isdecimal():  # "at 3 15"
        face = _face(int(text), int(after))
        if face:
            return [(i + 2, face, 0.0)]
    if len(text) == 4 and text.isdecimal():
        face = _face(int(text[:2]), int(text[2:]), leading_zero=True)
        return [(i + 1 + named, face, 0.0 if cued or named else 0.5)] if face else []
    whole, dot, part = text.partition(".")
    if dot and len(part) == 2 and whole.isdecimal() and (cued or whole != "0"):  # "0.75 of a tin" is no time
        face = _face(int(whole), int(part), leading_zero=whole.startswith("0"))
        return [(i + 1, face, 0.0 if cued else 0.6)] if face else []
    if text.isdecimal() and len(text) <= 2 and text != "0":  # nobody says "at 0"
        face = _face(int(text), 0, leading_zero=text.startswith("0"))
        if face:
            return [(i + 1, face, 0.0 if cued else 1.0)]
    return []


#: Words that promise a clock time.
_CUES: Final = {
    "at", "around", "about", "by", "til", "till", "until", "since", "from", "before", "after", "past", "to", "roughly",
    "circa",
}  # fmt: skip


def _hour(words: Sequence[str], i: int) -> int | None:
    word = _at(words, i)
    if word.isdecimal() and 1 <= int(word) <= 23:
        return int(word)
    value = SMALL.get(word, 0)
    return value if 1 <= value <= 12 else None


def _relative(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, Clock, float]]:
    # half [past] ten, [a] quarter to ten, twenty [minutes] past four, five to midnight
    start = i
    i += _at(words, i) == "a" and _at(words, i + 1) == "quarter"
    word, minutes, end = _at(words, i), None, i + 1
    if tuple(words[i : i + 3]) == ("five", "and", "twenty"):  # as grandfather said it
        minutes, end = 25, i + 3
    elif word in ("half", "quarter"):
        minutes = 30 if word == "half" else 15
    else:
        for n in numbers_at(words, i, kinds):
            rest = n.end + (_at(words, n.end) in ("minutes", "minute", "mins", "min"))
            if 1 <= n.value <= (30 if rest > n.end else 29) and n.value == int(n.value) and _at(words, rest) in _SIDES:
                minutes, end = int(n.value), rest
                break
    if minutes is None:
        return []
    side = _SIDES.get(_at(words, end))
    if side is None and not (word == "half" and start == i):
        return []
    at = end + (side is not None)
    fixed = {"midnight": (0,), "noon": (12,), "midday": (12,)}.get(_at(words, at))
    hour = _hour(words, at)
    if fixed is None and hour is None:
        return []
    hours = fixed or _two(hour or 0)
    if side == -1:
        return [(at + 1, Clock(tuple((h - 1) % 24 for h in hours), 60 - minutes), 0.0)]
    return [(at + 1, Clock(hours, minutes), 0.0 if side else 0.02)]


_SIDES: Final = {"past": 1, "after": 1, "to": -1, "till": -1, "before": -1, "of": -1}


def _minutes_words(words: Sequence[str], i: int) -> list[tuple[int, int]]:
    # the minutes after a spoken hour: "thirty", "forty five", "oh five", "fifteen"
    word = _at(words, i)
    if word in ("oh", "o", "zero") and UNITS.get(_at(words, i + 1)):
        return [(i + 2, UNITS[words[i + 1]])]
    if word in TENS and TENS[word] < 60:
        if UNITS.get(_at(words, i + 1)):
            return [(i + 2, TENS[word] + UNITS[words[i + 1]]), (i + 1, TENS[word])]
        return [(i + 1, TENS[word])]
    return [(i + 1, SMALL[word])] if 10 <= SMALL.get(word, 0) <= 19 else []


def _spoken(words: Sequence[str], i: int) -> list[tuple[int, Clock, float]]:
    word, cued = _at(words, i), _at(words, i - 1) in _CUES
    zero = word in ("oh", "zero", "o")
    hour, end = _hour24(words, i + zero)
    if hour is None:
        return []
    out: list[tuple[int, Clock, float]] = []
    fixed = zero or hour > 12
    if _at(words, end) == "hundred" and (fixed or _at(words, end + 1) == "hours"):
        hours = _at(words, end + 1) == "hours"
        out.append((end + 1 + hours, Clock((hour,)), 0.0 if hours or cued else 0.2))
    for stop, minute in _minutes_words(words, end):
        face = Clock((hour,) if fixed else _two(hour), minute)
        out.append((stop + (_at(words, stop) == "hours"), face, 0.0 if cued else 0.3))
    if word in TENS and end > i + 1 and hour < 24:  # "twenty fifteen" also starts as twenty
        out.extend(
            (stop, Clock((20,), minute), 0.3) for stop, minute in _minutes_words(words, i + 1) if word == "twenty"
        )
    if not zero and hour <= 12:
        out.append((end, Clock(_two(hour)), 0.0 if cued else 1.0))
    return out


def _hour24(words: Sequence[str], i: int) -> tuple[int | None, int]:
    word = _at(words, i)
    if word == "twenty":
        unit = UNITS.get(_at(words, i + 1), 0)
        return (20 + unit, i + 2) if 1 <= unit <= 3 else (20, i + 1)
    value = SMALL.get(word)
    return (value, i + 1) if value is not None and 1 <= value <= 19 else (None, i)


# -- days --------------------------------------------------------------------------------------

_FIXED_DAYS: Final[tuple[tuple[tuple[str, ...], Day], ...]] = (
    (("the", "day", "before", "yesterday"), Day(back=2)), (("day", "before", "yesterday"), Day(back=2)),
    (("the", "day", "after", "tomorrow"), Day(back=-2)), (("day", "after", "tomorrow"), Day(back=-2)),
    (("the", "night", "before", "last"), Day(back=2, part="night")),
    (("the", "night", "before"), Day(back=1, part="night")), (("last", "night"), Day(back=1, part="night")),
    (("last", "evening"), Day(back=1, part="evening")), (("overnight",), Day(back=1, part="night")),
    (("tonight",), Day(back=0, part="night")), (("this", "morning"), Day(back=0, part="morning")),
    (("this", "afternoon"), Day(back=0, part="afternoon")), (("this", "evening"), Day(back=0, part="evening")),
    (("earlier", "today"), Day(back=0)), (("today",), Day(back=0)),
)  # fmt: skip


def _days(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    for fixed, day in _FIXED_DAYS:
        if tuple(words[i : i + len(fixed)]) == fixed:
            return [Found(i + len(fixed), "day", day)]
    word = _at(words, i)
    if word in ("yesterday", "tomorrow"):
        end, part = _part(words, i + 1)
        return [Found(end, "day", Day(back=1 if word == "yesterday" else -1, part=part))]
    if kinds[i : i + 1] == ["iso"]:
        try:
            said = date.fromisoformat(word)
        except ValueError:
            return []
        return [Found(i + 1, "day", Day(date=said))] if said.year in _YEARS else []
    lead = {"last": -1, "next": 1, "this": 0, "on": 0, "past": -1}.get(word)
    at = i + (lead is not None)
    if _at(words, at) in WEEKDAYS:
        if word == "on" and words[at] in ("sun", "sat", "wed"):  # needs no more proof after "on"
            pass
        end, part = _part(words, at + 1)
        short = words[at] in ("sat", "sun", "wed", "mon", "fri", "thu", "tue") and lead is None
        return [Found(end, "day", Day(weekday=WEEKDAYS[words[at]], nth=lead or 0, part=part), 0.5 if short else 0.0)]
    if word in ("in", "during") and _at(words, i + 1) == "the" and _at(words, i + 2) in PARTS:
        return [Found(i + 3, "day", Day(back=0, part=words[i + 2]), 0.3)]
    return _dates(words, i, kinds)


def _part(words: Sequence[str], i: int) -> tuple[int, str | None]:
    return (i + 1, words[i]) if _at(words, i) in PARTS else (i, None)


def _dates(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    # only what holds a month's name goes to dateparser, rewritten as "14 march 2026"
    from assistant.language.numbers import ordinals_at

    i0 = i
    i += _at(words, i) in ("on", "the")
    i += _at(words, i) == "the"
    month, day, end = _MONTH_WORDS.get(_at(words, i)), 0, i + 1
    if month:
        end += _at(words, end) == "the"
        day, end = _day_number(words, end, kinds)
    else:
        found = ordinals_at(words, i, kinds)
        day, end = (int(found[0].value), found[0].end) if found else _day_number(words, i, kinds)
        rest = end + (_at(words, end) == "of")
        month = _MONTH_WORDS.get(_at(words, rest))
        if month:
            end = rest + 1
        elif tuple(words[i0:i]) == ("on", "the") and kinds[i : i + 1] == ["number"] and 1 <= day <= 31:
            return [Found(end, "day", Day(date=date(1, 1, day)), 0.2)]
        elif (
            found
            and i > i0
            and words[i - 1] == "the"
            and 1 <= day <= 31
            and _at(words, end) not in ("coat", "layer", "one")
        ):
            # "on the 12th" is a day, "on the second" may be a coat
            named = words[i0] == "on" and (kinds[i : i + 1] == ["ordinal"] or day > 10)
            return [
                Found(end, "day", Day(date=date(1, 1, day)), 0.0 if named else 1.5)
            ]  # "the 14th": year 1 marks the month as open
    if not month or not 1 <= day <= 31:
        return []
    year = ""
    if kinds[end : end + 1] == ["number"] and len(words[end]) == 4:
        year, end = words[end], end + 1
    return [Found(end, "day", Day(date=known))] if (known := _calendar(day, month, year)) else []


def _day_number(words: Sequence[str], i: int, kinds: Sequence[str]) -> tuple[int, int]:
    from assistant.language.numbers import ordinals_at

    for n in (*ordinals_at(words, i, kinds), *numbers_at(words, i, kinds)):
        if n.value == int(n.value) and 1 <= n.value <= 31:
            return int(n.value), n.end
    return 0, i


def _calendar(day: int, month: str, year: str) -> date | None:
    import dateparser  # 110 ms, so only for a phrase that names a month

    parsed = dateparser.parse(
        f"{day} {month} {year or 2000}",
        languages=["en"],
        settings={"DATE_ORDER": "DMY", "STRICT_PARSING": True},
    )
    if parsed is None or parsed.day != day or MONTHS[parsed.month - 1] != month:
        return None  # a result that lost a number is thrown away
    if not year:
        return parsed.date()
    try:
        return parsed.date().replace(year=int(year)) if int(year) in _YEARS else None
    except ValueError:
        return None  # 29 February of a year that has none


# -- durations ---------------------------------------------------------------------------------


def _durations(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    lead = _at(words, i) in ("in", "within") and 1
    out: list[Found] = []
    for end, seconds in _length(words, i + lead, kinds):
        if seconds > _AGE:
            continue
        span = timedelta(seconds=seconds)
        if lead:
            more = _at(words, end) == "time"
            out.append(Found(end + more, "ahead", span))
        elif _at(words, end) in ("ago", "back", "earlier", "since"):
            out.append(Found(end + 1, "ago", span))
        elif tuple(words[end : end + 2]) == ("from", "now"):
            out.append(Found(end + 2, "ahead", span))
        else:
            out.append(Found(end, "duration", span))
    return out


def _length(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, float]]:
    """Give the durations at ``i`` as ``(end, seconds)``, the longest first."""
    heads: list[tuple[int, float]] = []
    if _at(words, i) in ("a", "an", "one") and _at(words, i + 1) in SPANS and words[i + 1] != "second":
        heads.append((i + 2, SPANS[words[i + 1]]))
    if _at(words, i) in ("hour", "week", "minute") and _at(words, i + 1) in ("ago", "back"):
        heads.append((i + 1, SPANS[words[i]]))
    for n in numbers_at(words, i, kinds):
        if n.clipped:
            continue  # "at ten, twenty minutes ago" is not 1020 minutes ago
        at = n.end
        if n.value < 1 and _at(words, at) in (
            "of",
            "a",
            "an",
        ):  # three quarters of an hour; never "180 an hour ago"
            at += (words[at] == "of") + (_at(words, at + (words[at] == "of")) in ("a", "an"))
        elif n.value == 2 and _at(words, at) == "of":
            at += 1
        unit = _at(words, at)
        if unit in SPANS and n.value >= 0:
            heads.append((at + 1, n.value * SPANS[unit]))
        elif unit == "m" and _at(words, at + 1) in ("ago", "back"):
            heads.append((at + 1, n.value * 60))
    out: list[tuple[int, float]] = []
    for end, seconds in heads:
        out.append((end, seconds))
        last = SPANS.get(words[end - 1], 0)
        rest = end + (_at(words, end) == "and")
        if rest > end and _at(words, rest) in ("a", "an") and _at(words, rest + 1) in ("half", "quarter"):
            out.append((rest + 2, seconds + last * (0.5 if words[rest + 1] == "half" else 0.25)))
        elif last > 60:
            out.extend((e, seconds + s) for e, s in _length(words, rest, kinds) if s < last)
    if kinds[i : i + 1] == ["clock"] and "h" in words[i]:
        hours, minutes = words[i].split("h")
        out.append((i + 1, int(hours) * 3600 + int(minutes) * 60))
    return sorted(set(out), reverse=True)


# -- for the language's own checks -------------------------------------------------------------


def gather(found: Sequence[Found]) -> When:
    """Put the time expressions of one clause together."""
    when = When()
    for f in found:
        if isinstance(f.value, Clock):
            when = replace(when, clock=f.value)
        elif isinstance(f.value, Day):
            when = replace(when, day=f.value)
        elif f.tag == "ago":
            when = replace(when, ago=f.value)
        elif f.tag == "ahead":
            when = replace(when, ahead=f.value)
    return when


def _scan(text: str) -> tuple[list[Found], bool]:
    cut = [t for t in tokens(text) if t.text not in (",", "-")]
    words, kinds = [t.text for t in cut], [t.kind for t in cut]
    out: list[Found] = []
    i, whole = 0, True
    while i < len(words):
        best = max(times_at(words, i, kinds), key=lambda f: (f.end, -f.doubt), default=None)
        if best is None:
            whole = whole and words[i] in ("at", "on", "the", "by", "around", "about", "of", "in", "for")
            i += 1
            continue
        out.append(best)
        i = best.end
    return out, whole


def moment(text: str, now: datetime, direction: str = "past") -> datetime | None:
    """Read ``text`` as a moment and nothing else, or None."""
    found, whole = _scan(text)
    tags = [f.tag for f in found]
    if any(tags.count(tag) > 1 for tag in ("clock", "day", "ago", "ahead")):
        return None  # one of them would be lost
    when = gather(found)
    spans = [s for s in (when.ago, when.ahead) if s is not None]
    if len(spans) > 1 or (spans and when.clock is not None and (when.ahead or spans[0] < timedelta(days=1))):
        return None  # so would "ten" of "at ten, twenty minutes ago"
    return resolve(when, now, direction) if whole and when.said else None


def duration(text: str) -> timedelta | None:
    """Read ``text`` as a length of time and nothing else, or None."""
    found, whole = _scan(text)
    values = [f.value for f in found if f.tag == "duration"]
    return values[0] if whole and len(found) == 1 and values and isinstance(values[0], timedelta) else None
