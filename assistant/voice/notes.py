"""Hears that a note begins, where the sentences' grammar hears nothing it knows.

A note is a cue ("make a note") and then any words at all. In the sentences' own grammar that would double the
work for every sentence, so it is a grammar of its own, asked only about sound that no sentence fits.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any, Final, NamedTuple

from assistant.voice.pronunciation import PHONES, Lookup

_SHIFT: Final = 1024  # see assistant.voice.sphinx


class Cue(NamedTuple):
    """A cue that was heard: its words, the wake phrase perhaps before them.

    ``distance`` is theirs from free phones (nats a frame), ``end`` where they end (seconds).
    """

    words: str
    distance: float
    end: float


def _word(phone: str) -> str:
    """Give a phone as a word of its own: no English word looks like it."""
    return f"zz_{phone.lower()}"


def free_score(phones: Sequence[Any], word: Any) -> float:
    """Give what bare phones make of the frames of ``word``, in the engine's scale; all are its own segments."""
    total = 0.0
    for g in phones:
        shared = min(g.end_frame, word.end_frame) - max(g.start_frame, word.start_frame) + 1
        if shared > 0:
            total += math.log(g.ascore) * shared / (g.end_frame - g.start_frame + 1)
    return total


class CueEar:
    """Looks for one of ``cues`` at the beginning of an utterance, the wake phrase perhaps before it."""

    def __init__(self, cues: Sequence[str], wake: str, rule: Lookup | None = None) -> None:
        from assistant.voice.sphinx import decoder, dictionary

        self._wake = wake.split()
        text, dumb = dictionary({w for c in [*cues, wake] for w in c.split()}, rule)
        text += "".join(f"{_word(p)} {p}\n" for p in sorted(PHONES))
        heard = [c for c in cues if not set(c.split()) & set(dumb)]
        before = f"[{wake}]" if wake else ""
        loop = " | ".join(_word(p) for p in sorted(PHONES))
        self._decoder = decoder(text)
        self._decoder.add_jsgf_string(
            "notes", f"#JSGF V1.0;\ngrammar notes;\npublic <note> = {before} ({' | '.join(heard)}) ({loop})+;\n"
        )
        self._decoder.activate_search("notes")

    def hear(self, clip: bytes, mean: str, phones: Sequence[Any]) -> Cue | None:
        """Give the cue at the beginning of ``clip``. ``phones`` are the segments of a bare decode of the same sound."""
        self._decoder.reinit_feat()
        self._decoder.set_cmn(mean)
        self._decoder.start_utt()
        self._decoder.process_raw(clip)
        self._decoder.end_utt()
        if self._decoder.hyp() is None:
            return None
        words = [g for g in self._decoder.seg() if g.word[0].isalpha() and not g.word.startswith("zz_")]
        said = [g.word.partition("(")[0] for g in words]
        if not said or said == self._wake:
            return None
        first, last = words[0].start_frame, words[-1].end_frame
        best = sum(math.log(g.ascore) for g in words)
        free = sum(free_score(phones, g) for g in words)
        text = " ".join(said)
        return Cue(text, (free - best) * _SHIFT / (last - first + 1), last / 100)
