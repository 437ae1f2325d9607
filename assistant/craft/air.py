"""The air a film dries in: temperature and humidity by space, as told, expected or assumed."""

from __future__ import annotations

from bisect import bisect_right
from datetime import UTC, datetime, tzinfo
from typing import Final, Literal, NamedTuple

from assistant.craft.times import like, utc
from assistant.journal.events import Climate
from assistant.journal.state import State
from assistant.library.measures import measure
from assistant.problem import Problem
from assistant.quantity import Amount

#: Taken for what dries when nobody has said: cool is the side on which it dries late.
ASSUMED: Final = 10.0
#: Taken for what runs out (a pot, a window) when nobody has said: warm is the side on which it ends early.
WARM: Final = 20.0

_START: Final = datetime(1, 1, 2, tzinfo=UTC)


class Spell(NamedTuple):
    """Air of one temperature from ``start`` to ``end`` (None: from then on).

    ``source`` is ``logged``, ``expected``, ``job file`` or ``assumed``.
    """

    start: datetime
    end: datetime | None
    celsius: float
    source: str


class _Level(NamedTuple):
    """From ``start`` on, ``value`` (None: nobody knows), ``told`` or else from the job file."""

    start: datetime
    value: float | None
    told: bool


def temperatures(state: State, space: str | None, start: datetime, now: datetime) -> tuple[Spell, ...]:
    """Give the air of ``space`` from ``start`` on, without gaps; the last spell has no end.

    The latest word about the space or about everywhere holds. A spell told with an end holds until
    then (a reading taken within it corrects it), and after it the air goes back to what held before.
    Before the first reading: the job file's temperature, else that reading; nothing known:
    :data:`ASSUMED`. For ``space`` None, work whose place nobody gave, the coolest known air is taken.
    """
    line = _line(state, space, "temperature")
    key = (space, start, now, now.tzinfo)
    kept = _spells.get(key)
    if kept is None or kept[0] is not line:
        if len(_spells) > 64:
            _spells.clear()
        kept = _spells[key] = (line, _cut(line, start, None, now))
    return kept[1]


#: One answer asks for the same air stage by stage: the spells cut last are kept, with the line they were cut from.
_spells: dict[tuple[str | None, datetime, datetime, tzinfo | None], tuple[_Line, tuple[Spell, ...]]] = {}


def _cut(line: _Line, start: datetime, stop: datetime | None, now: datetime) -> tuple[Spell, ...]:
    """Give the spells of ``line`` from ``start`` on, or those that have begun by ``stop``."""
    starts, levels = line
    edge, at_now = utc(start), utc(now)
    first = max(bisect_right(starts, edge) - 1, 0)
    last = len(levels) if stop is None else max(bisect_right(starts, utc(stop)), first + 1)
    spells: list[Spell] = []
    for i in range(first, last):
        level = levels[i]
        begin = max(level.start, edge)
        end = levels[i + 1].start if i + 1 < len(levels) else None
        if level.told and begin < at_now and (end is None or end > at_now):
            _add(spells, begin, at_now, level, at_now)
            begin = at_now
        _add(spells, begin, end, level, at_now)
    return tuple(s._replace(start=like(s.start, now), end=s.end and like(s.end, now)) for s in spells)


def temperature_now(state: State, space: str | None, now: datetime) -> Spell:
    """Give the spell that holds now."""
    return temperatures(state, space, now, now)[0]


def warmest(state: State, start: datetime, end: datetime) -> Spell:
    """Give the warmest spell of any space between two times: for a pot, which may stand in any of them.

    Where nobody has said anything, the spell is :data:`WARM` and ``assumed``.
    """
    spells = [
        spell
        for space in _spaces(state) or (None,)
        for spell in _cut(_line(state, space, "temperature"), start, end, end)
        if utc(spell.start) <= utc(end) and spell.source != "assumed"
    ]
    return max(spells, key=lambda s: s.celsius, default=Spell(start, None, WARM, "assumed"))


def humidity_now(state: State, space: str | None, now: datetime) -> float | None:
    """Give the relative humidity in percent, or None if nobody has said.

    For ``space`` None it is the dampest of the spaces known.
    """
    starts, levels = _line(state, space, "humidity")
    return levels[max(bisect_right(starts, utc(now)) - 1, 0)].value


def _add(spells: list[Spell], begin: datetime, end: datetime | None, level: _Level, now: datetime) -> None:
    if end is not None and end <= begin:
        return
    celsius = ASSUMED if level.value is None else level.value
    source = "assumed" if level.value is None else "job file"
    if level.told and level.value is not None:
        source = "expected" if begin >= now else "logged"
    if spells and (spells[-1].celsius, spells[-1].source) == (celsius, source):
        spells[-1] = spells[-1]._replace(end=end)
    else:
        spells.append(Spell(begin, end, celsius, source))


def _spaces(state: State) -> list[str]:
    return list(dict.fromkeys((*state.spaces, *(s for s in _by_space(state.climate) if s is not None))))


