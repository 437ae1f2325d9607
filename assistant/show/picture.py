"""The timeline picture: a lane for each piece, a mark for each act, a bar while a film dries. Plain SVG."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from html import escape
from typing import Final, NamedTuple

from assistant.craft.day import Day
from assistant.craft.readiness import film_on, readiness
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import like, utc
from assistant.craft.waits import next_stage
from assistant.journal.events import Bond, Climate, Coat, Event, Fault, Fill, Mix, Sand, Task
from assistant.journal.state import State
from assistant.library.cards import Card
from assistant.show.telling import act, by_piece
from assistant.wording import figure

WIDE: Final = 960.0
_LEFT: Final = 150.0
_RIGHT: Final = 14.0
_LANE: Final = 34.0
_TOP: Final = 30.0
_AIR: Final = 62.0
#: From so many days on, a column a day.
FORTNIGHT: Final = 14
#: More lanes or marks make no picture.
_LANES: Final = 40
#: Colours by kind of material: varnish and oil amber, primers grey-green, paint slate, epoxy and glue brown.
COLOURS: Final = {
    "varnish": "#b5651d", "oil": "#b5651d", "sealer": "#cfa15a", "stain": "#7a4a21", "primer": "#71836f",
    "undercoat": "#9aa7ad", "topcoat": "#33566b", "antifouling": "#8c2f27", "epoxy": "#8a7a3c",
    "adhesive": "#8a7a3c", "filler": "#c2b59b", "putty": "#c2b59b", "resin": "#8a7a3c",
}  # fmt: skip
PLAIN: Final = "#6b6f6a"


class Frame(NamedTuple):
    """The hours shown, and how they come onto the paper."""

    start: datetime
    hours: float

    def x(self, at: datetime) -> float:
        """Give how far to the right a time is, at most at the edges."""
        gone = (utc(at) - utc(self.start)) / timedelta(hours=1)
        return _LEFT + (WIDE - _LEFT - _RIGHT) * min(max(gone / self.hours, 0.0), 1.0)


def colour(card: Card | None) -> str:
    """Give the colour that stands for a material."""
    return COLOURS.get(card.kind, PLAIN) if card else PLAIN


def timeline(day: Day, state: State, cards: Cards, climate: Iterable[Climate] = ()) -> str:
    """Draw one day (or up to a fortnight) as an SVG element; a longer span as its coats day by day."""
    if (day.last - day.first).days >= FORTNIGHT:
        return _columns(day)
    frame = _frame(day)
    lanes = by_piece(e for e in day.entries if not e.undone)
    pots = [e for e in lanes.pop("", []) if isinstance(e.event, Mix)]
    if pots:
        lanes["pots"] = pots
    shown = dict(list(lanes.items())[:_LANES])
    readings = [c for c in climate if c.temperature is not None and c.until is None]
    height = _TOP + _LANE * max(len(shown), 1) + (_AIR if readings else 0.0) + 8
    body = [*_grid(day, frame, height)]
    for row, (piece, entries) in enumerate(shown.items()):
        events = [e.event for e in entries]
        body += _lane(day, frame, (state, cards), piece, (_TOP + row * _LANE, events))
    if readings:
        body += _air(frame, readings, height - _AIR - 4)
    return _svg(height, f"What was done when, on {len(lanes)} pieces", body)


def _frame(day: Day) -> Frame:
    zone = day.at.tzinfo
    first = datetime(day.first.year, day.first.month, day.first.day, tzinfo=zone)
    if day.first < day.last:
        return Frame(first, 24.0 * ((day.last - day.first).days + 1))
    times = [e.event.at.astimezone(zone) for e in day.entries if not e.undone]
    begin = min((t.hour for t in times), default=8)
    hour = max(0, min(begin - 1, 7))
    return Frame(first + timedelta(hours=hour), 24.0 + 8.0 - hour)  # on to eight the next morning


def _grid(day: Day, frame: Frame, height: float) -> Iterator[str]:
    step = 2 if frame.hours <= 34 else 24
    for hour in range(0, math.ceil(frame.hours) + 1, step):
        at = frame.start + timedelta(hours=hour)
        if step == 24:
            label = f"{at:%a} {at.day}"
        else:
            at += timedelta(hours=at.hour % 2)
            label = f"{at:%H}"
        x = frame.x(at)
        if x >= WIDE - _RIGHT - 1 and hour:
            break
        night = at.hour == 0 and step == 2
        yield _upright("midnight" if night else "hour", x, 22, height)
        yield f'<text class="clock" x="{x + 3:.1f}" y="16">{label}</text>'
    if not day.whole:
        x = frame.x(day.at)
        yield _upright("now", x, 20, height)


def _upright(name: str, x: float, top: float, bottom: float) -> str:
    return f'<line class="{name}" x1="{x:.1f}" x2="{x:.1f}" y1="{top:.1f}" y2="{bottom:.1f}"/>'


def _lane(
    day: Day, frame: Frame, known: tuple[State, Cards], piece: str, lane: tuple[float, list[Event]]
) -> Iterator[str]:
    top, events = lane
    middle = top + _LANE / 2
    yield f'<line class="lane" x1="0" x2="{WIDE:g}" y1="{top:g}" y2="{top:g}"/>'
    name = piece if len(piece) < 22 else piece[:20] + "…"
    yield f'<text class="piece" x="0" y="{middle + 4:.1f}">{escape(name)}</text>'
    for event in events:
        if isinstance(event, Coat | Fill | Bond) and day.first == day.last:
            yield from _drying(day, frame, known, event, middle)
    yield from (_mark(frame, known[1], event, middle) for event in events)


def _drying(
    day: Day, frame: Frame, known: tuple[State, Cards], event: Coat | Fill | Bond, middle: float
) -> Iterator[str]:
    """Draw the film from laying until its next stage; open to the right where nobody knows when."""
    state, cards = known
    at = like(event.at, day.at)
    film = film_on(state, event.piece, at)
    if film is None or utc(film.laid) != utc(at):
        return
    found = readiness(state, cards, event.piece, next_stage(state, film, at), at)
    paint = colour(card_for(cards, event.product))
    begin = frame.x(at)
    if found.earliest is None:
        yield f'<path d="M{begin:.1f} {middle - 6:.1f}h22l6 6-6 6h-22z" fill="{paint}" opacity=".22"/>'
        return
    end = frame.x(found.earliest)
    title = f"<title>{escape(event.piece)}: drying until {found.earliest:%H:%M}</title>"
    yield (
        f'<rect x="{begin:.1f}" y="{middle - 6:.1f}" width="{max(end - begin, 1):.1f}" height="12" rx="2" '
        f'fill="{paint}" opacity=".26">{title}</rect>'
    )
    if end < WIDE - _RIGHT - 1:
        yield f'<rect x="{end:.1f}" y="{middle - 9:.1f}" width="1.5" height="18" fill="{paint}"/>'


def _mark(frame: Frame, cards: Cards, event: Event, middle: float) -> str:
    x, y = frame.x(event.at), middle
    title = f"<title>{event.at:%H:%M} {escape(act(event))}</title>"
    if isinstance(event, Coat | Fill | Bond | Mix):
        paint = colour(card_for(cards, event.product))
        shape = f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="{paint}"/>'
        if isinstance(event, Mix):  # a pot
            shape = f'<path d="M{x - 8:.1f} {y - 7:.1f}h16l-3 14h-10z" fill="{paint}"/>'
        if isinstance(event, Coat):
            shape += f'<text class="n" x="{x:.1f}" y="{y + 4:.1f}">{event.coat}</text>'
    elif isinstance(event, Sand):
        strokes = "".join(f"M{x + d:.1f} {y + 7:.1f}l4-14" for d in (-5, 0, 5))
        shape = f'<path class="sand" d="{strokes}"/>'
    elif isinstance(event, Fault):
        shape = f'<path class="fault" d="M{x:.1f} {y - 9:.1f}l9 16h-18z"/>'
    elif isinstance(event, Task):
        return ""
    else:
        shape = f'<rect class="other" x="{x - 3.5:.1f}" y="{y - 3.5:.1f}" width="7" height="7"/>'
    return f"<g>{title}{shape}</g>"


def _air(frame: Frame, readings: list[Climate], top: float) -> Iterator[str]:
    """Draw the temperatures, a line a space."""
    values = [c.temperature.value for c in readings if c.temperature]
    low, high = min(values) - 1.0, max(values) + 1.0
    by_space: dict[str | None, list[tuple[float, float]]] = {}
    for c in readings[:2000]:
        if c.temperature:
            y = top + _AIR - 10 - (_AIR - 24) * (c.temperature.value - low) / (high - low)
            by_space.setdefault(c.space, []).append((frame.x(c.at), y))
    yield f'<line class="lane" x1="0" x2="{WIDE:g}" y1="{top:g}" y2="{top:g}"/>'
    yield f'<text class="piece" x="0" y="{top + _AIR / 2 + 4:.1f}">air, degrees</text>'
    for space, points in by_space.items():
        path = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
        title = f"<title>{escape(space or 'everywhere')}</title>"
        yield f'<polyline class="air" points="{path}">{title}</polyline>'
        dots = points if len(points) <= 24 else []
        yield from (f'<circle class="reading" cx="{x:.1f}" cy="{y:.1f}" r="2.5"/>' for x, y in dots)
    for c in readings if len(readings) <= 8 else []:
        value = c.temperature.value if c.temperature else low
        y = top + _AIR - 10 - (_AIR - 24) * (value - low) / (high - low)
        yield f'<text class="clock" x="{frame.x(c.at) + 5:.1f}" y="{y - 4:.1f}">{figure(value)}</text>'


def _columns(day: Day) -> str:
    """Draw a column a day: coats, with the rest of the acts on top in pale."""
    most = max((b.acts for b in day.days), default=1) or 1
    wide, height = (WIDE - 20) / ((day.last - day.first).days + 1), 150.0
    column = max(wide - 1, 0.8)
    body = [f'<line class="lane" x1="10" x2="{WIDE - 10:g}" y1="{height:g}" y2="{height:g}"/>']
    for b in day.days:
        x = 10 + wide * (b.day - day.first).days
        for name, count in (("acts", b.acts), ("coats", b.coats)):
            tall = (height - 20) * count / most
            place = f'x="{x:.1f}" y="{height - tall:.1f}" width="{column:.1f}" height="{tall:.1f}"'
            body.append(f'<rect class="{name}" {place}><title>{b.day}: {count} {name}</title></rect>')
        if b.day.day == 1 or b.day == day.first or wide > 30:
            body.append(f'<text class="clock" x="{x:.1f}" y="{height + 16:g}">{b.day.day} {b.day:%b}</text>')
    return _svg(height + 24, "Acts and coats day by day", body)


def _svg(height: float, name: str, body: Iterable[str]) -> str:
    head = f'class="timeline" viewBox="0 0 {WIDE:g} {height:g}" role="img" aria-label="{escape(name)}"'
    return f"<svg {head}>{''.join(body)}</svg>"
