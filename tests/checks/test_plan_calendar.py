"""The calendar file by two readers: icalendar, which wrote it, and vobject, which did not (RFC 5545)."""

from __future__ import annotations

from datetime import UTC, timedelta

import pytest
from plan.build import NOW, VARNISH, job, shelf, week

from assistant.craft.plan.week import plan
from assistant.show.calendar import ics

icalendar = pytest.importorskip("icalendar")
vobject = pytest.importorskip("vobject")

PLAN = plan(week(20, 7, 1), shelf(), NOW, limit_s=0.0)
DATA = ics(PLAN, job="linnet")


def test_lines_are_folded_and_end_as_the_standard_says():
    """RFC 5545 section 3.1: CRLF, and no line over 75 octets."""
    assert DATA.endswith(b"END:VCALENDAR\r\n")
    assert all(len(line) <= 75 for line in DATA.split(b"\r\n"))
    assert b"\n" not in DATA.replace(b"\r\n", b"")


def test_icalendar_reads_every_step_back():
    calendar = icalendar.Calendar.from_ical(DATA)
    events = [e for e in calendar.walk("VEVENT") if e["SUMMARY"] != "Deadline"]
    assert [(e["DTSTART"].dt, e["DTEND"].dt) for e in events] == [
        (p.start.astimezone(UTC), p.end.astimezone(UTC)) for p in PLAN.steps
    ]
    assert all(not e.errors for e in calendar.walk())
    assert len({str(e["UID"]) for e in events}) == len(events)


def test_a_second_reader_finds_the_same():
    calendar = vobject.readOne(DATA.decode("utf-8"))
    events = [e for e in calendar.vevent_list if e.summary.value != "Deadline"]
    assert [e.summary.value.casefold() for e in events] == [p.text.casefold() for p in PLAN.steps]
    assert [e.dtstart.value for e in events] == [p.start for p in PLAN.steps]
    for event in events:
        assert event.valarm.trigger.value == timedelta(minutes=-10)
        assert event.valarm.action.value == "DISPLAY"


def test_the_deadline_is_in_it():
    calendar = vobject.readOne(DATA.decode("utf-8"))
    (end,) = [e for e in calendar.vevent_list if e.summary.value == "Deadline"]
    assert end.dtstart.value == PLAN.deadline


def test_names_with_commas_semicolons_and_accents_come_back_whole():
    """RFC 5545 section 3.3.11: commas, semicolons and backslashes are escaped."""
    name = "hatch; trim, \\ port \u2014 caf\u00e9 side"
    state = job({name: ("fore cabin", 0.4)}, [{"do": "varnish", "piece": name, "coats": 1, "label": VARNISH.name}])
    data = ics(plan(state, shelf(), NOW, limit_s=0.0))
    first = vobject.readOne(data.decode("utf-8")).vevent_list[0]
    assert name in first.summary.value


def test_the_same_step_keeps_its_uid_in_a_new_plan():
    later = plan(week(20, 7, 1), shelf(), NOW + timedelta(hours=3), limit_s=0.0)
    old = {e["UID"] for e in icalendar.Calendar.from_ical(DATA).walk("VEVENT")}
    new = {e["UID"] for e in icalendar.Calendar.from_ical(ics(later, job="linnet")).walk("VEVENT")}
    assert old == new
