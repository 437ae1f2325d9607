"""What is to be done, from the job file and from the talk, before it is cut into steps."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, Final

from assistant.craft.plan.sequences import Sequence, find, of_kind
from assistant.craft.shelf import Cards, card_for
from assistant.craft.wanted import bends, said_coats, said_skips, said_swaps
from assistant.journal.events import Task
from assistant.journal.state import State
from assistant.library.measures import hours

#: Materials from the wood up: on one piece, work without other word goes in this order.
RANK: Final = {
    "filler": 1, "putty": 1, "adhesive": 1, "epoxy": 1, "resin": 1, "stain": 2, "sealer": 3, "primer": 4,
    "undercoat": 5, "topcoat": 6, "varnish": 6, "oil": 6, "antifouling": 6,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Night:
    """One coat in the night: the clock hour it may start at, and the piece (None: whichever gains most)."""

    hour: int = 2
    piece: str | None = None


@dataclass(frozen=True, slots=True)
class Options:
    """What is asked of a plan beyond the journal; the what-ifs are made of these.

    ``more`` adds coats to a piece (or takes them off); ``dropped`` names pieces or tasks; ``swaps`` is
    (piece or None, old product or None, new product); ``away`` are times not at hand; ``skip`` is
    (piece, kind, coat): the step of that kind before that coat is left out.
    """

    not_before: datetime | None = None
    deadline: datetime | None = None
    dropped: frozenset[str] = frozenset()
    more: tuple[tuple[str, int], ...] = ()
    swaps: tuple[tuple[str | None, str | None, str], ...] = ()
    skip: tuple[tuple[str, str, int], ...] = ()
    away: tuple[tuple[datetime, datetime], ...] = ()
    night: Night | None = None


@dataclass(frozen=True, slots=True)
class Planned:
    """One entry of the list of work: what ``do`` says of a piece, in JSON form otherwise."""

    name: str
    do: str
    piece: str | None = None
    space: str | None = None
    coats: int | None = None
    label: str | None = None
    after: tuple[str, ...] = ()
    takes: float | None = None  # minutes
    noise: bool = False
    dust: bool = False
    mask: bool = False
    batch: str | None = None
    skip: frozenset[tuple[str, int]] = field(default_factory=frozenset)
    many: tuple[tuple[str, int], ...] = ()  # coats in all of a kind of material, where they were said


def planned(state: State, cards: Cards, options: Options) -> list[Planned]:
    """Give the open entries in order of telling: the job file's and the talk's, changed as ``options`` say."""
    closed = {key for t in state.tasks if t.state != "open" for key in _keys(t.text, t.piece)}
    out = [_of_table(name, named.values) for name, named in state.plans.items()]
    known = {entry.name.casefold() for entry in out}
    # A fault opens a task of its own; where it costs a coat, that coat is in its piece's chain.
    for task in state.tasks:
        # A fault opens a task of its own; where it costs a coat, that coat is in its piece's chain.
        if task.state != "open" or task.text.casefold() in known or _redone(task.text) or bends(task):
            continue
        if (bent := _with_coats(task, out, cards)) is not None:
            out = bent
        else:
            out.append(_of_text(task, cards))
    after = {t.text.casefold(): t.after for t in state.tasks if t.after and t.state == "open"}
    out = [e if (a := after.get(e.name.casefold())) is None else replace(e, after=(*e.after, a)) for e in out]
    out = [e for e in out if not closed.intersection(_keys(e.name, e.piece))]
    out = [e for e in out if e.name not in options.dropped and e.piece not in options.dropped]
    return [_swapped(e, cards, options) for e in out]


#: Faults that have to harden, be flatted off and coated over again; the others go in the next rubbing down.
REDONE: Final = ("run", "sag", "wrinkle", "fisheye", "dry spot", "bloom")


def _redone(text: str) -> str | None:
    """Give the fault that a task of the journal's own puts right, if that costs a coat."""
    found = re.fullmatch(r"put the (.+) right", text)
    return found[1] if found and found[1] in REDONE else None


def put_right(state: State, piece: str | None, fault: str) -> bool:
    """Say whether the last fault of that name on the piece has been put right or let be."""
    closed = [t for t in state.tasks if t.piece == piece and _redone(t.text) == fault]
    return bool(closed) and closed[-1].state != "open"


def _keys(text: str, piece: str | None) -> tuple[tuple[str, str | None], ...]:
    name = text.casefold()
    return ((name, piece), (name, None)) if piece is None or piece.casefold() in name else ((name, piece),)


def _of_table(name: str, values: Mapping[str, Any]) -> Planned:
    takes = values.get("takes")
    skip = values.get("skip") or ()
    return Planned(
        name=name,
        do=str(values.get("do") or name),
        piece=values.get("piece"),
        space=values.get("space"),
        coats=values.get("coats"),
        label=values.get("label"),
        after=tuple(_listed(values.get("after"))),
        takes=hours(takes)[1] * 60 if isinstance(takes, str) else None,
        noise=bool(values.get("noise", False)),
        dust=bool(values.get("dust", False)),
        mask=bool(values.get("mask", False)),
        batch=values.get("batch"),
        skip=frozenset(s for text in _listed(skip) if (s := skipped(text)) is not None),
    )


