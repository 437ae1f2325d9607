"""Sound as bytes: reading recordings, levels, writing clips.

Recordings of any common kind come out as 16 kHz mono, in pieces, so that an hour needs no more memory
than a second. What is odd about a file is said in one line, and what can be heard of it is heard.
"""

from __future__ import annotations

import math
import sys
from array import array
from collections.abc import Iterator
from pathlib import Path
from typing import Final

from assistant.problem import Problem
from assistant.voice.recogniser import RATE

#: Samples in a frame: 32 ms, what the voice detector takes.
FRAME: Final = 512
FRAME_BYTES: Final = FRAME * 2
FRAME_SECONDS: Final = FRAME / RATE
#: The loudest a 16-bit sample can be.
FULL: Final = 32_768


def level(clip: bytes) -> float:
    """Give the root mean square of a clip's samples, 0 to 32768 (every second sample: enough for a level)."""
    samples = samples_of(clip)[::2]
    if not samples:
        return 0.0
    mean = sum(samples) / len(samples)  # cheap sound cards add a constant
    return math.sqrt(max(0.0, sum(s * s for s in samples) / len(samples) - mean * mean))


def decibels(rms: float) -> float:
    """Give a level against full scale, dB; silence is -99."""
    return 20 * math.log10(rms / FULL) if rms > 0.4 else -99.0


def clipped(clip: bytes) -> float:
    """Give the share of samples that stand at the limit, 0 to 1."""
    samples = samples_of(clip)
    return sum(1 for s in samples if s >= 32_700 or s <= -32_700) / max(1, len(samples))


def samples_of(clip: bytes) -> array[int]:
    """Give the samples; an odd last byte is dropped."""
    samples = array("h", clip[: len(clip) // 2 * 2])
    if sys.byteorder == "big":
        samples.byteswap()
    return samples


def frames(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """Cut a stream into frames of 32 ms; the last is filled up with silence."""
    rest = b""
    for piece in pieces:
        rest += piece
        whole = len(rest) // FRAME_BYTES * FRAME_BYTES
        for at in range(0, whole, FRAME_BYTES):
            yield rest[at : at + FRAME_BYTES]
        rest = rest[whole:]
    if rest:
        yield rest + bytes(FRAME_BYTES - len(rest))


class Recording:
    """A sound file. ``odd`` says in a line what is wrong with it though it can be heard, "" if nothing is."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.odd = ""
        try:
            head = self._look()
        except OSError as error:
            raise Problem(f"cannot read {path}: {error.strerror or error}") from None
        if not head:
            raise Problem(f"{path.name} is empty: record it again")

    def _look(self) -> bytes:
        size = self.path.stat().st_size
        with self.path.open("rb") as file:
            head = file.read(4096)
        if head[:4] == b"RIFF" and head[8:12] == b"WAVE":
            at = head.find(b"data")
            if at >= 0:
                told = int.from_bytes(head[at + 4 : at + 8], "little")
                there = size - at - 8
                if there <= 0:
                    raise Problem(f"{self.path.name} is cut off before any sound: record it again")
                if told > there + 1 and told < 0xFFFFFF00:  # streamed files leave the length open
                    self.odd = f"{self.path.name} is cut short ({there} of {told} bytes): hearing what is there"
        elif head and self.path.suffix.lower() == ".wav":
            kind = _kind(head)
            if not kind:
                raise Problem(f"{self.path.name} is no sound file that can be read here: save it as a 16-bit WAV")
            self.odd = f"{self.path.name} is really {kind}: hearing it as that"
        return head

    def pieces(self) -> Iterator[bytes]:
        """Give the sound as 16 kHz mono, a fifth of a second at a time."""
        import miniaudio

        kind = miniaudio.SampleFormat.SIGNED16
        try:
            stream = miniaudio.stream_any(
                _Source(self.path), output_format=kind, nchannels=1, sample_rate=RATE, frames_to_read=RATE // 5
            )
            for piece in stream:
                yield piece.tobytes()
        except miniaudio.DecodeError:
            raise Problem(f"{self.path.name} is no sound file that can be read here: save it as a 16-bit WAV") from None


def _Source(path: Path) -> object:
    import miniaudio

    class FileSource(miniaudio.StreamableSource):  # type: ignore[misc]
        """A file that miniaudio reads from as it needs, whatever its name says it is."""

        def __init__(self) -> None:
            self._file = path.open("rb")

        def read(self, num_bytes: int) -> bytes:
            return self._file.read(num_bytes)

        def seek(self, offset: int, origin: miniaudio.SeekOrigin) -> bool:
            self._file.seek(offset, 0 if origin == miniaudio.SeekOrigin.START else 1)
            return True

        def close(self) -> None:
            self._file.close()

    return FileSource()


def _kind(head: bytes) -> str:
    if head[:3] == b"ID3" or (head[0] == 0xFF and head[1] & 0xE0 == 0xE0):
        return "an MP3"
    return {b"fLaC": "a FLAC", b"OggS": "an Ogg"}.get(head[:4], "")


def wav(clip: bytes) -> bytes:
    """Give a clip as a mu-law WAV: half the size of 16 bits, and every player reads it.

    https://www.itu.int/rec/T-REC-G.711; WAVE format tag 7.
    """
    table = _mu_law()
    body = bytes(table[s >> 2] for s in samples_of(clip))
    body += bytes(len(body) % 2)
    head = b"WAVEfmt " + (18).to_bytes(4, "little") + (7).to_bytes(2, "little") + (1).to_bytes(2, "little")
    head += RATE.to_bytes(4, "little") + RATE.to_bytes(4, "little") + (1).to_bytes(2, "little")
    head += (8).to_bytes(2, "little") + (0).to_bytes(2, "little")
    head += b"fact" + (4).to_bytes(4, "little") + (len(clip) // 2).to_bytes(4, "little")
    head += b"data" + len(body).to_bytes(4, "little") + body
    return b"RIFF" + len(head).to_bytes(4, "little") + head


_TABLE: dict[int, int] = {}


def _mu_law() -> dict[int, int]:
    """Make the table once: a 14-bit sample (16-bit shifted by two) to its byte."""
    if not _TABLE:
        for s in range(-8192, 8192):
            size = min(abs(s), 8158) + 33
            segment = size.bit_length() - 6
            _TABLE[s] = ~((0x80 if s < 0 else 0) | segment << 4 | (size >> (segment + 1)) & 0x0F) & 0xFF
    return _TABLE
