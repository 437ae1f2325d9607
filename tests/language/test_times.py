"""Whole expressions of time, vague times and spans, against what a person in London means by them.

What a vague time spans is common practice, no source; the rest is the public interface's rule: something done was at
its latest occurrence not after now, something to come is at its next, and the middle of a window stands for it.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import chain

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from assistant.language.clock import moment, said_when
from assistant.language.merging import merge
from assistant.language.periods import Bound, Edge, Kind, Range, following, period
from assistant.language.timeparts import time_words
from assistant.language.times import Found, all_chunks, chunks_at
from assistant.language.tokens import tokens
from assistant.language.when import When, resolve, window
from language.clocks import TIME_WORDS, WEDNESDAY, meant, moments, t


def chunks(said: str) -> list[Found]:
    """All that is read from the first word of ``said``."""
    cut = tokens(said)
    return chunks_at([token.text for token in cut], 0, [token.kind for token in cut])


def whole(said: str, tag: str) -> Found:
    """What is read from all words of ``said``, the least doubtful."""
    found = [f for f in chunks(said) if f.end == len(tokens(said)) and f.tag == tag]
    assert found, (said, chunks(said))
    return min(found, key=lambda f: f.doubt)


def when(said: str) -> When:
    value = whole(said, "when").value
    assert isinstance(value, When)
    return value


VAGUE = [
    # said at two in the afternoon on Wednesday the 18th of March: middle, and both ends (common practice, no source)
    ("mid-morning", "03-18T10:00", "03-18T09:30", "03-18T10:30"),
    ("late morning", "03-18T11:15", "03-18T10:30", "03-18T12:00"),
    ("early afternoon", "03-18T13:15", "03-18T12:30", "03-18T14:00"),
    ("first thing", "03-18T08:00", "03-18T07:00", "03-18T09:00"),
    ("early doors", "03-18T07:30", "03-18T06:30", "03-18T08:30"),
    ("before breakfast", "03-18T06:30", "03-18T05:30", "03-18T07:30"),
    ("after dinner", "03-18T13:30", "03-18T13:00", "03-18T14:00"),  # at two in the afternoon: the midday one
    ("dinnertime", "03-18T12:45", "03-18T12:00", "03-18T13:30"),
    ("tea time", "03-17T17:15", "03-17T16:30", "03-17T18:00"),
    ("in the small hours", "03-18T02:30", "03-18T00:30", "03-18T04:30"),
    ("overnight", "03-18T02:30", "03-17T22:00", "03-18T07:00"),
    ("late last night", "03-17T23:30", "03-17T22:00", "03-18T01:00"),
    ("last night", "03-17T22:00", "03-17T20:00", "03-18T00:00"),
    ("yesterday morning", "03-17T09:00", "03-17T06:00", "03-17T12:00"),
    ("yesterday afternoon at about four", "03-17T16:00", "03-17T15:45", "03-17T16:15"),
    ("the day before yesterday at teatime", "03-16T17:15", "03-16T16:30", "03-16T18:00"),
    ("tuesday around elevenish", "03-17T11:00", "03-17T10:45", "03-17T11:15"),
    ("first thing this morning about seven", "03-18T07:00", "03-18T06:45", "03-18T07:15"),
    ("tennish", "03-18T10:00", "03-18T09:45", "03-18T10:15"),
    ("nineish", "03-18T09:00", "03-18T08:45", "03-18T09:15"),
    ("half tennish", "03-18T10:30", "03-18T10:15", "03-18T10:45"),
    ("about two", "03-18T14:00", "03-18T13:45", "03-18T14:00"),  # nothing done lies after now
    ("getting on for nine", "03-18T08:52", "03-18T08:45", "03-18T09:00"),
    ("just gone nine", "03-18T09:05", "03-18T09:00", "03-18T09:10"),
    ("between nine and ten", "03-18T09:30", "03-18T09:00", "03-18T10:00"),
    ("between eleven and one", "03-18T12:00", "03-18T11:00", "03-18T13:00"),
    ("an hour and a bit ago", "03-18T12:45", "03-18T12:30", "03-18T13:00"),
    ("half an hour or so ago", "03-18T13:30", "03-18T13:22", "03-18T13:38"),
    ("about an hour ago", "03-18T13:00", "03-18T12:45", "03-18T13:15"),
    ("a few minutes back", "03-18T13:57", "03-18T13:56", "03-18T13:58"),
    ("the other day", "03-15T14:00", "03-14T14:00", "03-16T14:00"),
    ("late on tuesday", "03-17T17:30", "03-17T16:00", "03-17T19:00"),
]


@pytest.mark.parametrize(("said", "middle", "start", "end"), VAGUE)
def test_a_vague_time_is_a_window(said: str, middle: str, start: str, end: str) -> None:
    now, of = t(WEDNESDAY), when(said)
    assert window(of, now) == (t(f"2026-{start}"), t(f"2026-{end}"))
    assert resolve(of, now) == t(f"2026-{middle}")


EXACT = [
    ("half ten last night", "2026-03-17T22:30"),
    ("at two this morning", "2026-03-18T02:00"),
    ("quarter past", "2026-03-18T13:15"),
    ("ten past", "2026-03-18T13:10"),
    ("at twenty to", "2026-03-18T13:40"),
    ("12 noon", "2026-03-18T12:00"),
    ("on the hour", "2026-03-18T14:00"),
    ("just now", "2026-03-18T14:00"),
    ("nine sharp", "2026-03-18T09:00"),
    ("ten o'clock at night on sunday", "2026-03-15T22:00"),
    ("12 o'clock lunchtime", "2026-03-18T12:00"),
    ("at four yesterday afternoon", "2026-03-17T16:00"),
    ("yesterday at four in the afternoon", "2026-03-17T16:00"),
    ("21/3/2025 at noon", "2025-03-21T12:00"),
    ("on the 4th of march at three", "2026-03-04T15:00"),
    ("tuesday the 3rd at noon", "2026-03-03T12:00"),
    ("the tuesday before last at noon", "2026-03-10T12:00"),
]


@pytest.mark.parametrize(("said", "at"), EXACT)
def test_an_exact_time_is_one_chunk_and_no_window(said: str, at: str) -> None:
    of = when(said)
    assert window(of, t(WEDNESDAY)) is None
    assert resolve(of, t(WEDNESDAY)) == t(at)


DAYS = [
    # the days that a day's name means, in either direction
    ("a week last tuesday", "past", "2026-03-10", "2026-03-10"),
    ("this time yesterday", "past", "2026-03-17", "2026-03-17"),
    ("on the 3rd", "past", "2026-03-03", "2026-03-03"),
    ("last week", "past", "2026-03-09", "2026-03-15"),
    ("last weekend", "past", "2026-03-14", "2026-03-15"),
    ("friday week", "future", "2026-03-27", "2026-03-27"),
    ("a week on friday", "future", "2026-03-27", "2026-03-27"),
    ("the week after next", "future", "2026-03-30", "2026-04-05"),
    ("tuesday of next week", "future", "2026-03-24", "2026-03-24"),
    ("3 april", "future", "2026-04-03", "2026-04-03"),
    ("at the weekend", "future", "2026-03-21", "2026-03-22"),
]


@pytest.mark.parametrize(("said", "direction", "first", "last"), DAYS)
def test_a_day_with_no_hour_is_a_window_of_days(said: str, direction: str, first: str, last: str) -> None:
    ends = window(when(said), t(WEDNESDAY), direction)
    assert ends is not None
    assert [end.date().isoformat() for end in ends] == [first, last]


def test_overnight_is_the_past_night_or_the_coming_one() -> None:
    morning, of = t("2026-03-18T08:00"), when("overnight")
    assert window(of, morning, "past") == (t("2026-03-17T22:00"), t("2026-03-18T07:00"))
    assert window(of, morning, "future") == (t("2026-03-18T22:00"), t("2026-03-19T07:00"))
    assert window(of, t("2026-03-18T23:00"), "past") == (t("2026-03-17T22:00"), t("2026-03-18T07:00"))


@pytest.mark.parametrize(
    ("now", "middle"),
    [
        ("2026-03-18T08:00", "2026-03-17T20:30"),
        ("2026-03-18T14:30", "2026-03-18T13:45"),
        ("2026-03-18T22:00", "2026-03-18T20:30"),
    ],
)
def test_dinner_is_at_noon_or_in_the_evening_whichever_was_last(now: str, middle: str) -> None:
    assert resolve(when("after dinner"), t(now)) == t(middle)


LENGTHS = [
    ("an hour and a half", 90, None), ("forty minutes", 40, None), ("a couple of hours", 120, None),
    ("half an hour or so", 30, (8, 8)), ("an hour or two", 90, (30, 30)), ("two or three hours", 150, (30, 30)),
    ("nearly an hour", 60, (12, 0)), ("just over an hour", 60, (0, 15)), ("an hour and a bit", 75, (15, 15)),
]  # fmt: skip


@pytest.mark.parametrize(("said", "minutes", "spread"), LENGTHS)
def test_lengths_of_time_and_how_vague_they_are(said: str, minutes: int, spread: tuple[int, int] | None) -> None:
    found = whole(said, "duration")
    assert found.value == timedelta(minutes=minutes)
    assert found.spread == (None if spread is None else tuple(timedelta(minutes=m) for m in spread))


ENDS = [
    ("until seven", "until", Edge.UNTIL, "2026-03-18T19:00"),
    ("till friday", "until", Edge.UNTIL, "2026-03-20T08:00"),
    ("by six", "until", Edge.BY, "2026-03-18T18:00"),
    ("no later than six", "until", Edge.BY, "2026-03-18T18:00"),
    ("before friday", "until", Edge.BEFORE, "2026-03-20T08:00"),
    ("from eight tonight", "from", Edge.FROM, "2026-03-18T20:00"),
    ("from tomorrow morning", "from", Edge.FROM, "2026-03-19T09:00"),
    ("after six tomorrow", "from", Edge.AFTER, "2026-03-19T18:00"),
    ("since nine", "since", Edge.SINCE, "2026-03-18T09:00"),
    ("since yesterday", "since", Edge.SINCE, "2026-03-17T18:00"),
]


@pytest.mark.parametrize(("said", "tag", "edge", "at"), ENDS)
def test_one_end_of_a_time(said: str, tag: str, edge: Edge, at: str) -> None:
    found = whole(said, tag)
    assert isinstance(found.value, Bound)
    assert found.value.edge is edge
    assert found.doubt == 0
    assert resolve(found.value.when, t(WEDNESDAY), "past" if tag == "since" else "future") == t(at)


PERIODS = [
    ("from eight to nine", Kind.PAST, "03-18T08:00", "03-18T09:00"),
    ("eight till ten", Kind.PAST, "03-18T08:00", "03-18T10:00"),
    ("between nine and half ten", Kind.PAST, "03-18T09:00", "03-18T10:30"),
    ("from nine to five", Kind.COMING, "03-18T09:00", "03-18T17:00"),  # under way
    ("from eleven to seven", Kind.SLEEP, "03-18T23:00", "03-19T07:00"),
    ("from ten to six", Kind.SLEEP, "03-18T22:00", "03-19T06:00"),
    ("midnight to eight", Kind.SLEEP, "03-19T00:00", "03-19T08:00"),
    ("between 8 pm and 8 am", Kind.QUIET, "03-18T20:00", "03-19T08:00"),
    ("eight to eight", Kind.QUIET, "03-18T20:00", "03-19T08:00"),
    ("from one to three", Kind.QUIET, "03-18T13:00", "03-18T15:00"),
    ("from nine tonight till seven in the morning", Kind.COMING, "03-18T21:00", "03-19T07:00"),
    ("from ten last night to half six", Kind.PAST, "03-17T22:00", "03-18T06:30"),
    ("from eleven to seven this morning", Kind.PAST, "03-17T23:00", "03-18T07:00"),
    ("thursday from nine to eleven", Kind.COMING, "03-19T09:00", "03-19T11:00"),
    ("from friday to sunday", Kind.COMING, "03-20T08:00", "03-22T20:00"),
]


@pytest.mark.parametrize(("said", "kind", "start", "end"), PERIODS)
def test_both_ends_of_a_time(said: str, kind: Kind, start: str, end: str) -> None:
    value = whole(said, "range").value
    assert isinstance(value, Range)
    assert period(value, t(WEDNESDAY), kind) == (t(f"2026-{start}"), t(f"2026-{end}"))


def test_minutes_with_no_hour_are_of_the_hour_spoken_of() -> None:
    value = Range(when("quarter to twelve"), when("quarter past"))
    assert period(value, t(WEDNESDAY), Kind.PAST) == (t("2026-03-18T11:45"), t("2026-03-18T12:15"))
    assert when("ten past").hourless
    assert following(when("ten past"), t("2026-03-18T12:00")) == t("2026-03-18T12:10")
    assert following(when("twenty to"), t("2026-03-18T12:50")) == t("2026-03-18T13:40")
    assert following(when("half two"), t("2026-03-18T12:00")) == t("2026-03-18T14:30")


@pytest.mark.parametrize(
    "said", ["21-3-2025", "21.3.2025", "2025-3-21", "21/3/25", "the 21st of march, 2025", "2025-03-21"]
)
def test_a_date_in_figures_or_words_in_any_order(said: str) -> None:
    assert (meant(f"{said} at noon", WEDNESDAY) or "").startswith("2025-03-21T12:00")


def test_a_weekday_that_is_today_and_over_is_that_of_next_week() -> None:
    assert meant("wednesday", WEDNESDAY, "future") == "2026-03-25T08:00+00:00"
    assert meant("wednesday evening", WEDNESDAY, "future") == "2026-03-18T20:00+00:00"


def test_a_sleep_said_in_the_morning_is_a_night() -> None:
    value = whole("from eleven to seven", "range").value
    assert isinstance(value, Range)
    assert period(value, t("2026-03-18T09:00"), Kind.SLEEP) == (t("2026-03-18T23:00"), t("2026-03-19T07:00"))
    assert period(value, t("2026-03-18T01:00"), Kind.SLEEP) == (t("2026-03-17T23:00"), t("2026-03-18T07:00"))


NO_TIMES = [
    "two parts to one", "750 of varnish", "240 grit", "ten degrees", "nine percent", "at nine degrees",
    "at 17 and 65 percent",
    "from eight to nine degrees", "four coats", "three to four coats", "twenty ml", "the door",
    "second coat", "two doors",
]  # fmt: skip


@pytest.mark.parametrize("said", NO_TIMES)
def test_what_has_another_role_is_no_time(said: str) -> None:
    assert not [f for f in chunks(said) if f.doubt < 1 and f.tag != "duration"]


@pytest.mark.parametrize(
    ("said", "least"),
    [
        ("ten", 1.0),
        ("two forty", 0.3),
        ("240 yesterday", 0.5),
        ("two to one", 0.5),
        ("the second", 1.5),
        ("eight to nine", 0.4),
    ],
)
def test_what_may_be_a_time_or_something_else_says_so(said: str, least: float) -> None:
    assert min(f.doubt for f in chunks(said) if f.end == len(tokens(said))) >= least


def test_shorter_readings_come_after_the_whole_one() -> None:
    found = [f.end for f in chunks("yesterday afternoon at about four")]
    assert found == sorted(found, reverse=True)
    assert {5, 2, 1} <= set(found)


HOURS = [
    "one",
    "three",
    "six",
    "nine",
    "ten",
    "twelve",
    "9",
    "14:20",
    "half four",
    "quarter to eight",
    "ten past five",
    "noon",
]
FRONTS = [
    "at",
    "about",
    "around",
    "just gone",
    "just before",
    "getting on for",
    "nearly",
    "round about",
    "between two and",
]
TAILS = ["", "or so", "ish", "sharp", "in the morning", "at night", "in the afternoon"]
LOOSE = [
    "mid-morning", "first thing", "after lunch", "teatime", "overnight", "in the small hours", "before breakfast",
    "dinnertime",
    "in the evening", "a while ago", "an hour and a bit ago", "the other day", "quarter past", "twenty to",
    "on the hour",
    "half an hour ago", "a couple of days ago", "late at night", "last thing at night", "two or three hours ago",
    "just now",
]  # fmt: skip
BEFORE_NOW = ["yesterday", "the day before yesterday", "last tuesday", "a week last friday"]


@st.composite
def wordings(draw: st.DrawFn) -> str:
    """A time as people say it, with no day or one that is over."""
    clock = " ".join(draw(st.sampled_from(part)) for part in (FRONTS, HOURS, TAILS)).strip()
    said = draw(st.sampled_from([clock, *LOOSE]))
    if "ago" in said or said in ("just now", "the other day"):
        return said
    day = draw(st.sampled_from(["", *BEFORE_NOW]))
    return " ".join(filter(None, draw(st.permutations([said, day]))))


@settings(deadline=None, max_examples=400)
@given(wordings(), moments())
def test_whatever_was_done_lies_not_after_now(said: str, now: datetime) -> None:
    got = moment(said, now)
    assume(got is not None)  # "at noon in the morning" is none
    assert got is not None
    assert got.timestamp() <= now.timestamp()


@settings(deadline=None, max_examples=400)
@given(wordings(), moments(), st.sampled_from(["past", "future"]))
def test_a_window_holds_the_moment_that_stands_for_it(said: str, now: datetime, direction: str) -> None:
    of = said_when(said)
    assume(of is not None)
    assert of is not None
    ends = window(of, now, direction)
    if ends is None:
        assert not of.vague
        return
    assert ends[0].timestamp() <= resolve(of, now, direction).timestamp() <= ends[1].timestamp()
    assert direction == "future" or ends[1].timestamp() <= now.timestamp()


@settings(deadline=None, max_examples=400)
@given(wordings(), wordings())
def test_two_times_go_together_in_either_order_or_not_at_all(one: str, two: str) -> None:
    a, b = said_when(one), said_when(two)
    assume(a is not None and b is not None)
    assert a is not None and b is not None
    assert merge(a, b) == merge(b, a)


@settings(deadline=None, max_examples=200)
@given(wordings())
def test_a_time_goes_together_with_itself(said: str) -> None:
    of = said_when(said)
    assume(of is not None)
    assert of is not None
    assert merge(of, of) == of


@pytest.mark.parametrize(
    ("one", "two"),
    [("at ten", "at eleven"), ("yesterday", "today"), ("an hour ago", "at ten"), ("mid-morning", "teatime"),
     ("in the small hours", "at nine"), ("in the morning", "in the evening"), ("an hour ago", "in an hour")],
)  # fmt: skip
def test_times_that_conflict_are_not_put_together(one: str, two: str) -> None:
    assert merge(when(one), when(two)) is None


@settings(deadline=None, max_examples=300)
@given(st.integers(0, 1800), st.integers(1, 12), st.integers(1, 12), st.sampled_from(list(Kind)))
def test_a_period_ends_after_it_starts_and_at_the_hours_said(minute: int, one: int, two: int, kind: Kind) -> None:
    now = t("2026-06-10T12:00") + timedelta(minutes=minute)
    value = whole(f"from {one} until {two}", "range").value
    assert isinstance(value, Range)
    start, end = period(value, now, kind)
    assert start < end
    assert (start.hour % 12, end.hour % 12) == (one % 12, two % 12)
    assert start <= now if kind is Kind.PAST else end > now


EVERY_WORD = sorted(time_words()) + 6 * [
    *TIME_WORDS,
    "from",
    "until",
    "between",
    "and",
    "by",
    "since",
    "or",
    "so",
    "21/3",
    "3rd",
]


@settings(deadline=None, max_examples=300)
@given(st.lists(st.sampled_from(EVERY_WORD), max_size=9), moments(), st.sampled_from(["past", "future"]))
def test_any_string_of_words_of_time_is_read_without_harm(words: list[str], now: datetime, direction: str) -> None:
    cut = tokens(" ".join(words))
    for found in chain.from_iterable(all_chunks([token.text for token in cut], [token.kind for token in cut])):
        value = found.value
        if isinstance(value, Range):
            assert all(
                start.timestamp() < end.timestamp() for start, end in (period(value, now, kind) for kind in Kind)
            )
        elif isinstance(value, When):
            at, ends = resolve(value, now, direction), window(value, now, direction)
            assert ends is None or ends[0].timestamp() <= at.timestamp() <= ends[1].timestamp()
