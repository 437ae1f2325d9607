"""The recogniser for those who have a Vosk model: better ears, more memory, and a model to download once.

Its vocabulary is fixed when the model is made: a grammar *replaces* it, and a word that the model does not know is
dropped from the grammar without a word. So every word is asked after first, listened for under the
spelling that the lexicon gives, and named to the person if it has none.
"""

from __future__ import annotations

import json
import math
import os
from pathlib import Path
from typing import Any, Final

from assistant.data import root
from assistant.problem import Problem
from assistant.voice.pronunciation import lexicon
from assistant.voice.recogniser import FREE, RATE, Alternative, PhraseSource, Recognition, note_cues

#: What Vosk calls its own small English model, and its size as Vosk's page tells it (memory).
SMALL_MODEL: Final = "vosk-model-small-en-us-0.15"
SMALL_SIZE: Final = "40 MB"
UNKNOWN: Final = "[unk]"
_ALTERNATIVES: Final = 8
#: A word of English that every English model has.
_SHIBBOLETH: Final = "yesterday"


def _library() -> Any:
    try:
        import vosk
    except (ImportError, OSError, TypeError) as error:  # the wheel of some systems does not find its own library
        raise Problem(f"vosk does not load here ({error}): leave out --model to use the built-in recogniser") from None
    vosk.SetLogLevel(-1)
    return vosk


def is_model(folder: Path) -> bool:
    """Whether a folder looks like a Vosk model: an acoustic model and a graph or a dictionary."""
    acoustic = (folder / "am" / "final.mdl").exists() or (folder / "final.mdl").exists()
    graph = any((folder / p).exists() for p in ("graph", "HCLr.fst", "HCLG.fst", "Gr.fst"))
    return acoustic and graph


def find_model() -> Path | None:
    """Give the first model of: ``DABHAND_SPEECH_MODEL``, ``models/speech/``, Vosk's own cache; None if none."""
    told = os.environ.get("DABHAND_SPEECH_MODEL")
    if told:
        return Path(told)
    for place in (root() / "models" / "speech", Path.home() / ".cache" / "vosk"):
        if not place.is_dir():
            continue
        for folder in sorted(place.iterdir()):
            if folder.is_dir() and is_model(folder) and (place.name == "speech" or "-en-" in folder.name):
                return folder
    return None


def load_model(folder: Path) -> Any:
    """Load a model; ``Problem`` says what is wrong with the folder."""
    if not folder.is_dir():
        raise Problem(f"there is no speech model at {folder}: name a folder with a Vosk model, or leave it out")
    if not is_model(folder):
        inner = [f for f in sorted(folder.iterdir()) if f.is_dir() and is_model(f)]
        hint = f"did you mean {inner[0]}?" if inner else "it has no am/final.mdl"
        raise Problem(f"{folder} is no Vosk model: {hint}")
    try:
        return _library().Model(str(folder))
    except Problem:
        raise
    except Exception as error:  # Vosk raises nothing narrower
        raise Problem(f"the speech model at {folder} does not load ({error}): unpack it again") from None


def is_english(model: Any) -> bool:
    """Whether a loaded model is of English."""
    return bool(model.vosk_model_find_word(_SHIBBOLETH) >= 0)


