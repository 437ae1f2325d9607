"""From a stream of frames to utterances understood as far as a recogniser can.

An utterance ends sooner when it already reads as a whole sentence: that is how a reply comes within half a second
and a person may still stop to think in the middle of "mixed a hundred and ... twenty mil".
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from assistant.voice.activity import Mark, Segmenter
from assistant.voice.recogniser import FREE, Recogniser, Recognition
from assistant.voice.suppressor import Suppressor
from assistant.voice.wake import Spotter

#: Silence (seconds) after which what takes its time may begin, in case this was all.
AHEAD: Final = 0.12
#: Silence (seconds) after which a question that reads is taken, or a sentence that nothing can follow; a statement,
#: which is written down, and to which people add ("..., thinned ten percent": a voice's pause at a comma is 0.28 to
#: 0.4 s); a single word ("no" begins much); what does not read; and free speech.
QUICK: Final = 0.22
STATED: Final = 0.42
SINGLE: Final = 0.55
PATIENT: Final = 0.9
FREELY: Final = 1.3
_ASKING: Final = frozenset([
    "when", "what", "how", "is", "are", "can", "could", "may", "will", "would", "should", "do", "does", "did", "has",
    "have", "why", "where", "which", "who", "read", "tell", "show", "help", "undo", "scratch",
])  # fmt: skip
#: No sentence is longer; a note may be.
LONGEST: Final = 15.0
LONGEST_NOTE: Final = 90.0
_ROOM: Final = 60  # frames of the room before that (two seconds)
_BEFORE: Final = 10  # frames before the first sure one, as the segmenter keeps them


@dataclass(frozen=True, slots=True)
class Utterance:
    """One stretch of speech: what was recognised, the sound as it came and cleaned, speech over noise in dB."""

    recognition: Recognition
    clip: bytes
    cleaned: bytes
    snr: float
    woken: bool = False  # the wake phrase was spotted in it


class Ears:
    """Takes frames, gives an utterance when one has ended.

    ``reads`` gives the words of a whole sentence without the wake phrase, "" for a text that is none.
    """

    def __init__(
        self, recogniser: Recogniser, segmenter: Segmenter, suppressor: Suppressor, reads: Callable[[str], str],
        spotter: Spotter | None = None,
    ) -> None:  # fmt: skip
        self._recogniser = recogniser
        self._segmenter = segmenter
        self._suppress = suppressor
        self._reads = reads
        self._spotter = spotter
        self._before: deque[bytes] = deque(maxlen=_BEFORE)
        self._room: deque[bytes] = deque(maxlen=_ROOM)
        self._cleaned: list[bytes] = []
        self._open = False  # the recogniser is hearing this utterance
        self._woken = False
        self._partial: str | None = None
        self._ahead = False  # the recogniser was told that this may be all

    @property
    def hearing(self) -> bool:
        """Whether somebody is in the middle of an utterance."""
        return bool(self._cleaned)

    def push(self, frame: bytes, *, awake: bool = True) -> Utterance | None:
        """Take 32 ms. While not ``awake`` only the wake phrase is listened for, and what follows it."""
        cleaned = self._suppress(frame)
        mark = self._segmenter.push(frame)
        if mark is Mark.QUIET:
            if len(self._before) == _BEFORE:
                self._room.append(self._before[0])
            self._before.append(cleaned)
            return None
        if mark is Mark.DROPPED:
            self._forget()
            return None
        if mark is Mark.STARTED:
            self._begin(cleaned, awake=awake)
        else:
            self._hear(cleaned)
        if mark is Mark.SPEAKING:
            self._partial, self._ahead = None, False
        longest = LONGEST_NOTE if self._partial and FREE in self._partial else LONGEST
        if (mark is Mark.PAUSED and self._over()) or self._segmenter.seconds > longest:
            return self.finish()
        return None

    def finish(self) -> Utterance | None:
        """End the utterance that is under way, if it was said to us."""
        if not self._cleaned:
            return None
        if not self._open and self._spotter is not None and self._spotter.finish():
            self._wake()
        found = None
        if self._open:
            self._look_ahead()
            found = Utterance(
                self._recogniser.finish(),
                self._segmenter.clip,
                b"".join(self._cleaned),
                self._segmenter.snr,
                self._woken,
            )
        self._forget()
        return found

    def deaf(self) -> None:
        """Forget what is under way: it was one's own voice."""
        self._forget()

    def _begin(self, cleaned: bytes, *, awake: bool) -> None:
        self._before.append(cleaned)
        self._cleaned = list(self._before)
        self._before.clear()
        self._partial, self._woken, self._ahead = None, False, False
        self._open = awake or self._spotter is None
        if self._open:
            self._recogniser.start(b"".join(self._room))
            self._recogniser.feed(b"".join(self._cleaned))
        elif self._spotter is not None:
            self._spotter.start()
            self._spotter.feed(b"".join(self._cleaned))

    def _hear(self, cleaned: bytes) -> None:
        self._cleaned.append(cleaned)
        if self._open:
            self._recogniser.feed(cleaned)
        elif self._spotter is not None and self._spotter.feed(cleaned):
            self._wake()

    def _wake(self) -> None:
        self._open = self._woken = True
        self._recogniser.start(b"".join(self._room))
        self._recogniser.feed(b"".join(self._cleaned))

    def _over(self) -> bool:
        silent = self._segmenter.silent
        if not self._open:
            return silent >= PATIENT
        if silent >= AHEAD:
            self._look_ahead()
        if silent < QUICK:
            return False
        if self._partial is None:
            self._partial = self._recogniser.partial()
        words = self._partial.split()
        if FREE in words:
            return silent >= FREELY
        if silent >= PATIENT:
            return True
        said = self._reads(self._partial).split()
        quick = bool(said) and (said[0] in _ASKING or self._recogniser.whole(self._partial))
        wanted = SINGLE if len(said) == 1 else QUICK if quick else STATED
        return bool(said) and silent >= wanted

    def _look_ahead(self) -> None:
        if not self._ahead:
            self._ahead = True
            self._recogniser.ahead()

    def _forget(self) -> None:
        self._segmenter.reset()
        self._cleaned = []
        self._open = False
        self._partial = None
