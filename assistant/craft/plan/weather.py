"""Cold spells against the films of the plan: where cure stands still, and where a night makes it late."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from assistant.craft.air import Spell, temperatures
from assistant.craft.cure import hours_at
from assistant.craft.plan.drying import stage_law
from assistant.craft.plan.pages import span
from assistant.craft.plan.step import LaidFilm, Plan
from assistant.craft.plan.warning import Warning
from assistant.craft.shelf import Cards, card_for
from assistant.craft.times import hours, spoken, utc
from assistant.journal.state import State
from assistant.library.cards import Card

#: Warned of when the cold makes a film so many hours later than the air it was laid in would.
LATER: Final = 2.0


def cold(state: State, cards: Cards, now: datetime, plan: Plan) -> Iterator[Warning]:
    """Warn of each cold spell that a film of the plan, or one on already, has to dry through."""
    yield from _too_cold_to_lay(state, cards, now, plan)
    told: set[tuple[str | None, str | None, datetime]] = set()
    for film in plan.films:
        card = card_for(cards, film.product)
        ready = film.at("overcoat") or film.at("handle")
        if card is None or (ready is not None and utc(ready) <= utc(now)):
            continue
        spells = temperatures(state, film.space, film.laid, now)
        for key, warning in _of_film(film, card, ready, spells, now):
            place = (film.product, film.space, key)
            if place not in told:
                told.add(place)
                yield warning


def _too_cold_to_lay(state: State, cards: Cards, now: datetime, plan: Plan) -> Iterator[Warning]:
    """Say when a space that is to be coated will be too cold for it: the plan goes round that time."""
    told: set[str | None] = set()
    for placed in plan.steps:
        step, card = placed.step, card_for(cards, placed.step.product)
        if not step.lays or card is None or card.least is None or step.space in told:
            continue
        spells = temperatures(state, step.space, now, now)
        spell = next((s for s in spells if s.celsius < (card.least or 0.0) and s.source != "assumed"), None)
        last = max(p.end for p in plan.steps if p.step.space == step.space)
        if spell is None or utc(spell.start) > utc(last):
            continue
        told.add(step.space)
        until = f"before {spoken(spell.end, now)}" if spell.end is not None else "until it is warmer"
        text = (
            f"it goes down to {spell.celsius:g} degrees in the {step.space or 'space'} at "
            f"{spoken(max(spell.start, now, key=utc), now)}: {step.product} wants {card.least:g}, so none is laid "
            f"there {until}, and what is wet stands still"
        )
        yield Warning(text, max(spell.start, now, key=utc), "cold")


def _of_film(
    film: LaidFilm, card: Card, ready: datetime | None, spells: tuple[Spell, ...], now: datetime
) -> Iterator[tuple[datetime, Warning]]:
    where = f"in the {film.space}" if film.space else "where it is"
    name = film.product or "the film"
    drying = [s for s in spells if ready is None or utc(s.start) < utc(ready)]
    frozen = next((s for s in drying if card.least is not None and s.celsius < card.least), None)
    if frozen is not None and card.least is not None:
        begin = max(frozen.start, film.laid, key=utc)
        until = f"until {spoken(frozen.end, now)}" if frozen.end is not None else "for as long as that lasts"
        text = (
            f"it goes down to {frozen.celsius:g} degrees {where} at {spoken(begin, now)}, before the {name} on "
            f"the {film.piece} is dry: under {card.least:g} it stands still {until}; heat, or lay it sooner"
        )
        yield begin, Warning(text, begin, "cold")
        return
    law = stage_law(card, "overcoat")
    colder = next((s for s in drying if s.celsius < spells[0].celsius - 0.5), None)
    if law is None or colder is None or ready is None:
        return
    steady = hours_at(law, spells[0].celsius)
    taken = hours(film.laid, ready)
    if taken - steady >= LATER:
        begin = max(colder.start, film.laid, key=utc)
        text = (
            f"it goes down to {colder.celsius:g} degrees {where} at {spoken(begin, now)}: the {name} on the "
            f"{film.piece} takes {span(taken)} instead of {span(_rough(steady))}"
        )
        yield begin, Warning(text, begin, "cold")


def _rough(of_hours: float) -> float:
    return round(of_hours * 4) / 4
