"""Numbers as people say and write them.

Every reading that starts at a place is given, the longest first, because "two forty five" may be
245 or 240 and a 5 that belongs to what follows; the frame decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Final, NamedTuple

from assistant.language.tokens import Token, tokens

UNITS: Final = {
    "zero": 0, "nought": 0, "naught": 0, "nil": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6,
    "seven": 7, "eight": 8, "nine": 9,
}  # fmt: skip
TEENS: Final = {
    "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
    "seventeen": 17, "eighteen": 18, "nineteen": 19,
}  # fmt: skip
TENS: Final = {
    "twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
ORDINALS: Final = {
    "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "sixth": 6, "seventh": 7, "eighth": 8,
    "ninth": 9, "tenth": 10, "eleventh": 11, "twelfth": 12, "thirteenth": 13, "fourteenth": 14,
    "fifteenth": 15, "sixteenth": 16, "seventeenth": 17, "eighteenth": 18, "nineteenth": 19,
    "twentieth": 20, "thirtieth": 30, "fortieth": 40, "fiftieth": 50, "sixtieth": 60, "seventieth": 70,
    "eightieth": 80, "ninetieth": 90, "hundredth": 100, "thousandth": 1000,
}  # fmt: skip
FRACTIONS: Final = {
    "half": 0.5, "quarter": 0.25, "quarters": 0.25, "third": 1 / 3, "thirds": 1 / 3, "fifth": 0.2,
    "fifths": 0.2, "tenth": 0.1, "tenths": 0.1, "eighth": 0.125, "eighths": 0.125, "halves": 0.5,
    "fourth": 0.25, "fourths": 0.25, "sixth": 1 / 6, "sixths": 1 / 6, "ninth": 1 / 9, "ninths": 1 / 9,
}  # fmt: skip
SMALL: Final = {**UNITS, **TEENS, **TENS}
#: Every word a number is made of, for spelling and for speech.
WORDS: Final = frozenset(
    {*SMALL, *ORDINALS, *FRACTIONS, "hundred", "thousand", "million", "dozen", "couple", "point", "oh"}
)


class Number(NamedTuple):
    """A reading: tokens up to ``end``, its value, whether it was said in hundreds like a grit ("two forty")."""

    end: int
    value: float
    clipped: bool = False


def numbers_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Number]:
    """Give every number that starts at ``i``, longest first; ``kinds`` are the tokens' kinds."""
    found: dict[int, Number] = {}
    for number in (*_digits(words, i, kinds), *_spoken(words, i), *_shares(words, i)):
        found.setdefault(number.end, number)
    return sorted(found.values(), key=lambda n: -n.end)


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


#: What a figure is multiplied by when this follows it.
_SCALES: Final = {"hundred": 100, "thousand": 1000, "k": 1000, "dozen": 12, "dozens": 12}


def _digits(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Number]:
    kind = kinds[i] if i < len(kinds) else ""
    if kind == "fraction":
        over, under = words[i].split("/")
        return [Number(i + 1, int(over) / int(under))] if int(under) else []
    if kind != "number":
        return []
    text = words[i]
    # "1,500" is fifteen hundred; "2,5" is two and a half as much of Europe writes it
    head, comma, tail = text.rpartition(",")
    value = float(text.replace(",", "") if comma and len(tail) == 3 and head != "0" else text.replace(",", "."))
    if not isfinite(value):
        return []  # hundreds of digits: no number, so a word that nothing explains
    out = [Number(i + 1, value)]
    if _at(words, i + 1) in _SCALES:
        out.append(Number(i + 2, value * _SCALES[words[i + 1]]))
    out.extend(_point(words, i + 1, value) if value == int(value) and value >= 0 else [])  # "1 point 1"
    if _at(words, i + 1) in FRACTIONS and _at(words, i + 1) != "fourth" and value < 20:  # "3 tenths of a"
        share = Number(i + 2, value * FRACTIONS[words[i + 1]])
        out.append(share)
        if tuple(words[i + 2 : i + 4]) in (("of", "a"), ("of", "an")):
            out.append(Number(i + 4, share.value))
    out.extend(Number(more.end, value + more.value) for more in _and_share(words, i + 1))
    if i + 1 < len(kinds) and kinds[i + 1] == "fraction":
        out.extend(Number(f.end, value + f.value) for f in _digits(words, i + 1, kinds))
    return out


