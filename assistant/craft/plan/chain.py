"""Cuts the work to be done into steps, piece by piece, and finds how far the journal has got."""

from __future__ import annotations

import math
from collections.abc import Sequence as Many
from dataclasses import dataclass, field, replace
from typing import Final

from assistant.craft.plan.sequences import Act, Layer
from assistant.craft.plan.step import Step
from assistant.craft.plan.tasks import (
    REDONE,
    Options,
    Planned,
    in_order,
    planned,
    put_right,
    sequence_of,
    with_said,
)
from assistant.craft.shelf import Cards, card_for
from assistant.journal.events import Coat, Event, Fault, Mask, Sand, Strip, Unmask
from assistant.journal.state import State
from assistant.library.cards import Card
from assistant.library.measures import measure
from assistant.problem import Problem

#: Minutes for a plain task of which nobody said how long it takes, and the area of a piece nobody measured.
UNSAID_MINUTES: Final = 30.0
UNSAID_AREA: Final = 1.0
#: Longer work that lays no film is cut into parts, so that it can be left and taken up again.
LONGEST: Final = 180.0
#: Verbs of tasks that are about a piece but touch it not.
ERRANDS: Final = frozenset(
    ["order", "buy", "fetch", "collect", "ring", "phone", "call", "book", "ask", "measure", "check", "photograph",
     "pay", "find", "get", "pick", "send", "write", "bring"]
)  # fmt: skip
ORDINALS: Final = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
)


@dataclass(frozen=True, slots=True)
class Chain:
    """The steps left on one piece (or of one task without a piece), in order, and those done already."""

    piece: str | None
    steps: tuple[Step, ...]
    done: tuple[Step, ...] = ()


@dataclass(slots=True)
class Work:
    """Every chain, what is wrong in plain sentences, and what was taken for want of a word."""

    chains: list[Chain] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    assumes: list[str] = field(default_factory=list)

    def steps(self) -> list[Step]:
        """Give every step left."""
        return [step for chain in self.chains for step in chain.steps]


def work(state: State, cards: Cards, options: Options | None = None) -> Work:
    """Give the steps left of all that is to be done."""
    options = with_said(state, options or Options())
    out = Work()
    entries = planned(state, cards, options)
    kinds = {e.name: _kind(e, cards) for e in entries}
    ordered, circle = in_order(entries, kinds)
    options = replace(options, more=_to_entries(ordered, options, cards))
    if circle:
        out.problems.append(circle)
    last_of: dict[str, str] = {}
    by_piece: dict[str | None, list[Step]] = {}
    for entry in ordered:
        steps = _Cutter(state, cards, options, entry, out).steps()
        waits = tuple(last_of[a.casefold()] for a in entry.after if a.casefold() in last_of)
        unknown = [a for a in entry.after if a.casefold() not in {e.name.casefold() for e in entries}]
        out.assumes += [f"{entry.name} waits for {a}, which is not on the list: taken as done" for a in unknown]
        if steps and waits:
            steps[0] = replace(steps[0], after=waits)
        if steps:
            last_of[entry.name.casefold()] = steps[-1].id
        key = entry.piece if entry.piece is not None else f"\0{entry.name}"
        by_piece.setdefault(key, []).extend(steps)
    for piece, steps in by_piece.items():
        real = None if piece is None or piece.startswith("\0") else piece
        out.chains.append(_left(state, cards, real, steps))
    _forget_done(out)
    return out


def _to_entries(ordered: Many[Planned], options: Options, cards: Cards) -> tuple[tuple[str, int], ...]:
    """Give "one coat more on the bulkhead" to the last work with coats on it: the finish, not its ground."""
    out = []
    for name, coats in options.more:
        mine = [e for e in ordered if e.piece == name and sequence_of(e, cards) is not None]
        out.append((mine[-1].name if mine else name, coats))
    return tuple(out)


def _kind(entry: Planned, cards: Cards) -> str | None:
    card = card_for(cards, entry.label)
    if card is not None:
        return card.kind
    found = sequence_of(entry, cards)
    return next((layer.kind for layer in found.layers if layer.main), None) if found else None


