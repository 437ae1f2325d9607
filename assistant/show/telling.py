"""What happened, in the trade's words: one act, a day's acts on a piece, a wait, a total."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, tzinfo
from typing import Final

from assistant.craft.day import Air, CoatsOn, Day
from assistant.craft.readiness import WORDS, Readiness
from assistant.craft.times import like, spoken
from assistant.journal.events import (
    Bond,
    Clean,
    Coat,
    Event,
    Fault,
    Fill,
    Fit,
    Gear,
    Hours,
    Mask,
    Mix,
    Note,
    Sand,
    Strip,
    Task,
    Tin,
    Unmask,
    Unread,
    Work,
)
from assistant.journal.state import Entry
from assistant.wording import amount, capital, figure, listed, ordinal

_VERBS: Final[dict[type[Event], str]] = {
    Fill: "filled", Strip: "stripped", Clean: "cleaned", Mask: "masked", Unmask: "tape pulled",
    Bond: "glued", Fit: "fitted",
}  # fmt: skip
_NIGHTLY: Final = ("sleep", "quiet")  # every day unless it is said otherwise
_TINS: Final = {"empty": "the tin is empty", "spoiled": "spoiled", "returned": "returned"}


def act(event: Event) -> str:
    """Say what was done, without the piece: "second coat of amber varnish, thinned 10 percent"."""
    if isinstance(event, Coat):
        of = f" of {event.product}" if event.product else ""
        thinned = f", thinned {amount(event.thinned)}" if event.thinned else ""
        return f"{ordinal(event.coat).lower()} coat{of}{thinned}{_where(event.part)}"
    if isinstance(event, Sand):
        return (f"sanded with {event.grit}" if event.grit else "sanded") + _where(event.part)
    if isinstance(event, Work) and (verb := _VERBS.get(type(event))) is not None:
        return (f"{verb} with {event.product}" if event.product else verb) + _where(event.part)
    return _other(event)


def _where(part: str | None) -> str:
    return f" (the {part})" if part else ""


def _other(event: Event) -> str:
    if isinstance(event, Mix):
        return mixed(event)
    if isinstance(event, Fault):
        name = "fault" if event.fault == "other" else event.fault
        return f"{name} (“{event.text}”)" if event.text else name
    if isinstance(event, Tin):
        said = _TINS.get(event.change, event.change)
        size = f" {amount(event.amount)}" if event.amount else ""
        return f"{event.product}: {said}{size}"
    if isinstance(event, Task):
        due = f", by {_day_and_time(event.due)}" if event.due and event.state == "open" else ""
        return f"{ {'open': 'to do', 'done': 'done', 'dropped': 'dropped'}[event.state] }: {event.text}{due}"
    if isinstance(event, Gear):
        return f"{event.item} {event.change}"
    if isinstance(event, Note):
        return event.text
    if isinstance(event, Hours):
        where = f" of the {event.space}" if event.space else ""
        return f"hours: {event.rule}{where}" + (", every day" if event.repeat and event.rule not in _NIGHTLY else "")
    if isinstance(event, Unread):
        return f"unread: “{event.text}”" if event.text.strip() else "unread, and settled since"
    return event.kind


def mixed(mix: Mix) -> str:
    """Say a mix: "mixed 180 ml of tread epoxy: 120 ml resin and 60 ml hardener"."""
    total = f"{amount(mix.amount)} of " if mix.amount else ""
    parts = listed(f"{amount(a)} {name}" for name, a in mix.parts or ())
    return f"mixed {total}{mix.product or 'something'}" + (f": {parts}" if parts else "")


def by_piece(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    """Sort entries by piece, the one worked on first in front; what is of no piece is under ""."""
    out: dict[str, list[Entry]] = {}
    for entry in entries:
        out.setdefault(getattr(entry.event, "piece", None) or "", []).append(entry)
    rest = out.pop("", None)
    return {**out, "": rest} if rest else out


def summed_up(events: Iterable[Event], wanted: Mapping[str, int] | None = None) -> str:
    """Say a piece's acts in one clause, like ones together: "sanded with 120 and 180, laid the first coat".

    ``wanted`` are the coats planned on the piece by product: "laid the second of 5 coats of ...".
    """
    clauses: list[str] = []
    grits: list[str] = []
    for event in [*events, None]:
        if isinstance(event, Sand) and event.part is None:
            grits.append(str(event.grit) if event.grit else "")
            continue
        if grits:
            named = list(dict.fromkeys(g for g in grits if g))
            clauses.append("sanded with " + listed(named) if named else "sanded")
            grits = []
        if event is not None and not isinstance(event, Fault | Task | Note | Unread):
            said = act(event)
            if isinstance(event, Coat):
                of = (wanted or {}).get(event.product or "", 0)
                said = f"laid the {said.replace(' coat', f' of {of} coats', 1) if of > 1 else said}"
            clauses.append(said)
    return listed(list(dict.fromkeys(clauses)))


def correction(entry: Entry, said: Mapping[int, Event], zone: tzinfo | None) -> str:
    """Say what a correction changed: "corrected, was 10:30" or "taken back"; empty if there was none."""
    if entry.undone:
        return "taken back"
    if not entry.corrected:
        return ""
    before = said.get(entry.event.id)
    if before is None:
        return "corrected"
    changes = []
    if (before.at, before.between) != (entry.event.at, entry.event.between):
        changes.append(when(before, zone))
    if (old := getattr(before, "piece", None)) != getattr(entry.event, "piece", None):
        changes.append(f"the {old}")
    if act(before) != act(entry.event):
        changes.append(act(before))
    return f"corrected, was {', '.join(changes)}" if changes else "corrected"


def so_far(coats: CoatsOn) -> str:
    """Say how far a piece is: "2 of 5 coats of amber varnish"."""
    of = f" of {coats.product}" if coats.product else ""
    if coats.wanted:
        return f"{coats.on} of {many(coats.wanted, 'coat')}{of}"
    return f"{many(coats.on, 'coat')}{of}"


def air(reading: Air) -> str:
    """Say the extremes of a space: "fore cabin 12 to 17 degrees, 60 to 72 percent"."""
    parts = []
    if reading.low is not None and reading.high is not None:
        parts.append(_range(reading.low.value, reading.high.value, "degrees"))
    if reading.damp_low is not None and reading.damp_high is not None:
        parts.append(_range(reading.damp_low.value, reading.damp_high.value, "percent"))
    return f"{reading.space or 'everywhere'} {', '.join(parts)}"


def _range(low: float, high: float, unit: str) -> str:
    return f"{figure(low)} {unit}" if low == high else f"{figure(low)} to {figure(high)} {unit}"


def wait(found: Readiness, now: datetime) -> str:
    """Say what a piece waits for: "hatch trim: ready for the next coat at 04:10 tomorrow"."""
    stage = WORDS.get(found.stage, found.stage)
    if found.part is not None:
        stage = f"the {found.part} {stage}"
    if found.earliest is None:
        return f"{found.piece}: when it is {stage} nobody knows: {found.unknown}"
    shut = f", to be coated by {spoken(found.latest, now)}" if found.latest else ""
    return f"{found.piece}: {stage} at {spoken(found.earliest, now)}{shut}"


def heading(day: Day) -> str:
    """Give the day, or the days, as a person writes them."""
    if day.first == day.last:
        days = _date(day.first, "%A")
    else:
        first = f"{day.first:%a} {day.first.day}"
        if (day.first.year, day.first.month) != (day.last.year, day.last.month):
            first = _date(day.first, "%a") if day.first.year != day.last.year else f"{first} {day.first:%B}"
        days = f"{first} to {_date(day.last, '%a')}"
    return f"{capital(day.piece)}, {days}" if day.piece else days


def _date(day: date, name: str) -> str:
    return f"{day:{name}} {day.day} {day:%B %Y}"


def hours(value: float) -> str:
    """Say hours to the quarter, rounded down: "3 h", "3.25 h"."""
    return f"{int(value * 4) / 4:g} h"


def when(event: Event, zone: tzinfo | None) -> str:
    """Say when it was: "14:20", "about 10:00" for a vague time, "09:00 to 10:00" where it was said when it began."""
    at = f"{event.at.astimezone(zone):%H:%M}"
    if event.between is not None:
        at = f"about {at}"
    return f"{event.began.astimezone(zone):%H:%M} to {at}" if event.began else at


def _day_and_time(time: datetime) -> str:
    return f"{time:%a} {time.day} {time:%b %H:%M}"


def clock(time: datetime, model: datetime) -> str:
    """Give ``14:20`` in the model's zone."""
    return f"{like(time, model):%H:%M}"


def many(number: int, word: str) -> str:
    """Give "1 coat", "3 coats", "2 mixes"."""
    plural = f"{word}es" if word.endswith("x") else f"{word}s"
    return f"{number} {word if number == 1 else plural}"
