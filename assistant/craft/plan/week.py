"""The plan of the week: laid out at once, then proved, and put into the words of the trade."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

from assistant.craft.plan import solve
from assistant.craft.plan.chain import Work, work
from assistant.craft.plan.first import again, first, less_walking, lower
from assistant.craft.plan.grid import NEVER, Grid
from assistant.craft.plan.laid import Laid
from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.net import Net
from assistant.craft.plan.pages import written
from assistant.craft.plan.solve import Progress
from assistant.craft.plan.step import Plan, Unplaced
from assistant.craft.plan.tasks import Options
from assistant.craft.plan.ties import net
from assistant.craft.shelf import Cards
from assistant.journal.state import State

#: How far ahead the grid goes, in days: the first that everything fits on.
HORIZONS: Final = (14, 35, 90)
#: More steps than this are not laid out at once; a boat's week has a tenth of them.
LARGEST: Final = 800
NO_SOLVER: Final = "not proved: ortools is not installed (pip install ortools)"


def plan(
    state: State, cards: Cards, now: datetime, *, options: Options | None = None, limit_s: float = 5.0,
    previous: Plan | None = None, progress: Progress | None = None, workers: int = 2,
) -> Plan:  # fmt: skip
    """Lay the week out from ``now`` on, and prove it as far as ``limit_s`` seconds allow.

    ``previous`` is kept to where it costs no time. With ``limit_s`` 0, or without ortools, it is the first
    plan with what bound there is. A job that cannot be done raises nothing: ``problems`` and ``unplaced``
    of the plan say why. ``progress`` is called with a line when a plan is found and when it is proved.
    """
    options = options or Options()
    laid = lay(state, cards, now, options, previous)
    say = progress or _silent
    if not laid.optimal:
        say(f"a plan that finishes at {laid.net.grid.time(laid.finish):%H:%M on %A %d %B}; can it be better?")
        if limit_s > 0.0:
            improve(laid, limit_s, workers, progress)
    if limit_s > 0.0:
        spare_the_night(laid, min(limit_s, 2.0), workers)
    if laid.layout.start:
        say("proved: it cannot be done sooner" if laid.optimal else "not proved: the time for it is up")
    return written(state, cards, laid, options)


def _silent(_line: str) -> None:
    return


def lay(state: State, cards: Cards, now: datetime, options: Options, previous: Plan | None = None) -> Laid:
    """Give the first plan, on a grid that goes as far as it must."""
    for days in HORIZONS:
        last = days == HORIZONS[-1]
        found = _on_grid(state, cards, Grid(state, now, days, options.away), options, previous, last=last)
        if found is not None:
            return found
    raise AssertionError("the last grid always gives a plan")


def _on_grid(
    state: State, cards: Cards, grid: Grid, options: Options, previous: Plan | None, *, last: bool
) -> Laid | None:
    """Give the layout on this grid; None where it is too short, unless it is the last there is."""
    todo = work(state, cards, options)
    unplaced: list[Unplaced] = []
    todo = _cut(todo, unplaced)
    too_late: set[str] = set()
    while True:
        made = net(state, cards, todo, grid, options)
        for node in made.nodes:
            node.last = None if node.step.id in too_late else node.last
        layer = Layer(made)
        lost = hopeless(layer)
        if not lost and not last:  # one layout tells whether the grid is long enough
            lost = {i: "" for i, start in enumerate(layer.lay(layer.need()).start) if start >= NEVER}
        if not lost:
            layout = first(layer, _before(made, previous))
            lost = {i: "" for i, start in enumerate(layout.start) if start >= NEVER}
        if not lost:
            break
        # Tape that cannot be pulled in time, or a pot that goes off first, is done as soon as it can be.
        missed = {made.nodes[i].step.id for i in lost if made.nodes[i].last is not None}
        if missed:
            too_late |= missed
            continue
        # What can never be done is only looked for on the longest grid, unless the journal says so.
        if not last and len(lost) > len(made.dead):
            return None
        todo = _without(todo, layer, lost, unplaced)
    bound = lower(layer)
    visit = visited(layer, layout)
    out = Laid(todo, made, layer, layout, unplaced, bound, visit)
    if previous is None:
        out.layout = less_walking(layer, layout, visit)
    out.bound = min(bound, out.finish)
    return out


def _cut(todo: Work, unplaced: list[Unplaced]) -> Work:
    """Keep the beginning of every chain where there are too many steps for one plan, and say so."""
    count = len(todo.steps())
    if count <= LARGEST:
        return todo
    each = max(LARGEST // len(todo.chains), 1)
    why = f"{count} steps are more than one plan holds: drop some, or plan again when these are done"
    chains = [
        replace(chain, steps=chain.steps[: each if number < LARGEST else 0]) for number, chain in enumerate(todo.chains)
    ]
    kept = {step.id for chain in chains for step in chain.steps}
    unplaced += [Unplaced(step, why) for step in todo.steps() if step.id not in kept]
    return Work(chains, todo.problems, todo.assumes)


def hopeless(layer: Layer) -> dict[int, str]:
    """Give the nodes that can never start on this grid, and why if it is known already."""
    out = dict(layer.net.dead)
    out |= {i: "" for i, head in enumerate(layer.head) if head >= NEVER and i not in out}
    return out


def _without(todo: Work, layer: Layer, lost: dict[int, str], unplaced: list[Unplaced]) -> Work:
    """Take steps out, with all that waits for them, so that the rest gets its plan."""
    made = layer.net
    reach = made.reaches()
    gone = set(lost)
    for i in lost:
        gone |= {j for j in range(len(made.nodes)) if reach[i] >> j & 1}
    unplaced += [Unplaced(made.nodes[i].step, lost.get(i) or _why_never(layer, i, gone)) for i in sorted(gone)]
    ids = {made.nodes[i].step.id for i in gone}
    chains = [replace(c, steps=tuple(s for s in c.steps if s.id not in ids)) for c in todo.chains]
    return Work(chains, todo.problems, todo.assumes)


def _why_never(layer: Layer, i: int, gone: set[int]) -> str:
    node, net_ = layer.net.nodes[i], layer.net
    hours = node.slots / 4
    for arc in layer.into[i]:
        before = net_.nodes[arc.before].step
        if arc.table is not None and net_.drying.stands_still(before.product, before.space):
            cold = net_.drying.least(before.product)
            return f"{before.product} stands still under {cold:g} degrees, and no warmer air is expected"
        if arc.before in gone:
            return f'it waits for "{before.text}"'
    if node.warm is not None and not any(node.warm):
        cold = net_.drying.least(node.step.product)
        where = f"in the {node.step.space}" if node.step.space else "anywhere"
        return f"{node.step.product} wants {cold:g} degrees, and it is colder {where} all the time: heat it"
    if all(t >= NEVER for t in layer.next_start(i, node.slots)):
        noisy = " in which there may be noise" if node.loud else ""
        return f"it takes {hours:g} h in one go, and no day has so long a stretch{noisy}"
    return f"there is no place for it within {HORIZONS[-1]} days"


def _before(made: Net, previous: Plan | None) -> list[int]:
    """Give the nodes in the order of the plan before, those that were in it."""
    if previous is None:
        return []
    place = {p.step.id: k for k, p in enumerate(previous.steps)}
    known = [(place[n.step.id], i) for i, n in enumerate(made.nodes) if n.step.id in place]
    return [i for _, i in sorted(known)]


def visited(layer: Layer, layout: Layout) -> tuple[int, ...]:
    """Give the nodes that were laid into hours of sleep, with their group; empty without any."""
    hands = layer.masks["hands"]
    for group in layer.net.visits:
        if any(not all(hands[layout.start[i] : layout.end(i)]) for i in group if layout.start[i] < NEVER):
            return group
    return ()


def improve(laid: Laid, limit_s: float, workers: int, progress: Progress | None) -> None:
    """Look for a layout that finishes sooner, and raise the bound, for at most ``limit_s`` seconds."""
    if not solve.available():
        laid.notes.append(NO_SOLVER)
        return
    count = len(laid.net.nodes)
    if count > solve.MOST:
        laid.notes.append(f"not proved: {count} steps are too many for a proof in a few seconds")
        return
    proof = solve.prove(laid.layer, laid.layout, laid.bound, limit_s=limit_s, workers=workers, progress=progress)
    if proof.starts is not None:
        found = as_laid(laid.layer, proof.starts, proof.visit)
        old = laid.layer.score(laid.layout)
        if laid.layer.fits(found) and laid.layer.score(found).finish < old.finish:
            laid.layout = less_walking(laid.layer, found, proof.visit)
            laid.visit = visited(laid.layer, laid.layout)
    laid.bound = min(max(laid.bound, proof.bound), laid.finish)


def spare_the_night(laid: Laid, limit_s: float, workers: int) -> None:
    """Move what need not be done at night into the day, where it finishes no later for that."""
    score = laid.layer.score(laid.layout)
    if score.night == 0 or laid.net.visits or not solve.available() or len(laid.net.nodes) > solve.MOST:
        return
    starts = solve.by_day(laid.layer, laid.layout, laid.finish, limit_s=limit_s, workers=workers)
    if starts is not None:
        found = as_laid(laid.layer, starts, (), push=False)
        if laid.layer.fits(found) and laid.layer.score(found)[:2] < score[:2]:
            laid.layout = found


def as_laid(layer: Layer, starts: list[int], visit: tuple[int, ...], *, push: bool = True) -> Layout:
    """Make a layout of start slots; with ``push`` each step as early as it goes in that order.

    A step pushed out of a limit takes all of it back to the starts as they were given.
    """
    out = Layout(list(starts), [False] * len(starts), [n.slots for n in layer.net.nodes])
    for i in layer.net.order():
        node = layer.net.nodes[i]
        shut = node.window is not None and starts[i] > node.window
        extra = node.extra if shut else 0
        for limit in layer.limits[i]:
            at = starts[limit.before] if limit.from_start else out.end(limit.before)
            if limit.extra is not None and starts[i] > limit.table[at]:
                extra = max(extra, limit.extra)
        out.late[i], out.slots[i] = extra > 0, node.slots + extra
    if not push:
        return out
    pushed = again(layer, starts, visit)
    return pushed if layer.fits(pushed) and layer.score(pushed) <= layer.score(out) else out
