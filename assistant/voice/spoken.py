"""A written reply as a person would say it: "12 ml at 16:10" becomes "twelve mil at ten past four".

Only figures, units and clock times change. Numbers come out in words, so that every engine says them alike
and a reply can be heard back in a test.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Final

_ONES: Final = [
    "nought",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS: Final = ["", "_", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_ORDINALS: Final = {
    "one": "first", "two": "second", "three": "third", "five": "fifth", "eight": "eighth", "nine": "ninth",
    "twelve": "twelfth",
}  # fmt: skip
_MONTHS: Final = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
_DAYS: Final = {d[:3]: d for d in ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]}

#: Unit as written: (said of one, said of many).
_UNITS: Final = {
    "ml": ("mil", "mil"), "l": ("litre", "litres"), "L": ("litre", "litres"), "g": ("gram", "grams"),
    "kg": ("kilo", "kilos"), "um": ("micron", "microns"), "µm": ("micron", "microns"), "μm": ("micron", "microns"),
    "mm": ("millimetre", "millimetres"), "m2": ("square metre", "square metres"),
    "m²": ("square metre", "square metres"), "°C": ("degree", "degrees"), "degC": ("degree", "degrees"),
    "°": ("degree", "degrees"), "°F": ("degree Fahrenheit", "degrees Fahrenheit"), "K": ("degree", "degrees"),
    "%": ("percent", "percent"), "percent": ("percent", "percent"), "min": ("minute", "minutes"),
    "h": ("hour", "hours"), "d": ("day", "days"), "s": ("second", "seconds"),
}  # fmt: skip
_UNIT: Final = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_NUMBER: Final = r"\d+(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?"


def said(text: str) -> str:
    """Give ``text`` as it is to be spoken."""
    for pattern, spoken in _RULES:
        text = pattern.sub(spoken, text)
    text = re.sub(r"\s*\(([^()]*)\)", r", \1", text)  # brackets are a pause
    text = re.sub(r"[*_`#]|(?<=\s)[•-](?=\s)", "", text)
    return re.sub(r"\s+([.,;:?!])", r"\1", " ".join(text.split()))


def cardinal(number: int) -> str:
    """Give 0 to 999,999 in words, as said: "two hundred and forty"."""
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f" {_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        return f"{_ONES[hundreds]} hundred" + (f" and {cardinal(rest)}" if rest else "")
    if number < 1_000_000:
        thousands, rest = divmod(number, 1000)
        link = " and " if 0 < rest < 100 else " "
        return f"{cardinal(thousands)} thousand" + (f"{link}{cardinal(rest)}" if rest else "")
    return " ".join(_ONES[int(d)] for d in str(number))


def ordinal(number: int) -> str:
    """Give "first", "twenty second"."""
    *head, last = cardinal(number).split()
    ending = _ORDINALS.get(last) or (last[:-1] + "ieth" if last.endswith("y") else last + "th")
    return " ".join([*head, ending])


def number(text: str) -> str:
    """Give digits, perhaps with a decimal point, in words."""
    whole, _, part = text.replace(",", "").partition(".")
    part = part.rstrip("0") if part else ""
    words = " ".join(_ONES[int(d)] for d in whole) if len(whole) > 1 and whole[0] == "0" else cardinal(int(whole))
    return words + (f" point {' '.join(_ONES[int(d)] for d in part)}" if part else "")


def clock(hour: int, minute: int) -> str:
    """Give a time of day as it is said; the hour is 0 to 23."""
    if minute == 0 and hour in (0, 12):
        return "midnight" if hour == 0 else "noon"
    this, following = (cardinal((h - 1) % 12 + 1) for h in (hour, hour + 1))
    if minute == 0:
        return f"{this} o'clock"
    names = {15: "quarter", 30: "half"}
    if minute == 30 or (minute < 30 and minute % 5 == 0):
        return f"{names.get(minute) or cardinal(minute)} past {this}"
    if minute % 5 == 0:
        return f"{names.get(60 - minute) or cardinal(60 - minute)} to {following}"
    return f"{this} {'oh ' if minute < 10 else ''}{cardinal(minute)}"


def _clock(m: re.Match[str]) -> str:
    return clock(int(m[1]), int(m[2]))


def _ratio(m: re.Match[str]) -> str:
    return " to ".join(number(part) for part in m[0].split(":"))


def _date(m: re.Match[str]) -> str:
    return f"the {ordinal(int(m[3]))} of {_MONTHS[int(m[2]) - 1]}"


def _day(m: re.Match[str]) -> str:
    return f"the {ordinal(int(m[1]))} of {next(name for name in _MONTHS if name.startswith(m[2]))}"


def _range(m: re.Match[str]) -> str:
    many = _UNITS[m[3]][1] if m[3] else ""
    return f"{_signed(m[1])} to {_signed(m[2])} {many}".strip()


def _measure(m: re.Match[str]) -> str:
    return f"{_signed(m[1])} {_UNITS[m[2]][0 if m[1] in ('1', '-1') else 1]}"


def _signed(text: str) -> str:
    return f"minus {number(text[1:])}" if text[0] in "-−" else number(text)


def _grade(m: re.Match[str]) -> str:
    """Read a letter and a figure ("P240") as letter and figure, the hundreds by themselves."""
    value = int(m[2])
    hundreds, rest = divmod(value, 100)
    spoken = f"{cardinal(hundreds)} {cardinal(rest)}" if 0 < hundreds < 10 <= rest else cardinal(value)
    return f"{m[1]} {spoken}"


_RULES: Final[list[tuple[re.Pattern[str], Callable[[re.Match[str]], str] | str]]] = [
    (re.compile(r"(?<=\d)T(?=\d\d:)"), " "),
    (re.compile(r"\b(\d{4})-(0[1-9]|1[0-2])-(\d\d)\b"), _date),
    (re.compile(rf"\b(\d{{1,2}}) ({'|'.join(m[:3] for m in _MONTHS)})[a-z]*\b"), _day),
    (re.compile(r"\b(Mon|Tues?|Wed|Thu(?:rs?)?|Fri|Sat|Sun)\b"), lambda m: _DAYS[m[1][:3]]),
    (re.compile(r"\b([01]\d|2[0-3]):([0-5]\d)(?::[0-5]\d)?\b(?!:)"), _clock),
    (re.compile(r"\b\d+(?:\.\d+)?(?::\d+(?:\.\d+)?)+\b"), _ratio),
    (re.compile(rf"(?<![\w.])({_NUMBER})\s*[-–]\s*({_NUMBER})\s*(?:({_UNIT})(?![\w²]))?"), _range),
    (re.compile(rf"(?<![\w.])([-−]?(?:{_NUMBER}))\s*({_UNIT})(?![\w²])"), _measure),
    (re.compile(r"\b(\d+)(?:st|nd|rd|th)\b"), lambda m: ordinal(int(m[1]))),
    (re.compile(r"\b([A-Z])(\d{2,4})\b"), _grade),
    (re.compile(rf"(?<![\w.])[-−]({_NUMBER})"), lambda m: f"minus {number(m[1])}"),
    (re.compile(rf"(?<!\w)(?:{_NUMBER})(?!\w)"), lambda m: number(m[0])),
    (re.compile(r"\bm/s\b"), "metres a second"),
    (re.compile(r"\s*=\s*"), " is "),
    (re.compile(r"\s*[/]\s*(?=\w)"), " or "),
    (re.compile(r"\s*[+]\s*"), " and "),
    (re.compile(r"%"), " percent"),
]
