"""The warnings of ``models/cautions.toml``: what to say, when, and on whose word."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import NamedTuple

from assistant.data import read_toml, root


class Caution(NamedTuple):
    """One warning. It belongs to a phrase whose act is in ``acts`` and whose material fits."""

    topic: str
    text: str
    acts: tuple[str, ...]  # kinds of event: coat, sand, mix, ...
    kinds: tuple[str, ...]  # kinds of material it is for, whatever their hazards
    hazards: tuple[str, ...]  # hazards of a material that call for it
    always: tuple[str, ...]  # with these acts it is said whatever the material
    source: str


@cache
def all_cautions() -> tuple[Caution, ...]:
    """Give every caution, the gravest first, as the file has them."""
    return tuple(
        Caution(
            topic,
            row["text"],
            tuple(row["acts"]),
            tuple(row.get("kinds", ())),
            tuple(row.get("hazards", ())),
            tuple(row.get("always", ())),
            row["source"],
        )
        for topic, row in read_toml(root() / "models" / "cautions.toml").items()
    )


@cache
def topics() -> frozenset[str]:
    """Give the topics there are; a card's and a label's ``hazards`` are among them."""
    return frozenset(c.topic for c in all_cautions())


def cautions_for(act: str, *, kind: str = "", hazards: Iterable[str] = ()) -> tuple[Caution, ...]:
    """Give the cautions that belong to an act (an event's kind) on a material, gravest first."""
    has = set(hazards)
    return tuple(
        c
        for c in all_cautions()
        if act in c.acts and (act in c.always or kind in c.kinds or bool(has & set(c.hazards)))
    )
