"""The day's content agrees with the journal: every act, every coat, every millilitre and minute."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from assistant.craft.day import Day, bounds, day, last_done, of_piece, zone_of
from assistant.craft.readiness import readiness
from assistant.craft.stock import stock
from assistant.craft.waits import waiting
from assistant.journal.events import Amend, Climate, Event, Fit, Hours, Mix, Note, Strip, Task
from assistant.journal.state import State, entries, fold, state_of
from assistant.library.catalogue import Library
from assistant.quantity import celsius, ml
from assistant.show import diary

from .build import (
    LONDON,
    coat,
    corrected,
    job,
    journal,
    mix,
    reading,
    sand,
    saturday,
    t,
    tin,
    told,
)  # fmt: skip

SATURDAY = date(2026, 3, 14)
NOW = t("18:10")


def day_of(folder: Path, *events: Event, now: datetime = NOW) -> Day:
    state, cards, told_ = job(folder, *events)
    return day(told_, state, cards, SATURDAY, now)


def test_only_that_days_acts_are_in_it_in_order_of_time(tmp_path: Path) -> None:
    late = [coat("23:59", n=4), coat("00:00", n=5, day=15), coat("00:00", "hatch rail", 2)]
    found = day_of(tmp_path, *saturday(), *late, now=t("12:00", 15))
    times = [e.event.at for e in found.entries]
    assert times == sorted(times)
    assert {moment.astimezone(LONDON).date() for moment in times} == {SATURDAY}
    assert times[0] == t("00:00") and times[-1] == t("23:59")


def test_a_day_of_the_clock_change_has_twenty_three_hours() -> None:
    """The clocks go forward on 29 March 2026 (last Sunday in March: The Summer Time Order 2002)."""
    start, end = bounds(date(2026, 3, 29), date(2026, 3, 29), LONDON)
    assert end.timestamp() - start.timestamp() == 23 * 3600


def test_the_jobs_zone_decides_what_day_it_was(tmp_path: Path) -> None:
    state, _, _ = job(tmp_path)
    assert str(zone_of(state, NOW)) == "Europe/London"
    assert zone_of(State(), NOW) is NOW.tzinfo
    odd = State()
    odd.job = {"timezone": "Atlantis/Nowhere"}
    assert zone_of(odd, NOW) is NOW.tzinfo


def test_coats_so_far_count_what_was_laid_before(tmp_path: Path) -> None:
    coats = {c.piece: c for c in day_of(tmp_path, *saturday()).coats}
    assert (coats["hatch trim"].on, coats["hatch trim"].laid, coats["hatch trim"].wanted) == (3, 1, 5)
    assert (coats["galley doors"].on, coats["galley doors"].wanted) == (2, 3)
    assert (coats["hatch rail"].on, coats["hatch rail"].wanted) == (1, None)


def test_a_day_in_the_past_is_told_as_it_stood_then(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *saturday())
    friday = day(told_, state, cards, date(2026, 3, 13), NOW)
    assert [(c.piece, c.on) for c in friday.coats] == [("hatch trim", 2)]
    assert friday.at == t("00:00", 14)
    assert friday.whole


def test_what_was_stripped_counts_no_more(tmp_path: Path) -> None:
    stripped = Strip(piece="hatch trim", at=t("12:00"))
    found = day_of(tmp_path, coat("09:00"), coat("10:00", n=2), stripped, coat("15:00", n=1))
    assert [(c.on, c.laid) for c in found.coats] == [(1, 3)]


def test_the_air_is_the_lowest_and_highest_read_and_no_forecast(tmp_path: Path) -> None:
    spell = Climate(space="fore cabin", temperature=celsius(2.0), at=t("17:00"), until=t("23:00"))
    (air,) = day_of(tmp_path, *saturday(), spell).air
    assert (air.low, air.high, air.readings) == (celsius(12.0), celsius(17.5), 3)
    assert air.damp_low and air.damp_high and (air.damp_low.value, air.damp_high.value) == (61.0, 72.0)


def test_what_waits_is_what_readiness_says(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *saturday())
    found = day(told_, state, cards, SATURDAY, NOW)
    for wait in found.waiting:
        assert wait == readiness(state, cards, wait.piece, wait.stage, found.at)
        assert wait.earliest is None or wait.earliest > found.at
    assert {w.piece for w in found.waiting} >= {"hatch rail", "galley doors", "step treads"}


def test_what_is_fitted_waits_no_more(tmp_path: Path) -> None:
    state, cards, _ = job(tmp_path, coat("08:00", "galley doors", 3))
    assert [w.stage for w in waiting(state, cards, NOW)] == ["handle"]
    fitted = fold([Fit(piece="galley doors", at=t("17:00"))], state)
    assert waiting(fitted, cards, NOW) == []


def test_hours_hands_on_are_the_stretches_between_acts(tmp_path: Path) -> None:
    """09:00 to 10:00, 14:00 to 14:30; the note and the reading between bridge nothing: 1.5 h (by hand)."""
    events = [
        sand("09:00"), coat("10:00"), Note(text="tea", at=t("11:20")), reading("12:45", 15.0),
        sand("14:00", "galley doors"), coat("14:30", "galley doors"),
    ]  # fmt: skip
    totals = day_of(tmp_path, *events).totals
    assert totals.hands_on is not None and totals.hands_on.value == pytest.approx(1.5)
    assert "at least" in totals.how
    assert day_of(tmp_path, coat("10:00")).totals.hands_on is None


def test_used_adds_up_day_by_day_to_what_the_stock_says(tmp_path: Path) -> None:
    """Days of mixes, coats and words about tins: the diaries' sums are the stock's, to the millilitre."""
    events = [
        *saturday(), mix("23:40", "two-part gloss", 90, ("base", 60), ("activator", 30)),
        coat("00:20", "galley doors", product="two-part gloss", day=15),
        tin("09:00", "amber varnish", "used", 35, day=15), coat("11:00", "hatch rail", 2, day=15, thinned=5),
    ]  # fmt: skip
    state, cards, told_ = job(tmp_path, *events)
    now = t("12:00", 16)
    shelf = stock(state, cards, now)
    sums: dict[str, float] = {}
    for n in range(12, 17):
        totals = day(told_, state, cards, date(2026, 3, n), now).totals
        for name, amount in (*totals.used, *totals.thinner):
            assert amount.unit == "ml"
            sums[name] = sums.get(name, 0.0) + amount.value
    for name, amount in sums.items():
        used = shelf[name].used
        assert used is not None and amount == pytest.approx(used.value, abs=0.5)
    assert sums["two-part gloss"] == pytest.approx(90.0)  # the coat after midnight is the pot's of before


def test_what_was_undone_is_shown_and_counts_for_nothing(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *corrected())
    found = day(told_, state, cards, SATURDAY, NOW)
    undone = [e for e in found.entries if e.undone]
    assert [getattr(e.event, "piece", None) for e in undone] == ["cratch board"]
    assert found.totals.coats == 3
    assert "cratch board" not in {c.piece for c in found.coats}
    assert found.totals.uncounted == ()


def test_a_correction_says_what_it_was(tmp_path: Path) -> None:
    events = told([coat("10:15"), Amend(of=1, changes={"at": t("10:05").isoformat(), "piece": "hatch rail"})])
    state = state_of(events)
    found = day(entries(events), state, Library({}).card, SATURDAY, NOW)
    text = diary.text(found, said={1: events[0]})
    assert re.search(r"10:05 .*corrected, was 10:15, the hatch trim", text)


def test_first_moves_begin_with_the_window_that_shuts(tmp_path: Path) -> None:
    """The label's window is 72 h at 20 degrees: laid on Thursday at 09:00 it shuts on Sunday."""
    events = [
        coat("09:00", "hatch rail", day=12),
        coat("08:00", "hatch trim"),
        reading("09:00", 20.0, day=12),
    ]
    found = day_of(tmp_path, *events, Task(text="order brushes", at=t("09:00")))
    assert found.moves[0].piece == "hatch rail"
    assert [m.piece for m in found.moves[1:]] == ["hatch trim", None]
    assert found.moves[-1].text == "order brushes"


