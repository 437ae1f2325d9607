"""The clause grammar, ``grammars/clauses.toml``: what each kind of clause takes and where it stands."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from typing import Any

from assistant import data

ANYTHING = "any"


@dataclass(frozen=True, slots=True)
class Frame:
    """One kind of clause; see the head of ``grammars/clauses.toml`` for the fields."""

    name: str
    meaning: str
    senses: frozenset[str]
    light: frozenset[str]
    needs: tuple[frozenset[str], ...]
    roles: dict[tuple[str, str], str]  # what stands before it, and what it is -> slot
    act: str = ""
    change: str = ""
    rule: str = ""
    flags: frozenset[str] = frozenset()
    known: dict[tuple[str, tuple[str, ...]], str | None] = field(default_factory=dict, compare=False)

    def slot(self, by: str, kinds: tuple[str, ...]) -> str | None:
        """Give the slot that something of ``kinds`` (the most particular first) fills after ``by``, or None."""
        key = (by, kinds)
        if key not in self.known:
            found = next((s for k in kinds if (s := self.roles.get((by, k)))), None)
            self.known[key] = found or self.roles.get((by, ANYTHING))
        return self.known[key]


def _roles(lines: list[str]) -> dict[tuple[str, str], str]:
    out: dict[tuple[str, str], str] = {}
    for line in lines:
        slot, _, rest = line.partition("=")
        kinds, _, by = rest.partition(":")
        for b in by.split():
            for k in kinds.split():
                out.setdefault((b, k), slot.strip())
    return out


_FLAGS = ("put_off", "dropped", "wanted", "mended")


def _frame(name: str, table: dict[str, Any], common: dict[tuple[str, str], str]) -> Frame:
    return Frame(
        name=name,
        meaning=table["meaning"],
        senses=frozenset(table.get("senses", ())),
        light=frozenset(table.get("light", ())),
        needs=tuple(frozenset(n) for n in table.get("needs", ())),
        roles={**common, **_roles(table.get("roles", []))},
        act=table.get("act", ""),
        change=table.get("change", ""),
        rule=table.get("rule", ""),
        flags=frozenset(f for f in _FLAGS if table.get(f)),
    )


@cache
def frames() -> dict[str, Frame]:
    """Give the frames by name, in the order of the file."""
    table = data.read_toml(data.root() / "grammars" / "clauses.toml")
    common = _roles(table["common"]["roles"])
    return {name: _frame(name, f, common) for name, f in table["frame"].items()}


@cache
def by_sense() -> dict[str, tuple[Frame, ...]]:
    """Give, for each verb sense, the frames that it is the predicate of."""
    out: dict[str, list[Frame]] = {}
    for frame in frames().values():
        for sense in frame.senses:
            out.setdefault(sense, []).append(frame)
    return {s: tuple(f) for s, f in out.items()}


@cache
def by_light() -> dict[str, tuple[Frame, ...]]:
    """Give the frames that a light predicate, or none at all, can have."""
    out: dict[str, list[Frame]] = {}
    for frame in frames().values():
        for light in frame.light:
            out.setdefault(light, []).append(frame)
    return {s: tuple(f) for s, f in out.items()}
