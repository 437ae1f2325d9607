"""A logger's file, read into climate events.

Fahrenheit against Celsius: 57.2 degF is 14 degC and 32 degF is 0 degC by the definition of the
Fahrenheit scale (NIST SP 811, B.8: t/degC = (t/degF - 32)/1.8). The two nights when the clocks
change are those of the Summer Time Order for 2026: 29 March and 25 October, at 01:00 UTC.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from assistant.journal.events import Amend, Climate, Undo
from assistant.journal.readings import read_csv
from assistant.journal.state import Named
from assistant.journal.store import Journal
from assistant.problem import Problem
from assistant.quantity import celsius, percent

LONDON = ZoneInfo("Europe/London")
NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)
SPACES = {"fore cabin": Named("fore cabin", {"also": ["the bow"]}), "galley": Named("galley")}


def read(path: Path, content: str | bytes, already: list[Climate] | None = None) -> list[Climate]:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    there = already or []
    return read_csv(
        path,
        LONDON,
        spaces=SPACES,
        now=NOW,
        already=lambda start, end: [c for c in there if start <= c.at < end],
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "logger.csv"


def test_a_plain_file_gives_its_readings(path: Path) -> None:
    """Each row is a climate event at its time, in its space, said now."""
    found = read(path, "time,temperature,humidity,space\n2026-03-14T02:05:00+00:00,13.5,61,Fore Cabin\n")
    assert found == [
        Climate(
            at=datetime(2026, 3, 14, 2, 5, tzinfo=UTC), said_at=NOW, space="fore cabin",
            temperature=celsius(13.5), humidity=percent(61.0),
        )
    ]  # fmt: skip


ROW = ("2026-03-14T02:05:00+00:00", 14.0, 61.0, "galley")
FORMS = {
    "any order, other columns": "No,Space,Humidity,Temperature,Time\n1,galley,61,14,2026-03-14 02:05\n",
    "semicolons, decimal commas": "time;temperature;humidity;space\n2026-03-14 02:05;14,0;61,0;galley\n",
    "tabs": "time\ttemperature\thumidity\tspace\n2026-03-14 02:05\t14.0\t61\tgalley\n",
    "a byte order mark": b"\xef\xbb\xbftime,temperature,humidity,space\r\n2026-03-14 02:05,14,61,galley\r\n",
    "wide characters": "time,temperature,humidity,space\n2026-03-14 02:05,14,61,galley\n".encode("utf-16"),
    "an older program's degree sign": b"time,Temp (\xb0C),RH (%),space\n2026-03-14 02:05,14,61,galley\n",
    "temperature_F": "time,temperature_F,humidity,space\n2026-03-14 02:05,57.2,61,galley\n",
    "temperature (degF)": "TIME,TEMPERATURE (degF),HUMIDITY,SPACE\n2026-03-14 02:05,57.2,61,galley\n",
    "both units": "time,temp_F,temp_C,humidity,space\n2026-03-14 02:05,57,14,61,galley\n",
    "quotes and blanks": 'time , "temperature",humidity,space\n"2026-03-14 02:05", 14 ,61, galley \n\n  \n',
    "Z for the offset": "time,temperature,humidity,space\n2026-03-14T02:05Z,14,61,galley\n",
    "another offset": "time,temperature,humidity,space\n2026-03-14T03:05+01:00,14,61,galley\n",
    "a column in UTC": "time (UTC),temperature,humidity,space\n2026-03-14 02:05,14,61,galley\n",
}


@pytest.mark.parametrize("form", sorted(FORMS))
def test_every_usual_form_of_file_reads_the_same(path: Path, form: str) -> None:
    """Separators, decimal commas, order, marks and units do not change what is read."""
    (found,) = read(path, FORMS[form])
    assert found.temperature is not None
    assert found.humidity is not None
    assert (found.at, found.space, found.humidity.value) == (datetime.fromisoformat(ROW[0]), "galley", 61.0)
    assert found.temperature.value == pytest.approx(ROW[1], abs=5e-4)


def test_humidity_and_space_may_be_missing(path: Path) -> None:
    """Without a space a reading is of everywhere; without a humidity there is none."""
    found = read(path, "time,temperature,humidity\n2026-03-14 02:05,14,\n")
    assert [(c.space, c.humidity) for c in found] == [(None, None)]
    assert len(read(path, "time,temperature\n2026-03-14 02:05,-3.5\n")) == 1


def test_a_space_is_known_by_its_other_names(path: Path) -> None:
    """A space's other name stands for the space."""
    assert read(path, "time,temperature,space\n2026-03-14 02:05,14,The Bow\n")[0].space == "fore cabin"


def test_a_time_without_an_offset_is_the_jobs(path: Path) -> None:
    """In June the job's zone is an hour ahead of UTC, and the reading keeps that offset."""
    (found,) = read(path, "time,temperature\n2026-06-01 12:00,20\n")
    assert found.at.isoformat() == "2026-06-01T12:00:00+01:00"


def test_the_hour_that_comes_twice_is_told_by_the_order(path: Path) -> None:
    """On the night the clocks go back, readings that step back in the file are of the second hour."""
    rows = [f"2026-10-25 0{h}:{m:02},9" for h, m in [(0, 30), (1, 0), (1, 30), (1, 0), (1, 30), (2, 0)]]
    found = read(path, "time,temperature\n" + "\n".join(rows))
    assert [c.at.astimezone(UTC).strftime("%d %H:%M") for c in found] == [
        "24 23:30", "25 00:00", "25 00:30", "25 01:00", "25 01:30", "25 02:00",
    ]  # fmt: skip


