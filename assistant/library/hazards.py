"""The dangers of ``models/hazards.toml``: what tells of them, what to do first, and on whose word.

An accident is found by a *way in* (eye, skin, swallowed ...) and answered by the cell of that way and the substance;
a *danger* (a smoking cup, a flame, sleeping aboard) has its answer with it. What tells of either are conditions over
the plain forms of the words that were said, never whole phrases.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any

from assistant.data import read_toml, root
from assistant.problem import Problem


class Way(StrEnum):
    """How a substance gets at a person, the gravest first."""

    COLLAPSE = "collapse"
    EYE = "eye"
    SWALLOWED = "swallowed"
    BREATHED = "breathed"
    CUT = "cut"
    SKIN = "skin"


class Grade(StrEnum):
    """How soon a danger is spoken of."""

    ACCIDENT = "accident"  # somebody is hurt or something burns: before anything else, whatever was said
    RISK = "risk"  # asked about or meant: the answer to a question, a caution beside anything else


class Step(StrEnum):
    """What is to be done first."""

    RINSE = "rinse"  # water, plenty, at once
    WIPE = "wipe"  # off dry, then soap and water
    WASH = "wash"  # soap and water
    MOUTH = "mouth"  # rinse the mouth, no vomiting
    AIR = "air"  # out into fresh air
    OUT = "out"  # everybody off the boat
    CALL = "call"  # an ambulance
    MOVE = "move"  # the thing, to where it can burn
    PRESS = "press"  # stop the bleeding
    REFRAIN = "refrain"  # do not do what was meant


@dataclass(frozen=True, slots=True)
class Condition:
    """Holds when each of ``groups`` has a word that was said, and none of ``bars`` was said."""

    groups: tuple[frozenset[str], ...]
    bars: frozenset[str] = frozenset()

    def holds(self, words: frozenset[str]) -> bool:
        """Whether it holds of the plain forms of what was said."""
        return not self.bars & words and all(group & words for group in self.groups)


@dataclass(frozen=True, slots=True)
class Substance:
    """A sort of substance: the words for it, and what of a material's card makes the material one."""

    name: str
    words: frozenset[str]
    sure: bool  # its word outweighs the material that was named: "the hardener of the tread epoxy"
    materials: frozenset[str]  # families, kinds, generic types, hazards


@dataclass(frozen=True, slots=True)
class Remedy:
    """What is said aloud, what comes first in it, and whose word it is."""

    text: str
    first: Step
    source: str


@dataclass(frozen=True, slots=True)
class Danger:
    """A danger that has no way in of its own: fire, a cup that heats, flames, sleeping aboard."""

    name: str
    grade: Grade
    when: tuple[Condition, ...]
    remedy: Remedy


@dataclass(frozen=True, slots=True)
class Hazards:
    """The whole table. ``cells`` has every substance in every way in."""

    substances: tuple[Substance, ...]  # those whose word is sure first
    ways: Mapping[Way, tuple[Condition, ...]]
    cells: Mapping[tuple[str, Way], Remedy]
    dangers: tuple[Danger, ...]  # the gravest first
    known: frozenset[str]  # every word that any condition or substance knows


#: The substance of a cell when nobody said what it was.
UNKNOWN = "unknown"
#: Stands among the words when a substance was named, in its own word or as a material of the job.
SUBSTANCE = "@substance"


@cache
def hazards() -> Hazards:
    """Give the table of hazards. ``Problem`` if the file has a hole, or a word class that is not there."""
    table = read_toml(root() / "models" / "hazards.toml")
    classes = {name: frozenset(words) for name, words in table["words"].items()}
    substances = tuple(
        Substance(name, frozenset(row["words"]), row.get("sure", False), frozenset(row["materials"]))
        for name, row in table["substances"].items()
    )
    substances = tuple(sorted(substances, key=lambda s: not s.sure))
    ways = {Way(name): _conditions(rows, classes) for name, rows in table["ways"].items()}
    dangers = tuple(
        Danger(name, Grade(row["grade"]), _conditions(row["when"], classes), _remedy(row))
        for name, row in table["dangers"].items()
    )
    cells = _cells(table["cells"], [s.name for s in substances])
    every = [c for rows in (*ways.values(), *(d.when for d in dangers)) for c in rows]
    known = frozenset().union(
        *(s.words for s in substances), *(g for c in every for g in c.groups), *(c.bars for c in every)
    )
    return Hazards(substances, ways, cells, dangers, known - {SUBSTANCE})


def _remedy(row: Mapping[str, Any]) -> Remedy:
    return Remedy(row["text"], Step(row["first"]), row["source"])


def _cells(rows: Iterable[Mapping[str, Any]], substances: list[str]) -> dict[tuple[str, Way], Remedy]:
    out: dict[tuple[str, Way], Remedy] = {}
    for row in rows:
        for name in row["substances"]:
            place = (name, Way(row["way"]))
            if place in out or name not in (*substances, UNKNOWN):
                raise Problem(f"models/hazards.toml: {name} {row['way']} is there twice, or is no substance")
            out[place] = _remedy(row)
    holes = [f"{s} {w}" for s in (*substances, UNKNOWN) for w in Way if (s, w) not in out]
    if holes:
        raise Problem(f"models/hazards.toml has no answer for: {', '.join(holes)}")
    return out


def _conditions(rows: Iterable[Mapping[str, Any]], classes: Mapping[str, frozenset[str]]) -> tuple[Condition, ...]:
    return tuple(
        Condition(
            tuple(_group(group, classes) for group in row["all"]),
            frozenset().union(*(_group(group, classes) for group in row.get("bars", ()))),
        )
        for row in rows
    )


def _group(text: str, classes: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """Read "get|@contact": words, and the classes of words of the file, any of which will do."""
    out: set[str] = set()
    for word in text.split("|"):
        if word == SUBSTANCE or not word.startswith("@"):
            out.add(word)
        elif word[1:] in classes:
            out |= classes[word[1:]]
        else:
            raise Problem(f"models/hazards.toml: there are no words called {word}")
    return frozenset(out)