_PARTS: Final = frozenset(["half", "quarter", "third", "fourth", "fifth", "tenth", "eighth"])


def _and_share(words: Sequence[str], i: int) -> list[Number]:
    # "... and a half", "... and three quarters"
    if _at(words, i) != "and":
        return []
    i += 1
    if _at(words, i) in ("a", "one") and _at(words, i + 1) in _PARTS:
        return [Number(i + 2, FRACTIONS[words[i + 1]])]
    if _at(words, i) == "half":
        return [Number(i + 1, 0.5)]
    if _at(words, i) in UNITS and _at(words, i + 1) in FRACTIONS:
        return [Number(i + 2, UNITS[words[i]] * FRACTIONS[words[i + 1]])]
    return []


def _under_hundred(words: Sequence[str], i: int) -> list[Number]:
    word = _at(words, i)
    if word in TENS:
        tail = _at(words, i + 1)
        out = [Number(i + 1, TENS[word])]
        if UNITS.get(tail):
            out.insert(0, Number(i + 2, TENS[word] + UNITS[tail]))
        return out
    return [Number(i + 1, SMALL[word])] if word in SMALL else []


def _spoken(words: Sequence[str], i: int) -> list[Number]:
    start = i
    if _at(words, i) in ("minus", "negative"):
        return [Number(n.end, -n.value) for n in (*_spoken(words, i + 1), *_plain_digits(words, i + 1))]
    if _at(words, i) in ("a", "one", "an") and _at(words, i + 1) in (
        "hundred",
        "thousand",
        "dozen",
        "couple",
    ):
        i += 1
    word = _at(words, i)
    if word == "dozen" and i > start:
        return [Number(i + 1, 12)]
    if word in UNITS and _at(words, i + 1) in ("dozen", "dozens"):
        return [Number(i + 2, 12 * UNITS[word])]
    if word == "couple" and (i > start or _at(words, i + 1) == "of"):
        return [Number(i + 1 + (_at(words, i + 1) == "of"), 2)]
    if word in ("hundred", "thousand"):
        heads = _scaled(words, [Number(i, 1)]) if i > start else []
        shares = [Number(s.end, n.value + s.value) for n in heads for s in _and_share(words, n.end)]
        return heads + shares + [p for n in heads for p in _point(words, n.end, n.value)]
    if word == "point" and _at(words, i - 1) == "dew":
        return []
    if word == "point" or (word == "oh" and _at(words, i + 1) == "point"):
        return _point(words, i + (word == "oh"), 0)
    small = _under_hundred(words, i)
    out: list[Number] = list(small)
    out.extend(_scaled(words, small))
    for n in list(out):
        out.extend(_point(words, n.end, n.value))
    for n in small:
        out.extend(_clipped(words, n))
    for n in list(out):
        out.extend(Number(s.end, n.value + s.value) for s in _and_share(words, n.end))
    return out


def _plain_digits(words: Sequence[str], i: int) -> list[Number]:
    word = _at(words, i)
    return [Number(i + 1, float(word))] if word.replace(".", "", 1).isdecimal() else []


def _scaled(words: Sequence[str], heads: list[Number]) -> list[Number]:
    # two hundred [and] forty five, two thousand [five hundred] [and ten], a hundred [and twenty] thousand
    out: list[Number] = []
    for n in [h for head in heads if _at(words, head.end) == "hundred" for h in _scaled_once(words, [head])]:
        if _at(words, n.end) == "thousand":
            out.extend(_scaled_once(words, [n]))
    return out + _scaled_once(words, heads)


def _scaled_once(words: Sequence[str], heads: list[Number]) -> list[Number]:
    out: list[Number] = []
    for head in heads:
        scale = {"hundred": 100, "thousand": 1000}.get(_at(words, head.end))
        if not scale:
            continue
        value, end = head.value * scale, head.end + 1
        out.append(Number(end, value))
        if scale == 1000:
            out.extend(Number(h.end, value + h.value) for h in _scaled(words, _under_hundred(words, end)))
        rest = end + (_at(words, end) == "and")
        out.extend(Number(n.end, value + n.value) for n in _under_hundred(words, rest) if n.value > 0)
    return out


