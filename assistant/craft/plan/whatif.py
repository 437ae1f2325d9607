"""What if: the same plan with one thing changed, and what would save a deadline."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.craft.plan import solve
from assistant.craft.plan.change import (
    Change,
    Held,
    Later,
    MoreCoats,
    NightCoat,
    Swap,
    Without,
    changed,
    told,
)
from assistant.craft.plan.grid import deadline as deadline_of
from assistant.craft.plan.pages import span
from assistant.craft.plan.step import Plan
from assistant.craft.plan.tasks import Options
from assistant.craft.plan.week import as_laid, lay, plan
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import hours, spoken, utc
from assistant.journal.state import State
from assistant.problem import Problem

#: A cabin heated through the night.
HEATED: Final = 18.0


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Both plans, and in short what the change is and does. ``gain_h`` is negative when it costs time.

    ``proved``: both finishes are proved, so the difference is exact.
    """

    change: str
    before: Plan
    after: Plan
    text: str

    @property
    def finish_before(self) -> datetime | None:
        """The finish as things are."""
        return self.before.finish if not self.before.unplaced else None

    @property
    def finish_after(self) -> datetime | None:
        """The finish with the change."""
        return self.after.finish if not self.after.unplaced else None

    @property
    def gain_h(self) -> float | None:
        """Hours by which the change ends the work sooner."""
        if self.finish_before is None or self.finish_after is None:
            return None
        return round(hours(self.finish_after, self.finish_before), 2)

    @property
    def proved(self) -> bool:
        """Whether neither finish can be bettered."""
        return self.before.optimal and self.after.optimal


@dataclass(frozen=True, slots=True)
class StartBy:
    """The latest start for a deadline. ``at`` None: too late already; ``proved``: no later start does."""

    at: datetime | None
    deadline: datetime
    proved: bool
    text: str


def what_if(
    state: State, cards: Cards, now: datetime, change: Change, *, before: Plan | None = None,
    options: Options | None = None, limit_s: float = 5.0,
) -> WhatIf:  # fmt: skip
    """Plan once more with one thing changed. ``before`` saves planning the unchanged week again.

    ``Problem`` for a product, a piece or a task that the job does not know.
    """
    options = options or Options()
    _known(change, state, cards)
    old = before or plan(state, cards, now, options=options, limit_s=limit_s)
    other, wishes = changed(change, state, options, now)
    new = plan(other, cards, now, options=wishes, limit_s=limit_s, previous=old)
    words = told(change, now)
    return WhatIf(words, old, new, _text(words, old, new, now))


def _known(change: Change, state: State, cards: Cards) -> None:
    product = getattr(change, "new", None)
    if product is not None and card_for(cards, product) is None:
        raise Problem(f'I have no label for "{product}": add it, or name a product that the job has')
    space = getattr(change, "space", None)
    if space is not None and space not in state.spaces:
        raise Problem(f'there is no space "{space}": name one of {", ".join(state.spaces)}')
    piece = getattr(change, "piece", None)
    pieces = {*state.pieces, *state.work, *(n.values.get("piece") for n in state.plans.values())}
    if piece is not None and piece not in pieces and piece not in state.plans:
        raise Problem(f'there is no piece "{piece}": name one of {", ".join(state.pieces)}')
    if isinstance(change, Without) and change.name not in pieces | {
        *state.plans,
        *(t.text for t in state.tasks),
    }:
        raise Problem(f'there is no piece or task "{change.name}"')


def _text(words: str, old: Plan, new: Plan, now: datetime) -> str:
    lead = words if words.startswith(("without", "starting")) else f"with {words}"
    lead = lead[:1].upper() + lead[1:]
    if new.unplaced:
        return f"{lead} it does not get done: {new.unplaced[0].why}."
    if new.finish is None:
        return f"{lead} there is nothing to do."
    at = spoken(new.finish, now)
    if old.finish is None or old.unplaced:
        return f"{lead} you finish at {at}; as things are it does not get done."
    gain = hours(new.finish, old.finish)
    if abs(gain) < 0.01:
        sure = "" if new.optimal else ", as far as I have looked"
        return f"{lead} you finish at {at} all the same{sure}."
    way = "sooner" if gain > 0 else "later"
    rough = "" if old.optimal and new.optimal else "about "
    return f"{lead} you finish at {at}, {rough}{span(abs(gain))} {way}{_deadline(old, new)}."


