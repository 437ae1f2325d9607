"""What the checks need of the program's own types, and nothing that reckons."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from assistant.craft.air import Spell
from assistant.library.cards import Law, Rate, Row

START = datetime(2026, 3, 10, tzinfo=UTC)


def spells(*parts: tuple[float, float], endless: bool = False) -> tuple[Spell, ...]:
    """Spells one after another, each ``(celsius, hours)``; ``endless`` lets the last go on for ever."""
    out, at = [], START
    for celsius, hours in parts:
        end = at + timedelta(hours=hours)
        out.append(Spell(at, end, celsius, "logged"))
        at = end
    if endless:
        out[-1] = out[-1]._replace(end=None)
    return tuple(out)


def label(rows: Sequence[tuple[float, float]], rate: Rate | None = None) -> Law:
    """A law of ``(celsius, hours)`` rows."""
    return Law(tuple(Row(c, h) for c, h in rows), rate or Rate("doubling"), "the check's own")
