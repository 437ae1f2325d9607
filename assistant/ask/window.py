"""How long a film may still be coated without a key, and which window shuts first."""

from __future__ import annotations

from typing import Final

from assistant.ask.answer import EVERY_SHAPE, Bar, Resolver, Row, Veto
from assistant.ask.film import facts, film_sum, named
from assistant.ask.job import Job
from assistant.ask.subject import filmed
from assistant.ask.words import full
from assistant.craft.readiness import KEY
from assistant.craft.times import utc
from assistant.language.query import Property, Query, Shape
from assistant.wording import when


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Work out one piece: yes while the window has not shut; ``moment`` is when it shuts."""
    assert piece is not None
    found = job.readiness(piece, "overcoat", query.subject.part)
    name = named(piece, query.subject.part)
    unknown, said = found.unknown if found.latest is None else None, ""
    if found.laid is None:
        said = f"I know of no film on {name}: no window to shut"
    elif unknown is None and found.latest is None:
        said = f"no label shuts a window on {name}: it can wait, as far as I know"
    shut = found.latest is not None and utc(found.latest) <= utc(job.at)
    keyed = shut and found.ready
    vetoes: tuple[Veto, ...] = ()
    if shut and not keyed and found.latest is not None:
        verb = "shut" if utc(found.latest) <= utc(job.now) else "shuts"
        text = f"the window {verb} at {when(found.latest, job.now)}: {KEY}"
        vetoes = (Veto(Bar.WINDOW, text, piece),)
    decision = None if found.laid is None or unknown is not None else not vetoes
    return Row(
        name=name, facts=facts(found, "overcoat", ready=found.ready), decision=decision, said=said,
        can="can wait for its next coat" if not keyed else "can be coated, keyed since its window shut",
        cannot="cannot wait for its next coat",
        then=f"the window on {name} shuts", unknown=unknown, vetoes=vetoes, until=None if shut else found.latest,
        moment=found.latest, span=None if found.latest is None else utc(found.latest) - utc(job.at), piece=piece,
        product=found.product, notes=tuple(full(n) for n in found.notes), evidence=film_sum(job, found),
    )  # fmt: skip


RESOLVER: Final = Resolver(
    what=Property.WINDOW, subjects=filmed, row=row, natural=Shape.WHEN,
    shapes=EVERY_SHAPE - {Shape.HOW_MUCH, Shape.NEEDED}, topic="the window for the next coat shuts",
)  # fmt: skip
