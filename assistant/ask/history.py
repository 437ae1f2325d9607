"""The journal as a relation: first, last, between, how many, how long between, with what, at what temperature."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Facts, Resolver, Row, Told
from assistant.ask.entries import WORKED, describe, find, kinds_of
from assistant.ask.job import Job
from assistant.ask.subject import pieces_of
from assistant.ask.words import some
from assistant.craft.air import humidity_now, temperature_now
from assistant.craft.times import utc
from assistant.journal.events import Bond, Coat, Event, Fill, Mix, Sand, Tin
from assistant.language.query import Detail, Property, Query, Shape
from assistant.quantity import Amount
from assistant.wording import amount, lasting, listed, many, nth, when


@dataclass(frozen=True, slots=True)
class Total:
    """What a product or a kind of entry came to."""

    name: str
    count: int
    amount: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryFacts(Facts):
    """What the journal holds: entries in order, the time between two of them, what they add up to."""

    piece: str | None
    events: tuple[Event, ...]
    count: int
    interval: Amount | None = None
    totals: tuple[Total, ...] = ()
    temperature: Amount | None = None
    humidity: Amount | None = None


#: What a piece has had, by the kind of the entry.
_HAD: Final[dict[tuple[str, ...], str]] = {
    ("coat",): "has had a coat", ("sand",): "has been sanded", ("fill",): "has been filled",
    ("strip",): "has been stripped", ("clean",): "has been cleaned", ("mask",): "has been masked",
    ("unmask",): "has had its tape off", ("bond",): "has been glued", ("fit",): "has been fitted",
}  # fmt: skip


def _had(query: Query) -> str:
    return _HAD.get(kinds_of(query), "has it") if query.shape is Shape.WHICH else ""


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, one by one; where none is, the journal as one, but each piece if asked which."""
    subject = query.subject
    if subject.pieces:
        return [p for p in subject.pieces if p not in subject.besides]
    if query.shape in (Shape.WHICH, Shape.COMPARE) or subject.having:
        return [*pieces_of(job, subject)]
    return [None]


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Look one piece, or the whole journal, up."""
    found = find(job, query, piece)
    if query.since is not None:
        return _since(job, query, piece, found)
    name = f"the {piece}" if piece else "the journal"
    if not found:
        facts = EntryFacts(about="entry", piece=piece, events=(), count=0)
        return Row(
            name=name, facts=facts, decision=False, said=f"no {_what(query, piece)} in the journal", count=0,
            piece=piece, can=_had(query), cannot="has none",
        )  # fmt: skip
    chosen = found[0] if query.shape is Shape.FIRST else found[-1]
    facts = EntryFacts(
        about="entry", piece=piece, events=_shown(query, found, chosen), count=len(found),
        interval=_interval(query, job, found), totals=_totals(found),
    )  # fmt: skip
    facts = _with_air(job, facts, chosen) if query.detail in (Detail.TEMPERATURE, Detail.HUMIDITY) else facts
    said = _said(job, query, piece, found, chosen, facts)
    product = getattr(chosen, "product", None)
    return Row(
        name=name, facts=facts, decision=True, said=said, count=len(found), piece=getattr(chosen, "piece", piece),
        product=product, moment=chosen.at, cannot="has none",
        can=_had(query),
        value=_value(query, facts), evidence=Told(f"Entry {chosen.id}: {describe(chosen, job.now)}."),
    )  # fmt: skip


def _shown(query: Query, found: Sequence[Event], chosen: Event) -> tuple[Event, ...]:
    single = query.shape in (Shape.FIRST, Shape.LAST, Shape.WHEN) or query.detail is not Detail.TIME
    return (chosen,) if single and query.detail is not Detail.INTERVAL else tuple(found)


def _interval(query: Query, job: Job, found: Sequence[Event]) -> Amount | None:
    if query.detail is Detail.INTERVAL and len(found) > 1:
        return _minutes(utc(found[-1].at) - utc(found[0].at))
    return _minutes(utc(job.now) - utc(found[-1].at)) if query.shape is Shape.HOW_LONG else None


def _minutes(span: timedelta) -> Amount:
    return Amount(round(span.total_seconds() / 60.0), "min")


def _totals(found: Sequence[Event]) -> tuple[Total, ...]:
    """Add up by product, or by kind where there is none; amounts of one measure only."""
    names = dict.fromkeys(getattr(e, "product", None) or e.kind for e in found)
    out = []
    for name in names:
        mine = [e for e in found if (getattr(e, "product", None) or e.kind) == name]
        amounts = [e.amount for e in mine if isinstance(e, Mix | Tin) and e.amount is not None]
        units = {a.unit for a in amounts}
        whole = Amount(sum(a.value for a in amounts), units.pop()) if len(units) == 1 else None
        out.append(Total(name, len(mine), whole))
    return tuple(out)


def _with_air(job: Job, facts: EntryFacts, event: Event) -> EntryFacts:
    """Add the air there was: of the piece's space at the entry's own time."""
    piece = getattr(event, "piece", None)
    space = job.state.space_of(piece) if piece else getattr(event, "space", None)
    spell = temperature_now(job.state, space, event.at)
    damp = humidity_now(job.state, space, event.at)
    return replace(
        facts, temperature=None if spell.source == "assumed" else Amount(spell.celsius, "degC"),
        humidity=None if damp is None else Amount(damp, "percent"),
    )  # fmt: skip


def _value(query: Query, facts: EntryFacts) -> Amount | None:
    if query.detail is Detail.TOTAL:
        return next((t.amount for t in facts.totals), None)
    return {Detail.TEMPERATURE: facts.temperature, Detail.HUMIDITY: facts.humidity}.get(query.detail)


def _said(job: Job, query: Query, piece: str | None, found: Sequence[Event], chosen: Event, facts: EntryFacts) -> str:
    if query.shape is Shape.HOW_MANY:
        return f"{len(found)} {_what(query, piece, len(found))}, the last {when(chosen.at, job.now)}"
    if query.detail is Detail.TOTAL or query.shape is Shape.HOW_MUCH:
        return listed(f"{amount(t.amount)} of {t.name}" if t.amount else many(t.count, t.name) for t in facts.totals)
    told = describe(chosen, job.now)
    if query.detail is Detail.INTERVAL and facts.interval is not None and len(found) > 1:
        span = lasting(timedelta(minutes=facts.interval.value))
        return f"{span} from {describe(found[0], job.now)} to {describe(found[-1], job.now)}"
    if query.shape is Shape.HOW_LONG:
        return f"{lasting(utc(job.now) - utc(chosen.at))} ago: {told}"
    detail = _DETAILS.get(query.detail)
    if detail is not None:
        return f"{detail(chosen, facts)}: {told}"
    if query.shape in (Shape.WHAT, Shape.WHICH) and len(found) > 1 and query.shape is Shape.WHAT:
        return some(describe(e, job.now) for e in found)
    return told


def _grit(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    return f"{event.grit} grit" if isinstance(event, Sand) and event.grit else "you said no grit"


def _thinned(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    return amount(event.thinned) if isinstance(event, Coat) and event.thinned else "you said of no thinner"


def _product(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    return getattr(event, "product", None) or "you said no product"


def _amount(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    said = getattr(event, "amount", None)
    return amount(said) if said is not None else "you said no amount"


def _warm(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    return amount(facts.temperature) if facts.temperature else "nobody said how warm it was"


def _damp(event: Event, facts: EntryFacts) -> str:  # noqa: ARG001
    return f"{amount(facts.humidity)} humidity" if facts.humidity else "nobody said how damp it was"


_DETAILS: Final[dict[Detail, Callable[[Event, EntryFacts], str]]] = {
    Detail.GRIT: _grit, Detail.THINNED: _thinned, Detail.PRODUCT: _product, Detail.AMOUNT: _amount,
    Detail.TEMPERATURE: _warm, Detail.HUMIDITY: _damp,
}  # fmt: skip


def together(rows: Sequence[Row]) -> EntryFacts:
    """Give the entries of several pieces as one list, in the order they happened, and added up."""
    facts = [r.facts for r in rows if isinstance(r.facts, EntryFacts)]
    events = {e.id: e for f in facts for e in f.events}
    merged: dict[str, Total] = {}
    for total in (t for f in facts for t in f.totals):
        merged[total.name] = _added(merged[total.name], total) if total.name in merged else total
    return EntryFacts(
        about="entry", piece=None, events=tuple(sorted(events.values(), key=lambda e: (utc(e.at), e.id))),
        count=sum(f.count for f in facts), totals=tuple(merged.values()),
    )  # fmt: skip


def _added(one: Total, other: Total) -> Total:
    if one.amount is None or other.amount is None or one.amount.unit != other.amount.unit:
        return Total(one.name, one.count + other.count)
    return Total(one.name, one.count + other.count, Amount(one.amount.value + other.amount.value, one.amount.unit))


def _since(job: Job, query: Query, piece: str | None, found: list[Event]) -> Row:
    """Set one act against another: whether it was done before the other one, and the time between the two.

    The other act is the one with the ordinal that was said, else the last; "before" is after the film before it.
    """
    assert query.since is not None
    others = find(job, replace(query, act=query.since, since=None), piece)
    name = f"the {piece}" if piece else "the journal"
    if not others:
        facts = EntryFacts(about="entry", piece=piece, events=(), count=0)
        what = _what(replace(query, act=query.since), piece)
        return Row(name=name, facts=facts, said=f"no {what} in the journal", unknown=f"no {what}", piece=piece)
    other = others[-1]
    films = [e for e in find(job, replace(query, act=None, since=None, ordinal=None), piece) if _lays(e)]
    floor = max((utc(e.at) for e in films if utc(e.at) < utc(other.at)), default=None)
    before = [e for e in found if utc(e.at) <= utc(other.at) and e.id != other.id]
    near = [e for e in before if floor is None or utc(e.at) >= floor]
    mine = near if query.shape is Shape.WHETHER else near or before or [e for e in found if e.id != other.id]
    if not mine:
        facts = EntryFacts(about="entry", piece=piece, events=(other,), count=0)
        said = f"no {_what(replace(query, ordinal=None), piece)} before the {describe(other, job.now)}"
        return Row(name=name, facts=facts, decision=False, said=said, count=0, piece=piece)
    one = mine[-1]
    span = abs(utc(other.at) - utc(one.at))
    facts = EntryFacts(about="entry", piece=piece, events=(one, other), count=len(mine), interval=_minutes(span))
    said = f"{lasting(span)} between {describe(one, job.now)} and {describe(other, job.now)}"
    return Row(
        name=name, facts=facts, decision=True, said=said, count=len(mine), piece=piece, moment=one.at, span=span,
        value=facts.interval, evidence=Told(f"Entries {one.id} and {other.id}."),
    )  # fmt: skip


def _lays(event: Event) -> bool:
    return isinstance(event, Coat | Fill | Bond)


def _what(query: Query, piece: str | None, number: int = 1) -> str:
    kinds = kinds_of(query)
    word = WORKED.get(kinds[0], kinds[0]) if kinds else "work" if query.shape is not Shape.HOW_MANY else "entries"
    if query.ordinal is not None and word == "coat":
        word = f"{nth(query.ordinal)} coat"
    elif number != 1 and word in ("coat", "mix"):
        word = {"coat": "coats", "mix": "mixes"}[word]
    of = f" of {listed(query.subject.products)}" if query.subject.products else ""
    return f"{word}{of}" + (f" on the {piece}" if piece else "")


RESOLVER: Final = Resolver(
    what=Property.ENTRY, subjects=subjects, row=row, natural=Shape.LAST, condition=False, gather=together,
    shapes=EVERY_SHAPE - {Shape.NEEDED}, topic="what the journal has of it",
)  # fmt: skip
