"""A good plan at once: many orders of the steps tried, the best kept, and how much better any could be."""

from __future__ import annotations

import heapq
import random
from collections.abc import Sequence
from typing import Final

from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layer, Layout, Score

#: Orders tried for a net of a given size: so many steps laid out in all (each about 20 us).
EFFORT: Final = 6000


def first(layer: Layer, before: Sequence[int] = ()) -> Layout:
    """Give the best layout of several orders: by need, by readiness, the last plan's, and chance variations.

    ``before`` are the steps in the order of the plan before, which wins a tie: a week is not shuffled
    for nothing. The same net gives the same layout.
    """
    n = len(layer.net.nodes)
    if n == 0:
        return layer.lay([])
    best: tuple[Score, Layout] | None = None
    for visit in (*layer.net.visits, ()) if layer.net.visits else ((),):
        found = _orders(layer, before, visit)
        # With a night visit asked for, it is taken only where it ends sooner than without.
        if best is None or found[0] < best[0]:
            best = found
    assert best is not None
    return best[1]


def _orders(layer: Layer, before: Sequence[int], visit: tuple[int, ...]) -> tuple[Score, Layout]:
    n = len(layer.net.nodes)
    need = [-float(min(t, 1 << 20) + node.slots) for t, node in zip(layer.tail, layer.net.nodes, strict=True)]
    ready = [float(min(h, 1 << 20)) for h in layer.head]
    tries: list[list[float]] = []
    if before:
        tries.append(_as_before(n, before, ready))
    tries += [need, ready, [r + q for r, q in zip(ready, need, strict=True)]]
    best: tuple[Score, Layout] | None = None
    base = need
    for priority in tries:
        found = _judged(layer, priority, visit)
        if best is None or _better(found[0], best[0], steady=bool(before)):
            best, base = found, priority
    assert best is not None
    bound = lower(layer)
    if best[0].finish <= bound:
        return best
    chance = random.Random(n)  # noqa: S311
    for _ in range(max(EFFORT // max(n, 1) // max(len(layer.net.visits), 1) - len(tries), 0)):
        spread = chance.choice((4.0, 16.0, 64.0))
        priority = [p + chance.uniform(-spread, spread) for p in base]
        found = _judged(layer, priority, visit)
        if _better(found[0], best[0], steady=bool(before)):
            best, base = found, priority
        if best[0].finish <= bound:
            break
    return best


def _better(new: Score, old: Score, *, steady: bool) -> bool:
    return new.finish < old.finish if steady else new < old


def _judged(layer: Layer, priority: Sequence[float], visit: tuple[int, ...]) -> tuple[Score, Layout]:
    layout = layer.lay(priority, visit)
    return layer.score(layout), layout


def _as_before(n: int, before: Sequence[int], ready: Sequence[float]) -> list[float]:
    """Give the old order; what is new comes where it is ready."""
    rank = {i: float(place) for place, i in enumerate(before)}
    known = sorted((ready[i], r) for i, r in rank.items())
    return [rank[i] if i in rank else _between(known, ready[i]) for i in range(n)]


def _between(known: Sequence[tuple[float, float]], at: float) -> float:
    return max((r for ready, r in known if ready <= at), default=-1.0) + 0.5


def again(layer: Layer, starts: Sequence[int], visit: tuple[int, ...] = ()) -> Layout:
    """Lay the steps out in the order of ``starts``, each as early as it goes from there."""
    return layer.lay([float(s) for s in starts], visit)


def less_walking(layer: Layer, layout: Layout, visit: tuple[int, ...], rounds: int = 200) -> Layout:
    """Swap neighbours in the order where that saves a change of space (or night work) and costs no time."""
    order = sorted(range(len(layout.start)), key=lambda i: layout.start[i])
    best, score = layout, layer.score(layout)
    spaces = [node.step.space for node in layer.net.nodes]
    for k in range(min(len(order) - 2, rounds)):
        if spaces[order[k]] == spaces[order[k + 1]]:
            continue
        for other in range(k + 2, min(k + 5, len(order))):
            if spaces[order[other]] == spaces[order[k]]:
                trial = [*order[: k + 1], order[other], *order[k + 1 : other], *order[other + 1 :]]
                rank = [0.0] * len(order)
                for place, i in enumerate(trial):
                    rank[i] = float(place)
                found = layer.lay(rank, visit)
                new = layer.score(found)
                if (new.finish, new.night, new.walking) < (score.finish, score.night, score.walking):
                    best, score, order = found, new, trial
                    break
    return best


def lower(layer: Layer) -> int:
    """Give a slot before which no layout can end: the longest chain, and the work there is for two hands.

    The second is the preemptive one-machine bound (steps may be broken off, largest tail first), taken
    over the slots in which hands are free at all.
    """
    net = layer.net
    chain = max(
        (
            min(h, NEVER) + node.slots + min(q, NEVER)
            for h, node, q in zip(layer.head, net.nodes, layer.tail, strict=True)
        ),
        default=0,
    )
    return chain if chain >= NEVER else max(chain, _one_machine(layer))


def _one_machine(layer: Layer) -> int:
    jobs = sorted((h, i) for i, h in enumerate(layer.head))
    left = [node.slots for node in layer.net.nodes]
    mask = layer.masks["night"] if layer.net.visits else layer.masks["hands"]
    heap: list[tuple[int, int]] = []
    at, bound, t = 0, 0, 0
    while (at < len(jobs) or heap) and t < layer.size:
        if not heap:
            t = max(t, jobs[at][0])
        while at < len(jobs) and jobs[at][0] <= t:
            heapq.heappush(heap, (-layer.tail[jobs[at][1]], jobs[at][1]))
            at += 1
        if t < layer.size and mask[t]:
            i = heap[0][1]
            left[i] -= 1
            if left[i] == 0:
                heapq.heappop(heap)
                bound = max(bound, t + 1 + layer.tail[i])
        t += 1
    return bound
