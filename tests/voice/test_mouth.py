"""Replies can be cut short, and it never hears itself."""

import time

from assistant.voice.loop import Gate
from assistant.voice.mouth import BargeIn, Mouth
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


def test_the_gate_is_shut_while_speaking_and_a_moment_after():
    class Talking:
        speaking, loudness = True, 3000.0

        def cut(self):
            self.speaking = False

    mouth = Talking()
    gate = Gate(lambda _f: 0.9, mouth, Still())
    assert all(gate.shut(frame(600)) for _ in range(30))
    mouth.speaking = False
    assert gate.shut(frame(600))  # the room still rings
    time.sleep(0.3)
    assert not gate.shut(frame(600))


def test_a_voice_over_the_reply_opens_the_gate_with_the_words_it_began_with():
    class Talking:
        speaking, loudness = True, 3000.0

        def cut(self):
            self.speaking = False

    mouth = Talking()
    gate = Gate(lambda _f: 0.9, mouth, Still())
    for _ in range(20):
        gate.shut(frame(100))
    opened = next(i for i in range(20) if not gate.shut(frame(4000)))
    assert opened < 8
    assert not mouth.speaking
    assert len(list(gate.held(frame(4000)))) >= 5