def test_a_planners_moves_go_before_its_own(tmp_path: Path) -> None:
    from assistant.craft.moves import Move

    state, cards, told_ = job(tmp_path, *saturday())
    mine = [Move("lay the sole", None, t("08:00", 15), "it hangs on that")]
    assert day(told_, state, cards, SATURDAY, NOW, moves=mine).moves == tuple(mine)


def test_one_piece_tells_all_its_days(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *saturday())
    found = of_piece(told_, state, cards, "hatch trim", NOW)
    assert (found.first, found.last) == (date(2026, 3, 12), SATURDAY)
    assert {getattr(e.event, "piece", None) for e in found.entries} == {"hatch trim"}
    assert found.totals.coats == 3
    assert of_piece(told_, state, cards, "cratch board", NOW).entries == ()


def test_when_did_i_last_sand_the_doors(tmp_path: Path) -> None:
    state, _, _ = job(tmp_path, *saturday(), sand("16:00", "galley doors", 320, day=10))
    last = last_done(state, "sand", ["galley doors"])
    assert last is not None and last.at == t("14:05")
    assert last_done(state, "sand", ["cratch board"]) is None
    assert getattr(last_done(state, "coat"), "piece", None) == "galley doors"


def test_a_week_is_its_days(tmp_path: Path) -> None:
    state, cards, told_ = job(tmp_path, *saturday())
    week = day(told_, state, cards, date(2026, 3, 9), NOW, last=date(2026, 3, 15))
    single = [day(told_, state, cards, date(2026, 3, n), NOW) for n in range(9, 16)]
    assert [b.day.day for b in week.days] == [12, 13, 14]
    assert week.totals.coats == sum(d.totals.coats for d in single) == 6
    assert sum(b.acts for b in week.days) == sum(d.totals.acts for d in single)
    used = dict(week.totals.used)["amber varnish"].value
    assert used == pytest.approx(sum(dict(d.totals.used).get("amber varnish", ml(0)).value for d in single))


