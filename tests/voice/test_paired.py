"""Two ears at one utterance."""

import pytest

from assistant.voice import moonshine
from assistant.voice.engines import open_recogniser
from assistant.voice.judge import judge
from assistant.voice.paired import Paired
from assistant.voice.recogniser import FREE
from assistant.voice.sphinx import Sphinx
from assistant.voice.verdict import Ruling
from tests.fixtures import voice_clips
from tests.fixtures.voice_trade import NUMBERS, TradePhrases

if moonshine.model_folder() is None:
    pytest.skip(f"no Moonshine model: {moonshine.INSTALL}", allow_module_level=True)


class Phrases(TradePhrases):
    def note_cues(self):
        return ["note", "make a note"]

    def vocabulary(self):
        return {*["gave", "a", "rub", "slapped", "another", "with", "going", "over"], *self.words()}


def figures(text):
    return [w for w in text.split() if w in NUMBERS]


@pytest.fixture(scope="module")
def pair():
    found = open_recogniser(Phrases(), wake="hello shipmate")
    assert isinstance(found, Paired)
    yield found
    found.close()


def hear(ear, clip, ahead=False):
    ear.start()
    for chunk in voice_clips.chunks(clip):
        ear.feed(chunk)
        if ahead:
            ear.ahead()
    return ear.finish()


def test_both_have_a_part_in_what_is_heard(pair, spoken):
    found = hear(pair, spoken("mixed sixty grams of tread epoxy two to one by weight"))
    assert found.alternatives[0].text == "mixed sixty grams of tread epoxy two to one by weight"
    assert sum(a.confidence for a in found.alternatives) == pytest.approx(1)
    assert found.second.gap < 13
    assert found.distance is not None


def test_in_noise_the_two_hear_numbers_that_one_does_not(pair, voice):
    """Beside a sander at 10 dB, over a dozen sentences with numbers, the pair is right in more than the one alone."""
    said = [
        f"{verb} {number} of {thing}"
        for verb, number in (
            ("mixed", "sixty grams"), ("used", "forty mil"), ("mixed", "fifteen grams"), ("used", "ninety mil"),
        )
        for thing in ("tread epoxy", "amber varnish", "red oxide")
    ]  # fmt: skip
    clips = [voice_clips.mixed(voice_clips.padded(voice_clips.say(t, voice), 2.0, 1.3), "sander", 10) for t in said]
    alone = Sphinx(Phrases(), wake="hello shipmate")

    def right(ear):
        found = (hear(ear, clip).alternatives for clip in clips)
        return sum(bool(a) and figures(a[0].text) == figures(t) for a, t in zip(found, said, strict=True))

    assert right(pair) >= right(alone)
    assert right(pair) > len(said) / 2
    alone.close()


def test_in_murk_the_sound_as_it_came_is_heard_once_more(pair, spoken):
    """The further opinion is of the last utterance: both hearings of a clear sentence choose it."""
    said = "it is fourteen degrees in the galley"
    clip = spoken(said, "sander", 15)
    hear(pair, clip)
    found = pair.again(clip)
    assert found.alternatives[0].text == said
    assert found.second.own == (said, said)
    assert sum(a.confidence for a in found.alternatives) == pytest.approx(1)


def test_looking_ahead_too_soon_changes_nothing(pair, spoken):
    clip = spoken("it is fourteen degrees in the galley")
    assert hear(pair, clip, ahead=True).alternatives[0].text == hear(pair, clip).alternatives[0].text


def test_a_note_has_the_words_that_were_said(pair, spoken):
    found = hear(pair, spoken("make a note the galley window leaks again"))
    assert found.alternatives[0].text == f"make a note {FREE}"
    assert "window" in found.tail.lower()


def test_a_note_of_one_word_is_believed_when_it_was_written_down(pair, spoken):
    found = hear(pair, spoken("note the primer tin is nearly empty"))
    assert found.alternatives[0].text == f"note {FREE}"
    assert "primer" in found.tail.lower()
    assert "nearly empty" in found.tail.lower()
    assert judge(found, 40.0, lambda _t: None).ruling is Ruling.NOTE


@pytest.mark.parametrize("text", ["nobody knows where the dog went", "north of the bridge there is a pub"])
def test_talk_that_begins_like_a_note_is_none(pair, spoken, text):
    assert judge(hear(pair, spoken(text)), 40.0, lambda _t: None).ruling is not Ruling.NOTE


def test_own_words_are_there_to_be_read(pair, spoken):
    found = hear(pair, spoken("gave the bulkhead another going over with one twenty"))
    assert found.second.gap > 8
    assert any("another going over with one twenty" in text.lower() for text, _ in found.second.written)


def test_nothing_is_nothing(pair):
    pair.start()
    assert pair.finish().alternatives == ()
    assert pair.free(b"") == ""


def test_without_the_model_pocketsphinx_hears_alone(monkeypatch):
    monkeypatch.setattr(moonshine, "model_folder", lambda: None)
    ear = open_recogniser(TradePhrases())
    assert isinstance(ear, Sphinx)
    ear.close()


def test_a_model_that_does_not_load_is_told_and_done_without(monkeypatch, tmp_path):
    monkeypatch.setattr(moonshine, "model_folder", lambda: tmp_path)
    told = []
    ear = open_recogniser(TradePhrases(), told=told.append)
    assert isinstance(ear, Sphinx)
    assert len(told) == 1 and "pip install" in told[0]
    ear.close()


def test_what_only_the_grammars_ear_takes_for_a_notes_cue_is_none(pair):
    """As measured: "not a chance that ..." was a note to it, and to the transformer what it was."""
    voices = [v for v in voice_clips.voices() if not v.startswith("espeak")][:3]
    for voice in voices:
        clip = voice_clips.padded(voice_clips.say("not a chance that he will be here today", voice), 0.6, 1.0)
        assert judge(hear(pair, clip), 40.0, lambda _t: None).ruling is not Ruling.NOTE, voice
