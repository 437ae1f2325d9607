"""The frames: what can be said, from ``grammars/frames.toml``.

One source serves the reader, the recogniser's grammar, the help page and the generator that the property
tests draw from.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from assistant import data


@dataclass(frozen=True, slots=True)
class Frame:
    """One kind of meaning; see the head of ``grammars/frames.toml`` for the fields."""

    name: str
    mood: str
    needs: tuple[tuple[str, ...], ...]
    exact: frozenset[str]
    families: tuple[str, ...]
    rank: int
    free: bool
    future: bool
    shapes: tuple[str, ...]
    apart: tuple[str, ...] = ()  # tags that a conjunction between two of them makes two statements of
    unless: frozenset[str] = frozenset()  # words that contradict it
    single: tuple[str, ...] = ()  # tags that one clause can have but once
    wanted: frozenset[str] = frozenset()  # tags that some set of needs names
    sets: tuple[frozenset[str], ...] = ()  # the needs, as sets

    def accepts(self, tag: str) -> bool:
        """Whether a span of ``tag`` can be part of this frame."""
        return tag in self.exact or tag.partition(".")[0] in self.families

    def met(self, have: frozenset[str]) -> tuple[str, ...] | None:
        """Give the first set of needs that is met by ``have``, tags :func:`with_families`; or None."""
        for need, wants in zip(self.needs, self.sets, strict=True):
            if wants <= have:
                return need
        return None


def with_families(tags: frozenset[str]) -> frozenset[str]:
    """Give ``tags`` and, for each, what a need writes for its whole family ("act.*")."""
    return tags | {t.partition(".")[0] + ".*" for t in tags}


def _expand(tags: list[str], groups: dict[str, list[str]]) -> list[str]:
    out: list[str] = []
    for tag in tags:
        out.extend(_expand(groups[tag[1:]], groups) if tag.startswith("@") else [tag])
    return out


def _frame(table: dict[str, Any], groups: dict[str, list[str]]) -> Frame:
    takes = _expand(table.get("takes", []), groups)
    every = {*takes, *(n for need in table["needs"] for n in need)}
    return Frame(
        name=table["name"],
        mood=table["mood"],
        needs=tuple(tuple(n) for n in table["needs"]),
        exact=frozenset(t for t in every if not t.endswith(".*")),
        families=tuple(t[:-2] for t in every if t.endswith(".*")),
        rank=table.get("rank", 0),
        free=table.get("free", False),
        future=table.get("future", False),
        shapes=tuple(table.get("shapes", ())),
        apart=tuple(table.get("apart", ())),
        unless=frozenset(table.get("unless", ())),
        single=tuple(table.get("single", ())),
        wanted=frozenset(n for need in table["needs"] for n in need),
        sets=tuple(frozenset(n) for n in table["needs"]),
    )


@cache
def frames() -> tuple[Frame, ...]:
    """Give all frames, in the order of the file."""
    table = data.read_toml(data.root() / "grammars" / "frames.toml")
    return tuple(_frame(f, table["takes"]) for f in table["frame"])


@cache
def by_name() -> dict[str, Frame]:
    """Give the frames by name."""
    return {f.name: f for f in frames()}
