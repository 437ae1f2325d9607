"""The last thing done, again: on another piece, or as on another piece."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import materials, settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Unclear
from assistant.dialogue.telling.coating import lacks
from assistant.dialogue.telling.moments import Moment, done
from assistant.dialogue.telling.readback import described, left_out
from assistant.dialogue.telling.targets import alive, sure_of_last
from assistant.journal.events import Coat, Event, Fault, Sand, Task, Work
from assistant.language.meanings import Same
from assistant.wording import capital, listed


def same(scene: Scene, said: Same) -> Result:
    """Log again on other pieces what was logged last, or what was last done to the ``source``."""
    old = _source(scene, said)
    if said.pieces is None and not scene.hints.pieces:
        raise Back("The same on which piece?", Slot.PIECE, [*scene.state.pieces])
    pieces = settling.pieces(scene, said.pieces).pieces
    moment = done(scene, said.when)
    events: list[Event] = []
    for piece in pieces:
        events += [_on(scene, said, e, piece, moment) for e in old]
    scene.spoke_of(pieces)
    told = capital(listed(described(e, scene.now) for e in events))
    return Result(f"{told}.{left_out(said)}", tuple(events), meaning=said)


def _source(scene: Scene, said: Same) -> list[Event]:
    """Give the entries to be done again: of one piece, all of the last phrase."""
    if said.source is not None:
        source = settling.pieces(scene, said.source).pieces
        work = [e for p in source for e in scene.state.work.get(p, ()) if isinstance(e, Coat | Sand | Work)]
        if len(source) != 1 or not work:
            raise Unclear(f"I know of nothing done to {settling.the(source)}.")
        return [work[-1]]
    for batch in reversed(scene.context.batches):
        events = [e for e in alive(scene, batch) if isinstance(e, Coat | Sand | Work | Fault) and e.piece]
        if events:
            sure_of_last(scene, events, "Do again")
            first = getattr(events[0], "piece", None)
            return [e for e in events if getattr(e, "piece", None) == first]
    raise Unclear("The same as what? Say what was done.")


def _on(scene: Scene, said: Same, old: Event, piece: str, moment: Moment) -> Event:
    """Give an event as it would be on another piece; a coat counts on from those that it has."""
    fresh: Event = replace(
        old,
        id=0,
        piece=piece,
        at=moment.at,
        between=moment.between,
        began=None,
        said_at=scene.now,  # type: ignore[call-arg]
    )
    if isinstance(old, Task) and isinstance(fresh, Task) and old.piece:
        return replace(fresh, text=old.text.replace(old.piece, piece))
    if isinstance(fresh, Coat | Sand | Work):
        fresh = replace(fresh, part=said.pieces.part if said.pieces is not None else None)
    if isinstance(fresh, Coat):
        product = materials.product(scene, said.products[0], piece) if said.products else fresh.product
        on_it = scene.state.coats.get(piece, {}).get(product or "", 0)
        rest = fresh.part is not None and on_it and lacks(scene.state, piece, product, on_it, fresh.part)
        number = said.coat or (on_it if rest else on_it + 1)
        return replace(fresh, product=product, coat=number)
    if isinstance(fresh, Sand) and said.grit:
        return replace(fresh, grit=said.grit)
    return fresh
