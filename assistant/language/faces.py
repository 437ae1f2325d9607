"""The faces of a clock as people say them: "half ten", "ten forty", "20:15", "twenty to", "noon".

Each reading is tokens up to an end, what was said, and a doubt: 0 where a word before it promises a time
or it can be nothing else, 1 for a bare number.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from assistant.language.numbers import SMALL, TENS, UNITS, numbers_at
from assistant.language.when import Clock

_DAYPART_TAILS: Final = (
    (("in", "morning"), "morning"), (("in", "afternoon"), "afternoon"), (("in", "evening"), "evening"),
    (("in", "the", "am"), "morning"), (("in", "the", "pm"), "afternoon"), (("of", "an", "evening"), "evening"),
    (("of", "the", "night"), "night"), (("of", "the", "evening"), "evening"), (("of", "a", "morning"), "morning"),
    (("of", "the", "afternoon"), "afternoon"),
    (("in", "the", "morning"), "morning"), (("in", "the", "afternoon"), "afternoon"),
    (("in", "the", "evening"), "evening"), (("at", "night"), "night"), (("in", "the", "night"), "night"),
    (("of", "the", "morning"), "morning"), (("am",), "morning"), (("pm",), "afternoon"),
    (("a", "m"), "morning"), (("p", "m"), "afternoon"),
)  # fmt: skip


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def _two(hour: int) -> tuple[int, ...]:
    return (hour % 12, hour % 12 + 12) if 1 <= hour <= 12 else (hour,)


def tail_at(words: Sequence[str], end: int) -> tuple[int, str | None]:
    """Read "in the morning", "pm" after a clock time: where it ends, and the part of the day."""
    for tail, part in _DAYPART_TAILS:
        if tuple(words[end : end + len(tail)]) == tail:
            return end + len(tail), part
    return end, None


def in_part(clock: Clock, part: str) -> Clock:
    """Give ``clock`` as it is in a part of the day: seven in the evening is 19."""
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


def faces_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, Clock, float]]:
    """Give every clock time that starts at token ``i``, as its end, what was said and its doubt."""
    word, kind = _at(words, i), kinds[i] if i < len(kinds) else ""
    if word == "mid" and _at(words, i + 1) in ("day", "night"):
        return faces_at([*words[: i + 1], f"mid{words[i + 1]}", *words[i + 2 :]], i + 1, kinds)
    if word in ("noon", "midday"):
        return [(i + 1, Clock((12,)), 0.0)]
    if word == "midnight":
        return [(i + 1, Clock((0,), 0, rolls=True), 0.0)]
    if word in ("twelve", "12") and _at(words, i + 1) in ("noon", "midday", "midnight", "mid"):
        return faces_at(words, i + 1, kinds)
    if kind in ("clock", "ratio"):
        return _written(word, i)
    if kind == "number":
        return [*_figures(words, i), *_relative(words, i, kinds)]
    return [*_relative(words, i, kinds), *_spoken(words, i)]


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
    "while",
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
    word, minutes, end, named = _at(words, i), None, i + 1, True
    if tuple(words[i : i + 3]) == ("five", "and", "twenty"):  # as grandfather said it
        minutes, end = 25, i + 3
    elif word in ("half", "quarter"):
        minutes = 30 if word == "half" else 15
    else:
        for n in numbers_at(words, i, kinds):
            rest = n.end + (_at(words, n.end) in ("minutes", "minute", "mins", "min"))
            if 1 <= n.value <= (30 if rest > n.end else 29) and n.value == int(n.value) and _at(words, rest) in _SIDES:
                minutes, end = int(n.value), rest
                named = rest > n.end or minutes % 5 == 0
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
        # "two to one" is a ratio before it is two minutes to one, "eight till ten" two hours
        plain = named and words[end] in ("to", "before")
        return [(at + 1, Clock(tuple((h - 1) % 24 for h in hours), 60 - minutes), 0.0 if plain else 0.5)]
    return [(at + 1, Clock(hours, minutes), (0.0 if named else 0.5) if side else 0.02)]


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
