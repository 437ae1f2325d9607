"""A transformer's ear: Moonshine's tiny English model, run with onnxruntime.

The package ``moonshine-voice`` carries the model in its wheels to 0.1.0 (MIT); nothing of its own code is used, so it
needs no sound library of the system. It was trained on people in all kinds of noise and writes whatever was said;
here it is also held to a grammar: only pieces of words that the network allows are followed, the likeliest first
(beam search), so each sentence gets the probability that the model itself gives it.

Jeffries et al., "Moonshine: Speech Recognition for Live Transcription and Voice Commands", 2024.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, NamedTuple

from assistant.problem import Problem
from assistant.voice.pieces import END, START, PieceNetwork, Vocabulary
from assistant.voice.recogniser import SECOND

#: So many unfinished sentences are followed at a time, so far behind the best (nats), and so many finished ones kept.
_WIDTH, _BEHIND, _KEPT = 8, 18.0, 6
#: A sentence this near to what is written freely (nats) needs no words in any order, of which so many ways are kept.
_NEAR, _OTHERS = 3.0, 4
#: A sentence has at most so many pieces; a note more.
_LONGEST, _LONGEST_NOTE = 48, 200
MODEL: Final = Path("assets") / "tiny-en"
_FILES: Final = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")
_SCALE: Final = 32768.0
#: No sentence is longer (seconds).
_HEARD: Final = 15
#: It was trained on short stretches: longer ones are cut where they are quietest, between these (seconds).
SOONEST, LATEST = 8, 12
INSTALL: Final = "pip install moonshine-voice==0.1.0 onnxruntime"


class Scored(NamedTuple):
    """A text and the logarithm of its probability given the sound."""

    text: str
    score: float


@dataclass(frozen=True, slots=True)
class Heard:
    """What the transformer makes of a sound: what it writes when free, and the grammar's sentences, best first."""

    free: Scored
    sentences: tuple[Scored, ...]
    loose: tuple[Scored, ...] = ()  # the trade's words in any order, where no sentence of the grammar comes near
    sound: Any = field(default=None, repr=False, compare=False)  # the encoder's states


def model_folder() -> Path | None:
    """Give the folder of the model, None where the package is missing or came without it."""
    found = importlib.util.find_spec("moonshine_voice")
    if found is None or importlib.util.find_spec("onnxruntime") is None:
        return None
    for place in found.submodule_search_locations or []:
        if all((Path(place) / MODEL / name).exists() for name in _FILES):
            return Path(place) / MODEL
    return None


