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
    """A cue that was heard: its words, its distance from free phones (nats a frame), where it ends (seconds)."""

    words: str
    distance: float
    end: float


def _word(phone: str) -> str:
    """Give a phone as a word of its own: no English word looks like it."""
    return f"zz_{phone.lower()}"


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
        if self._wake and [g.word for g in words[: len(self._wake)]] == self._wake:
            words = words[len(self._wake) :]
        if not words:
            return None
        first, last = words[0].start_frame, words[-1].end_frame
        best = sum(math.log(g.ascore) for g in words)
        free = 0.0
        for g in phones:
            shared = min(g.end_frame, last) - max(g.start_frame, first) + 1
            if shared > 0:
                free += math.log(g.ascore) * shared / (g.end_frame - g.start_frame + 1)
        text = " ".join(g.word.partition("(")[0] for g in words)
        return Cue(text, (free - best) * _SHIFT / (last - first + 1), last / 100)
