"""How damp it is in a place, and whether that is too much to lay a film."""

from __future__ import annotations

from typing import Final

from assistant.ask.air import AirFacts
from assistant.ask.answer import EVERY_SHAPE, Bar, Resolver, Row, Told, Veto
from assistant.ask.job import Job
from assistant.ask.subject import every_place
from assistant.craft.air import humidity_now
from assistant.craft.dew import DAMPEST, SOURCE
from assistant.language.query import Property, Query, Shape
from assistant.quantity import Amount
from assistant.wording import figure


def row(job: Job, query: Query, space: str | None) -> Row:
    """Work out one space at one moment."""
    damp = humidity_now(job.state, space, job.at)
    name = f"the {space}" if space else "the boat"
    if damp is None:
        unknown = f"nobody has said how damp it is in {name}"
        facts = AirFacts(about="explain", text=f"{unknown}.", space=space)
        return Row(name=name, facts=facts, said=unknown, unknown=unknown, can="is dry enough")
    said = f"{figure(damp)} percent humidity in {name}"
    vetoes = (Veto(Bar.AIR, f"{figure(damp)} percent humidity is over 85"),) if damp > DAMPEST else ()
    judged = query.shape in (Shape.WHETHER, Shape.WHICH, Shape.HOW_MANY)
    return Row(
        name=name, decision=not vetoes, vetoes=vetoes, said="" if judged else said, value=Amount(damp, "percent"),
        facts=AirFacts(about="explain", text=f"{said}.", space=space, humidity=Amount(damp, "percent")),
        can=f"is dry enough, {figure(damp)} percent", cannot="is too damp",
        evidence=Told(f"{said}; no coating over 85 percent. Source: {SOURCE}."),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.HUMIDITY, subjects=every_place, row=row, natural=Shape.HOW_MUCH,
    shapes=EVERY_SHAPE - {Shape.HOW_LONG, Shape.WHEN, Shape.NEEDED}, topic="how damp it is",
)  # fmt: skip
