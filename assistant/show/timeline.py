"""The week on a terminal: a row for each piece, a band for every few days.

``#`` hands on, ``~`` wet, ``-`` drying, ``=`` may be coated (until the window shuts), ``!`` its window has shut;
over them ``:`` is sleep or time away and ``'`` quiet hours. Block characters stand for these where the
terminal can show them.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from textwrap import wrap
from typing import TYPE_CHECKING, Final

from assistant.craft.times import hours, like, spoken, utc

if TYPE_CHECKING:
    from assistant.craft.plan.step import LaidFilm, Plan

#: What each state of a column looks like, the stronger last: plain, and with block characters.
PLAIN: Final = {"sleep": ":", "quiet": "'", "drying": "-", "open": "=", "shut": "!", "wet": "~", "hands": "#"}
BLOCKS: Final = {"sleep": "░", "quiet": "·", "drying": "─", "open": "═", "shut": "!", "wet": "≈", "hands": "█"}
KEY: Final = (
    ("hands", "hands on"), ("wet", "wet"), ("drying", "drying"), ("open", "may be coated"), ("shut", "window shut"),
    ("sleep", "sleep"), ("quiet", "quiet"),
)  # fmt: skip
_LEAST_WIDTH: Final = 50


def text(plan: Plan, now: datetime, width: int = 100, *, blocks: bool = True, steps: bool = True) -> str:
    """Give the picture in lines of at most ``width`` characters, then the verdict and the steps day by day."""
    width = max(width, _LEAST_WIDTH)
    if not plan.steps:
        lines = ["Nothing is planned: say what is to be done."]
        return "\n".join([*lines, *_said(plan, now)])
    marks = BLOCKS if blocks else PLAIN
    lines = [*_bands(plan, now, width, marks), ""]
    key = "  ".join(f"{marks[what]} {words}" for what, words in KEY)
    lines += [*wrap(key, width), "", *(line for said in _said(plan, now) for line in wrap(said, width))]
    if steps:
        lines += ["", *_list(plan, now, width)]
    return "\n".join(line.rstrip() for line in lines)


def _bands(plan: Plan, now: datetime, width: int, marks: dict[str, str]) -> list[str]:
    pieces = list(dict.fromkeys(p.piece or p.step.task for p in plan.steps))
    label = min(max(len(p) for p in pieces), width // 4)
    room = width - label - 1
    # Columns of an hour as long as a day fits twice; a narrow terminal gets coarser ones.
    column = next(h for h in (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 6.0) if 24 / h <= room)
    days = max(int(room // (24 / column)), 1)
    end = max(p.end for p in plan.steps)
    count = (like(end, now).date() - now.date()).days + 1
    out: list[str] = []
    for first in range(0, count, days):
        shown = [now.date() + timedelta(days=first + d) for d in range(min(days, count - first))]
        out += ["", *_band(plan, pieces, shown, column=column, label=label, marks=marks)]
    return out[1:]


def _band(
    plan: Plan, pieces: Sequence[str], days: Sequence[date], *, column: float, label: int, marks: dict[str, str]
) -> list[str]:
    per_day = int(24 / column)
    edges = [_clock(day, k * column, plan.now) for day in days for k in range(per_day)]
    head = "".join(f"{f'{day:%a} {day.day} {day:%b}':<{per_day}}"[:per_day] for day in days)
    ruler = "".join(_ruler(per_day, column) for _ in days)
    clock = "".join(marks.get(_hour(plan, edge, column), " ") for edge in edges)
    out = [f"{'':{label}} {row}" for row in (head, ruler, clock)]
    for piece in pieces:
        row = "".join(marks.get(_cell(plan, piece, edge, column), " ") for edge in edges)
        out.append(f"{piece[:label]:>{label}} {row}")
    return out


def _clock(day: date, after: float, now: datetime) -> datetime:
    # By the clock face: on the nights the clocks change a column is missing or doubled.
    minutes = round(after * 60)
    return datetime.combine(day, time(minutes // 60, minutes % 60), now.tzinfo)


def _ruler(per_day: int, column: float) -> str:
    out = [" "] * per_day
    for hour in (0, 6, 12, 18):
        place = int(hour / column)
        written = f"|{hour}" if hour else "|"
        out[place : place + len(written)] = written
    return "".join(out)[:per_day]


def _hour(plan: Plan, edge: datetime, column: float) -> str:
    """Say what the clock allows in a column: sleep (or time away), quiet, or anything."""
    begin, end = utc(edge), utc(edge) + timedelta(hours=column)
    on = {s.what for s in plan.spans if utc(s.start) < end and utc(s.end) > begin}
    return "sleep" if on - {"quiet"} else "quiet" if on else ""


def _cell(plan: Plan, piece: str, edge: datetime, column: float) -> str:
    """Say what there is to see of a piece in a column: hands on it, else the state of its film."""
    begin, end = utc(edge), utc(edge) + timedelta(hours=column)
    for placed in plan.steps:
        if (placed.piece or placed.step.task) == piece and utc(placed.start) < end and utc(placed.end) > begin:
            return "hands"
    film = _film(plan, piece, begin)
    return "" if film is None or end <= utc(plan.now) else _of_film(film, begin)


def _film(plan: Plan, piece: str, at: datetime) -> LaidFilm | None:
    on = [f for f in plan.films if f.piece == piece and utc(f.laid) <= at]
    return max(on, key=lambda f: utc(f.laid), default=None)


def _of_film(film: LaidFilm, at: datetime) -> str:
    dust, over = film.at("dust"), film.at("overcoat")
    if dust is not None and at < utc(dust):
        return "wet"
    if over is not None and at < utc(over):
        return "drying"
    if film.shuts is not None:
        return "open" if at < utc(film.shuts) else "shut"
    return ""


def _said(plan: Plan, now: datetime) -> list[str]:
    out = []
    if plan.finish is not None:
        proved = "proved" if plan.optimal else f"not before {spoken(plan.bound or plan.finish, now)} in any case"
        out.append(f"Done by {spoken(plan.finish, now)} ({proved}). {_verdict(plan, now)}".rstrip())
        if plan.critical:
            out.append(f"It hangs on: {'; '.join(plan.critical[:4])}.")
    out += [f"! {problem}" for problem in plan.problems]
    if plan.assumes:
        out.append(f"Taken: {'; '.join(plan.assumes)}.")
    return out


def _verdict(plan: Plan, now: datetime) -> str:
    if plan.deadline is None:
        return "No deadline was given."
    end = spoken(plan.deadline, now)
    if plan.holds:
        return f"The deadline, {end}, holds with {hours(plan.finish or now, plan.deadline):.0f} h to spare."
    if plan.holds is None:
        return f"Whether the deadline, {end}, holds cannot be said: figures are missing."
    return f"The deadline, {end}, does not hold."


def _list(plan: Plan, now: datetime, width: int) -> list[str]:
    out: list[str] = []
    day: date | None = None
    for placed in plan.steps:
        start, end = like(placed.start, now), like(placed.end, now)
        if start.date() != day:
            day = start.date()
            out.append(f"{start:%A} {start.day} {start:%B}")
        marks = "".join(m for m, on in (("n", placed.step.noise), ("d", placed.step.dust)) if on)
        line = f"  {start:%H:%M}-{end:%H:%M} {marks:<2} {placed.text}"
        out.append(line if len(line) <= width else line[: width - 3] + "...")
    out.append("(n: noise, d: dust)")
    return out
