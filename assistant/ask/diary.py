"""A day or a span of days read back, of everything or of one piece."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Final

from assistant.ask.answer import Facts, Resolver, Row, plain
from assistant.ask.job import Job
from assistant.ask.subject import whole
from assistant.craft import day as craft
from assistant.craft.times import like
from assistant.language.query import At, Between, By, Property, Query, Shape

#: The night belongs to the day before it until then.
_NIGHT: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class DiaryFacts(Facts):
    """The day as the diary has it."""

    day: craft.Day

    def json(self) -> dict[str, Any]:
        """Give the diary's own public form."""
        from assistant.show.diary import answer

        found: dict[str, Any] = plain(answer(self.day))
        return found


def subjects(job: Job, query: Query) -> list[str | None]:
    """Give the pieces named, else the day as one."""
    return [*query.subject.pieces] or whole(job, query)


def row(job: Job, query: Query, piece: str | None) -> Row:
    """Read the days asked for; without a time today, or of a piece all there is."""
    from assistant.show.diary import at_it, spoken

    zone = craft.zone_of(job.state, job.now)
    if piece is not None and query.time is None:
        start = datetime(1970, 1, 2, tzinfo=zone)
        found = craft.of_piece(job.journal.history(start, job.now), job.state, job.cards, piece, job.now)
    else:
        first, last = _days(job, query)
        entries = job.journal.history(*craft.bounds(first, last, zone))
        found = craft.day(entries, job.state, job.cards, first, job.now, last=last, piece=piece)
    timed = query.shape in (Shape.HOW_LONG, Shape.WHEN) and bool(found.entries)
    return Row(
        name="the diary", facts=DiaryFacts(about="diary", day=found), decision=bool(found.standing), piece=piece,
        said=at_it(found) if timed else spoken(found),
    )  # fmt: skip


def _days(job: Job, query: Query) -> tuple[date, date]:
    match query.time:
        case Between(start, end):
            return like(start, job.now).date(), like(end, job.now).date()
        case At(moment) | By(moment):
            return like(moment, job.now).date(), like(moment, job.now).date()
    today = (job.now - timedelta(hours=_NIGHT)).date()
    return today, today


RESOLVER: Final = Resolver(
    what=Property.DIARY, subjects=subjects, row=row, natural=Shape.WHAT, condition=False, topic="the day read back",
    shapes=frozenset({Shape.WHAT, Shape.WHETHER, Shape.WHEN, Shape.HOW_LONG, Shape.HOW_MANY, Shape.WHY}),
)  # fmt: skip
