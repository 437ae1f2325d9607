"""The recogniser without a download hears the trade and tells it from other talk."""

import pytest

from assistant.voice.judge import Ruling, judge, limit
from assistant.voice.sphinx import Sphinx, dictionary
from tests.fixtures import voice_clips, voice_talk
from tests.fixtures.voice_trade import NUMBERS, TradePhrases


@pytest.fixture(scope="module")
def ear():
    found = Sphinx(TradePhrases(), wake="hello shipmate")
    yield found
    found.close()


def hear(ear, clip, piece=100):
    ear.start()
    for chunk in voice_clips.chunks(clip, piece):
        ear.feed(chunk)
    return ear.finish()


SAID = (
    "third coat on the locker lids thinned six percent",
    "mixed sixty grams of tread epoxy two to one by weight",
    "when can i recoat the bulkhead",
    "when can i sand the window frames",
    "it is fourteen degrees in the galley",
    "what did i do yesterday",
)
#: flite's "recoat" is heard as "touch".
ONLY_PIPER = {"when can i recoat the bulkhead"}


def words(text):
    return [w for w in text.split() if w not in ("the", "a", "and")]


@pytest.mark.parametrize("text", SAID)
def test_a_sentence_is_heard_word_for_word(ear, spoken, voice, text):
    if text in ONLY_PIPER and voice != voice_clips.PIPER:
        pytest.skip(f"{voice} does not say this clearly enough")
    found = hear(ear, spoken(text))
    assert words(found.alternatives[0].text) == words(text)
    assert found.distance < limit(40)


def test_the_size_of_the_pieces_does_not_matter(ear, spoken):
    clip = spoken(SAID[0])
    assert hear(ear, clip, 32).alternatives[0].text == hear(ear, clip, 250).alternatives[0].text


def test_no_utterance_leaks_into_the_next(ear, spoken):
    clip = spoken(SAID[1])
    alone = hear(ear, clip)
    hear(ear, voice_clips.mixed(spoken(SAID[2]), "white", 5))
    assert hear(ear, clip) == alone


def test_partials_grow_to_the_sentence(ear, spoken):
    ear.start()
    seen = set()
    for chunk in voice_clips.chunks(spoken("what did i do yesterday")):
        ear.feed(chunk)
        seen.add(ear.partial())
    assert ear.finish().alternatives[0].text == "what did i do yesterday"
    assert len(seen) > 2


@pytest.mark.parametrize("text", voice_talk.OTHER[::9])
def test_other_talk_stands_far_from_any_sentence(ear, spoken, text):
    found = hear(ear, spoken(text))
    assert judge(found, 40.0, lambda _text: 0.0).ruling in (Ruling.UNCLEAR, Ruling.NOTHING)


def test_alternatives_are_different_and_their_confidence_adds_up(ear, spoken):
    found = hear(ear, spoken("mixed seventeen grams of satin varnish")).alternatives
    assert len({a.text for a in found}) == len(found) > 1
    assert sum(a.confidence for a in found) <= 1.0001
    heard = {w for a in found for w in a.text.split() if w in NUMBERS}
    assert "seventeen" in heard
    assert len(heard) > 1  # and a number that is like it, which one depends on the voice


def test_the_wake_phrase_may_stand_before_a_sentence(ear, spoken):
    assert hear(ear, spoken("hello shipmate, scratch that")).alternatives[0].text == "hello shipmate scratch that"


def test_a_note_is_heard_by_its_cue_and_its_words_are_guessed(ear, spoken):
    clip = spoken("make a note the old man came to the house in the morning")
    found = hear(ear, clip)
    assert found.alternatives[0].text == "make a note ..."
    assert found.rest is not None
    guess = ear.free(clip[int(found.rest * 16_000) * 2 :])
    assert len({"old", "man", "came", "house", "morning"} & set(guess.split())) >= 2


def test_a_second_opinion_hears_the_same_in_quiet_and_leaves_nothing_behind(ear, spoken):
    clip = spoken(SAID[0])
    before = hear(ear, clip)
    assert words(ear.again(clip).alternatives[0].text) == words(SAID[0])
    assert ear.again(b"").alternatives == ()
    assert hear(ear, clip) == before


def test_silence_and_nothing_are_nothing(ear):
    ear.start()
    assert ear.finish().alternatives == ()
    found = hear(ear, voice_clips.silence(1.5))
    assert judge(found, 40.0, lambda _text: 0.0).ruling in (Ruling.UNCLEAR, Ruling.NOTHING)


def test_a_name_that_nobody_can_say_is_named_and_the_rest_still_works(spoken):
    class Odd(TradePhrases):
        def jsgf(self):
            return "#JSGF V1.0; grammar g; public <s> = stripped the (bulkhead | xqzw);"

    ear = Sphinx(Odd())
    assert ear.dumb == ["xqzw"]
    assert words(hear(ear, spoken("stripped the bulkhead")).alternatives[0].text) == ["stripped", "bulkhead"]


def test_the_dictionary_has_every_way_of_a_word():
    text, dumb = dictionary({"either", "coaming"})
    assert dumb == []
    assert {"either IY DH ER", "either(2) AY DH ER"} <= set(text.splitlines())  # as in the CMU dictionary
    assert "coaming K OW M IH NG" in text
