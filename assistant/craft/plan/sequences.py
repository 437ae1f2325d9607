"""The work chains of the trade, read from ``models/sequences/``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from assistant.data import read_toml, root
from assistant.library.fields import only, suggestion
from assistant.library.measures import hours
from assistant.problem import Problem

#: Event kinds that lay a film (or a glue line), and those that only work on what is there.
LAYING: Final = ("coat", "fill", "bond")
DOING: Final = ("sand", "clean", "strip", "mask", "unmask", "fit", "mix")
#: Which sequence a bare "three coats of ..." means, by the kind of the material.
BY_KIND: Final = {
    "varnish": "varnish", "undercoat": "undercoat", "primer": "prime", "topcoat": "topcoat",
    "sealer": "seal", "oil": "oil", "filler": "fill", "putty": "fill", "adhesive": "treads", "epoxy": "epoxy-repair",
    "antifouling": "topcoat", "stain": "oil", "resin": "epoxy-repair",
}  # fmt: skip
UNSAID: Final = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Minutes:
    """Hands-on time: ``fixed`` minutes and ``per_m2`` more for each square metre."""

    fixed: float = 10.0
    per_m2: float = 0.0
    basis: str = UNSAID

    def of(self, area: float) -> float:
        """Minutes for ``area`` square metres."""
        return self.fixed + self.per_m2 * area


@dataclass(frozen=True, slots=True)
class Act:
    """One step of a layer: ``do`` is the journal's kind, ``waits`` a stage of the last film or None.

    ``first`` and ``last`` are the coats it stands before (``last`` None: to the end). ``dries`` is the
    wait after it, in hours. ``opens``: to be done in the open time of the glue before it.
    """

    do: str
    text: str
    minutes: Minutes
    waits: str | None = None
    first: int = 1
    last: int | None = None
    grit: int | None = None
    noise: bool = False
    dust: bool = False
    hot: bool = False
    opens: bool = False
    dries: float = 0.0
    gear: tuple[str, ...] = ()

    def before(self, coat: int) -> bool:
        """Say whether it is done before this coat."""
        return self.first <= coat and (self.last is None or coat <= self.last)


@dataclass(frozen=True, slots=True)
class Layer:
    """One material: the steps before its coats, the laying, what keying it late costs, the steps after.

    ``straight``: goes onto the layer below while that is still wet.
    """

    kind: str | None
    family: str | None
    coats: int
    lay: Act
    steps: tuple[Act, ...]
    after: tuple[Act, ...]
    key: Minutes | None
    main: bool
    straight: bool
    basis: str


@dataclass(frozen=True, slots=True)
class Sequence:
    """A work chain: its id, what it is called, its layers from the wood up, and where it is from."""

    id: str
    title: str
    also: tuple[str, ...]
    layers: tuple[Layer, ...]
    basis: str


@cache
def all_sequences() -> Mapping[str, Sequence]:
    """Give every sequence by id. ``Problem`` with the file for a slip in our own data."""
    out = {}
    for path in sorted((root() / "models" / "sequences").glob("*.toml")):
        try:
            out[path.stem] = _sequence(path.stem, read_toml(path))
        except (KeyError, TypeError, ValueError, Problem) as error:
            raise Problem(f"models/sequences/{path.name}: {error}") from None
    return out


def find(said: str) -> Sequence | None:
    """Give the sequence of that id, title or other name (any case), or None."""
    name = " ".join(said.casefold().split())
    for sequence in all_sequences().values():
        if name in (sequence.id, sequence.id.replace("-", " "), sequence.title, *sequence.also):
            return sequence
    return None


def of_kind(kind: str) -> Sequence | None:
    """Give the plain sequence for coats of a kind of material, or None."""
    return all_sequences().get(BY_KIND.get(kind, ""))


def named(said: str) -> Sequence:
    """Give the sequence, or a ``Problem`` that suggests the nearest."""
    found = find(said)
    if found is None:
        raise Problem(f'there is no work called "{said}"{suggestion(said, all_sequences())}')
    return found


_LAYER: Final = (
    "kind", "family", "coats", "main", "basis", "do", "lay", "key", "step", "after", "straight"
)  # fmt: skip
_ACT: Final = (
    "do", "text", "minutes", "waits", "before", "grit", "noise", "dust", "hot", "opens", "dries", "gear"
)  # fmt: skip


def _sequence(name: str, table: Mapping[str, Any]) -> Sequence:
    only(table, ("title", "also", "basis", "layer"), "a sequence")
    layers = tuple(_layer(layer) for layer in table["layer"])
    return Sequence(name, table["title"], tuple(table.get("also", ())), layers, table["basis"])


def _layer(table: Mapping[str, Any]) -> Layer:
    only(table, _LAYER, "a layer")
    do = table.get("do", "coat")
    if do not in LAYING:
        raise ValueError(f"a layer is laid by one of {', '.join(LAYING)}")
    lay = {"text": "{ordinal} coat of {product} on the {piece}", **table.get("lay", {}), "do": do}
    lay.setdefault("minutes", {})
    key = table.get("key")
    return Layer(
        kind=table.get("kind"),
        family=table.get("family"),
        coats=int(table["coats"]),
        lay=_act(lay),
        steps=tuple(_act(act) for act in table.get("step", ())),
        after=tuple(_act(act) for act in table.get("after", ())),
        key=None if key is None else _minutes(key),
        main=bool(table.get("main", False)),
        straight=bool(table.get("straight", False)),
        basis=table.get("basis", UNSAID),
    )


def _act(table: Mapping[str, Any]) -> Act:
    only(table, _ACT, "a step")
    if table["do"] not in (*LAYING, *DOING):
        raise ValueError(f'"{table["do"]}" is nothing that the journal knows')
    first, last = _coats(str(table.get("before", "all")))
    return Act(
        do=table["do"],
        text=table["text"],
        minutes=_minutes(table["minutes"]),
        waits=table.get("waits"),
        first=first,
        last=last,
        grit=table.get("grit"),
        noise=bool(table.get("noise", False)),
        dust=bool(table.get("dust", False)),
        hot=bool(table.get("hot", False)),
        opens=bool(table.get("opens", False)),
        dries=hours(table["dries"])[1] if "dries" in table else 0.0,
        gear=tuple(table.get("gear", ())),
    )


def _coats(written: str) -> tuple[int, int | None]:
    if written == "all":
        return 1, None
    if written.endswith("-"):
        return int(written[:-1]), None
    return int(written), int(written)


def _minutes(table: Mapping[str, Any]) -> Minutes:
    only(table, ("fixed", "per_m2", "basis"), "a hands-on time")
    return Minutes(float(table.get("fixed", 10)), float(table.get("per_m2", 0)), table.get("basis", UNSAID))
