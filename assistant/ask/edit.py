"""A follow-up edits the last query: a fragment replaces the slot of its own type and leaves the others."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import datetime, timedelta
from typing import Any, Final

from assistant.ask.table import resolver
from assistant.craft.times import like, utc
from assistant.language.query import (
    At,
    Between,
    By,
    Fragment,
    Property,
    Query,
    Shape,
    Subject,
    Suppose,
    Time,
)

#: A stage is asked of a film: said after a question about anything else, it makes one of these of it.
_STAGED: Final = frozenset({Property.READY, Property.LABEL})
#: Slots that a fragment simply replaces.
_PLAIN: Final = (
    "amount", "negated", "unknown", "goal", "act", "ordinal", "count", "detail", "part", "wanted", "by_weight",
    "percent", "area", "noisy", "unit", "lemmas", "shape", "stage", "time", "what",
)  # fmt: skip


def edit(query: Query, fragment: Fragment) -> Query:
    """Give the query that a fragment makes of the last one. Neither is changed."""
    said = {name: value for name in _PLAIN if (value := getattr(fragment, name)) is not None}
    new = replace(query, **said)
    if fragment.subject is not None:
        new = replace(new, subject=_subject(query.subject, fragment.subject))
    if fragment.suppose is not None:
        new = replace(new, suppose=_merged(query.suppose, fragment.suppose))
        if fragment.suppose.amount is None and fragment.amount is not None and new.suppose is not None:
            new = replace(new, suppose=replace(new.suppose, amount=None))
    if fragment.times is not None:
        new = _multiplied(new, fragment.times)
    if fragment.later is not None and new.time is not None:
        new = replace(new, time=_moved(new.time, fragment.later))
    return _fitting(query, new, fragment)


def _subject(old: Subject, new: Subject) -> Subject:
    """Put what was said in the place of its own kind; a place and a piece named after each other do not both hold."""
    said: dict[str, Any] = {f.name: value for f in fields(Subject) if (value := getattr(new, f.name)) not in ((), None)}
    if new.pieces:
        said = {"spaces": (), "having": (), "besides": (), "quantifier": None, **said}
    if new.spaces:
        said = {"pieces": (), "besides": (), **said}
    if new.products:
        said = {"kinds": (), **said}
    if new.kinds:
        said = {"products": (), **said}
    return replace(old, **said)


def _merged(old: Suppose | None, new: Suppose) -> Suppose:
    blank = Suppose()
    said: dict[str, Any] = {
        f.name: value for f in fields(Suppose) if (value := getattr(new, f.name)) != getattr(blank, f.name)
    }
    if new.temperature is not None:
        said = {"warmer": None, **said}
    if new.warmer is not None:
        said = {"temperature": None, **said}
    return replace(old or blank, **said)


def _multiplied(query: Query, times: float) -> Query:
    """Double or halve what was measured: the amount, the area, the measure, or the coats."""
    if query.amount is not None:
        return replace(query, amount=query.amount._replace(value=query.amount.value * times))
    if query.suppose is not None and query.suppose.amount is not None:
        amount = query.suppose.amount
        return replace(query, suppose=replace(query.suppose, amount=amount._replace(value=amount.value * times)))
    if query.measure is not None:
        return replace(query, measure=replace(query.measure, value=query.measure.value * times))
    if query.area is not None:
        return replace(query, area=query.area._replace(value=query.area.value * times))
    return replace(query, count=round((query.count or 1) * times))


def _moved(time: Time, later: timedelta) -> Time:
    def put_off(moment: datetime) -> datetime:
        return like(utc(moment) + later, moment)

    match time:
        case At(moment):
            return At(put_off(moment))
        case By(moment):
            return By(put_off(moment))
    return Between(put_off(time.start), put_off(time.end))


def _fitting(old: Query, new: Query, fragment: Fragment) -> Query:
    """Make property and shape go together again after what was said of them."""
    if fragment.stage is not None and fragment.what is None and new.what not in _STAGED:
        new = replace(new, what=Property.READY, act=None)
    if fragment.unknown is not None and fragment.shape is None:
        new = replace(new, shape=Shape.NEEDED)
    elif old.shape is Shape.NEEDED and fragment.shape is None and _answers_it(new):
        new = replace(new, shape=Shape.WHETHER, unknown=None)
    if fragment.shape is not None and fragment.shape is not Shape.NEEDED:
        new = replace(new, unknown=None)
    found = resolver(new.what)
    if found is not None and new.shape not in found.shapes:
        new = replace(new, shape=found.natural)
    return new


def _answers_it(query: Query) -> bool:
    """Whether what was solved for is now said: "how warm must it be?" - "and at eighteen?"."""
    suppose = query.suppose
    if query.unknown is None or suppose is None:
        return False
    said = {"temperature": suppose.temperature, "humidity": suppose.humidity, "amount": query.amount}
    return said.get(query.unknown.value) is not None
