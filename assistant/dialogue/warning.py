"""What is warned of when something is logged: clashes every time, a hazard once a day.

The cautions come from ``models/cautions.toml`` and the craft; here is only when they are said.
"""

from __future__ import annotations

from assistant.craft.clash import clash
from assistant.dialogue.talk import Result, Talk
from assistant.journal.events import Coat, Event, Gear
from assistant.journal.state import State
from assistant.library.cautions import cautions_for


def cautions(talk: Talk, before: State, results: list[Result]) -> list[str]:
    """Give what belongs to these results: clashes against the job as it stood, then hazards not yet said today."""
    out: list[str] = []
    for result in results:
        if result.meaning is None or result.meaning.mood != "log":
            continue
        for event in result.events:
            out.extend(w for w in clash(before, talk.cards, event, talk.now) if not _said_today(talk, w))
            out.extend(_doubled(before, event))
            out.extend(_hazards(talk, event))
    return list(dict.fromkeys(_full(w) for w in out))


#: Advice that holds for every coat is said once a day; a clash is said each time.
_ADVICE = ("let the dust settle",)


def _said_today(talk: Talk, warning: str) -> bool:
    topic = next((a for a in _ADVICE if a in warning), None)
    if topic is None:
        return False
    said: dict[str, str] = talk.context.setdefault("cautioned", {})
    today = talk.now.date().isoformat()
    if said.get(topic) == today:
        return True
    said[topic] = today
    return False


def _full(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def _doubled(before: State, event: Event) -> list[str]:
    """Ask about a coat number that the piece has already or that skips one: it may be a slip of the tongue."""
    if not isinstance(event, Coat):
        return []
    have = before.coats.get(event.piece, {}).get(event.product or "", 0)
    if event.coat <= have:
        return [f'The {event.piece} has {have} already: say "no, the ..." if the number is wrong']
    if have and event.coat > have + 1:
        return [f"The last I have on the {event.piece} is number {have}: was one not logged?"]
    return []


def _hazards(talk: Talk, event: Event) -> list[str]:
    card = talk.card(getattr(event, "product", None))
    kind = card.kind if card else ""
    if isinstance(event, Gear) and any(w in event.item for w in ("mask", "filter", "cartridge", "respirator")):
        kind = "mask"
    today = talk.now.date().isoformat()
    said: dict[str, str] = talk.context.setdefault("cautioned", {})
    out = []
    for caution in cautions_for(event.kind, kind=kind, hazards=card.hazards if card else ()):
        if said.get(caution.topic) != today:
            said[caution.topic] = today
            out.append(caution.text)
    return out[:2]  # the gravest; a wall of warnings is not listened to
