"""The names a job can speak of, and the two kinds of phrase that are taken by their beginning.

A note keeps the words as they were said, so it is never read further; and a new piece or space brings a
word that nothing else could know.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final, Protocol

from assistant import data
from assistant.journal.state import State
from assistant.language.names import Gazetteer, Known


class Shelf(Protocol):
    """What is asked of the library: the families' names and kinds."""

    def families(self) -> Mapping[str, Any]:
        """Give the heads of the families."""


def gazetteer(state: State, library: Shelf) -> Gazetteer:
    """Index the job's names, with the words for whole kinds of material and the library's families."""
    known = [
        *(Known("piece", n.name, n.also) for n in state.pieces.values()),
        *(Known("space", n.name, n.also) for n in state.spaces.values()),
        *(Known("product", n.name, n.also) for n in state.labels.values()),
    ]
    kinds: dict[str, list[str]] = data.read_toml(data.root() / "grammars" / "kinds.toml")
    taken: set[str] = {word for label in state.labels.values() for word in (label.name, *label.also)}
    by_kind = _by_kind(state, library)
    for kind, words in kinds.items():
        labels = by_kind.get(kind, [])
        free = [w for w in words if w not in taken]
        if labels:
            known.extend(Known("product", name, tuple(free), weak=True) for name in labels)
        else:
            known.append(Known("product", words[0], tuple(free), weak=True))
    plain = {w for words in kinds.values() for w in words} | taken
    for head in library.families().values():
        names = tuple(n for n in (head.title, *head.also) if n not in plain)
        if names:
            known.append(Known("product", names[0], names[1:], weak=True))
    known.extend(_parts(state))
    return Gazetteer(known)


def _parts(state: State) -> list[Known]:
    """Give the names that the labels' ratios give their parts ("paste"): the first is the base."""
    found: dict[str, Known] = {}
    for label in state.labels.values():
        ratio = label.values.get("ratio")
        for k, part in enumerate(ratio.get("parts", ()) if isinstance(ratio, Mapping) else ()):
            name = str(part).rsplit(" ", 1)[0].strip().lower()
            if name and name not in ("resin", "hardener"):
                found.setdefault(name, Known("part.hardener" if k else "part.base", name))
    return list(found.values())


def _by_kind(state: State, library: Shelf) -> dict[str, list[str]]:
    heads = library.families()
    out: dict[str, list[str]] = {}
    for name, label in state.labels.items():
        if (head := heads.get(str(label.values.get("family")))) is not None:
            out.setdefault(head.kind, []).append(name)
    return out


_NOTE: Final = re.compile(
    r"^\s*(?:(?:ok(?:ay)?|right|so|um|er|please|and)[,\s]+)*"
    r"(?:(?:make|take|add|write|log|put(?: down)?|leave)\s+(?:me\s+)?a\s+)?(?:quick\s+)?"
    r"(?:note(?:\s+to\s+(?:self|me))?|memo|for the record|jot(?: this)? down|write(?: this)? down)\b"
    r"(?:\s+that\b)?\s*[:,\-]?\s*(?P<text>.+)$",
    re.IGNORECASE | re.DOTALL,
)


#: What is worth a line of the day and changes nothing else: breaks, and clamps that came off.
_ASIDE: Final = re.compile(
    r"^\s*(?P<text>(?:(?:i'm|i am|just|right|ok)[,\s]+)*"
    r"(?:(?:stopping|stopped|knocking off|knocked off|breaking|off) for (?:a |some |my )?"
    r"(?:tea|lunch|dinner|breakfast|brew|break|cuppa|coffee|the (?:day|night)|now)(?: now)?"
    r"|(?:we're|i'm|we are|i am) (?:getting )?(?:down to|low on) .+ (?:tin|tins|can|litre|bottle)s? (?:of .+)?"
    r"|there(?:'s| is| are) (?:about |only |maybe )?(?:half|a quarter|a third|an inch|a bit|a drop|a little)"
    r"(?: of)?(?: a| the)?(?: \w+)? of .+ left(?: in .+)?"
    r"|knock(?:ing|ed) off(?: now| for the (?:day|night))?"
    r"|back (?:at it|to it|on it|from (?:lunch|tea|dinner|the shop|town))"
    r"|(?:took|taken|got|had|have taken|i've taken) (?:the|all the) clamps off(?: .+)?"
    r"|clamps (?:are )?off(?: (?!yet\b).+)?))\s*[.!]?\s*$",
    re.IGNORECASE,
)


def note(phrase: str) -> str | None:
    """Give the free words of "note ...", or of an aside of the day; None if the phrase is neither."""
    found = _NOTE.match(phrase) or _ASIDE.match(phrase)
    text = found.group("text").strip() if found else ""
    return text if any(c.isalnum() for c in text) else None


_NOW: Final = re.compile(
    r"^\s*(?:(?:and|so|how about|what about|ok|right)[,\s]+)*now(?: then)?\s*\?*\s*$", re.IGNORECASE
)


_IDLE: Final = re.compile(
    r"^\s*(?:(?:hang|hold) on(?: a (?:minute|second|sec|mo|moment|bit))?"
    r"|(?:just )?(?:wait )?a (?:minute|second|sec|mo|moment)"
    r"|(?:good )?(?:morning|afternoon|evening|night)(?: all| mate)?|hello|hi|hiya|cheers|ta|thanks"
    r"|thank you(?: very much)?|blimey|bloody hell|right then|ok then|let me think)\s*[.!,]*\s*$",
    re.IGNORECASE,
)


def idle(phrase: str) -> bool:
    """Whether a phrase says nothing that is to be answered or written down."""
    return bool(_IDLE.match(phrase))


def asks_again(phrase: str) -> bool:
    """Whether a phrase asks the last question again: "and now?"."""
    return bool(_NOW.match(phrase))


_NEW: Final = re.compile(
    r"^\s*(?:please\s+)?(?:(?:add|make|there(?:'s| is)|call it|set up)\s+)?(?:a\s+|the\s+)?"
    r"new\s+(?P<what>piece|space|room|cabin space)\s*"
    r"(?:called|named|:|,)?\s*(?P<name>[^\d,.:;]{2,40}?)"
    r"(?:\s*,?\s*in\s+the\s+(?P<space>[^\d,.:;]{2,40}?))?"
    r"(?:\s*,?\s*(?:of\s+|about\s+)?(?P<area>\d+(?:\.\d+)?)\s*(?:m2|m²|sq(?:uare)?\s*m(?:et(?:re|er)s?)?))?\s*[.!]?$",
    re.IGNORECASE,
)


def made_known(phrase: str) -> tuple[str, str, dict[str, Any]] | None:
    """Give ``(what, name, values)`` of "new piece locker lid in the galley, 0.4 square metres", or None."""
    found = _NEW.match(phrase)
    if not found:
        return None
    what = "piece" if found["what"].lower() == "piece" else "space"
    values: dict[str, Any] = {}
    if found["space"]:
        values["space"] = found["space"].strip().lower()
    if found["area"]:
        values["area"] = f"{found['area']} m2"
    return what, " ".join(found["name"].lower().split()), values
