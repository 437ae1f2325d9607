"""Which word was meant by one that is misspelt: the word list's and the job's names, by likeness.

Exact first. A word that neither the lexicon nor English knows is set beside the words that are known, and what it may
have been is kept with a doubt. A common English word is taken as it stands, unless a name of the job is a letter off.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.wordlist import english, wordlist


class Form(NamedTuple):
    """A word that a token may stand for. ``doubt`` 0 is the token itself."""

    word: str
    doubt: float


_VOWELS: Final = frozenset("aeiou")


@lru_cache(8192)
def forms(word: str, names: frozenset[str]) -> tuple[Form, ...]:
    """Give what ``word`` may stand for, itself first; ``names`` are the words of the job's names."""
    own = Form(word, 0.0)
    if word not in names and (side := wordlist().side(word)) in names:
        return (own, Form(str(side), 0.05))  # "stbd" for a name's "starboard"
    if word in wordlist().known or word in CLOCK_WORDS or word in names or not word.isalpha() or len(word) < 2:
        return (own,)
    if len(word) == 2:  # "dr" for a name's "door"
        short = _VOWELS.isdisjoint(word) and english(word) is None
        return (own, *_shortened(word, sorted(n for n in names if len(n) > 2))) if short else (own,)
    return (own, *_spelt(word, names))


def _spelt(word: str, names: frozenset[str]) -> list[Form]:
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    real = english(word) is not None
    allowed = 1 if len(word) <= 5 or real else 2 if len(word) <= 9 else 3
    if real and len(word) < 5:
        return []
    # a real word may be a slip for one of the job's names ("vanish"), never for a verb of the trade
    choices = _choices(names, trade=not real)
    found = process.extract(word, choices, scorer=OSA.distance, score_cutoff=allowed, limit=6)
    out = []
    for near, distance, _ in found:
        if near[0] != word[0] and (distance > 1 or len(word) < 6) and near[1:2] + near[:1] != word[:2]:
            continue  # people seldom miss the first letter
        if len(near) < 4 and (len(word) < 4 or distance > 1) and sorted(near) != sorted(word):
            continue
        share = distance / max(len(word), len(near))
        out.append(Form(near, round(0.2 + share + 0.8 * real, 3)))
    out.sort(key=lambda f: f.doubt)
    if not real and (not out or (out[0].word not in names and not _VOWELS & set(word))):
        out = _shortened(word, sorted(n for n in names if len(n) > 2)) or out or _shortened(word, choices)
    # the best, and others only where they are as near
    return [f for f in out if f.doubt <= out[0].doubt + 0.15][:3]


def _shortened(word: str, choices: Sequence[str]) -> list[Form]:
    """Find what "stbd", "sndd", "varn" stand for: a word without its vowels, or only its start."""
    if not _VOWELS & set(word) and len(word) > 2:
        fits = [c for c in choices if c[0] == word[0] and c[-1] == word[-1] and _within(word, c)]
        fits = [c for c in fits if sum(x not in _VOWELS for x in c) - len(word) <= 2]
    else:
        fits = [c for c in choices if c.startswith(word) and len(c) > len(word) + 1] if len(word) > 3 else []
    fits.sort(key=len)
    return [Form(c, 0.5 + 0.05 * k) for k, c in enumerate(fits[:3])]


def _within(word: str, whole: str) -> bool:
    rest = iter(whole)
    return all(c in rest for c in word)


@lru_cache(8)
def _choices(names: frozenset[str], *, trade: bool) -> list[str]:
    known = wordlist().known | CLOCK_WORDS if trade else frozenset()
    return sorted(w for w in known | names if len(w) > 2 and w.isalpha())
