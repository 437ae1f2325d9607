"""Reads stage times: the ``[[times]]`` rows of a family or a label, one row a temperature."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Final, NamedTuple

from assistant.library.cards import STAGES, Law, Rate, Row
from assistant.library.fields import Flaw, Path, as_table, as_text, at, only, text
from assistant.library.figures import Source
from assistant.library.measures import hours, span

_EXAMPLE: Final = 'at = "20 degC", touch = "45 to 60 min", overcoat = { min = "6 h", max = "72 h" }'


class _Entry(NamedTuple):
    """One time read: where it stands in the table, and where it is from."""

    row: Row
    path: Path
    basis: str


class Times(NamedTuple):
    """What the rows say: a Law a stage, the end of the overcoating window, and whether it has none."""

    stages: dict[str, Law]
    overcoat_max: Law | None
    endless: str | None  # the basis for "no greatest time", where that was said


def read(rows: Any, source: Source) -> Times:
    """Read the rows. A range keeps its safe end: the late one of a wait, the early one of a window.

    ``at`` may be a band such as "16 to 21 degC": the waits are then held to belong to its warm end
    and the window's end to its cool one, so that nowhere in the band is anything called ready
    sooner, or open longer, than was written. Raises :class:`Flaw`: no ``at``, an unknown stage,
    min above max, two rows for one temperature, times that get shorter as it gets colder.
    """
    if not isinstance(rows, list | tuple):
        raise Flaw((), f"this must be a list of rows, one a temperature: {_EXAMPLE}")
    reader = _Reader(source)
    for i, row in enumerate(rows):
        with at(i):
            if not isinstance(row, Mapping):
                raise Flaw((), f"this must be a row of times: {_EXAMPLE}")
            reader.row(row, i)
    waits, ends = reader.waits, reader.ends
    return Times(
        {stage: _law(stage, waits[stage], source.stages, source.label) for stage in STAGES if stage in waits},
        _law("overcoat max", ends, source.window, source.label) if ends else None,
        None if ends else reader.endless,
    )


class _Reader:
    """Gathers the entries of the rows as they are read."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.waits: dict[str, list[_Entry]] = {}
        self.ends: list[_Entry] = []
        self.endless: str | None = None

    def row(self, row: Mapping[str, Any], i: int) -> None:
        only(row, ("at", *STAGES, *(() if self.source.label else ("basis",))), "a row of times")
        written = text(row, "at", "20 degC")
        if written is None:
            raise Flaw((), 'this row has no temperature: add at = "20 degC"')
        with at("at"):
            cool, warm = (a.value for a in span(written, "temperature"))
        above = text(row, "basis")
        for stage in STAGES:
            value = row.get(stage)
            if value is None:
                continue
            with at(stage):
                if stage == "overcoat" and isinstance(value, Mapping):
                    self.window(value, i, (cool, warm), above)
                else:
                    self.wait(stage, value, (i, stage), warm, above)
        self.cured_last(i)

    def wait(self, stage: str, value: Any, path: Path, celsius: float, above: str | None) -> None:
        basis = above
        if isinstance(value, Mapping) and not self.source.label:  # a family may give one time its own basis
            only(value, ("time", "basis"), "a time")
            value, basis = value.get("time"), text(value, "basis")
        early, late = hours(as_text(value, "6 h"))
        row = Row(celsius, late, early if early != late else None)
        self.waits.setdefault(stage, []).append(_Entry(row, path, self.source.basis({}, basis)))

    def window(self, value: Mapping[str, Any], i: int, band: tuple[float, float], above: str | None) -> None:
        as_table(value, '{ min = "6 h", max = "72 h" }')
        only(value, ("min", "max", *(() if self.source.label else ("basis",))), "an overcoating time")
        above = self.source.basis(value, above)
        if value.get("min") is not None:
            with at("min"):
                self.wait("overcoat", value["min"], (i, "overcoat", "min"), band[1], above)
        most = text(value, "max", "72 h")
        if most is None:
            return
        if most.strip().casefold() in ("none", "unlimited", "no limit"):
            self.endless = above
            return
        with at("max"):
            end = hours(most)[0]  # of a range the early end: a window shuts, and late is too late
            if value.get("min") is not None and self.waits["overcoat"][-1].row.hours > end:
                raise Flaw((), f"{most} is less than the min of {value['min']}: the window would never open")
        self.ends.append(_Entry(Row(band[0], end), (i, "overcoat", "max"), above))

    def cured_last(self, i: int) -> None:
        mine = {stage: e[-1] for stage, e in self.waits.items() if e[-1].path[0] == i}
        for stage, entry in mine.items():
            if "cured" in mine and entry.row.hours > mine["cured"].row.hours:
                raise Flaw((stage,), f"{stage} comes after cured in this row: check the two")


def _law(stage: str, entries: list[_Entry], rate: Rate, label: bool) -> Law:
    ordered = sorted(entries, key=lambda e: e.row.celsius)
    for cold, warm in pairwise(ordered):
        later = max(cold, warm, key=lambda e: e.path)  # of two that disagree, the one written second
        low, high = f"{cold.row.celsius:g} degC", f"{warm.row.celsius:g} degC"
        if low == high:
            raise Flaw(later.path, f"there are two rows with {stage} at {low}: keep one")
        if cold.row.hours < warm.row.hours:
            raise Flaw(
                later.path,
                f"{stage} takes {cold.row.hours:g} h at {low} but {warm.row.hours:g} h at {high}: it cannot "
                "get shorter as it gets colder; check the two rows",
            )
    basis = "; ".join(dict.fromkeys(e.basis for e in ordered))
    return Law(tuple(e.row for e in ordered), rate, basis, label)
