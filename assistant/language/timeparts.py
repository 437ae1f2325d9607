"""The parts that times are made of: a clock time with its hedges, a day, a vague hour, so long ago, "now"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Final

from assistant.language.clockparts import (
    SIDES,
    Part,
    at_word,
    clock_parts_at,
    closed,
    faces_around,
    starts,
    vague_words,
)
from assistant.language.dates import MONTH_WORDS, WEEKDAYS, days_at, first_words
from assistant.language.daypart import PARTS, Window, dayparts, named_at
from assistant.language.lengths import lengths_at, vague_lengths_at
from assistant.language.merging import settled
from assistant.language.numbers import ORDINALS, SMALL, numbers_at
from assistant.language.when import Clock, Day, When


def begins(words: Sequence[str], i: int, kinds: Sequence[str]) -> bool:
    """Whether a time may begin at token ``i``; nearly every other word is passed over by this alone."""
    if i >= len(words):
        return False
    return kinds[i] in _KINDS or words[i] in _starters()


_KINDS: Final = frozenset(["number", "clock", "ordinal", "iso", "fraction", "ratio"])


@cache
def _starters() -> frozenset[str]:
    data = dayparts()
    phrases = [
        *data.hedges["clock"],
        *data.hedges["length"],
        *data.loose,
        *_NOW,
        *_LATER,
        *_EARLIER,
        *filter(None, _LEADS),
    ]
    plain = {*SMALL, *ORDINALS, *vague_words(), *WEEKDAYS, *MONTH_WORDS, *PARTS, *data.firsts, *first_words(), *_OTHERS}
    return frozenset(plain.union(said[0] for said in phrases))


_OTHERS: Final = frozenset(
    [
        "halfish", "half", "quarter", "a", "an", "one", "another", "noon", "midday", "midnight", "mid", "oh", "o", "of",
        "during", "within", "between", "sometime", "somewhere", "late", "early", "end", "hour", "week", "minute", "few",
        "several", "couple", "full", "whole", "entire", "all", "most", "much", "this", "last", "next", "past", "coming",
    ]
)  # fmt: skip


def time_words() -> frozenset[str]:
    """Give the words of times, "elevenish" and "teatime" among them, for spelling and for speech."""
    data = dayparts()
    phrases = [*data.names, *data.days, *data.day_tails, *data.loose]
    hedges = [said for table in data.hedges.values() for said in table]
    return frozenset(word for said in (*phrases, *hedges, *_NOW, *_EARLIER, *_LATER) for word in said) | _starters()


def parts_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Give every single part of a time that starts at token ``i``."""
    if not begins(words, i, kinds):
        return []
    out = [
        *clock_parts_at(words, i, kinds),
        *_between(words, i, kinds),
        *_fixed(words, i),
        *_distances(words, i, kinds),
    ]
    out += _vague(words, i)
    out += [*_days_back(words, i, kinds), *_lately(words, i, kinds), *_from_window(words, i, kinds)]
    start = i + (words[i] in ("on", "of", "during", "around", "about") and at_word(words, i + 1) != "earlier")
    days = [*days_at(words, i, kinds), *(days_at(words, start, kinds) if start > i else [])]
    for end, day, doubt in days:
        if (
            words[i] == "on"
            and words[i + 1 : i + 2] == ["the"]
            and day.date is None
            and day.days == 1
            and day.weekday is None
        ):
            continue
        out.append(Part(end, _whole(When(day=day)), doubt))
    if words[i] in ("at", "over") and at_word(words, i + 1) == "the" and at_word(words, i + 2) == "weekend":
        out.append(Part(i + 3, When(day=Day(weekday=5, days=2))))
    return out


def _whole(when: When) -> When:
    return settled(when) or when


