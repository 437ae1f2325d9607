"""Two ears for one utterance: pocketsphinx follows it as it comes, the transformer hears it once more at its end.

They fail differently. Pocketsphinx knows how a word should sound and nothing of people; the transformer knows
people and writes what is likely English. What both find likely is what was said: measured, the sum of their two
opinions is right far more often than either, in noise above all (``tests/bench/voice_accuracy.py``).

The transformer takes a quarter of a second: it begins while the loop still waits whether more is said.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import replace
from typing import Final

from assistant.voice.moonshine import LATEST, Heard, Moonshine
from assistant.voice.pieces import PieceNetwork, any_order
from assistant.voice.recogniser import FREE, SECOND, Alternative, Opinion, Recognition
from assistant.voice.sphinx import Sphinx

#: A sentence that one of them did not think of is taken to be so much less likely than the last that it did (nats).
_UNTHOUGHT: Final = 10.0
#: Free writing that is so much likelier (nats) than the best sentence was no sentence.
_NO_SENTENCE: Final = 8.0
_WORD: Final = re.compile(r"[a-z0-9']+")
_VOWEL: Final = re.compile(r"[aeiouy]")
#: What a word is worth to the search through words in any order (nats).
_LOOSE: Final = 1.5
#: With a third opinion each weighs so much: the two of the transformer are not independent.
_SHARE: Final = 0.5
#: A note's cue of so many words or fewer must have been written by the transformer too.
_SHORT_CUE: Final = 2
#: So many sentences are kept.
_KEPT: Final = 10


class Paired:
    """The two as one recogniser.

    ``cues`` are the words after which anything may be said, ``words`` all that may be said beside the grammar, in
    any order, and ``names`` those of them that are likelier here than in other talk.
    """

    name = "pocketsphinx and moonshine"

    def __init__(
        self, first: Sphinx, second: Moonshine, *, wake: str = "", cues: Sequence[str] = (),
        words: Iterable[str] = (), names: Iterable[str] = (),
    ) -> None:  # fmt: skip
        self._first = first
        self._second = second
        self._network = PieceNetwork(first.network, second.vocabulary)
        spelled = {w for w in words if _VOWEL.search(w) and (len(w) > 1 or w in ("a", "i"))}
        self._loose = PieceNetwork(any_order(spelled | first.network.words), second.vocabulary, _LOOSE, names)
        self._wake = wake.split()
        self._cues = sorted((c.split() for c in cues), key=len, reverse=True)
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="moonshine")
        self._sound = bytearray()
        self._job: Future[Heard] | None = None
        self._last: tuple[Recognition, Heard] | None = None  # what each made of the last utterance

    def start(self, room: bytes = b"") -> None:
        """Begin an utterance."""
        self._first.start(room)
        self._sound = bytearray()
        self._job = None

    def feed(self, chunk: bytes) -> None:
        """Take more sound."""
        self._first.feed(chunk)
        self._sound += chunk

    def partial(self) -> str:
        """Give the best text so far."""
        return self._first.partial()

    def whole(self, text: str) -> bool:
        """Whether ``text`` is a sentence that nothing can follow."""
        return self._first.whole(text)

    def ahead(self) -> None:
        """Let the transformer begin with what was heard so far."""
        if self._job is not None:
            self._job.cancel()
        self._job = self._worker.submit(self._second.hear, bytes(self._sound), self._network, self._loose)

    def finish(self) -> Recognition:
        """End the utterance."""
        if self._job is None:
            self.ahead()
        found = self._first.finish()
        assert self._job is not None
        self._last = (found, self._job.result())
        return self._worker.submit(self._once, *self._last).result()

    def free(self, clip: bytes) -> str:
        """Give what was said, held to nothing."""
        return self._worker.submit(self._second.free, clip).result()

    def again(self, clip: bytes) -> Recognition | None:
        """Let the transformer hear the last utterance once more, as it came: the suppressor takes some words with it.

        Measured beside a sander, the sum with this is right more often, and what is wrong is oftener found out.
        """
        if self._last is None:
            return None
        return self._worker.submit(self._twice, *self._last, clip).result()

    def close(self) -> None:
        """Let go of the models."""
        self._worker.shutdown(wait=True, cancel_futures=True)
        self._first.close()

    def _once(self, first: Recognition, second: Heard) -> Recognition:
        """Give both ears' sentences by the sum of what each thinks of them, or a note."""
        theirs = self._thought(second, self._texts(first, second))
        note = self._note(first, second, max(theirs.values(), default=-math.inf))
        return note or self._together(first, [second], [theirs], 1.0)

    def _twice(self, first: Recognition, second: Heard, clip: bytes) -> Recognition:
        heard = [second, self._second.hear(clip, self._network)]
        texts = self._texts(first, *heard)
        return self._together(first, heard, [self._thought(h, texts) for h in heard], _SHARE)

    @staticmethod
    def _texts(first: Recognition, *heard: Heard) -> list[str]:
        """Give the sentences that any of them thought of."""
        own = [a.text for a in first.alternatives if FREE not in a.text]
        return list(dict.fromkeys([*own, *(s.text for h in heard for s in h.sentences)]))

    def _thought(self, heard: Heard, texts: Sequence[str]) -> dict[str, float]:
        """Give what the transformer thinks of sentences, given one sound."""
        found = {s.text: s.score for s in heard.sentences}
        more = self._second.scored(heard, [text for text in texts if text not in found])
        return found | {s.text: s.score for s in more}

    def _together(
        self, first: Recognition, heard: Sequence[Heard], thought: Sequence[dict[str, float]], share: float
    ) -> Recognition:
        """Give the sentences by the sum of all opinions, each weighed by ``share``."""
        own = {a.text: math.log(max(a.confidence, 1e-9)) for a in first.alternatives if FREE not in a.text}
        opinions = [own, *thought]
        least = [min(o.values(), default=0.0) - _UNTHOUGHT for o in opinions]

        def total(text: str) -> float:
            likely = sum(o.get(text, worst) for o, worst in zip(opinions, least, strict=True))
            return share * likely + self._network.worth(text.split())

        scores = {text: total(text) for text in self._texts(first, *heard)}
        ranked = sorted(scores, key=lambda t: -scores[t])[:_KEPT]
        weights = [math.exp(scores[t] - scores[ranked[0]]) for t in ranked]
        found = tuple(Alternative(t, w / sum(weights)) for t, w in zip(ranked, weights, strict=True))
        best = [o.get(ranked[0], worst) if ranked else -math.inf for o, worst in zip(opinions, least, strict=True)]
        alone = [self._chosen(o) for o in thought]
        return replace(first, alternatives=found, second=self._opinion(first, heard, alone, best[1:]))

    def _chosen(self, thought: dict[str, float]) -> str:
        return max(thought, key=lambda t: thought[t] + self._network.worth(t.split()), default="")

    @staticmethod
    def _opinion(first: Recognition, heard: Sequence[Heard], alone: Sequence[str], best: Sequence[float]) -> Opinion:
        gap = min(h.free.score - b for h, b in zip(heard, best, strict=True))
        writing = min((h.free for h in heard), key=lambda free: len(_words(free.text)))
        words = max(1, len(_words(writing.text)))
        single = first.alternatives[0].text if first.alternatives else ""
        others = [(s.text, h.free.score - s.score) for h in heard for s in h.loose]
        return Opinion(gap, single, tuple(alone), writing.score / words, ((writing.text, 0.0), *others))

    def _note(self, first: Recognition, second: Heard, best: float) -> Recognition | None:
        """Give a note, if the transformer wrote one and no sentence comes near; its own words are the note's.

        A cue that it wrote is at no distance; one that only the grammar's ear heard must be long.
        """
        heard = first.alternatives[0].text if first.alternatives else ""
        called = bool(self._wake) and heard.startswith(" ".join(self._wake))
        told = heard.endswith(FREE)
        far = second.free.score - best >= _NO_SENTENCE
        if not (told or far):
            return None
        short = len(self._sound) <= LATEST * SECOND  # of a longer one it heard the beginning only
        words = _words(second.free.text)
        said = [w[0] for w in words]
        for at in range(len(self._wake) + 2 if called else 1):
            for cue in self._cues:
                if said[at : at + len(cue)] == cue and len(said) > at + len(cue):
                    text = " ".join([*(self._wake if called else ()), *cue, FREE])
                    tail = second.free.text[words[at + len(cue)].start() :] if short else None
                    return replace(first, alternatives=(Alternative(text, 1.0),), cue=0.0, tail=tail)
        cue = heard.removesuffix(FREE).split()
        # to the grammar's ear much talk begins like a short one: "not a chance that ..." as "note that ..."
        long = len(cue) - (len(self._wake) if called else 0) > _SHORT_CUE
        if not (told and long and far):
            return None
        rest = second.free.text.split()[len(cue) :]
        return replace(first, tail=" ".join(rest) if short and rest else None)


def _words(text: str) -> list[re.Match[str]]:
    return list(_WORD.finditer(text.lower()))