class Kaldi:
    """Hears the phrases of a source with a Vosk model.

    ``unheard`` names the words that it cannot listen for; ``english=False`` is for tests with a model of
    another language.
    """

    def __init__(self, phrases: PhraseSource, folder: Path, *, english: bool = True) -> None:
        self._model = load_model(folder)
        self.name = f"Vosk ({folder.name})"
        if english and not is_english(self._model):
            raise Problem(f"the speech model at {folder} is not an English one: name another, or leave it out")
        self._back: dict[str, str] = {}
        self.unheard: list[str] = []
        spoken = self._grammar(phrases)
        if not spoken:  # an empty grammar would end the process, not raise
            raise Problem(f"the speech model at {folder} knows no word of this job: name another, or leave it out")
        if self._knows(UNKNOWN):
            spoken.append(UNKNOWN)
        self._recogniser = _library().KaldiRecognizer(self._model, RATE, json.dumps(spoken, ensure_ascii=False))
        self._recogniser.SetMaxAlternatives(_ALTERNATIVES)
        self._ended: list[Recognition] = []
        self._cues = sorted(note_cues(phrases), key=len, reverse=True)

    def start(self, room: bytes = b"") -> None:  # noqa: ARG002 - the model was trained with noise
        """Begin an utterance."""
        self._recogniser.Reset()
        self._ended = []

    def feed(self, chunk: bytes) -> None:
        """Take more sound. Where Vosk itself hears an end, what came before it is kept."""
        if chunk and self._recogniser.AcceptWaveform(chunk):
            self._ended.append(self._read(self._recogniser.Result()))

    def partial(self) -> str:
        """Give the best text so far."""
        now = json.loads(self._recogniser.PartialResult()).get("partial", "")
        before = [r.alternatives[0].text for r in self._ended if r.alternatives]
        return " ".join([*before, self._ours(now)]).strip()

    def whole(self, text: str) -> bool:  # noqa: ARG002 - a list of phrases does not say
        """Tell of no sentence that nothing can follow."""
        return False

    def ahead(self) -> None:
        """Begin nothing: all is done as the sound comes."""

    def finish(self) -> Recognition:
        """End the utterance; parts that Vosk had cut are joined again by their best texts."""
        last = self._read(self._recogniser.FinalResult())
        heard = [r for r in self._ended if r.alternatives]
        if not last.alternatives and len(heard) == 1:
            return heard[0]
        before = " ".join(r.alternatives[0].text for r in heard)
        if not before:
            return last
        tails = last.alternatives or (Alternative("", 1.0),)
        return Recognition(tuple(Alternative(f"{before} {a.text}".strip(), a.confidence) for a in tails))

    def free(self, clip: bytes) -> str:
        """Give the transcript of the model's whole vocabulary."""
        recogniser = _library().KaldiRecognizer(self._model, RATE)
        recogniser.AcceptWaveform(clip)
        return str(json.loads(recogniser.FinalResult()).get("text", ""))

    def again(self, clip: bytes) -> None:
        """Give no second opinion: the model was trained with noise, and its own alternatives are ranked."""

    def close(self) -> None:
        """Let go of the model."""
        self._recogniser = self._model = None

    def _knows(self, word: str) -> bool:
        return bool(self._model.vosk_model_find_word(word) >= 0)

    def _grammar(self, phrases: PhraseSource) -> list[str]:
        """Give the phrases in words that the model knows, and remember which spelling stands for which word."""
        spelt: dict[str, str | None] = {}
        for word in phrases.words() | {w for p in phrases.phrases() for w in p.split()}:
            spelt[word] = self._spelling(word)
        self.unheard = sorted(w for w, s in spelt.items() if s is None)
        self._back = {s: w for w, s in spelt.items() if s is not None and s != w}
        said = dict.fromkeys(" ".join(s for w in p.split() if (s := spelt[w])) for p in phrases.phrases())
        alone = dict.fromkeys(s for s in spelt.values() if s)  # so that no word of the grammar is left out
        return [p for p in (said | alone) if p]

    def _spelling(self, word: str) -> str | None:
        if self._knows(word):
            return word
        entry = lexicon().get(word)
        tries = [entry.spelling] if entry and entry.spelling else []
        tries += [f"{word[:cut]} {word[cut:]}" for cut in range(len(word) - 3, 2, -1)]
        tries.append(word.replace("-", " ").replace("'s", " s"))
        return next((t for t in tries if all(self._knows(w) for w in t.split())), None)

    def _ours(self, text: str) -> str:
        padded = f" {text} "
        for spelling in sorted(self._back, key=len, reverse=True):
            padded = padded.replace(f" {spelling} ", f" {self._back[spelling]} ")
        text = padded.strip()
        cue = next((c for c in self._cues if f"{text} ".startswith(f"{c} ")), None)
        return f"{cue} {FREE}" if cue else text  # what the grammar made of free words is worth nothing

    def _read(self, result: str) -> Recognition:
        found = json.loads(result)
        listed = found.get("alternatives") or [{"text": found.get("text", ""), "confidence": 0.0}]
        heard = [(self._ours(a["text"]), float(a.get("confidence", 0.0))) for a in listed]
        heard = [(t, c) for t, c in heard if t and UNKNOWN not in t.split()]
        if not heard or heard[0][0] != self._ours(listed[0]["text"]):
            return Recognition(())  # the best was "something else"
        top = heard[0][1]
        weights = [math.exp(max(-50.0, c - top)) for _, c in heard]
        total = sum(weights)
        return Recognition(tuple(Alternative(t, w / total) for (t, _), w in zip(heard, weights, strict=True)))


def fetch(*, yes: bool) -> int:
    """Let Vosk download its small English model after saying the size and asking; 0 when it is there."""
    library = _library()
    cache = Path.home() / ".cache" / "vosk"
    if (there := cache / SMALL_MODEL).exists():
        raise Problem(f"the model is there already: {there}", code=0)
    if not yes:
        raise Problem(
            f"{SMALL_MODEL} is about {SMALL_SIZE}, from Vosk's own server, into {cache}: add --yes to download it"
        )
    try:
        library.Model(model_name=SMALL_MODEL)
    except (
        OSError,
        SystemExit,
        ValueError,
    ):  # requests' errors are OSErrors; Vosk exits by itself for an unknown name
        raise Problem(
            "no network, or Vosk's server does not answer: the built-in recogniser works without it"
        ) from None
    return 0