class _Cutter:
    """Cuts one entry into steps."""

    def __init__(self, state: State, cards: Cards, options: Options, entry: Planned, out: Work) -> None:
        self.state, self.cards, self.options, self.entry, self.out = state, cards, options, entry, out
        self.space = (state.space_of(entry.piece) if entry.piece else None) or entry.space
        self.area = UNSAID_AREA
        self.made: list[Step] = []

    def steps(self) -> list[Step]:
        found = sequence_of(self.entry, self.cards)
        if found is None or self.entry.piece is None:
            self.plain()
            return self.made
        self.area = self.measured()
        if self.space is None:
            self.out.assumes.append(f"nobody said where the {self.entry.piece} is: the coolest air is taken")
        for number, layer in enumerate(found.layers):
            self.layer(layer, found.layers[number - 1] if number else None)
        self.tape()
        return self.made

    def measured(self) -> float:
        named = self.state.pieces.get(self.entry.piece or "")
        written = named.values.get("area") if named else None
        if isinstance(written, str):
            try:
                return measure(written, "area").value
            except Problem:
                pass
        self.out.assumes.append(f"nobody measured the {self.entry.piece}: {UNSAID_AREA:g} m2 taken")
        return UNSAID_AREA

    def plain(self) -> None:
        e = self.entry
        minutes = e.takes
        if minutes is None:
            minutes = UNSAID_MINUTES
            self.out.assumes.append(f"nobody said how long {e.name} takes: {UNSAID_MINUTES:g} minutes taken")
        verb = e.do.split()[0].casefold() if e.do.split() else ""
        kind = e.do if e.do in ("sand", "clean", "strip", "mask", "unmask", "fit") else "task"
        # Work on a piece takes hold of it, whatever it is called; an errand for it does not.
        waits = {"sand": "sand"}.get(verb, None if verb in ERRANDS else "handle")
        text = e.do
        if e.piece is not None and e.piece.casefold() not in e.do.casefold():
            text = f"{e.do} ({e.piece})" if " " in e.do else f"{e.do} the {e.piece}"
        self.add(Step(
            e.name, e.name, kind, text, minutes, e.piece, self.space, noise=e.noise, dust=e.dust, waits=waits,
            batch=e.batch, basis="as told" if e.takes is not None else "assumed",
        ))  # fmt: skip

    def product(self, layer: Layer) -> str | None:
        if layer.kind is None:
            return None
        said = card_for(self.cards, self.entry.label)
        if self.entry.label and (layer.main if said is None else layer.kind == said.kind or layer.main):
            return self.entry.label
        mine = [n for n in self.state.labels if (c := card_for(self.cards, n)) and c.kind == layer.kind]
        if mine:
            return self.swapped(mine[0])
        if layer.family:
            self.out.assumes.append(f"no label for the {layer.kind}: the family's figures ({layer.family}) taken")
        return layer.family

    def swapped(self, product: str) -> str:
        card = card_for(self.cards, product)
        for piece, old, new in self.options.swaps:
            other = card_for(self.cards, new)
            same = card is not None and other is not None and card.kind == other.kind
            if piece in (None, self.entry.piece) and (old == product or (old is None and same)):
                return new
        return product

    def layer(self, layer: Layer, below: Layer | None) -> None:
        product = self.product(layer)
        coats = self.entry.coats if layer.main and self.entry.coats is not None else layer.coats
        if layer.lay.do == "coat":
            coats = dict(self.entry.many).get(layer.kind or "", coats)
            extra = [n for name, n in self.options.more if name == self.entry.name]
            coats = max(coats + (sum(extra) if layer.main else 0) + self.redone(product, main=layer.main), 0)
        for coat in range(1, coats + 1):
            for act in layer.steps:
                if act.before(coat) and (act.do, coat) not in self.entry.skip:
                    self.act(act, coat, product)
            straight = layer.straight and coat == 1 and below is not None
            # What lies below the first step of a chain is looked up in the journal.
            wait = None if straight else "overcoat"
            self.act(replace(layer.lay, waits=wait), coat, product, layer=layer, straight=straight)
        for act in layer.after:
            self.act(act, coats, product)

    def redone(self, product: str | None, *, main: bool) -> int:
        """Count the faults that cost another coat of this product."""
        out: set[str] = set()
        under: str | None = None
        count = 0
        for event in self.state.work.get(self.entry.piece or "", ()):
            if isinstance(event, Strip):
                out, count = set(), 0
            elif isinstance(event, Coat):
                under = event.product
            elif isinstance(event, Fault) and event.fault in REDONE:
                mine = _alike(under, product, self.cards) if under is not None else main
                if mine and event.fault not in out:
                    out.add(event.fault)
                    count += not put_right(self.state, self.entry.piece, event.fault)
        return count

    def act(
        self, act: Act, coat: int, product: str | None, *, layer: Layer | None = None, straight: bool = False
    ) -> None:
        e, number = self.entry, coat - 1
        ordinal = ORDINALS[number] if number < len(ORDINALS) else f"{coat}th"
        text = act.text.format(piece=e.piece, coat=coat, ordinal=ordinal, product=product or "it")
        minutes = act.minutes.of(self.area)
        key = layer.key.of(self.area) if layer is not None and layer.key is not None else None
        card = card_for(self.cards, product)
        gear = tuple(g for g in act.gear if g != "mask with A filters" or _fumes(card))
        self.add(Step(
            "", e.name, act.do, text, minutes, e.piece, self.space,
            product=product if layer is not None else None, coat=coat if layer is not None else None,
            grit=act.grit, area=self.area, noise=act.noise, dust=act.dust, hot=act.hot, opens=act.opens,
            straight=straight, waits=act.waits, dries=act.dries, key=key, gear=gear, batch=e.batch,
            basis=act.minutes.basis,
        ))  # fmt: skip

    def tape(self) -> None:
        """Put the tape on before the first coat and off while the last is still tacky, where it is wanted."""
        e, coats = self.entry, [i for i, s in enumerate(self.made) if s.kind == "coat"]
        on = taped(self.state, e.piece)
        if not coats or not (e.mask or on):
            return
        if not on:
            first = coats[0]
            self.made.insert(first, Step(
                f"{e.name}/tape", e.name, "mask", f"mask round the {e.piece}", 15.0, e.piece, self.space,
                gear=("masking tape",), waits="handle", basis="common practice, no source",
            ))  # fmt: skip
        self.made.append(Step(
            f"{e.name}/untape", e.name, "unmask", f"pull the tape on the {e.piece} while it is tacky", 10.0,
            e.piece, self.space, until="dust",
            basis="common practice, no source; TB 750-251 says after it is dry",
        ))  # fmt: skip

    def add(self, step: Step) -> None:
        parts = 1 if step.lays or step.minutes <= LONGEST else math.ceil(step.minutes / LONGEST)
        for part in range(parts):
            text = step.text if parts == 1 else f"{step.text}, part {part + 1} of {parts}"
            name = step.id or f"{self.entry.name}/{len(self.made) + 1}"
            self.made.append(replace(step, id=name if parts == 1 else f"{name}.{part + 1}", text=text,
                                     minutes=step.minutes / parts))  # fmt: skip