#: The climate last sorted by space, and how it came out: one reading changes what is told of one space.
_sorted: list[tuple[tuple[Climate, ...], dict[str | None, list[Climate]]]] = []


def _by_space(climate: tuple[Climate, ...]) -> dict[str | None, list[Climate]]:
    if not _sorted or _sorted[0][0] is not climate:
        found: dict[str | None, list[Climate]] = {}
        for event in climate:
            found.setdefault(event.space, []).append(event)
        _sorted[:] = [(climate, found)]
    return _sorted[0][1]


Measured = Literal["temperature", "humidity"]


class _Line(NamedTuple):
    """A space's levels, and their starts for looking one up."""

    starts: list[datetime]
    levels: list[_Level]


#: Folding two thousand readings takes milliseconds, and most turns bring no new one of a space: what was folded last
#: is kept by (what, spaces), with the readings and the job file's figures that it was folded from.
_kept: dict[tuple[str, str | None], tuple[list[list[Climate]], tuple[str | None, ...], _Line]] = {}


def _line(state: State, space: str | None, what: Measured) -> _Line:
    spaces = [*_spaces(state), None] if space is None else [space]
    figures = tuple(None if s is None else _figure(state, s, what) for s in spaces)
    told = _by_space(state.climate)
    heard = [told.get(s, []) for s in dict.fromkeys((*spaces, None))]
    kept = _kept.get((what, space))
    if kept is not None and kept[1] == figures and kept[0] == heard:
        _kept[what, space] = (heard, figures, kept[2])  # the same lists are known again without a look into them
        return kept[2]
    lines = [_fold(_told(told, s, what), _base(figure, what)) for s, figure in zip(spaces, figures, strict=True)]
    levels = lines[0] if len(lines) == 1 else _worst(lines, what)
    line = _Line([level.start for level in levels], levels)
    if len(_kept) > 64:
        _kept.clear()
    _kept[what, space] = (heard, figures, line)
    return line


def _figure(state: State, space: str, what: Measured) -> str | None:
    named = state.spaces.get(space)
    text = named.values.get(what) if named else None
    return text if isinstance(text, str) else None


def _base(text: str | None, what: Measured) -> float | None:
    """Read the job file's figure; what cannot be read there is not known, and the loader has said so."""
    try:
        return measure(text, "temperature" if what == "temperature" else "percent").value if text else None
    except Problem:
        return None


def _told(
    climate: dict[str | None, list[Climate]], space: str | None, what: Measured
) -> list[tuple[datetime, datetime | None, float]]:
    """Give what was told of a space, as (at, until, value), in order of time; the nearer word comes last."""
    told: list[tuple[datetime, bool, datetime | None, float]] = []
    for where in dict.fromkeys((None, space)):
        for event in climate.get(where, ()):
            amount: Amount | None = getattr(event, what)
            if amount is not None:
                until = None if event.until is None else utc(event.until)
                told.append((utc(event.at), where is not None, until, amount.value))
    told.sort(key=lambda t: t[:2])
    return [(at, until, value) for at, _, until, value in told]


def _fold(told: list[tuple[datetime, datetime | None, float]], base: float | None) -> list[_Level]:
    """Turn readings and spells into levels. The stack holds the spells that are on, the lasting air below."""
    before = next((value for _, until, value in told if until is None), None) if base is None else base
    levels = [_Level(_START, before, base is None and before is not None)]
    stack: list[tuple[datetime | None, float | None, bool]] = [(None, base, False)]
    for at, until, value in told:
        _end_spells(stack, levels, at)
        if until is None:
            stack[-1] = (stack[-1][0], value, True)
            if stack[0][1] is None:
                stack[0] = (None, value, True)
        elif until > at:
            stack.append((until, value, True))
        levels.append(_Level(at, stack[-1][1], stack[-1][2]))
    _end_spells(stack, levels, None)
    return levels


def _end_spells(
    stack: list[tuple[datetime | None, float | None, bool]], levels: list[_Level], at: datetime | None
) -> None:
    while (ended := stack[-1][0]) is not None and (at is None or ended <= at):
        stack.pop()
        while (below := stack[-1][0]) is not None and below <= ended:
            stack.pop()  # it ran out underneath, unnoticed
        levels.append(_Level(ended, stack[-1][1], stack[-1][2]))


def _worst(timelines: list[list[_Level]], what: Measured) -> list[_Level]:
    """Give the coolest (for humidity the dampest) known level at each time."""
    pick = min if what == "temperature" else max
    edges = sorted({level.start for line in timelines for level in line})
    starts = [[level.start for level in line] for line in timelines]
    levels: list[_Level] = []
    for edge in edges:
        held = [line[bisect_right(s, edge) - 1] for line, s in zip(timelines, starts, strict=True)]
        known = [level for level in held if level.value is not None]
        worst = pick(known, key=lambda level: level.value or 0.0, default=held[0])
        levels.append(worst._replace(start=edge))
    return levels
