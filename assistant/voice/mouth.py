"""Says replies aloud and plays earcons, without stopping the ears; can be cut short at any moment."""

from __future__ import annotations

import threading
from bisect import insort
from collections import deque
from typing import Final, Protocol

from assistant.problem import Problem
from assistant.voice.earcons import tune
from assistant.voice.sound import level
from assistant.voice.speakers import Speaker
from assistant.voice.spoken import said


class Player(Protocol):
    """What the mouth plays through; ``assistant.voice.device.Loudspeaker`` is one."""

    level: float

    def play(self, samples: bytes) -> None:
        """Add samples to what is to be played."""

    @property
    def busy(self) -> bool:
        """Whether something is still to be heard from it."""

    def cut(self) -> None:
        """Be silent now."""

    def close(self) -> None:
        """Let go of the device."""


class Mouth:
    """One voice: a new text cuts the one before it. Without a player it is dumb, and never speaking."""

    def __init__(self, speaker: Speaker, player: Player | None) -> None:
        self._speaker = speaker
        self._player = player
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None
        self._lock = threading.Lock()  # between a piece that comes out of the engine and a cut

    @property
    def speaking(self) -> bool:
        """Whether anything is being said or played."""
        if self._player is None:
            return False
        working = self._thread is not None and self._thread.is_alive() and not self._stop.is_set()
        return working or self._player.busy

    @property
    def loudness(self) -> float:
        """The level of what is being played, 0 to 32768."""
        return self._player.level if self._player else 0.0

    def say(self, text: str, before: str = "") -> None:
        """Begin to say a written text, after the earcon ``before``; what was being said is cut."""
        if self._player is None or not text:
            return
        self.cut()
        if before:
            self.sound(before)
        self._stop = threading.Event()
        self._thread = threading.Thread(
            target=self._speak, args=(said(text), self._player, self._stop, self._thread), daemon=True
        )
        self._thread.start()

    def sound(self, name: str) -> None:
        """Play an earcon."""
        if self._player is not None and self._speaker.rate:
            self._player.play(tune(name, self._speaker.rate))

    def cut(self) -> None:
        """Stop in the middle of a word, at once."""
        with self._lock:
            self._stop.set()
            if self._player is not None:
                self._player.cut()

    def close(self) -> None:
        """End speaker and player."""
        self.cut()
        if self._thread is not None:
            self._thread.join(2)
        self._speaker.close()
        if self._player is not None:
            self._player.close()

    def _speak(self, text: str, player: Player, stop: threading.Event, last: threading.Thread | None) -> None:
        if last is not None:  # an engine that is still making a clause that was cut takes no other order
            last.join()
        try:
            for piece in self._speaker.speak(text):
                with self._lock:
                    if stop.is_set():
                        return
                    player.play(piece)
        except (OSError, Problem):
            return  # the engine died in the middle; it is started again for the next reply


#: While something is played, speech cuts it when it stands so much over the echo of it.
_OVER: Final = 1.6
_SURE: Final = 5  # frames of the last eight
_LEARN: Final = 10  # frames of a reply's sound from which its echo is learnt before anything can cut it
#: Frames that an echo may be late by, the sound system's own delay with it (half a second: a wireless speaker).
_LATE: Final = 15
#: Of a voice that cuts a reply: the frames of silence within a word, those of a soft beginning, and the most kept. A
#: question that has lost its first word may read as something done.
_GAP, _SOFT, LONGEST_START = 6, 6, 40


class BargeIn:
    """Tells, from the microphone alone, whether somebody speaks while the mouth does.

    The loudspeaker's echo is learnt as a share of what is played: the median over this reply so far, which a word
    said over its beginning does not spoil for long, and which the last reply's volume does not mislead. With
    headphones it is nothing, and a word is enough.
    """

    def __init__(self) -> None:
        self._played: deque[float] = deque(maxlen=_LATE)
        self._heard: deque[float] = deque(maxlen=_LATE)
        self._recent: deque[bool] = deque(maxlen=8)
        self._over: deque[bool] = deque(maxlen=LONGEST_START)
        self._shares: list[float] = []

    def start(self) -> None:
        """Begin anew: a reply begins."""
        for kept in (self._recent, self._over, self._played, self._heard, self._shares):
            kept.clear()

    @property
    def began(self) -> int:
        """How many frames ago the voice began that stands over the echo, with what may be its soft first sound."""
        count = gap = 0
        for back, over in enumerate(reversed(self._over), 1):
            count, gap = (back, 0) if over else (count, gap + 1)
            if gap > _GAP:
                break
        return count + _SOFT

    def push(self, frame: bytes, probability: float, played: float, noise: float) -> bool:
        """Take a frame of the microphone heard while ``played`` sounded; whether to be quiet and listen."""
        loud = level(frame)
        self._played.append(played)
        self._heard.append(loud)
        sounded, share = max(self._played), 0.0
        if sounded > 100:  # an engine that takes a second to begin has no echo yet
            insort(self._shares, max(0.0, max(self._heard) - noise) / sounded)
            if len(self._shares) <= _LEARN:
                return False
            share = self._shares[len(self._shares) // 2]
        self._over.append(loud > _OVER * (share * sounded + noise) + 40)
        self._recent.append(probability > 0.6 and self._over[-1])
        return sum(self._recent) >= _SURE