def test_the_hour_that_is_missing_gives_a_time_all_the_same(path: Path) -> None:
    """A logger that was not put forward in spring is half an hour past the change, not refused."""
    (found,) = read(path, "time,temperature\n2026-03-29 01:30,9\n")
    assert found.at.astimezone(UTC) == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


HEAD = "time,temperature,humidity,space\n2026-03-14 02:00,14,61,galley\n"
BAD = {
    "no heading at all": ("", "line 1: there is no column time"),
    "no time column": ("when,temperature\n2026-03-14 02:05,14\n", "line 1: there is no column time"),
    "no temperature column": (
        "time,pressure\n2026-03-14 02:05,1013\n",
        r"temperature \(there are: time, pressure",
    ),
    "another unit": ("time,temperature_K\n2026-03-14 02:05,287\n", "no column temperature"),
    "no time": (HEAD + ",14,61,galley\n", "line 3: there is no time"),
    "another form of time": (HEAD + "14/03/2026 02:05,14,61,galley\n", "line 3: time '14/03/2026"),
    "no temperature": (HEAD + "2026-03-14 02:05,,61,galley\n", "line 3: there is no temperature"),
    "a word": (HEAD + "2026-03-14 02:05,cold,61,galley\n", "line 3: temperature 'cold' is no number"),
    "not a number": (HEAD + "2026-03-14 02:05,nan,61,galley\n", "line 3: temperature 'nan'"),
    "a hot sensor": (HEAD + "2026-03-14 02:05,400,61,galley\n", "line 3: 400 degC cannot be"),
    "just too hot": (HEAD + "2026-03-14 02:05,60.1,61,galley\n", "line 3: 60.1 degC"),
    "a cold sensor": (HEAD + "2026-03-14 02:05,-40.5,61,galley\n", "line 3: -40.5 degC"),
    "too damp": (HEAD + "2026-03-14 02:05,14,101,galley\n", "line 3: 101 percent"),
    "too dry": (HEAD + "2026-03-14 02:05,14,-1,galley\n", "line 3: -1 percent"),
    "an unknown space": (HEAD + "2026-03-14 02:05,14,61,attic\n", r"line 3: .*'attic' .* fore cabin, galley"),
    "a short row": (HEAD + "2026-03-14 02:05,14\n", "line 3: it has 2 columns"),
    "a row with a quote left open": (HEAD + '2026-03-14 02:05,14,61,"galley\n', "line 3"),
    "still to come": (HEAD + "2027-03-14 02:05,14,61,galley\n", r"line 3: .* still to come"),
}


@pytest.mark.parametrize("case", sorted(BAD))
def test_one_bad_row_is_named_and_nothing_is_read(path: Path, case: str) -> None:
    """A row that cannot be read or believed is one line with its number, and no row is taken."""
    content, reason = BAD[case]
    with pytest.raises(Problem, match=reason) as refused:
        read(path, content)
    assert "\n" not in str(refused.value)
    assert "nothing was imported" in str(refused.value)


@pytest.mark.parametrize("degrees", ["-40", "60"])
def test_the_ends_of_the_range_are_readings(path: Path, degrees: str) -> None:
    """The least and the most that a reading may be are readings."""
    rows = [f"2026-03-14 02:05,{degrees},100", f"2026-03-14 02:06,{degrees},0"]
    assert len(read(path, "time,temperature,humidity\n" + "\n".join(rows))) == 2


def test_a_missing_file_is_one_line(tmp_path: Path) -> None:
    """A file that is not there, or a folder, is one line."""
    for name in ("none.csv", "."):
        with pytest.raises(Problem, match="cannot be read"):
            read_csv(tmp_path / name, LONDON, spaces={}, now=NOW, already=lambda _a, _b: [])


def test_rows_that_stand_twice_in_a_file_count_once(path: Path) -> None:
    """The same reading twice in one file is one; another value at the same time is another."""
    rows = ["2026-03-14 02:05,14", "2026-03-14T02:05:00Z,14.0", "2026-03-14 02:05,15"]
    assert len(read(path, "time,temperature\n" + "\n".join(rows))) == 2


def test_a_file_imported_twice_adds_nothing(path: Path, tmp_path: Path) -> None:
    """Ten thousand readings go in once; the same file again, or with more at its end, adds only the new."""
    start = datetime(2026, 9, 1, tzinfo=UTC)
    lines = [
        f"{(start + timedelta(minutes=10 * n)).astimezone(LONDON).replace(tzinfo=None)},{10 + n % 90 / 10},60"
        for n in range(10_001)
    ]
    with Journal.open(tmp_path / "linnet.sqlite") as journal:
        for upto, new in ((10_000, 10_000), (10_000, 0), (10_001, 1)):
            path.write_text("time,temperature,humidity\n" + "\n".join(lines[:upto]))
            found = read_csv(path, LONDON, spaces=SPACES, now=NOW, already=journal.between)
            assert len(journal.append(found)) == new
        assert journal.state.last_id == 10_001
        assert journal.check() == []


def test_readings_taken_back_can_be_imported_again(path: Path, tmp_path: Path) -> None:
    """An import that was undone leaves room for the same file."""
    path.write_text("time,temperature\n2026-03-14 02:05,14\n2026-03-14 02:15,14\n")
    with Journal.open(tmp_path / "linnet.sqlite") as journal:
        journal.append(read_csv(path, LONDON, spaces={}, now=NOW, already=journal.between))
        journal.append(
            [
                Undo(at=NOW, said_at=NOW, of=(1,)),
                Amend(at=NOW, said_at=NOW, of=2, changes={"space": "galley"}),
            ]
        )
        again = read_csv(path, LONDON, spaces={}, now=NOW, already=journal.between)
        assert [c.at.minute for c in again] == [5, 15]
