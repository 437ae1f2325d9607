"""espeak-ng, in a process of its own.

The library (``espeakng-loader`` brings it) is under the GPL; this program is not. So it runs as a separate
program that is spoken to over pipes and shares nothing with this one. Run as ``python -m
assistant.voice.espeak_process``
it reads one JSON line an order and answers in pieces: four bytes of length, then that much; length 0 ends
an answer. It imports nothing else of this package, so that it starts at once.

Orders: ``{"say": text}`` gives 16-bit mono samples at the rate that the first answer after the start told;
``{"phonemes": word}`` gives espeak-ng's mnemonics.
"""

from __future__ import annotations

import ctypes
import json
import sys
from typing import Any

_SYNCHRONOUS = 2
_UTF8 = 1


def _load(voice: str, pace: int) -> tuple[Any, int]:
    import espeakng_loader

    library = ctypes.CDLL(espeakng_loader.get_library_path())
    rate = library.espeak_Initialize(_SYNCHRONOUS, 0, str(espeakng_loader.get_data_path()).encode(), 0)
    if rate <= 0 or library.espeak_SetVoiceByName(voice.encode()) != 0:
        raise OSError(f"espeak-ng has no voice {voice}")
    library.espeak_SetParameter(1, pace, 0)  # 1 is the rate, words a minute
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    return library, rate


def _send(piece: bytes) -> None:
    sys.stdout.buffer.write(len(piece).to_bytes(4, "little") + piece)
    sys.stdout.buffer.flush()


def _say(library: Any, text: str) -> None:
    def heard(samples: Any, count: int, _events: Any) -> int:
        if count > 0:
            _send(ctypes.string_at(samples, count * 2))
        return 0

    callback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p)(heard)
    library.espeak_SetSynthCallback(callback)
    data = text.encode()
    library.espeak_Synth(data, len(data) + 1, 0, 0, 0, _UTF8, None, None)
    _send(b"")


def _phonemes(library: Any, word: str) -> None:
    pointer = ctypes.pointer(ctypes.c_char_p(word.encode()))
    found = library.espeak_TextToPhonemes(ctypes.cast(pointer, ctypes.c_void_p), _UTF8, 0)
    if found:
        _send(found)
    _send(b"")


def main(arguments: list[str]) -> int:
    """Serve orders until standard input ends."""
    voice, pace = arguments[0], int(arguments[1])
    try:
        library, rate = _load(voice, pace)
    except (ImportError, OSError, AttributeError) as error:
        print(error, file=sys.stderr)  # noqa: T201 - this process's word to the one that started it
        return 1
    _send(str(rate).encode())
    for line in sys.stdin:
        order = json.loads(line)
        if "say" in order:
            _say(library, order["say"])
        else:
            _phonemes(library, order["phonemes"])
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
