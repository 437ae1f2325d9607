"""What every plan keeps, or may be taken to keep, told to the solver outright: it proves the sooner for it.

None of it rules out a finish. Orders that follow from others are said; a step lies in one waking day, and
a day holds no more than its slots; of pieces that are alike in everything one goes first, step by step.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from assistant.craft.plan.grid import NEVER
from assistant.craft.plan.layout import Layer, Layout, after
from assistant.craft.plan.net import Arc, Clash, Limit, Net, Node


class Twins(NamedTuple):
    """Chains of nodes that can trade places step by step; ``whole``: each step on its own, else only all at once."""

    chains: tuple[tuple[int, ...], ...]
    whole: bool


def waking(layer: Layer, most: int) -> list[tuple[int, int]]:
    """Give the stretches with hands before slot ``most``: first slot, and the one after the last."""
    out, mask, t = [], layer.masks["hands"], 0
    while t < most:
        first = t
        while t < most and mask[t]:
            t += 1
        if t > first:
            out.append((first, t))
        t += t == first
    return out


def earliest(layer: Layer, arc: Arc, end: int) -> int:
    """Give the first slot in which the node after ``arc`` can start if the one before ends at ``end`` or later."""
    ready = max(after(arc, end), layer.head[arc.after])
    free = layer.next_start(arc.after, layer.net.nodes[arc.after].slots)
    return free[ready] if ready < layer.size else NEVER


def latest(layer: Layer, most: int) -> list[int]:
    """Give the latest start of each node with all done by ``most`` if hands were many; -1: there is none."""
    net = layer.net
    last = [most - node.slots for node in net.nodes]
    visit = {i for group in net.visits for i in group}
    for i in reversed(net.order()):
        slots = net.nodes[i].slots
        free = layer.next_start(i, slots, night=i in visit)
        t = min(last[i], layer.size - 1)
        while t >= 0 and (free[t] != t or any(after(arc, t + slots) > last[arc.after] for arc in layer.out[i])):
            t -= 1
        last[i] = t
    return last


def days(
    model: Any, cp: Any, layer: Layer, starts: Sequence[Any], latest: Sequence[int], most: int, hint: Layout
) -> None:
    """Give each step one waking stretch, each stretch no more than it holds, and waits in whole stretches.

    ``latest`` are the latest starts. Not for a plan in which a visit may fall into the night: there a
    stretch is no bound.
    """
    wake, nodes = waking(layer, most), layer.net.nodes
    if len(wake) < 2:
        return
    held: list[list[Any]] = [[] for _ in wake]
    inside: list[dict[int, Any]] = []
    for i, (start, node) in enumerate(zip(starts, nodes, strict=True)):
        last = latest[i]
        mine: dict[int, Any] = {}
        for k, (first, shut) in enumerate(wake):
            if first <= last and shut - node.slots >= layer.head[i]:
                mine[k] = model.new_bool_var("")
                domain = cp.Domain(first, shut - node.slots)
                model.add_linear_expression_in_domain(start, domain).only_enforce_if(mine[k])
                model.add_hint(mine[k], first <= hint.start[i] < shut)
                held[k].append(node.slots * mine[k])
        model.add_exactly_one(mine.values())
        inside.append(mine)
    for (first, shut), some in zip(wake, held, strict=True):
        if some:
            model.add(sum(some) <= shut - first)
    for arc in layer.net.arcs:
        before, later = inside[arc.before], inside[arc.after]
        for k in before:
            end = max(wake[k][0], layer.head[arc.before]) + nodes[arc.before].slots
            soon = earliest(layer, arc, end)
            gone = [b for q, b in later.items() if wake[q][1] <= soon]
            if gone:
                model.add_at_most_one([*(b for q, b in before.items() if q >= k), *gone])


def orders(model: Any, net: Net, first: dict[tuple[int, int], Any]) -> None:
    """Say what follows from "dust of d before the film of w" for the steps before d and after w.

    ``first`` holds the literal of each clash by its two nodes.
    """
    reach = net.reaches()
    by_dust: dict[int, list[int]] = {}
    by_film: dict[int, list[int]] = {}
    for d, w in first:
        by_dust.setdefault(d, []).append(w)
        by_film.setdefault(w, []).append(d)
    for w, dusty in by_film.items():
        for d in dusty:
            for later in (x for x in dusty if reach[d] >> x & 1):
                model.add_implication(first[later, w], first[d, w])
    for d, films in by_dust.items():
        for w in films:
            for later in (x for x in films if reach[w] >> x & 1):
                model.add_implication(first[d, w], first[d, later])


def twins(net: Net, soft: set[int]) -> list[Twins]:
    """Give the groups of pieces of which any two can trade places without anything changing.

    ``soft`` are the nodes that can come after their window at a price. Two chains with such a node trade
    places only as a whole: which of the two pays depends on what came before it.
    """
    if net.visits:
        return []
    chains: dict[tuple[str, str | None], list[int]] = {}
    for i, node in enumerate(net.nodes):
        chains.setdefault((node.step.task, node.step.piece), []).append(i)
    alike: dict[tuple[Any, ...], list[tuple[int, ...]]] = {}
    for chain in chains.values():
        alike.setdefault(tuple(_kind(net.nodes[i]) for i in chain), []).append(tuple(chain))
    out = []
    for left in alike.values():
        while len(left) > 1:
            group = [left[0], *(other for other in left[1:] if _trade(net, left[0], other))]
            left[:] = [chain for chain in left if chain not in group]
            if len(group) > 1:
                out.append(Twins(tuple(group), not any(i in soft for chain in group for i in chain)))
    return out


def _kind(node: Node) -> tuple[Any, ...]:
    """Give all that a layout knows of a node by itself."""
    return node.slots, node.head, node.last, node.window, node.extra, node.loud, node.warm, node.step.space


def _trade(net: Net, one: Sequence[int], other: Sequence[int]) -> bool:
    """Say whether every tie of the net is there as well with the two chains in each other's place."""
    swap = dict(zip((*one, *other), (*other, *one), strict=True))
    mine = swap.keys()

    def told(tie: Arc | Limit | Clash, *, swapped: bool) -> tuple[Any, ...]:
        ends = (tie.dusty, tie.wet) if isinstance(tie, Clash) else (tie.before, tie.after)
        a, b = (swap.get(i, i) if swapped else i for i in ends)
        match tie:
            case Arc():
                return a, b, tie.lag, id(tie.table)
            case Clash():
                return a, b, tie.settle, id(tie.table)
            case _:
                # Tables of limits are made anew for each: compared by what they say.
                hard = None if tie.hard is None else tie.hard.slots
                return a, b, tie.table.slots, tie.from_start, tie.extra, hard

    for ties in (net.arcs, net.limits, net.clashes):
        near = [t for t in ties if _ends(t) & mine]
        if {told(t, swapped=False) for t in near} != {told(t, swapped=True) for t in near}:
            return False
    return True


