"""The plan as a calendar file (RFC 5545) for the phone: one event a step, with an alarm."""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Final

from assistant.problem import Problem

if TYPE_CHECKING:
    from icalendar import Event

    from assistant.craft.plan.step import LaidFilm, Placed, Plan

#: How long before a step the phone rings.
AHEAD: Final = timedelta(minutes=10)
PRODUCT: Final = "-//dabhand//plan//EN"


def ics(plan: Plan, *, job: str = "job", ahead: timedelta = AHEAD) -> bytes:
    """Give the calendar: every step as an event with an alarm ``ahead`` of it, and the deadline.

    Times are in UTC, which every reader shows in its own zone. An event keeps its UID from one plan to
    the next, so that importing a newer plan moves what is there instead of doubling it. A step whose window
    shuts says so in its description. ``Problem`` if the icalendar library is missing.
    """
    try:
        from icalendar import Calendar
    except ImportError:
        raise Problem("a calendar file needs icalendar: pip install icalendar") from None
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"{job}: the plan")
    for placed in plan.steps:
        calendar.add_component(_step(plan, placed, job, ahead))
    if plan.deadline is not None:
        calendar.add_component(_deadline(plan, plan.deadline, job))
    return bytes(calendar.to_ical())


def _step(plan: Plan, placed: Placed, job: str, ahead: timedelta) -> Event:
    from icalendar import Alarm

    event = _event(plan, f"{job}/{placed.step.id}", placed.start, placed.end, _sentence(placed.text))
    event.add("description", _about(plan, placed))
    if placed.step.space:
        event.add("location", placed.step.space)
    event.add("categories", [placed.step.kind])
    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("trigger", -ahead)
    alarm.add("description", _sentence(placed.text))
    event.add_component(alarm)
    return event


def _deadline(plan: Plan, when: datetime, job: str) -> Event:
    event = _event(plan, f"{job}/deadline", when, when, "Deadline")
    event.add("transp", "TRANSPARENT")
    return event


def _event(plan: Plan, key: str, start: datetime, end: datetime, text: str) -> Event:
    from icalendar import Event

    event = Event()
    digest = hashlib.sha1(key.encode(), usedforsecurity=False).hexdigest()[:20]
    event.add("uid", f"{digest}@dabhand.invalid")
    event.add("dtstamp", plan.now.astimezone(UTC))
    event.add("dtstart", start.astimezone(UTC))
    event.add("dtend", end.astimezone(UTC))
    event.add("summary", text)
    return event


def _about(plan: Plan, placed: Placed) -> str:
    lines = []
    if placed.held:
        lines.append(f"Waits for: {placed.held}.")
    window = _window(plan, placed)
    if window is not None and window.shuts is not None:
        lines.append(f"Window shuts {window.shuts:%a %d %b %H:%M}.")
    if placed.step.gear:
        lines.append(f"Take: {', '.join(placed.step.gear)}.")
    return "\n".join(lines) or _sentence(placed.text)


def _window(plan: Plan, placed: Placed) -> LaidFilm | None:
    if placed.step.kind != "coat":
        return None
    under = [f for f in plan.films if f.piece == placed.piece and f.laid <= placed.start]
    return under[-1] if under else None


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]
