"""Which product is meant: by its name, by the verb's kind, by what is planned for a piece or is on it already."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Scene
from assistant.dialogue.talk import Back
from assistant.journal.events import Coat
from assistant.language.names import Name
from assistant.wording import listed

#: What a verb such as "primed" says of the material, in the cards' kinds.
_VERB_KINDS: Final[dict[str, tuple[str, ...]]] = {
    "varnish": ("varnish",), "paint": ("topcoat",), "primer": ("primer",), "undercoat": ("undercoat",),
    "sealer": ("sealer",), "oil": ("oil",), "shellac": ("varnish",), "epoxy": ("epoxy",),
    "antifouling": ("antifouling",), "topcoat": ("topcoat",), "filler": ("filler", "putty"),
    "adhesive": ("adhesive",),
}  # fmt: skip


def product(scene: Scene, name: Name, piece: str | None = None) -> str:
    """Give the product a name means; of several the one planned for ``piece`` or last on it, else ``Back``."""
    options = name.options
    if len(options) == 1:
        return narrowed(scene, options[0], piece)
    return _one_of(scene, options, piece)


def of_kind(scene: Scene, kind: str, piece: str | None = None) -> str:
    """Give the product of a kind: the only label of it, the one planned for ``piece`` or last on it, else ``Back``."""
    labels = scene.talk.labels_of(_VERB_KINDS.get(kind, (kind,))) or scene.talk.labels_like(kind)
    if len(labels) == 1:
        return labels[0]
    if not labels:
        return narrowed(scene, kind, piece)  # nobody has told of a tin: the word itself
    return _one_of(scene, labels, piece)


def _one_of(scene: Scene, products: Sequence[str], piece: str | None) -> str:
    """Give the one of several products that was answered, is planned for ``piece`` or was last on it, else ``Back``."""
    if (answered := scene.hints.product(products)) is not None:
        return answered
    for known in (usual(scene, piece), last_on(scene, piece)) if piece else ():
        if known is not None and known in products:
            return known
    raise Back(f"Which one: {listed(products, 'or')}?", Slot.PRODUCT, products)


def last_on(scene: Scene, piece: str) -> str | None:
    """Give what the last coat on a piece was of."""
    coats = [e for e in scene.state.work.get(piece, ()) if isinstance(e, Coat)]
    return coats[-1].product if coats else None


def narrowed(scene: Scene, said: str, piece: str | None) -> str:
    """Give what "varnish" means on a piece that has a varnish on it already, where no label has the word."""
    last = last_on(scene, piece) if piece else None
    if last is None or scene.talk.card(said) is not None:
        return said
    card = scene.talk.card(last)
    return last if card is not None and said in card.kind else said


def usual(scene: Scene, piece: str) -> str | None:
    """Give what is planned for a piece: the first of its tasks whose coats are not all on."""
    from assistant.craft.wanted import wanted

    state = scene.state
    coats = {line.name: line for line in wanted(state) if line.piece == piece}
    for name, plan in state.plans.items():
        label = plan.values.get("label")
        if plan.values.get("piece") != piece or not label:
            continue
        line = coats.pop(name, None)
        if line is None and plan.values.get("coats"):
            continue  # dropped, or told with the first of its label
        label, many = (line.label, line.coats) if line else (str(label), 1)
        if state.coats.get(piece, {}).get(label, 0) < many:
            return label
    said = (c for c in coats.values() if state.coats.get(piece, {}).get(c.label, 0) < c.coats)
    return next((c.label for c in said), None)
