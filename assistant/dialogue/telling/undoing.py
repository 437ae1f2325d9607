"""Taking back: the last entry of the talk, the one described, or the one that is denied."""

from __future__ import annotations

from assistant.craft.times import utc
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Unclear
from assistant.dialogue.telling.readback import described, left_out
from assistant.dialogue.telling.targets import alive, fits, last_batch, looked_up, speaks_of
from assistant.journal.events import Amend, Event, amended
from assistant.journal.events import Undo as UndoEvent
from assistant.language.meanings import Act, Deed, Flaw, Meaning, TinFact, Undo
from assistant.wording import listed


def undo(scene: Scene, said: Undo) -> Result:
    """Take back the last entry, the last few, or the one described; say which.

    ``Back`` where two entries fit, or where the phrase before was not read and "that" may mean it.
    """
    if said.target is not None and speaks_of(said.target):
        found = looked_up(scene, said.target)
        if not found:
            raise Unclear(f"I have nothing like that to take back{_last_words(scene)}")
        return taken_back(scene, said, [_one(scene, found)])
    if scene.context.unread_last and not scene.hints.sure:
        _, events = last_batch(scene)
        if not events:
            return _struck(scene, said)
        what = listed(described(e, scene.now) for e in events[:3])
        raise Back(f"What you said last was not logged. Take back {what}?", Slot.SURE, ["yes"])
    batches = list(scene.context.batches)
    events = []
    many = said.count
    while batches and many > 0:
        living = alive(scene, batches.pop())
        if living:
            events += living
            many -= 1
    scene.context.batches = tuple(batches)
    if not events:
        raise Unclear("There is nothing of the last few turns left to take back.")
    return taken_back(scene, said, events)


def _struck(scene: Scene, said: Undo) -> Result:
    """Strike the words that were kept unread: nothing else is there to be taken back."""
    if not scene.context.unread:
        raise Unclear("What you said last was not logged, so there is nothing to take back.")
    number = scene.context.unread[-1]
    scene.context.unread = scene.context.unread[:-1]
    kept = scene.talk.journal.get(number)
    event = UndoEvent(of=(number,), at=scene.now, said_at=scene.now)
    return Result(f'Struck: "{getattr(kept, "text", "")}".', (event,), meaning=said)


def _one(scene: Scene, found: list[Event]) -> Event:
    if len(found) == 1:
        return found[0]
    hinted = [e for e in found if e.id == scene.hints.entry]
    if hinted:
        return hinted[0]
    shown = found[-3:]
    options = [described(e, scene.now) for e in shown]
    raise Back(f"Which one: {listed(options, 'or')}?", Slot.ENTRY, options, value=" ".join(str(e.id) for e in shown))


def taken_back(scene: Scene, said: Meaning, events: list[Event]) -> Result:
    """Take entries back, and say which."""
    shown = [e for e in events if not isinstance(e, Amend)] or events
    words = listed(_told(scene, e) for e in shown[:3])
    more = f" and {len(shown) - 3} more" if len(shown) > 3 else ""
    gone = tuple(e.id for e in events)
    scene.context.batches = tuple(left for b in scene.context.batches if (left := tuple(i for i in b if i not in gone)))
    event = UndoEvent(of=gone, at=scene.now, said_at=scene.now)
    return Result(f"Taken back: {words}{more}.{left_out(said)}", (event,), meaning=said)


def _told(scene: Scene, event: Event) -> str:
    """Give what is taken back: of a correction, what stands again where that can be told."""
    if not isinstance(event, Amend):
        return described(event, scene.now)
    now, first = scene.talk.journal.get(event.of), next(iter(scene.talk.journal.events(event.of, event.of)), None)
    if now is None or first is None:
        return "the correction"
    if amended(first, event.changes) == now:  # the only one there is
        return f"the correction, so it is {described(first, scene.now)}"
    return f"the last correction of {described(now, scene.now)}"


def denial(scene: Scene, said: Meaning) -> Result:
    """Take back what was last logged if "I did not sand the doors" denies just that, else log nothing."""
    if not isinstance(said, Deed | Flaw | TinFact):
        return Result("Then there is nothing to log.", meaning=said)
    _, last = last_batch(scene)
    sure = not isinstance(said, Deed) or said.act is not Act.OTHER
    if last and sure and scene.context.fresh(scene.now) and all(fits(scene, e, said) for e in last):
        return taken_back(scene, said, last)
    if isinstance(said, TinFact) or said.pieces is None:
        return Result("Then there is nothing to log.", meaning=said)
    found = looked_up(scene, said)
    if not found:
        return Result("Then there is nothing to log.", meaning=said)
    own = max(found, key=lambda e: (utc(e.at), e.id))
    piece = getattr(own, "piece", "") or ""
    if scene.hints.sure:
        return taken_back(scene, said, [own])
    raise Back(f"I have {described(own, scene.now)}. Take it back?", Slot.SURE, ["yes"], value=str(piece))


def _last_words(scene: Scene) -> str:
    _, events = last_batch(scene)
    return f": the last was {described(events[-1], scene.now)}." if events else "."


__all__ = ["denial", "undo"]
