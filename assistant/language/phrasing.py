"""What can be said, put out again: help, completion, the recogniser's grammar and the tests' generator.

All of it comes from the frames' ``shapes``; a shape is words with ``<slots>`` and ``[optional]`` parts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from itertools import product
from typing import Final

from assistant.journal.state import State
from assistant.language.frames import frames

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
    """Give one spoken example of each of the most used frames."""
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
    by_name = {f.name: f for f in frames()}
    return [filled(by_name[n].shapes[0], words, k) for k, n in enumerate(wanted[:most])]


def openings(state: State) -> list[str]:
    """Give what completion offers: every shape filled once for each name the job has."""
    words = samples(state)
    out: list[str] = []
    for frame in frames():
        for shape in frame.shapes:
            text = next(iter(expand(shape)))
            slots = _SLOT.findall(text)
            names = [words[s] for s in slots]
            out.extend(_filled(text, words, k) for k in range(max((len(n) for n in names), default=1)))
    return list(dict.fromkeys(out))
