"""The knowledge cards of ``models/topics/``: what the trade knows of a topic, each statement with its basis.

A card says by which plain forms of words (lemmas) a question is known to be about it. Terms are single words, never
phrases: nouns in ``things``, verbs and adjectives in ``acts``, and in ``alone`` the words that mean nothing else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import Any, Final

from assistant.data import read_toml, root
from assistant.problem import Problem


class Part(StrEnum):
    """What a statement tells of a fault; ``SAY`` for what has no such parts."""

    SAY = "say"
    LOOK = "look"
    CAUSE = "cause"
    CURE = "cure"
    NEVER = "never"  # so that it does not come again


#: What every basis is, or begins with; after "published: " comes the source.
BASES: Final = ("published: ", "common practice, no source", "memory")


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing known. ``on`` are the families, kinds or generic types it is for; empty: for any."""

    text: str
    basis: str
    part: Part = Part.SAY
    on: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Topic:
    """One card. ``kinds`` limits it to materials that are one of them, where a material was named."""

    name: str
    title: str
    alone: frozenset[str]  # a word that is enough by itself
    things: frozenset[str]
    acts: frozenset[str]  # a thing and an act together are enough
    also: frozenset[str]  # words that make it likelier
    bars: frozenset[str]  # words that make it another question
    kinds: frozenset[str]
    says: tuple[Statement, ...]

    @property
    def terms(self) -> frozenset[str]:
        """Give every word that speaks for it."""
        return self.alone | self.things | self.acts | self.also


@cache
def all_topics() -> tuple[Topic, ...]:
    """Give every card by name. ``Problem`` for a card without statements, or a statement without a basis."""
    found: dict[str, Topic] = {}
    for path in sorted((root() / "models" / "topics").glob("*.toml")):
        for name, row in read_toml(path).items():
            if name in found:
                raise Problem(f"models/topics/{path.name}: {name} is a card of another file, too")
            found[name] = _topic(name, row, path.name)
    return tuple(found[name] for name in sorted(found))


@cache
def vocabulary() -> frozenset[str]:
    """Give every word that any card knows."""
    return frozenset().union(*(t.terms | t.bars for t in all_topics()))


def _topic(name: str, row: Mapping[str, Any], where: str) -> Topic:
    says = tuple(_statement(name, s, where) for s in row["says"])
    if not any(not s.on for s in says):
        raise Problem(f"models/topics/{where}: {name} says nothing that holds for any material")
    words = {key: frozenset(row.get(key, ())) for key in ("alone", "things", "acts", "also", "bars", "kinds")}
    return Topic(name, row["title"], says=says, **words)


def _statement(name: str, row: Mapping[str, Any], where: str) -> Statement:
    basis = row["basis"]
    if not basis.startswith(BASES):
        raise Problem(f'models/topics/{where}: {name} has the basis "{basis}": begin it with one of {", ".join(BASES)}')
    return Statement(row["text"], basis, Part(row.get("part", "say")), frozenset(row.get("on", ())))
