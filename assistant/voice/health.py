"""What the voice part can do on this machine, for ``dabhand doctor``: each row is tried, not assumed."""

from __future__ import annotations

import sys
from collections.abc import Callable

from assistant.problem import Problem
from assistant.voice import device, kaldi, moonshine, speakers

Row = tuple[str, bool, str]


def lines() -> list[Row]:
    """Give a row a part: its name, whether it works, and what it is or what to do."""
    return [
        _tried(n, look)
        for n, look in (
            ("recogniser", _recogniser),
            ("model", _model),
            ("microphone", _microphone),
            ("speaker", _speaker),
        )
    ]


def _tried(name: str, look: Callable[[], str]) -> Row:
    try:
        return name, True, look()
    except Problem as problem:
        return name, False, str(problem)
    except ImportError as error:
        return name, False, f"not installed: {error}"


def _recogniser() -> str:
    from assistant.voice.activity import silero
    from assistant.voice.sphinx import model_folder

    folder = model_folder()
    silero()(bytes(1024))
    from assistant.voice.suppressor import Suppressor

    noise = "" if Suppressor().on else "; no noise suppression: pip install numpy"
    if moonshine.model_folder() is None:
        return f"pocketsphinx alone, model {folder.name}{noise}; it hears better with a second: {moonshine.INSTALL}"
    moonshine.Moonshine()
    return f"pocketsphinx, model {folder.name}, and moonshine, model {moonshine.MODEL.name}{noise}"


def _model() -> str:
    """Load the Vosk model that would be used; having none is no fault."""
    folder = kaldi.find_model()
    if folder is None:
        return "no Vosk model (optional): the built-in recogniser is used; dabhand doctor --fetch-model gets one"
    model = kaldi.load_model(folder)
    if not kaldi.is_english(model):
        raise Problem(f"the speech model at {folder} is not an English one: name another, or leave it out")
    return f"Vosk, {folder}"


def _microphone() -> str:
    names = device.microphones()
    if not names:
        raise Problem("none found: plug one in; recordings (--wav) and typing work without")
    usual, peak = device.meter(seconds=0.7)
    if peak <= -90:
        return f"{names[0]}: opens, but gives digital silence: is it muted?"
    bar = "#" * max(0, min(20, int((peak + 60) / 3)))
    loud = ", overloaded: turn it down" if peak > -1 else ""
    return f"{names[0]}: [{bar:<20}] now {usual:.0f} dB, peak {peak:.0f} dB{loud}"


def _speaker() -> str:
    voice = speakers.best()
    try:
        if isinstance(voice, speakers.Silent):
            raise Problem('no voice: pip install "espeakng-loader"; replies are printed')
        names = device.loudspeakers()
        if not names:
            raise Problem(f"{voice.name} can speak, but there is no loudspeaker: replies are printed")
        player = device.Loudspeaker(voice.rate)
        player.close()
        return f"{voice.name} through {names[0]}"
    finally:
        voice.close()


def fetch_model(*, yes: bool) -> int:
    """Fetch Vosk's small English model, having said how large it is and asked; gives the exit status."""
    if not yes and sys.stdin is not None and sys.stdin.isatty():
        sys.stdout.write(f"{kaldi.SMALL_MODEL}, about {kaldi.SMALL_SIZE}, from Vosk's own server. Download it? [y/N] ")
        sys.stdout.flush()
        yes = sys.stdin.readline().strip().lower() in ("y", "yes")
        if not yes:
            return 1
    return kaldi.fetch(yes=yes)
