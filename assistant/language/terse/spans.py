"""When a piece of work began and ended, said beside it: "..., started about nine, finished at half past".

The two stand together and are of the work that the rest of the phrase tells, so they are taken out of it first.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.terse.presence import likely
from assistant.language.tokens import Token
from assistant.language.when import When

_BEGUN: Final = frozenset(["started", "began", "begun", "start", "begin"])
_ENDED: Final = frozenset(["finished", "done", "ended", "finish", "wrapped", "stopped", "through", "end"])
_BETWEEN: Final = frozenset([
    "and", ",", "only", "just", "was", "got", "it", "i", "we", "at", "by", "about", "around", "up", "then", "on", "all",
    "round", "with", "them", "that", "had", "been", "have", "off", "over", "to", "till", "until",
])  # fmt: skip


@dataclass(frozen=True, slots=True)
class Span:
    """The words of a phrase without those of its span, and the two ends of it."""

    rest: list[Token]
    began: When
    ended: When | None


def span(phrase: Phrase) -> Span | None:
    """Find the span of work that a phrase tells of; None where it says none, or says nothing else."""
    for i in range(len(phrase)):
        if phrase.at(i) not in _BEGUN:
            continue
        began, k = _time(phrase, i + 1)
        if began is None:
            continue
        end = _skip(phrase, k)
        if phrase.at(end) not in _ENDED:
            continue
        ended, j = _time(phrase, end + 1)
        start = i
        while start and phrase.at(start - 1) in ("and", ",", "i", "we", "it"):
            start -= 1
        rest = [*phrase.tokens[:start], *phrase.tokens[j:]]
        if any(t.kind == "word" for t in rest):
            return Span(
                rest, began, ended or (When(ago=timedelta()) if "now" in phrase.words or j == end + 1 else None)
            )
    return None


def _skip(phrase: Phrase, k: int) -> int:
    while phrase.at(k) in _BETWEEN:
        k += 1
    return k


def _time(phrase: Phrase, k: int) -> tuple[When | None, int]:
    """Give the time that follows word ``k`` after a preposition or none, and where it ends; else None and ``k``."""
    for at in range(k, min(k + 3, len(phrase))):
        found = [c for c in phrase.of(at, Cat.TIME) if c.value.tag == "when" and c.doubt < 1.1]
        # a bare number is a clock time here
        if found:
            best = min(found, key=likely)
            return best.value.value, best.j
        if phrase.at(at) not in _BETWEEN:
            break
    return None, k
