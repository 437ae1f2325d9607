"""The day as it is told: in text, aloud, in Markdown and as the public answer."""

from __future__ import annotations

import json
import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.craft.day import Day, day, of_piece
from assistant.journal.events import Bond, Coat, Event, Fault, Mix, Note, Sand, Task, from_json
from assistant.journal.state import entries, state_of
from assistant.library.catalogue import Library
from assistant.quantity import UNITS, ml
from assistant.show import diary

from .build import coat, corrected, job, saturday, t, told

SATURDAY = date(2026, 3, 14)
NOW = t("18:10")


def saturday_day(folder: Path) -> Day:
    state, cards, told_ = job(folder, *corrected())
    return day(told_, state, cards, SATURDAY, NOW)


def test_aloud_it_tells_what_a_person_would_in_under_a_minute(tmp_path: Path) -> None:
    """A minute of speech is about 150 words (common practice, no source)."""
    said = diary.spoken(saturday_day(tmp_path))
    assert len(said.split()) < 150
    for part in (
        "third of 5 coats of amber varnish", "hatch rail", "180 ml of tread epoxy", "12 to 17.5 degrees",
        "a run on the hatch rail", "18:41", "step treads", "First tomorrow",
    ):  # fmt: skip
        assert part in said
    assert "cratch board" not in said  # it was taken back


def test_no_day_is_too_full_to_be_told_in_a_minute(tmp_path: Path) -> None:
    pieces = [f"locker front number {n}" for n in range(60)]
    events: list[Event] = []
    for n, piece in enumerate(pieces):
        at = t("08:00") + timedelta(minutes=9 * n)
        events += [
            Sand(piece=piece, grit=120 + n, at=at),
            Coat(piece=piece, coat=1 + n % 3, product="amber varnish", at=at),
            Fault(piece=piece, fault="dust", at=at),
        ]
    state, cards, told_ = job(tmp_path, *events)
    said = diary.spoken(day(told_, state, cards, SATURDAY, NOW))
    assert 40 < len(said.split()) <= 150
    assert said.startswith("Saturday the 14th") and "First tomorrow" in said
    assert "There was dust on the locker front number 0" in said and "57 more" in said
    assert "The rest is in the diary." in said


def test_pieces_that_had_the_same_done_are_told_together(tmp_path: Path) -> None:
    events = [Sand(piece=p, grit=240, at=t("09:00")) for p in ("hatch trim", "hatch rail", "cratch board")]
    state, cards, told_ = job(tmp_path, *events)
    said = diary.spoken(day(told_, state, cards, SATURDAY, NOW))
    assert "On the hatch trim, the hatch rail and the cratch board: sanded with 240." in said


def test_an_empty_day_says_so(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path)
    empty = day(told_, state, cards, date(2026, 3, 20), t("12:00", 20))
    assert diary.spoken(empty) == "Nothing was told of Friday."
    assert "Nothing was told of." in diary.text(empty)
    assert diary.as_json(empty)["entries"] == []


def test_markdown_keeps_words_as_words(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, Note(text="# no *heading* | <b>\n- nor list", at=t("10:00")))
    text = diary.markdown(day(told_, state, cards, SATURDAY, NOW))
    headings = [line for line in text.splitlines() if line.startswith("#")]
    assert headings == ["# Linnet: Saturday 14 March 2026", "## Besides"]
    assert r"\<b\>" in text and r"\*heading\*" in text


def test_the_answer_is_the_public_one_and_json(tmp_path: Path) -> None:
    found = diary.as_json(saturday_day(tmp_path))
    assert json.loads(json.dumps(found)) == found
    assert (found["about"], found["day"]) == ("diary", "2026-03-14")
    assert found["totals"]["coats"] == 3 and found["totals"]["mixes"] == 1
    assert [e["piece"] for e in found["taken_back"]] == ["cratch board"]
    assert [e["kind"] for e in found["entries"]].count("coat") == 3
    for entry in found["entries"]:
        extra = {"text", "corrected"}
        assert from_json({k: v for k, v in entry.items() if k not in extra}).id == entry["id"]
    corrected_ = [e for e in found["entries"] if e["corrected"]]
    assert [e["coat"] for e in corrected_] == [3]


