"""The week as a picture to pin on a bulkhead: a lane for each piece, the films in the colour of their stage."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Final

from assistant.craft.times import hours, like, spoken, utc
from assistant.show.canvas import Box, Line, Sheet, Words

if TYPE_CHECKING:
    from assistant.craft.plan.step import LaidFilm, Placed, Plan

#: Ink on paper: readable in a dim cabin, and by someone who does not tell red from green.
INK, FAINT, RULE = "#1d2733", "#66727f", "#c4ccd4"
NIGHT, QUIET = "#dfe4ea", "#f1f3f6"
WET, DRYING, OPEN, SHUT = "#e08a1e", "#f4cf8f", "#fdf1d8", "#b9a3c9"
HANDS, NOISY, DEADLINE = "#1f5f8b", "#0b2f4a", "#b3261e"
LEFT: Final = 190.0
TOP: Final = 92.0
LANE: Final = 38.0
WIDTH: Final = 1500.0
RIGHT: Final = 24.0


def save(plan: Plan, path: Path, *, title: str = "The plan") -> None:
    """Draw the plan into ``path``; the ending, .svg or .png, decides how. ``Problem`` if it cannot be written."""
    sheet(plan, title=title).save(path)


def sheet(plan: Plan, *, title: str = "The plan") -> Sheet:
    """Give the drawing: pieces by space, day after day from midnight before now to the end."""
    return _Drawing(plan, title).drawn()


class _Drawing:
    """One plan on its way onto a sheet."""

    def __init__(self, plan: Plan, title: str) -> None:
        self.plan, self.title, now = plan, title, plan.now
        self.begin = datetime.combine(now.date(), time(0), now.tzinfo)
        last = max([p.end for p in plan.steps] + [now], key=utc)
        if plan.deadline is not None and hours(last, plan.deadline) < 72.0:
            last = max(last, plan.deadline, key=utc)
        day = like(last, now).date() + timedelta(days=1)
        self.end = datetime.combine(day, time(0), now.tzinfo)
        self.lanes = self._lanes()
        self.bottom = TOP + LANE * max(len(self.lanes), 1)
        self.sheet = Sheet(WIDTH, self.bottom + 66.0, title)

    def _lanes(self) -> list[tuple[str, str]]:
        """Give (piece, space), pieces of one space together."""
        seen = {p.piece or p.step.task: p.step.space or "" for p in self.plan.steps}
        spaces = list(dict.fromkeys(seen.values()))
        return sorted(seen.items(), key=lambda lane: spaces.index(lane[1]))

    def x(self, moment: datetime) -> float:
        share = hours(self.begin, moment) / hours(self.begin, self.end)
        return LEFT + min(max(share, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)

    def drawn(self) -> Sheet:
        self.shading()
        self.days()
        for number, (piece, space) in enumerate(self.lanes):
            self.lane(number, piece, space)
        self.marks()
        self.words()
        return self.sheet

    def box(self, start: datetime, end: datetime, y: float, height: float, fill: str) -> None:
        left, right = self.x(start), self.x(end)
        if right > left:
            self.sheet.marks.append(Box(left, y, right - left, height, fill))

    def shading(self) -> None:
        spans = sorted(self.plan.spans, key=lambda s: s.what != "quiet")
        for span in spans:  # quiet first, so that sleep lies over it
            self.box(span.start, span.end, TOP, self.bottom - TOP, QUIET if span.what == "quiet" else NIGHT)

    def days(self) -> None:
        marks, day = self.sheet.marks, self.begin
        while utc(day) < utc(self.end):
            x = self.x(day)
            marks.append(Line(x, TOP - 30, x, self.bottom, RULE, 1.2))
            marks.append(Words(x + 5, TOP - 16, f"{day:%a} {day.day} {day:%b}", 13, INK, bold=True))
            for hour in (6, 12, 18):
                at = self.x(day.replace(hour=hour))
                marks.append(Line(at, TOP - 5, at, self.bottom, RULE, 0.4))
                marks.append(Words(at, TOP - 6, str(hour), 9, FAINT, "middle"))
            day = datetime.combine(day.date() + timedelta(days=1), time(0), day.tzinfo)

    def lane(self, number: int, piece: str, space: str) -> None:
        y = TOP + number * LANE
        marks = self.sheet.marks
        marks.append(Line(12, y, WIDTH - RIGHT, y, RULE, 0.6))
        marks.append(Words(LEFT - 8, y + 17, piece, 13, INK, "end", bold=True))
        marks.append(Words(LEFT - 8, y + 31, space, 10, FAINT, "end"))
        films = sorted((f for f in self.plan.films if f.piece == piece), key=lambda f: utc(f.laid))
        for place, film in enumerate(films):
            until = films[place + 1].laid if place + 1 < len(films) else self.end
            self.film(film, until, y + 20)
        for placed in self.plan.steps:
            if (placed.piece or placed.step.task) == piece:
                self.work(placed, y + 4)

    def film(self, film: LaidFilm, until: datetime, y: float) -> None:
        dust, over = film.at("dust") or film.at("touch"), film.at("overcoat")
        at = film.laid
        for end, fill in ((dust, WET), (over, DRYING), (film.shuts, OPEN)):
            if end is None:
                continue
            stop = min(end, until, key=utc)
            if utc(stop) > utc(at):
                self.box(at, stop, y, 13, fill)
                at = stop
        if film.shuts is not None and utc(at) < utc(until):
            self.box(at, until, y, 13, SHUT)

    def work(self, placed: Placed, y: float) -> None:
        step = placed.step
        self.box(placed.start, placed.end, y, 15, NOISY if step.noise else HANDS)
        left, right = self.x(placed.start), self.x(placed.end)
        word = str(step.coat) if step.kind == "coat" and step.coat else {"sand": "s", "fill": "f"}.get(step.kind, "")
        if word and right - left > 6:
            self.sheet.marks.append(Words((left + right) / 2, y + 12, word, 10, "#ffffff", "middle", bold=True))

    def marks(self) -> None:
        for moment, colour, word in ((self.plan.now, INK, "now"), (self.plan.deadline, DEADLINE, "deadline")):
            if moment is not None and utc(self.begin) <= utc(moment) <= utc(self.end):
                x = self.x(moment)
                self.sheet.marks.append(Line(x, TOP - 4, x, self.bottom + 4, colour, 1.8))
                self.sheet.marks.append(Words(x, self.bottom + 15, word, 10, colour, "middle", bold=True))

    def words(self) -> None:
        marks, plan = self.sheet.marks, self.plan
        marks.append(Words(12, 26, self.title, 19, INK, bold=True))
        marks.append(Words(12, 46, _verdict(plan), 12, FAINT))
        x, y = 12.0, self.bottom + 34
        key = (
            (HANDS, "hands on (number: the coat, s: sanding)"), (NOISY, "noisy"), (WET, "wet, no dust"),
            (DRYING, "drying"), (OPEN, "may be coated"), (SHUT, "window shut: key it"), (NIGHT, "sleep, away"),
            (QUIET, "quiet"),
        )  # fmt: skip
        for fill, word in key:
            marks.append(Box(x, y - 10, 18, 12, fill, RULE))
            marks.append(Words(x + 23, y, word, 11, INK))
            x += 44 + 6.1 * len(word)
        if plan.assumes:
            marks.append(Words(12, y + 20, f"Taken: {'; '.join(plan.assumes)}"[:230], 10, FAINT))


def _verdict(plan: Plan) -> str:
    if plan.finish is None:
        return "Nothing is planned."
    done = f"Done by {spoken(plan.finish, plan.now)}{' (proved)' if plan.optimal else ''}."
    if plan.deadline is None:
        return done
    end = spoken(plan.deadline, plan.now)
    if plan.holds is None:
        return f"{done} Whether the deadline, {end}, holds cannot be said: figures are missing."
    return f"{done} The deadline, {end}, {'holds' if plan.holds else 'does not hold'}."
