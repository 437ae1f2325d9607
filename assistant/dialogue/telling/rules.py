"""Hours: sleep, quiet, the deadline, away, a space that is closed, a helper who comes."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Final

from assistant.craft.times import utc
from assistant.dialogue import settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling.moments import Moment
from assistant.dialogue.telling.readback import entry, left_out, on
from assistant.journal.events import RULES, Event, Hours
from assistant.language.meanings import Rule
from assistant.language.periods import Kind, Range, period
from assistant.language.when import Clock, When, resolve
from assistant.wording import capital, lasting, listed, sentence, when

_NAMED: Final = {
    "quiet": "Quiet hours", "sleep": "Sleep", "away": "Away", "closed": "Closed", "helper": "Helper here",
}  # fmt: skip
#: Where one end was said and the job has no such hours yet (common practice, no source).
_USUAL: Final = {"quiet": ("20:00", "08:00"), "sleep": ("23:00", "07:00")}
_DAILY: Final = ("sleep", "quiet")


def rule(scene: Scene, said: Rule) -> Result:
    """Log a rule of the clock, for each space or piece it names."""
    if said.rule not in RULES:
        raise Unclear(f"I can't keep hours of that kind yet: {said.words or said.rule}.")
    start, end = (None, _deadline(scene, said)) if said.rule == "deadline" else _span(scene, said)
    if utc(end) <= utc(scene.now):
        raise Refused(f"{when(end, scene.now)} has passed: say a time to come.")
    if said.lasting is not None and start is not None and utc(end) - utc(start) != said.lasting:
        raise Unclear(f"I don't know what to do with {lasting(said.lasting)} there: say it again.")
    spaces = tuple(settling.space(scene, (n,)) for n in said.spaces) or (None,)
    pieces = settling.pieces(scene, said.pieces).pieces if said.pieces is not None else (None,)
    moment = Moment(scene.now)
    repeat = "daily" if said.daily or (said.rule in _DAILY and not _once(said)) else None
    events: tuple[Event, ...] = tuple(
        entry(Hours, moment, scene.now, rule=said.rule, start=start, end=end, space=s, piece=p, repeat=repeat)
        for s in spaces for p in pieces
    )  # fmt: skip
    scene.spoke_of([p for p in pieces if p])
    whose = f"{on(p for p in pieces if p)}: " if said.pieces is not None else ""
    where = f" in {listed(f'the {s}' for s in spaces if s)}" if said.spaces else ""
    every = ", every day" if repeat else ""
    if start is None:
        told = f"{capital(whose)}{'deadline' if whose else 'Deadline'} {when(end, scene.now)}"
    else:
        span = f"from {when(start, scene.now)} to {when(end, scene.now)}"
        told = f"{capital(whose)}{_NAMED.get(said.rule, said.rule)}{where} {span}{every}"
    return Result(sentence([told]) + left_out(said), events, meaning=said)


def _once(said: Rule) -> bool:
    """Whether a day was named that the hours are of."""
    return said.once or (
        not said.daily and any(w is not None and w.day is not None and w.day.based for w in (said.start, said.end))
    )


def _deadline(scene: Scene, said: Rule) -> datetime:
    spoken = next((w for w in (said.end, said.start) if w is not None and w.said), None)
    if spoken is None:
        raise Back("By when?", Slot.RANGE)
    at = resolve(spoken, scene.now, "future")
    if spoken.clock is None and spoken.ahead is None and spoken.day is not None and spoken.day.part is None:
        return at.replace(hour=18, minute=0)  # by a day: the end of its work
    return at


def _span(scene: Scene, said: Rule) -> tuple[datetime, datetime]:
    now = scene.now
    first = said.start if said.start is not None and said.start.said else None
    last = said.end if said.end is not None and said.end.said else None
    if said.rule in _DAILY and (first is not None or last is not None) and said.lasting is None and not _once(said):
        return _every_day(scene, said.rule, first, last)
    if first is not None and last is not None and said.rule == "sleep":
        return period(Range(first, last), now, Kind.SLEEP)
    if first is not None and last is not None:
        start = resolve(first, now, "future")
        end = resolve(last, start, "future")
        whole = last.clock is None and last.day is not None and last.day.part is None and last.day.based
        return start, end.replace(hour=23, minute=59) if whole else end  # "from tuesday to thursday"
    if said.lasting is not None and (first is not None or said.rule == "away"):
        start = resolve(first, now, "future") if first else now
        return start, start + said.lasting
    if last is not None:
        return now, resolve(last, now, "future")
    if first is not None and said.rule in _DAILY:  # "no noise after eight tomorrow": to the end that is usual
        known = scene.state.job.get(said.rule) or _USUAL[said.rule]
        likely = min(_hours(scene, first), key=lambda h: _apart(h, _hour(known[0])))
        start = resolve(replace(first, clock=_at(likely).clock) if first.clock is not None else first, now, "future")
        return start, resolve(_at(_hour(known[1])), start, "future")
    if first is not None and first.day is not None and first.clock is None:
        start = resolve(first, now, "future")
        return start, start.replace(hour=23, minute=59)  # "away on friday"
    raise Back("From when to when?", Slot.RANGE)


def _every_day(scene: Scene, rule_: str, first: When | None, last: When | None) -> tuple[datetime, datetime]:
    """Give the next of the hours that recur: an end not said as the job has it, an hour of two the likelier half.

    Likelier is what lies nearer to the hours that the job has and, where both ends were said, is not over twelve
    hours long.
    """
    known = [_hour(t) for t in scene.state.job.get(rule_) or _USUAL[rule_]]
    ends = [_hours(scene, said) if said is not None else [known[place]] for place, said in enumerate((first, last))]
    both = first is not None and last is not None
    start, end = min(
        ((a, b) for a in ends[0] for b in ends[1]),
        key=lambda pair: (
            both and (pair[1] - pair[0]) % 24 > 12,
            _apart(pair[0], known[0]) + _apart(pair[1], known[1]),
        ),
    )
    ending = resolve(_at(end), scene.now, "future")
    begins = resolve(_at(start), ending, "past")
    if utc(begins) < utc(scene.now) and first is not None:
        begins = resolve(_at(start), scene.now, "future")
        ending = resolve(_at(end), begins, "future")
    return begins, ending


def _hour(text: str) -> float:
    hour, minute = (int(p) for p in str(text).split(":"))
    return hour + minute / 60


def _hours(scene: Scene, said: When) -> list[float]:
    """Give the hours of the day that a time may mean."""
    if said.clock is not None and (said.day is None or said.day.part is None):
        return [h % 24 + said.clock.minute / 60 for h in said.clock.hours]
    at = resolve(said, scene.now, "future")
    return [at.hour + at.minute / 60]


def _apart(one: float, other: float) -> float:
    return min((one - other) % 24, (other - one) % 24)


def _at(hour: float) -> When:
    return When(clock=Clock((int(hour),), round(hour % 1 * 60)))