def _clipped(words: Sequence[str], head: Number) -> list[Number]:
    # "two forty", "three twenty", "one fifty", "four hundred" without the hundred: grits and mils
    if not 1 <= head.value <= 19:
        return []
    out = [
        Number(n.end, head.value * 100 + n.value, clipped=True)
        for n in _under_hundred(words, head.end)
        if 10 <= n.value <= 99
    ]
    if _at(words, head.end) == "oh" and UNITS.get(_at(words, head.end + 1)):
        out.append(Number(head.end + 2, head.value * 100 + UNITS[words[head.end + 1]], clipped=True))
    return out


def _point(words: Sequence[str], i: int, whole: float) -> list[Number]:
    if _at(words, i) != "point":
        return []
    digits = ""
    end = i + 1
    while _at(words, end) in UNITS or _at(words, end) == "oh":
        digits += "0" if words[end] == "oh" else str(UNITS[words[end]])
        end += 1
    if not digits and _at(words, end) in SMALL:
        digits, end = str(SMALL[words[end]]), end + 1
    if not digits and _at(words, end).isdecimal():
        digits, end = words[end], end + 1
    return [Number(end, float(f"{int(whole)}.{digits}"))] if digits else []


_SHARES: Final = frozenset(["half", "quarter", "third", "fifth", "tenth", "eighth"])


def _shares(words: Sequence[str], i: int) -> list[Number]:
    # half [a], a quarter [of a], three quarters [of a], half a dozen
    start = i
    if _at(words, i) in ("a", "one", "the") and _at(words, i + 1) in _SHARES:
        i += 1
    count = UNITS.get(_at(words, i), 0) if _at(words, i + 1) in FRACTIONS else 0
    if count and words[i + 1].endswith("s"):
        value, end = count * FRACTIONS[words[i + 1]], i + 2
    elif _at(words, i) in ("half", "quarter") or (i > start and words[i] in ("third", "fifth", "tenth", "eighth")):
        value, end = FRACTIONS[words[i]], i + 1
    else:
        return []
    out = [Number(end, value)]
    rest = end + (_at(words, end) == "of")
    if _at(words, rest) in ("a", "an"):
        if _at(words, rest + 1) == "dozen":
            out.append(Number(rest + 2, value * 12))
        elif _at(words, rest + 1) == "hundred":
            out.append(Number(rest + 2, value * 100))
        else:
            out.append(Number(rest + 1, value))
    return out


_JOINED: Final = {ten + one: TENS[ten] + n for ten in TENS for one, n in ORDINALS.items() if n < 10}  # "twentyfifth"


def ordinals_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Number]:
    """Give the ordinals ("second", "2nd", "twenty first") that start at ``i``, longest first."""
    if i < len(kinds) and kinds[i] == "ordinal":
        return [Number(i + 1, int(words[i][:-2]))]
    word = _at(words, i)
    if word in ORDINALS:
        return [Number(i + 1, ORDINALS[word])]
    if word in _JOINED:
        return [Number(i + 1, _JOINED[word])]
    if word in TENS and ORDINALS.get(_at(words, i + 1), 99) < 10:
        return [Number(i + 2, TENS[word] + ORDINALS[words[i + 1]])]
    out = [
        Number(head.end + 1, head.value * ORDINALS[words[head.end]])
        for head in _under_hundred(words, i)
        if _at(words, head.end) in ("hundredth", "thousandth")
    ]
    for n in _scaled(words, _under_hundred(words, i)):
        rest = n.end + (_at(words, n.end) == "and")
        if n.value % 100 == 0:
            out.extend(Number(o.end, n.value + o.value) for o in ordinals_at(words, rest, kinds) if o.value < 100)
    return out


def _cut(text: str) -> tuple[list[str], list[str]]:
    cut: list[Token] = [t for t in tokens(text) if t.text != "-"]
    return [t.text for t in cut], [t.kind for t in cut]


def number(text: str) -> float | None:
    """Read ``text`` as one number and nothing else, or None."""
    words, kinds = _cut(text)
    return next((n.value for n in numbers_at(words, 0, kinds) if n.end == len(words)), None)


def ordinal(text: str) -> int | None:
    """Read ``text`` as one ordinal and nothing else, or None."""
    words, kinds = _cut(text)
    if words[:1] == ["the"]:
        words, kinds = words[1:], kinds[1:]
    return next((int(o.value) for o in ordinals_at(words, 0, kinds) if o.end == len(words)), None)
