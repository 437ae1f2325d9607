"""Nothing is taken that was not surely said."""

import math

import pytest

from assistant.voice.judge import NOISY, Ruling, choose, judge, limit
from assistant.voice.recogniser import Alternative, Recognition

QUIET = 40.0


def reads(text):
    return 0.0 if text == "scratch that" else None


def heard(*texts, distance=0.2, cue=None):
    return Recognition(tuple(Alternative(t, 1 / len(texts)) for t in texts), distance, cue)


def test_a_sentence_that_fits_and_reads_is_taken():
    verdict = judge(heard("scratch that"), QUIET, reads)
    assert (verdict.ruling, verdict.text) == (Ruling.TAKE, "scratch that")


@pytest.mark.parametrize("distance", [limit(QUIET) + 0.1, 3.0, math.inf])
def test_a_sentence_far_from_the_sound_is_not(distance):
    assert judge(heard("scratch that", distance=distance), QUIET, reads).ruling is Ruling.UNCLEAR


def test_what_does_not_read_is_not_taken():
    assert judge(heard("scratch the"), QUIET, reads).ruling is Ruling.UNCLEAR


def test_the_alternative_that_reads_is_taken_before_the_one_that_sounds_better():
    assert judge(heard("scratch the", "scratch that"), QUIET, reads).text == "scratch that"


def test_a_little_better_reading_does_not_beat_a_much_better_sound():
    alternatives = (Alternative("a", 0.95), Alternative("b", 0.05))
    assert choose(alternatives, {"a": 0.3, "b": 0.0}.get) == "a"
    assert choose(alternatives, {"a": 6.0, "b": 0.0}.get) == "b"


def test_under_too_much_noise_it_is_said_and_nothing_taken():
    assert judge(heard("scratch that"), NOISY - 1, reads).ruling is Ruling.NOISY


def test_one_word_must_fit_better_than_many():
    near = limit(QUIET) * 0.9
    assert judge(heard("scratch that", distance=near), QUIET, lambda _t: 0.0).ruling is Ruling.TAKE
    assert judge(heard("why", distance=near), QUIET, lambda _t: 0.0).ruling is Ruling.UNCLEAR


def test_a_note_hangs_on_its_cue():
    assert judge(heard("make a note ...", distance=4.0, cue=0.5), QUIET, reads).ruling is Ruling.NOTE
    assert judge(heard("make a note ...", distance=4.0, cue=2.5), QUIET, reads).ruling is Ruling.UNCLEAR
    assert judge(heard("make a note ...", distance=4.0, cue=2.5), QUIET, reads, woken=True).ruling is Ruling.NOTE


def test_nothing_heard_is_nothing():
    assert judge(Recognition(()), QUIET, reads).ruling is Ruling.NOTHING
