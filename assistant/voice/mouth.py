"""Says replies aloud and plays earcons, without stopping the ears; can be cut short at any moment."""

from __future__ import annotations

import threading
from collections import deque
from typing import Final, Protocol

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
    """One voice: a text is spoken after the one before it. Without a player it is dumb, and never speaking."""

    def __init__(self, speaker: Speaker, player: Player | None) -> None:
        self._speaker = speaker
        self._player = player
        self._stop = threading.Event()
        self._thread: threading.Thread | None = None

    @property
    def speaking(self) -> bool:
        """Whether anything is being said or played."""
        if self._player is None:
            return False
        return self._player.busy or (self._thread is not None and self._thread.is_alive())

    @property
    def loudness(self) -> float:
        """The level of what is being played, 0 to 32768."""
        return self._player.level if self._player else 0.0

    def say(self, text: str) -> None:
        """Begin to say a written text; what was being said is cut."""
        if self._player is None or not text:
            return
        self.cut()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._speak, args=(said(text), self._player, self._stop), daemon=True)
        self._thread.start()

    def sound(self, name: str) -> None:
        """Play an earcon."""
        if self._player is not None and self._speaker.rate:
            self._player.play(tune(name, self._speaker.rate))

    def cut(self) -> None:
        """Stop in the middle of a word."""
        self._stop.set()
        if self._player is not None:
            self._player.cut()
        if self._thread is not None:
            self._thread.join(2)
            self._thread = None

    def close(self) -> None:
        """End speaker and player."""
        self.cut()
        self._speaker.close()
        if self._player is not None:
            self._player.close()

    def _speak(self, text: str, player: Player, stop: threading.Event) -> None:
        try:
            for piece in self._speaker.speak(text):
                if stop.is_set():
                    return
                player.play(piece)
        except OSError:
            return  # the engine died in the middle; it is started again for the next reply


#: While something is played, speech cuts it when it stands so much over the echo of it.
_OVER: Final = 2.5
_SURE: Final = 5  # frames of the last eight


class BargeIn:
    """Tells, from the microphone alone, whether somebody speaks while the mouth does.

    The loudspeaker's echo is learnt as a share of what is played, from frames in which it is the only voice (the
    first third of a second of each reply); with headphones it is nothing, and a word is enough.
    """

    def __init__(self) -> None:
        self._share = 0.0
        self._played: deque[float] = deque(maxlen=10)
        self._recent: deque[bool] = deque(maxlen=8)
        self._frames = 0

    def start(self) -> None:
        """Begin anew: a reply begins."""
        self._recent.clear()
        self._played.clear()
        self._frames = 0

    def push(self, frame: bytes, probability: float, played: float, noise: float) -> bool:
        """Take a frame of the microphone heard while ``played`` sounded; whether to be quiet and listen."""
        self._frames += 1
        loud = level(frame)
        self._played.append(played)
        sounded = max(self._played)
        if self._frames <= 10 and sounded > 100:
            self._share = max(self._share * 0.98, max(0.0, loud - noise) / sounded)
            return False
        self._recent.append(probability > 0.6 and loud > _OVER * (self._share * sounded + noise) + 40)
        return sum(self._recent) >= _SURE
