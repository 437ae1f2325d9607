"""Speech is cut out of a stream, and a sander is no speech."""

import pytest

from assistant.voice.activity import Mark, Segmenter, silero
from assistant.voice.sound import FRAME_BYTES, FRAME_SECONDS
from tests.fixtures import voice_clips


def follow(clip, detector=None):
    """Utterances as (start, end) in seconds, cut after 0.6 s of silence."""
    segmenter = Segmenter(detector or silero())
    found, start, snr = [], 0.0, []
    for i in range(0, len(clip) - FRAME_BYTES + 1, FRAME_BYTES):
        mark = segmenter.push(clip[i : i + FRAME_BYTES])
        now = i / 32_000
        if mark is Mark.STARTED:
            start = now
        if mark is Mark.PAUSED and segmenter.silent >= 0.6:
            found.append((start, now - segmenter.silent))
            snr.append(segmenter.snr)
            segmenter.reset()
    return found, snr


def test_two_sentences_with_a_pause_are_two_utterances(spoken):
    first, second = spoken("stripped the cabin doors"), spoken("what did i do today")
    found, _ = follow(first + second)
    assert len(found) == 2
    assert found[0][1] == pytest.approx(voice_clips.speech_end(first), abs=0.25)


@pytest.mark.parametrize("decibels", [20, 10])
def test_speech_over_a_sander_is_found_and_the_noise_measured(spoken, decibels):
    found, snr = follow(spoken("stripped the cabin doors yesterday", "sander", decibels, lead=2.0))
    assert found
    assert snr[0] == pytest.approx(decibels, abs=5)  # the fixture mixed it so


@pytest.mark.parametrize("kind", ["sander", "white"])
def test_a_minute_of_noise_is_no_speech(kind):
    found, _ = follow(voice_clips.pcm(2000 * voice_clips.noise(kind, 60)))
    assert found == []


def test_silence_never_reaches_the_detector():
    def detector(_frame):
        raise AssertionError("asked about silence")

    segmenter = Segmenter(detector)
    assert segmenter.push(bytes(FRAME_BYTES)) is Mark.QUIET


def test_a_click_is_dropped():
    """One frame of "speech" is no word."""
    answers = iter([0.0] * 3 + [0.9] + [0.0] * 60)
    segmenter = Segmenter(lambda _f: next(answers))
    loud = voice_clips.silence(FRAME_SECONDS + 0.01, 500)[:FRAME_BYTES]
    marks = [segmenter.push(loud) for _ in range(20)]
    assert Mark.STARTED in marks
    assert Mark.DROPPED in marks
    assert segmenter.clip == b""
