"""A short answer to a question back: a name, a number, yes or no.

The answer is turned into hints and the first phrase is read again with them, so an answered question takes
the very path that the full phrase would have taken.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any, Final

from assistant.dialogue.talk import Talk
from assistant.journal.events import Event, Set
from assistant.language.meaning import Meaning, meaning
from assistant.language.reading import read
from assistant.language.spans import Tagged


@dataclass(slots=True)
class Filled:
    """What an answer filled in; ``dropped`` if the person said no."""

    hints: dict[str, Any] = field(default_factory=dict)
    events: list[Event] = field(default_factory=list)
    phrase: str | None = None
    dropped: bool = False
    meaning: Meaning | None = None


def fill(talk: Talk, tagged: Tagged, pending: dict[str, Any]) -> Filled | None:
    """Give what the phrase answers, or None if it is no answer but something new."""
    if pending["slot"] == "laid":
        return _laid(tagged.words, pending["value"])
    readings = read(tagged, pending["slot"])
    if len(readings) != 1:
        return None
    reading = readings[0]
    m = meaning(tagged, reading)
    slot, options = pending["slot"], pending["options"]
    if slot == "what_was_it":  # nothing hangs on it: the coat is logged, and any other phrase goes on
        plain = m.products and not m.pieces and not m.when.said and not reading.left and m.words <= 6
        return Filled(meaning=m) if plain and reading.frame.name in ("pick", "coat", "amend") else None
    if reading.frame.name == "no" and not reading.left:
        return Filled(dropped=True)
    if reading.frame.name == "yes" and not reading.left and not m.pieces:
        return _yes(talk, slot, options, pending["value"])
    if reading.frame.name not in ("pick", "yes", "same", "amend", "stage") and not _short(m):
        return None
    if reading.cost.unexplained > 0 or m.words > 6 or m.until is not None or m.range is not None:
        return None
    if slot == "humidity" and m.frame == "climate" and m.has("air.humidity"):
        return None  # a reading told whole is logged
    return _named(talk, m, slot, options)


_ON: Final = frozenset(
    ["it", "i", "is", "has", "have", "been", "just", "now", "already", "yes", "yeah", "yep", "aye", "on", "laid",
     "done", "did", "put", ","]
)  # fmt: skip


def _laid(words: list[str], wish: str) -> Filled | None:
    """Take "it is on" or "to do" as the answer to whether a coat was laid."""
    if len(words) > 6:
        return None
    text = " ".join(words)
    if re.search(r"\b(scratch|undo|forget|cancel|never mind|neither)\b", text):
        return Filled(dropped=True)
    if re.search(r"\b(to do|to come|to be|later|not|no|plan|planned|will|going to|still)\b", text):
        return Filled(phrase=wish)
    return Filled(hints={"laid": True}) if set(words) <= _ON else None


def _short(m: Meaning) -> bool:
    return m.words <= 4 and not m.when.said and m.mood != "ask" and m.frame in ("coat", "sand", "climate", "tin")


def _yes(talk: Talk, slot: str, options: list[str], value: str) -> Filled | None:
    if slot == "new_piece" and value:
        event = Set(what="piece", name=value, values={}, at=talk.now, said_at=talk.now)
        return Filled(hints={"piece": [value]}, events=[event])
    if len(options) == 1:
        return Filled(hints={"piece" if slot == "new_piece" else slot: [options[0]]})
    return None


def _named(talk: Talk, m: Meaning, slot: str, options: list[str]) -> Filled | None:
    if slot in ("piece", "new_piece"):
        return _pieces(talk, m, options)
    if slot == "product" and m.products:
        fits = [p for n in m.products for p in n.options if not options or p in options]
        fits = fits or [p for n in m.products for p in n.options]
        return Filled(hints={"product": [fits[0]]}) if len(set(fits)) == 1 else None
    if slot == "space" and m.spaces:
        return Filled(hints={"space": [m.spaces[0].options[0]]})
    numbers = m.numbers or ([m.other["number"]] if "number" in m.other else [])  # "sixty" is a grit too
    if slot == "amount" and (m.amounts or numbers):
        said = m.amounts[0] if m.amounts else None
        return Filled(hints={"amount": [said.value, said.unit] if said else [numbers[0], "ml"]})
    if slot == "temperature" and (m.temperature or numbers):
        return Filled(hints={"temperature": m.temperature.value if m.temperature else numbers[0]})
    if slot in ("humidity", "percent") and (m.percent or numbers):
        return Filled(hints={slot: m.percent.value if m.percent else numbers[0]})
    if slot == "ordinal" and (m.ordinal or m.numbers):
        return Filled(hints={"ordinal": m.ordinal or int(m.numbers[0])})
    return None


def _pieces(talk: Talk, m: Meaning, options: list[str]) -> Filled | None:
    if m.has("talk.both") and len(options) > 1 and not m.pieces:
        return Filled(hints={"piece": options})
    if m.has("talk.other") and len(options) == 2:
        rest = [o for o in options if o not in talk.last_pieces]
        return Filled(hints={"piece": rest}) if len(rest) == 1 else None
    said = [p for n in m.pieces for p in n.options]
    fits = [p for p in said if p in options] or said
    if not fits:
        # "port": one word of just one of the options
        words = set(m.text.lower().replace(",", " ").split())
        fits = [o for o in options if words & set(o.split())]
    if len(set(fits)) == 1 or (fits and (m.has("talk.both") or any(n.plural for n in m.pieces))):
        return Filled(hints={"piece": list(dict.fromkeys(fits))})
    return None
