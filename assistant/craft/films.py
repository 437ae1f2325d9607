"""The films on a piece: what was laid on it or on a part of it, and what was done to that since.

What is done to a part leaves the rest as it was; what is done to the piece is done to every part. Where
a part was worked on, "the rest" goes on with the film that lay on all of it, until the counterpart of
that part was worked on too (the top half and the bottom half are the whole).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from assistant.craft.times import utc
from assistant.journal.events import Bond, Clean, Coat, Event, Fill, Sand, Strip
from assistant.journal.state import State

#: Words that make two halves, sides or faces the two of one thing.
_COUNTERPARTS: Final = (
    ("top", "bottom"), ("upper", "lower"), ("port", "starboard"), ("left", "right"), ("front", "back"),
    ("fore", "aft"), ("forward", "aft"), ("inner", "outer"), ("near", "far"), ("first", "second"), ("one", "other"),
    ("inside", "outside"), ("underside", "topside"),
)  # fmt: skip
#: Two ends or edges leave a middle; two of these leave nothing.
_HALVES: Final = ("half", "side", "face")
_WHOLES: Final = ("inside", "outside", "underside", "topside", "front", "back")


@dataclass(frozen=True, slots=True)
class Film:
    """What was last put on a piece or on ``part`` of it, and what was done to it since, in order.

    ``laid`` is when, for display: the end of the work, and the middle of a vague time, whose ends are
    ``between``. ``began`` is when the work began, if that was said.
    """

    piece: str
    kind: str  # coat, fill or bond
    product: str | None
    laid: datetime
    coat: int | None = None
    sanded: tuple[Sand, ...] = ()
    cleaned: datetime | None = None
    part: str | None = None
    between: tuple[datetime, datetime] | None = None
    began: datetime | None = None

    @property
    def waits_from(self) -> datetime:
        """The latest it can have been laid: what has to dry counts from here."""
        return self.between[1] if self.between else self.laid

    @property
    def shuts_from(self) -> datetime:
        """The earliest some of it can have been laid: what has to be done in time counts from here."""
        ends = (self.between[0] if self.between else self.laid, self.began or self.laid)
        return min(ends, key=utc)


def films_on(state: State, piece: str, until: datetime | None = None) -> tuple[Film, ...]:
    """Give every film on a piece and its parts since that was last stripped, the last one laid at the end."""
    films: list[Film] = []
    for event in _until(state.work.get(piece, ()), until):
        part = _part(event)
        if isinstance(event, Coat | Fill | Bond):
            films.append(_film(event))
        elif isinstance(event, Strip):
            films = [f for f in films if part is not None and f.part != part]
        else:
            place = next((i for i in reversed(range(len(films))) if part in (None, films[i].part)), len(films) - 1)
            if films:
                films[place] = _worked(films[place], event)
    return tuple(films)


def surfaces(state: State, piece: str, until: datetime | None = None) -> dict[str | None, Film]:
    """Give the film on top of each part of a piece, by part; None is the piece, or the rest of it.

    Parts that were stripped and not coated since have none. Empty if there is none at all.
    """
    return {part: film for part, film in _tops(state, piece, until).items() if film is not None}


def _tops(state: State, piece: str, until: datetime | None) -> dict[str | None, Film | None]:
    work = state.work.get(piece, ())
    first = 0
    for k in range(len(work) - 1, -1, -1):  # only what was done since the whole was last covered bears on it
        whole = isinstance(work[k], Coat | Fill | Bond | Strip) and _part(work[k]) is None
        if whole and (until is None or utc(work[k].at) <= utc(until)):
            first = k
            break
    tops: dict[str | None, Film | None] = {}
    for event in _until(work[first:], until):
        _put(tops, event)
    return tops


def _put(tops: dict[str | None, Film | None], event: Event) -> None:
    part = _part(event)
    if isinstance(event, Coat | Fill | Bond | Strip):
        if part is None:
            tops.clear()
        tops.pop(part, None)  # the last one laid goes to the end
        if part is not None or not isinstance(event, Strip):
            tops[part] = None if isinstance(event, Strip) else _film(event)
    elif isinstance(event, Sand | Clean):
        if part is not None:
            tops.setdefault(part, tops.get(None))
        for name, film in tops.items():
            if film is not None and part in (None, name):
                tops[name] = _worked(film, event)
    if part is not None and any(name is not None and make_whole(part, name) for name in tops):
        tops.pop(None, None)


def film_on(state: State, piece: str, until: datetime | None = None, part: str | None = None) -> Film | None:
    """Give the last coat, filler or glue on a piece as it stood at ``until``; None if there is none.

    With ``part`` the one on that part, which is that of the whole where nothing was done to the part.
    """
    tops = _tops(state, piece, until)
    if part is not None:
        return tops.get(part, tops.get(None))
    laid = [film for film in tops.values() if film is not None]
    return max(reversed(laid), key=lambda f: utc(f.laid), default=None)


def next_coat(
    state: State, piece: str, product: str | None, part: str | None = None, until: datetime | None = None
) -> int:
    """Give the number that a coat told without one has: one more than what lies there of that product.

    On a part the coats of that part and of the whole count; on the whole piece all of them do.
    """
    known = state.coats.get(piece, {}).get(product or "", 0) if part is None and until is None else 0
    numbers = [
        film.coat
        for film in films_on(state, piece, until)
        if film.coat is not None and film.product == product and (part is None or film.part in (None, part))
    ]
    return max(*numbers, known, 0) + 1


def make_whole(one: str, other: str) -> bool:
    """Tell whether two parts are the two of one thing, so that nothing is left between them."""
    first, second = one.casefold().split(), other.casefold().split()
    if len(first) != len(second) or not first:
        return False
    if not (first[-1] in _HALVES and second[-1] == first[-1]) and not (len(first) == 1 and first[0] in _WHOLES):
        return False
    unlike = [pair for pair in zip(first, second, strict=True) if pair[0] != pair[1]]
    return len(unlike) == 1 and any(set(unlike[0]) == set(pair) for pair in _COUNTERPARTS)


def _until(work: Sequence[Event], until: datetime | None) -> list[Event]:
    return [e for e in work if until is None or utc(e.at) <= utc(until)]


def _part(event: Event) -> str | None:
    part: str | None = getattr(event, "part", None)
    return part


def _film(event: Coat | Fill | Bond) -> Film:
    coat = event.coat if isinstance(event, Coat) else None
    return Film(
        event.piece, event.kind, event.product, event.at, coat, part=event.part, between=event.between,
        began=event.began,
    )  # fmt: skip


def _worked(film: Film, event: Event) -> Film:
    if isinstance(event, Sand):
        return replace(film, sanded=(*film.sanded, event))
    return replace(film, cleaned=event.at) if isinstance(event, Clean) else film
