"""Whether dust may be made in a place: every wet film in the same air, and quiet hours for a machine."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Resolver, Row
from assistant.ask.film import StageFacts, closed_bar, facts, film_sum, quiet_bar, soonest, wet_bars
from assistant.ask.job import Job
from assistant.ask.subject import places
from assistant.ask.words import full
from assistant.language.query import Property, Query, Shape, Unknown


def row(job: Job, query: Query, space: str | None) -> Row:
    """Work out one space, or the whole boat, at one moment."""
    wet = job.wet_in(space)
    vetoes = wet_bars(job, wet)
    if query.noisy and (quiet := quiet_bar(job)) is not None:
        vetoes.append(quiet)
    if (closed := closed_bar(job, space)) is not None:
        vetoes.append(closed)
    quiet = quiet_bar(job) if query.noisy is None and not vetoes else None
    known = StageFacts(
        about="dust", piece=None, ready=not vetoes, earliest=vetoes[0].until if vetoes else None, latest=None,
        source=vetoes[0].text if vetoes else "no film is wet there that I know of",
    )  # fmt: skip
    return Row(
        name=f"the {space}" if space else "the boat", facts=facts(wet[0], "dust", ready=False) if wet else known,
        decision=not vetoes, can="can take dust", cannot="cannot take dust", vetoes=tuple(vetoes),
        how=f"by hand ({quiet.text})" if quiet is not None else "",
        notes=tuple(full(n) for n in wet[0].notes) if wet else (), evidence=film_sum(job, wet[0]) if wet else None,
        again=soonest(job, *(v.until for v in vetoes)), piece=wet[0].piece if wet else None,
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.DUST, subjects=places, row=row, natural=Shape.WHETHER, waits=True,
    shapes=EVERY_SHAPE - {Shape.HOW_MUCH}, topic="dust may be made", needs=frozenset({Unknown.TEMPERATURE}),
)  # fmt: skip
