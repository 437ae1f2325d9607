"""Nothing is taken that was not surely said."""

import math

import pytest

from assistant.voice.judge import MURKY, NOISY, UNSURE, Ruling, choose, judge, limit
from assistant.voice.recogniser import Alternative, Recognition

QUIET = 40.0


def reads(text):
    return 0.0 if text == "scratch that" else None


def heard(*texts, distance=0.2, cue=None):
    return Recognition(tuple(Alternative(t, 1 / len(texts)) for t in texts), distance, cue=cue)


def once(text):
    """A further opinion: None is none, "" that nothing was heard."""
    return text if text is None else Recognition((Alternative(text, 1.0),) if text else ())


def test_a_sentence_that_fits_and_reads_is_taken():
    verdict = judge(heard("scratch that"), QUIET, reads)
    assert (verdict.ruling, verdict.text) == (Ruling.TAKE, "scratch that")


@pytest.mark.parametrize("distance", [limit(QUIET) + 0.1, 3.0, math.inf])
def test_a_sentence_far_from_the_sound_is_not(distance):
    assert judge(heard("scratch that", distance=distance), QUIET, reads).ruling is Ruling.UNCLEAR


def test_one_word_that_does_not_fit_is_enough_to_refuse():
    for worst, ruling in ((1.0, Ruling.TAKE), (9.0, Ruling.UNCLEAR)):
        found = Recognition((Alternative("scratch that", 1.0),), 0.2, worst)
        assert judge(found, QUIET, reads).ruling is ruling


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


@pytest.mark.parametrize(
    ("second", "ruling"),
    [
        ("mixed sixty grams of epoxy", Ruling.TAKE),
        ("mixed sixty mil of epoxy", Ruling.TAKE),  # the words between are no numbers
        ("mixed sixteen grams of epoxy", Ruling.NUMBER),
        ("", Ruling.NUMBER),
        (None, Ruling.TAKE),  # a recogniser that gives no second opinion
    ],
)
def test_in_noise_a_number_is_taken_only_if_it_is_heard_in_two_ways(second, ruling):
    found = heard("mixed sixty grams of epoxy")
    assert judge(found, UNSURE - 1, lambda _t: 0.0, again=lambda: once(second)).ruling is ruling


def test_a_second_opinion_is_not_asked_for_in_quiet_nor_in_some_noise_without_a_number():
    def again():
        raise AssertionError("asked")

    assert judge(heard("mixed sixty grams"), UNSURE + 1, lambda _t: 0.0, again=again).ruling is Ruling.TAKE
    assert judge(heard("scratch that"), MURKY + 1, lambda _t: 0.0, again=again).ruling is Ruling.TAKE


def test_in_murk_all_that_matters_must_be_heard_in_two_ways():
    found = heard("washed the locker lids")
    for second, ruling in (("washed locker lids", Ruling.TAKE), ("washed the bulkhead", Ruling.NOISY)):
        assert judge(found, MURKY - 1, lambda _t: 0.0, again=lambda said=second: once(said)).ruling is ruling


def test_in_murk_a_number_must_stand_clear_of_others():
    def ruled(own, other):
        alternatives = (Alternative("sixty grams", own), Alternative("sixteen grams", other))
        found = Recognition(alternatives, 0.2)
        return judge(found, MURKY - 1, lambda _t: 0.0, again=lambda: once("sixty grams")).ruling

    assert ruled(0.8, 0.2) is Ruling.TAKE
    assert ruled(0.52, 0.48) is Ruling.NUMBER


def test_what_is_heard_in_two_ways_may_fit_a_little_worse():
    found = heard("washed the locker lids", distance=limit(MURKY) * 1.1)
    for second, ruling in (("washed the locker lids", Ruling.TAKE), ("why", Ruling.UNCLEAR)):
        assert judge(found, MURKY, lambda _t: 0.0, again=lambda said=second: once(said)).ruling is ruling
    assert judge(found, MURKY, lambda _t: 0.0).ruling is Ruling.UNCLEAR


def test_one_word_must_fit_better_than_many():
    near = limit(QUIET) * 0.9
    assert judge(heard("scratch that", distance=near), QUIET, lambda _t: 0.0).ruling is Ruling.TAKE
    assert judge(heard("why", distance=near), QUIET, lambda _t: 0.0).ruling is Ruling.UNCLEAR


def test_a_note_hangs_on_its_cue():
    assert judge(heard("make a note ...", distance=4.0, cue=0.5), QUIET, reads).ruling is Ruling.NOTE
    assert judge(heard("make a note ...", distance=4.0, cue=1.2), QUIET, reads).ruling is Ruling.UNCLEAR
    assert judge(heard("make a note ...", distance=4.0, cue=1.2), QUIET, reads, woken=True).ruling is Ruling.NOTE


def test_nothing_heard_is_nothing():
    assert judge(Recognition(()), QUIET, reads).ruling is Ruling.NOTHING
    assert judge(Recognition(()), NOISY - 1, reads).ruling is Ruling.NOISY
