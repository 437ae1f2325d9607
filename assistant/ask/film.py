"""What the answers about films share: the facts of a stage, the bars before it, and the sum behind it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from assistant.ask.answer import Bar, Facts, Veto, Worked
from assistant.ask.job import Job
from assistant.craft.air import Spell
from assistant.craft.cure import hours_at, shares
from assistant.craft.readiness import KEY, REST, Film, Readiness, surfaces
from assistant.craft.times import like, spoken, utc
from assistant.language.query import Stage
from assistant.quantity import Amount
from assistant.wording import capital, figure, listed, when

#: What a piece that is at a stage can or is.
CAN: Final = {
    Stage.TOUCH: "is touch dry", Stage.DUST: "is dust-free", Stage.SAND: "can be sanded",
    Stage.OVERCOAT: "can be recoated", Stage.HANDLE: "can be handled", Stage.CURED: "is fully cured",
}  # fmt: skip
CANNOT: Final = {
    Stage.TOUCH: "is not touch dry", Stage.DUST: "is not dust-free", Stage.SAND: "cannot be sanded",
    Stage.OVERCOAT: "cannot be recoated", Stage.HANDLE: "cannot be handled", Stage.CURED: "is not fully cured",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFacts(Facts):
    """A film and a stage. ``earliest`` is the film's own; ``ready`` has every veto in it."""

    piece: str | None
    ready: bool
    earliest: datetime | None
    latest: datetime | None
    assumes: tuple[Taken, ...] = ()
    source: str = ""


@dataclass(frozen=True, slots=True)
class Taken:
    """A stretch of air that was taken."""

    from_: datetime
    to: datetime | None
    temperature: Amount
    source: str


def taken(spells: tuple[Spell, ...]) -> tuple[Taken, ...]:
    """Give the air a film was reckoned by."""
    return tuple(Taken(s.start, s.end, Amount(round(s.celsius, 1), "degC"), s.source) for s in spells)


def facts(found: Readiness, about: str, *, ready: bool) -> StageFacts:
    """Give the facts of a readiness, with the decision."""
    return StageFacts(
        about=about, piece=found.piece, ready=ready, earliest=found.earliest, latest=found.latest,
        assumes=taken(found.assumes), source=found.source or (found.unknown or ""),
    )  # fmt: skip


def shut(found: Readiness, at: datetime) -> bool:
    """Whether the window for the next coat has shut by ``at`` and nothing was done about it."""
    return found.stage == "overcoat" and found.latest is not None and utc(found.latest) <= utc(at) and not found.ready


def bars(job: Job, found: Readiness, part: str | None = None) -> list[Veto]:
    """Give what in the film itself speaks against a stage: too soon, or its window shut."""
    if found.ready:
        return []
    the = named(found.piece, part)
    if shut(found, job.at) and found.latest is not None:
        text = f"the window on {the} shut at {spoken(found.latest, job.now)}: {KEY}"
        out = [Veto(Bar.WINDOW, text, found.piece)]
        if found.earliest is None or utc(found.earliest) <= utc(job.at):
            return out
    else:
        out = []
    stage = Stage(found.stage)
    if found.earliest is None:
        return [*out, Veto(Bar.FILM, found.unknown or f"{the} stands still", found.piece)]
    at = when(found.earliest, job.now)
    text = f"{the} {CANNOT[stage]} before {at}"
    return [*out, Veto(Bar.FILM, text, found.piece, found.earliest, f"not before {at}")]


def wet_bars(job: Job, films: list[Readiness]) -> list[Veto]:
    """Give the wet films that dust would fall on."""
    out = []
    for film in films:
        why = film.unknown or "it is too cold to dry"
        text = f"the {film.piece} may be wet ({why})"
        if film.earliest is not None:
            text = f"the {film.piece} is wet until {when(film.earliest, job.now)}"
        out.append(Veto(Bar.WET, text, film.piece, film.earliest))
    return out


def closed_bar(job: Job, space: str | None) -> Veto | None:
    """Give the time a space is closed till, if it is: nothing is done in it."""
    from assistant.craft.plan.grid import ruled

    if space is None:
        return None
    ends = [e for s, e in ruled(job.state, "closed", job.at, 0, space) if utc(s) <= utc(job.at)]
    last = max(ends, key=utc, default=None)
    if last is None:
        return None
    return Veto(Bar.CLOSED, f"the {space} is closed until {when(last, job.now)}", None, last)


def named(piece: str, part: str | None) -> str:
    """Give a piece, or a part of one, as it is said."""
    return f"the {part} of the {piece}" if part else f"the {piece}"


def quiet_bar(job: Job) -> Veto | None:
    """Give the quiet hours that the moment lies in, if there are any."""
    from assistant.craft.plan.grid import ruled_until

    ends = ruled_until(job.state, "quiet", job.at)
    return None if ends is None else Veto(Bar.QUIET, f"quiet hours until {when(ends, job.now)}", None, ends)


def film_sum(job: Job, found: Readiness) -> Worked:
    """Give the sum behind a readiness, worked out only when it is asked for."""
    return Worked(lambda: _sum(job, found))


def _sum(job: Job, found: Readiness) -> str:
    film, card = _hangs_on(job, found), job.card(found.product)
    if found.unknown or film is None or card is None or found.earliest is None:
        return f"For the {found.piece}: {found.unknown or 'it is below its least temperature, so it does not dry'}."
    law = card.stages.get(found.stage) or card.stages.get("overcoat")
    parts = [f"{found.product} on the {found.piece}, laid {_local(film.laid, job)}"]
    if law is not None:
        rows = listed(f"{figure(r.hours)} h at {figure(r.celsius)} degrees" for r in law.rows)
        parts.append(f"{found.stage} after {rows} ({'label' if law.from_label else law.basis})")
        for s in shares(law, film.waits_from, found.assumes, card.least, found.earliest):
            need = "too cold, counts nothing"
            if s.needed:
                need = f"needs {figure(hours_at(law, s.celsius))} h, counts {s.share * 100:.0f} percent"
            parts.append(f"{_local(s.start, job)} to {_local(s.end, job)} at {figure(s.celsius)} degrees: {need}")
    parts.append(f"so {when(found.earliest, job.now)}")
    return ". ".join(map(capital, parts)) + f". Source: {found.source}."


def _hangs_on(job: Job, found: Readiness) -> Film | None:
    """Give the film that a readiness is of: of several parts the slowest one's."""
    tops = surfaces(job.state, found.piece, job.at)
    return tops.get(None if found.part == REST else found.part) or job.film(found.piece)


def _local(time: datetime, job: Job) -> str:
    return when(like(time, job.now), job.now)


def soonest(job: Job, *times: Any) -> datetime | None:
    """Give the first of some times that is after the moment asked about; those not known are passed over."""
    later = [t for t in times if t is not None and utc(t) > utc(job.at)]
    return min(later, key=utc, default=None)
