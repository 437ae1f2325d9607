"""What left the tins: every mix, coat and "used" as so much of a product, and nothing twice.

The rule. What was measured goes before what is reckoned:

1. A mix takes its parts out of the tins; what somebody said was ``used`` is taken as said.
2. A coat within :data:`SHIFT` of a pot of the same product was laid out of that pot. Of a two-pack
   it takes nothing more; of a one-pack, once the pot is empty by reckoning, the rest comes from the tin.
3. What was said to be ``used`` stands for the coats of that product before it on the same day.
4. Every other coat takes area / spreading rate, with the loss of ``film.LOSS`` in it.

Thinner said with a coat is reckoned on the paint that the coat took. Fillers and glue lines have no
area: they count by their mixes, or as said.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from assistant.craft.film import LOSS, coverage
from assistant.craft.mix import weight
from assistant.craft.shelf import Cards, card_for
from assistant.journal.events import Coat, Event, Mix, Tin
from assistant.journal.state import KEEP_MIXES, KEEP_STOCK, KEEP_WORK, State
from assistant.library.cards import Card
from assistant.library.measures import measure
from assistant.problem import Problem
from assistant.quantity import Amount, ml

#: A pot is used up within a shift (common practice, no source); its life by temperature is another matter.
SHIFT: Final = timedelta(hours=12)
#: Said in either order within this, two things belong together.
SLACK: Final = timedelta(minutes=15)
THINNER: Final = "thinner"
#: The kinds of event that a reckoning over the whole journal needs.
KINDS: Final = ("coat", "mix", "tin")


class Draw(NamedTuple):
    """So much (ml or g) of a product taken out; ``how`` is ``mix``, ``coat``, ``used`` or ``thinner``.

    ``of`` is the id of the event, ``part`` the part of a kit.
    """

    at: datetime
    product: str
    amount: Amount
    how: str
    of: int
    piece: str | None = None
    part: str | None = None


class Uncounted(NamedTuple):
    """Something used of which nobody knows how much, and why."""

    at: datetime
    product: str
    why: str
    of: int


@dataclass(frozen=True, slots=True)
class Ledger:
    """All that went, in order; ``whole`` is false where older work is no longer in the state."""

    draws: tuple[Draw, ...]
    uncounted: tuple[Uncounted, ...]
    tins: tuple[Tin, ...]
    whole: bool = True


@dataclass(slots=True)
class _Pot:
    """A pot mixed, and the ml left in it by reckoning (None: it does for every coat of its shift)."""

    at: float
    left: float | None
    thinned: bool  # its thinner was measured into it


@dataclass(slots=True)
class _Sum:
    state: State
    cards: Cards
    pots: dict[str, list[_Pot]] = field(default_factory=dict)
    said: dict[str, list[float]] = field(default_factory=dict)  # product -> when ``used`` was told of
    needs: dict[tuple[str, str], Amount | str] = field(default_factory=dict)
    known: dict[str | None, tuple[str, Card | None]] = field(default_factory=dict)
    draws: list[Draw] = field(default_factory=list)
    uncounted: list[Uncounted] = field(default_factory=list)

    def named(self, product: str | None) -> tuple[str, Card | None]:
        """Give a product's name as on its label, and its card."""
        if product not in self.known:
            card = card_for(self.cards, product)
            self.known[product] = (card.name if card and card.label else product or "", card)
        return self.known[product]


def ledger(state: State, cards: Cards, history: Iterable[Event] | None = None) -> Ledger:
    """Reckon what left the tins.

    ``history`` are the events that stand, of the kinds in :data:`KINDS`, all of them since the job
    began; without it the state's own last ones have to do, and ``whole`` says whether they are all.
    """
    coats, mixes, tins, whole = _gathered(state, history)
    sums = _Sum(state, cards)
    for tin in tins:
        if tin.change == "used":
            _use(sums, tin)
    for mix in mixes:
        _mix(sums, mix)
    for coat in coats:
        _coat(sums, coat)
    sums.draws.sort(key=lambda d: (d.at.timestamp(), d.of))
    return Ledger(tuple(sums.draws), tuple(sums.uncounted), tuple(tins), whole)


def area_of(state: State, piece: str) -> Amount | None:
    """Give the area that the job has for a piece, in m2; None if there is none or it cannot be read."""
    named = state.pieces.get(piece)
    return written(state, named.values.get("area") if named else None, "area")


def written(state: State, text: object, kind: str) -> Amount | None:
    """Read a measure as a job file has it; None where there is none, or the loader has refused it."""
    if not isinstance(text, str):
        return None
    try:
        return measure(text, kind, us=state.job.get("units") == "us")
    except Problem:
        return None


def converted(amount: Amount, unit: str, card: Card | None, part: str | None = None) -> float | None:
    """Give ``amount`` in ``unit`` (ml or g), by the card's density; None if that is not known."""
    if amount.unit == unit:
        return amount.value
    densities = card.density if card else {}
    name = part if part in densities else "mixed"
    grams_of_one = weight(ml(1.0), densities, str(name))
    if grams_of_one is None or {amount.unit, unit} != {"ml", "g"}:
        return None
    return amount.value * grams_of_one if unit == "g" else amount.value / grams_of_one


