"""Whether and when a piece is ready for a stage, with everything that speaks against it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Resolver, Row, Veto
from assistant.ask.film import CAN, CANNOT, bars, closed_bar, facts, film_sum, named, quiet_bar, soonest, wet_bars
from assistant.ask.job import Job
from assistant.ask.subject import every_piece, filmed
from assistant.ask.words import full
from assistant.craft.clash import unfit
from assistant.craft.order import may
from assistant.craft.readiness import Readiness, surfaces
from assistant.craft.times import utc
from assistant.craft.waits import next_stage
from assistant.language.query import Property, Query, Shape, Stage, Unknown
from assistant.wording import when

#: Fully cured is no longer asked about: of course it can be touched.
_YOUNG: Final = frozenset({Stage.TOUCH, Stage.DUST, Stage.HANDLE})


def stage_of(job: Job, query: Query, piece: str) -> Stage:
    """Give the stage asked for; a bare "ready" is the one that comes next: a glue line's is that it bears handling."""
    if query.stage is not None:
        return query.stage
    film = job.film(piece)
    return Stage.OVERCOAT if film is None else Stage(next_stage(job.state, film, job.at))


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Work out one piece at one moment."""
    assert piece is not None
    stage = stage_of(job, query, piece)
    part = query.subject.part
    found = job.readiness(piece, stage, part)
    name = named(piece, part)
    blank = Row(
        name=name, facts=facts(found, stage, ready=False), can=CAN[stage], cannot=CANNOT[stage], piece=piece,
        product=found.product, unknown=found.unknown, notes=tuple(full(n) for n in found.notes),
        evidence=film_sum(job, found),
    )  # fmt: skip
    if found.laid is None:
        said = f"I know of no film on {name}: nothing to wait for, if that is so"
        against = _around(job, query, stage, found)
        if against:  # what is bare may be sanded, and its dust still falls on its neighbour
            return replace(
                blank, decision=False, unknown=None, vetoes=tuple(against), again=_again(job, found, against)
            )
        return replace(blank, said=said)
    if found.unknown is not None and not found.source:
        return replace(blank, again=_again(job, found, []))
    against = [*bars(job, found, part), *_around(job, query, stage, found)]
    ready = found.ready and not against
    air = [full(v.text) for v in against if v.bar is Bar.AIR]
    by_hand = ready and stage is Stage.SAND and query.noisy is None and (quiet := quiet_bar(job)) is not None
    return replace(
        blank, facts=facts(found, stage, ready=ready), notes=(*air, *blank.notes), decision=ready,
        vetoes=tuple(against), unknown=None, since=found.earliest if ready else None,
        until=found.latest if found.latest is not None and utc(found.latest) > utc(job.at) else None,
        how=f"by hand ({quiet.text})" if by_hand and quiet is not None else "",
        again=_again(job, found, against),
    )  # fmt: skip


def _around(job: Job, query: Query, stage: Stage, found: Readiness) -> list[Veto]:
    """Give what speaks against the work beside the film itself: dust, noise, air, and what goes over what."""
    out: list[Veto] = []
    space = job.state.space_of(found.piece)
    if stage in (Stage.SAND, Stage.OVERCOAT) and (closed := closed_bar(job, space)) is not None:
        out.append(closed)
    if stage is Stage.SAND:
        out += wet_bars(job, [f for f in job.wet_in(space) if f.piece != found.piece])
        out += _own_parts(job, found.piece, query.subject.part)
        if query.noisy and (quiet := quiet_bar(job)) is not None:
            out.append(quiet)
    if stage is Stage.OVERCOAT:
        over = _over(job, query, found.piece)
        product = over or found.product
        state = job.moved.get(found.piece, job.state)
        air = unfit(state, job.cards, found.piece, product, job.at, job.now)
        ends = job.next_air(_air_of(job, found)) if air else None
        for text in air:
            clause = text[:1].lower() + text[1:]
            out.append(Veto(Bar.AIR, clause, found.piece, ends, clause.partition(":")[0]))
        out += _order(job, found, over)
    return out


def _over(job: Job, query: Query, piece: str) -> str | None:
    """Give what is to go on a piece that was named, where that was said: a product, or a kind there is one of."""
    subject = query.subject
    if not subject.pieces or not (subject.products or subject.kinds):
        return None
    if subject.products:
        return subject.products[0]
    labels, planned = job.labels(subject.kinds), job.stuff(piece)
    return planned if planned in labels else labels[0] if len(labels) == 1 else None


def _own_parts(job: Job, piece: str, part: str | None) -> list[Veto]:
    """Give the parts of the piece itself that its dust would fall on, where only a part is to be sanded."""
    others = surfaces(job.state, piece, job.at) if part is not None else {}
    out = []
    for other in others:
        found = job.readiness(piece, "dust", other) if other not in (None, part) else None
        if found is not None and found.earliest is not None and not found.ready:
            text = f"{named(piece, other)} is wet until {when(found.earliest, job.now)}"
            out.append(Veto(Bar.WET, text, piece, found.earliest))
    return out


def _air_of(job: Job, found: Readiness) -> str | None:
    return job.moved.get(found.piece, job.state).space_of(found.piece)


def _order(job: Job, found: Readiness, over: str | None) -> list[Veto]:
    top, below = job.card(over), job.card(found.product)
    if top is None or below is None or over == found.product:
        return []
    verdict = may(top, below)
    film = job.film(found.piece)
    if verdict.verdict == "no":
        return [Veto(Bar.ORDER, f"{over} does not go over {found.product}: {verdict.why}", found.piece)]
    if verdict.verdict == "test":
        return [Veto(Bar.ORDER, f"{over} over {found.product} wants a test patch first: {verdict.why}", found.piece)]
    if verdict.verdict == "keyed" and film is not None and not film.sanded:
        return [Veto(Bar.ORDER, f"{over} over {found.product} wants a key first: {verdict.why}", found.piece)]
    return []


def _again(job: Job, found: Readiness, against: list[Veto]) -> datetime | None:
    space = _air_of(job, found)
    return soonest(job, found.earliest, *(v.until for v in against), job.next_air(space))


def pieces(job: Job, query: Query) -> list[str | None]:
    """Give the pieces asked about; what is fully cured is left out where only young films are meant."""
    if not query.subject.pieces and query.subject.having:
        return every_piece(job, query)
    found = filmed(job, query)
    if query.subject.pieces or query.stage not in _YOUNG:
        return found
    return [p for p in found if p is not None and not job.readiness(p, Stage.CURED).ready]


RESOLVER: Final = Resolver(
    what=Property.READY, subjects=pieces, row=row, natural=Shape.WHETHER, waits=True,
    shapes=EVERY_SHAPE - {Shape.HOW_MUCH}, topic="a piece is ready for a stage",
    needs=frozenset({Unknown.TEMPERATURE, Unknown.START}),
)  # fmt: skip
