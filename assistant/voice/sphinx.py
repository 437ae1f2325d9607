"""The recogniser that needs no download: pocketsphinx with the English model in its wheel.

What was measured shapes it (``tests/bench/voice_accuracy.py`` measures it again):

- wide beams: a long sentence needs them, and they cost little on a small grammar;
- the channel's mean is taken from the first second of the utterance itself and not from a constant: in
  noise that is the difference between half and nearly all sentences right;
- a second decoder hears bare phones from the same sound. How much better they explain it than the best sentence
  does is the only sign that something else was said: the engine's own confidence is none.
"""

from __future__ import annotations

import math
import tempfile
import time
from collections.abc import Iterable
from functools import cache
from itertools import islice, pairwise
from pathlib import Path
from typing import Any, Final

from assistant.problem import Problem
from assistant.voice.network import compiled
from assistant.voice.notes import CueEar, free_score
from assistant.voice.pronunciation import Lookup, pronounce
from assistant.voice.recogniser import FREE, SECOND, Alternative, PhraseSource, Recognition, note_cues
from assistant.voice.suppressor import otherwise

_BEAMS: Final = {"bestpath": False, "beam": 1e-60, "pbeam": 1e-60, "wbeam": 1e-40}
#: Sound heard before decoding starts, from which the channel's mean is taken.
_FIRST: Final = SECOND
#: The engine scales its scores down by this power of two, in steps of its logarithm's base.
_SHIFT: Final = 1024
#: Of the nearest paths so many are looked at, for so long (seconds), and so many different texts kept.
_NEAREST, _BUDGET, _KEPT = 40, 0.1, 6
#: So much difference in score (nats) is a factor e of confidence: measured, a wrong number wins by up to 28.
_SPREAD: Final = 25.0
#: So many frames of silence around the words count for the distance, at most.
_AROUND: Final = 80
#: More frames than this after the last word, and more than that of them speech to the ear for phones: the
#: search gave up.
_TAIL, _LOST = 100, 50
#: A word of fewer frames than this is weighed as if it had so many: chance is large in it.
_BRIEF: Final = 10
#: A sentence at this distance or more may be none: then a note's cue is looked for, and believed up to this
#: distance of its own.
_DOUBT: Final = 1.3
_CUE: Final = 3.5

#: Words that natural speech runs into their neighbours: a bad fit of one tells nothing.
_LITTLE: Final = frozenset(["a", "an", "and", "at", "in", "is", "it", "of", "on", "the", "there", "to"])


@cache
def _library() -> Any:
    try:
        import pocketsphinx
    except ImportError as error:
        raise Problem(f"pocketsphinx is not installed ({error}): pip install pocketsphinx") from None
    pocketsphinx.set_loglevel("FATAL")
    return pocketsphinx


def model_folder() -> Path:
    """Give the folder of the English model in the wheel; ``Problem`` if it is not there."""
    folder = Path(_library().get_model_path()) / "en-us"
    if not (folder / "en-us" / "mdef").exists():
        raise Problem(f"pocketsphinx has no English model at {folder}: pip install --force-reinstall pocketsphinx")
    return folder


def _table() -> dict[str, str]:
    """Read the model's own dictionary: a word, or ``word(2)`` for its second way, to phones. 0.1 s, 30 MB: not kept."""
    lines = (model_folder() / "cmudict-en-us.dict").read_text(encoding="utf-8").splitlines()
    return dict(line.split(" ", 1) for line in lines if " " in line)


def dictionary(words: Iterable[str], rule: Lookup | None = None) -> tuple[str, list[str]]:
    """Give a dictionary of ``words`` in the engine's form, and the words that nobody can pronounce."""
    table = _table()
    lines, dumb = [], []
    for word in sorted(set(words)):
        own = [table[w] for w in (word, *(f"{word}({n})" for n in range(2, 5))) if w in table]
        ways = tuple(own) or pronounce(word, table.get, rule)
        if not ways:
            dumb.append(word)
        lines += [f"{word}{f'({n})' if n > 1 else ''} {phones}" for n, phones in enumerate(ways, 1)]
    return "\n".join(lines) + "\n", dumb


