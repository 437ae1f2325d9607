"""The words that wake it: two or three of the person's own choosing, spotted in any talk."""

from __future__ import annotations

from typing import Final

from assistant.problem import Problem
from assistant.voice.pronunciation import Lookup
from assistant.voice.recogniser import SECOND
from assistant.voice.sphinx import decoder, dictionary

#: Spotted as well as any other tried (``tests/bench/voice_accuracy.py``) and false in none of the other talk.
DEFAULT: Final = "hello shipmate"
#: How sure the spotter must be: smaller spots more and is wrong more often.
_THRESHOLD: Final = 1e-80


def cleaned(phrase: str) -> str:
    """Give a wake phrase as it is spotted; ``Problem`` if it is too short to be told from other talk."""
    words = phrase.lower().replace(",", " ").split()
    if len(words) < 2:
        raise Problem(f'"{phrase}" is too short to wake on: choose two or three words, say "{DEFAULT}"')
    return " ".join(words)


class Spotter:
    """Spots the wake phrase in an utterance fed to it piece by piece."""

    def __init__(self, phrase: str, rule: Lookup | None = None, threshold: float = _THRESHOLD) -> None:
        self.phrase = cleaned(phrase)
        text, dumb = dictionary(self.phrase.split(), rule)
        if dumb:
            raise Problem(f'nobody here can pronounce "{dumb[0]}": choose another wake phrase')
        self._decoder = decoder(text, kws_threshold=threshold)
        self._decoder.add_keyphrase("wake", self.phrase)
        self._decoder.activate_search("wake")
        self._first = b""
        self._running = False

    def start(self) -> None:
        """Begin an utterance."""
        if self._running:
            self._decoder.end_utt()
        self._first, self._running = b"", False

    def feed(self, piece: bytes) -> bool:
        """Take more sound; whether the phrase has been heard by now."""
        if self._running:
            self._decoder.process_raw(piece)
        else:
            self._first += piece
            if len(self._first) < SECOND:
                return False
            self._begin()
        return self._decoder.hyp() is not None

    def finish(self) -> bool:
        """End the utterance; whether the phrase was in it."""
        if not self._running:
            if not self._first:
                return False
            self._begin()
        self._decoder.end_utt()
        self._running = False
        return self._decoder.hyp() is not None

    def _begin(self) -> None:
        """Take the channel's mean from what was heard so far (see ``assistant.voice.sphinx``)."""
        self._decoder.reinit_feat()
        self._decoder.start_utt()
        self._decoder.process_raw(self._first, no_search=True, full_utt=True)
        mean = self._decoder.get_cmn()
        self._decoder.end_utt()
        self._decoder.set_cmn(mean)
        self._decoder.start_utt()
        self._decoder.process_raw(self._first)
        self._running = True
