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
import re
import tempfile
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from assistant.problem import Problem
from assistant.voice.pronunciation import PHONES, Lookup, pronounce
from assistant.voice.recogniser import FREE, SECOND, Alternative, PhraseSource, Recognition, note_cues

_BEAMS: Final = {"bestpath": False, "beam": 1e-60, "pbeam": 1e-60, "wbeam": 1e-40}
#: Sound heard before decoding starts, from which the channel's mean is taken.
_FIRST: Final = SECOND
#: The engine scales its scores down by this power of two, in steps of its logarithm's base.
_SHIFT: Final = 1024


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


def words_of(jsgf: str) -> set[str]:
    """Give the words of a JSGF grammar."""
    bare = re.sub(r"//[^\n]*|/\*.*?\*/", " ", jsgf, flags=re.DOTALL)
    bare = re.sub(r"#JSGF[^;]*;|\bgrammar\s+[\w.]+\s*;|\bimport\s*<[^>]*>\s*;", " ", bare)
    bare = re.sub(r"<[^>]*>|\{[^}]*\}|/[\d.eE+-]+/|\bpublic\b", " ", bare)
    return {w for w in re.findall(r"[^\s|()\[\]=;*+]+", bare) if any(c.isalpha() for c in w)}


def decoder(words: str, **settings: Any) -> Any:
    """Make a pocketsphinx decoder with a dictionary of its own; it reads the file at once, so the file need not stay."""
    library = _library()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "words.dict"
        path.write_text(words, encoding="utf-8")
        values = {"hmm": str(model_folder() / "en-us"), "dict": str(path), "lm": None, "loglevel": "FATAL"}
        config = library.Config(**values)
        for name, value in {**_BEAMS, **settings}.items():
            config[name] = value
        return library.Decoder(config)


def _phone_word(phone: str) -> str:
    """Give a phone as a word of its own: no English word looks like it."""
    return f"zz_{phone.lower()}"


def compose(jsgf: str, wake: str, cues: Sequence[str]) -> str:
    """Give the grammar with the wake phrase before any sentence, or alone, and with free phones after a note's cue."""
    public = re.search(r"\bpublic\s*<([\w.]+)>", jsgf)
    if not public:
        raise Problem("the grammar has no public rule: this is a fault in grammars/")
    sentence = f"<{public[1]}>"
    if cues:
        loop = " | ".join(_phone_word(p) for p in sorted(PHONES))
        jsgf += f"\n<dabhand_free> = ({loop})+;"
        sentence = f"({sentence} | ({' | '.join(cues)}) <dabhand_free>)"
    whole = f"{wake} [{sentence}] | {sentence}" if wake else sentence
    jsgf = re.sub(r"\bpublic\s*<", "<", jsgf)  # the engine starts at the one rule that is public
    return f"{jsgf}\npublic <dabhand_all> = {whole};\n"


class Sphinx:
    """Hears the sentences of a phrase source. ``dumb`` names words that it cannot listen for.

    A text that ends in ``FREE`` began with a note's cue and went on in free speech.
    """

    name = "pocketsphinx"

    def __init__(self, phrases: PhraseSource, rule: Lookup | None = None, wake: str = "") -> None:
        jsgf = compose(phrases.jsgf(), wake, note_cues(phrases))
        words = {w for w in words_of(jsgf) if not w.startswith("zz_")}
        text, self.dumb = dictionary(words, rule)
        text += "".join(f"{_phone_word(p)} {p}\n" for p in sorted(PHONES))
        for word in self.dumb:  # one word without phones and the whole grammar is refused
            jsgf = re.sub(rf"(?<![\w'-]){re.escape(word)}(?![\w'-])", "<VOID>", jsgf)
        try:
            self._sentences = decoder(text)
            self._sentences.add_jsgf_string("sentences", jsgf)
            self._sentences.activate_search("sentences")
            self._phones = decoder(text)
            self._phones.add_allphone_file("phones", None)
            self._phones.activate_search("phones")
        except (RuntimeError, ValueError) as error:
            raise Problem(f"pocketsphinx refuses the grammar ({error}): typed chat still works") from None
        self._language: Any = None
        self._first = b""
        self._running = False

    def start(self) -> None:
        """Begin an utterance."""
        self._abandon()
        self._first = b""

    def feed(self, chunk: bytes) -> None:
        """Take more sound: decoding begins when a second of it is there."""
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

    def finish(self) -> Recognition:
        """End the utterance."""
        if not self._running and self._first:
            self._begin()
        if not self._running:
            return Recognition(())
        self._abandon()
        text = self._text()
        if not text:
            return Recognition(())
        found = (Alternative(text, 1.0),)
        return Recognition(found, self._distance(), *(self._cue() if FREE in text else (None, None)))

    def free(self, clip: bytes) -> str:
        """Give the best guess of a general language model."""
        if self._language is None:
            folder = model_folder()
            words = (folder / "cmudict-en-us.dict").read_text(encoding="utf-8")
            self._language = decoder(words, bestpath=True)
            self._language.add_lm_file("free", str(folder / "en-us.lm.bin"))
            self._language.activate_search("free")
        self._language.start_utt()
        self._language.process_raw(clip, full_utt=True)
        self._language.end_utt()
        found = self._language.hyp()
        return found.hypstr if found else ""

    def close(self) -> None:
        """Let go of the model."""
        self._abandon()
        self._language = None

    def _begin(self) -> None:
        """Take the channel's mean from what was heard so far, then decode that."""
        self._phones.start_utt()
        self._phones.process_raw(self._first, no_search=True, full_utt=True)
        mean = self._phones.get_cmn()
        self._phones.end_utt()
        for decoder in (self._sentences, self._phones):
            decoder.set_cmn(mean)
            decoder.start_utt()
        self._running = True
        self._decode(self._first)

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
        words = found.hypstr.split() if found else []
        spoken = [w for w in words if not w.startswith("zz_")]
        return " ".join([*spoken, FREE] if len(spoken) < len(words) else spoken)

    def _distance(self) -> float | None:
        best, free = self._sentences.hyp(), self._phones.hyp()
        if not best or not free or best.score <= 0 or free.score <= 0:
            return None
        return math.log(free.score / best.score) * _SHIFT / max(1, self._sentences.n_frames())

    def _cue(self) -> tuple[float | None, float | None]:
        """Give :meth:`_distance` over the words before the free ones alone, and where those end (seconds)."""
        words = [g for g in self._sentences.seg() if g.word[0].isalpha() and not g.word.startswith("zz_")]
        if not words:
            return None, None
        first, last = words[0].start_frame, words[-1].end_frame
        best = sum(math.log(g.ascore) for g in words)
        free = 0.0
        for g in self._phones.seg():
            shared = min(g.end_frame, last) - max(g.start_frame, first) + 1
            if shared > 0:
                free += math.log(g.ascore) * shared / (g.end_frame - g.start_frame + 1)
        return (free - best) * _SHIFT / (last - first + 1), last / 100
