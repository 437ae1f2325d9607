"""The pieces of words that a transformer writes in, and a grammar as a network of them.

A vocabulary file is SentencePiece's list flattened: each piece one or two length bytes (the first has its high bit
set if there are two) and its bytes in UTF-8, a word's first piece begun by U+2581. Of two pieces that could be joined
the one that is earlier in the list is joined first (byte-pair encoding, Sennrich et al., ACL 2016).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Final

from assistant.problem import Problem
from assistant.voice.network import Network

START, END = 1, 2
_BYTES: Final = 259  # the pieces before this are the controls and the single bytes, for what has no piece
_SPACE: Final = "\u2581"
_FAVOUR: Final = 2.5


def any_order(words: Iterable[str]) -> Network:
    """Give the network of any words of ``words`` in any order."""
    step = dict.fromkeys(sorted(words), 1)
    return Network((step, dict(step)), frozenset({1}))


class Vocabulary:
    """Piece to number and back."""

    def __init__(self, path: Path) -> None:
        data, at = path.read_bytes(), 0
        self._pieces: list[bytes] = []
        while at < len(data):
            size, at = data[at], at + 1
            if size >= 0x80:
                size, at = size - 0x80 + 0x80 * data[at], at + 1
            self._pieces.append(data[at : at + size])
            at += size
        if len(self._pieces) <= _BYTES:
            raise Problem(f"{path} is no vocabulary: reinstall the package that it came with")
        self._rank = {piece: i for i, piece in enumerate(self._pieces) if i >= _BYTES}

    def __len__(self) -> int:
        return len(self._pieces)

    def number(self, piece: str) -> int:
        """Give the number of one piece."""
        return self._rank[piece.encode()]

    @lru_cache(maxsize=4096)  # noqa: B019 - one vocabulary lives as long as its recogniser
    def spelled(self, word: str) -> tuple[int, ...]:
        """Give the pieces of a word that stands after a space; () if a letter of it has none."""
        parts = [letter.encode() for letter in _SPACE + word]
        while len(parts) > 1:
            joined = [self._rank.get(a + b, len(self)) for a, b in pairwise(parts)]
            best = min(joined)
            if best == len(self):
                break
            i = joined.index(best)
            parts[i : i + 2] = [parts[i] + parts[i + 1]]
        found = [self._rank.get(part) for part in parts]
        return tuple(n for n in found if n is not None) if None not in found else ()

    def text(self, numbers: list[int]) -> str:
        """Give the text of pieces."""
        raw = b"".join(self._pieces[n] for n in numbers)
        return raw.decode("utf-8", "replace").replace(_SPACE, " ").strip()


class PieceNetwork:
    """A network of words spelled out: ``arcs[state]`` is piece to where it leads, with the word that it ends.

    The states below ``words`` are the word network's own. A sentence's first word is written with a capital, as the
    transformer writes it. ``pieces[state]`` lists the state's pieces, in the order of ``arcs[state]``. To a search
    each word is worth ``worth`` nats, a ``favoured`` one more: to such a model short sentences look too likely.
    """

    def __init__(
        self, network: Network, vocabulary: Vocabulary, worth: float = 3.0, favoured: Iterable[str] = ()
    ) -> None:
        self.ends = network.ends
        self._worth, self._favoured = worth, frozenset(favoured)
        self.most = worth + (_FAVOUR if self._favoured else 0.0)
        self.words = len(network.steps)
        self.arcs: list[dict[int, list[tuple[int, str]]]] = [{} for _ in network.steps]
        for state, step in enumerate(network.steps):
            for word, to in step.items():
                self._spell(state, word, to, vocabulary.spelled(word.capitalize() if state == 0 else word))
        self.pieces = [list(arc) for arc in self.arcs]

    def worth(self, words: Iterable[str]) -> float:
        """Give what ``words`` are worth to a search beyond what the model thinks of them (nats)."""
        return sum(self._worth + (_FAVOUR if w in self._favoured else 0.0) for w in words)

    def _spell(self, state: int, word: str, to: int, pieces: tuple[int, ...]) -> None:
        for piece in pieces[:-1]:  # words that begin alike share their beginning
            ways = self.arcs[state].setdefault(piece, [])
            inside = next((s for s, ended in ways if not ended), None)
            if inside is None:
                inside = len(self.arcs)
                self.arcs.append({})
                ways.append((inside, ""))
            state = inside
        if pieces:
            self.arcs[state].setdefault(pieces[-1], []).append((to, word))