def test_every_measured_quantity_in_the_answer_is_an_amount(tmp_path: Path) -> None:
    def amounts(value: object) -> list[dict[str, object]]:
        if isinstance(value, dict):
            own = [value] if set(value) == {"value", "unit"} else []
            return own + [a for v in value.values() for a in amounts(v)]
        return [a for v in value for a in amounts(v)] if isinstance(value, list) else []

    found = diary.as_json(saturday_day(tmp_path))
    assert found["totals"]["hands_on"]["unit"] == "h"
    assert all(a["unit"] in UNITS for a in amounts(found))
    for key in ("earliest", "latest"):
        for wait in found["waiting"]:
            assert wait[key] is None or datetime.fromisoformat(wait[key]).utcoffset() is not None


def test_a_span_names_its_days_and_a_piece_its_name(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *saturday())
    week = day(told_, state, cards, date(2026, 3, 9), NOW, last=date(2026, 3, 15))
    assert diary.text(week).startswith("Linnet · Mon 9 to Sun 15 March 2026\n")
    assert diary.as_json(week)["day"] == "2026-03-09/2026-03-15"
    piece = of_piece(told_, state, cards, "hatch trim", NOW)
    assert "Hatch trim, Thu 12 to Sat 14 March 2026" in diary.text(piece)
    assert "On the hatch trim: " in diary.spoken(piece)
    assert diary.as_json(piece)["piece"] == "hatch trim"


@pytest.mark.parametrize("wrap", [diary.text, diary.markdown, diary.spoken])
def test_nothing_said_in_a_diary_is_a_python_thing(tmp_path: Path, wrap: object) -> None:
    text = wrap(saturday_day(tmp_path))  # type: ignore[operator]
    assert not re.search(r"None|datetime|Amount\(|<[a-z]+ |\{|\}", text)


KINDS = st.sampled_from(("coat", "sand", "mix", "bond", "fault", "task", "note"))
MOMENT = st.integers(0, 1439)
WORDS = st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=30)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(KINDS, MOMENT, WORDS, st.integers(0, 4)), max_size=25))
def test_any_day_can_be_told(acts: list[tuple[str, int, str, int]]) -> None:
    """Whatever words and however many acts: told, within the minute, each standing act once in the answer."""
    events: list[Event] = []
    for kind, minute, words, number in acts:
        at = t("00:00") + timedelta(minutes=minute)
        piece = words.strip() or "hatch"
        made: dict[str, Event] = {
            "coat": Coat(piece=piece, coat=number + 1, product=words or None, at=at),
            "sand": Sand(piece=piece, grit=None if number == 0 else number * 80, at=at),
            "mix": Mix(product=words or None, amount=ml(number * 50.0) if number else None, at=at),
            "bond": Bond(piece=piece, at=at), "fault": Fault(piece=piece, text=words, at=at),
            "task": Task(text=words, at=at), "note": Note(text=words, at=at),
        }  # fmt: skip
        events.append(made[kind])
    listed = told(events)
    state = state_of(listed)
    found = day(entries(listed), state, Library({}).card, SATURDAY, t("12:00", 15))
    assert diary.text(found) and diary.markdown(found)
    assert len(diary.spoken(found).split()) <= 150
    assert [e["id"] for e in diary.as_json(found)["entries"]] == [
        e.id for e in sorted(listed, key=lambda e: (e.at, e.id))
    ]


def test_a_coat_beyond_tenth_is_still_told(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, coat("10:00", "hatch rail", 12))
    assert "12th coat of amber varnish" in diary.text(day(told_, state, cards, SATURDAY, NOW))
