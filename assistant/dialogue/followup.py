"""A follow-up is settled: what it says takes the place of its own kind in the last question."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Final

from assistant.ask.edit import edit
from assistant.dialogue.context import Context
from assistant.dialogue.scene import Scene
from assistant.dialogue.supposing import suppose_of
from assistant.dialogue.whenasked import BEHIND, moment_of, time_of
from assistant.language.asking.said import Asked
from assistant.language.meanings import Act
from assistant.language.query import Detail, Fragment, Measure, Property, Query, Shape, Subject, Suppose
from assistant.quantity import Amount

_OF_PIECES: Final = frozenset({Property.READY, Property.WINDOW, Property.TAPE, Property.STATUS, Property.LEFT})
_OF_PLACES: Final = frozenset({Property.DUST, Property.DEW, Property.COLD, Property.HUMIDITY})


def fragment_of(asked: Asked, last: Query, scene: Scene, context: Context, subject: Subject) -> Query:
    """Give the query that a follow-up makes of the last one."""
    if asked.unit is not None and (measure := _measured(last, context)) is not None:
        return Query(Property.CONVERT, Shape.HOW_MUCH, measure=measure, unit=asked.unit, lemmas=asked.lemmas)
    what = asked.what or last.what
    said = subject if subject != Subject() else None
    if subject.products and not subject.pieces and last.what in _OF_PIECES:
        said = Subject(products=subject.products)
        last = replace(last, subject=Subject())
    if asked.detail is Detail.PRODUCT and last.act is Act.SAND:
        asked = replace(asked, detail=Detail.GRIT)
    if last.what is Property.ENTRY and asked.what is Property.GRIT:
        asked, what = replace(asked, what=None, detail=Detail.GRIT, shape=Shape.LAST), Property.ENTRY
    past = what in BEHIND and (asked.past or last.what in BEHIND)
    amount, percent, suppose, count = asked.amount, asked.percent, suppose_of(asked, scene, subject.pieces), asked.count
    if asked.number is not None:
        amount, percent, suppose, count = _number(asked.number, last, amount, percent, suppose, count)
    if suppose is not None and last.what in _OF_PLACES and suppose.space is None and last.subject.spaces:
        suppose = replace(suppose, space=last.subject.spaces[0])
    part, wanted = asked.part, asked.wanted
    if last.what is Property.MIX and amount is not None and part is not None and wanted is None and part == last.wanted:
        wanted = last.part or wanted
    if last.suppose is not None and last.suppose.lost is not None and asked.times and suppose is None:
        suppose = Suppose(lost=moment_of(asked.times[0], scene.now).date())
    hours = (
        asked.times if asked.number is None or amount is asked.amount else ()
    )  # "and for 200?" is no hour of an amount
    fragment = Fragment(
        what=asked.what,
        shape=asked.shape,
        subject=said,
        time=time_of(hours, scene.now, what, past=past),
        stage=asked.stage,
        amount=amount,
        times=asked.factor,
        suppose=suppose,
        unknown=asked.unknown,
        act=asked.act,
        ordinal=asked.ordinal,
        count=count,
        detail=asked.detail,
        part=part,
        wanted=wanted,
        by_weight=asked.by_weight,
        noisy=asked.noisy,
        percent=percent,
        area=asked.area,
        later=asked.later,
        lemmas=asked.lemmas if what in (Property.KNOW, Property.AID) else None,
        negated=False if asked.stage is not None or asked.what is not None else None,
    )
    return edit(last, fragment)


def _number(
    number: float,
    last: Query,
    amount: Amount | None,
    percent: Amount | None,
    suppose: Suppose | None,
    count: int | None,
) -> tuple[Amount | None, Amount | None, Suppose | None, int | None]:
    """Give a bare number its role in the last question: the amount, the percent, the temperature or the coats."""
    if last.amount is not None and amount is None:
        return Amount(number, last.amount.unit), percent, suppose, count
    if last.suppose is not None and last.suppose.temperature is not None and suppose is None:
        return amount, percent, Suppose(temperature=Amount(number, "degC")), count
    if last.percent is not None and percent is None:
        return amount, Amount(number, "percent"), suppose, count
    if last.what is Property.COVER and number == int(number):
        return amount, percent, suppose, int(number)
    return amount, percent, suppose, count


def _measured(last: Query, context: Context) -> Measure | None:
    """Give the figure that is to be said in another unit: of the last answer, else of the last question."""
    answer = context.answer if isinstance(context.answer, dict) else {}
    for key in ("amount", "left", "total", "thinner", "temperature", "dew_point"):
        value: Any = answer.get(key)
        if isinstance(value, dict) and "value" in value and "unit" in value:
            return Measure(float(value["value"]), str(value["unit"]))
    if answer.get("about") == "convert" and "value" in answer and last.measure is not None:
        return last.measure
    return last.measure or (Measure(last.amount.value, last.amount.unit) if last.amount else None)
