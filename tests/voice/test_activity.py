"""Speech is cut out of a stream, and a sander is no speech."""

import math

import numpy as np
import pytest

from assistant.voice.activity import Mark, Segmenter, silero
from assistant.voice.recogniser import SECOND
from assistant.voice.sound import FRAME_BYTES, FRAME_SECONDS
from assistant.voice.suppressor import Suppressor, otherwise
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


def loudness(clip):
    return 20 * math.log10(max(1e-3, float(np.std(voice_clips.floats(clip)))))


@pytest.mark.parametrize("kind", ["sander", "white"])
def test_steady_noise_is_taken_out_by_both_ways(kind):
    clip = voice_clips.pcm(1000 * voice_clips.noise(kind, 6))
    for cleaned in (Suppressor()(clip), otherwise(clip)):
        assert loudness(cleaned[-2 * SECOND :]) < loudness(clip[-2 * SECOND :]) - 8


def test_speech_in_quiet_passes_nearly_as_it_is(spoken):
    clip = spoken("stripped the cabin doors yesterday", lead=1.0)
    said, heard = voice_clips.floats(clip), voice_clips.floats(Suppressor()(clip))
    late = max(range(0, 600, 4), key=lambda n: float(np.dot(heard[n : n + 30_000], said[:30_000])))
    assert late <= 400  # no more than a window
    shared = min(len(said), len(heard) - late)
    assert np.corrcoef(said[:shared], heard[late : late + shared])[0, 1] > 0.98


def test_the_size_of_the_pieces_does_not_matter_to_the_suppressor():
    clip = voice_clips.pcm(1000 * voice_clips.noise("white", 1))
    whole, filtered = Suppressor()(clip), Suppressor()
    pieces = b"".join(filtered(clip[i : i + 254]) for i in range(0, len(clip), 254))
    assert pieces == whole


def test_the_integral_is_the_exponential_integral():
    from scipy.special import exp1  # an implementation of its own

    at = np.geomspace(1e-3, 30, 200)
    assert Suppressor()._integral(at) == pytest.approx(exp1(at), rel=1e-3)
