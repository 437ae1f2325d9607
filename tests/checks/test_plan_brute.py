"""The proved finish against brute force over all orders of the work, on small jobs.

The brute force knows nothing of the program but the job's figures: for a given order every step is put at
its earliest quarter hour, and all orders are tried. All its constraints are monotone in time, so the
earliest start in each order is the best there is in that order.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import timedelta
from itertools import permutations

import pytest
from plan.build import NOW, film, job, shelf

from assistant.craft.plan.week import plan
from assistant.journal.events import Climate
from assistant.quantity import celsius

pytest.importorskip("ortools")

SLOT = 15


@dataclass(frozen=True)
class Job:
    """A step of the brute force: ``film`` is the (dust, overcoat) wait in hours at 20 degC it leaves."""

    piece: str
    space: str
    slots: int
    sand: bool
    film: tuple[float, float]


class Clock:
    """Sleep from 23 to 7, and air of 20 degC by day and, in some jobs, 10 by night (half the speed)."""

    def __init__(self, cold: bool) -> None:
        self.cold = cold

    def minutes(self, slot: int) -> int:
        return (8 * 60 + slot * SLOT) % (24 * 60)

    def awake(self, slot: int) -> bool:
        return 7 * 60 <= self.minutes(slot) < 23 * 60

    def dry(self, slot: int, hours: float) -> int:
        """Add up a quarter at a time: 10 K colder is half as fast."""
        done = 0.0
        while done < hours - 1e-9:
            night = self.cold and not 8 * 60 <= self.minutes(slot) < 20 * 60
            done += 0.25 * (0.5 if night else 1.0)
            slot += 1
        return slot


def earliest(order: tuple[Job, ...], clock: Clock, settle: int = 4) -> int:
    """Give the slot in which the last of the order ends, each step at its earliest."""
    hands = 0
    last_film: dict[str, tuple[int, tuple[float, float]]] = {}
    wet: list[tuple[str, int]] = []
    dust: list[tuple[str, int]] = []
    for step in order:
        start = hands
        if step.piece in last_film:
            laid, waits = last_film[step.piece]
            start = max(start, clock.dry(laid, waits[1]))
        if step.sand:
            start = max([start, *(dry for space, dry in wet if space == step.space)])
        else:
            start = max([start, *(end + settle for space, end in dust if space == step.space)])
        while not all(clock.awake(k) for k in range(start, start + step.slots)):
            start += 1
        hands = start + step.slots
        if step.sand:
            dust.append((step.space, hands))
        else:
            last_film[step.piece] = (hands, step.film)
            wet.append((step.space, clock.dry(hands, step.film[0])))
    return hands


def brute(chains: list[list[Job]], clock: Clock) -> int:
    marks = [k for k, chain in enumerate(chains) for _ in chain]
    best = 10**9
    for order in set(permutations(marks)):
        places = [0] * len(chains)
        steps = []
        for k in order:
            steps.append(chains[k][places[k]])
            places[k] += 1
        best = min(best, earliest(tuple(steps), clock))
    return best


def slots(minutes: float) -> int:
    return -(-round(minutes * 1000) // (SLOT * 1000))


@pytest.mark.parametrize("seed", range(14))
def test_finish_is_that_of_the_best_order(seed: int):
    chance = random.Random(seed)
    cold = seed % 2 == 1
    pieces, tasks, chains, cards = {}, [], [], []
    left = 7
    for number in range(3):
        coats = min(chance.choice((1, 2, 2)), (left + 1) // 2)
        if coats == 0:
            break
        left -= 2 * coats - 1
        over = chance.choice((3.0, 5.0, 7.0, 10.0))
        # Its name stands for its waits: dust after a third of them.
        card = film(f"varnish {number}", "varnish", over, spread=10.0)
        cards.append(card)
        space, area = chance.choice(("fore cabin", "galley")), chance.choice((0.4, 1.0, 2.0, 3.0))
        name = f"piece {number}"
        pieces[name] = (space, area)
        tasks.append({"do": "varnish", "piece": name, "coats": coats, "label": card.name})
        # The hands-on times of models/sequences/varnish.toml: coat 15 + 25/m2, rubbing down 5 + 20/m2.
        coat = Job(name, space, slots(15 + 25 * area), False, (over / 3, over))
        sand = Job(name, space, slots(5 + 20 * area), True, (0, 0))
        chains.append([coat if k % 2 == 0 else sand for k in range(2 * coats - 1)])
    nights = [
        Climate(
            space=space, at=NOW + timedelta(days=d, hours=12), temperature=celsius(10),
            until=NOW + timedelta(days=d + 1),
        )
        for d in range(8) for space in ("fore cabin", "galley")
    ]  # fmt: skip
    state = job(pieces, tasks, *(nights if cold else ()), cards=cards, sleep=["23:00", "07:00"])
    found = plan(state, shelf(*cards), NOW, limit_s=20)
    assert found.optimal
    assert found.finish == NOW + timedelta(minutes=SLOT * brute(chains, Clock(cold)))


def test_the_brute_force_itself_sees_dust():
    """Two pieces in one space: with the dust rule the week is longer than without, so the check can fail."""
    coat, sand = Job("a", "fore", 2, False, (3, 9)), Job("b", "fore", 2, True, (0, 0))
    apart = Job("b", "galley", 2, True, (0, 0))
    assert brute([[coat], [sand]], Clock(False)) > brute([[coat], [apart]], Clock(False))