def _fumes(card: Card | None) -> bool:
    return card is None or "organic-vapour" in card.hazards


def taped(state: State, piece: str | None) -> bool:
    """Say whether there is tape on the piece that nobody has pulled."""
    last = [e for e in state.work.get(piece or "", ()) if isinstance(e, Mask | Unmask)]
    return bool(last) and isinstance(last[-1], Mask)


def _alike(product: str | None, other: str | None, cards: Cards) -> bool:
    if product == other or product is None:
        return True
    mine, theirs = card_for(cards, product), card_for(cards, other)
    return mine is not None and theirs is not None and mine.kind == theirs.kind


def _left(state: State, cards: Cards, piece: str | None, steps: list[Step]) -> Chain:
    """Cut off what the journal says is done: all up to the last step that an event answers to."""
    if piece is None:
        return Chain(None, tuple(steps))
    done = 0
    for event in state.work.get(piece, ()):
        if isinstance(event, Strip):  # what was on it is gone
            done = 0
        done = _after(event, cards, steps, done)
    return Chain(piece, tuple(steps[done:]), tuple(steps[:done]))


def _after(event: Event, cards: Cards, steps: Many[Step], done: int) -> int:
    """Give how many steps are done once ``event`` is."""
    if isinstance(event, Coat):
        return _after_coat(event, cards, steps, done)
    found = done
    for i in range(done, len(steps)):
        step = steps[i]
        if step.kind == event.kind and _same_grit(event, step):
            found = i + 1
            if not isinstance(event, Sand) or event.grit is None:
                break
        if step.lays:
            break
    return found


def _after_coat(event: Coat, cards: Cards, steps: Many[Step], done: int) -> int:
    """Match a coat with the next of its kind; its number says how many are on, if some were not told."""
    number = event.coat
    for i in range(len(steps)):
        step = steps[i]
        if step.kind != "coat" or not _alike(event.product, step.product, cards):
            continue
        if i >= done and (step.product != event.product or (step.coat or 1) >= number):
            return i + 1
    return done


def _same_grit(event: Event, step: Step) -> bool:
    if not isinstance(event, Sand) or event.grit is None or step.grit is None:
        return True
    # The coarse papers are done when a finer one has been used, not the other way round.
    return event.grit >= step.grit * 0.75


def _forget_done(out: Work) -> None:
    """Drop references to steps that are done, so that nothing waits for them."""
    left = {step.id for step in out.steps()}
    out.chains = [
        replace(c, steps=tuple(replace(s, after=tuple(a for a in s.after if a in left)) for s in c.steps))
        for c in out.chains
    ]
