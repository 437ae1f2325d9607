"""Instants: compared and added in UTC, rounded the safe way, said in the job's own zone.

Python compares and subtracts two times of one zone by their clock faces, which is an hour wrong on the
two nights a year when the clocks change. Everything in ``craft`` therefore goes through here.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

#: Sums of floats land a hair past a whole minute; a millisecond is no reason to wait another one.
HAIR: Final = timedelta(milliseconds=1)
_MINUTE: Final = timedelta(minutes=1)


def utc(time: datetime) -> datetime:
    """Give the same instant in UTC; ``ValueError`` if ``time`` has no zone."""
    if time.tzinfo is None:
        raise ValueError(f"{time.isoformat()} has no zone")
    return time.astimezone(UTC)


def like(time: datetime, model: datetime) -> datetime:
    """Give the same instant in the zone of ``model``."""
    return time.astimezone(model.tzinfo)


def hours(start: datetime, end: datetime) -> float:
    """Hours that really pass from ``start`` to ``end``."""
    return (utc(end) - utc(start)) / timedelta(hours=1)


def up(time: datetime) -> datetime:
    """Round to a whole minute, later: for what must have dried by then."""
    exact = utc(time) - HAIR
    whole = exact.replace(second=0, microsecond=0)
    return like(whole if whole == exact else whole + _MINUTE, time)


def down(time: datetime) -> datetime:
    """Round to a whole minute, earlier: for what must be done by then."""
    return like((utc(time) + HAIR).replace(second=0, microsecond=0), time)


def spoken(time: datetime, now: datetime) -> str:
    """Give ``14:20``, ``14:20 tomorrow``, ``14:20 on Tuesday`` or ``14:20 on 3 April``, in now's zone."""
    local = like(time, now)
    clock = f"{local:%H:%M}"
    days = (local.date() - now.date()).days
    if days == 0:
        return clock
    if abs(days) == 1:
        return f"{clock} {'tomorrow' if days == 1 else 'yesterday'}"
    if 1 < days < 7:
        return f"{clock} on {local:%A}"
    return f"{clock} on {local.day} {local:%B}"