def _deadline(old: Plan, new: Plan) -> str:
    if new.deadline is None or old.holds == new.holds:
        return ""
    if new.holds:
        return ": the deadline holds"
    return "" if new.late_by is None else f": {span(new.late_by.total_seconds() / 3600)} late"


def rescues(
    state: State, cards: Cards, now: datetime, late: Plan, *, options: Options | None = None,
    limit_s: float = 1.0,
) -> list[WhatIf]:  # fmt: skip
    """Give what would save a deadline that is missed, what helps most first; each tried on its own."""
    out = []
    for change in _remedies(state, cards, late):
        try:
            found = what_if(state, cards, now, change, before=late, options=options, limit_s=limit_s)
        except Problem:
            continue
        if found.after.holds or (found.gain_h or 0.0) > 0.0:
            out.append(found)
    # Least given up first among those that save it; else what comes nearest.
    return sorted(out, key=lambda w: (not w.after.holds, 0.0 if w.after.holds else -(w.gain_h or 0.0)))


def _remedies(state: State, cards: Cards, late: Plan) -> Iterator[Change]:
    yield Held(HEATED, nights=True)
    yield NightCoat()
    last: dict[str, datetime] = {}
    coats: dict[str, str | None] = {}
    for placed in late.steps:
        if placed.piece is not None:
            last[placed.piece] = placed.end
            if placed.step.kind == "coat":
                coats[placed.piece] = placed.step.product
    products = dict.fromkeys(p for p in coats.values() if p is not None)
    for product in products:
        card = card_for(cards, product)
        for other in state.labels:
            theirs = card_for(cards, other)
            if card and theirs and other != product and theirs.kind == card.kind:
                yield Swap(other, product)
    for piece in sorted(last, key=lambda p: utc(last[p]), reverse=True)[:3]:
        if piece in coats:
            yield MoreCoats(piece, -1)
        yield Without(piece)


def must_start_by(
    state: State, cards: Cards, now: datetime, deadline: datetime | None = None, *,
    options: Options | None = None, limit_s: float = 5.0,
) -> StartBy:  # fmt: skip
    """Give the latest time at which the work can begin and still be done by ``deadline`` (or the job's).

    ``Problem`` where there is no deadline. The answer is a start that works; ``proved`` says whether
    any later one has been ruled out.
    """
    options = options or Options()
    until = deadline or options.deadline or deadline_of(state, now)
    if until is None:
        raise Problem("there is no deadline: say by when it has to be done")
    begun = lay(state, cards, now, options)
    grid, last = begun.net.grid, begun.net.grid.down(until)
    if begun.unplaced or begun.finish > last:
        better = plan(state, cards, now, options=options, limit_s=limit_s)
        if better.unplaced or better.finish is None or utc(better.finish) > utc(until):
            over = span(hours(until, better.finish)) if better.finish else ""
            late = f": starting now you are {over} late" if over and not better.unplaced else ""
            return StartBy(None, until, better.optimal, f"It is too late to start{late}.")
        return StartBy(now, until, False, "Start now: there is next to nothing to spare.")
    low, high, found = 0, last, begun
    while high - low > 1:  # the latest start that the first plans can keep
        middle = (low + high) // 2
        trial = lay(state, cards, now, _later_options(options, grid.time(middle)))
        if not trial.unplaced and trial.finish <= last:
            low, found = middle, trial
        else:
            high = middle
    start = min(found.layout.start, default=0)
    proved = False
    if limit_s > 0.0 and solve.available() and len(begun.net.nodes) <= solve.MOST and begun.net.nodes:
        proof = solve.latest(begun.layer, as_laid(begun.layer, found.layout.start, ()), last, limit_s=limit_s)
        if proof.starts is not None:
            latest = as_laid(begun.layer, proof.starts, (), push=False)
            if begun.layer.fits(latest):
                start = max(start, min(latest.start))
        proved = start >= proof.bound
    at = grid.time(start)
    return StartBy(at, until, proved, f"Start by {spoken(at, now)} to be done by {spoken(until, now)}.")


def _later_options(options: Options, start: datetime) -> Options:
    """Give the wishes with nothing begun before ``start``."""
    return changed(Later(start), State(), options, start)[1]
