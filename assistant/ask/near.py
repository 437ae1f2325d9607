"""What cannot be answered: the two questions nearest to it that can, in words and as queries."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.ask.answer import Resolver
from assistant.ask.table import MODULES, resolver
from assistant.ask.words import supposed
from assistant.language.query import Property, Query, Shape
from assistant.wording import listed

#: What stands next to each property, the nearest first.
_BESIDE: Final[dict[Property, tuple[Property, ...]]] = {
    Property.READY: (Property.STATUS, Property.WINDOW),
    Property.WINDOW: (Property.READY, Property.STATUS),
    Property.DUST: (Property.READY, Property.STATUS),
    Property.TAPE: (Property.READY, Property.STATUS),
    Property.MIX: (Property.POT, Property.COVER),
    Property.THIN: (Property.LABEL, Property.MIX),
    Property.POT: (Property.MIX, Property.LABEL),
    Property.STOCK: (Property.BUY, Property.COVER),
    Property.BUY: (Property.STOCK, Property.COVER),
    Property.COVER: (Property.STOCK, Property.LEFT),
    Property.DEW: (Property.COLD, Property.HUMIDITY),
    Property.COLD: (Property.DEW, Property.HUMIDITY),
    Property.HUMIDITY: (Property.DEW, Property.COLD),
    Property.NEXT: (Property.LEFT, Property.FINISH),
    Property.LEFT: (Property.NEXT, Property.FINISH),
    Property.FINISH: (Property.LEFT, Property.NEXT),
    Property.WHATIF: (Property.FINISH, Property.READY),
    Property.STATUS: (Property.READY, Property.ENTRY),
    Property.DIARY: (Property.ENTRY, Property.STATUS),
    Property.ENTRY: (Property.DIARY, Property.STATUS),
    Property.COATS: (Property.LEFT, Property.ENTRY),
    Property.COMPAT: (Property.LABEL, Property.READY),
    Property.KEEPING: (Property.STOCK, Property.LABEL),
    Property.LABEL: (Property.COVER, Property.THIN),
    Property.GRIT: (Property.ENTRY, Property.NEXT),
    Property.KNOW: (Property.LABEL, Property.STATUS),
}
_ASKS: Final = {
    Shape.WHETHER: "whether", Shape.WHEN: "when", Shape.WHICH: "where", Shape.FIRST: "where first",
    Shape.HOW_LONG: "how long till",
}  # fmt: skip


def nearest(query: Query, found: Resolver | None) -> tuple[Query, ...]:
    """Give the two queries nearest to one that cannot be answered: the same in another shape, then its neighbours."""
    out: list[Query] = []
    if found is not None:
        out.append(replace(query, shape=found.natural, unknown=None, negated=False))
    for what in (*_BESIDE.get(query.what, ()), Property.STATUS, Property.NEXT):
        other = resolver(what) if what in MODULES and what is not query.what else None
        if other is None or len(out) == 2:
            continue
        shape = query.shape if query.shape in other.shapes - {Shape.NEEDED, Shape.WHY} else other.natural
        out.append(replace(query, what=what, shape=shape, unknown=None, negated=False))
    return tuple(out[:2])


def words(query: Query) -> str:
    """Give a query in words: ``when a piece is ready for a stage: the hatch trim``."""
    found = resolver(query.what)
    topic = found.topic if found is not None else query.what.value
    subject = query.subject
    of = listed((*(f"the {p}" for p in subject.pieces), *(f"the {s}" for s in subject.spaces), *subject.products))
    asks = _ASKS.get(query.shape, "")
    parts = [f"{asks} {topic}".strip(), f"({of})" if of else "", supposed(query.suppose)]
    return " ".join(part for part in parts if part)


def offered(near: tuple[Query, ...]) -> str:
    """Say that a question cannot be answered, and what can."""
    told = listed((words(q) for q in near), "or")
    return f"I can't answer that. I can say {told}."
