"""Which coat it is: its number, of what, and whether it is one that is logged already and only told more of."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from assistant.craft.times import utc
from assistant.craft.wanted import wanted
from assistant.dialogue import materials, settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused
from assistant.dialogue.telling.readback import on, read_back
from assistant.journal.events import Amend, Coat
from assistant.journal.state import State
from assistant.language.meanings import Deed
from assistant.wording import ordinal, thinned, when


def told_again(scene: Scene, said: Deed, settled: settling.Settled) -> Result | None:
    """Put more of a coat into its entry where its number shows that it is one that is logged; None where it is new.

    "That second coat on the lid was thinned five percent", "... I only did the outside": no piece has two second
    coats of one product.
    """
    if said.coat is None or len(settled.pieces) != 1 or scene.hints.coat is not None:
        return None
    piece = settled.pieces[0]
    named = {materials.product(scene, n, piece) for n in said.products}
    mine = [
        e for e in scene.state.work.get(piece, ())
        if isinstance(e, Coat) and e.coat == said.coat and (not named or e.product in named)
    ]  # fmt: skip
    if len(mine) != 1 or (not named and len({e.product for e in mine}) != 1):
        return None
    old = mine[0]
    changes: dict[str, object] = {}
    if said.thinned is not None and old.thinned is None:
        changes["thinned"] = said.thinned.to_json()
    if settled.part is not None and old.part is None:
        changes["part"] = settled.part
    on_it = scene.state.coats.get(piece, {}).get(old.product or "", 0)
    if not changes or (said.when is not None and said.when.clock is not None) or on_it > said.coat:
        return None
    event = Amend(of=old.id, changes=changes, at=scene.now, said_at=scene.now)
    scene.spoke_of(settled.pieces)
    told = [f"{ordinal(old.coat)} coat on {on(settled.pieces, settled.part)}", thinned(said.thinned)]
    return Result(read_back(scene, said, [*told, "as logged " + when(old.at, scene.now)]), (event,), meaning=said)


def products(scene: Scene, said: Deed, piece: str) -> tuple[str | None, ...]:
    """Give what was laid on a piece: named, by the verb, planned, or last on it; two that fit are asked about."""
    if said.products:
        return tuple(materials.product(scene, name, piece) for name in said.products)
    if said.kind is not None:
        return (materials.of_kind(scene, said.kind, piece),)
    planned, last = materials.usual(scene, piece), materials.last_on(scene, piece)
    going_on = _going_on(scene, said, piece, planned, last)
    if going_on is not None:
        return (going_on,)
    if planned is None or last is None or planned == last:
        return (planned or last,)
    return (_between(scene, said, piece, planned, last),)


def _going_on(scene: Scene, said: Deed, piece: str, planned: str | None, last: str | None) -> str | None:
    """Give the product that was just laid elsewhere where this coat may be of it too: "now the front, second"."""
    just = scene.context.product
    if just is None or just not in scene.state.labels or just in (planned,):
        return None
    laid = [e for work in scene.state.work.values() for e in work if isinstance(e, Coat) and e.product == just]
    if not laid or utc(scene.now) - max(utc(e.said_at) for e in laid) > _JUST:
        return None
    on_it = scene.state.coats.get(piece, {}).get(just, 0)
    wanted_ = {w.label for w in wanted(scene.state) if w.piece == piece}
    room = {w.label: w.coats for w in wanted(scene.state) if w.piece == piece}
    if said.coat is not None and said.coat == on_it + 1 and on_it and said.coat <= room.get(just, said.coat):
        other = [
            p
            for p in (planned, last)
            if p and p != just and scene.state.coats.get(piece, {}).get(p, 0) + 1 == said.coat
        ]
        return None if other else just
    return just if said.coat is None and just == last and just in wanted_ else None


#: A tin that was used so short a while ago is still open on the bench.
_JUST: Final = timedelta(hours=2)


def _between(scene: Scene, said: Deed, piece: str, planned: str, last: str) -> str:
    """Choose by the number said between the product that is planned and the one that is on: it may fit but one."""
    on_it = scene.state.coats.get(piece, {})
    number = said.coat
    if (answered := scene.hints.product((planned, last))) is not None:
        return answered
    if number is None:
        return planned
    room = {w.label: w.coats for w in wanted(scene.state) if w.piece == piece}
    fits = [p for p in (planned, last) if on_it.get(p, 0) + 1 == number]
    if len(fits) == 1 and number <= room.get(fits[0], number):  # a coat more than planned may be the next tin's
        return fits[0]
    raise Back(f"{ordinal(number)} coat of what on the {piece}: {planned} or {last}?", Slot.PRODUCT, [planned, last])


#: So far ahead of what is on may a coat be numbered, and up to so many without a word: some were not logged.
_AHEAD: Final = 4
_MANY: Final = 9


def number(scene: Scene, said: Deed, piece: str, product: str | None, part: str | None) -> tuple[int, str | None]:
    """Give the coat's number, said or counted on, and a caution where "the last" is not what the plan has."""
    on_it = scene.state.coats.get(piece, {}).get(product or "", 0)
    if scene.hints.coat is not None:
        return scene.hints.coat, None
    if said.coat is not None and said.coat > on_it + _AHEAD and said.coat > _MANY:
        raise Refused(f"A coat number of {said.coat} can't be right: I have {on_it} on the {piece}. Say it again.")
    if said.coat is not None:
        return said.coat, None
    if part is not None and on_it and lacks(scene.state, piece, product, on_it, part):
        return on_it, None  # the other half of the coat that is on
    if said.gapped and not on_it and scene.context.coat is not None:
        return scene.context.coat, None  # "second coat on the trim ... and the handrail"
    if said.final:
        lines = [w for w in wanted(scene.state) if w.piece == piece and w.label == product]
        if lines and lines[-1].coats != on_it + 1:
            return on_it + 1, (f"The plan has {lines[-1].coats} on the {piece} and I have {on_it}: was one not logged?")
    return on_it + 1, None


def lacks(state: State, piece: str, product: str | None, number: int, part: str) -> bool:
    """Whether a coat of that number is on other parts of a piece and not on this one."""
    same = [e for e in state.work.get(piece, ()) if isinstance(e, Coat) and (e.coat, e.product) == (number, product)]
    return bool(same) and all(e.part is not None and e.part != part for e in same)


def too_thin(scene: Scene, laid: Coat) -> str | None:
    """Give the caution where a coat was thinned further than its label allows, else None."""
    card = scene.talk.card(laid.product)
    if card is None or card.thinner is None or card.thinner.max is None or laid.thinned is None:
        return None
    if laid.thinned.value <= card.thinner.max:
        return None
    return f"The label allows {card.thinner.max:g} percent at most: a thinner film may sag, and builds less."
