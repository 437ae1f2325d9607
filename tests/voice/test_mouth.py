"""Replies can be cut short, are short, and it never hears itself."""

import re
import time

import pytest

from assistant.library.cautions import all_cautions
from assistant.voice.aloud import Aloud, brief
from assistant.voice.loop import Gate
from assistant.voice.mouth import BargeIn, Mouth
from assistant.voice.spoken import said
from tests.fixtures import voice_clips


class Player:
    def __init__(self):
        self.played = b""
        self.level = 3000.0
        self.busy = False

    def play(self, samples):
        self.played += samples
        self.busy = True

    def cut(self):
        self.busy = False

    def close(self):
        pass


class Slow:
    """Speaks a tenth of a second at a time, slowly."""

    name, rate = "slow", 16_000

    def __init__(self):
        self.said = []

    def speak(self, text):
        self.said.append(text)
        for _ in range(100):
            time.sleep(0.01)
            yield b"\1\0" * 160

    def close(self):
        pass


def test_a_reply_is_spoken_as_a_person_says_it_and_can_be_cut():
    speaker, player = Slow(), Player()
    mouth = Mouth(speaker, player)
    mouth.say("12 ml at 16:10")
    time.sleep(0.1)
    assert mouth.speaking
    mouth.cut()
    assert not mouth.speaking
    assert speaker.said == ["twelve mil at ten past four"]
    assert 0 < len(player.played) < 100 * 320


def test_a_new_reply_cuts_the_old_one():
    speaker = Slow()
    mouth = Mouth(speaker, Player())
    mouth.say("one")
    mouth.say("two")
    time.sleep(0.05)
    assert speaker.said == ["one", "two"]
    mouth.close()


def test_without_a_player_it_is_dumb():
    mouth = Mouth(Slow(), None)
    mouth.say("one")
    assert not mouth.speaking


def frame(loud):
    return voice_clips.silence(0.032, loud)[:1024].ljust(1024, b"\0")


def test_the_echo_of_a_loudspeaker_is_no_speech_but_a_voice_over_it_is():
    barge = BargeIn()
    barge.start()
    # the loudspeaker comes back at a fifth of its level, and sounds like speech to the detector
    assert not any(barge.push(frame(600), 0.9, 3000, 20) for _ in range(60))
    assert any(barge.push(frame(2500), 0.9, 3000, 20) for _ in range(8))


def test_with_headphones_a_word_is_enough():
    barge = BargeIn()
    barge.start()
    assert not any(barge.push(frame(15), 0.0, 3000, 12) for _ in range(20))
    assert any(barge.push(frame(400), 0.9, 3000, 12) for _ in range(8))


def test_noise_is_no_voice():
    barge = BargeIn()
    barge.start()
    assert not any(barge.push(frame(2500), 0.1, 3000, 20) for _ in range(60))


class Still:
    noise = 10.0


class Talking:
    """A mouth in the middle of a reply; what the loudspeaker holds is played to its end, cut or not."""

    loudness = 3000.0

    def __init__(self, drain=0.0):
        self.cuts, self._drain, self._end = 0, drain, float("inf")

    @property
    def speaking(self):
        return time.monotonic() < self._end

    def cut(self):
        self.cuts += 1
        self._end = time.monotonic() + self._drain


def test_the_gate_is_shut_while_speaking_and_a_moment_after():
    mouth = Talking()
    gate = Gate(lambda _f: 0.9, mouth, Still())
    assert all(gate.shut(frame(600)) for _ in range(30))
    mouth.cut()
    assert gate.shut(frame(600))  # the room still rings
    time.sleep(0.3)
    assert not gate.shut(frame(600))


def test_a_voice_over_the_reply_opens_the_gate_with_the_words_it_began_with():
    mouth = Talking()
    gate = Gate(lambda _f: 0.9, mouth, Still())
    for _ in range(20):
        gate.shut(frame(100))
    opened = next(i for i in range(20) if not gate.shut(frame(4000)))
    assert opened < 8
    assert not mouth.speaking
    assert len(list(gate.held(frame(4000)))) >= 5


def test_the_gate_stays_open_while_a_loudspeaker_that_was_cut_plays_out():
    """ "When can I sand it" that loses its first words there is logged as sanded."""
    mouth = Talking(drain=0.1)
    gate = Gate(lambda _f: 0.9, mouth, Still())
    for _ in range(20):
        gate.shut(frame(100))
    while gate.shut(frame(4000)):
        pass
    assert mouth.speaking
    end = time.monotonic() + 0.25
    while time.monotonic() < end:
        assert not gate.shut(frame(4000))
        time.sleep(0.02)
    assert mouth.cuts == 1


def test_a_word_over_the_beginning_of_a_reply_does_not_deafen_it_to_the_next():
    barge = BargeIn()
    barge.start()
    for _ in range(12):  # somebody was still speaking when the reply began
        barge.push(frame(4000), 0.9, 3000, 10)
    assert not any(barge.push(frame(300), 0.9, 3000, 10) for _ in range(60))
    assert any(barge.push(frame(4000), 0.9, 3000, 10) for _ in range(8))


