"""What to make of a recognition that two ears had a part in.

The second ear writes whatever was said. How much likelier it finds its own writing than the best sentence is the
surest sign there is of other talk: a near miss ("what did he do yesterday") is 10 to 70 nats off where the trade's own
sentences are 0 to 10 off, though the grammar's ear finds both alike. Only what it cannot make out itself, and
hears with words for which it has no better ones ("cratch board"), is allowed more. The limits were set on one half of
the sentences of ``tests/bench/voice_accuracy.py``.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from typing import Final

from assistant.voice.recogniser import Alternative, Cost, Opinion, Recognition
from assistant.voice.verdict import NOISY, Ruling, Verdict, choose, content, numbers

#: Speech less than this over the noise (dB) is to be trusted only with care.
_MURKY, _UNSURE = 14.0, 25.0
#: The widest gap (nats) of a sentence that both ears chose, and of one that only their sum did.
_AGREED, _ALONE = 13.0, 11.0
#: The same where the second ear is not sure of its own writing and the grammar's ear finds that the sentence fits well.
_AGREED_WIDE, _ALONE_WIDE = 21.0, 16.0
_SURE: Final = -0.42  # nats a word
_FITS, _FITS_WORST = 1.3, 4.0  # nats a frame from bare phones, whole and its worst word
#: In murk the second ear must have chosen it: each time that it heard the sound, or one time; with the grammar's ear
#: and without.
_MURK: Final = {(True, True): 18.0, (True, False): 11.0, (False, True): 8.0, (False, False): 6.0}
#: There, of a sentence of so many words; and of one to writing of two words more.
_FEW_MURK: Final = {1: 0.1, 2: 0.6}
_LONGER_MURK, _LONGER_PART_MURK = 2, 0.3
#: Nats a frame from bare phones beyond which a sentence must be so much nearer; in murk, is not taken.
_FAR, _FAR_PART, _FAR_MURK = 2.1, 0.4, 2.4
#: One word, and two, have less to show; so many that both ears chose, more, and more in which to differ.
_ONE, _TWO = 0.35, 0.7
_LONG, _MANY = 8, 1.25
#: Writing that is so many words longer is of something else that only begins alike.
_LONGER, _LONGER_PART, _LONGER_UNSURE = 3, 0.2, 0.5
#: A sentence that only the sum chose must be so far ahead of any other; a number of any other number, by noise (nats).
_AHEAD: Final = 2.0
_AHEAD_NUMBER, _AHEAD_UNSURE = 0.7, 2.0
#: A text that no grammar vouches for: the least speech over noise (dB), how it must read, how far it may be from the
#: free writing (nats), and how sure that must be (nats a word).
_LOOSE_SNR, _LOOSE_COST, _LOOSE_GAP, _LOOSE_SURE = 20.0, 0.2, 8.0, -0.5
#: It has at least so many words, and so many fewer than the free writing at most.
_LOOSE_LEAST, _LOOSE_LOST = 3, 2
#: Letters alike, of 100, from which on it is a sentence of the grammar written down wrong.
_SAME: Final = 80.0
#: What one of reading and one of that distance weigh against each other.
_COST_WEIGHT, _GAP_WEIGHT = 4.0, 0.35
_WORD: Final = re.compile(r"[a-z0-9']+")


def weigh(heard: Recognition, snr: float, cost: Cost, loosely: Cost | None) -> Verdict:
    """Rule on a recognition with a second opinion."""
    second = heard.second
    assert second is not None
    refused = Ruling.NOISY if snr < NOISY else Ruling.UNCLEAR
    text = choose(heard.alternatives, cost)
    if snr < NOISY:
        return Verdict(refused, text)
    if text and _said(text, heard, second, snr):
        return Verdict(Ruling.TAKE if _numbered(text, heard, second, snr) else Ruling.NUMBER, text)
    written = _written(second, loosely) if loosely is not None and snr >= _LOOSE_SNR else ""
    if written and not _misspelt(text, written, second):
        return Verdict(Ruling.TAKE, written)
    return Verdict(refused, text)


def _misspelt(text: str, written: str, second: Opinion) -> bool:
    """Whether what was written is a sentence of the grammar misheard: both ears alone chose one that is nearly it.

    As measured: "when can I say in the hatch-turn" of "when can I sand the hatch trim".
    """
    from rapidfuzz import fuzz

    both = all(content(alone) == content(text) for alone in (second.single, *second.own))
    return bool(text) and both and fuzz.ratio(text, " ".join(_WORD.findall(written.lower()))) >= _SAME


def _said(text: str, heard: Recognition, second: Opinion, snr: float) -> bool:
    """Whether a sentence is what was said, its numbers apart."""
    agreed = content(second.single) == content(text)
    if snr < _MURKY and (_far(heard) > _FAR_MURK or not any(_alike(text, second))):
        return False
    sure = agreed and (snr >= _MURKY or all(_alike(text, second)))
    if not sure and _lead(text, heard.alternatives, content) < _AHEAD:
        return False
    chosen = {a.text: a.confidence for a in heard.alternatives}
    behind = math.log(heard.alternatives[0].confidence / max(chosen[text], 1e-12))
    limit = _murk(text, second, agreed=agreed) if snr < _MURKY else _limit(text, second, heard, agreed=agreed)
    return second.gap + behind <= limit


def _numbered(text: str, heard: Recognition, second: Opinion, snr: float) -> bool:
    """Whether the numbers in a text, if it has any, are those that were said."""
    if not numbers(text):
        return True
    if any(numbers(own) != numbers(text) for own in second.own):
        return False
    wanted = _AHEAD_UNSURE if snr < _UNSURE else _AHEAD_NUMBER
    return _lead(text, heard.alternatives, numbers) >= wanted


def _alike(text: str, second: Opinion) -> list[bool]:
    """Give whether the second ear chose this sentence, numbers apart, each time that it heard the sound."""
    return [_plain(own) == _plain(text) for own in second.own]


def _plain(text: str) -> list[str]:
    """Give the words that tell something, numbers apart."""
    found = numbers(text)
    return [w for w in content(text) if w not in found]


def _far(heard: Recognition) -> float:
    return heard.distance if heard.distance is not None else math.inf


def _longer(text: str, second: Opinion) -> int:
    """Give how many words the free writing has more than ``text``."""
    writing = second.written[0][0].lower().replace("per cent", "percent")
    return len(_WORD.findall(writing)) - len(text.split())


def _murk(text: str, second: Opinion, *, agreed: bool) -> float:
    """Give the widest gap with which ``text`` was still said under much noise."""
    widest = _MURK[all(_alike(text, second)), agreed] * _FEW_MURK.get(len(text.split()), 1.0)
    return widest * _LONGER_PART_MURK if _longer(text, second) >= _LONGER_MURK else widest


def _limit(text: str, second: Opinion, heard: Recognition, *, agreed: bool) -> float:
    """Give the widest gap with which ``text`` was still said."""
    distance = _far(heard)
    sure = second.sure > _SURE
    if not sure and distance <= _FITS and (heard.worst or 0.0) <= _FITS_WORST:
        widest = _AGREED_WIDE if agreed else _ALONE_WIDE
    else:
        widest = _AGREED if agreed else _ALONE
    words = len(text.split())
    widest *= {1: _ONE, 2: _TWO}.get(words, _MANY if agreed and words >= _LONG else 1.0)
    if _longer(text, second) >= _LONGER:
        widest *= _LONGER_PART if sure else _LONGER_UNSURE
    return widest * _FAR_PART if agreed and distance > _FAR else widest


def _lead(text: str, alternatives: Sequence[Alternative], part: Callable[[str], list[str]]) -> float:
    """Give how much likelier (nats) a text is than the best alternative with another ``part``."""
    own = max(a.confidence for a in alternatives if a.text == text)
    other = max((a.confidence for a in alternatives if part(a.text) != part(text)), default=0.0)
    return math.log(own / max(other, 1e-12)) if own else 0.0


def _written(second: Opinion, loosely: Cost) -> str:
    """Give what was written freely, or in the trade's words in any order, if it reads; "" if none of it does."""
    if second.sure < _LOOSE_SURE:
        return ""
    best: tuple[float, str] | None = None
    least = max(_LOOSE_LEAST, len(_WORD.findall(second.written[0][0].lower())) - _LOOSE_LOST)
    for text, gap in second.written:
        reads = loosely(text) if gap <= _LOOSE_GAP and len(text.split()) >= least else None
        if reads is not None and reads <= _LOOSE_COST:
            best = min(best or (math.inf, ""), (_COST_WEIGHT * reads + _GAP_WEIGHT * gap, text))
    return best[1] if best else ""
