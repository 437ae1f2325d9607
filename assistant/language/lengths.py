"""Lengths of time as people say them: "an hour and a half", "forty minutes or so", "an hour and a bit"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Final, NamedTuple

from assistant.language.daypart import dayparts
from assistant.language.numbers import SMALL, UNITS, Number, numbers_at

#: Seconds in each unit of a length of time.
SPANS: Final = {
    "second": 1, "seconds": 1, "sec": 1, "secs": 1, "minute": 60, "minutes": 60, "min": 60, "mins": 60,
    "hour": 3600, "hours": 3600, "hr": 3600, "hrs": 3600, "h": 3600, "day": 86400, "days": 86400,
    "week": 604800, "weeks": 604800, "fortnight": 1209600, "fortnights": 1209600,
}  # fmt: skip
#: Those that are no fixed number of days, nearly (30 and 365 days); what is counted in them is vague.
_LONG: Final = {"month": 2592000, "months": 2592000, "year": 31536000, "years": 31536000}
#: The longest time that anyone speaks of, in seconds.
LONGEST: Final = 100 * 365.25 * 86400


class Length(NamedTuple):
    """A length of time: tokens up to ``end``, the length, and by how much it may be less or more if it was vague."""

    end: int
    span: timedelta
    spread: tuple[timedelta, timedelta] | None = None
    doubt: float = 0.0


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def lengths_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, float]]:
    """Give the plain lengths of time that start at token ``i`` as ``(end, seconds)``, the longest first."""
    out: list[tuple[int, float]] = []
    for end, seconds in _heads(words, i, kinds):
        out.append((end, seconds))
        last = SPANS.get(words[end - 1], 0)
        rest = end + (_at(words, end) == "and")
        more = rest + (_at(words, rest) in ("a", "an"))
        if rest > end and _at(words, more) in ("half", "quarter") and _at(words, more + 1) not in ("an", "a", "hour"):
            out.append((more + 1, seconds + last * (0.5 if words[more] == "half" else 0.25)))
        elif last > 60:
            out.extend((e, seconds + s) for e, s in lengths_at(words, rest, kinds) if s < last)
    if kinds[i : i + 1] == ["clock"] and "h" in words[i]:
        hours, minutes = words[i].split("h")
        out.append((i + 1, int(hours) * 3600 + int(minutes) * 60))
    return sorted(set(out), reverse=True)


def _heads(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, float]]:
    """Give a count and its unit: "an hour", "two and a half hours", "three quarters of an hour"."""
    heads: list[tuple[int, float]] = []
    lead = _at(words, i) in ("a", "an", "one", "another") and _at(words, i + 1) in SPANS
    if lead and words[i + 1] != "second":
        heads.append((i + 2, SPANS[words[i + 1]]))
    if _at(words, i) in ("hour", "week", "minute") and _at(words, i + 1) in ("ago", "back"):
        heads.append((i + 1, SPANS[words[i]]))
    full = i + (_at(words, i) in ("a", "one", "the"))
    if _at(words, full) in ("full", "whole", "entire", "solid") and _at(words, full + 1) in ("day", "week", "hour"):
        heads.append((full + 2, SPANS[words[full + 1]]))
    for n in _counts(words, i, kinds):
        if n.clipped:
            continue  # "at ten, twenty minutes ago" is not 1020 minutes ago
        at = n.end
        if n.value < 1 and _at(words, at) in ("of", "a", "an"):
            # three quarters of an hour; never "180 an hour ago"
            at += (words[at] == "of") + (_at(words, at + (words[at] == "of")) in ("a", "an"))
        elif n.value == 2 and _at(words, at) == "of":
            at += 1
        at += _at(words, at) in ("more", "full", "whole", "solid")
        unit = _at(words, at)
        if unit in SPANS and n.value >= 0:
            heads.append((at + 1, n.value * SPANS[unit]))
        elif unit == "m" and _at(words, at + 1) in ("ago", "back"):
            heads.append((at + 1, n.value * 60))
    return heads


def _counts(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Number]:
    found = numbers_at(words, i, kinds)
    if not found and _at(words, i) == "another":
        return numbers_at(words, i + 1, kinds)  # "another twenty minutes"
    out = list(found)
    if tuple(words[i : i + 3]) == ("a", "pair", "of"):
        out.append(Number(i + 3, 2))
    for n in found:
        if tuple(words[n.end : n.end + 3]) == ("and", "an", "half"):  # "two and an half hours"
            out.append(Number(n.end + 3, n.value + 0.5))
        if tuple(words[n.end : n.end + 1]) == ("and",) and 20 <= n.value <= 90 and n.value % 10 == 0:
            # "twenty and four hours", as grandfather said it
            unit = UNITS.get(_at(words, n.end + 1), 0)
            if unit:
                out.append(Number(n.end + 2, n.value + unit))
    return out


def vague_lengths_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Length]:
    """Give every length of time that starts at token ``i``, plain or vague, the longest first."""
    out: list[Length] = []
    for start, shares in _hedges(words, i):
        plain = [Length(e, timedelta(seconds=s)) for e, s in lengths_at(words, start, kinds) if s <= LONGEST]
        found = [*plain, *_few(words, start), *_either(words, start, kinds), *_calendar(words, start, kinds)]
        for one in found:
            out.extend(_tailed(words, one, shares))
        if shares is None:
            out.extend(_loose(words, start))
    return sorted({(f.end, f.span): f for f in reversed(out)}.values(), key=lambda f: (-f.end, f.doubt))


def _hedges(words: Sequence[str], i: int) -> list[tuple[int, tuple[float, float] | None]]:
    found = dayparts().hedge_at("length", words, i)
    plain: list[tuple[int, tuple[float, float] | None]] = [(i, None)]
    return plain if found is None else [*plain, (found[0], _share(found[1]))]


def _share(percent: tuple[int, int]) -> tuple[float, float]:
    return percent[0] / 100, percent[1] / 100


def _round(seconds: float) -> timedelta:
    return timedelta(minutes=round(seconds / 60)) if seconds >= 60 else timedelta(seconds=round(seconds))


def _spread(one: Length, shares: tuple[float, float]) -> Length:
    less, more = (_round(one.span.total_seconds() * share) for share in shares)
    if one.spread is not None:
        less, more = max(less, one.spread[0]), max(more, one.spread[1])
    return one._replace(spread=(min(less, one.span), more))


#: So much more: a quarter of the unit, or twice that.
_BITS: Final = (
    ("and", "a", "bit"),
    ("and", "a", "little"),
    ("and", "a", "bit", "more"),
    ("and", "something"),
    ("odd",),
)


def _tailed(words: Sequence[str], one: Length, shares: tuple[float, float] | None) -> list[Length]:
    out = [_spread(one, shares) if shares else one]
    after = dayparts().hedge_at("length_after", words, one.end)
    if after is not None:
        out.append(_spread(one._replace(end=after[0]), _share(after[1])))
    for tail in _BITS:
        if tuple(words[one.end : one.end + len(tail)]) == tail:
            unit = SPANS.get(words[one.end - 1], 3600)
            half = _round(unit / 4)
            out.append(Length(one.end + len(tail), one.span + half, (half, half)))
    return out


def _few(words: Sequence[str], i: int) -> list[Length]:
    start = i
    i += _at(words, i) in ("a", "the", "the", "last", "another")
    word, unit = _at(words, i), SPANS.get(_at(words, i + 1), 0)
    if not unit or not words[i + 1].endswith("s"):
        return []
    if word == "few":
        return [Length(i + 2, timedelta(seconds=3 * unit), (timedelta(seconds=unit), timedelta(seconds=unit)))]
    if word == "several" and i == start:
        return [Length(i + 2, timedelta(seconds=5 * unit), (timedelta(seconds=2 * unit),) * 2)]
    return []


def _either(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Length]:
    """Read "an hour or two", "two or three days", "ten or fifteen minutes"."""
    if _at(words, i) in ("a", "an", "one") and _at(words, i + 1) in SPANS and _at(words, i + 2) == "or":
        most = SMALL.get(_at(words, i + 3), 0)
        return [_middle(i + 4, SPANS[words[i + 1]], most * SPANS[words[i + 1]])] if 1 < most <= 3 else []
    out = []
    for low in numbers_at(words, i, kinds):
        for mark in (("or",), ("to",), ("maybe",), ()):
            at = low.end + len(mark)
            if tuple(words[low.end : at]) != mark:
                continue
            for high in numbers_at(words, at, kinds):
                unit = SPANS.get(_at(words, high.end), 0)
                near = low.value < high.value <= 3 * low.value and not low.clipped and not high.clipped
                joined = mark or (low.value < 10 and high.value == low.value + 1)  # "five six minutes"
                if unit and near and joined and high.value * unit <= LONGEST:
                    out.append(_middle(high.end + 1, low.value * unit, high.value * unit))
    return out


def _middle(end: int, low: float, high: float) -> Length:
    half = timedelta(seconds=(high - low) / 2)
    return Length(end, timedelta(seconds=low) + half, (half, half))


def _calendar(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Length]:
    """Read months and years: nearly so many days."""
    out: list[tuple[int, float]] = []
    if _at(words, i) in ("a", "one") and _at(words, i + 1) in _LONG:
        out.append((i + 2, _LONG[words[i + 1]]))
    out += [
        (n.end + 1, n.value * _LONG[words[n.end]]) for n in numbers_at(words, i, kinds) if _at(words, n.end) in _LONG
    ]
    out += [
        (e, s + more) for end, s in list(out) for e, more in lengths_at(words, end + (_at(words, end) == "and"), kinds)
    ]
    days = [(end, timedelta(seconds=s)) for end, s in out if 0 <= s <= LONGEST]
    return [Length(end, span, (span / 15, span / 15)) for end, span in days]


def _loose(words: Sequence[str], i: int) -> list[Length]:
    for n in (3, 2, 1):
        ends = dayparts().loose.get(tuple(words[i : i + n]))
        if ends is not None and i + n <= len(words):
            return [_middle(i + n, 60 * ends[0], 60 * ends[1])._replace(doubt=0.6)]
    return []
