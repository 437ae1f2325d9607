"""A new property is one file and a line in the table: it can be asked in every shape that makes sense of it."""

from __future__ import annotations

import sys
from types import ModuleType
from typing import Any

import pytest

from ask.build import asking
from assistant.ask import table
from assistant.ask.answer import EVERY_SHAPE, Facts, Resolver, Row
from assistant.ask.evaluate import evaluate
from assistant.ask.job import Job
from assistant.ask.subject import every_piece
from assistant.language.query import Property, Query, Shape, Subject


def test_every_property_has_its_resolver() -> None:
    """The table is whole, and each resolver says which property it is of and asks it in a shape it has."""
    for what in Property:
        found = table.resolver(what)
        assert found is not None, what
        assert found.what is what
        assert found.natural in found.shapes
        assert found.topic


def test_a_new_one_is_asked_in_every_shape(monkeypatch: pytest.MonkeyPatch) -> None:
    """A property that tells how many letters a piece's name has: asked which, how many, first, compared, whether."""

    def row(job: Job, query: Query, piece: str | None) -> Row:
        assert piece is not None
        return Row(
            name=f"the {piece}", facts=Facts(about="letters"), count=len(piece), decision=len(piece) > 10,
            can="has a long name", cannot="has a short name", piece=piece,
        )  # fmt: skip

    module: Any = ModuleType("assistant.ask.letters")
    module.RESOLVER = Resolver(
        what=Property.GRIT, subjects=every_piece, row=row, shapes=EVERY_SHAPE, natural=Shape.HOW_MANY,
        topic="how long a name is",
    )  # fmt: skip
    module.__spec__ = sys.modules["assistant.ask.coats"].__spec__
    monkeypatch.setitem(sys.modules, "assistant.ask.letters", module)
    monkeypatch.setitem(table.MODULES, Property.GRIT, "letters")
    table.resolver.cache_clear()
    try:
        which = evaluate(Query(Property.GRIT, Shape.WHICH), asking())
        assert {r.piece for r in which.rows if r.decision} == {p for p in asking().state.pieces if len(p) > 10}
        last = evaluate(Query(Property.GRIT, Shape.FIRST), asking())
        assert last.rows[0].piece == max(asking().state.pieces, key=len)
        one = Query(Property.GRIT, Shape.WHETHER, Subject(pieces=("bulkhead",)))
        assert evaluate(one, asking()).reply == "No: the bulkhead has a short name."
        assert evaluate(Query(Property.GRIT, Shape.COMPARE), asking()).to_json() is not None
    finally:
        table.resolver.cache_clear()