def _gathered(state: State, history: Iterable[Event] | None) -> tuple[list[Coat], list[Mix], list[Tin], bool]:
    events: list[Event] = [e for e in history or () if isinstance(e, Coat | Mix | Tin)]
    seen = {e.id for e in events if e.id}
    events += [e for e in _kept(state) if not e.id or e.id not in seen]
    events.sort(key=lambda e: (e.at.timestamp(), e.id))
    whole = history is not None or not (
        len(state.mixes) >= KEEP_MIXES
        or len(state.stock) >= KEEP_STOCK
        or any(len(work) >= KEEP_WORK for work in state.work.values())
    )
    return (
        [e for e in events if isinstance(e, Coat)],
        [e for e in events if isinstance(e, Mix)],
        [e for e in events if isinstance(e, Tin)],
        whole,
    )


def _kept(state: State) -> Iterator[Event]:
    yield from (e for work in state.work.values() for e in work if isinstance(e, Coat))
    yield from state.mixes
    yield from state.stock


def _use(sums: _Sum, tin: Tin) -> None:
    product, _ = sums.named(tin.product)
    sums.said.setdefault(product, []).append(tin.at.timestamp())
    if tin.amount is None:
        sums.uncounted.append(Uncounted(tin.at, product, "nobody said how much", tin.id))
    else:
        sums.draws.append(Draw(tin.at, product, tin.amount, "used", tin.id))


def _mix(sums: _Sum, mix: Mix) -> None:
    product, card = sums.named(mix.product)
    if mix.parts:
        base = _parts(sums, mix, product, card)
    elif mix.amount is not None:
        base = mix.amount
        sums.draws.append(Draw(mix.at, product, mix.amount, "mix", mix.id))
    else:
        sums.uncounted.append(Uncounted(mix.at, product, "nobody said how much was mixed", mix.id))
        base = None
    in_ml = None if base is None else converted(base, "ml", card)
    two_pack = card is not None and card.ratio is not None
    thinned = any(_thins(card, name) for name, _ in mix.parts or ())
    pot = _Pot(mix.at.timestamp(), None if two_pack else in_ml, thinned)
    sums.pots.setdefault(product, []).append(pot)


def _parts(sums: _Sum, mix: Mix, product: str, card: Card | None) -> Amount | None:
    """Draw a mix's parts: each from the kit, or from a tin of its own (a thinner, a catalyst)."""
    ours = {name for name, _ in card.ratio.parts} if card and card.ratio else set()
    total: Amount | None = None
    for name, amount in mix.parts or ():
        apart = name not in ours and name != product and (name in sums.state.labels or _thins(card, name))
        drawn = Draw(mix.at, name if apart else product, amount, "mix", mix.id, part=None if apart else name)
        sums.draws.append(drawn._replace(how=THINNER) if apart and _thins(card, name) else drawn)
        if not apart and (total is None or total.unit == amount.unit):
            total = Amount((total.value if total else 0.0) + amount.value, amount.unit)
    return total


def _thins(card: Card | None, name: str) -> bool:
    return name == THINNER or (card is not None and card.thinner is not None and card.thinner.name == name)


def _coat(sums: _Sum, coat: Coat) -> None:
    product, card = sums.named(coat.product)
    need = _need(sums, coat.piece, product, card)
    pot = _pot_for(sums, product, coat.at.timestamp())
    if isinstance(need, Amount) and coat.thinned is not None and not (pot and pot.thinned):
        name = card.thinner.name if card and card.thinner else THINNER
        share = need.value * coat.thinned.value / 100.0
        if share > 0.0:
            sums.draws.append(Draw(coat.at, name, ml(share), THINNER, coat.id, coat.piece))
    if _said_for(sums, product, coat.at):
        return
    if isinstance(need, str):
        if pot is None:
            sums.uncounted.append(Uncounted(coat.at, product, need, coat.id))
        return
    left = need.value
    if pot is not None:
        from_pot = left if pot.left is None else min(left, pot.left)
        pot.left = None if pot.left is None else pot.left - from_pot
        left -= from_pot
    if left > 0.0:
        sums.draws.append(Draw(coat.at, product, ml(left), "coat", coat.id, coat.piece))


def _need(sums: _Sum, piece: str, product: str, card: Card | None) -> Amount | str:
    """Give the ml that one coat takes, or why nobody knows."""
    key = (piece, product)
    if key not in sums.needs:
        area = area_of(sums.state, piece)
        if card is None:
            sums.needs[key] = f"no label for {product}" if product else "nobody said what was put on"
        elif area is None:
            sums.needs[key] = f"no area for the {piece}: give it in the job file"
        else:
            try:
                sums.needs[key] = coverage(card, area, 1, LOSS).amount
            except Problem as problem:
                sums.needs[key] = str(problem)
    return sums.needs[key]


def _said_for(sums: _Sum, product: str, at: datetime) -> bool:
    told = sums.said.get(product, [])
    place = bisect_left(told, at.timestamp() - SLACK.total_seconds())
    if place == len(told):
        return False
    midnight = at.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    return told[place] < midnight.timestamp()


def _pot_for(sums: _Sum, product: str, at: float) -> _Pot | None:
    """Give the pot a coat came out of: the first of its shift with something in it, else its last."""
    pots = sums.pots.get(product, [])
    found = None
    for pot in pots[bisect_left(pots, at - SHIFT.total_seconds(), key=lambda p: p.at) :]:
        if pot.at > at + SLACK.total_seconds():
            break
        found = pot
        if pot.left is None or pot.left > 0.0:
            break
    return found