def _ends(tie: Arc | Limit | Clash) -> set[int]:
    return {tie.dusty, tie.wet} if isinstance(tie, Clash) else {tie.before, tie.after}


def in_turn(model: Any, groups: Sequence[Twins], starts: Sequence[Any], slots: Sequence[int]) -> None:
    """Let of twins the one that is named first go first: in every step, or in the first only."""
    for group in groups:
        for one, other in pairwise(group.chains):
            for i, j in list(zip(one, other, strict=True))[: None if group.whole else 1]:
                model.add(starts[i] + slots[i] <= starts[j])


def sorted_hint(groups: Sequence[Twins], layout: Layout) -> Layout:
    """Give the layout with its twins in the order that ``in_turn`` wants."""
    start, late = list(layout.start), list(layout.late)
    for group in groups:
        if group.whole:
            for step in zip(*group.chains, strict=True):
                for i, s in zip(step, sorted(layout.start[i] for i in step), strict=True):
                    start[i] = s
        else:
            first = sorted(group.chains, key=lambda chain: layout.start[chain[0]])
            for chain, like in zip(group.chains, first, strict=True):
                for i, j in zip(chain, like, strict=True):
                    start[i], late[i] = layout.start[j], layout.late[j]
    return Layout(start, late, list(layout.slots), list(layout.order))
