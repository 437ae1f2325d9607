"""What can become of an utterance, and what is looked at in a text to decide it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from math import log
from typing import Final

from assistant.voice.recogniser import Alternative, Cost

#: Speech less than this over the noise (dB) is not to be trusted with a number.
NOISY: Final = 6.0
#: What a cost weighs against the recogniser's own order, as the logarithm of a confidence.
_READING: Final = 1.0
_IDLE: Final = frozenset(["the", "a", "an", "and", "is", "it", "i", "have"])  # said or not, they tell nothing
_NUMBERS: Final = frozenset((
    "oh", "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
    "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety", "hundred", "thousand", "half",
    "quarter", "minus", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth",
    "tenth", "noon", "midnight",
))  # fmt: skip


class Ruling(Enum):
    """What becomes of an utterance."""

    TAKE = "take"
    NOTE = "note"  # take the cue, then free speech
    NOISY = "noisy"  # too much noise to trust
    NUMBER = "number"  # too much noise to trust a number in it
    UNCLEAR = "unclear"  # something else was said, or nothing that reads
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A ruling and the text that it is about."""

    ruling: Ruling
    text: str = ""


def numbers(text: str) -> list[str]:
    """Give the number words of a text, in order."""
    return [w for w in text.split() if w in _NUMBERS]


def content(text: str) -> list[str]:
    """Give the words of a text that tell something."""
    return [w for w in text.split() if w not in _IDLE]


def choose(alternatives: Sequence[Alternative], cost: Cost) -> str:
    """Give the alternative that reads best, the recogniser's order weighed in; "" if none reads."""
    best: tuple[float, str] | None = None
    for alternative in alternatives:
        reads = cost(alternative.text)
        if reads is None:
            continue
        total = _READING * reads - log(max(1e-6, alternative.confidence))
        if best is None or total < best[0]:
            best = (total, alternative.text)
    return best[1] if best else ""
