"""What can be said, put out again: help, completion, the recogniser's grammar and the tests' generator.

All of it comes from the spoken shapes of ``grammars/spoken.toml``; a shape is words with ``<slots>`` and ``[optional]``
parts. What the reader understands does not depend on them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import product
from typing import Final

from assistant import data
from assistant.journal.state import State


class Mood(StrEnum):
    """What a kind of sentence is for."""

    TOLD = "told"  # something for the journal
    ASKED = "asked"
    ABOUT = "about"  # of what was said before: a correction, an answer to a question back


@dataclass(frozen=True, slots=True)
class Spoken:
    """One kind of sentence and the forms in which it is expected to be said."""

    name: str
    mood: Mood
    shapes: tuple[str, ...]


@cache
def spoken() -> tuple[Spoken, ...]:
    """Give the kinds of sentence of ``grammars/spoken.toml``, in the order of the file."""
    tables = data.read_toml(data.root() / "grammars" / "spoken.toml")["spoken"]
    return tuple(Spoken(t["name"], Mood(t["mood"]), tuple(t["shapes"])) for t in tables)


_SLOT: Final = re.compile(r"<([a-z]+)>")
_OPTION: Final = re.compile(r"\[([^\[\]]*)\]")


def samples(state: State) -> dict[str, list[str]]:
    """Give some words for each slot, from the job where it has them."""
    return {
        "piece": [*state.pieces] or ["hatch trim"],
        "space": [*state.spaces] or ["fore cabin"],
        "product": [*state.labels] or ["varnish"],
        "ordinal": ["second", "third", "first", "fourth", "fifth"],
        "count": ["three", "two", "four"],
        "time": ["at ten past four", "twenty minutes ago", "at 20:15", "last night at half ten"],
        "clock": ["half past nine", "seven", "22:30"],
        "day": ["sunday", "friday"],
        "grit": ["240", "two forty", "320"],
        "percent": ["10 percent", "five percent"],
        "humidity": ["70 percent", "sixty five percent"],
        "amount": ["60 ml", "three hundred mil", "half a litre"],
        "temperature": ["fourteen degrees", "9 degrees"],
        "fault": ["run", "sag", "dry spot"],
    }


def expand(shape: str) -> Iterator[str]:
    """Give a shape with each optional part left out and put in."""
    found = list(_OPTION.finditer(shape))
    for choice in product((False, True), repeat=len(found)):
        out, last = "", 0
        for part, wanted in zip(found, choice, strict=True):
            out += shape[last : part.start()] + (part.group(1) if wanted else "")
            last = part.end()
        yield " ".join((out + shape[last:]).split())


def _filled(text: str, words: Mapping[str, Sequence[str]], turn: int) -> str:
    return _SLOT.sub(lambda s: words[s.group(1)][turn % len(words[s.group(1)])], text)


def filled(shape: str, words: Mapping[str, Sequence[str]], turn: int = 0) -> str:
    """Fill a shape's slots with the ``turn``-th words of each."""
    text = next(iter(reversed(list(expand(shape)))))
    return _filled(text, words, turn)


def examples(state: State, most: int = 12) -> list[str]:
    """Give one spoken example of each of the most used kinds of sentence."""
    words = samples(state)
    wanted = (
        "coat",
        "sand",
        "mix",
        "climate",
        "fault",
        "tin",
        "ready",
        "mixture",
        "dust",
        "status",
        "diary",
        "undo",
    )
    by_name = {s.name: s.shapes for s in spoken()}
    return [filled(by_name[n][0], words, k) for k, n in enumerate(wanted[:most])]


def openings(state: State) -> list[str]:
    """Give what completion offers: every shape filled once for each name the job has."""
    words = samples(state)
    out: list[str] = []
    for kind in spoken():
        for shape in kind.shapes:
            text = next(iter(expand(shape)))
            slots = _SLOT.findall(text)
            names = [words[s] for s in slots]
            out.extend(_filled(text, words, k) for k in range(max((len(n) for n in names), default=1)))
    return list(dict.fromkeys(out))