def test_through_a_real_journal_every_act_is_told_at_its_minute(tmp_path: Path) -> None:
    with journal(tmp_path, corrected()) as book:
        start, end = bounds(SATURDAY, SATURDAY, LONDON)
        history = book.history(start, end)
        state = book.state
        found = day(history, state, Library(state.labels).card, SATURDAY, NOW)
        text = diary.text(found)
        clocks = sorted(f"{e.at.astimezone(LONDON):%H:%M}" for e in book.between(start, end)
                        if e.kind not in ("climate", "set"))  # fmt: skip
        sections = text.split("Coats so far")[0]
        shown = sorted(re.findall(r"^  (\d\d:\d\d)  (?!\()", sections, re.M))
        assert shown == clocks
        assert sections.count("taken back") == 1


def test_rules_and_logger_readings_do_not_drown_the_day(tmp_path: Path) -> None:
    log = [
        Climate(space="galley", temperature=celsius(15 + n % 3), at=t("00:00") + timedelta(minutes=10 * n))
        for n in range(100)
    ]
    found = day_of(
        tmp_path, *saturday(), *log, Hours(rule="quiet", start=t("20:00"), end=t("08:00", 15), at=t("16:00"))
    )
    assert found.readings == 103
    assert len(diary.text(found).splitlines()) < 70
    assert found.totals.hands_on is not None and found.totals.hands_on.value < 6


def test_a_mix_without_an_amount_is_not_counted_and_said(tmp_path: Path) -> None:
    totals = day_of(tmp_path, Mix(product="tread epoxy", at=t("09:00"))).totals
    assert totals.used == () and "how much" in totals.uncounted[0]