class Moonshine:
    """The model, loaded (0.2 s, 130 MB). Safe to call from one thread at a time."""

    def __init__(self, folder: Path | None = None) -> None:
        folder = folder or model_folder()
        if folder is None:
            raise Problem(f"no Moonshine model here: {INSTALL}")
        import numpy as np
        import onnxruntime

        self._np = np
        options = onnxruntime.SessionOptions()
        options.log_severity_level = 3
        options.intra_op_num_threads = 1
        encoder, decoder, vocabulary = (folder / name for name in _FILES)
        try:
            self._encoder, self._decoder = (
                onnxruntime.InferenceSession(str(p), options, providers=["CPUExecutionProvider"])
                for p in (encoder, decoder)
            )
        except Exception as error:
            raise Problem(
                f"the Moonshine model at {folder} does not load ({type(error).__name__}): {INSTALL}"
            ) from error
        self.vocabulary = Vocabulary(vocabulary)
        self._stops = [END, *(self.vocabulary.number(mark) for mark in ".?!")]
        self._comma = self.vocabulary.number(",")
        self._empty = {i.name: i.shape for i in self._decoder.get_inputs() if i.name.startswith("past")}
        self._outputs = [o.name.replace("present", "past_key_values") for o in self._decoder.get_outputs()[1:]]

    def hear(self, clip: bytes, network: PieceNetwork, loose: PieceNetwork | None = None) -> Heard:
        """Give what was said in ``clip`` (16 kHz, 16-bit), free and held to ``network``.

        Where no sentence of that comes near, also held to ``loose``.
        """
        sound = self._sound(clip[: _HEARD * SECOND])
        if sound is None:
            return Heard(Scored("", 0.0), ())
        free, held = self._free(sound, _LONGEST), self._held(sound, network)
        near = bool(held) and free.score - max(s.score for s in held) < _NEAR
        others = () if loose is None or near else self._held(sound, loose)[:_OTHERS]
        return Heard(free, held, others, sound)

    def free(self, clip: bytes) -> str:
        """Give the text of ``clip``, held to nothing."""
        sounds = [self._sound(part) for part in self._parts(clip)]
        return " ".join(self._free(sound, _LONGEST_NOTE).text for sound in sounds if sound is not None)

    def _parts(self, clip: bytes) -> Iterator[bytes]:
        """Cut a clip into stretches that the model was made for."""
        np = self._np
        while len(clip) > LATEST * SECOND:
            block = SECOND // 10
            loud = np.frombuffer(clip[SOONEST * SECOND : LATEST * SECOND], dtype="<i2").astype(np.float32) ** 2
            quietest = int(loud.reshape(-1, block // 2).sum(1).argmin())
            end = SOONEST * SECOND + quietest * block + block // 2
            yield clip[:end]
            clip = clip[end:]
        yield clip

    def scored(self, heard: Heard, texts: Sequence[str]) -> list[Scored]:
        """Give some sentences with the logarithms of their probabilities."""
        if heard.sound is None or not texts:
            return []
        np = self._np
        spelled = [[p for w in text.capitalize().split() for p in self.vocabulary.spelled(w)] for text in texts]
        longest = max(map(len, spelled))
        rows = np.array([[START, *pieces, *[END] * (longest - len(pieces))] for pieces in spelled])
        chances, _ = self._step(heard.sound, rows, None)
        return [
            Scored(text, sum(float(c[i, p]) for i, p in enumerate(pieces)) + self._ending(c[len(pieces)]))
            for text, pieces, c in zip(texts, spelled, chances, strict=True)
        ]

    # -- the model ----------------------------------------------------------------------------------

    def _sound(self, clip: bytes) -> Any:
        """Give the encoder's states; None for what is too short to have any."""
        np = self._np
        samples = np.frombuffer(clip, dtype="<i2").astype(np.float32) / _SCALE
        if len(samples) < 3200:
            return None
        inputs = {"input_values": samples[None], "attention_mask": np.ones((1, len(samples)), np.int64)}
        return self._encoder.run(None, inputs)[0]

    def _step(self, sound: Any, pieces: Any, past: dict[str, Any] | None) -> tuple[Any, dict[str, Any]]:
        """Give the log probabilities of what follows each place, and the memory for the next step (None: the first)."""
        np = self._np
        rows = len(pieces)
        begun = past is not None
        if past is None:
            past = {
                name: np.zeros((rows, shape[1], sound.shape[1] if ".encoder." in name else 0, shape[3]), np.float32)
                for name, shape in self._empty.items()
            }
        logits, *memory = self._decoder.run(
            None,
            {
                "input_ids": pieces,
                "encoder_hidden_states": np.repeat(sound, rows, 0),
                "encoder_attention_mask": np.ones((rows, 1), np.int64),
                "use_cache_branch": np.array([begun]),
                **past,
            },
        )
        new = dict(zip(self._outputs, memory, strict=True))
        if begun:  # what it has of the sound does not change, and is not given out again
            new |= {name: value for name, value in past.items() if ".encoder." in name}
        top = logits.max(-1, keepdims=True)
        return logits - top - np.log(np.exp(logits - top).sum(-1, keepdims=True)), new

    def _free(self, sound: Any, longest: int) -> Scored:
        np = self._np
        said: list[int] = [START]
        past: dict[str, Any] | None = None
        total = 0.0
        while len(said) <= longest:
            chances, past = self._step(sound, np.array([said[-1:]]), past)
            best = int(chances[0, -1].argmax())
            total += float(chances[0, -1, best])
            if best == END:
                break
            said.append(best)
        return Scored(self.vocabulary.text(said[1:]), total)

    def _ending(self, chances: Any) -> float:
        """Give how likely it is that the sentence ends: with a mark, or without one."""
        return float(self._np.logaddexp.reduce(chances[self._stops]))

    def _held(self, sound: Any, network: PieceNetwork) -> tuple[Scored, ...]:
        """Follow the likeliest paths of the network, the best few at a time."""
        np = self._np
        paths = [_Path(0.0, 0, (), 0, START)]
        past: dict[str, Any] | None = None
        found: dict[tuple[str, ...], float] = {}
        for _ in range(_LONGEST):
            chances, past = self._step(sound, np.array([[p.piece] for p in paths]), past)
            for i, p in enumerate(paths):
                if p.state in network.ends and p.words:
                    score = p.score + self._ending(chances[i, -1])
                    found[p.words] = max(score, found.get(p.words, score))
            paths = self._further(paths, chances[:, -1], network, sorted(found.values(), reverse=True))
            if not paths:
                break
            rows = [p.row for p in paths]
            past = {name: value[rows] for name, value in past.items()}
        ranked = sorted(found.items(), key=lambda f: -f[1])[:_KEPT]
        return tuple(Scored(" ".join(words), score - network.worth(words)) for words, score in ranked)

    def _further(self, paths: list[_Path], chances: Any, network: PieceNetwork, found: list[float]) -> list[_Path]:
        """Give the best paths a piece longer; none that is behind so many whole sentences as are kept."""
        least = found[_KEPT - 1] if len(found) >= _KEPT else -float("inf")
        likely = [chances[i][network.pieces[p.state]] for i, p in enumerate(paths)]
        best = max((p.score + float(c.max()) for p, c in zip(paths, likely, strict=True) if len(c)), default=least)
        least = max(least, best - _BEHIND)
        most = network.most
        ways: list[_Path] = []
        for i, (p, c) in enumerate(zip(paths, likely, strict=True)):
            for at in (p.score + c + most >= least).nonzero()[0]:
                piece = network.pieces[p.state][at]
                score = p.score + float(c[at])
                for state, word in network.arcs[p.state][piece]:
                    words = (*p.words, word) if word else p.words
                    ways.append(_Path(score + (network.worth((word,)) if word else 0.0), state, words, i, piece))
            if p.words and p.state < network.words and p.piece != self._comma:
                ways.append(_Path(p.score + float(chances[i, self._comma]), p.state, p.words, i, self._comma))
        ways.sort(key=lambda p: -p.score)
        kept: dict[tuple[int, tuple[str, ...]], _Path] = {}
        for p in ways:
            if p.score < least or len(kept) == _WIDTH:
                break
            kept.setdefault((p.state, p.words), p)
        return list(kept.values())


class _Path(NamedTuple):
    """A way through the network: its score, where it is, its words, the row that it goes on from, its last piece."""

    score: float
    state: int
    words: tuple[str, ...]
    row: int
    piece: int
