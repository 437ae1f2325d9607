"""The table of what can be asked (``grammars/questions.toml``): which cues make which property, how well a row fits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from assistant import data
from assistant.language.asking.cues import Cues
from assistant.language.asking.lists import listed
from assistant.language.chunks import Cat, Phrase
from assistant.language.meanings import Act
from assistant.language.query import Property, Shape, Stage, Unknown

#: What a row gains by a cue it asks for, by one that goes with it, and loses by a word that nothing explains.
_SAID: Final = 1.0
_FORM: Final = 0.45  # by one that only says what kind of question or slot there is
_WORDS: Final = 0.25
_WITH: Final = 0.3
_MOST_WITH: Final = 5
_UNUSED: Final = 0.45


@dataclass(frozen=True, slots=True)
class Row:
    """One way of asking for a property."""

    what: Property
    say: tuple[frozenset[str], ...]
    with_: frozenset[str]
    bars: frozenset[str]
    rank: float
    stage: Stage | None
    shape: Shape | None
    act: Act | None
    unknown: Unknown | None
    number: int


@dataclass(frozen=True, slots=True)
class Fit:
    """A row with what it explains of a phrase, and its worth."""

    row: Row
    score: float
    used: frozenset[int]
    unused: tuple[int, ...]


_FORMS: Final = ("has.", "ask.", "mood.", "tense.")


def _expanded(names: list[str], sets: dict[str, list[str]], depth: int = 0) -> frozenset[str]:
    out: set[str] = set()
    for name in names:
        if name.startswith("@"):
            if name[1:] not in sets or depth > 5:
                raise ValueError(f"questions.toml: no set {name}")
            out |= _expanded(sets[name[1:]], sets, depth + 1)
        else:
            out.add(name)
    return frozenset(out)


@cache
def rows() -> tuple[Row, ...]:
    """Give every row. ``ValueError`` names a set that is not there."""
    path: Path = data.root() / "grammars" / "questions.toml"
    table: dict[str, Any] = data.read_toml(path)
    sets = table["sets"]
    return tuple(
        Row(
            Property(row["what"]), tuple(_expanded(names, sets) for names in row["say"]),
            _expanded(row.get("with", []), sets), _expanded(row.get("not", []), sets), float(row.get("rank", 0.0)),
            Stage(row["stage"]) if "stage" in row else None, Shape(row["shape"]) if "shape" in row else None,
            Act(row["act"]) if "act" in row else None, Unknown(row["unknown"]) if "unknown" in row else None, number,
        )
        for number, row in enumerate(table["ask"])
    )  # fmt: skip


def fits(phrase: Phrase, cues: Cues, used: frozenset[int]) -> list[Fit]:
    """Give the rows whose cues are all there, the best first; ``used`` are the words that slots hold."""
    matter = content(phrase)
    out = [fit for row in rows() if (fit := _fit(row, cues, used, matter)) is not None]
    return sorted(out, key=lambda f: (-f.score, f.row.number))


def _fit(row: Row, cues: Cues, used: frozenset[int], matter: frozenset[int]) -> Fit | None:
    spans = cues.spans
    if any(name in spans for name in row.bars):
        return None
    explained: set[int] = set()
    score = row.rank
    taken: set[frozenset[int]] = set()
    for names in row.say:
        found = [span for name in names for span in spans.get(name, ())]
        if not found:
            return None
        fresh = [s for s in found if s not in taken] or found
        best = max(fresh, key=lambda s: (len(s - explained), len(s)))
        taken.add(best)
        explained |= frozenset().union(*found)
        plain = any(best in spans.get(n, ()) for n in names if n == "has.component" or not n.startswith(_FORMS))
        score += _SAID + _WORDS * (min(len(best), 3) - 1) if plain else _FORM
    beside = 0
    for name in row.with_:
        more = [span for span in spans.get(name, ()) if not span <= explained]
        if more:
            beside += 1
            explained |= frozenset().union(*more)
    score += _WITH * min(beside, _MOST_WITH)
    unused = tuple(sorted(matter - explained - used))
    return Fit(row, score - _UNUSED * len(unused), frozenset(explained), unused)


_FREE: Final = frozenset(["interjection", "politeness", "discourse"])
_EMPTY: Final = listed("table_empty")
_HARMLESS: Final = listed("table_harmless")


@cache
def _plain(word: str) -> bool:
    return word in _EMPTY


def content(phrase: Phrase) -> frozenset[int]:
    """Give the words that must not be dropped: all but function words, hedges and courtesies."""
    out = set()
    free: set[int] = set()
    for i in range(len(phrase)):
        for c in phrase.of(i, Cat.FUNCTION):
            if c.value.sense in _FREE:
                free |= set(range(c.i, c.j))
    for i, word in enumerate(phrase.words):
        if phrase.kinds[i] == "mark" or i in free or _plain(word):
            continue
        senses = {c.value.sense for c in phrase.of(i, Cat.DESCRIBING)}
        if senses and senses <= _HARMLESS:
            continue
        english = [c.value for c in phrase.of(i, Cat.WORD)]
        if english and english[0] and not set(english[0]) & {"n", "v"}:
            continue
        out.add(i)
    return frozenset(out)
