"""The grid of quarter hours a plan lies on: which of them are slept, quiet or spent elsewhere."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime, time, timedelta
from functools import cached_property
from typing import Any, Final

from assistant.craft.plan.step import NIGHT, Span
from assistant.craft.times import HAIR, like, utc
from assistant.journal.events import Hours
from assistant.journal.state import State

#: Minutes in a slot. Every zone's clock differs from UTC by whole quarter hours, so slots fit all of them.
QUARTER: Final = 15
_SLOT: Final = timedelta(minutes=QUARTER)
_DAY: Final = timedelta(days=1)
#: Rules of which the last one said is the one that recurs.
NIGHTLY: Final = ("sleep", "quiet")
#: A slot that never comes.
NEVER: Final = 1 << 30


class Grid:
    """Slots from ``now`` on, counted in UTC and shown in the zone of ``now``.

    Slot 0 is the first whole quarter at or after ``now``. ``hands`` has a 1 for each slot in which the
    person may work, ``loud`` for each in which there may be noise as well.
    """

    def __init__(self, state: State, now: datetime, days: int, away: Sequence[tuple[datetime, datetime]] = ()) -> None:
        self.now = now
        whole = utc(now).replace(minute=utc(now).minute // QUARTER * QUARTER, second=0, microsecond=0)
        self.origin = whole if utc(now) - whole <= HAIR else whole + _SLOT
        self.size = days * 24 * 60 // QUARTER
        self.spans = tuple(self._spans(state, away))
        self.hands, self.loud = bytearray(b"\1" * self.size), bytearray(b"\1" * self.size)
        for span in self.spans:
            first, last = self._cover(span.start, span.end)
            blank = bytes(max(last - first, 0))
            self.loud[first:last] = blank
            if span.what != "quiet":
                self.hands[first:last] = blank

    def time(self, slot: int) -> datetime:
        """Give the clock time at which a slot begins, in the zone of ``now``."""
        return like(self.origin + slot * _SLOT, self.now)

    def hour(self, moment: datetime) -> float:
        """Hours from slot 0 to ``moment``."""
        return (utc(moment) - self.origin) / timedelta(hours=1)

    def up(self, moment: datetime) -> int:
        """Give the first slot that begins at or after ``moment`` (0 for what is past)."""
        return max(math.ceil((utc(moment) - self.origin - HAIR) / _SLOT), 0)

    def down(self, moment: datetime) -> int:
        """Give the last slot that begins at or before ``moment``; negative for what is past."""
        return math.floor((utc(moment) - self.origin + HAIR) / _SLOT)

    @cached_property
    def night(self) -> bytearray:
        """A 1 for each slot of the night, whoever sleeps or not."""
        out = bytearray(self.size)
        for start, end in _daily(NIGHT, self.now, self.size):
            first, last = self._cover(start, end)
            out[first:last] = b"\1" * max(last - first, 0)
        return out

    def _cover(self, start: datetime, end: datetime) -> tuple[int, int]:
        return min(max(self.down(start), 0), self.size), min(self.up(end), self.size)

    def _spans(self, state: State, away: Sequence[tuple[datetime, datetime]]) -> Iterator[Span]:
        for what in ("sleep", "quiet", "away"):
            for start, end in ruled(state, what, self.now, self.size):
                yield Span(what, start, end)
        for start, end in away:
            if utc(end) > utc(self.now) and utc(start) < utc(end):
                yield Span("away", like(start, self.now), like(end, self.now))


def ruled(
    state: State, what: str, now: datetime, slots: int, space: str | None = None
) -> Iterator[tuple[datetime, datetime]]:
    """Give when a rule holds that is not over by ``now``, in so many slots: each day of a daily one, each single one.

    Of the nightly rules (``sleep``, ``quiet``) the last one said stands, of the others all do. A single
    night is added to the daily one, which may cost time and never promises any. ``space`` is the one
    asked about: a rule of another does not hold there.
    """
    if what in NIGHTLY:
        clocks = daily_rule(state, what, now)
        daily = [clocks] if clocks is not None else []
    else:
        daily = [pair for h in _said(state, what, space, "daily") if (pair := _faces(h, now)) is not None]
    for clocks in daily:
        yield from _daily(clocks, now, slots)
    for h in _said(state, what, space, None):
        if h.start and h.end and utc(h.end) > utc(now) and utc(h.start) < utc(h.end):
            yield like(h.start, now), like(h.end, now)


def _said(state: State, what: str, space: str | None, repeat: str | None) -> Iterator[Hours]:
    for h in state.hours.get(what, ()):
        if h.repeat == repeat and h.space in (None, space):
            yield h


def _faces(rule: Hours, now: datetime) -> tuple[time, time] | None:
    """Give the clock times of a daily rule; None where it has not both, or both are the same: none at all."""
    if rule.start is None or rule.end is None:
        return None
    pair = like(rule.start, now).time(), like(rule.end, now).time()
    return None if pair[0] == pair[1] else pair


def daily_rule(state: State, what: str, now: datetime) -> tuple[time, time] | None:
    """Give the clock times of ``sleep`` or ``quiet``: what was said last, else the job file's, else None."""
    said = list(_said(state, what, None, "daily"))
    if said:
        return _faces(said[-1], now)
    pair = _clocks(state.job.get(what))
    return None if pair is None or pair[0] == pair[1] else pair


def ruled_until(state: State, what: str, now: datetime) -> datetime | None:
    """Give the end of the ``sleep`` or ``quiet`` hours that ``now`` lies in; None outside them."""
    holding = [end for start, end in ruled(state, what, now, 0) if utc(start) <= utc(now)]
    return max(holding, key=utc, default=None)


def _clocks(written: Any) -> tuple[time, time] | None:
    try:
        start, end = (time.fromisoformat(str(clock)) for clock in written)
    except (TypeError, ValueError):
        return None
    return start, end


def deadline(state: State, now: datetime) -> datetime | None:
    """Give the job's deadline in the zone of ``now``: what was said last, else the job file's."""
    said = [h.end or h.start for h in state.hours.get("deadline", ()) if h.piece is None]
    if said and said[-1] is not None:
        return like(said[-1], now)
    written = state.job.get("deadline")
    if not isinstance(written, str):
        return None
    try:
        found = datetime.fromisoformat(written)
    except ValueError:
        return None
    return like(found if found.tzinfo else found.replace(tzinfo=now.tzinfo), now)


def _daily(clocks: tuple[time, time], now: datetime, slots: int) -> Iterator[tuple[datetime, datetime]]:
    start, end = clocks
    over = timedelta(days=1) if end <= start else timedelta(0)
    days = slots * QUARTER // (24 * 60) + 2
    for offset in range(-1, days):
        day = now.date() + offset * _DAY
        # By the clock face of that day: the night the clocks change is an hour shorter or longer.
        begin = datetime.combine(day, start, now.tzinfo).astimezone(UTC)
        finish = datetime.combine(day + over, end, now.tzinfo).astimezone(UTC)
        if finish > utc(now):
            yield like(begin, now), like(finish, now)
