"""What is warned of when something is logged: clashes every time, a hazard once a day.

The cautions come from ``models/cautions.toml`` and the craft; here is only when they are said.
"""

from __future__ import annotations

from typing import Final

from assistant.craft.clash import clash
from assistant.dialogue.scene import Result, Scene
from assistant.journal.events import Coat, Event, Gear
from assistant.journal.state import State
from assistant.language.meanings import Correction, Errand, Note, Rule, Undo
from assistant.library.cautions import cautions_for

#: Advice that holds for every coat is said once a day; a clash is said each time.
_ADVICE: Final = ("let the dust settle",)
#: What these log is no work, so nothing speaks against it.
_NO_WORK: Final = (Correction, Errand, Note, Rule, Undo)


def cautions(scene: Scene, before: State, result: Result) -> list[str]:
    """Give what belongs to a result: clashes with the job as it stood, doubled or skipped coats, hazards of the day."""
    if isinstance(result.meaning, _NO_WORK):
        return []
    out: list[str] = []
    for event in result.events:
        out.extend(w for w in clash(before, scene.talk.cards, event, scene.now) if not _said_today(scene, w))
        out.extend(_doubled(before, event))
        out.extend(_hazards(scene, event))
    return list(dict.fromkeys(_full(w) for w in out))


def _said_today(scene: Scene, warning: str) -> bool:
    topic = next((a for a in _ADVICE if a in warning), None)
    return topic is not None and not _first_today(scene, topic)


def _first_today(scene: Scene, topic: str) -> bool:
    today = scene.now.date().isoformat()
    first = scene.context.cautioned.get(topic) != today
    scene.context.cautioned[topic] = today
    return first


def _full(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def _doubled(before: State, event: Event) -> list[str]:
    """Ask about a coat number that the piece has already or that skips one: it may be a slip of the tongue."""
    if not isinstance(event, Coat):
        return []
    have = before.coats.get(event.piece, {}).get(event.product or "", 0)
    same = [e for e in before.work.get(event.piece, ()) if isinstance(e, Coat) and e.coat == event.coat]
    if event.part is not None and same and all(e.part not in (None, event.part) for e in same):
        return []  # the same coat on another part of it
    if event.coat <= have:
        return [f'The {event.piece} has {have} already: say "no, the ..." if the number is wrong']
    if have and event.coat > have + 1:
        return [f"The last I have on the {event.piece} is number {have}: was one not logged?"]
    return []


def _hazards(scene: Scene, event: Event) -> list[str]:
    card = scene.talk.card(getattr(event, "product", None))
    kind = card.kind if card else ""
    if isinstance(event, Gear) and any(w in event.item for w in ("mask", "filter", "cartridge", "respirator")):
        kind = "mask"
    found = cautions_for(event.kind, kind=kind, hazards=card.hazards if card else ())
    return [c.text for c in found if _first_today(scene, c.topic)][:2]  # a wall of warnings is not listened to
