"""The waits on the grid against the cure integral, and the integral's own worked sums."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from plan.build import NOW
from scipy.integrate import quad
from scipy.optimize import brentq

from assistant.craft.air import Spell
from assistant.craft.cure import reach
from assistant.craft.plan.drying import walk
from assistant.craft.plan.grid import NEVER, Grid
from assistant.journal.state import State
from assistant.library.cards import Law, Rate, Row

GRID = Grid(State(), NOW, 10)
LAW = Law((Row(20.0, 18.0),), Rate("doubling", step=10.0), "the check's own")


def air(*parts: tuple[float, float]) -> list[Spell]:
    """Spells of ``(celsius, hours)`` from slot 0 on; the last has no end."""
    out, at = [], GRID.time(0)
    for celsius, span in parts:
        out.append(Spell(at, at + timedelta(hours=span), celsius, "expected"))
        at += timedelta(hours=span)
    out[-1] = out[-1]._replace(end=None)
    return out


def test_twelve_hours_at_ten_and_twelve_at_twenty_are_eighteen_hours_at_twenty():
    """FACTS: rate doubling per 10 K, 12 h at 10 + 12 h at 20 = 18.0 h at 20 (computed)."""
    table = walk(LAW, air((10, 12), (20, 100)), None, GRID, up=True)
    assert table[0] == 24 * 4


def test_from_the_warm_on_the_label_holds():
    assert walk(LAW, air((20, 500)), None, GRID, up=True)[10] == 10 + 18 * 4


def test_it_stands_still_in_the_cold():
    table = walk(LAW, air((20, 9), (4, 10), (20, 100)), 8.0, GRID, up=True)
    assert table[0] == (9 + 10 + 9) * 4
    assert walk(LAW, air((4, 100)), 8.0, GRID, up=True)[0] == NEVER


spells = st.lists(st.tuples(st.floats(2, 35), st.integers(1, 60).map(lambda q: q / 4)), min_size=1, max_size=8)


@settings(max_examples=60, deadline=None)
@given(spells, st.integers(0, 300), st.floats(0.5, 40), st.booleans())
def test_every_slot_is_what_the_cure_integral_says(parts, slot: int, needed: float, frost: bool):
    """Against ``craft.cure.reach``, which its own checks hold to quadrature."""
    law = Law((Row(20.0, needed),), Rate("arrhenius", ea=55.0), "the check's own")
    least = 8.0 if frost else None
    begin: datetime = GRID.time(slot)
    exact = reach(law, begin, air(*parts), least).at
    for up in (True, False):
        found = walk(law, air(*parts), least, GRID, up=up)[slot]
        if exact is None or GRID.hour(exact) * 4 >= GRID.size - 1:
            assert found >= GRID.size - 1
        elif up:
            assert found == math.ceil(GRID.hour(exact) * 4 - 1e-5)
        else:
            assert found == math.floor(GRID.hour(exact) * 4 + 1e-5)


def test_the_straight_runs_say_what_the_slots_say():
    """The solver works on lines; each slot of the table lies on the line of its run, rounded up."""
    table = walk(LAW, air((20, 12), (11, 12), (20, 12), (9, 12), (17, 100)), None, GRID, up=True)
    for run, after in zip(table.runs, [*table.runs[1:], None], strict=True):
        for slot in range(run.first, after.first if after else 300):
            if table[slot] < NEVER:
                assert table[slot] == math.ceil(run.slope * slot + run.offset - 1e-6)


def test_a_smooth_night_by_quadrature():
    """A night in quarter-hour steps of a sine against scipy's quadrature of the smooth curve."""
    law = Law((Row(20.0, 10.0),), Rate("doubling", step=10.0), "the check's own")

    def celsius(hour: float) -> float:
        return 15.0 + 5.0 * math.cos(2 * math.pi * hour / 24)

    steps = [(celsius(k / 4 + 0.125), 0.25) for k in range(24 * 4 * 3)]
    found = walk(law, air(*steps), None, GRID, up=True)[0]

    def done(hour: float) -> float:
        return quad(lambda h: 1.0 / (10.0 * 2.0 ** ((20.0 - celsius(h)) / 10.0)), 0.0, hour, limit=200)[0] - 1.0

    assert abs(found / 4 - brentq(done, 1.0, 60.0)) <= 0.26
