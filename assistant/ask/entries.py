"""The journal's entries in a few words each, and how they are found."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from assistant.ask.job import Job
from assistant.craft.times import utc
from assistant.journal.events import (
    Climate,
    Coat,
    Event,
    Fault,
    Gear,
    Mix,
    Note,
    Sand,
    Set,
    Task,
    Tin,
    Work,
)
from assistant.language.meanings import Act
from assistant.language.query import Between, By, Query
from assistant.wording import amount, figure, listed, nth, when

#: Kinds of entry that tell of work on a piece.
WORKED: Final = {
    "fill": "filling", "strip": "stripping", "clean": "cleaning", "mask": "masking", "unmask": "tape off",
    "bond": "gluing", "fit": "fitting", "coat": "coat", "sand": "sanding", "mix": "mix",
}  # fmt: skip
_ALL: Final = 1_000_000


def describe(event: Event, now: datetime) -> str:
    """Give a few words for an entry, its time at the end: ``second coat on the hatch trim, amber varnish, 02:05``."""
    at = when(event.at, now)
    match event:
        case Coat():
            thinned = f"thinned {amount(event.thinned)}" if event.thinned is not None else ""
            parts = [f"{nth(event.coat)} coat on the {event.piece}", event.product or "", thinned, at]
        case Sand():
            parts = [f"sanding the {event.piece}" + (f" with {event.grit}" if event.grit else ""), at]
        case Mix():
            parts = [f"{amount(event.amount) + ' of ' if event.amount else ''}{event.product} mixed", at]
        case Climate():
            said = [amount(a) for a in (event.temperature, event.humidity) if a]
            parts = [f"{listed(said)} {'in the ' + event.space if event.space else 'everywhere'}", at]
        case Fault():
            parts = [f"{event.fault}" + (f" on the {event.piece}" if event.piece else ""), at]
        case Tin():
            parts = [f"{event.product} {event.change}" + (f", {amount(event.amount)}" if event.amount else ""), at]
        case Note():
            parts = [f'the note "{event.text[:40]}"', at]
        case Work():
            parts = [f"{WORKED[event.kind]} the {event.piece}", event.product or "", at]
        case Set():
            parts = [f"new {event.what} {event.name}", at]
        case Task():
            parts = [event.text, at]
        case Gear():
            parts = [f"{event.item} {event.change}", at]
        case _:
            parts = [event.kind, at]
    return ", ".join(part for part in parts if part)


def kinds_of(query: Query) -> tuple[str, ...]:
    """Give the kinds of entry that a query is about; none: all that tell of work."""
    if query.item is not None:
        return (query.item,)
    if query.act is None:
        return ()
    return {Act.THIN: ("coat",), Act.CLAMP: ("bond",)}.get(query.act, (query.act.value,))


def find(job: Job, query: Query, piece: str | None) -> list[Event]:
    """Give the entries that stand and that a query is about, in the order they happened, none later than asked of."""
    kinds = kinds_of(query)
    if isinstance(query.time, Between):
        found = _between(job, query.time, kinds, piece)
    else:
        found = [e for k in kinds or WORKED for e in job.journal.search(kind=k, piece=piece, limit=_ALL)]
    edge = utc(query.time.moment) if isinstance(query.time, By) else utc(job.at)
    if isinstance(query.time, Between):
        edge = utc(query.time.end)
    products = set(query.subject.products) | _labels(job, query)
    kept = [
        e for e in found
        if utc(e.at) <= edge and (kinds or e.kind in WORKED) and _fits(job, e, query, products)
    ]  # fmt: skip
    return sorted(kept, key=lambda e: (utc(e.at), e.id))


def _between(job: Job, span: Between, kinds: Iterable[str], piece: str | None) -> list[Event]:
    found = job.journal.between(span.start, span.end)
    wanted = tuple(kinds)
    return [
        e for e in found
        if (not wanted or e.kind in wanted) and (piece is None or getattr(e, "piece", None) == piece)
    ]  # fmt: skip


def _labels(job: Job, query: Query) -> set[str]:
    return set(job.labels(query.subject.kinds)) if query.subject.kinds else set()


def _fits(job: Job, event: Event, query: Query, products: set[str]) -> bool:
    subject = query.subject
    piece = getattr(event, "piece", None)
    if products and getattr(event, "product", None) not in products:
        return False
    if subject.spaces and (job.state.space_of(piece) if piece else getattr(event, "space", None)) not in subject.spaces:
        return False
    if piece in subject.besides:
        return False
    if query.grit is not None and getattr(event, "grit", None) != query.grit:
        return False
    return query.ordinal is None or query.since is not None or getattr(event, "coat", None) == query.ordinal


def figures(event: Event) -> str:
    """Give the grit of a sanding, or what a coat was thinned by; "" for neither."""
    if isinstance(event, Sand) and event.grit:
        return f"{event.grit} grit"
    if isinstance(event, Coat) and event.thinned is not None:
        return f"{figure(event.thinned.value)} percent"
    return ""
