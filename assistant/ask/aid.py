"""Dangers, looked for before anything else and in any wording: what to do first, then label and help.

Nothing is read here but which words were said, in their plain forms, and which materials were named. A part of the
body (or a word that only a hurt person says) is what tells "varnish on my hands" from "varnish on the door".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from assistant.library.hazards import SUBSTANCE, UNKNOWN, Grade, Hazards, Remedy, Step, Way, hazards


class Material(Protocol):
    """What is asked of a named material: a :class:`assistant.library.cards.Card` will do."""

    @property
    def family(self) -> str:
        """Its family's id."""

    @property
    def kind(self) -> str:
        """What it is for: varnish, primer, remover ..."""

    @property
    def generic(self) -> str:
        """Its generic type: alkyd, epoxy ..."""

    @property
    def hazards(self) -> tuple[str, ...]:
        """Its topics among the cautions."""


@dataclass(frozen=True, slots=True)
class Aid:
    """What is said of a danger. ``text`` begins with the act; ``source`` is whose word it is.

    An accident comes before anything else that was said. A risk answers a question, and stands
    beside anything else as a caution: "lit the stove at six" is still to be logged.
    """

    text: str
    source: str
    first: Step
    grade: Grade
    danger: str  # the way in, or the danger's name
    substance: str | None = None  # None where no way in was meant


def hazard(lemmas: frozenset[str], *products: Material) -> Aid | None:
    """Give what to do about the danger that the words tell of, or None if they tell of none.

    ``lemmas`` are the plain forms of all words said, function words and possessives as said ("my", "on"); where a word
    may have two plain forms, both. ``products`` are the cards of the materials named; without any, the words decide.
    """
    table = hazards()
    named = {_substance_of(table, product) for product in products}
    substances = _substances(table, lemmas, named)
    words = lemmas | {SUBSTANCE} if substances else lemmas
    ways = [way for way in Way if any(c.holds(words) for c in table.ways.get(way, ()))]
    found = [d for d in table.dangers if any(c.holds(words) for c in d.when)]
    accident = next((d for d in found if d.grade is Grade.ACCIDENT), None)
    if accident is not None and not ways:
        return _said(accident.remedy, accident.grade, accident.name)
    if ways:
        what = substances[0] if substances else UNKNOWN
        cells = [table.cells[what, way] for way in ways]
        if accident is not None:
            cells.append(accident.remedy)
        return _joined(cells, ways[0], what)
    risk = next(iter(found), None)
    return _said(risk.remedy, risk.grade, risk.name) if risk else None


def _said(remedy: Remedy, grade: Grade, danger: str) -> Aid:
    return Aid(remedy.text, remedy.source, remedy.first, grade, danger)


def _joined(cells: list[Remedy], way: Way, substance: str) -> Aid:
    """Say the gravest whole and, of the next, its first sentence: two acts are as much as a hurt person hears."""
    texts, sources = [cells[0].text], [cells[0].source]
    for cell in cells[1:2]:
        if cell.text != cells[0].text:
            texts.append(cell.text.split(". ")[0].rstrip(".") + ".")
            sources.append(cell.source)
    return Aid(" ".join(texts), "; ".join(dict.fromkeys(sources)), cells[0].first, Grade.ACCIDENT, way.value, substance)


def _substances(table: Hazards, lemmas: frozenset[str], named: set[str | None]) -> list[str]:
    """Order the substances spoken of: what a word alone makes sure, then the materials, then looser words."""
    sure = [s.name for s in table.substances if s.sure and s.words & lemmas]
    loose = [s.name for s in table.substances if not s.sure and s.words & lemmas]
    cards = [s.name for s in table.substances if s.name in named]
    return [*sure, *cards, *loose]


def _substance_of(table: Hazards, product: Material) -> str | None:
    """Give the substance a material is, by its family first and by its hazards and kind after."""
    for key in ({product.family}, {*product.hazards}, {product.kind}, {product.generic}):
        for substance in table.substances:
            if key & substance.materials:
                return substance.name
    return None
