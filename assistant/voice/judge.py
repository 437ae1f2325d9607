"""What to make of a recognition: take it, or not, and why.

A grammar makes a sentence of any noise. Four things stand between that and the journal: how far the sentence
stands from what bare phones make of the sound, whether it reads as a sentence at all, whether the noise leaves
enough to tell, and, in noise, whether a number is heard again in another way. The limits are measured
(``tests/bench/voice_accuracy.py``).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

from assistant.voice.recogniser import FREE, Cost, Recognition
from assistant.voice.verdict import NOISY, Ruling, Verdict, choose, content, numbers
from assistant.voice.weighing import weigh

#: Speech less than this over the noise (dB): a number must be heard in two ways; and less than this: everything.
UNSURE, MURKY = 30.0, 14.0
#: Limits of distance (nats a frame) by speech over noise (dB): between two rows, linear; beyond them, the nearest.
_LIMITS: Final = ((6.0, 1.8), (11.0, 1.8), (18.0, 1.5), (30.0, 1.5))
#: The same for the word that fits least; below the first row, where noise hides words, a second opinion stands for it.
_WORST: Final = ((18.0, 6.0), (30.0, 3.4))
_SHORT: Final = 0.75  # a single word has less to show, so it must fit better: its limit is this much of the others'
#: Limits for the cue of a note: said to a listener that was just woken, or else of two words or more.
_CUE_WOKEN, _CUE_LONG = 1.5, 0.7
#: What is heard alike in two ways may be so much further from bare phones.
_AGREED: Final = 1.2
#: In murk a sentence must be so many times as likely as the best one with other numbers.
_AHEAD: Final = 1.6


def limit(snr: float, table: Sequence[tuple[float, float]] = _LIMITS) -> float:
    """Give the greatest distance that passes when speech stands ``snr`` dB over the noise."""
    low = table[0]
    if snr <= low[0]:
        return low[1]
    for high in table[1:]:
        if snr <= high[0]:
            return low[1] + (high[1] - low[1]) * (snr - low[0]) / (high[0] - low[0])
        low = high
    return low[1]


def judge(
    heard: Recognition, snr: float, cost: Cost, *, woken: bool = False,
    again: Callable[[], Recognition | None] | None = None, loosely: Cost | None = None,
) -> Verdict:  # fmt: skip
    """Rule on a recognition.

    ``cost`` says how well a text reads; ``woken``: it was surely said to us; ``again`` gives a second opinion (the
    recogniser's ``again``), and is only asked in noise. ``loosely`` is the cost of a text that no grammar vouches for;
    where it is None, no such text is taken.
    """
    if not heard.alternatives:
        return Verdict(Ruling.NOISY if snr < NOISY else Ruling.NOTHING)
    best = heard.alternatives[0].text
    refused = Ruling.NOISY if snr < NOISY else Ruling.UNCLEAR
    if best.split()[-1:] == [FREE]:
        return Verdict(Ruling.NOTE if _is_note(heard, best, woken=woken) else refused, best)
    if heard.second is not None:
        more = again() if again is not None and NOISY <= snr < MURKY else None
        heard = more if more is not None and more.second is not None else heard
        return weigh(heard, snr, cost, loosely)
    text = choose(heard.alternatives, cost)
    allowed = limit(snr) * (_SHORT if len(best.split()) == 1 else 1.0)
    distance = heard.distance or 0.0
    odd = heard.worst is not None and snr >= _WORST[0][0] and heard.worst > limit(snr, _WORST)
    if snr < NOISY or not text or odd or distance > allowed * _AGREED:
        return Verdict(refused, best)
    near = distance <= allowed
    unsure = snr < UNSURE and (not near or snr < MURKY or bool(numbers(text)))
    second = again() if again is not None and unsure else None
    if second is not None:
        return _confirmed(text, second.alternatives[0].text if second.alternatives else "", heard, snr, near=near)
    return Verdict(Ruling.TAKE if near else refused, text)


def _confirmed(text: str, second: str, heard: Recognition, snr: float, *, near: bool) -> Verdict:
    """Rule on a text that was heard in noise and once more in another way."""
    same = content(second) == content(text)
    if not (near or same):
        return Verdict(Ruling.UNCLEAR, text)
    if numbers(text) and (numbers(second) != numbers(text) or (snr < MURKY and not _ahead(text, heard))):
        return Verdict(Ruling.NUMBER, text)
    if snr < MURKY and not same:
        return Verdict(Ruling.NOISY, text)
    return Verdict(Ruling.TAKE, text)


def _ahead(text: str, heard: Recognition) -> bool:
    """Whether no alternative with other numbers comes near."""
    other = [a.confidence for a in heard.alternatives if numbers(a.text) != numbers(text)]
    own = max(a.confidence for a in heard.alternatives if a.text == text)
    return own >= _AHEAD * max(other, default=0.0)


def _is_note(heard: Recognition, text: str, *, woken: bool) -> bool:
    if heard.cue is None:  # a recogniser that has a word of its own for what it does not know
        return heard.distance is None
    if heard.cue == 0.0:  # a second ear wrote it down
        return True
    if len(text.split()) == 2 and not woken:
        return False  # too much talk begins with "no", "not", "nobody"
    return heard.cue <= (_CUE_WOKEN if woken else _CUE_LONG)