def _listed(value: Any) -> Iterable[str]:
    if value is None:
        return ()
    return (value,) if isinstance(value, str) else value


def skipped(text: str) -> tuple[str, int] | None:
    """Read "sand 2" or "sand before coat 2" of a task's ``skip``: the kind of step and the coat."""
    found = re.fullmatch(r"\s*(\w+)\s+(?:before\s+)?(?:coat\s+)?(\d+)\s*", text)
    return (found[1].casefold(), int(found[2])) if found else None


def _of_text(task: Task, cards: Cards) -> Planned:
    """Make an entry of a said task: "5 coats of amber varnish", "varnish", or plain words."""
    follows = (task.after,) if task.after else ()
    said = said_coats(task)
    if said is None:
        return Planned(task.text, task.text, task.piece, after=follows)
    count, what = said
    return Planned(
        task.text, what, task.piece, coats=count, label=what if card_for(cards, what) else None, after=follows
    )


def _with_coats(task: Task, entries: list[Planned], cards: Cards) -> list[Planned] | None:
    """Give the entries with the coats that a task asks for, if one of them lays that material on that piece."""
    said = said_coats(task)
    if said is None or task.piece is None:
        return None
    coats, what = said
    card = card_for(cards, what)
    kind = card.kind if card is not None else what
    for i, entry in reversed([*enumerate(entries)]):
        if entry.piece == task.piece and kind in coats_of(entry, cards):
            return [*entries[:i], replace(entry, many=(*entry.many, (kind, coats))), *entries[i + 1 :]]
    return None


def coats_of(entry: Planned, cards: Cards) -> dict[str, int]:
    """Give how many coats an entry lays of each kind of material, from the wood up; none if it is no such work."""
    found = sequence_of(entry, cards)
    out: dict[str, int] = {}
    for layer in found.layers if found and entry.piece is not None else ():
        if layer.kind is not None and layer.lay.do == "coat":
            coats = entry.coats if layer.main and entry.coats is not None else layer.coats
            out[layer.kind] = dict(entry.many).get(layer.kind, coats)
    return out


def sequence_of(entry: Planned, cards: Cards) -> Sequence | None:
    """Give the work chain that an entry means: by its own name, else by the kind of its material."""
    found = find(entry.do)
    card = card_for(cards, entry.label) or (None if found else card_for(cards, entry.do))
    if found is not None:
        mains = {layer.kind for layer in found.layers if layer.main}
        if card is None or card.kind in mains or len(found.layers) > 1:
            return found
        # "two coats of paint" with a tin of undercoat is undercoating.
        return of_kind(card.kind) if mains == {"topcoat"} else found
    if card is not None and (entry.coats or entry.takes is None):
        return of_kind(card.kind)
    return None


def with_said(state: State, options: Options) -> Options:
    """Give the options with what was said of the work to come: steps left out, other products."""
    return replace(options, skip=(*said_skips(state), *options.skip), swaps=(*said_swaps(state), *options.swaps))


def _swapped(entry: Planned, cards: Cards, options: Options) -> Planned:
    skip = {(do, coat) for piece, do, coat in options.skip if piece in (entry.piece, entry.name)}
    entry = replace(entry, skip=entry.skip | skip) if skip else entry
    for piece, old, new in options.swaps:
        if piece not in (None, entry.piece, entry.name) or entry.label is None:
            continue
        mine, theirs = card_for(cards, entry.label), card_for(cards, new)
        same = mine is not None and theirs is not None and mine.kind == theirs.kind
        if entry.label == old or (old is None and same):
            entry = replace(entry, label=new)
    return entry


def in_order(entries: list[Planned], kinds: Mapping[str, str | None]) -> tuple[list[Planned], str | None]:
    """Sort entries so that each comes after what its ``after`` names; a cycle is told in words.

    ``kinds`` gives the material of an entry by its name; on one piece it decides where ``after`` does not.
    """
    names = {e.name.casefold(): e for e in entries}
    left, out, placed = list(entries), list[Planned](), set[str]()
    while left:
        free = [e for e in left if not any(a.casefold() in names and a.casefold() not in placed for a in e.after)]
        if not free:
            ring = ", ".join(e.name for e in left[:4])
            return out, f"{ring} wait for each other in a circle: take one of their 'after' out"
        first = min(free, key=lambda e: _rank(e, free, kinds))
        out.append(first)
        placed.add(first.name.casefold())
        left.remove(first)
    return out, None


def _rank(entry: Planned, free: list[Planned], kinds: Mapping[str, str | None]) -> tuple[int, int]:
    place = next(i for i, e in enumerate(free) if e is entry)
    mine = RANK.get(kinds.get(entry.name) or "", 0)
    if mine == 0 or entry.piece is None:
        return (place, place)
    # Among those of its own piece the lower material first; pieces stay in order of telling.
    same = [i for i, e in enumerate(free) if e.piece == entry.piece and RANK.get(kinds.get(e.name) or "", 0)]
    return (same[0], mine * 1000 + place)
