"""The doctor's rows are tried, not assumed."""

import pytest

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