def _between(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Read "between nine and ten" as a window."""
    start = i + (at_word(words, i) in ("sometime", "somewhere"))
    if at_word(words, start) != "between":
        return []
    out = []
    for one in faces_around(words, start + 1, kinds, cued=True):
        if at_word(words, one.end) != "and" or len(one.clock.hours) > 2:
            continue
        for two in faces_around(words, one.end + 1, kinds, cued=True):
            if len(two.clock.hours) > 2 or one.clock == two.clock:
                continue
            first = one.clock
            if len(two.clock.hours) == 1 and len(first.hours) == 2:
                # "between nine and ten in the morning": the half of the day is that of both
                first = min(
                    (first._replace(hours=(h,)) for h in first.hours),
                    key=lambda c: (two.clock.hours[0] - c.hours[0]) % 24,
                )
            out.append(Part(two.end, When(between=(first, two.clock))))
    return out


_NOW: Final[dict[tuple[str, ...], When]] = {
    **dict.fromkeys(
        [
            ("now",),
            ("right", "now"),
            ("just", "now"),
            ("at", "the", "moment"),
            ("this", "minute"),
            ("this", "very", "minute"),
            ("this", "second"),
            ("this", "moment"),
            ("just", "this", "minute"),
            ("at", "present"),
            ("at", "this", "time"),
            ("straight", "away"),
        ],
        When(ago=timedelta()),
    ),
    ("the", "other", "day"): When(ago=timedelta(days=3), spread=(timedelta(days=1), timedelta(days=1))),
    ("the", "other", "night"): When(ago=timedelta(days=3), spread=(timedelta(days=1), timedelta(days=1))),
    ("the", "other", "evening"): When(ago=timedelta(days=3), spread=(timedelta(days=1), timedelta(days=1))),
    ("the", "other", "morning"): When(ago=timedelta(days=3), spread=(timedelta(days=1), timedelta(days=1))),
    ("the", "other", "week"): When(ago=timedelta(days=9), spread=(timedelta(days=4), timedelta(days=4))),
    ("this", "time", "yesterday"): When(ago=timedelta(days=1)),
    ("same", "time", "yesterday"): When(ago=timedelta(days=1)),
    ("this", "time", "tomorrow"): When(ahead=timedelta(days=1)),
    ("same", "time", "tomorrow"): When(ahead=timedelta(days=1)),
    ("this", "time", "last", "week"): When(ago=timedelta(days=7)),
    ("this", "time", "next", "week"): When(ahead=timedelta(days=7)),
    ("on", "the", "hour"): When(clock=Clock(tuple(range(24)))),
    ("on", "the", "half", "hour"): When(clock=Clock(tuple(range(24)), 30)),
    ("half", "past", "the", "hour"): When(clock=Clock(tuple(range(24)), 30)),
}
#: The hours that "earlier" and "later" today can mean.
_AWAKE: Final = time(5)
_BED: Final = time(23, 59)
_LATER: Final[frozenset[tuple[str, ...]]] = frozenset(
    [("later",), ("later", "on"), ("later", "today"), ("later", "on", "today")]
)
_EARLIER: Final[frozenset[tuple[str, ...]]] = frozenset(
    [("earlier",), ("earlier", "on"), ("earlier", "today"), ("earlier", "on", "today")]
)


def _fixed(words: Sequence[str], i: int) -> list[Part]:
    out = []
    for n in range(5, 0, -1):
        said = tuple(words[i : i + n])
        if said in _NOW and len(said) == n:
            out.append(Part(i + n, _NOW[said]))
    return out


_DIRECTIONS: Final = (
    (("ago",), -1),
    (("back",), -1),
    (("earlier",), -1),
    (("since",), -1),
    (("from", "now"), 1),
    (("from", "right", "now"), 1),
    (("from", "today"), 1),
    (("later",), 1),
    (("hence",), 1),
    (("ago", "now"), -1),
    (("in", "the", "past"), -1),
)


def _distances(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Read "an hour and a bit ago", "a few minutes back", "in half an hour", "a day and two hours later"."""
    out = []
    inside = at_word(words, i) in ("in", "within") and 1
    for length in vague_lengths_at(words, i + inside, kinds):
        if inside:
            if at_word(words, length.end) not in ("ago", "back"):
                more = (starts(words, length.end, ("'s", "time")) and 2) or (at_word(words, length.end) == "time")
                spread = length.spread
                out.append(Part(length.end + more, When(ahead=length.span, spread=spread), length.doubt))
            continue
        for said, way in _DIRECTIONS:
            end = length.end + len(said)
            if not starts(words, length.end, said) or (said == ("since",) and not closed(words, end)):
                continue
            doubt = 0.3 if said in (("later",), ("earlier",), ("since",)) else length.doubt * 0.5
            back = (length.spread[1], length.spread[0]) if length.spread else None
            when = When(ago=length.span, spread=back) if way < 0 else When(ahead=length.span, spread=length.spread)
            out.append(Part(end, when, doubt))
    return out


_LEADS: Final[tuple[tuple[str, ...], ...]] = (
    (),
    ("in", "the"),
    ("at", "the"),
    ("at",),
    ("around",),
    ("about",),
    ("round",),
    ("over",),
    ("during",),
    ("the",),
    ("in",),
    ("around", "the"),
    ("by", "the"),
    ("for",),
    ("sometime", "in", "the"),
    ("sometime",),
    ("on",),
    ("at", "around"),
    ("at", "about"),
    ("towards", "the"),
    ("towards",),
    ("through", "the"),
    ("right", "at", "the"),
    ("just",),
    ("straight",),
    ("shortly",),
    ("soon",),
    ("sometime", "around"),
)


def _vague(words: Sequence[str], i: int) -> list[Part]:
    out = []
    for lead in _LEADS:
        if lead and not starts(words, i, lead):
            continue
        for end, hours, twin in named_at(words, i + len(lead)):
            first = words[i + len(lead)]
            # a bare "lunch" or "tea" may be the meal itself, a bare "knocking off" may be the dust
            plain = not lead and end == i + 1 and not first.endswith("time") and first not in ("overnight", "elevenses")
            out.append(Part(end, When(window=hours, twin=twin), 0.3 if plain else 0.0))
    if at_word(words, i) == "this":  # "this lunchtime"
        found = named_at(words, i + 1)
        out += [Part(f.end, When(day=Day(back=0), window=f.window, twin=f.twin)) for f in found]
    if at_word(words, i) in ("late", "early", "end", "the"):
        out += _shaded(words, i)
    out += _throughout(words, i)
    for said in _EARLIER:
        if starts(words, i, said):
            out.append(
                Part(i + len(said), When(day=Day(back=0), window=(_AWAKE, _BED)), 0.3 if len(said) == 1 else 0.0)
            )
    for said in _LATER:
        if starts(words, i, said):
            out.append(Part(i + len(said), When(day=Day(back=0), window=(_AWAKE, _BED)), 0.3))
    return out


#: Words that take the whole of a part of the day, or most of it.
_WHOLE: Final = (
    ("all",),
    ("most", "of", "the"),
    ("half", "the"),
    ("the", "whole"),
    ("all", "through", "the"),
    ("much", "of", "the"),
)


def _throughout(words: Sequence[str], i: int) -> list[Part]:
    """Read "all morning", "most of the afternoon", "all day" as the window that it is."""
    out = []
    for lead in _WHOLE:
        at = i + len(lead)
        if not starts(words, i, lead):
            continue
        if at_word(words, at) in PARTS:
            hours = named_at(["overnight"], 0)[0].window if words[at] == "night" else dayparts().parts[words[at]]
            out.append(Part(at + 1, When(window=hours), 0.2))
        elif at_word(words, at) == "day":
            out.append(Part(at + 1, When(day=Day(back=0)), 0.2))
    return out


def _days_back(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Read "three nights ago", "a couple of mornings back": that part of so many days before."""
    out = []
    for n in numbers_at(words, i, kinds):
        part = at_word(words, n.end).removesuffix("s")
        if part in PARTS and at_word(words, n.end + 1) in ("ago", "back") and n.value in range(1, 31):
            out.append(Part(n.end + 2, _whole(When(day=Day(back=int(n.value), part=part)))))
    return out


def _lately(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Read "in the last hour", "over the past two days": from so long ago until now."""
    lead = next(
        (lead for lead in (("in", "the"), ("within", "the"), ("over", "the"), ("the",)) if starts(words, i, lead)), ()
    )
    at = i + len(lead)
    if not lead or at_word(words, at) not in ("last", "past"):
        return []
    # "the last hour" has lost its article
    plain = [*words[:at], "one", *words[at + 1 :]]
    found = [*vague_lengths_at(words, at + 1, kinds), *vague_lengths_at(plain, at, kinds)]
    return [Part(f.end, When(ago=f.span / 2, spread=(f.span / 2, f.span / 2)), 0.1) for f in found]


def _from_window(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Read "half an hour before lunch": so much before or after the window of a vague hour."""
    out = []
    for end, seconds in lengths_at(words, i, kinds):
        way = SIDES.get(at_word(words, end), 0)
        if not way or not 0 < seconds < 21600 or at_word(words, end) == "to":
            continue
        by = timedelta(seconds=way * seconds)
        for found in named_at(words, end + 1):
            twin = None if found.twin is None else _shifted(found.twin, by)
            out.append(Part(found.end, When(window=_shifted(found.window, by), twin=twin)))
    return out


def _shifted(window: Window, by: timedelta) -> Window:
    start, end = (datetime.combine(date.min + timedelta(days=9), at) + by for at in window)
    return start.time(), end.time()


def _shaded(words: Sequence[str], i: int) -> list[Part]:
    """Read "late yesterday afternoon", "early this morning", "early on tuesday", "end of tomorrow"."""
    if words[i] == "the" and at_word(words, i + 1) != "end":
        return []
    if starts(words, i, ("end", "of")) or starts(words, i, ("the", "end", "of")):
        start = i + 2 + (words[i] == "the")
        ends = named_at(["end", "of", "the", "day"], 0)[0].window
        return [
            Part(end, When(day=day, window=ends))
            for end, day, _ in days_at(words, start, ["word"] * len(words))
            if day.based and day.part is None and day.days == 1
        ]
    shade = words[i]
    at = i + 1 + (at_word(words, i + 1) in ("on", "in") and at_word(words, i + 2) != "the")
    out = []
    for end, day, doubt in days_at(words, at, ["word"] * len(words)):
        if day.days > 1 or doubt > 0.5 or not day.based:
            continue
        found = named_at([shade, day.part or "day"], 0)
        if found:
            out.append(Part(end, When(day=day, window=found[0].window)))
    return out
