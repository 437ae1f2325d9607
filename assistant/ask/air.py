"""Dew: whether a surface is dry enough to lay a film on, in the air there is or in air that is supposed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Facts, Missing, Resolver, Row, Told, Veto
from assistant.ask.film import soonest
from assistant.ask.job import Job
from assistant.ask.subject import places
from assistant.craft.air import humidity_now, temperature_now
from assistant.craft.dew import check
from assistant.language.query import Property, Query, Shape, Unknown
from assistant.problem import Problem
from assistant.quantity import Amount
from assistant.wording import figure


@dataclass(frozen=True, slots=True, kw_only=True)
class AirFacts(Facts):
    """The air of a space."""

    text: str
    space: str | None
    temperature: Amount | None = None
    humidity: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DewFacts(Facts):
    """The dew point and how far the surface lies over it."""

    space: str | None
    dew_point: Amount
    surface: Amount
    margin: Amount
    ok: bool


def told(source: str) -> str:
    """Say where a temperature is from."""
    return {"assumed": "nobody has told me, so I take that", "job file": "by the job file"}.get(source, source)


def row(job: Job, query: Query, space: str | None) -> Row:
    """Work out one space at one moment; what is supposed of the air goes before what is known of it."""
    suppose = query.suppose
    spell = temperature_now(job.state, space, job.at)
    air = spell.celsius + (suppose.warmer or 0.0 if suppose else 0.0)
    damp = humidity_now(job.state, space, job.at)
    surface = None
    if suppose is not None:
        air = suppose.temperature.value if suppose.temperature else air
        damp = suppose.humidity.value if suppose.humidity else damp
        surface = suppose.surface.value if suppose.surface else None
    if spell.source == "assumed" and (suppose is None or suppose.temperature is None):
        raise Missing("I don't know how warm it is: what does the thermometer say?", "temperature")
    if damp is None:
        raise Missing("I don't know the humidity: what does the hygrometer say?", "humidity")
    if not 0 < damp <= 100:
        raise Problem(f"{figure(damp)} percent humidity can't be right")
    found = check(air, damp, surface)
    facts = DewFacts(
        about="dew", space=space, dew_point=Amount(round(found.dew_point, 2), "degC"),
        surface=Amount(found.surface, "degC"), margin=Amount(round(found.margin, 2), "degC"), ok=found.ok,
    )  # fmt: skip
    name = f"the {space}" if space else "the boat"
    judged = query.shape in (Shape.WHETHER, Shape.WHICH, Shape.HOW_MANY, Shape.WHEN)
    figures = f"dew point {found.dew_point:.1f} degrees, margin {found.margin:.1f}"
    why = (
        f"At {figure(air)} degrees and {figure(damp)} percent the dew point is {found.dew_point:.1f}; the surface must "
        f"be 3 degrees above it and the humidity not over 85. Source: {found.source}."
    )
    return Row(
        name=f"{name} ({figures})" if judged else name, facts=facts, decision=found.ok, can="is dry enough to coat in",
        cannot="is too damp to coat in", said="" if judged else f"{figures} in {name}",
        vetoes=() if found.ok else (Veto(Bar.AIR, found.why, None, None),), value=facts.margin,
        again=soonest(job, job.next_air(space)), evidence=Told(why),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.DEW, subjects=places, row=row, natural=Shape.WHETHER, condition=False,
    takes=frozenset({"temperature", "warmer", "humidity", "surface"}), waits=True,
    shapes=EVERY_SHAPE - {Shape.HOW_LONG}, topic="it is dry enough to coat",
    needs=frozenset({Unknown.TEMPERATURE, Unknown.HUMIDITY}),
)  # fmt: skip
