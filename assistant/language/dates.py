"""Days and dates as people say them: "yesterday afternoon", "friday week", "the 14th of march"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from typing import Final, NamedTuple

from assistant.language.daypart import PARTS, Said, dayparts
from assistant.language.numbers import SMALL, numbers_at, ordinals_at
from assistant.language.when import Day

WEEKDAYS: Final = {
    "monday": 0, "tuesday": 1, "wednesday": 2, "thursday": 3, "friday": 4, "saturday": 5, "sunday": 6,
    "mon": 0, "tue": 1, "tues": 1, "wed": 2, "thu": 3, "thur": 3, "thurs": 3, "fri": 4, "sat": 5, "sun": 6,
    "mondays": 0, "tuesdays": 1, "wednesdays": 2, "thursdays": 3, "fridays": 4, "saturdays": 5, "sundays": 6,
}  # fmt: skip
MONTHS: Final = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip
MONTH_WORDS: Final = {m: m for m in MONTHS} | {m[:3]: m for m in MONTHS} | {"sept": "september"}
#: Years that a job can lie in.
_YEARS: Final = range(1900, 2200)
_SHORT: Final = frozenset(["sat", "sun", "wed", "mon", "fri", "thu", "tue"])


class DayFound(NamedTuple):
    """A day: tokens up to ``end``, what was said, and a doubt from 0."""

    end: int
    day: Day
    doubt: float = 0.0


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


_WEEKS: Final = {"week": 1, "fortnight": 2}


@cache
def _fixed_days() -> dict[Said, Day]:
    return {said: Day(**fields) for said, fields in dayparts().days.items()}


@cache
def first_words() -> frozenset[str]:
    """Give the words that days with names of their own begin with."""
    return frozenset(said[0] for said in _fixed_days())


def days_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[DayFound]:
    """Give every day that starts at token ``i``, the longest first."""
    the = i + (_at(words, i) in ("the", "over") and _at(words, i + 1) != "the")
    out = [*_iso(words, i, kinds), *_counted(words, i), *_weekday(words, i)]
    if _at(words, the) in first_words():
        out += _fixed(words, the)
    out += _part_alone(words, i)
    out += _dates(words, i, kinds)
    return sorted(out, key=lambda f: (-f.end, f.doubt))


def _fixed(words: Sequence[str], i: int) -> list[DayFound]:
    for n in (3, 2, 1):
        day = _fixed_days().get(tuple(words[i : i + n]))
        if day is not None and i + n <= len(words):
            out = [DayFound(i + n, day)]
            if day.part is None and day.days == 1:
                out += _parted(words, out[0])
            if n == 1 and _at(words, i + 1) in _WEEKS:  # "tomorrow week", "today fortnight"
                out.append(DayFound(i + 2, day._replace(weeks=_WEEKS[words[i + 1]])))
            return out
    return []


def _parted(words: Sequence[str], one: DayFound) -> list[DayFound]:
    at = one.end
    for lead in (("in", "the"), ("during", "the"), ("at",), ()):
        if tuple(words[at : at + len(lead)]) == lead and _at(words, at + len(lead)) in PARTS:
            if lead and lead != ("at",) and words[at + 2] == "night":
                continue  # "yesterday in the night" is the vague hours of that name
            return [DayFound(at + len(lead) + 1, one.day._replace(part=words[at + len(lead)]), one.doubt)]
    return []


def _iso(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[DayFound]:
    if kinds[i : i + 1] != ["iso"]:
        return []
    try:
        said = date.fromisoformat(words[i])
    except ValueError:
        return []
    return [DayFound(i + 1, Day(date=said))] if said.year in _YEARS else []


#: Words before a weekday, and which of them it then is.
_LEADS: Final[dict[Said, int]] = {
    ("this", "coming"): 0, ("this", "past"): -1, ("last",): -1, ("next",): 1, ("this",): 0, ("past",): -1, ("on",): 0,
    ("coming",): 0, ("the",): 0,
}  # fmt: skip


def _weekday(words: Sequence[str], i: int) -> list[DayFound]:
    """Read "last tuesday", "tuesday of next week", "friday week", "the friday after next", "tuesday evening"."""
    lead, at, the = 0, i, _at(words, i) == "the"
    named = False
    for said, nth in _LEADS.items():
        if tuple(words[i : i + len(said)]) == said and _at(words, i + len(said)) in WEEKDAYS:
            lead, at, named = nth, i + len(said), said != ("the",)
            break
    weeks = {"last": -1, "next": 1, "this": 0}
    if _at(words, i) in weeks and tuple(words[i + 1 : i + 3]) == ("week", "'s") and _at(words, i + 3) in WEEKDAYS:
        one = DayFound(i + 4, Day(weekday=WEEKDAYS[words[i + 3]], week=weeks[words[i]]))  # "last week's sunday"
        return [one, *_parted(words, one)]
    if _at(words, at) not in WEEKDAYS:
        return []
    doubt = 0.5 if words[at] in _SHORT and not named else 0.0
    out = [DayFound(at + 1, Day(weekday=WEEKDAYS[words[at]], nth=lead), doubt)]
    after = at + 1
    for n in range(1, 6):
        change = dayparts().day_tails.get(tuple(words[after : after + n]))
        if change is not None and after + n <= len(words):
            out.append(DayFound(after + n, out[0].day._replace(**change)))
    if the and len(out) == 1 and not named:
        out[0] = out[0]._replace(doubt=0.1)
    return out + [f for one in list(out) for f in _parted(words, one)]


def _counted(words: Sequence[str], i: int) -> list[DayFound]:
    """Read "a week last tuesday", "a week on friday", "two weeks tomorrow"."""
    many, at = 0, i
    if _at(words, i) in ("a", "one") and _at(words, i + 1) in _WEEKS:
        many, at = _WEEKS[words[i + 1]], i + 2
    elif 1 < SMALL.get(_at(words, i), 0) < 9 and _at(words, i + 1) == "weeks":
        many, at = SMALL[words[i]], i + 2
    if not many:
        return []
    at += _at(words, at) == "ago" or (_at(words, at) == "from" and _at(words, at + 1) != "now")
    ago = _at(words, at - 1) == "ago"
    out = []
    for one in (*_weekday(words, at), *(_fixed(words, at) if _at(words, at) in first_words() else [])):
        day = one.day
        if day.weeks or day.week is not None or day.days > 1:
            continue
        behind = ago or day.nth < 0 or (day.back or 0) > 0
        # "a week ago tuesday" is the tuesday of a week before the last
        out.append(DayFound(one.end, day._replace(weeks=-many if behind else many), one.doubt))
    return out


def _part_alone(words: Sequence[str], i: int) -> list[DayFound]:
    for lead in (("in", "the"), ("during", "the"), ("through", "the"), ("of", "an"), ("of", "a"), ("the",)):
        at = i + len(lead)
        if tuple(words[i:at]) == lead and _at(words, at) in PARTS and words[at] != "night":
            return [DayFound(at + 1, Day(part=words[at]), 0.0 if len(lead) == 2 else 0.3)]
    if _at(words, i) == "at" and _at(words, i + 1) == "night":
        return [DayFound(i + 2, Day(part="night"))]
    return [DayFound(i + 1, Day(part=words[i]), 0.8)] if _at(words, i) in PARTS[:3] else []


# -- dates -------------------------------------------------------------------------------------


def _dates(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[DayFound]:
    start = i
    i += _at(words, i) in ("on", "the")
    i += _at(words, i) == "the" and i > start
    written = _figures(words, start, i, kinds)
    if written:
        return written
    month, day, year, end = "", 0, "", i
    said: list[str] = []  # in the order said, its numbers in figures
    while end < len(words):
        at = end + (_at(words, end) in (",", "of", "the") and bool(month or day))
        at += _at(words, at) == "the" and at > end
        number, stop = (0, at) if day else _day_number(words, at, kinds)
        if not month and _at(words, at) in MONTH_WORDS:
            month, end = MONTH_WORDS[words[at]], at + 1
            said.append(month)
        elif number and not year:
            day, end = number, stop
            said.append(str(day))
        elif not year and month and kinds[at : at + 1] == ["number"] and len(words[at]) == 4 and words[at].isdecimal():
            year, end = words[at], at + 1
            said.append(year)
        else:
            break
        if not month and not (day and _month_near(words, end)):
            break  # a lone number is no date unless a month follows
    if month and day:
        text = " ".join([*said, *([] if year else ["2000"])])  # 2000 marks a year that was not said
        known = _parsed(text, {day, int(year or 2000)}, MONTHS.index(month) + 1)
        return [DayFound(end, Day(date=known))] if known else []
    return _day_of_month(words, start, i, kinds)


def _month_near(words: Sequence[str], at: int) -> bool:
    at += _at(words, at) in ("of", ",")
    return _at(words, at) in MONTH_WORDS


def _day_of_month(words: Sequence[str], start: int, i: int, kinds: Sequence[str]) -> list[DayFound]:
    """Read "on the 14th", "the 3rd": year 1 marks the month as open."""
    ordinal = ordinals_at(words, i, kinds)
    lead = tuple(words[start:i])
    if not ordinal:
        value, end = _day_number(words, i, kinds)
        if lead[:1] != ("on",) or kinds[i : i + 1] != ["number"] or not value:
            return []
        return [DayFound(end, Day(date=date(1, 1, value)), 0.2 if lead == ("on", "the") else 1.2)]
    day, end = int(ordinal[0].value), ordinal[0].end
    if not 1 <= day <= 31 or _at(words, end) in ("coat", "coats", "layer", "one", "time"):
        return []
    if "the" in lead:
        # "on the 12th" is a day, "on the second" may be a coat
        named = lead[0] == "on" and (kinds[i : i + 1] == ["ordinal"] or day > 10)
        return [DayFound(end, Day(date=date(1, 1, day)), 0.0 if named else 1.5)]
    return [DayFound(end, Day(date=date(1, 1, day)), 1.8)] if kinds[i : i + 1] == ["ordinal"] else []


def _day_number(words: Sequence[str], i: int, kinds: Sequence[str]) -> tuple[int, int]:
    word = _at(words, i)
    if word[:1] == "." and word[1:].isdecimal() and _at(words, i - 1) in MONTH_WORDS and 1 <= int(word[1:]) <= 31:
        return int(word[1:]), i + 1  # "Oct.23"
    for n in (*ordinals_at(words, i, kinds), *numbers_at(words, i, kinds)):
        if n.value == int(n.value) and 1 <= n.value <= 31:
            return int(n.value), n.end
    return 0, i


def _figures(words: Sequence[str], start: int, i: int, kinds: Sequence[str]) -> list[DayFound]:
    """Read "21/4/2026", "21-4-2026", "21.4.2026", "2026-4-21" and, after "on", "21/4".

    The day comes first unless it can only be the month, or the year comes first.
    """
    if kinds[i : i + 1] == ["fraction"]:
        numbers = words[i].split("/")
        if _at(words, i + 1) == "/" and kinds[i + 2 : i + 3] == ["number"] and len(words[i + 2]) in (2, 4):
            return _dated([*numbers, words[i + 2]], i + 3, 0.0)
        return _dated([*numbers, "2000"], i + 1, 0.2) if start < i and words[start] == "on" else []
    if kinds[i : i + 1] == ["number"] and kinds[i + 1 : i + 2] == ["number"] and words[i + 1][:1] == ".":
        return _dated([*words[i].split("."), words[i + 1][1:]], i + 2, 0.0)
    if list(kinds[i : i + 3]) == ["number"] * 3 and 4 in (len(words[i]), len(words[i + 2])):
        return _dated(list(words[i : i + 3]), i + 3, 0.2)  # the dashes are no tokens
    return []


def _dated(numbers: list[str], end: int, doubt: float) -> list[DayFound]:
    if len(numbers) != 3 or not all(n.isdecimal() and len(n) in (1, 2, 4) for n in numbers):
        return []
    if len(numbers[2]) == 2 and len(numbers[0]) != 4:
        numbers[2] = "20" + numbers[2]
    if sum(len(n) == 4 for n in numbers) != 1 or len(numbers[1]) == 4:
        return []
    if len(numbers[0]) == 4:
        numbers.reverse()
    known = _parsed("/".join(numbers), {int(n) for n in numbers})
    return [DayFound(end, Day(date=known), doubt)] if known else []


def _parsed(text: str, numbers: set[int], month: int = 0) -> date | None:
    """Have a date read; a result that lost a number, or the month, is thrown away."""
    import dateparser  # 110 ms, so only for a phrase that holds a date in words or figures

    parsed = dateparser.parse(text, languages=["en"], settings={"DATE_ORDER": "DMY", "STRICT_PARSING": True})
    if parsed is None or parsed.year not in _YEARS:
        return None
    if numbers - {parsed.day, parsed.month, parsed.year} or (month and parsed.month != month):
        return None
    return parsed.date() if parsed.day in numbers else None
