"""The fit-out of the narrowboat Linnet for the diary's tests: a job file, and a day told into a journal."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from assistant.craft.shelf import Cards
from assistant.journal.events import (
    Amend,
    Bond,
    Climate,
    Coat,
    Event,
    Fault,
    Mask,
    Mix,
    Note,
    Sand,
    Task,
    Tin,
    Undo,
)  # fmt: skip
from assistant.journal.state import Entry, State, entries, state_of
from assistant.journal.store import Journal
from assistant.library.catalogue import Library
from assistant.library.jobfile import read_job
from assistant.quantity import celsius, ml, percent

LONDON = ZoneInfo("Europe/London")

JOB = """
[job]
name = "linnet"
timezone = "Europe/London"

[[space]]
name = "fore cabin"
temperature = "16 degC"
[[space]]
name = "galley"
temperature = "18 degC"

[[piece]]
name = "hatch trim"
space = "fore cabin"
area = "0.4 m2"
[[piece]]
name = "hatch rail"
space = "fore cabin"
area = "0.3 m2"
[[piece]]
name = "galley doors"
space = "galley"
area = "1.8 m2"
[[piece]]
name = "step treads"
space = "fore cabin"
area = "0.9 m2"
[[piece]]
name = "cratch board"

[[label]]
name = "amber varnish"
family = "varnish-polyurethane-1k"
spreading = "10 m2/l"
thinner = { name = "thinner no. 2", max = "10 percent" }
[[label.times]]
at = "20 degC"
touch = "45 to 60 min"
dust = "1 h"
sand = "6 h"
overcoat = { min = "6 h", max = "72 h" }
handle = "24 h"
cured = "7 days"

[[label]]
name = "thinner no. 2"
family = "thinner-white-spirit"

[[label]]
name = "tread epoxy"
family = "epoxy-adhesive"
ratio = { by = "volume", parts = ["resin 2", "hardener 1"] }
density = { resin = "1.15 g/ml", hardener = "1.00 g/ml" }
pot_life = { at = "20 degC", mass = "100 g", time = "30 min" }

[[label]]
name = "two-part gloss"
family = "varnish-polyurethane-2k"
spreading = "12 m2/l"
ratio = { by = "volume", parts = ["base 2", "activator 1"] }

[[label]]
name = "contact glue"
family = "adhesive-contact"

[[tin]]
label = "amber varnish"
size = "750 ml"
batch = "V-118"
opened = 2026-03-01
[[tin]]
label = "amber varnish"
size = "750 ml"
batch = "V-121"
[[tin]]
label = "thinner no. 2"
size = "1 l"
[[tin]]
label = "tread epoxy"
size = "750 ml"
[[tin]]
label = "two-part gloss"
size = "1500 ml"

[[task]]
piece = "hatch trim"
do = "varnish"
coats = 5
label = "amber varnish"
[[task]]
piece = "galley doors"
do = "varnish"
coats = 3
label = "amber varnish"
"""


def t(clock: str, day: int = 14) -> datetime:
    """A time in March 2026 in the job's zone."""
    hour, minute = clock.split(":")
    return datetime(2026, 3, day, int(hour), int(minute), tzinfo=LONDON)


def loaded(folder: Path, text: str = JOB) -> list[Event]:
    """The job file as events of 1 March."""
    file = folder / "linnet.toml"
    file.write_text(text, encoding="utf-8")
    return read_job(file, said_at=t("08:00", 1), state=State())


def told(events: Iterable[Event]) -> list[Event]:
    """Give events the numbers that a journal would, and say each when it happened unless said later."""
    from dataclasses import replace

    out = []
    for number, event in enumerate(events, 1):
        said = event.said_at if event.said_at.year > 1970 else event.at
        out.append(replace(event, id=number, said_at=said))
    return out


def job(folder: Path, *events: Event, text: str = JOB) -> tuple[State, Cards, list[Entry]]:
    """The state after the job file and ``events``, its cards, and the entries."""
    all_ = told([*loaded(folder, text), *events])
    state = state_of(all_)
    return state, Library(state.labels).card, entries(all_)


def coat(clock: str, piece: str = "hatch trim", n: int = 1, product: str | None = "amber varnish",
         day: int = 14, thinned: float | None = None) -> Coat:  # fmt: skip
    return Coat(piece=piece, coat=n, product=product, at=t(clock, day),
                thinned=percent(thinned) if thinned else None)  # fmt: skip


def sand(clock: str, piece: str = "hatch trim", grit: int | None = 240, day: int = 14) -> Sand:
    return Sand(piece=piece, grit=grit, at=t(clock, day))


def mix(clock: str, product: str, total: float, *parts: tuple[str, float], day: int = 14) -> Mix:
    return Mix(product=product, amount=ml(total), parts=tuple((n, ml(v)) for n, v in parts) or None,
               at=t(clock, day))  # fmt: skip


def tin(clock: str, product: str, change: str, amount: float | None = None, day: int = 14) -> Tin:
    return Tin(product=product, change=change, amount=None if amount is None else ml(amount), at=t(clock, day))


def reading(clock: str, degrees: float, damp: float | None = None, space: str | None = "fore cabin",
            day: int = 14) -> Climate:  # fmt: skip
    return Climate(space=space, temperature=celsius(degrees), humidity=percent(damp) if damp else None,
                   at=t(clock, day))  # fmt: skip


def saturday() -> list[Event]:
    """A working Saturday, 14 March, with what led up to it."""
    return [
        coat("16:00", "hatch trim", 1, day=12, thinned=10.0),
        coat("16:30", "galley doors", 1, day=12),
        coat("15:00", "hatch trim", 2, day=13),
        reading("08:05", 14.0, 68.0),
        sand("08:40", "hatch trim", 240),
        sand("08:55", "hatch rail", 120),
        sand("09:10", "hatch rail", 180),
        Mask(piece="hatch trim", at=t("09:40")),
        coat("10:15", "hatch trim", 3),
        coat("10:40", "hatch rail", 1, thinned=10.0),
        mix("11:30", "tread epoxy", 180.0, ("resin", 120.0), ("hardener", 60.0)),
        Bond(piece="step treads", product="tread epoxy", at=t("11:40")),
        reading("13:00", 17.5, 61.0),
        Fault(piece="hatch rail", fault="run", text="run on the lower edge", at=t("13:10")),
        Task(text="flat the run on the hatch rail and coat it again", piece="hatch rail", at=t("13:10")),
        sand("14:05", "galley doors", 320),
        coat("14:45", "galley doors", 2),
        Note(text="the brush sheds hairs, buy another", at=t("15:00")),
        reading("17:30", 12.0, 72.0),
    ]


def corrected() -> list[Event]:
    """The Saturday again, with one coat taken back and one time put right."""
    loaded_before = 20  # the events of the job file
    day = saturday()
    third = loaded_before + 1 + next(i for i, e in enumerate(day) if isinstance(e, Coat) and e.coat == 3)
    wrong = coat("16:10", "cratch board", 1)
    number = loaded_before + len(day) + 1
    return [
        *day, wrong, Undo(of=(number,), at=t("16:12")),
        Amend(of=third, changes={"at": t("10:05").isoformat()}, at=t("16:15")),
    ]  # fmt: skip


def journal(folder: Path, events: Iterable[Event]) -> Journal:
    """A real journal with the job file and the events in it."""
    book = Journal.open(folder / "job.sqlite")
    book.append(loaded(folder))
    for event in told(events):
        book.append([event])
    return book
