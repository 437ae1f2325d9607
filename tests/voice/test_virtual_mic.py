"""As a person would: a virtual microphone hears clips, the loudspeaker's sound is recorded and decoded back."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from itertools import pairwise
from pathlib import Path

import pytest

from tests.fixtures import voice_clips, voice_pulse
from tests.fixtures.voice_trade import TradePhrases

ROOT = Path(__file__).resolve().parents[2]
LISTENER = """
import json, sys
from datetime import datetime, UTC
from assistant.voice.loop import listen
from tests.fixtures.voice_trade import TradePhrases, TradeTurn
listen(TradeTurn(), TradePhrases(), now=lambda: datetime.now(UTC), out=lambda d: print(json.dumps(d), flush=True),
       told=lambda line: print(json.dumps({"told": line}), flush=True), **json.loads(sys.argv[1]))
"""


class Listener:
    """The loop in a process of its own; its lines as they come."""

    def __init__(self, sound, **settings):
        self.sound, self.lines = sound, []
        settings.setdefault("speaker", "espeak")
        self.process = subprocess.Popen(
            [sys.executable, "-c", LISTENER, json.dumps(settings)], cwd=ROOT, stdout=subprocess.PIPE, text=True,
            env={**sound.environment, "PYTHONPATH": str(ROOT), "DABHAND_TEST_CLIPS": str(voice_clips.CACHE)},
        )  # fmt: skip
        threading.Thread(target=self._read, daemon=True).start()
        self.wait(lambda line: "Listening" in line.get("told", ""), 40)
        time.sleep(1.0)

    def _read(self):
        for line in self.process.stdout:
            self.lines.append(json.loads(line))

    def wait(self, wanted, seconds=15):
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for line in list(self.lines):
                if wanted(line):
                    return line
            time.sleep(0.05)
        raise AssertionError(f"not within {seconds} s: {self.lines}")

    def close(self):
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(10)
        except subprocess.TimeoutExpired:
            self.process.kill()
            raise


@pytest.fixture
def play(sound, tmp_path, voice):
    def go(text):
        sound.play(voice_clips.write(tmp_path / "say.wav", voice_clips.padded(voice_clips.say(text, voice), 0.3, 0.2)))

    return go


def test_woken_it_logs_answers_aloud_and_ignores_the_rest(sound, play, voice, tmp_path):
    """Nothing before the wake phrase; then a fact, its read-back recorded from the loudspeaker; then other talk."""
    engine = {"piper": "piper", "flite": "system"}.get(voice.split("-")[0], "espeak")
    listener = Listener(sound, speaker=engine)
    recorder = sound.record(tmp_path / "reply.raw")
    try:
        play("third coat on the locker lids")
        time.sleep(1.5)
        assert not [line for line in listener.lines if "outcome" in line]
        play("hello shipmate")
        time.sleep(1.5)
        play("stripped the cabin doors yesterday")
        reply = listener.wait(lambda line: line.get("outcome") == "logged")
        assert reply["heard"].replace("the ", "") == "stripped cabin doors yesterday"
        time.sleep(5)
        assert len([line for line in listener.lines if "outcome" in line]) == 1  # it did not hear itself
    finally:
        recorder.terminate()
        recorder.wait(5)
        listener.close()
    assert listener.process.returncode == 0
    said = decoded((tmp_path / "reply.raw").read_bytes())
    assert len({"stripped", "cabin", "doors", "yesterday"} & set(said.split())) >= 3, said


def decoded(raw):
    """What the recogniser makes of the recorded reply, "logged" being outside the grammar."""
    from assistant.voice.sphinx import Sphinx

    class Reply(TradePhrases):
        def jsgf(self):
            return super().jsgf().replace("public <sentence> = ", "public <reply> = logged <sentence>; <sentence> = ")

    ear = Sphinx(Reply())
    data = voice_clips.floats(raw)
    loud = [i for i in range(0, len(data) - 1600, 1600) if abs(data[i : i + 1600]).max() > 1500]
    loud = [i for i in loud if i > max([0, *(b for a, b in pairwise(loud) if b - a > 16_000)]) - 1]  # after the earcons
    ear.start()
    ear.feed(voice_clips.padded(raw[max(0, loud[0] - 3200) * 2 : (loud[-1] + 6400) * 2], 0.3, 0.5))
    found = ear.finish()
    return found.alternatives[0].text if found.alternatives else ""


def test_without_a_wake_phrase_everything_said_is_heard(sound, play):
    listener = Listener(sound, wake=None)
    try:
        play("what did i do yesterday")
        assert listener.wait(lambda line: line.get("outcome") == "answered")["heard"] == "what did i do yesterday"
    finally:
        listener.close()


def test_a_microphone_that_goes_is_told_of_and_comes_back_and_so_does_the_loudspeaker(tmp_path, voice):
    if why := voice_pulse.missing():
        pytest.skip(f"no virtual microphone: {why}")
    folder = tmp_path / "pa"
    sound = voice_pulse.VirtualSound(folder)
    listener = Listener(sound, wake=None)
    try:
        sound.close()
        listener.wait(lambda line: "gone" in line.get("told", ""), 20)
        sound = voice_pulse.VirtualSound(folder)
        listener.wait(lambda line: "back" in line.get("told", ""), 30)
        time.sleep(1)
        recorder = voice_pulse.Recorder(sound, tmp_path / "spk.raw")
        sound.play(
            voice_clips.write(
                tmp_path / "s.wav", voice_clips.padded(voice_clips.say("what did i do yesterday", voice), 0.5, 0.2)
            )
        )
        listener.wait(lambda line: line.get("outcome") == "answered")
        assert recorder.loud(recorder.spoken(0)) > 1.0
        recorder.close()
    finally:
        listener.close()
        sound.close()


def test_the_doctor_tells_what_is_there(sound):
    rows = subprocess.run(
        [sys.executable, "-c", "import json; from assistant.voice.health import lines; print(json.dumps(lines()))"],
        cwd=ROOT, env={**sound.environment, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True,
        timeout=60, check=True,
    )  # fmt: skip
    found = {name: (ok, text) for name, ok, text in json.loads(rows.stdout)}
    assert set(found) == {"recogniser", "model", "microphone", "speaker"}
    assert found["microphone"][0]
    assert "Null Output" in found["microphone"][1]
    assert found["speaker"][0]
    assert os.linesep not in "".join(text for _, text in found.values())
