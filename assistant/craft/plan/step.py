"""What a plan is made of: steps, what each waits for, and where each came to lie."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from assistant.craft.times import hours, like

#: Night to the person and the neighbours: 23:00 to 07:00 (the night of Directive 2002/49/EC, Annex I).
NIGHT: Final = (time(23), time(7))


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work for one person.

    ``kind`` is the journal's (coat, sand, fill, ..., or ``task`` for a plain text). ``waits`` is the stage of
    the last film on the piece that it needs; ``until`` a stage before which it must be done (tape);
    ``dries`` the hours that must pass after it. ``after`` are ids of steps that must be done before.
    ``key`` is what it costs, in minutes, to come after the overcoating window has shut (0: it is rubbed
    down anyhow, so only washed then; None: it has no window).
    """

    id: str
    task: str
    kind: str
    text: str
    minutes: float
    piece: str | None = None
    space: str | None = None
    product: str | None = None
    coat: int | None = None
    grit: int | None = None
    area: float = 1.0
    noise: bool = False
    dust: bool = False
    hot: bool = False
    opens: bool = False
    straight: bool = False
    waits: str | None = None
    until: str | None = None
    dries: float = 0.0
    key: float | None = None
    after: tuple[str, ...] = ()
    gear: tuple[str, ...] = ()
    batch: str | None = None
    basis: str = ""

    @property
    def lays(self) -> bool:
        """Whether it leaves a film or a glue line behind."""
        return self.kind in ("coat", "fill", "bond")


@dataclass(frozen=True, slots=True)
class Placed:
    """A step with its time. ``late``: the window has shut by then, so it is keyed and washed first.

    ``ready`` is when all that it waits for is there; ``held`` says in words what kept it until ``start``.
    """

    step: Step
    start: datetime
    end: datetime
    late: bool = False
    ready: datetime | None = None
    held: str = ""

    @property
    def text(self) -> str:
        """What is done, in the trade's words."""
        if not self.late:
            return self.step.text
        return f"{'key it wet with P240 and wash' if self.step.key else 'wash it'}, then {self.step.text}"

    @property
    def piece(self) -> str | None:
        """The piece worked on, if any."""
        return self.step.piece


@dataclass(frozen=True, slots=True)
class LaidFilm:
    """A film of the plan or of the journal: when each stage comes (None: never in this air) and the window.

    ``shuts`` is the end of the overcoating window, None where there is none. ``done``: it is on already.
    """

    piece: str
    product: str | None
    laid: datetime
    space: str | None
    stages: tuple[tuple[str, datetime | None], ...]
    shuts: datetime | None = None
    coat: int | None = None
    done: bool = False

    def at(self, stage: str) -> datetime | None:
        """Give when a stage comes, or None if nothing says so."""
        return dict(self.stages).get(stage)


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A step that cannot be done at all as things are, and why."""

    step: Step
    why: str


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time; ``what`` is ``sleep``, ``quiet`` or ``away``."""

    what: str
    start: datetime
    end: datetime


@dataclass(frozen=True, slots=True)
class Plan:
    """The week as laid out.

    ``finish`` is the end of the last hands-on step and ``ready`` when every last film can be handled.
    ``bound`` is the earliest finish not yet ruled out (equal to ``finish`` when ``optimal``). ``holds`` is None
    without a deadline, or where figures are missing so that nothing can be promised.
    """

    now: datetime
    steps: tuple[Placed, ...] = ()
    films: tuple[LaidFilm, ...] = ()
    spans: tuple[Span, ...] = ()
    feasible: bool = True
    optimal: bool = True
    finish: datetime | None = None
    ready: datetime | None = None
    bound: datetime | None = None
    deadline: datetime | None = None
    critical: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()
    assumes: tuple[str, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    sure: bool = True  # no wait in it is a guess

    @property
    def holds(self) -> bool | None:
        """Whether the deadline holds."""
        if self.deadline is None:
            return None
        if self.unplaced:
            return False
        if self.finish is None:
            return True
        in_time = hours(self.finish, self.deadline) >= 0.0
        return in_time if self.sure or not in_time else None

    @property
    def slack_h(self) -> float | None:
        """Hours between the finish and the deadline, negative when late."""
        if self.deadline is None or self.finish is None or self.unplaced:
            return None
        return round(hours(self.finish, self.deadline), 2)

    @property
    def late_by(self) -> timedelta | None:
        """How much the deadline is missed by; None if it is not, or nothing finishes."""
        slack = self.slack_h
        return timedelta(hours=-slack) if slack is not None and slack < 0.0 else None

    def on(self, day: date) -> tuple[Placed, ...]:
        """Give what starts on that day, in the plan's zone."""
        return tuple(p for p in self.steps if like(p.start, self.now).date() == day)

    def hands_on(self) -> float:
        """Hours of work in all."""
        return sum(hours(p.start, p.end) for p in self.steps)
