"""Which recogniser hears: a Vosk model's if there is one, else the one that needs no download."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from assistant.problem import Problem
from assistant.voice import moonshine
from assistant.voice.kaldi import Kaldi, find_model
from assistant.voice.paired import Paired
from assistant.voice.recogniser import PhraseSource, Recogniser, note_cues
from assistant.voice.speakers import letter_to_sound
from assistant.voice.sphinx import Sphinx


def open_recogniser(
    phrases: PhraseSource,
    *,
    model: Path | None = None,
    wake: str = "",
    told: Callable[[str], None] = lambda _line: None,
) -> Recogniser:
    """Give the recogniser. A ``model`` that was named and is no good is a ``Problem``; one that was found is told of.

    Words that it cannot listen for are told by name, once.
    """
    folder = model or find_model()
    if folder is not None:
        try:
            kaldi = Kaldi(_Addressed(phrases, wake), folder)
        except Problem as problem:
            if model is not None:
                raise
            told(f"{problem} Using the built-in recogniser.")
        else:
            _warn(kaldi.unheard, told)
            return kaldi
    sphinx = Sphinx(phrases, letter_to_sound, wake)
    _warn(sphinx.dumb, told)
    if moonshine.model_folder() is None:
        return sphinx
    try:
        ear = moonshine.Moonshine()
    except Problem as problem:
        told(f"{problem}. Using pocketsphinx alone.")
        return sphinx
    return Paired(
        sphinx, ear, wake=wake, cues=note_cues(phrases),
        words=getattr(phrases, "vocabulary", set)(), names=getattr(phrases, "names", set)(),
    )  # fmt: skip


def _warn(words: list[str], told: Callable[[str], None]) -> None:
    if words:
        told(f"I cannot listen for {', '.join(words)}: type it, or add its sound to grammars/lexicon.txt.")


class _Addressed:
    """A phrase source with the wake phrase and the notes' cues among its phrases."""

    def __init__(self, phrases: PhraseSource, wake: str) -> None:
        self._phrases = phrases
        self._more = ([wake] if wake else []) + note_cues(phrases)

    def jsgf(self) -> str:
        return self._phrases.jsgf()

    def phrases(self) -> list[str]:
        return [*self._phrases.phrases(), *self._more]

    def words(self) -> set[str]:
        return self._phrases.words() | {w for p in self._more for w in p.split()}

    def note_cues(self) -> list[str]:
        return note_cues(self._phrases)
