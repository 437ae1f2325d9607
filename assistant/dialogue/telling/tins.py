"""What became of tins: bought, opened, used, empty, spoiled, returned, or how much is left."""

from __future__ import annotations

from typing import Final

from assistant.dialogue import materials, settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused
from assistant.dialogue.telling.moments import done
from assistant.dialogue.telling.readback import entry, left_out, now_or, on
from assistant.journal.events import TIN_CHANGES, Event, Note, Tin
from assistant.language.meanings import TinFact
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed, sentence

#: More than anybody keeps of one product, in ml or g.
_MOST: Final = 50000.0
_MOST_TINS: Final = 20


def tin(scene: Scene, said: TinFact) -> Result:
    """Log a change in the stock, an event for each tin of each product."""
    products = _products(scene, said)
    moment = done(scene, said.when)
    sized = [(p, _size(scene, said, p)) for p in products]
    if said.change == "left" or said.change not in TIN_CHANGES:
        return _left(scene, said, sized)
    count = said.count or 1
    if not 1 <= count <= _MOST_TINS:
        raise Refused(f"{count} tins can't be right: say it again.")
    if said.change == "used" and any(size is None for _, size in sized):
        raise Back("How much of it?", Slot.AMOUNT)
    events: tuple[Event, ...] = tuple(
        entry(Tin, moment, scene.now, product=product, change=said.change, amount=size)
        for product, size in sized for _ in range(count)
    )  # fmt: skip
    scene.context.change, scene.context.product = said.change, products[-1]
    tins = f", {count} tins" if count > 1 else ""
    told = listed(f"{amount(size) + ' of ' if size else ''}{product}" for product, size in sized)
    share = f", {_share(said.share)}" if said.share is not None and said.amount is None else ""
    used_on = ""
    if said.pieces is not None:
        named = settling.pieces(scene, said.pieces)
        scene.spoke_of(named.pieces)
        used_on = f" on {on(named.pieces, named.part)}"
    gone = said.change in ("empty", "spoiled")
    lead = f"The {told} is {said.change}{tins}" if gone else f"{said.change.capitalize()} {told}{tins}{share}{used_on}"
    return Result(sentence([lead, now_or(moment, scene.now)]) + left_out(said), events, meaning=said)


def _tins(count: int) -> str:
    return f"{count} tin{'' if count == 1 else 's'}"


def _share(share: float) -> str:
    named = {0.25: "a quarter of a tin", 0.5: "half a tin", 0.75: "three quarters of a tin", 1.0: "a whole tin"}
    return named.get(share, f"{figure(share)} of a tin")


def _left(scene: Scene, said: TinFact, sized: list[tuple[str, Amount | None]]) -> Result:
    """Keep what is said to be left: a tin that has none is empty, else it is a line of the day."""
    moment = done(scene, said.when)
    events: list[Event] = []
    told = []
    for product, size in sized:
        if size is None and said.count:
            events.append(entry(Note, moment, scene.now, text=f"{_tins(said.count)} of {product} left"))
            told.append(f"Noted: {_tins(said.count)} of {product} left")
            continue
        if size is None:
            raise Back("How much is left?", Slot.AMOUNT)
        if size.value == 0:
            events.append(entry(Tin, moment, scene.now, product=product, change="empty"))
            told.append(f"The {product} is empty")
        else:
            events.append(entry(Note, moment, scene.now, text=f"{amount(size)} of {product} left"))
            told.append(f"Noted: {amount(size)} of {product} left")
    return Result(sentence([*told, now_or(moment, scene.now)]) + left_out(said), tuple(events), meaning=said)


def _products(scene: Scene, said: TinFact) -> list[str]:
    if said.products:
        return list(dict.fromkeys(materials.product(scene, n) for n in said.products))
    known = scene.state.words.get(said.unknown or "")
    if known is not None and known.of == "product":
        return [known.means]
    if scene.hints.products:
        if said.unknown:
            settling.make_known(scene, "word", said.unknown, {"means": scene.hints.products[-1], "of": "product"})
        return [scene.hints.products[-1]]
    if said.unknown:
        labels = listed([*scene.state.labels], "or")
        raise Back(
            f"I have no product called {said.unknown}. Which is it" + (f": {labels}?" if labels else "?"),
            Slot.PRODUCT, [*scene.state.labels], value=said.unknown,
        )  # fmt: skip
    if scene.said and scene.context.product:
        return [scene.context.product]  # "opened the varnish and used 60 ml": in one breath
    raise Back("Which product?", Slot.PRODUCT, [*scene.state.labels])


def _size(scene: Scene, said: TinFact, product: str) -> Amount | None:
    """Give the amount said, or the share of a tin where the size of the tin is known."""
    if said.amount is not None:
        return said.amount if said.change == "left" and said.amount.value == 0 else positive(said.amount)
    if scene.hints.amount is not None:
        return positive(scene.hints.amount)
    if said.share is None:
        return None
    size = _tin_size(scene, product)
    if size is None:
        raise Back(f"I don't know how big that tin of {product} is: how much of it, in millilitres?", Slot.AMOUNT)
    if not 0 <= said.share <= _MOST_TINS:
        raise Refused(f"{figure(said.share)} of a tin can't be right: say it again.")
    return Amount(size.value * said.share, size.unit)


def _tin_size(scene: Scene, product: str) -> Amount | None:
    """Give the size of the product's tin that came last, as the job file or the talk has it."""
    bought = [t.amount for t in scene.state.stock if t.product == product and t.change == "bought" and t.amount]
    if bought:
        return bought[-1]
    from assistant.craft.stock import stock

    found = stock(scene.state, scene.talk.cards, scene.now, [*scene.state.stock]).get(product)
    sizes = [t.size for t in found.tins if t.size is not None] if found else []
    return sizes[-1] if sizes else None


def positive(said: Amount) -> Amount:
    """Give an amount back, or ``Refused`` if nobody has that much or that little."""
    if said.value <= 0:
        raise Refused(f"{amount(said)} is no amount: say how much there was.")
    if said.value > _MOST:
        raise Refused(f"{amount(said)} can't be right: say it again.")
    return said
