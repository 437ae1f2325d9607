"""A question is answered: read by the frames of what can be asked, taken by the room that knows."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from assistant.dialogue.context import Context, Hints
from assistant.dialogue.handlers import handler
from assistant.dialogue.scene import Result
from assistant.dialogue.talk import Talk, Unclear
from assistant.language.frames import frames
from assistant.language.meaning import meaning
from assistant.language.meanings import Question, Reading
from assistant.language.names import Gazetteer
from assistant.language.reading import read
from assistant.language.spans import tag

_TELLING: Final = frozenset(f.name for f in frames() if f.mood != "ask") - {"pick"}


def answer(talk: Talk, context: Context, names: Gazetteer, question: Question, phrase: str) -> Result:
    """Answer a question. ``Unclear`` where nobody knows what is asked."""
    found = _answered(talk, context, names, phrase)
    if found is None:
        raise Unclear('I did not follow that question: say it in other words. "help" gives examples.')
    return found


def fragment(talk: Talk, context: Context, names: Gazetteer, reading: Reading) -> Result | None:
    """Answer what asks without the form of a question ("and touch", "what next then"); None if it asks nothing."""
    return _answered(talk, context, names, reading.phrase, sure=True)


def _answered(talk: Talk, context: Context, names: Gazetteer, phrase: str, *, sure: bool = False) -> Result | None:
    old = _old(talk, context)
    last = old.get("frame") if context.fresh(talk.now) else None
    tagged = tag(phrase, names)
    tagged.without = _TELLING
    readings = read(tagged, last=last)
    if not readings or any(r.frame.mood != "ask" or r.broken or (sure and r.cost.unexplained) for r in readings):
        return None
    if any(r.cost.unexplained > max(1.0, 0.34 * (r.end - r.start)) for r in readings):
        return None
    talk.context, talk.phrase = old, phrase
    talk.hints = _hints(context.hints)
    replies, answers, cautions = [], [], list[str]()
    for r in readings:
        m = meaning(tagged, r)
        taken_by = handler(m.frame)
        if taken_by is None:
            return None
        result = taken_by(talk, m)
        replies.append(result.reply)
        answers.append(result.answer)
        cautions.extend(result.cautions)
        if r.frame.name not in ("why", "help"):
            old["frame"] = "ready" if r.frame.name == "stage" else r.frame.name
    if talk.said_pieces:
        context.pieces = tuple(talk.said_pieces)
    first = next((a for a in answers if a), None)
    if first and first.get("product"):
        context.product = str(first["product"])
    old.pop("pieces", None)
    context.query = old
    return Result(" ".join(replies), answer=first, cautions=tuple(cautions))


def _old(talk: Talk, context: Context) -> dict[str, Any]:
    old = dict(context.query) if isinstance(context.query, dict) else {}
    old["pieces"] = list(context.pieces)
    if context.product:
        old["product"] = context.product
    if context.at is not None:
        old["at"] = context.at.isoformat()
    old["cautioned"] = dict(context.cautioned)
    return old


def _hints(hints: tuple[Hints, ...]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for h in hints:
        if h.pieces:
            out["piece"] = list(h.pieces)
        if h.products:
            out["product"] = [h.products[-1]]
        if h.space:
            out["space"] = [h.space]
        if h.amount:
            out["amount"] = [h.amount.value, h.amount.unit]
        if h.percent:
            out["percent"] = h.percent.value
        if h.temperature:
            out["temperature"] = h.temperature.value
    return out


__all__ = ["answer", "datetime", "fragment"]
