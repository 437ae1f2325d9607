"""Which entry is meant: by the act, piece, coat, product, fault and day that were said of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from assistant.craft.times import like, utc
from assistant.dialogue.context import Slot
from assistant.dialogue.materials import product as settle_product
from assistant.dialogue.scene import Scene
from assistant.dialogue.settling import pieces as settle
from assistant.dialogue.talk import Back
from assistant.dialogue.telling.readback import described
from assistant.journal.events import Amend, Climate, Coat, Event, Fault, Mix, Sand, Tin, Undo, Unread, Work
from assistant.language.meanings import Act, Deed, Flaw, Group, Spell, TinFact
from assistant.language.when import When, resolve

Target = Deed | Spell | TinFact | Flaw
#: So many entries back a description is looked for.
_BACK: Final = 60


def alive(scene: Scene, batch: tuple[int, ...]) -> list[Event]:
    """Give what still stands of a batch, amended."""
    return [e for e in (scene.talk.journal.get(i) for i in batch) if e is not None]


def last_batch(scene: Scene) -> tuple[tuple[int, ...], list[Event]]:
    """Give the last batch of the talk of which any entry stands, and those; a correction stands for its entry."""
    for batch in reversed(scene.context.batches):
        told = [e.of if isinstance(e, Amend) else e.id for e in alive(scene, batch)]
        events = [e for e in alive(scene, tuple(dict.fromkeys(told))) if not isinstance(e, Unread)]
        if events:
            return batch, events
    return (), []


def sure_of_last(scene: Scene, events: Sequence[Event], verb: str) -> None:
    """Ask before what stands is changed or done again when the phrase before was not logged: that may be meant."""
    if not scene.context.unread_last or scene.hints.sure or not events:
        return
    what = described(events[-1], scene.now)
    raise Back(f"What you said last was not logged. {verb} {what}?", Slot.SURE, ["yes"])


def speaks_of(target: Target) -> bool:
    """Whether a target says anything by which an entry could be found."""
    if isinstance(target, Deed):
        told = (target.pieces, target.coat, target.grit, target.products, target.kind, target.verb, target.when)
        return any(told) or target.act is not Act.OTHER
    return True


def looked_up(scene: Scene, target: Target) -> list[Event]:
    """Give the entries that a description fits, oldest first.

    Of several of the same act on the same piece the newest is meant, unless a coat or a day says otherwise.
    """
    found = [e for e in recent(scene) if fits(scene, e, target)]
    if not found:
        return []
    newest: dict[tuple[str, str], Event] = {}
    for e in sorted(found, key=lambda e: (utc(e.at), e.id)):
        newest[e.kind, getattr(e, "piece", None) or getattr(e, "product", None) or ""] = e
    return sorted(newest.values(), key=lambda e: e.id)


def recent(scene: Scene) -> list[Event]:
    """Give what stands in the journal and may be meant by a description: work, mixes, tins, the newest of the air."""
    work = [e for events in scene.state.work.values() for e in events if e.id]
    ids = {e.id for e in work}
    other = [*scene.state.mixes, *scene.state.stock, *scene.state.climate[-_BACK:]]
    return work + [e for e in other if e.id and e.id not in ids and not isinstance(e, Undo)]


def fits(scene: Scene, event: Event, target: Target) -> bool:
    """Whether an entry is one of those that a description speaks of."""
    if isinstance(target, Deed):
        return _fits_deed(scene, event, target)
    if isinstance(target, Flaw):
        kind = isinstance(event, Fault) and target.fault in ("other", event.fault)
        return kind and _fits_piece(scene, event, target.pieces) and _fits_day(scene, event, target.when)
    if isinstance(target, TinFact):
        of = [settle_product(scene, n) for n in target.products]
        same = isinstance(event, Tin) and target.change == event.change and (not of or event.product in of)
        return same and _fits_day(scene, event, target.when)
    spaces = [o for n in target.spaces for o in n.options]
    return isinstance(event, Climate) and (not spaces or event.space in spaces)


def _fits_deed(scene: Scene, event: Event, target: Deed) -> bool:
    said_act = target.act is not Act.OTHER
    if said_act and event.kind != target.act.value:
        return False
    if not isinstance(event, Coat | Sand | Work | Mix | Fault):
        return False
    if target.coat is not None and getattr(event, "coat", None) != target.coat:
        return False
    if target.grit and getattr(event, "grit", None) not in target.grit:
        return False
    options = {o for n in target.products for o in n.options}
    if options and getattr(event, "product", None) not in options:
        return False
    return _fits_piece(scene, event, target.pieces) and _fits_day(scene, event, target.when)


def _fits_piece(scene: Scene, event: Event, group: Group | None) -> bool:
    if group is None or (not group.names and not group.unknown and group.pronoun is not None):
        return True  # "scratch it": whatever the rest says
    return getattr(event, "piece", None) in meant(scene, group)


def meant(scene: Scene, group: Group) -> tuple[str, ...]:
    """Give the pieces a description may mean: of a name with two owners, either."""
    try:
        return settle(scene, group).pieces
    except Back:
        return tuple(dict.fromkeys(o for n in group.names for o in n.options))


def _fits_day(scene: Scene, event: Event, said: When | None) -> bool:
    if said is None or not said.said:
        return True
    at: datetime = like(event.at, scene.now)
    wanted = resolve(said, scene.now, "past")
    if said.clock is not None:
        return abs((utc(at) - utc(wanted)).total_seconds()) < 60
    return at.date() == wanted.date()
