"""A whole plan carried out in the journal: the program's own objections to each act are the referee.

``craft.clash`` judges what was done, from the journal's side: too soon, window shut, dust on wet films,
dust not settled, too cold. It shares nothing with the planner but the cure integral. A plan
to which it objects is a wrong plan. Sleep, quiet hours and one pair of hands are judged here.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import pytest
from plan.build import NOW, shelf, week

from assistant.craft.clash import clash
from assistant.craft.plan.step import Plan
from assistant.craft.plan.week import plan
from assistant.journal.events import Bond, Clean, Coat, Event, Fill, Sand
from assistant.journal.state import State, fold


def events_of(found: Plan) -> list[Event]:
    """What the person would tell: a film at the end of its step, sanding at its end."""
    kinds = {"coat": Coat, "sand": Sand, "fill": Fill, "bond": Bond, "clean": Clean}
    out: list[Event] = []
    for placed in found.steps:
        step = placed.step
        more = {
            "coat": {"product": step.product, "coat": step.coat or 1},
            "sand": {"grit": step.grit},
        }.get(step.kind, {"product": step.product} if step.lays else {})
        if step.kind in kinds and step.piece is not None:
            if placed.late:
                out.append(Sand(piece=step.piece, grit=180, at=placed.start))
                out.append(Clean(piece=step.piece, at=placed.start))
            out.append(kinds[step.kind](piece=step.piece, at=placed.end, **more))
    return out


def objections(state: State, found: Plan) -> list[str]:
    out = []
    cards = shelf()
    for event in events_of(found):
        out += [f"{event.at:%a %H:%M} {event.kind}: {said}" for said in clash(state, cards, event, event.at)]
        state = fold([event], state)
    return out


@pytest.mark.parametrize(("steps", "days", "seed"), [(20, 7, 1), (20, 7, 2), (40, 7, 3), (70, 7, 1), (120, 14, 2)])
def test_nobody_objects_to_the_plan(steps: int, days: int, seed: int):
    state = week(steps, days, seed)
    for limit in (0.0, 2.0):
        found = plan(state, shelf(), NOW, limit_s=limit)
        assert len(found.steps) >= steps - 1
        assert objections(state, found) == []


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_one_pair_of_hands_sleep_and_quiet(seed: int):
    found = plan(week(40, 7, seed), shelf(), NOW, limit_s=1.0)
    for one, other in pairwise(found.steps):
        assert one.end <= other.start
    for placed in found.steps:
        clock = placed.start
        while clock < placed.end:
            assert 7 <= clock.hour < 23
            assert not placed.step.noise or 8 <= clock.hour < 20
            clock += timedelta(minutes=15)


def test_the_referee_objects_to_a_plan_moved_by_hand():
    """The same plan with one coat an hour sooner is objected to, so the check can fail."""
    state = week(20, 7, 1)
    found = plan(state, shelf(), NOW, limit_s=0.0)
    first = next(e for e in events_of(found) if isinstance(e, Coat))
    early = Coat(piece=first.piece, product=first.product, coat=2, at=first.at + timedelta(hours=1))
    assert clash(fold([first], state), shelf(), early, early.at) != []
