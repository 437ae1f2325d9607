"""A good plan at once: many orders of the steps tried, the best kept, and how much better any could be."""

from __future__ import annotations

import heapq
import random
from collections.abc import Sequence
from typing import Final, NamedTuple

from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layer, Layout, Score

#: Steps laid out in all while looking for a good order (each takes about 30 us).
EFFORT: Final = 9000
#: Slots by which laying a film is put off against dusty work in the same air, so that a room is sanded
#: through before any of it is coated; and how much the length of what follows counts.
BIASES: Final = (8, 64, 16, 128, 32, 0)
WEIGHTS: Final = (1.0, 3.0, 0.3)


class _Try(NamedTuple):
    """A way to order the steps: the weight of what follows, the bias by space, and a shift for each node."""

    weight: float
    bias: dict[str | None, int]
    shift: tuple[float, ...]


def first(layer: Layer, before: Sequence[int] = ()) -> Layout:
    """Give the best layout of many orders.

    ``before`` are the nodes in the order of the plan before, which wins a tie: a week is not shuffled for
    nothing. The same net gives the same layout.
    """
    if not layer.net.nodes:
        return layer.lay([])
    bound = lower(layer)
    parts = len(layer.net.visits) + 1
    found = [_search(layer, (), before, bound, parts)]
    # A night visit is taken only where it ends sooner than without.
    found += [_search(layer, visit, (), bound, parts) for visit in layer.net.visits]
    return min(found, key=lambda pair: pair[0].finish)[1]


def _search(
    layer: Layer, visit: tuple[int, ...], before: Sequence[int], bound: int, parts: int
) -> tuple[Score, Layout]:
    n = len(layer.net.nodes)
    spaces = sorted({node.step.space for node in layer.net.nodes}, key=lambda s: s or "")
    best: tuple[Score, Layout] | None = None
    if before:
        layout = layer.lay(_as_before(n, before, layer.head), visit)
        best = layer.score(layout), layout
        if best[0].finish <= bound:
            return best
    chance, top = random.Random(n), _Try(1.0, dict.fromkeys(spaces, 0), (0.0,) * n)
    plain = [_Try(w, dict.fromkeys(spaces, b), (0.0,) * n) for w in WEIGHTS for b in BIASES]
    for k in range(max(EFFORT // n // parts, 4)):
        if best is not None and best[0].finish <= bound:
            break
        trial = plain[k] if k < len(plain) else _varied(top, spaces, chance)
        layout = layer.lay(_priority(layer, trial), visit, soon=1.0)
        score = layer.score(layout)
        if best is None or (score.finish < best[0].finish if before else score <= best[0]):
            best, top = (score, layout), trial
    assert best is not None
    return best


def _priority(layer: Layer, trial: _Try) -> list[float]:
    return [
        trial.bias[node.step.space] * node.step.lays - trial.weight * min(tail, 1 << 20) + shift
        for node, tail, shift in zip(layer.net.nodes, layer.tail, trial.shift, strict=True)
    ]


def _varied(top: _Try, spaces: Sequence[str | None], chance: random.Random) -> _Try:
    weight, bias, shift = top.weight, dict(top.bias), list(top.shift)
    if chance.random() < 0.3:
        weight *= chance.choice((0.6, 0.8, 1.25, 1.6))
    if chance.random() < 0.5:
        bias[chance.choice(spaces)] = chance.choice((0, 4, 8, 16, 24, 32, 48, 64, 96, 128))
    for _ in range(chance.choice((1, 2, 4, 8))):
        shift[chance.randrange(len(shift))] += chance.gauss(0.0, chance.choice((4.0, 8.0, 16.0, 36.0)))
    return _Try(weight, bias, tuple(shift))


def _as_before(n: int, before: Sequence[int], ready: Sequence[int]) -> list[float]:
    """Give the old order; what is new comes where it is ready."""
    rank = {i: float(place) for place, i in enumerate(before)}
    known = sorted((ready[i], r) for i, r in rank.items())
    return [rank[i] if i in rank else _between(known, ready[i]) for i in range(n)]


def _between(known: Sequence[tuple[int, float]], at: int) -> float:
    return max((r for ready, r in known if ready <= at), default=-1.0) + 0.5


def again(layer: Layer, starts: Sequence[int], visit: tuple[int, ...] = ()) -> Layout:
    """Lay the steps out in the order of ``starts``, each as early as it goes from there."""
    return layer.lay([float(s) for s in starts], visit)


def less_walking(layer: Layer, layout: Layout, visit: tuple[int, ...]) -> Layout:
    """Bring a step forward in the order where that saves a change of space (or night work) and costs no time.

    A search among neighbours, as far as a third of the effort for the first plan goes: no proof of the least.
    """
    order = sorted(range(len(layout.start)), key=lambda i: layout.start[i])
    best, score = layout, layer.score(layout)
    spaces = [node.step.space for node in layer.net.nodes]
    left = EFFORT // 3 // max(len(order), 1)
    for k in range(len(order) - 2):
        if spaces[order[k]] == spaces[order[k + 1]]:
            continue
        for other in range(k + 2, min(k + 5, len(order))):
            if spaces[order[other]] != spaces[order[k]]:
                continue
            if left == 0:
                return best
            left -= 1
            trial = [*order[: k + 1], order[other], *order[k + 1 : other], *order[other + 1 :]]
            found = again(layer, _ranks(trial), visit)
            new = layer.score(found)
            if (new.finish, new.night, new.walking) < (score.finish, score.night, score.walking):
                best, score, order = found, new, trial
                break
    return best


def _ranks(order: Sequence[int]) -> list[int]:
    ranks = [0] * len(order)
    for place, i in enumerate(order):
        ranks[i] = place
    return ranks


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