def decoder(words: str, **settings: Any) -> Any:
    """Make a pocketsphinx decoder with a dictionary of its own; it reads the file at once."""
    library = _library()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "words.dict"
        path.write_text(words, encoding="utf-8")
        values = {"hmm": str(model_folder() / "en-us"), "dict": str(path), "lm": None, "loglevel": "FATAL"}
        config = library.Config(**values)
        for name, value in {**_BEAMS, **settings}.items():
            config[name] = value
        return library.Decoder(config)


class Sphinx:
    """Hears the sentences of a phrase source. ``dumb`` names words that it cannot listen for.

    A text that ends in ``FREE`` began with a note's cue and went on in free speech.
    """

    name = "pocketsphinx"

    def __init__(self, phrases: PhraseSource, rule: Lookup | None = None, wake: str = "") -> None:
        network = compiled(phrases.jsgf(), wake)
        text, self.dumb = dictionary(network.words, rule)
        self.network = network.without(set(self.dumb))  # one word without phones and the whole is refused
        final, arcs = self.network.arcs()
        try:
            self._sentences = decoder(text)
            self._sentences.add_fsg("sentences", self._sentences.create_fsg("sentences", 0, final, arcs))
            self._sentences.activate_search("sentences")
            self._phones = decoder(text, ds=2)  # every second frame scored: half the work, and as good a judge
            self._phones.add_allphone_file("phones", None)
            self._phones.activate_search("phones")
            cues = note_cues(phrases)
            self._notes = CueEar(cues, wake, rule) if cues else None
        except (RuntimeError, ValueError) as error:
            raise Problem(f"pocketsphinx refuses the grammar ({error}): typed chat still works") from None
        self._light = _LITTLE | set(wake.split())
        self._language: Any = None
        self._heard: list[bytes] = []
        self._mean = ""
        self._room = b""
        self._first = b""
        self._running = False

    def start(self, room: bytes = b"") -> None:
        """Begin an utterance; the noise of the room before it is known from its first frame on."""
        self._abandon()
        self._room = room
        self._first = b""
        self._heard = []

    def feed(self, chunk: bytes) -> None:
        """Take more sound: decoding begins when a second of it is there."""
        self._heard.append(chunk)
        if self._running:
            self._decode(chunk)
            return
        self._first += chunk
        if len(self._first) >= _FIRST:
            self._begin()

    def partial(self) -> str:
        """Give the best text so far."""
        if not self._running and self._first:
            self._begin()
        return self._text()

    def whole(self, text: str) -> bool:
        """Whether ``text`` is a sentence that nothing can follow."""
        return self.network.ends_at(text)

    def ahead(self) -> None:
        """Begin nothing: all is done as the sound comes."""

    def finish(self) -> Recognition:
        """End the utterance."""
        if not self._running and self._first:
            self._begin()
        if not self._running:
            return Recognition(())
        self._abandon()
        text, distance = self._text(), self._distance()
        if self._notes and (distance is None or distance > _DOUBT):
            cue = self._notes.hear(b"".join(self._heard), self._mean, list(self._phones.seg()))
            if cue and cue.distance < _CUE:
                found = (Alternative(f"{cue.words} {FREE}", 1.0),)
                return Recognition(found, distance, cue=cue.distance, rest=cue.end)
        return Recognition(self._alternatives(text), distance, self._worst())

    def free(self, clip: bytes) -> str:
        """Give the best guess of a general language model."""
        if self._language is None:
            folder = model_folder()
            words = (folder / "cmudict-en-us.dict").read_text(encoding="utf-8")
            self._language = decoder(words, bestpath=True)
            self._language.add_lm_file("free", str(folder / "en-us.lm.bin"))
            self._language.activate_search("free")
        self._language.reinit_feat()
        self._language.start_utt()
        self._language.process_raw(clip, full_utt=True)
        self._language.end_utt()
        found = self._language.hyp()
        return found.hypstr if found else ""

    def again(self, clip: bytes) -> Recognition:
        """Give the best text after another suppressor: measured, the two seldom make the same mistake."""
        self._abandon()
        self._heard, self._room, self._first = [], b"", b""
        sound = otherwise(clip)
        if not sound:
            return Recognition(())
        engine = self._sentences
        self._settle(engine, sound[:_FIRST])
        engine.process_raw(sound)
        engine.end_utt()
        text = self._text()
        return Recognition((Alternative(text, 1.0),) if text else ())

    def close(self) -> None:
        """Let go of the model."""
        self._abandon()
        self._language = None

    def _begin(self) -> None:
        """Take the channel's mean from what was heard so far, then decode that."""
        for engine in (self._sentences, self._phones):
            self._mean = self._settle(engine, self._first, self._room)
        self._running = True
        self._decode(self._first)

    @staticmethod
    def _settle(engine: Any, first: bytes, room: bytes = b"") -> str:
        """Begin an utterance with the channel's mean of its first second, and give that."""
        engine.reinit_feat()  # or the last utterance's noise would be taken out of this one
        engine.start_utt()
        if room:
            engine.process_raw(room, no_search=True, full_utt=True)
            engine.end_utt()
            engine.start_utt()
        engine.process_raw(first, no_search=True, full_utt=True)
        mean = str(engine.get_cmn())
        engine.end_utt()
        engine.set_cmn(mean)  # and the noise, by now known, is taken out from the first frame on
        engine.start_utt()
        return mean

    def _decode(self, chunk: bytes) -> None:
        self._sentences.process_raw(chunk)
        self._phones.process_raw(chunk)

    def _abandon(self) -> None:
        if self._running:
            self._sentences.end_utt()
            self._phones.end_utt()
            self._running = False

    def _text(self) -> str:
        found = self._sentences.hyp()
        return found.hypstr if found else ""

    def _alternatives(self, text: str) -> tuple[Alternative, ...]:
        """Give the best text and the ones that came near it, for the reader to choose from."""
        if not text:
            return ()
        scores: dict[str, float] = {}
        stop = 0.0
        for found in islice(self._sentences.nbest(), _NEAREST):
            if found and found.score > 0:
                scores.setdefault(found.hypstr, math.log(found.score) * _SHIFT / _SPREAD)
            stop = stop or time.monotonic() + _BUDGET
            if time.monotonic() > stop:
                break
        top = max(scores.values(), default=0.0)
        weights = {t: math.exp(s - top) for t, s in scores.items()} | {text: 1.0}
        total = sum(weights.values())
        ranked = sorted(weights.items(), key=lambda w: (w[0] != text, -w[1]))[:_KEPT]
        return tuple(Alternative(t, w / total) for t, w in ranked)

    def _distance(self) -> float | None:
        best, free = self._sentences.hyp(), self._phones.hyp()
        if not best or not free or best.score <= 0 or free.score <= 0:
            return None
        if self._gave_up():
            return math.inf
        return math.log(free.score / best.score) * _SHIFT / max(1, self._length())

    def _worst(self) -> float | None:
        """Give the distance of the word that fits least.

        The first after a silence is left out: it takes in what was before it; so are the wake phrase, and the little
        words that people swallow ("it's", "on [the] board").
        """
        if not self._sentences.hyp() or not self._phones.hyp():
            return None
        found = list(self._sentences.seg())
        words = [
            g for before, g in pairwise(found)
            if before.word[0].isalpha() and g.word[0].isalpha() and g.word.partition("(")[0] not in self._light
        ]  # fmt: skip
        phones = list(self._phones.seg())
        far = [
            (free_score(phones, g) - math.log(g.ascore)) / max(_BRIEF, g.end_frame - g.start_frame + 1) for g in words
        ]
        return max(far) * _SHIFT if far else None

    def _length(self) -> int:
        """Give the frames of the words and a little around them: silence must not make a misfit small."""
        words = [(int(g.start_frame), int(g.end_frame)) for g in self._sentences.seg() if g.word[0].isalpha()]
        spoken = words[-1][1] - words[0][0] if words else 0
        return min(int(self._sentences.n_frames()), spoken + _AROUND)

    def _gave_up(self) -> bool:
        """Whether the search died on the way: the phones went on, the words did not, and the score is a part's."""
        words = [int(g.end_frame) for g in self._sentences.seg() if g.word[0].isalpha()]
        last = max(words, default=0)
        if self._sentences.n_frames() - last < _TAIL:
            return False
        after = [g for g in self._phones.seg() if g.end_frame > last and g.word.isalpha() and g.word != "SIL"]
        return sum(int(g.end_frame) - max(int(g.start_frame), last) for g in after) > _LOST
