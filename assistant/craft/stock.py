"""The stock: what came, what went (see :mod:`assistant.craft.draws`), what is left and how old it is.

For every product, to the last drop: left = came + over - used - spoiled - returned - corrected,
where ``over`` is what went beyond all that was known to have come, and ``corrected`` what saying
"empty" set right. Tins are drawn on as people do it: the open ones first, the oldest in front.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from assistant.craft.draws import Draw, Ledger, converted, ledger, written
from assistant.craft.film import LOSS
from assistant.craft.keeping import aged
from assistant.craft.shelf import Cards, card_for
from assistant.journal.events import Event, Tin
from assistant.journal.state import Named, State
from assistant.library.cards import Card
from assistant.quantity import Amount

BASIS: Final = (
    "mixes and what was said to be used as measured; coats out of a pot of the last 12 hours count with "
    f"it, other coats by area and spreading rate with {LOSS:g} percent lost in brush and kettle "
    "(common practice, no source); a tin counts as full until something is taken out of it"
)


@dataclass(frozen=True, slots=True)
class Held:
    """One tin. ``size`` and ``left`` are None where nobody said how big it is."""

    size: Amount | None
    left: Amount | None
    batch: str | None = None
    bought: datetime | None = None
    opened: datetime | None = None
    gone: bool = False  # said to be empty, spoiled or taken back


@dataclass(frozen=True, slots=True)
class Stock:
    """One product on the shelf. ``left`` is None where no tin of a known size ever came.

    The amounts share one unit, that of the tins. ``parts`` are what is left of a kit by its ratio and
    what was drawn of each part; ``warnings`` are about age, ``notes`` about what could not be counted.
    """

    product: str
    left: Amount | None
    tins: tuple[Held, ...] = ()
    came: Amount | None = None
    used: Amount | None = None
    spoiled: Amount | None = None
    returned: Amount | None = None
    corrected: Amount | None = None
    over: Amount | None = None
    parts: tuple[tuple[str, Amount], ...] = ()
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    basis: str = BASIS

    @property
    def opened(self) -> int:
        """How many tins are open and not finished."""
        return sum(t.opened is not None and not t.gone for t in self.tins)

    @property
    def batch(self) -> tuple[str, ...]:
        """The batches of the tins that are not finished."""
        return tuple(dict.fromkeys(t.batch for t in self.tins if t.batch and not t.gone))


@dataclass(slots=True)
class _Tin:
    size: float | None
    left: float = 0.0
    batch: str | None = None
    bought: datetime | None = None
    opened: datetime | None = None
    gone: bool = False


@dataclass(slots=True)
class _Shelf:
    """One product while its tins are gone through."""

    unit: str
    card: Card | None
    tins: list[_Tin] = field(default_factory=list)
    came: float = 0.0
    used: float = 0.0
    spoiled: float = 0.0
    returned: float = 0.0
    corrected: float = 0.0
    over: float = 0.0
    drawn: dict[str, float] = field(default_factory=dict)  # by part of a kit
    notes: list[str] = field(default_factory=list)

    def add(self, tin: _Tin) -> None:
        self.came += tin.size or 0.0
        tin.left = tin.size or 0.0
        self.tins.append(tin)

    def in_turn(self) -> list[_Tin]:
        """Give the tins that are not finished in the order they are drawn on."""
        standing = [t for t in self.tins if not t.gone]
        opened = [t for t in standing if t.opened is not None]
        return [*opened, *(t for t in standing if t.opened is None)]

    def take(self, amount: float) -> float:
        """Take out of the tins in turn; give what they could not."""
        for tin in self.in_turn():
            taken = min(tin.left, amount)
            tin.left -= taken
            amount -= taken
        return amount

    def put_back(self, amount: float) -> float:
        """Pour back into the tins in turn, none over its size; give what found room."""
        placed = 0.0
        for tin in self.in_turn():
            poured = min((tin.size or 0.0) - tin.left, amount - placed)
            tin.left += poured
            placed += poured
        return placed

    def last_size(self) -> float | None:
        return next((t.size for t in reversed(self.tins) if t.size is not None), None)


def stock(
    state: State, cards: Cards, now: datetime | None = None, history: Iterable[Event] | None = None
) -> dict[str, Stock]:
    """Give the stock of every product that has a tin or was used, by its label's name.

    ``history``: every coat, mix and tin event that stands (``draws.KINDS``), for a journal longer than
    the state remembers. With ``now`` tins past their shelf life are warned of.
    """
    book = ledger(state, cards, history)
    names = dict.fromkeys(
        (*(str(t.values.get("label", "")) for t in state.tins.values()),
         *(_key(cards, t.product) for t in book.tins), *(d.product for d in book.draws))
    )  # fmt: skip
    return {name: _one(state, cards, name, book, now) for name in names if name}


def _key(cards: Cards, product: str | None) -> str:
    card = card_for(cards, product)
    return card.name if card and card.label else product or ""


def _one(state: State, cards: Cards, name: str, book: Ledger, now: datetime | None) -> Stock:
    card = card_for(cards, name)
    loaded = [t for t in state.tins.values() if t.values.get("label") == name]
    changes = [t for t in book.tins if t.change != "used" and _key(cards, t.product) == name]
    draws = [d for d in book.draws if d.product == name]
    shelf = _Shelf(_unit(state, loaded, changes, draws), card)
    for named in loaded:
        _load(state, shelf, named)
    steps: list[Tin | Draw] = [*changes, *draws]
    steps.sort(key=lambda s: (s.at.timestamp(), isinstance(s, Draw)))
    for step in steps:
        if isinstance(step, Draw):
            _draw(shelf, step)
        else:
            _CHANGES[step.change](shelf, step)
    shelf.notes += [u.why for u in book.uncounted if u.product == name]
    if not book.whole:
        shelf.notes.append("reckoned from the last work only: the whole journal was not read")
    return _closed(name, shelf, now)


def _unit(state: State, loaded: list[Named], changes: list[Tin], draws: list[Draw]) -> str:
    sizes = [written(state, t.values.get("size"), "amount") for t in loaded]
    sizes += [t.amount for t in changes if t.change in ("bought", "opened")]
    said = [s.unit for s in [*sizes, *(d.amount for d in draws)] if s is not None]
    return next((u for u in said if u in ("ml", "g")), "ml")


def _load(state: State, shelf: _Shelf, named: Named) -> None:
    size = written(state, named.values.get("size"), "amount")
    value = None if size is None else converted(size, shelf.unit, shelf.card)
    opened = _moment(named.values.get("opened"))
    bought, batch = _moment(named.values.get("bought")), named.values.get("batch")
    for i in range(int(named.values.get("count") or 1)):
        # Of several, one was opened.
        shelf.add(_Tin(value, 0.0, str(batch) if batch else None, bought, opened if i == 0 else None))


def _moment(text: object) -> datetime | None:
    try:
        return datetime.fromisoformat(text) if isinstance(text, str) else None
    except ValueError:
        return None


def _amount(shelf: _Shelf, said: Amount | None, part: str | None = None) -> float | None:
    if said is None:
        return None
    value = converted(said, shelf.unit, shelf.card, part)
    if value is None:
        shelf.notes.append(f"{said.value:g} {said.unit} not counted: no density to make {shelf.unit} of it")
    return value


def _draw(shelf: _Shelf, draw: Draw) -> None:
    value = _amount(shelf, draw.amount, draw.part)
    if value is None:
        return
    shelf.used += value
    shelf.over += shelf.take(value)
    if draw.part is not None:
        shelf.drawn[draw.part] = shelf.drawn.get(draw.part, 0.0) + value


def _bought(shelf: _Shelf, tin: Tin) -> None:
    size = _amount(shelf, tin.amount)
    if size is None and (size := shelf.last_size()) is not None:
        shelf.notes.append(f"a tin came without its size: taken as {size:g} {shelf.unit} like the one before")
    shelf.add(_Tin(size, bought=tin.at))


def _opened(shelf: _Shelf, tin: Tin) -> None:
    size = _amount(shelf, tin.amount)
    shut = [t for t in shelf.tins if not t.gone and t.opened is None]
    fitting = [t for t in shut if size is None or t.size in (size, None)]
    if fitting:
        fitting[0].opened = tin.at
        if fitting[0].size is None and size is not None:
            fitting[0].size = fitting[0].left = size
            shelf.came += size
    elif size is not None or not any(t.left > 0.0 for t in shelf.in_turn()):
        size = shelf.last_size() if size is None else size
        shelf.notes.append("a tin was opened that nobody said had come: it is counted as come then")
        shelf.add(_Tin(size, bought=None, opened=tin.at))


def _emptied(shelf: _Shelf, tin: Tin) -> None:
    """Believe the word that a tin is empty before the reckoning: shut tins are then full."""
    del tin
    turn = shelf.in_turn()
    shelf.corrected -= shelf.over
    shelf.over = 0.0
    if not turn:
        return
    shelf.corrected += turn[0].left
    turn[0].left, turn[0].gone = 0.0, True
    for other in turn[1:]:
        if other.opened is None and other.size is not None:
            shelf.corrected -= other.size - other.left
            other.left = other.size


def _spoiled(shelf: _Shelf, tin: Tin) -> None:
    amount = _amount(shelf, tin.amount)
    turn = shelf.in_turn()
    if amount is not None:
        shelf.spoiled += amount - shelf.take(amount)
    elif turn:
        shelf.spoiled += turn[0].left
        turn[0].left, turn[0].gone = 0.0, True


def _returned(shelf: _Shelf, tin: Tin) -> None:
    """Take a shut tin back to the shop; any other amount was poured back out of the kettle."""
    amount = _amount(shelf, tin.amount)
    shut = [t for t in shelf.in_turn() if t.opened is None and (amount is None or t.size == amount)]
    if shut:
        shelf.returned += shut[-1].left
        shut[-1].left, shut[-1].gone = 0.0, True
    elif amount is None:
        shelf.notes.append("something was returned, and which tin that was is not known: nothing counted")
    else:
        paid = min(amount, shelf.used, shelf.over)
        placed = shelf.put_back(min(amount, shelf.used) - paid)
        shelf.over -= paid
        shelf.used -= paid + placed


_CHANGES: Final = {
    "bought": _bought, "opened": _opened, "empty": _emptied, "spoiled": _spoiled, "returned": _returned,
}  # fmt: skip


def _closed(name: str, shelf: _Shelf, now: datetime | None) -> Stock:
    def amount(value: float) -> Amount:
        return Amount(value + 0.0, shelf.unit)

    sized = [t for t in shelf.tins if t.size is not None]
    left = sum(t.left for t in sized)
    if len(sized) < len(shelf.tins):
        shelf.notes.append("one tin or more whose size nobody said is not counted")
    if not shelf.tins:
        shelf.notes.append("no tin of it is known: say what was bought, or put it in the job file")
    elif shelf.over > 0.5:
        shelf.notes.append(f"{shelf.over:.0f} {shelf.unit} more went than was known to be there: say what was bought")
    held = tuple(
        Held(
            None if t.size is None else amount(t.size), None if t.size is None else amount(t.left),
            t.batch, t.bought, t.opened, t.gone,
        )
        for t in shelf.tins
    )  # fmt: skip
    warnings = aged(shelf.card, name, [(t.bought, t.opened) for t in held if _there(t)], now) if now else ()
    return Stock(
        name, amount(left) if sized else None, held, amount(shelf.came) if sized else None,
        amount(shelf.used), amount(shelf.spoiled), amount(shelf.returned), amount(shelf.corrected),
        amount(shelf.over), _parts(shelf), warnings, tuple(dict.fromkeys(shelf.notes)),
    )  # fmt: skip


def _there(tin: Held) -> bool:
    return not tin.gone and (tin.left is None or tin.left.value > 0.0)


def _parts(shelf: _Shelf) -> tuple[tuple[str, Amount], ...]:
    """Give what is left of each part of a kit: the parts came by the ratio, and went as they were drawn."""
    ratio = shelf.card.ratio if shelf.card else None
    if ratio is None or not shelf.came:
        return ()
    shares = [(name, Amount(number, "ml" if ratio.by == "volume" else "g")) for name, number in ratio.parts]
    each = [(name, converted(share, shelf.unit, shelf.card, name)) for name, share in shares]
    known = [(name, share) for name, share in each if share is not None]
    if len(known) < len(each):
        return ()
    whole = sum(share for _, share in known)
    lost = shelf.spoiled + shelf.returned + shelf.corrected + shelf.used - sum(shelf.drawn.values())
    return tuple(
        (name, Amount(max(0.0, (shelf.came - lost) * share / whole - shelf.drawn.get(name, 0.0)), shelf.unit))
        for name, share in known
    )
