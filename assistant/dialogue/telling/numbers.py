"""What a bare number in a correction is: it takes the role that the entry put right has. Two roles are asked about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final

from assistant.craft.times import like, utc
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Scene
from assistant.dialogue.talk import Back
from assistant.dialogue.telling.moments import on_its_day
from assistant.journal.events import Climate, Coat, Event, Hours, Mix, Note, Sand, Task, Tin
from assistant.language.when import Clock
from assistant.quantity import Amount
from assistant.wording import amount, figure, listed, ordinal, stamp

#: The coarsest and the finest grit there is.
_GRITS: Final = range(16, 5001)
#: A coat's number is put right by no more than this, or it is no number of a coat.
_SKIP: Final = 2
#: More thinner than anyone puts in, in percent.
_MOST_THINNER: Final = 60


@dataclass(frozen=True, slots=True)
class Role:
    """One thing that a number may be of an entry: its name, how it is asked about, and what it changes."""

    name: str
    words: str
    changes: dict[str, Any]


def bare(scene: Scene, numbers: tuple[float, ...], event: Event) -> dict[str, Any]:
    """Give the changes that bare numbers make of ``event``, none if they fit nothing of it; ``Back`` if two fit."""
    out: dict[str, Any] = {}
    for number in numbers:
        roles = [r for r in _roles(scene, number, event) if r.name not in out]
        hinted = [r for r in roles if r.name == scene.hints.role]
        chosen = hinted or roles
        if not chosen:
            continue
        if len(chosen) > 1:
            options = [r.words for r in chosen]
            names = " ".join(r.name for r in chosen)
            raise Back(f"{figure(number)}: {listed(options, 'or')}?", Slot.ROLE, options, value=names)
        out |= chosen[0].changes
    return out


def to_come_key(event: Event) -> str | None:
    """Give the key of the one time to come that an entry has: a task's ring, its day, a deadline; None for another."""
    if isinstance(event, Task):
        return next((k for k in ("ring", "due", "not_before") if getattr(event, k) is not None), None)
    return "to" if isinstance(event, Hours) and event.rule == "deadline" else None


def _roles(scene: Scene, number: float, event: Event) -> list[Role]:
    take = next((t for kind, t in _BY_KIND if isinstance(event, kind)), None)
    found = take(number, event) if take else []
    clock = _clock(scene, number, event)
    if clock is not None and (not found or (isinstance(event, Coat) and _time_was_said(event))):
        found.append(clock)
    return found


def _time_was_said(event: Event) -> bool:
    return abs((utc(event.said_at) - utc(event.at)).total_seconds()) > 120


def _clock(scene: Scene, number: float, event: Event) -> Role | None:
    hour = int(number)
    if number != hour or not 1 <= hour <= 24:
        return None
    hours = (hour % 24,) if hour > 12 else (hour % 12, hour % 12 + 12)
    if isinstance(event, Task | Hours):
        key = to_come_key(event)
        if key is None:
            return None
        was = getattr(event, "end" if key == "to" else key)
        coming = on_its_day(Clock(hours), was, scene.now, "future")
        return Role(key, f"at {stamp(coming, scene.now)}", {key: coming.isoformat()})
    if isinstance(event, Note):
        return None
    at = on_its_day(Clock(hours), event.at, scene.now, "past")
    if utc(at) == utc(event.at):
        return None
    changes: dict[str, Any] = {"at": at.isoformat()}
    if event.between is not None:
        changes["between"] = None
    return Role("at", f"at {stamp(like(at, scene.now), scene.now)}", changes)


def _of_coat(number: float, event: Event) -> list[Role]:
    assert isinstance(event, Coat)
    out = []
    if number == int(number) and 1 <= number <= event.coat + _SKIP and number != event.coat:
        out.append(Role("coat", f"the {ordinal(int(number)).lower()} coat", {"coat": int(number)}))
    if event.thinned is not None and 0 <= number <= _MOST_THINNER and number != event.thinned.value:
        said = Amount(number, "percent")
        out.append(Role("thinned", f"thinned {amount(said)}", {"thinned": said.to_json()}))
    return out


def _of_sand(number: float, event: Event) -> list[Role]:
    assert isinstance(event, Sand)
    fits = number == int(number) and int(number) in _GRITS and number != event.grit
    # "four" of a sanding is a time, "sixty" its grit
    return [Role("grit", f"{int(number)} grit", {"grit": int(number)})] if fits else []


def _of_climate(number: float, event: Event) -> list[Role]:
    assert isinstance(event, Climate)
    out = []
    if (event.temperature is not None or event.humidity is None) and -30 <= number <= 60:
        said = Amount(number, "degC")
        out.append(Role("temperature", amount(said), {"temperature": said.to_json()}))
    if event.humidity is not None and 0 < number <= 100:
        said = Amount(number, "percent")
        out.append(Role("humidity", f"{amount(said)} humidity", {"humidity": said.to_json()}))
    return out


def _of_amount(number: float, event: Event) -> list[Role]:
    assert isinstance(event, Mix | Tin)
    if event.amount is None or number <= 0:
        return []
    said = Amount(number, event.amount.unit)
    return [Role("amount", amount(said), {"amount": said.to_json()})]


_BY_KIND: Final[tuple[tuple[type[Event], Callable[[float, Event], list[Role]]], ...]] = (
    (Coat, _of_coat), (Sand, _of_sand), (Climate, _of_climate), (Mix, _of_amount), (Tin, _of_amount),
)  # fmt: skip
__all__ = ["Role", "bare"]
