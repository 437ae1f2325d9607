"""Inverses: the condition that would do, found by asking the same evaluator again and again.

What is solved for lies on a ladder of values. Where more of it can only help, or only hurt, the ladder is halved;
the value found is always asked once more, and given only if the answer to it is yes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from assistant.ask.answer import Answer, Facts, Told
from assistant.ask.job import Talk
from assistant.ask.words import begun, opening, time_said
from assistant.craft.mix import MOST
from assistant.craft.times import like, utc
from assistant.language.query import At, Between, By, Query, Shape, Suppose, Unknown
from assistant.quantity import Amount
from assistant.wording import amount, when

Ask = Callable[[Query], Answer]

#: The air of a cabin, in half degrees: nobody heats it over 35.
_DEGREES: Final = tuple(k / 2 for k in range(0, 71))
_PERCENT: Final = tuple(float(k) for k in range(100, 0, -1))


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed(Facts):
    """The condition that would do; what was not asked for is None."""

    piece: str | None = None
    product: str | None = None
    temperature: Amount | None = None
    humidity: Amount | None = None
    amount: Amount | None = None
    start: datetime | None = None


def solve(query: Query, talk: Talk, ask: Ask) -> Answer:
    """Solve for the unknown of a query; the reply says when nothing does."""
    match query.unknown:
        case Unknown.TEMPERATURE:
            return _temperature(query, talk, ask)
        case Unknown.HUMIDITY:
            return _humidity(query, talk, ask)
        case Unknown.AMOUNT:
            return _amount(query, talk, ask)
    return _start(query, talk, ask)


def _whether(query: Query) -> Query:
    return replace(query, shape=Shape.WHETHER, unknown=None, negated=False)


def _with(query: Query, **what: object) -> Query:
    suppose = replace(query.suppose or Suppose(), **what)  # type: ignore[arg-type]
    return replace(query, suppose=suppose)


def first_true(ladder: Sequence[float], good: Callable[[float], bool]) -> float | None:
    """Give the first value of a ladder that is good, given that all after it are; None if even the last is not."""
    low, high = 0, len(ladder) - 1
    if not good(ladder[high]):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if good(ladder[middle]) else (middle + 1, high)
    return ladder[low]


def _warmth(query: Query, ask: Ask) -> Callable[[float], bool]:
    plain = _whether(query)
    return lambda degrees: ask(_with(plain, temperature=Amount(degrees, "degC"), warmer=None)).decision is True


def _temperature(query: Query, talk: Talk, ask: Ask) -> Answer:
    """Find the least temperature that does, or the most where colder is better, as it is for a pot."""
    good = _warmth(query, ask)
    more = "more"
    if good(_DEGREES[0]) and not good(_DEGREES[-1]):
        found, more = first_true(_DEGREES[::-1], good), "less"
    else:
        found = first_true(_DEGREES, good)
    if found is None:  # too warm at the top, perhaps, where a window shuts: look at every whole degree
        found = next((d for d in _DEGREES[::2] if good(d)), None)
    subject = _named(query)
    if found is None:
        return _none(query, talk, ask, f"no air up to {_DEGREES[-1]:.0f} degrees does it for {subject}")
    degrees = Amount(found, "degC")
    inner = ask(_with(_whether(query), temperature=degrees, warmer=None))
    by = f"to be so {time_said(query, talk.now).lower()}" if query.time is not None else "to be so now"
    text = f"{amount(degrees)} or {more} from now on: {_claim(inner, query)}, {by}"
    if found == _DEGREES[0] and more == "more":
        text = f"however cold it is: {_claim(inner, query)}, {by}"
    if query.goal is not None:
        text = f"{amount(degrees)} or {more}: {_claim(inner, query)} then leaves {amount(query.goal)}"
    return _found(query, talk, inner, Needed(about="needed", temperature=degrees, piece=_piece(query, inner)), text)


def _humidity(query: Query, talk: Talk, ask: Ask) -> Answer:
    plain = _whether(query)
    found = first_true(_PERCENT, lambda p: ask(_with(plain, humidity=Amount(p, "percent"))).decision is True)
    if found is None:
        return _none(query, talk, ask, "no humidity is low enough")
    damp = Amount(found, "percent")
    inner = ask(_with(plain, humidity=damp))
    text = f"{amount(damp)} humidity at most for {_named(query)}"
    return _found(query, talk, inner, Needed(about="needed", humidity=damp), text)


def _amount(query: Query, talk: Talk, ask: Ask) -> Answer:
    """Find the most that can be mixed and still leave what is wanted, in whole ml or g."""
    plain = _whether(query)
    unit = "g" if query.by_weight else "ml"

    def fits(value: float) -> bool:
        return ask(replace(plain, amount=Amount(value, unit))).decision is True

    found = first_true([float(v) for v in range(int(MOST), 0, -1)], fits)
    left = amount(query.goal) if query.goal is not None else "the time wanted"
    if found is None:
        least = replace(query, amount=Amount(1.0, unit))
        return _none(least, talk, ask, f"not even {amount(Amount(1.0, unit))} leaves {left}")
    inner = ask(replace(plain, amount=Amount(found, unit)))
    product = inner.products[0] if inner.products else None
    most = amount(Amount(found, unit))
    if found >= MOST:
        text = f"any amount of {product} leaves {left}"
        return _found(query, talk, inner, Needed(about="needed", product=product), text)
    text = f"{most} of {product} at most leaves {left}"
    return _found(query, talk, inner, Needed(about="needed", amount=Amount(found, unit), product=product), text)


def _start(query: Query, talk: Talk, ask: Ask) -> Answer:
    """Find the latest minute at which the next coat may go on and the piece still be there in time."""
    match query.time:
        case At(moment) | By(moment) | Between(_, moment):
            end = moment
        case _:
            return replace(ask(_whether(query)), query=query)
    plain = _with(replace(_whether(query), time=At(end)))
    minutes = math.floor((utc(end) - utc(talk.now)).total_seconds() / 60)

    def laid(ago: float) -> datetime:
        return like(utc(end) - timedelta(minutes=ago), talk.now)

    def good(ago: float) -> bool:
        found = ask(_with(plain, laid=laid(ago)))
        return found.decision is True or (found.chosen is not None and _film_there(found))

    found = first_true([float(m) for m in range(max(minutes, 0) + 1)], good)
    if found is None:
        return _none(query, talk, ask, f"even a coat laid now is not there {time_said(query, talk.now).lower()}")
    at = laid(found)
    inner = ask(_with(plain, laid=at))
    text = f"{when(at, talk.now)} at the latest: {_claim(inner, query)}, with a coat laid then"
    return _found(query, talk, inner, Needed(about="needed", start=at, piece=_piece(query, inner)), text)


def _film_there(found: Answer) -> bool:
    """Whether only what is not the film itself speaks against it then: the coat was laid in time all the same."""
    return found.decision is False and bool(found.vetoes) and all(v.bar not in _FILM for v in found.vetoes)


_FILM: Final = ("film", "window")


def _named(query: Query) -> str:
    subject = query.subject
    if subject.pieces:
        return " and ".join(f"the {p}" for p in subject.pieces)
    return " and ".join((*subject.spaces, *subject.products)) or "that"


def _piece(query: Query, inner: Answer) -> str | None:
    return inner.chosen.piece if inner.chosen is not None else next(iter(query.subject.pieces), None)


def _claim(inner: Answer, query: Query) -> str:
    row = inner.chosen
    return f"{row.name} {row.can}" if row is not None and row.can else _named(query)


def _found(query: Query, talk: Talk, inner: Answer, facts: Needed, text: str) -> Answer:
    lead = opening(replace(query, time=None), talk.now)
    row = inner.chosen
    told = row.evidence if row is not None else None
    rows = () if row is None else (replace(row, evidence=told or Told(text)),)
    return replace(
        inner, query=query, reply=begun(lead, text), facts=facts, decision=True, rows=rows,
        chosen=rows[0] if rows else None,
    )  # fmt: skip


def _none(query: Query, talk: Talk, ask: Ask, text: str) -> Answer:
    """Say that nothing does, with what speaks against it as things are."""
    inner = ask(_whether(query))
    why = "; ".join(dict.fromkeys(v.text for v in inner.vetoes)) or inner.unknown or ""
    reply = begun(opening(query, talk.now), f"no: {text}" + (f" ({why})" if why else ""))
    facts = Needed(about="needed", piece=_piece(query, inner))
    return replace(inner, query=query, reply=reply, facts=facts, decision=False)
