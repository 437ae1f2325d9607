"""What to make of a recognition: take it, or not, and why.

A grammar makes a sentence of any noise. Three things stand between that and the journal: how far the sentence
stands from what bare phones make of the sound, whether it reads as a sentence at all, and whether the noise
leaves enough to tell. The limits are measured (``tests/bench/voice_accuracy.py``).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Final

from assistant.voice.recogniser import FREE, Alternative, Cost, Recognition

#: Speech less than this over the noise (dB) is not to be trusted with a number.
NOISY: Final = 6.0
#: Limits of distance (nats a frame) by speech over noise (dB): between two rows, linear; beyond them, the nearest.
_LIMITS: Final = ((6.0, 1.8), (11.0, 1.8), (18.0, 1.5), (30.0, 1.5))
_SHORT: Final = 0.75  # a single word has less to show, so it must fit better: its limit is this much of the others'
#: Limits for the cue of a note: said to a listener that was just woken, or else of two words or more.
_CUE_WOKEN, _CUE_LONG = 2.8, 0.7
#: What a cost weighs against the recogniser's own order, as the logarithm of a confidence.
_READING: Final = 1.0


class Ruling(Enum):
    """What becomes of an utterance."""

    TAKE = "take"
    NOTE = "note"  # take the cue, then free speech
    NOISY = "noisy"  # too much noise to trust
    UNCLEAR = "unclear"  # something else was said, or nothing that reads
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A ruling and the text that it is about."""

    ruling: Ruling
    text: str = ""


def limit(snr: float) -> float:
    """Give the greatest distance that passes when speech stands ``snr`` dB over the noise."""
    low = _LIMITS[0]
    if snr <= low[0]:
        return low[1]
    for high in _LIMITS[1:]:
        if snr <= high[0]:
            return low[1] + (high[1] - low[1]) * (snr - low[0]) / (high[0] - low[0])
        low = high
    return low[1]


def judge(heard: Recognition, snr: float, cost: Cost, *, woken: bool = False) -> Verdict:
    """Rule on a recognition. ``cost`` says how well a text reads; ``woken``: it was surely said to us."""
    if not heard.alternatives:
        return Verdict(Ruling.NOTHING)
    best = heard.alternatives[0].text
    refused = Ruling.NOISY if snr < NOISY else Ruling.UNCLEAR
    if best.split()[-1:] == [FREE]:
        return Verdict(Ruling.NOTE if _is_note(heard, best, woken=woken) else refused, best)
    far = heard.distance is not None and heard.distance > limit(snr) * (_SHORT if len(best.split()) == 1 else 1.0)
    if far or snr < NOISY:
        return Verdict(refused, best)
    text = choose(heard.alternatives, cost)
    return Verdict(Ruling.TAKE, text) if text else Verdict(Ruling.UNCLEAR, best)


def choose(alternatives: tuple[Alternative, ...], cost: Cost) -> str:
    """Give the alternative that reads best, the recogniser's order weighed in; "" if none reads."""
    from math import log

    best: tuple[float, str] | None = None
    for alternative in alternatives:
        reads = cost(alternative.text)
        if reads is None:
            continue
        total = _READING * reads - log(max(1e-6, alternative.confidence))
        if best is None or total < best[0]:
            best = (total, alternative.text)
    return best[1] if best else ""


def _is_note(heard: Recognition, text: str, *, woken: bool) -> bool:
    if heard.cue is None:  # a recogniser that has a word of its own for what it does not know
        return heard.distance is None
    if len(text.split()) == 2 and not woken:
        return False  # too much talk begins with "no", "not", "nobody"
    return heard.cue <= (_CUE_WOKEN if woken else _CUE_LONG)
