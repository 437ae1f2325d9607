"""Ties the steps together: what each waits for, when a window shuts, where dust would fall, whose pot it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Final

from assistant.craft.clash import SETTLING
from assistant.craft.plan.chain import Chain, Work
from assistant.craft.plan.drying import Drying, Table, steady
from assistant.craft.plan.gear import USED_UP, meant
from assistant.craft.plan.grid import QUARTER, Grid
from assistant.craft.plan.net import Arc, Clash, Limit, Net, Node
from assistant.craft.plan.step import Step
from assistant.craft.plan.tasks import Options
from assistant.craft.pot import air_for, pot_life, running
from assistant.craft.readiness import UNKNOWN_WET, film_on, readiness, wet
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import hours, utc
from assistant.journal.events import Sand
from assistant.journal.state import State

_SETTLE: Final = math.ceil(SETTLING * 60 / QUARTER)
#: Paint goes on where it meets varnish once that gathers no dust: the brush cuts in, no tape touches it.
#: "Varnish before paint where they meet": common practice, no source.
MEETING: Final = "dust"
_PAINT: Final = ("topcoat", "undercoat", "primer")


def net(state: State, cards: Cards, work: Work, grid: Grid, options: Options) -> Net:
    """Put the steps of ``work`` on ``grid``."""
    out = Net(grid, Drying(state, cards, grid))
    builder = _Builder(state, cards, out, options)
    for chain in work.chains:
        builder.chain(chain)
    builder.after()
    builder.gear()
    builder.meetings()
    builder.batches(work)
    builder.running_pots()
    builder.dust()
    builder.night(options)
    return out


class _Builder:
    def __init__(self, state: State, cards: Cards, out: Net, options: Options) -> None:
        self.state, self.cards, self.out, self.grid = state, cards, out, out.grid
        self.floor = 0 if options.not_before is None else self.grid.up(options.not_before)
        self.by_id: dict[str, int] = {}

    def slots(self, minutes: float) -> int:
        return max(math.ceil(minutes / QUARTER - 1e-9), 1)

    def chain(self, chain: Chain) -> None:
        before: int | None = None
        films: list[int] = []
        sanded = chain.piece is not None and self.sanded(chain.piece)
        for step in chain.steps:
            i = self.node(step)
            if before is not None:
                lag = math.ceil(self.out.nodes[before].step.dries * 60 / QUARTER)
                self.arc(before, i, lag)
            if films:
                self.on_film(i, films, sanded)
            elif chain.piece is not None:
                self.on_journal(i, chain.piece, sanded)
            before = i
            sanded = sanded or step.kind == "sand"
            if step.lays:
                films.append(i)
                sanded = False

    def node(self, step: Step) -> int:
        warm = self.out.drying.warm(step.product, step.space) if step.lays else None
        self.out.nodes.append(Node(step, self.slots(step.minutes), head=self.floor, warm=warm))
        self.by_id[step.id] = len(self.out.nodes) - 1
        return len(self.out.nodes) - 1

    def arc(self, before: int, after: int, lag: int = 0, table: Table | None = None, why: str = "") -> None:
        self.out.arcs.append(Arc(before, after, lag, table, why))

    def sanded(self, piece: str) -> bool:
        film = film_on(self.state, piece, self.grid.now)
        return film is not None and bool(film.sanded)

    def on_film(self, i: int, films: list[int], sanded: bool) -> None:
        """Tie a step to the films of the plan under it."""
        node, drying = self.out.nodes[i], self.out.drying
        step, last = node.step, films[-1]
        under = self.out.nodes[last].step
        if step.waits is not None and not (under.kind == "bond" and step.waits == "overcoat"):
            stage = step.waits
            why = f"{under.product or 'the film'} on the {under.piece}"
            self.arc(last, i, 0, drying.comes(under.product, stage, under.space), why)
            if stage in ("sand", "handle"):
                self.through(i, films, stage)
        if step.straight:
            touch = drying.comes(under.product, "touch", under.space)
            self.out.limits.append(Limit(last, i, touch))
        if step.until is not None:
            until = drying.comes(under.product, step.until, under.space)
            self.out.limits.append(Limit(last, i, until.sooner(node.slots)))
        if step.opens:
            self.open_time(i, last, under)
        self.window(i, last, under, sanded)

    def window(self, i: int, last: int, under: Step, sanded: bool) -> None:
        step = self.out.nodes[i].step
        shuts = self.out.drying.shuts(under.product, under.space)
        if step.kind != "coat" or step.key is None or shuts is None:
            return
        self.out.nodes[i].step = replace(step, key=0.0) if sanded else step
        extra = 1 if sanded else self.slots(step.key)
        hard = None if sanded else self.out.drying.comes(under.product, "sand", under.space)
        ends = shuts.sooner(self.out.nodes[i].slots)  # the whole coat is on before it shuts
        self.out.limits.append(Limit(last, i, ends, extra=extra, hard=hard))

    def through(self, i: int, films: list[int], stage: str) -> None:
        """Sanding goes through to what lies under the last film: that must be hard as well."""
        top = self.out.nodes[films[-1]].step.product
        below = {self.out.nodes[f].step.product: f for f in films[:-1]}
        for product, f in below.items():
            under = self.out.nodes[f].step
            if product != top and under.kind != "bond":
                why = f"{product} under it"
                self.arc(f, i, 0, self.out.drying.comes(product, stage, under.space), why)

    def open_time(self, i: int, last: int, under: Step) -> None:
        card = card_for(self.cards, under.product)
        if card is None or card.open_time is None:
            return
        first = math.ceil(card.open_time[0] / QUARTER - 1e-9)
        latest = max(math.floor(card.open_time[1] / QUARTER + 1e-9), first)
        self.arc(last, i, first, why=f"{under.product} to go off enough")
        self.out.limits.append(Limit(last, i, steady(latest, self.grid.size)))

    def on_journal(self, i: int, piece: str, sanded: bool) -> None:
        """Tie a step to what the journal says is on the piece."""
        node, step, now = self.out.nodes[i], self.out.nodes[i].step, self.grid.now
        film = film_on(self.state, piece, now)
        if film is None:
            return
        if step.waits is not None and not (film.kind == "bond" and step.waits == "overcoat"):
            found = readiness(self.state, self.cards, piece, step.waits, now)
            if found.earliest is not None:
                self.not_before(node, found.earliest, f"{film.product or 'the film'} on the {piece}")
            elif found.source:
                self.out.dead[i] = f"the {film.product} on the {piece}: {found.unknown}"
            else:
                self.not_before(node, film.laid + timedelta(hours=UNKNOWN_WET), "")
                if hours(film.laid, now) < UNKNOWN_WET:
                    self.out.problems.append(f"{found.unknown}: a day taken on the {piece}, so this is no promise")
        if step.until is not None:
            found = readiness(self.state, self.cards, piece, step.until, now)
            last = self.grid.down(found.earliest) - node.slots if found.earliest else -1
            node.last = last if last >= 0 else None
        self.journal_window(node, piece, sanded)

    def journal_window(self, node: Node, piece: str, sanded: bool) -> None:
        step, now = node.step, self.grid.now
        if step.kind != "coat" or step.key is None:
            return
        found = readiness(self.state, self.cards, piece, "overcoat", now)
        if found.latest is None:
            return
        if utc(found.latest) <= utc(now) and found.ready:
            return  # it shut, and it was keyed
        node.window = self.grid.down(found.latest) - node.slots
        node.extra = 1 if sanded else self.slots(step.key)
        node.step = replace(step, key=0.0) if sanded else step

    def not_before(self, node: Node, moment: datetime, why: str) -> None:
        slot = self.grid.up(moment)
        if slot > node.head:
            node.head, node.why = slot, why

    def after(self) -> None:
        for i, node in enumerate(self.out.nodes):
            for other in node.step.after:
                if other in self.by_id:
                    self.arc(self.by_id[other], i, why=self.out.nodes[self.by_id[other]].step.task)

    def gear(self) -> None:
        """Let what needs a mask wait for the task of fitting its filters, where that is still to be done."""
        tasks = [i for i, node in enumerate(self.out.nodes) if node.step.kind == "task"]
        for item in USED_UP:
            for task in (i for i in tasks if meant(item, self.out.nodes[i].step.task)):
                reach = self.out.reaches()
                for i, node in enumerate(self.out.nodes):
                    if item in node.step.gear and i != task and not reach[i] >> task & 1:
                        self.arc(task, i, why=self.out.nodes[task].step.task)

    def meetings(self) -> None:
        """Varnish before paint where two pieces meet: the last coat of the one before the first of the other."""
        last: dict[str, int] = {}
        first: dict[str, int] = {}
        for i, node in enumerate(self.out.nodes):
            card = card_for(self.cards, node.step.product) if node.step.kind == "coat" else None
            piece = node.step.piece
            if card is None or piece is None:
                continue
            if card.kind == "varnish":
                last[piece] = i
            elif card.kind in _PAINT and (card.kind == "topcoat" or piece not in first):
                kept = card_for(self.cards, self.out.nodes[first[piece]].step.product) if piece in first else None
                if kept is None or kept.kind != "topcoat":
                    first[piece] = i
        reach = self.out.reaches()
        for a, b in self.meeting():
            for bright, painted in ((a, b), (b, a)):
                if bright in last and painted in first and not reach[first[painted]] >> last[bright] & 1:
                    step = self.out.nodes[last[bright]].step
                    table = self.out.drying.comes(step.product, MEETING, step.space)
                    self.arc(last[bright], first[painted], 0, table, f"varnish on the {bright} before the paint")

    def meeting(self) -> list[tuple[str, str]]:
        pairs = {
            tuple(sorted((name, other)))
            for name, named in self.state.pieces.items()
            for other in named.values.get("meets") or ()
        }
        return [(a, b) for a, b in sorted(pairs) if a != b]

    def batches(self, work: Work) -> None:
        """Keep what is laid from one pot within the pot's life."""
        groups: dict[tuple[str, str], list[int]] = {}
        for i, node in enumerate(self.out.nodes):
            if node.step.lays and node.step.product:
                groups.setdefault((node.step.batch or "", node.step.product), []).append(i)
        for (batch, product), group in groups.items():
            card = card_for(self.cards, product)
            if card is None or card.pot is None:
                continue
            celsius, _ = air_for(self.state, card.pot, self.grid.now, self.grid.now)
            life = pot_life(card.pot, celsius)
            self.pots(work, product, group if batch else [], life)

    def pots(self, work: Work, product: str, group: Sequence[int], life: int) -> None:
        slots = life // QUARTER
        total = sum(self.out.nodes[i].slots for i in group)
        if group and total > slots:
            names = ", ".join(dict.fromkeys(str(self.out.nodes[i].step.piece) for i in group))
            pots = math.ceil(total / max(slots, 1))
            work.assumes.append(f"one pot of {product} lasts {life} min: mix {pots} for {names}, one at a time")
            return
        for before, i in pairwise(group):
            self.arc(before, i, why=f"the same pot of {product}")
            ends = steady(slots - self.out.nodes[i].slots, self.grid.size)
            self.out.limits.append(Limit(group[0], i, ends, from_start=True))

    def running_pots(self) -> None:
        """Use up a pot that is mixed already: what is laid of it next is laid before it goes off."""
        for pot in running(self.state, self.cards, self.grid.now):
            for node in self.out.nodes:
                if node.step.lays and node.step.product == pot.product and node.last is None:
                    last = self.grid.down(pot.ends) - node.slots
                    node.last = last if last >= node.head else None
                    break

    def dust(self) -> None:
        """Keep dust and heat away from wet films in the same air."""
        self.journal_dust()
        reach = self.out.reaches()
        for d, dusty in enumerate(self.out.nodes):
            if not (dusty.step.dust or dusty.step.hot):
                continue
            for w, film in enumerate(self.out.nodes):
                if w == d or not film.step.lays or not _same_air(dusty.step, film.step):
                    continue
                if film.step.kind == "bond" and not dusty.step.hot:
                    continue
                stage = "touch" if film.step.kind == "bond" else "dust"
                table = self.out.drying.comes(film.step.product, stage, film.step.space)
                settle = _SETTLE if dusty.step.dust and film.step.kind != "bond" else 0
                if reach[d] >> w & 1:
                    self.arc(d, w, settle, why="the dust to settle")
                elif reach[w] >> d & 1:
                    self.arc(w, d, 0, table, f"{film.step.product} on the {film.step.piece} in the same air")
                else:
                    self.out.clashes.append(Clash(d, w, settle, table))

    def journal_dust(self) -> None:
        now = self.grid.now
        films = [(r, self.state.space_of(r.piece)) for r in wet(self.state, self.cards, now)]
        last = [
            (self.state.space_of(piece), event.at)
            for piece, events in self.state.work.items()
            for event in events[-3:]
            if isinstance(event, Sand) and 0.0 <= hours(event.at, now) < SETTLING
        ]
        for node in self.out.nodes:
            step = node.step
            if step.dust or step.hot:
                for found, space in films:
                    dry = found.earliest or (found.laid or now) + timedelta(hours=UNKNOWN_WET)
                    if None in (space, step.space) or space == step.space:
                        self.not_before(node, dry, f"{found.product or 'the film'} on the {found.piece}")
            if step.lays and step.kind != "bond":
                for space, at in last:
                    if None in (space, step.space) or space == step.space:
                        self.not_before(node, at + timedelta(hours=SETTLING), "the dust to settle")

    def night(self, options: Options) -> None:
        """List the visits to the piece of which one may fall into the night: what leads up to one coat."""
        if options.night is None:
            return
        self.out.night_hour = options.night.hour
        group: list[int] = []
        before: str | None = None
        for i, node in enumerate(self.out.nodes):
            if node.step.task != before:
                group, before = [], node.step.task
            group.append(i)
            if not node.step.lays:
                continue
            wanted = options.night.piece in (None, node.step.piece)
            if node.step.kind == "coat" and wanted and not any(self.out.nodes[j].loud for j in group):
                self.out.visits.append(tuple(group))
            group = []


def _same_air(one: Step, other: Step) -> bool:
    return None in (one.space, other.space) or one.space == other.space
