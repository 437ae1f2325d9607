"""A pot that was mixed: its parts by the label, how long it is good, and whether its ratio is right."""

from __future__ import annotations

from datetime import datetime, timedelta

from assistant.craft.mix import Parts, alike, part_of, portions, sized, with_parts
from assistant.craft.times import utc
from assistant.dialogue import materials
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back
from assistant.dialogue.telling.moments import done
from assistant.dialogue.telling.readback import entry, left_out, now_or
from assistant.journal.events import Mix
from assistant.journal.state import fold
from assistant.language.meanings import Deed
from assistant.library.cards import Card, Ratio
from assistant.quantity import Amount
from assistant.wording import amount, ended, figure, listed, sentence, when


def mix(scene: Scene, said: Deed) -> Result:
    """Log a pot mixed."""
    product, card = _which(scene, said)
    moment = done(scene, said.when, began=said.began, took=said.took)
    parts, total, ratio = _poured(scene, said, product, card)
    event = entry(Mix, moment, scene.now, product=product, amount=total, ratio=ratio, parts=parts)
    scene.context.product = product
    poured = listed(f"{figure(a.value)} {n}" for n, a in parts) if said.parts and parts else ""
    told = [f"Mixed {amount(total) + ' of ' if total else ''}{product}", poured, now_or(moment, scene.now)]
    reply = sentence([t for t in told if t]) + _good_for(scene, event) + left_out(said)
    off = off_ratio(card, event)
    return Result(reply, (event,), cautions=(off,) if off else (), meaning=said)


def _good_for(scene: Scene, event: Mix) -> str:
    from assistant.craft.pot import running

    with_it = fold([event], scene.state)
    pots = [p for p in running(with_it, scene.talk.cards, event.at) if p.product == event.product]
    mine = [p for p in pots if utc(p.mixed_at) == utc(event.at)]
    if not mine:
        return ""
    ends: datetime = mine[-1].ends.astimezone(scene.now.tzinfo)
    if utc(ends) - utc(scene.now) > timedelta(0):
        return f" Pot good until {when(ends, scene.now)}."
    return f" That pot went off {ended(ends, scene.now)}."


def _which(scene: Scene, said: Deed) -> tuple[str, Card | None]:
    """Give the product mixed, with its card: as said, by its parts, or the only one it can be; else ``Back``."""
    if said.products:
        product = materials.product(scene, said.products[0])
        return product, scene.talk.card(product)
    if scene.hints.products:
        return scene.hints.products[-1], scene.talk.card(scene.hints.products[-1])
    if said.kind is not None:
        product = materials.of_kind(scene, said.kind)
        return product, scene.talk.card(product)
    mixes = [n for n in scene.state.labels if (c := scene.talk.card(n)) is not None and c.ratio is not None]
    fitting = with_parts(mixes, [name for name, _ in said.parts], scene.talk.card)
    if len(fitting) == 1:
        return fitting[0], scene.talk.card(fitting[0])
    if fitting:
        raise Back(f"Of which: {listed(fitting, 'or')}?", Slot.PRODUCT, fitting)
    raise Back("Of which product? I have none with a mixing ratio.", Slot.PRODUCT, [*scene.state.labels])


def _poured(
    scene: Scene, said: Deed, product: str, card: Card | None
) -> tuple[Parts | None, Amount | None, tuple[float, ...] | None]:
    """Give the parts, the total and the ratio: as told, else by the label."""
    whole = said.amount or scene.hints.amount
    if whole is None and not said.parts:
        raise Back(f"How much {product}?", Slot.AMOUNT)
    for each in (*([whole] if whole else []), *(a for _, a in said.parts)):
        sized(each)
    if card is None or card.ratio is None:
        if said.ratio:
            return None, whole, said.ratio
        return (said.parts or None), whole or _sum(said.parts), None
    ratio = _ratio(card, said)
    shares = tuple(v for _, v in ratio.parts)
    named = tuple((part_of(card, n) or n, a) for n, a in said.parts)
    if len(named) > 1:
        if whole is not None and (total := _sum(named)) is not None and abs(total.value - whole.value) > 0.5:
            raise Back(f"Those parts come to {amount(total)}, not {amount(whole)}: how much was it?", Slot.AMOUNT)
        return named, _sum(named) or whole, shares
    given = named[0] if named else None
    found = portions(
        ratio, card.density, given[1] if given else whole or Amount(0, "ml"), "total", given=given[0] if given else None
    )
    parts = tuple((name, Amount(round(part.value, 2), part.unit)) for name, part in found.parts)
    return parts, found.total, shares


def _sum(parts: Parts) -> Amount | None:
    units = {a.unit for _, a in parts}
    return Amount(sum(a.value for _, a in parts), units.pop()) if len(units) == 1 else None


def _ratio(card: Card, said: Deed) -> Ratio:
    assert card.ratio is not None
    if said.ratio and len(said.ratio) == len(card.ratio.parts):
        names = [n for n, _ in card.ratio.parts]
        return Ratio(card.ratio.by, tuple(zip(names, said.ratio, strict=True)), "as said")
    return card.ratio


def remixed(card: Card | None, total: Amount) -> Parts:
    """Give the parts of a mix whose total was put right, or none where the label has no ratio."""
    if card is None or card.ratio is None:
        return ()
    return portions(card.ratio, card.density, total, "total").parts


def off_ratio(card: Card | None, event: Mix) -> str | None:
    """Warn of parts that are not in the label's ratio, where both were measured alike."""
    if card is None or card.ratio is None:
        return None
    ratio = " to ".join(f"{v:g} {n}" for n, v in card.ratio.parts)
    label = [v for _, v in card.ratio.parts]
    if event.ratio and len(event.ratio) == len(label) and not alike(event.ratio, label):
        told = " to ".join(f"{v:g}" for v in event.ratio)
        return f"{told} is not the label's {ratio}: off its ratio it may never harden."
    if not event.parts or len(event.parts) != len(label):
        return None
    said, want = dict(event.parts), dict(card.ratio.parts)
    unit = "g" if card.ratio.by == "weight" else "ml"
    if set(said) != set(want) or any(part.unit != unit for part in said.values()):
        return None
    if alike([said[n].value for n in want], [want[n] for n in want]):
        return None
    told = " to ".join(f"{said[n].value:g}" for n in want)
    return f"{told} is not the label's {ratio}: off its ratio it may never harden."
