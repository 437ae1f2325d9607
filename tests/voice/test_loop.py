"""The loop, from a recording to replies."""

from datetime import UTC, datetime

import pytest

from assistant.problem import Problem
from assistant.voice import clips as kept
from assistant.voice.loop import GUESS, NOISY, listen
from tests.fixtures import voice_clips, voice_talk
from tests.fixtures.voice_trade import TradePhrases, TradeTurn

NOW = datetime(2026, 3, 14, 2, 5, tzinfo=UTC)


@pytest.fixture
def run(wav, tmp_path):
    """Listen to a clip: (turn, replies, what was told, exit status)."""

    def go(clip, **settings):
        turn, replies, told = TradeTurn(), [], []
        status = listen(
            turn, TradePhrases(), wav=wav(clip), now=lambda: NOW, out=replies.append, told=told.append,
            clips=tmp_path / "clips", **settings,
        )  # fmt: skip
        return turn, replies, told, status

    return go


def words(text):
    return [w for w in text.split() if w not in ("the", "a", "and")]


def test_an_example_of_a_morning_is_logged_and_answered_in_order(run, spoken):
    said = [
        "third coat on the locker lids thinned six percent",
        "when can i recoat the bulkhead",
        "scratch that",
        "what did i do yesterday",
    ]
    turn, replies, told, status = run(b"".join(spoken(t) for t in said))
    assert [words(t) for t in turn.taken] == [words(t) for t in said]
    assert [r["outcome"] for r in replies] == ["logged", "answered", "answered", "answered"]
    assert status == 0
    assert told == []


def test_what_was_said_in_one_breath_with_the_wake_phrase_is_taken_without_it(run, spoken):
    turn, *_ = run(spoken("hello shipmate, what did i do yesterday"))
    assert turn.taken == ["what did i do yesterday"]


def test_the_wake_phrase_can_be_changed(run, spoken):
    turn, *_ = run(spoken("good morning skipper, what did i do yesterday"), wake="Good morning, skipper")
    assert turn.taken == ["what did i do yesterday"]
    with pytest.raises(Problem, match="too short"):
        run(spoken("stripped the bulkhead"), wake="Hal")


def test_other_talk_changes_nothing(run, spoken):
    turn, replies, _, status = run(b"".join(spoken(t) for t in voice_talk.OTHER[1:6]))
    assert turn.taken == []
    assert {r["outcome"] for r in replies} == {"unclear"}
    assert status == 1


def test_a_reply_to_nothing_understood_has_every_public_key(run, spoken):
    _, replies, *_ = run(spoken(voice_talk.OTHER[0]))
    assert set(replies[0]) == {"heard", "at", "outcome", "events", "answer", "reply", "cautions", "confidence"}


def test_speech_under_noise_as_loud_is_not_guessed_at(run, spoken):
    turn, replies, *_ = run(
        spoken("mixed forty grams of tread epoxy", "white", 1, lead=2.0)
        + voice_clips.pcm(1500 * voice_clips.noise("white", 1))
    )
    assert turn.taken == []
    assert all(r["reply"] == NOISY for r in replies)


def test_a_note_keeps_its_sound_and_a_marked_guess(run, spoken, tmp_path):
    turn, replies, *_ = run(spoken("make a note the old man came to the house in the morning"))
    assert turn.taken[0].startswith("make a note ")
    assert turn.taken[0].endswith(GUESS)
    assert replies


def test_the_clip_lies_beside_the_journal_by_its_event(run, spoken, tmp_path):
    _, replies, *_ = run(spoken("stripped the cabin doors") + spoken("what did i do today"))
    folder = tmp_path / "clips"
    assert kept.find(folder, replies[0]["events"][0]["id"]).name == "1.wav"
    assert len(list(folder.glob("heard-*.wav"))) == 1


def test_a_sentence_with_a_thought_in_the_middle_is_one(run, voice):
    """Half a second of silence where no sentence can end."""
    parts = [voice_clips.say("there is a run on", voice), voice_clips.say("the galley worktop", voice)]
    clip = voice_clips.padded(parts[0] + voice_clips.silence(0.45) + parts[1], 0.6, 1.3)
    turn, *_ = run(clip)
    assert [words(t) for t in turn.taken] == [words("there is a run on the galley worktop")]


def test_a_recording_that_stops_on_its_last_word_is_heard(run, voice):
    turn, *_ = run(voice_clips.padded(voice_clips.say("stripped the cabin doors", voice), 0.5, 0.0))
    assert [words(t) for t in turn.taken] == [words("stripped the cabin doors")]


@pytest.mark.parametrize("clip", [bytes(64_000), voice_clips.silence(5, 300)], ids=["digital silence", "hiss"])
def test_a_recording_in_which_nobody_speaks_is_one_line(run, clip):
    with pytest.raises(Problem, match=r"nobody speaks in said\.wav"):
        run(clip)


def test_a_shout_into_the_limit_is_still_heard_or_refused_in_a_line(run, spoken):
    shout = voice_clips.pcm(voice_clips.floats(spoken("stripped the cabin doors")) * 12)
    turn, replies, *_ = run(shout)
    assert turn.taken or replies[0]["reply"]
    assert len(replies) == 1


def test_a_named_model_that_is_none_is_one_line(run, spoken, tmp_path):
    with pytest.raises(Problem, match="no Vosk model"):
        run(spoken("stripped the bulkhead"), model=tmp_path)


def test_a_model_that_was_only_found_and_is_no_good_is_told_and_done_without(run, spoken, tmp_path, monkeypatch):
    monkeypatch.setenv("DABHAND_SPEECH_MODEL", str(tmp_path))
    turn, _, told, _ = run(spoken("stripped the bulkhead"))
    assert len(turn.taken) == 1
    assert "built-in recogniser" in told[0]


def test_no_microphone_is_one_line(tmp_path, monkeypatch):
    from assistant.voice import device

    monkeypatch.setattr(device, "_devices", lambda *, capture: ([], None))
    with pytest.raises(Problem, match="no microphone"):
        listen(TradeTurn(), TradePhrases(), now=lambda: NOW, out=print, speaker="none")
