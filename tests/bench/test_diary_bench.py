"""How long a diary takes: a day of 300 events, a year of 60,000. Figures, no limits: run with --benchmark-enable."""

from __future__ import annotations

import random
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from diary.build import LONDON, loaded, t, told

from assistant.craft.alarms import alarms
from assistant.craft.day import Day, bounds, day
from assistant.craft.shelf import Cards
from assistant.craft.stock import stock
from assistant.journal.events import Bond, Clean, Climate, Coat, Event, Fault, Mix, Note, Sand, Tin
from assistant.journal.state import Entry, State, entries, state_of
from assistant.journal.store import Journal
from assistant.library.catalogue import Library
from assistant.quantity import celsius, ml, percent
from assistant.show import diary
from assistant.show.page import page

YEAR = (date(2025, 3, 15), date(2026, 3, 14))
NOW = t("22:00")
PIECES = ("hatch trim", "hatch rail", "galley doors", "step treads", "cratch board")


KINDS = ("coat", "sand", "climate", "mix", "clean", "bond", "fault", "tin", "note")
PARTS = (("resin", ml(40)), ("hardener", ml(20)))


def one(kind: str, piece: str, at: datetime, n: int) -> Event:
    match kind:
        case "coat":
            return Coat(piece=piece, coat=n // len(PIECES) % 20 + 1, product="amber varnish", at=at)
        case "sand":
            return Sand(piece=piece, grit=240, at=at)
        case "climate":
            return Climate(space="galley", temperature=celsius(12 + n % 9), humidity=percent(60 + n % 20), at=at)
        case "mix":
            return Mix(product="tread epoxy", amount=ml(60), parts=PARTS, at=at)
        case "clean":
            return Clean(piece=piece, at=at)
        case "bond":
            return Bond(piece=piece, product="tread epoxy", at=at)
        case "fault":
            return Fault(piece=piece, fault="run", text="a run", at=at)
        case "tin":
            return Tin(product="amber varnish", change="bought", amount=ml(750), at=at)
    return Note(text=f"note {n}", at=at)


def made(count: int, days: int, seed: int = 1) -> list[Event]:
    """Events as a long job has them, spread over the ``days`` before the evening of 14 March 2026."""
    chance = random.Random(seed)
    out = []
    for n in range(count):
        back = days * (count - n) // (count + 1) if days > 1 else 0
        at = t("07:00") - timedelta(days=back) + timedelta(minutes=(n * 13) % 840)
        kind = chance.choices(KINDS, (25, 20, 25, 8, 8, 4, 2, 3, 5))[0]
        out.append(one(kind, PIECES[n % len(PIECES)], at, n))
    return out


Job = tuple[State, Cards, list[Entry]]


def made_job(folder: Path, count: int, days: int) -> Job:
    all_ = told([*loaded(folder), *made(count, days)])
    state = state_of(all_)
    return state, Library(state.labels).card, entries(all_)


@pytest.fixture(scope="module")
def busy(tmp_path_factory: pytest.TempPathFactory) -> Job:
    return made_job(tmp_path_factory.mktemp("day"), 300, 1)


@pytest.fixture(scope="module")
def year(tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest) -> Job:
    count = 3000 if request.config.getoption("--benchmark-disable") else 60_000
    return made_job(tmp_path_factory.mktemp("year"), count, 364)


def of_day(job: Job) -> Day:
    state, cards, told_ = job
    return day(told_, state, cards, YEAR[1], NOW)


def of_year(job: Job) -> Day:
    state, cards, told_ = job
    return day(told_, state, cards, YEAR[0], NOW, last=YEAR[1])


def test_text_of_a_day_of_300_events(benchmark: Any, busy: Job) -> None:
    text = benchmark(lambda: diary.text(of_day(busy)))
    assert "Saturday 14 March 2026" in text


def test_text_of_a_year(benchmark: Any, year: Job) -> None:
    text = benchmark(lambda: diary.text(of_year(year)))
    assert len(text.splitlines()) > 300


def test_page_of_a_day_of_300_events(benchmark: Any, busy: Job) -> None:
    state, cards, told_ = busy
    climate = [e.event for e in told_ if e.event.kind == "climate"]
    html = benchmark(lambda: page(of_day(busy), state, cards, climate=climate))  # type: ignore[arg-type]
    benchmark.extra_info["bytes"] = len(html.encode())
    assert len(html.encode()) < 400_000


def test_page_of_a_year(benchmark: Any, year: Job) -> None:
    state, cards, _ = year
    html = benchmark(lambda: page(of_year(year), state, cards))
    benchmark.extra_info["bytes"] = len(html.encode())
    assert len(html.encode()) < 400_000


def test_stock_of_a_year(benchmark: Any, year: Job) -> None:
    state, cards, told_ = year
    history = [e.event for e in told_]
    assert benchmark(lambda: stock(state, cards, NOW, history=history))["amber varnish"].left is not None


def test_alarms_ahead(benchmark: Any, busy: Job) -> None:
    state, cards, _ = busy
    assert benchmark(lambda: alarms(state, cards, NOW, NOW + timedelta(days=2)))


def test_a_day_out_of_a_journal(benchmark: Any, tmp_path: Path) -> None:
    """With the reading of the file: what `dabhand diary` does after the program has started."""
    with Journal.open(tmp_path / "job.sqlite") as book:
        book.append([*loaded(tmp_path), *made(300, 1)])

        def run() -> str:
            state = book.state
            start, end = bounds(YEAR[1], YEAR[1], LONDON)
            return diary.text(day(book.history(start, end), state, Library(state.labels).card, YEAR[1], NOW))

        assert "Saturday" in benchmark(run)


def test_a_year_out_of_a_journal(benchmark: Any, tmp_path: Path, request: pytest.FixtureRequest) -> None:
    """With the reading of the file."""
    count = 3000 if request.config.getoption("--benchmark-disable") else 60_000
    with Journal.open(tmp_path / "job.sqlite") as book:
        book.append([*loaded(tmp_path), *made(count, 364)])

        def run() -> str:
            state = book.state
            history = book.history(*bounds(*YEAR, LONDON))
            return diary.text(day(history, state, Library(state.labels).card, YEAR[0], NOW, last=YEAR[1]))

        assert len(benchmark(run).splitlines()) > 300
