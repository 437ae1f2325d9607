"""Which pieces, spaces or products a question is about: names, sets, filters and exceptions, written once for all."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

from assistant.ask.job import Job
from assistant.craft.readiness import films_on
from assistant.craft.times import utc
from assistant.craft.waits import coats_on, finished
from assistant.journal.events import Fault
from assistant.language.query import Has, Having, Query, Subject


def pieces_of(job: Job, subject: Subject) -> list[str]:
    """Give the pieces named, or all there are; in the spaces, of the products, as the filters have them."""
    known = dict.fromkeys((*job.state.pieces, *job.state.work))
    chosen: Iterable[str] = subject.pieces or known
    out = [p for p in dict.fromkeys(chosen) if p not in subject.besides]
    if subject.spaces:
        out = [p for p in out if job.state.space_of(p) in subject.spaces]
    out = [p for p in out if job.state.space_of(p) not in subject.besides]
    for having in subject.having:
        out = [p for p in out if meets(job, p, having)]
    return out


def filmed(job: Job, query: Query) -> list[str | None]:
    """Give the pieces asked about; where none is named, those that have a film of the products or kinds named."""
    subject = query.subject
    found = pieces_of(job, subject)
    if subject.pieces or any(h.has is Has.FILM for h in subject.having):
        return [*found]
    found = [p for p in found if job.film(p) is not None]
    if subject.products:
        found = [p for p in found if (f := job.film(p)) is not None and f.product in subject.products]
    if subject.kinds:
        found = [p for p in found if _of_kind(job, p, subject.kinds)]
    return [*found]


def every_piece(job: Job, query: Query) -> list[str | None]:
    """Give the pieces asked about, those with nothing on them among them."""
    return [*pieces_of(job, query.subject)]


def places(job: Job, query: Query) -> list[str | None]:
    """Give the spaces named, else those of the pieces named, else the whole boat as one (None)."""
    subject = query.subject
    if subject.spaces:
        return [s for s in subject.spaces if s not in subject.besides]
    if subject.pieces:
        return list(dict.fromkeys(job.state.space_of(p) for p in subject.pieces))
    if subject.besides or subject.having or subject.quantifier is not None:
        return [s for s in job.state.spaces if s not in subject.besides]
    return [None]


def every_place(job: Job, query: Query) -> list[str | None]:
    """Give the spaces asked about one by one: of the whole boat a single figure is nobody's."""
    found = places(job, query)
    return [*job.state.spaces] if found == [None] and job.state.spaces else found


def products_of(job: Job, query: Query) -> list[str | None]:
    """Give the products named, else the job's labels of the kinds named, else all of them."""
    subject = query.subject
    named = subject.products or tuple(job.labels(subject.kinds))
    return [p for p in named if p not in subject.besides]


def whole(job: Job, query: Query) -> list[str | None]:  # noqa: ARG001
    """Give the job itself as the one subject."""
    return [None]


def meets(job: Job, piece: str, having: Having) -> bool:
    """Say whether a piece meets a condition at the moment asked about; what is not known is not met."""
    return _TESTS[having.has](job, piece, having) is not having.negated


def _of_kind(job: Job, piece: str, kinds: tuple[str, ...]) -> bool:
    film = job.film(piece)
    card = job.card(film.product) if film else None
    return card is not None and (card.kind in kinds or card.generic in kinds)


def _filmed(job: Job, piece: str, having: Having) -> bool:
    films = films_on(job.state, piece, job.at)
    return any(having.product in (None, f.product) for f in films)


def _wet(job: Job, piece: str, having: Having) -> bool:  # noqa: ARG001
    return any(r.piece == piece for r in job.wet())


def _staged(job: Job, piece: str, having: Having) -> bool:
    assert having.stage is not None
    return job.readiness(piece, having.stage).ready


def _product(job: Job, piece: str, having: Having) -> bool:
    film = job.film(piece)
    return film is not None and film.product == having.product


def _sanded(job: Job, piece: str, having: Having) -> bool:  # noqa: ARG001
    film = job.film(piece)
    return film is not None and bool(film.sanded)


def _cleaned(job: Job, piece: str, having: Having) -> bool:  # noqa: ARG001
    film = job.film(piece)
    return film is not None and film.cleaned is not None


def _coats(job: Job, piece: str, having: Having) -> bool:
    on = coats_on(job.state, piece, job.at)
    number = on.get(having.product, 0) if having.product is not None else sum(on.values())
    return number >= (having.count or 1)


def _faulty(job: Job, piece: str, having: Having) -> bool:  # noqa: ARG001
    if any(t.piece == piece and t.state == "open" and t.text.startswith("put the ") for t in job.state.tasks):
        return True
    work = job.state.work.get(piece, ())
    return any(isinstance(e, Fault) and utc(e.at) <= utc(job.at) for e in work[-1:])


def _unfinished(job: Job, piece: str, having: Having) -> bool:  # noqa: ARG001
    return finished(job.state, piece, job.at) is False


_TESTS: Final[dict[Has, Callable[[Job, str, Having], bool]]] = {
    Has.FILM: _filmed, Has.WET: _wet, Has.STAGE: _staged, Has.PRODUCT: _product, Has.SANDED: _sanded,
    Has.CLEANED: _cleaned, Has.COATS: _coats, Has.FAULT: _faulty, Has.WORK: _unfinished,
}  # fmt: skip
