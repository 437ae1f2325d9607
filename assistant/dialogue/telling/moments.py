"""When it was: a moment, with the two ends of it where it was said vaguely, and when it began."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from assistant.craft.times import like, utc
from assistant.dialogue.scene import Scene
from assistant.dialogue.talk import Refused
from assistant.language.when import Clock, When, moments, resolve
from assistant.wording import stamp, when

#: A watch that is a little fast is no prophecy.
_LATE: Final = timedelta(minutes=2)
#: A window as long as this is read back by its two ends.
_LONG: Final = timedelta(hours=5)
#: Nobody works longer than this at one thing without naming another day.
_SHIFT: Final = timedelta(hours=14)
_YEAR: Final = timedelta(days=366)


@dataclass(frozen=True, slots=True)
class Moment:
    """When something was; ``said`` is false where nobody said and it is taken as now."""

    at: datetime
    between: tuple[datetime, datetime] | None = None
    began: datetime | None = None
    said: bool = False

    def told(self, now: datetime) -> str:
        """Give the time for a read-back: "about 10:00", "14:20", "09:00 to 10:00"; "" for now."""
        if not self.said and self.began is None:
            return stamp(self.at, now)
        text = self._window(now) if self.between else stamp(self.at, now)
        return f"{text}, begun {stamp(self.began, now)}" if self.began else text

    def _window(self, now: datetime) -> str:
        assert self.between is not None
        first, last = self.between
        if utc(last) - utc(first) < _LONG:
            return f"about {when(self.at, now)}"
        return f"between {like(first, now):%H:%M} and {stamp(last, now)}"


def done(scene: Scene, said: When | None, *, began: When | None = None, took: timedelta | None = None) -> Moment:
    """Give when something was done; now if nobody said. ``Refused`` for a time to come or over a year ago."""
    now = scene.now
    if said is None or not said.said:
        hinted = scene.hints.at
        start = _began(began, took, hinted or now, now)
        return Moment(hinted or now, began=start, said=hinted is not None)
    at, between = ends(said, now, "past")
    if utc(at) > utc(now) + _LATE:
        ahead = resolve(said, now, "future")
        raise Refused(f'{stamp(ahead, now)} is still to come: I log what is done. To plan it say "to do" first.')
    if utc(now) - utc(at) > _YEAR:
        raise Refused("That is more than a year ago: say the day again.")
    return Moment(at, between, _began(began, took, at, now), said=True)


def to_come(scene: Scene, said: When | None, *, by: bool = False) -> datetime | None:
    """Give a time to come, or None if none was said: of a vague one its start, ``by`` it its end."""
    if said is None or not said.said:
        return None
    at, between = ends(said, scene.now, "future")
    return between[1 if by else 0] if between else at


def ends(said: When, now: datetime, direction: str) -> tuple[datetime, tuple[datetime, datetime] | None]:
    """Give the moment of ``said`` and, where it is vague, the two ends of the time that it may be."""
    from assistant.language import when as times

    at = resolve(said, now, direction)
    window: Any = getattr(times, "window", None)
    if window is None:
        return at, None
    found = window(said, now, direction)
    first, last = getattr(found, "start", None), getattr(found, "end", None)
    if first is None and isinstance(found, tuple) and len(found) == 2:
        first, last = found
    if first is None or last is None or first == last:
        return at, None
    if direction == "past":
        last = min(last, now, key=utc)
    return (first + (last - first) / 2, (first, last)) if utc(first) < utc(last) else (at, None)


def on_its_day(clock: Clock, was: datetime, now: datetime, direction: str) -> datetime:
    """Give the clock time that puts ``was`` right: on the same day, of two halves the nearer that can be.

    What is past does not become to come, nor the other way about; where none can be it is the latest, or the next.
    """
    local = like(was, now)
    found = moments(clock, local.date(), now.tzinfo or UTC)
    can = [m for m in found if (utc(m) > utc(now)) == (direction == "future")]
    if not can:
        return resolve(When(clock=clock), now, direction)
    return min(can, key=lambda m: abs(utc(m) - utc(local)))


def _began(began: When | None, took: timedelta | None, at: datetime, now: datetime) -> datetime | None:
    if began is not None and began.said:
        start = resolve(began, at, "past")
        night = began.day is None and utc(at) - utc(start) > _SHIFT
        if utc(start) > utc(at) or night:
            start = resolve(began, now, "past") if night else start
            raise Refused(f"It can't have begun {stamp(start, now)} and been done {stamp(at, now)}: say it again.")
        return start
    return like(utc(at) - took, at) if took is not None and took > timedelta(0) else None
