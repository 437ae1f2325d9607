"""London's wall clock, as the tests of times need it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from assistant.language.clock import moment

LONDON = ZoneInfo("Europe/London")
WEDNESDAY = "2026-03-18T14:00"


def t(text: str) -> datetime:
    """A time; London's where no offset is given."""
    time = datetime.fromisoformat(text)
    return time.astimezone(LONDON) if time.tzinfo else time.replace(tzinfo=LONDON)


def meant(said: str, now: str, direction: str = "past") -> str | None:
    """The moment that is meant, as local time with offset."""
    found = moment(said, t(now), direction)
    return found.isoformat(timespec="minutes") if found else None


NIGHTS = [t("2026-03-28T12:00"), t("2026-10-24T12:00"), t("2026-06-10T12:00")]


@st.composite
def moments(draw: st.DrawFn) -> datetime:
    """A minute of three days, two of which hold a change of the clocks."""
    start = draw(st.sampled_from(NIGHTS)).astimezone(UTC)
    return (start + timedelta(minutes=draw(st.integers(0, 1800)))).astimezone(LONDON)


TIME_WORDS = [
    "at", "on", "the", "of", "to", "past", "half", "quarter", "ten", "two", "2", "14", "30", "march", "29",
    "february", "2026", "last", "next", "monday", "night", "yesterday", "tomorrow", "ago", "an", "hour", "minutes",
    "in", "noon", "midnight", "this", "morning", "am", "pm", "hundred", "oh", "0", "25:00", "02:05", "½",
    "2026-02-29", "፩", "twenty", "five", "99999999999",
]  # fmt: skip
