"""Puts a layout into clock times and words: the plan as it is shown and spoken of."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from assistant.craft.plan import hinges
from assistant.craft.plan.drying import stage_times
from assistant.craft.plan.grid import deadline
from assistant.craft.plan.laid import Laid
from assistant.craft.plan.layout import Layout
from assistant.craft.plan.net import Net
from assistant.craft.plan.step import LaidFilm, Placed, Plan, Unplaced
from assistant.craft.plan.tasks import Options
from assistant.craft.readiness import film_on, readiness
from assistant.craft.shelf import Cards
from assistant.craft.times import hours, like, spoken, utc
from assistant.journal.state import State
from assistant.library.cards import STAGES

#: Stages shown of a film; "cured" lies weeks off and nothing in a plan waits for it.
SHOWN: Final = tuple(s for s in STAGES if s != "cured")


def written(state: State, cards: Cards, laid: Laid, options: Options) -> Plan:
    """Give the plan of a layout."""
    net, layout, work = laid.net, laid.layout, laid.work
    grid, now = net.grid, net.grid.now
    steps = _placed(net, layout)
    films = [*_laid_already(state, cards, now), *_films(net, layout)]
    finish = max((p.end for p in steps), key=utc) if steps else None
    bound = grid.time(laid.bound) if steps else None
    until = options.deadline or deadline(state, now)
    guesses = net.guesses()
    problems = [*work.problems, *net.problems, *guesses, *_late(finish, until, bound, now)]
    problems += _undone(laid.unplaced)
    end = max([f.at("dust") or f.laid for f in films] + [finish or now, until or now], key=utc)
    return Plan(
        now=now, steps=tuple(steps), films=tuple(films),
        spans=tuple(s for s in grid.spans if hours(s.start, end) > -24.0),
        feasible=not laid.unplaced and not work.problems, optimal=laid.optimal,
        finish=finish, ready=_handled(films, finish, now), bound=bound, deadline=until,
        critical=tuple(hinges.Trace(net, layout).critical()), problems=tuple(dict.fromkeys(problems)),
        assumes=tuple(dict.fromkeys([*work.assumes, *_air(net), *laid.notes])),
        unplaced=tuple(laid.unplaced), sure=not guesses and not net.problems,
    )  # fmt: skip


def _placed(net: Net, layout: Layout) -> list[Placed]:
    time, trace = net.grid.time, hinges.Trace(net, layout)
    out = [
        Placed(
            node.step, time(layout.start[i]), time(layout.end(i)), layout.late[i],
            time(trace.ready(i)), trace.held(i),
        )
        for i, node in enumerate(net.nodes)
    ]  # fmt: skip
    return sorted(out, key=lambda p: utc(p.start))


def _films(net: Net, layout: Layout) -> list[LaidFilm]:
    out = []
    for i, node in enumerate(net.nodes):
        step = node.step
        if step.lays and step.piece is not None:
            end = layout.end(i)
            shuts = net.drying.shuts(step.product, step.space)
            out.append(LaidFilm(
                step.piece, step.product, net.grid.time(end), step.space,
                stage_times(net.drying, step.product, step.space, end, SHOWN),
                None if shuts is None or shuts[end] >= net.grid.size else net.grid.time(shuts[end]), step.coat,
            ))  # fmt: skip
    return out


def _laid_already(state: State, cards: Cards, now: datetime) -> list[LaidFilm]:
    out = []
    for piece in state.work:
        film = film_on(state, piece, now)
        if film is None:
            continue
        found = {stage: readiness(state, cards, piece, stage, now) for stage in SHOWN}
        stages = tuple((s, r.earliest) for s, r in found.items() if r.source)
        shuts = found["overcoat"].latest
        space = state.space_of(piece)
        out.append(LaidFilm(piece, film.product, like(film.laid, now), space, stages, shuts, film.coat, done=True))
    return out


def _handled(films: Sequence[LaidFilm], finish: datetime | None, now: datetime) -> datetime | None:
    """Give when the last film of every piece can be handled; None where something says nothing of it."""
    if finish is None:
        return None
    last = {f.piece: f for f in films}
    times = [f.at("handle") for f in last.values()]
    known = [t for t in times if t is not None]
    return like(max([finish, *known], key=utc), now) if len(known) == len(times) else None


def _late(finish: datetime | None, until: datetime | None, bound: datetime | None, now: datetime) -> list[str]:
    if until is None or finish is None:
        return []
    if utc(until) <= utc(now):
        return [f"the deadline, {spoken(until, now)}, has passed: set a new one"]
    over = hours(until, finish)
    if over <= 0.0:
        return []
    if bound is not None and utc(bound) > utc(until):
        return [f"it cannot be done by {spoken(until, now)}: it takes {span(over)} longer"]
    return [f"no plan found that is done by {spoken(until, now)}: this one takes {span(over)} longer"]


def _undone(unplaced: Sequence[Unplaced]) -> list[str]:
    """Say what has no place, one sentence for each reason."""
    by_reason: dict[str, list[Unplaced]] = {}
    for u in unplaced:
        by_reason.setdefault(u.why, []).append(u)
    return [
        f"cannot be done: {us[0].step.text}{f' (and {len(us) - 1} more)' if len(us) > 1 else ''}: {why}"
        for why, us in by_reason.items()
    ]


def span(of_hours: float) -> str:
    """Give a length of time in words: ``45 minutes``, ``3 h``, ``2 days 4 h``."""
    minutes = round(of_hours * 60)
    if minutes < 60:
        return f"{minutes} minutes"
    if minutes < 48 * 60:
        whole, rest = divmod(minutes, 60)
        return f"{whole} h" if rest == 0 else f"{whole} h {rest} min"
    days, rest = divmod(minutes, 24 * 60)
    return f"{days} days" if rest < 60 else f"{days} days {rest // 60} h"


def _air(net: Net) -> list[str]:
    """Say what temperatures the waits were taken at."""
    out = []
    spaces = dict.fromkeys(n.step.space for n in net.nodes if n.step.lays)
    for space in spaces:
        spells = net.drying.spells(space)
        where = space or "wherever it is coolest"
        if any(s.source == "assumed" for s in spells):
            out.append(f"nobody said how warm it is in {where}: {spells[0].celsius:g} degrees taken")
            continue
        low, high = min(s.celsius for s in spells), max(s.celsius for s in spells)
        out.append(f"{where} at {low:g} degrees" if low == high else f"{where} at {low:g} to {high:g} degrees")
    return out
