"""The diary with vague times, parts of pieces, work told with its start, and words that were not read."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from assistant.craft.day import Day, day
from assistant.journal.events import Event, Hours, Task, Undo, Unread, settling
from assistant.show import diary
from assistant.show.telling import act

from .build import coat, job, sand, t

SATURDAY, SUNDAY = date(2026, 3, 14), date(2026, 3, 15)
EVENING = t("18:10")
FIRST = 21  # the number of what is told first: the job file's events are before it
HEARD = Unread(at=t("11:05"), said_at=t("11:05"), text="the <other> thing wants its *bits* seeing to")


def day_of(folder: Path, *events: Event, first: date = SATURDAY, now=EVENING, last: date | None = None) -> Day:
    folder.mkdir(exist_ok=True)
    state, cards, told = job(folder, *events)
    return day(told, state, cards, first, now, last=last)


def around(event: Event, minutes: int) -> Event:
    half = timedelta(minutes=minutes)
    return replace(event, between=(event.at - half, event.at + half))


def test_a_vague_time_is_told_as_one_and_a_part_is_named(tmp_path: Path) -> None:
    lower = replace(around(coat("10:00"), 30), part="bottom half")
    told = diary.text(day_of(tmp_path, lower, sand("12:00")))
    assert "about 10:00  first coat of amber varnish (the bottom half)" in told
    assert "  12:00  sanded" in told
    entry = diary.as_json(day_of(tmp_path / "json", lower))["entries"][0]
    assert entry["between"] == ["2026-03-14T09:30:00+00:00", "2026-03-14T10:30:00+00:00"]
    assert entry["part"] == "bottom half"


def test_work_told_with_its_start_counts_as_long_as_it_took(tmp_path: Path) -> None:
    """09:00 to 12:00 and a coat at 12:30, with nothing between: three and a half hours."""
    long = replace(sand("12:00"), began=t("09:00"))
    found = day_of(tmp_path, long, coat("12:30"))
    assert found.totals.hands_on is not None and found.totals.hands_on.value == 3.5
    assert "09:00 to 12:00  sanded" in diary.text(found)


def test_work_that_overlaps_is_counted_once(tmp_path: Path) -> None:
    first, second = replace(sand("12:00"), began=t("09:00")), replace(coat("11:00"), began=t("10:00"))
    found = day_of(tmp_path, first, second)
    assert found.totals.hands_on is not None and found.totals.hands_on.value == 3.0


def test_what_was_not_read_is_told_at_the_end_in_every_form(tmp_path: Path) -> None:
    found = day_of(tmp_path, coat("09:00"), HEARD)
    assert diary.text(found).endswith(f"Still unread\n  11:05  “{HEARD.text}”\n")
    assert "## Still unread" in diary.markdown(found) and r"\*bits\*" in diary.markdown(found)
    assert f"Still unread: “{HEARD.text}”." in diary.spoken(found)
    data = json.loads(json.dumps(diary.as_json(found)))
    assert [(u["kind"], u["text"]) for u in data["unread"]] == [("unread", HEARD.text)]
    assert HEARD.text in [e["text"] for e in data["entries"]]
    assert found.totals.acts == 1


def test_what_was_settled_or_struck_since_is_no_longer_told(tmp_path: Path) -> None:
    for name, later in (
        ("settled", settling(replace(HEARD, id=FIRST), t("12:00"))),
        ("struck", Undo(at=t("12:00"), said_at=t("12:00"), of=(FIRST,))),
    ):
        found = day_of(tmp_path / name, HEARD, later)
        assert found.unread == ()
        assert "nread" not in diary.text(found)


def test_the_day_before_is_still_open_the_day_after_and_not_the_other_way_round(tmp_path: Path) -> None:
    on_sunday = replace(HEARD, at=t("09:00", 15), said_at=t("09:00", 15), text="and then some")
    both = (HEARD, on_sunday)
    assert day_of(tmp_path / "a", *both, now=t("18:00", 15)).unread[-1].text == HEARD.text
    told = diary.text(day_of(tmp_path / "b", *both, first=SUNDAY, now=t("18:00", 15)))
    assert f"Sat 14 Mar 11:05  “{HEARD.text}”\n  09:00  “and then some”" in told


def test_a_day_without_work_still_says_what_is_open(tmp_path: Path) -> None:
    said = diary.spoken(day_of(tmp_path, HEARD, first=SUNDAY, now=t("18:00", 15)))
    assert said == f"Nothing was told of Sunday. Still unread: “{HEARD.text}”."


def test_a_piece_and_a_long_list_say_no_more_than_they_must(tmp_path: Path) -> None:
    many = [replace(HEARD, text=f"word {n}") for n in range(6)]
    assert "“word 2” and 3 more." in diary.spoken(day_of(tmp_path, coat("09:00"), *many))


def test_rules_and_tasks_say_what_is_new_of_them() -> None:
    assert act(Hours(rule="closed", space="galley")) == "hours: closed of the galley"
    assert act(Hours(rule="away", repeat="daily")) == "hours: away, every day"
    assert act(Task(text="order tape", due=t("17:00", 16))) == "to do: order tape, by Mon 16 Mar 17:00"