def test_the_echo_of_a_voice_that_takes_a_second_to_begin_is_none():
    barge = BargeIn()
    barge.start()
    assert not any(barge.push(frame(10), 0.0, 0, 10) for _ in range(40))
    assert not any(barge.push(frame(900), 0.9, 3000, 10) for _ in range(60))


class Stuck(Slow):
    """An engine that cannot be interrupted in the middle of a clause."""

    def speak(self, text):
        self.said.append(f"begin {text}")
        time.sleep(0.4)
        yield b"\1\0" * 160
        self.said.append(f"end {text}")


def test_a_cut_does_not_wait_for_the_engine_and_the_next_reply_does():
    """Two orders at once would mix in one engine; and the ears must not wait for either."""
    speaker, player = Stuck(), Player()
    mouth = Mouth(speaker, player)
    mouth.say("one")
    time.sleep(0.1)
    mouth.say("two")
    assert mouth.speaking
    while mouth.speaking and "end two" not in speaker.said:
        time.sleep(0.02)
        player.busy = False
    assert [w for w in speaker.said if w.startswith("begin")] == ["begin one", "begin two"]
    assert len(player.played) == 320  # nothing of the first
    mouth.close()


# -- what is said aloud ---------------------------------------------------------------------------


def reply(text, cautions=(), outcome="logged", events=(), at="2026-03-18T10:30:00+00:00"):
    return {"reply": text, "cautions": list(cautions), "outcome": outcome, "events": list(events), "at": at}


@pytest.mark.parametrize(
    ("phrase", "number"),
    [
        ("second coat on the hatch trim", "second"),
        ("coat of varnish on the hatch trim thinned seven percent", "seven percent"),
        ("sanded the hatch trim with two forty", "two hundred and forty"),
        ("mixed up a hundred and twenty mil of epoxy", "one hundred and twenty mil"),
        ("it is minus two degrees in the fore cabin", "minus two degrees"),
        ("humidity is seventy percent in the galley", "seventy percent"),
        ("nine degrees in the galley until seven", "nine degrees"),
        ("used fifty mil of varnish", "fifty mil"),
        ("sanded the hatch trim with 240 at half past nine", "half past nine"),
        ("bought a litre of varnish", "one litre"),
        ("remind me to sand the bulkhead with 320", "three hundred and twenty"),
    ],
)
def test_the_read_back_carries_the_number_that_was_heard(tmp_path, phrase, number):
    from datetime import UTC, datetime
    from pathlib import Path

    from assistant.turn import Session

    now = datetime(2026, 3, 18, 10, 30, tzinfo=UTC)
    with Session.open(tmp_path / "linnet.sqlite") as session:
        session.load(Path(__file__).parents[2] / "examples" / "linnet.toml", now)
        taken = session.take(phrase, now)
    assert taken.outcome == "logged"
    aloud = said(Aloud().of({**taken.to_json(), "cautions": []}))
    assert number in aloud.lower()
    if "." not in aloud.rstrip("."):  # one sentence: the read-back alone
        assert len(aloud.split()) < 15
        assert len(re.sub(r", (10:30|thinned \d+ percent)", "", taken.reply).split()) < 10


def test_a_number_that_a_reply_forgets_is_said_all_the_same():
    event = {"id": 40, "kind": "coat", "coat": 2, "piece": "lid", "thinned": {"value": 7.5, "unit": "percent"}}
    assert Aloud().of(reply("Second coat on the lid, 10:30.", events=[event])) == (
        "Second coat on the lid, now. 7.5 percent."
    )
    event = {"id": 41, "kind": "tin", "amount": {"value": 1000.0, "unit": "ml"}}
    assert Aloud().of(reply("Bought 1 litre of varnish.", events=[event])) == "Bought 1 litre of varnish."


def test_a_time_that_is_now_is_now_and_another_is_said():
    assert Aloud().of(reply("Sanded the lid, 10:30.")) == "Sanded the lid, now."
    assert Aloud().of(reply("Sanded the lid, 09:15.")) == "Sanded the lid, 09:15."
    assert Aloud().of(reply("Ready at the lid, 10:30.", outcome="answered")) == "Ready at the lid, 10:30."


def test_a_warning_is_a_few_words_and_said_once_a_day():
    aloud = Aloud()
    warned = ["Solvent in the air: ventilate, no flame.", "Dust: a good filter for sanding, and extract."]
    first = aloud.of(reply("Done.", warned))
    assert first == "Done. Careful: Solvent in the air. Dust: a good filter for sanding, and extract."
    assert aloud.of(reply("Done.", warned)) == "Done."
    assert "Solvent" in aloud.of(reply("Done.", warned, at="2026-03-19T00:10:00+00:00"))
    assert aloud.of(reply("Done.", ["One.", "Mind one.", "Mind two.", "Mind three."])).count(".") == 3


def test_every_warning_of_the_trade_is_said_in_a_breath():
    for caution in all_cautions():
        short = brief(caution.text)
        assert 2 <= len(short.split()) <= 13, short
        assert caution.text.startswith(short.rstrip("."))
