"""The faults of ``models/faults.toml``: why a film goes wrong and what is done about it."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from assistant.data import read_toml, root
from assistant.library.cards import STAGES
from assistant.library.measures import measure


class FaultCard(NamedTuple):
    """One fault. ``waits`` is the stage its cure waits for; ``minutes`` are hands on."""

    name: str
    wet: str
    causes: tuple[tuple[str, str], ...]  # (text, basis), the likeliest first
    signs: tuple[str, ...]  # words that make a warning against the coat a sign of this fault
    cure: tuple[str, ...]
    waits: str
    redo: bool  # a coat has to be laid again
    minutes: float
    task: str  # with ``{piece}`` in it
    basis: str


@cache
def all_faults() -> dict[str, FaultCard]:
    """Give every fault by its name in the journal."""
    out = {}
    for name, row in read_toml(root() / "models" / "faults.toml").items():
        if row["waits"] not in STAGES:
            raise ValueError(f"faults.toml: {name} waits for {row['waits']!r}, which is no stage")
        out[name] = FaultCard(
            name,
            row["wet"],
            tuple((c["text"], c["basis"]) for c in row["causes"]),
            tuple(row["signs"]),
            tuple(row["cure"]),
            row["waits"],
            bool(row["redo"]),
            measure(row["work"], "time").value,
            row["task"],
            row["basis"],
        )
    return out
