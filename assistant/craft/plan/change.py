"""The one thing that a what-if changes, and how it changes the job or what is asked of the plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Final

from assistant.craft.air import temperatures
from assistant.craft.plan.grid import daily_rule
from assistant.craft.plan.step import NIGHT
from assistant.craft.plan.tasks import Night, Options
from assistant.craft.readiness import film_on
from assistant.craft.times import like, spoken, utc
from assistant.journal.events import Climate, Fault
from assistant.journal.state import State
from assistant.quantity import celsius

#: How far ahead a change of the weather is put in where nobody said until when.
AHEAD: Final = timedelta(days=28)


@dataclass(frozen=True, slots=True)
class Swap:
    """Another product. ``old`` None: whatever of the same kind is planned; ``piece`` None: everywhere."""

    new: str
    old: str | None = None
    piece: str | None = None


@dataclass(frozen=True, slots=True)
class Warmer:
    """So many degrees warmer (colder: negative) than expected, in one space or everywhere, for a time."""

    degrees: float
    space: str | None = None
    start: datetime | None = None
    end: datetime | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """Held at a temperature, in one space or everywhere; with ``nights`` only at night (heating on)."""

    celsius: float
    space: str | None = None
    start: datetime | None = None
    end: datetime | None = None
    nights: bool = False


@dataclass(frozen=True, slots=True)
class NightCoat:
    """One coat laid in the night from this hour on; ``piece`` None: the one where it gains most."""

    hour: int = 2
    piece: str | None = None


@dataclass(frozen=True, slots=True)
class MoreCoats:
    """So many coats more on a piece (fewer: negative)."""

    piece: str
    coats: int


@dataclass(frozen=True, slots=True)
class Without:
    """A piece or a task left out."""

    name: str


@dataclass(frozen=True, slots=True)
class Mishap:
    """A run, or another fault that has to harden, be flatted off and coated over again."""

    piece: str
    fault: str = "run"


@dataclass(frozen=True, slots=True)
class LostDay:
    """A day on which nothing gets done."""

    day: date


@dataclass(frozen=True, slots=True)
class Later:
    """Nothing is begun before this time."""

    start: datetime


@dataclass(frozen=True, slots=True)
class Skipped:
    """A step left out: the ``do`` (a journal kind, such as sand) before a coat of a piece."""

    piece: str
    do: str
    coat: int


Change = Swap | Warmer | Held | NightCoat | MoreCoats | Without | Mishap | LostDay | Later | Skipped


def told(change: Change, now: datetime) -> str:
    """Say a change in a few words: ``slow varnish instead of amber varnish``."""
    match change:
        case Swap(new, old, piece):
            return f"{new} instead{f' of {old}' if old else ''}{f' on the {piece}' if piece else ''}"
        case Warmer(degrees, space):
            way = "warmer" if degrees >= 0 else "colder"
            return f"{abs(degrees):g} degrees {way}{f' in the {space}' if space else ''}"
        case Held(degrees, space, nights=nights):
            kept = "heating on at night" if nights else "the air"
            return f"{kept} at {degrees:g} degrees{f' in the {space}' if space else ''}"
        case NightCoat(hour, piece):
            return f"a coat at {hour:02d}:00 in the night{f' on the {piece}' if piece else ''}"
        case MoreCoats(piece, coats):
            word = "more" if coats >= 0 else "fewer"
            return f"{abs(coats)} coat{'' if abs(coats) == 1 else 's'} {word} on the {piece}"
        case Without(name):
            return f"without the {name}"
        case Mishap(piece, fault):
            return f"a {fault} on the {piece}, flatted off and coated again"
        case LostDay(day):
            return f"{day:%A} lost"
        case Later(start):
            return f"starting at {spoken(start, now)}"
        case Skipped(piece, do, coat):
            return f"no {do}ing of the {piece} before coat {coat}"


def changed(change: Change, state: State, options: Options, now: datetime) -> tuple[State, Options]:
    """Give the job and the wishes as the change would have them; neither is touched itself."""
    match change:
        case Swap(new, old, piece):
            return state, replace(options, swaps=(*options.swaps, (piece, old, new)))
        case Warmer(degrees):
            return _air(state, now, change, lambda c: c + degrees), options
        case Held(degrees, space, nights=nights):
            if nights:
                return _nights(state, now, space, lambda c: max(c, degrees)), options
            return _air(state, now, change, lambda _: degrees), options
        case NightCoat(hour, piece):
            return state, replace(options, night=Night(hour, piece))
        case MoreCoats(piece, coats):
            return state, replace(options, more=(*options.more, (piece, coats)))
        case Without(name):
            return state, replace(options, dropped=options.dropped | {name})
        case Mishap(piece, fault):
            return _mishap(state, options, piece, fault, now)
        case LostDay(day):
            begin = datetime.combine(day, time(0), now.tzinfo)
            end = datetime.combine(day + timedelta(days=1), time(0), now.tzinfo)
            return state, replace(options, away=(*options.away, (begin, end)))
        case Later(start):
            return state, replace(options, not_before=start)
        case Skipped(piece, do, coat):
            return state, replace(options, skip=(*options.skip, (piece, do, coat)))


def _mishap(state: State, options: Options, piece: str, fault: str, now: datetime) -> tuple[State, Options]:
    if film_on(state, piece, now) is None:  # it will be in a coat to come: the same cost
        return state, replace(options, more=(*options.more, (piece, 1)))
    twin = state.copy()
    event = Fault(piece=piece, fault=fault, at=now, said_at=now)
    twin.work[piece] = (*state.work[piece], event)
    twin.tasks = tuple(t for t in state.tasks if t.text != f"put the {fault} right" or t.piece != piece)
    return twin, options


def _air(state: State, now: datetime, change: Warmer | Held, of: Callable[[float], float]) -> State:
    begin, finish = change.start or now, change.end or like(utc(now) + AHEAD, now)
    return _with_spells(state, now, change.space, [(begin, finish)], of)


def _nights(state: State, now: datetime, space: str | None, of: Callable[[float], float]) -> State:
    clocks = daily_rule(state, "sleep", now) or NIGHT
    nights = []
    for offset in range(-1, AHEAD.days):
        day = now.date() + timedelta(days=offset)
        over = timedelta(days=1) if clocks[1] <= clocks[0] else timedelta(0)
        begin = datetime.combine(day, clocks[0], now.tzinfo)
        finish = datetime.combine(day + over, clocks[1], now.tzinfo)
        if utc(finish) > utc(now):
            nights.append((max(begin, now, key=utc), finish))
    return _with_spells(state, now, space, nights, of)


def _with_spells(
    state: State, now: datetime, space: str | None, times: Sequence[tuple[datetime, datetime]],
    of: Callable[[float], float],
) -> State:  # fmt: skip
    """Lay spells of other air over what is expected."""
    spaces: list[str | None] = [space] if space is not None else [*state.spaces, *_unsaid(state)]
    new: list[Climate] = []
    for where in spaces:
        spells = temperatures(state, where, now, now)
        for begin, finish in times:
            for spell in spells:
                first = max(begin, spell.start, key=utc)
                last = finish if spell.end is None else min(finish, spell.end, key=utc)
                if utc(first) < utc(last):
                    warm = celsius(of(spell.celsius))
                    new.append(Climate(space=where, temperature=warm, at=first, until=last, said_at=now))
    twin = state.copy()
    twin.climate = tuple(sorted((*state.climate, *new), key=lambda c: utc(c.at)))
    return twin


def _unsaid(state: State) -> list[str | None]:
    return [None] if not state.spaces or any(state.space_of(p) is None for p in state.pieces) else []
