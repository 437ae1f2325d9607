"""The air: readings, and spells that are expected."""

from __future__ import annotations

from datetime import datetime, time, timedelta

from assistant.craft.times import utc
from assistant.dialogue import settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling.moments import Moment, done, ends, to_come
from assistant.dialogue.telling.readback import entry, left_out
from assistant.journal.events import Climate, Event, Note
from assistant.language.meanings import Force, Spell
from assistant.language.when import Clock, Day, When, resolve
from assistant.quantity import Amount
from assistant.wording import amount, listed, sentence, stamp, when


def spell(scene: Scene, said: Spell) -> Result:
    """Log a temperature or a humidity that was read, or a spell that is expected, in each space it is of."""
    if said.outside and not said.spaces and not said.everywhere:
        raise _outside(said)
    if said.temperature is None and said.humidity is None and scene.hints.temperature is None:
        return _without_figure(scene, said)
    degrees, damp = said.temperature or scene.hints.temperature, said.humidity
    _sane(degrees, damp)
    spaces = _spaces(scene, said)
    moment, until = _span(scene, said)
    events: tuple[Event, ...] = tuple(
        entry(Climate, moment, scene.now, space=s, temperature=degrees, humidity=damp, until=until) for s in spaces
    )
    scene.context.space = spaces[0] if len(spaces) == 1 else None
    figures = listed([*([amount(degrees)] if degrees else []), *([f"{amount(damp)} humidity"] if damp else [])])
    where = "everywhere" if spaces == (None,) else f"in {listed(f'the {s}' for s in spaces)}"
    ahead = utc(moment.at) > utc(scene.now)
    time_ = f"from {when(moment.at, scene.now)}" if ahead else _at(moment, scene) if moment.said else ""
    until_ = f"until {when(until, scene.now)}" if until else ""
    heating = f"heating {said.heating}" if said.heating else ""
    surface = f" I left out: the surface at {amount(said.surface)}." if said.surface else ""
    told = sentence([f"{figures} {where}", time_, until_, heating])
    return Result(told + surface + left_out(said), events, meaning=said)


def _at(moment: Moment, scene: Scene) -> str:
    told = moment.told(scene.now)
    return told if moment.between else f"at {told}"


def _outside(said: Spell) -> Unclear:
    figures = listed(amount(a) for a in (said.temperature, said.humidity) if a)
    return Unclear(f"{figures or 'Outside'} outside is not where it dries: say how warm it is in a space.")


def _without_figure(scene: Scene, said: Spell) -> Result:
    """Take word of the heating without a figure: a line of the day, and the question how warm it gets."""
    if said.surface is not None:
        raise Unclear("A surface is not the air: say how warm and how damp the air is.")
    if said.heating is None:
        raise Back("To what temperature?", Slot.TEMPERATURE)
    if said.force is not Force.DONE:
        raise Back(f"With the heating {said.heating}, how warm will it be?", Slot.TEMPERATURE)
    moment = done(scene, said.when)
    text = said.words or f"heating {said.heating}"
    event = entry(Note, moment, scene.now, text=text)
    told = sentence([f"Noted: heating {said.heating}", moment.told(scene.now) if moment.said else ""])
    return Result(f"{told} How warm is it now?{left_out(said)}", (event,), meaning=said)


def _sane(degrees: Amount | None, damp: Amount | None) -> None:
    if degrees is not None and not -30 <= degrees.value <= 60:
        raise Refused(f"{amount(degrees)} can't be right in a boat: say it again.")
    if damp is not None and not 0 < damp.value <= 100:
        raise Refused(f"{amount(damp)} humidity can't be right: it goes from 0 to 100.")


def _spaces(scene: Scene, said: Spell) -> tuple[str | None, ...]:
    """Give the spaces a reading is of; ``(None,)`` is everywhere."""
    left_out_ = {settling.space(scene, (n,)) for n in said.besides}
    named = tuple(dict.fromkeys(settling.space(scene, (n,)) for n in said.spaces))
    if said.there and not named and not said.everywhere and scene.context.space:
        return (scene.context.space,)
    if named:
        kept = tuple(s for s in named if s not in left_out_)
        if not kept:
            raise Unclear("That leaves no space: say where it is.")
        return kept
    if left_out_:
        return tuple(s for s in scene.state.spaces if s not in left_out_)
    return (scene.hints.space,)


def _span(scene: Scene, said: Spell) -> tuple[Moment, datetime | None]:
    """Give when a reading was taken, or from when to when a spell is expected."""
    now = scene.now
    spoken = said.when if said.when is not None and said.when.said else None
    coming = said.force in (Force.MEANT, Force.ORDERED, Force.REPORTED)
    if said.until is not None and said.until.said:
        start = _start(scene, spoken, coming)
        until = _checked(resolve(_morning(said.until), max(start.at, now, key=utc), "future"), start.at, now)
        return start, until
    if said.lasting is not None:
        start = _start(scene, spoken, coming)
        return start, (start.at.astimezone(now.tzinfo) + said.lasting)
    day = spoken.day if spoken else None
    if spoken and day and day.part == "night" and spoken.clock is None and (coming or day.back in (0, None)):
        return _tonight(now)
    return _start(scene, spoken, coming), None


def _checked(until: datetime, start: datetime, now: datetime) -> datetime:
    if utc(until) <= utc(start):
        raise Refused(f"{stamp(until, now)} is before it begins: say until when.")
    return until


def _start(scene: Scene, spoken: When | None, coming: bool) -> Moment:
    if spoken is None:
        return Moment(scene.now)
    if coming:
        return Moment(to_come(scene, spoken) or scene.now, said=True)
    ahead = to_come(scene, spoken)
    if ahead is not None and utc(ends(spoken, scene.now, "past")[0]) > utc(scene.now):
        return Moment(ahead, said=True)  # "18 degrees tomorrow" is no reading
    return done(scene, spoken)


def _tonight(now: datetime) -> tuple[Moment, datetime]:
    """Give the night that is, or comes: from eight to seven (common practice, no source)."""
    in_night = now.hour < 7
    evening = now.replace(hour=20, minute=0, second=0, microsecond=0)
    start = now if in_night or now >= evening else evening
    day = now.date() if in_night else now.date() + timedelta(days=1)
    return Moment(start, said=True), datetime.combine(day, time(7), now.tzinfo)


def _morning(said: When) -> When:
    # "until morning" is the end of the night
    if said.clock is None and said.day and said.day.part == "morning":
        return When(clock=Clock((7,)), day=Day(back=said.day.back) if said.day.back else None)
    return said
