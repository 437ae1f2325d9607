"""The microphone and the loudspeaker, through miniaudio: its wheel needs nothing from the system.

A device that goes away (a plug pulled mid-job) is said to be away and looked for once a second.
"""

from __future__ import annotations

import os
import threading
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from typing import Any, Final

from assistant.problem import Problem
from assistant.voice.recogniser import RATE
from assistant.voice.sound import FRAME_BYTES, decibels, level

_PERIOD: Final = 32  # milliseconds of sound that the system hands over at a time
_LOST: Final = 1.5  # seconds without any sound at all after which the microphone counts as gone
_AGAIN: Final = 1.0  # seconds between two tries to open it
_BEHIND: Final = 300  # frames (ten seconds) that may wait to be heard; older ones are dropped


def _miniaudio() -> Any:
    try:
        import miniaudio
    except ImportError as error:
        raise Problem(f"miniaudio is not installed ({error}): pip install miniaudio") from None
    return miniaudio


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the sound system's own C libraries from writing to the person's terminal while they probe."""
    try:
        kept = os.dup(2)
    except OSError:
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 2)
        yield
    finally:
        os.dup2(kept, 2)
        os.close(nowhere)
        os.close(kept)


def _devices(*, capture: bool) -> tuple[list[dict[str, Any]], Any]:
    """Give the devices and the context that their ids belong to; no sound system is no devices."""
    library = _miniaudio()
    with _quiet():
        try:
            context = library.Devices()
            if context.backend == "Null":
                return [], None
            return (context.get_captures() if capture else context.get_playbacks()), context
        except library.MiniaudioError:  # a sound system without a single card
            return [], None


def microphones() -> list[str]:
    """Give the names of the capture devices; empty if there is none, or no sound system at all."""
    return [str(d["name"]) for d in _devices(capture=True)[0]]


def loudspeakers() -> list[str]:
    """Give the names of the playback devices."""
    return [str(d["name"]) for d in _devices(capture=False)[0]]


def _pick(name: str | None, *, capture: bool) -> tuple[Any, Any]:
    """Give the device's id (None is the system's default) and what keeps it alive."""
    what = "microphone" if capture else "loudspeaker"
    found, context = _devices(capture=capture)
    if not found:
        raise Problem(f"no {what} found: plug one in, or type instead (dabhand)", code=1)
    if name is None:
        return None, context
    for d in found:
        if name.lower() in str(d["name"]).lower():
            return d["id"], context
    raise Problem(f'no {what} is called "{name}": there is {", ".join(str(d["name"]) for d in found)}')


class Microphone:
    """Frames of 32 ms as they are heard. ``told`` gets a line when the device goes and when it is back."""

    def __init__(self, name: str | None = None, told: Callable[[str], None] = lambda _line: None) -> None:
        self._name = name
        self._told = told
        self._heard: deque[bytes] = deque(maxlen=_BEHIND)
        self._ready = threading.Event()
        self._device: Any = None
        self._kept: Any = None
        self._open()

    def _open(self) -> None:
        library = _miniaudio()
        identity, self._kept = _pick(self._name, capture=True)
        device = None
        try:
            with _quiet():
                device = library.CaptureDevice(
                    nchannels=1, sample_rate=RATE, buffersize_msec=_PERIOD, device_id=identity, app_name="dabhand"
                )
                sink = self._sink()
                next(sink)
                device.start(sink)
        except library.MiniaudioError as error:
            if device is not None:
                device.close()
            raise Problem(
                f"the microphone cannot be opened ({error}): another program may be holding it", code=1
            ) from None
        self._device = device

    def _sink(self) -> Generator[None, bytes, None]:
        rest = b""
        while True:
            rest += bytes((yield) or b"")
            while len(rest) >= FRAME_BYTES:
                self._heard.append(rest[:FRAME_BYTES])
                rest = rest[FRAME_BYTES:]
            self._ready.set()

    def frames(self) -> Iterator[bytes | None]:
        """Give frames for ever; None when a tenth of a second brought nothing."""
        last = time.monotonic()
        while True:
            if self._heard:
                last = time.monotonic()
                yield self._heard.popleft()
                continue
            self._ready.clear()
            if self._ready.wait(0.1):
                continue
            yield None
            if time.monotonic() - last > _LOST:
                yield from self._recover()
                last = time.monotonic()

    def _recover(self) -> Iterator[None]:
        self._told("The microphone is gone: waiting for it. You can still type.")
        self.close()
        while True:
            yield None
            time.sleep(_AGAIN)
            try:
                self._open()
            except Problem:
                continue
            self._told("The microphone is back.")
            return

    def forget(self) -> None:
        """Drop what was heard and not yet taken (one's own voice)."""
        self._heard.clear()

    def close(self) -> None:
        """Let go of the device."""
        device, self._device = self._device, None
        if device is not None:
            device.close()


class Loudspeaker:
    """Plays samples at ``rate``. It stays open, silent between replies, so that a reply starts at once.

    One that goes away swallows what it is given, so that nobody waits for the end of it, and is looked for again
    at the next reply.
    """

    def __init__(self, rate: int, name: str | None = None) -> None:
        self._rate = rate
        self._name = name
        self._lock = threading.Lock()
        self._waiting = bytearray()
        self._until = 0.0
        self._asked = 0.0  # when the system last asked for sound
        self.level = 0.0  # of what is being played, 0 to 32768
        self._device: Any = None
        self._kept: Any = None
        self._open()

    def _open(self) -> None:
        library = _miniaudio()
        identity, self._kept = _pick(self._name, capture=False)
        device = None
        try:
            with _quiet():
                device = library.PlaybackDevice(
                    nchannels=1, sample_rate=self._rate, buffersize_msec=_PERIOD, device_id=identity,
                    app_name="dabhand",
                )  # fmt: skip
                source = self._source()
                next(source)
                self._asked = time.monotonic()
                device.start(source)
        except library.MiniaudioError as error:
            if device is not None:
                device.close()
            raise Problem(f"the loudspeaker cannot be opened ({error})", code=1) from None
        self._device = device

    @property
    def _gone(self) -> bool:
        return time.monotonic() - self._asked > _LOST

    def _source(self) -> Generator[bytes, int, None]:
        wanted = yield b""
        while True:
            self._asked = time.monotonic()
            with self._lock:
                piece = bytes(self._waiting[: wanted * 2])
                del self._waiting[: wanted * 2]
            if piece:
                self._until = time.monotonic() + 2 * _PERIOD / 1000
                self.level = 0.5 * self.level + 0.5 * level(piece)
            wanted = yield piece + bytes(wanted * 2 - len(piece))

    def play(self, samples: bytes) -> None:
        """Add samples to what is to be played."""
        if self._gone and not self._back():
            return
        with self._lock:
            self._waiting += samples

    def _back(self) -> bool:
        self.cut()
        self.close()
        try:
            self._open()
        except Problem:
            self._asked = 0.0
        return self._device is not None

    @property
    def busy(self) -> bool:
        """Whether something is still to be heard from it."""
        return (bool(self._waiting) and not self._gone) or time.monotonic() < self._until

    def cut(self) -> None:
        """Be silent now."""
        with self._lock:
            self._waiting.clear()
        self.level = 0.0

    def close(self) -> None:
        """Let go of the device."""
        device, self._device = self._device, None
        if device is not None:
            device.close()


def meter(name: str | None = None, seconds: float = 1.0) -> tuple[float, float]:
    """Listen for a while and give the typical and the highest level of a frame, dB against full scale."""
    microphone = Microphone(name)
    levels: list[float] = []
    end = time.monotonic() + seconds
    try:
        for frame in microphone.frames():
            if frame:
                levels.append(level(frame))
            if time.monotonic() > end:
                break
    finally:
        microphone.close()
    levels.sort()
    return (decibels(levels[len(levels) // 2]), decibels(levels[-1])) if levels else (-99.0, -99.0)
