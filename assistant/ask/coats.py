"""How many coats are on a piece, by product, since it was last stripped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Facts, Resolver, Row, Told
from assistant.ask.job import Job
from assistant.ask.subject import every_piece
from assistant.craft.waits import coats_on, planned
from assistant.language.query import Property, Query, Shape
from assistant.wording import listed, many


@dataclass(frozen=True, slots=True)
class Layers:
    """Coats of one product, on and wanted by the plan (None: nothing planned)."""

    product: str | None
    on: int
    wanted: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatFacts(Facts):
    """The coats on a piece."""

    piece: str
    count: int
    coats: tuple[Layers, ...]


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Count one piece at one moment; a yes is so many (``count``, else one) or more."""
    assert piece is not None
    wanted = planned(job.state, piece)
    products = set(query.subject.products) | set(job.labels(query.subject.kinds) if query.subject.kinds else ())
    on = {p: n for p, n in coats_on(job.state, piece, job.at).items() if not products or p in products}
    layers = tuple(Layers(p or None, n, wanted.get(p)) for p, n in on.items())
    number = sum(on.values())
    why = f"Counted since the {piece} was last bare"
    told = listed(f"{many(n, 'coat')}{f' of {p}' if p else ''}" for p, n in on.items()) or "no coats"
    least = query.count or 1
    return Row(
        name=f"the {piece}", facts=CoatFacts(about="count", piece=piece, count=number, coats=layers),
        decision=number >= least, said=f"{told} on the {piece}", count=number, piece=piece,
        can=f"has {many(least, 'coat')} or more" if query.shape is Shape.WHICH else "",
        cannot=f"has fewer than {many(least, 'coat')}", evidence=Told(f"{why}: {told}."),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.COATS, subjects=every_piece, row=row, natural=Shape.HOW_MANY,
    shapes=EVERY_SHAPE - {Shape.NEEDED, Shape.WHEN, Shape.HOW_LONG}, topic="how many coats are on",
)  # fmt: skip
