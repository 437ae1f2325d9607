"""Putting right: the entry is found by what is said of it, and read back from what to what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from assistant.craft.times import like, utc
from assistant.dialogue import materials, settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling.differing import loosened, told_apart
from assistant.dialogue.telling.mixes import remixed
from assistant.dialogue.telling.moments import ends, on_its_day
from assistant.dialogue.telling.numbers import bare, to_come_key
from assistant.dialogue.telling.readback import described, left_out, part_of
from assistant.dialogue.telling.targets import fits, last_batch, looked_up, meant, speaks_of, sure_of_last
from assistant.dialogue.telling.undoing import taken_back
from assistant.journal.events import (
    Amend,
    Climate,
    Coat,
    Event,
    Fault,
    Hours,
    Mix,
    Sand,
    Task,
    Tin,
    Undo,
    Work,
    amended,
)
from assistant.language.meanings import Act, Correction, Deed, Group, Quantifier
from assistant.language.when import When
from assistant.quantity import Amount
from assistant.wording import amount, capital, listed, ordinal, stamp

Changes = dict[str, Any]  # in the JSON form of an event, as the journal's amends have it
#: What is one entry's own: two entries at once cannot be put right in it.
_OWN: Final = frozenset(["piece", "coat"])
_NO_WAY: Final = "I can't see what to change in that: say it again as it should be."


def correct(scene: Scene, said: Correction) -> Result:
    """Put one entry right, or what several have in common. ``Back`` if two fit, ``Unclear`` if none does."""
    if (said.only or said.undone or said.loose) and (rest := _all_but(scene, said)):
        return rest
    if said.undone:
        raise Unclear("Then there is nothing to log.")
    if said.loose:
        found, said = told_apart(scene, said)
        return _put_right(scene, said, found)
    sought = said.target is not None and scene.hints.entry is None
    if sought and said.wrong is not None and (result := _by_what_differs(scene, said)) is not None:
        return result
    try:
        return _put_right(scene, said, _candidates(scene, said))
    except (Unclear, Back):
        if sought and (result := _by_what_differs(scene, said)) is not None:
            return result
        raise


def _by_what_differs(scene: Scene, said: Correction) -> Result | None:
    """Put right what differs between the entry and all that was said of it; None where that shows no one entry."""
    try:
        found, parted = told_apart(scene, loosened(said))
        return _put_right(scene, parted, found)
    except (Unclear, Back):
        return None


def _put_right(scene: Scene, said: Correction, found: list[Event]) -> Result:
    if said.right is not None and said.right.verb and all(_another_act(said.right, e) for e in found):
        return _instead(scene, said, _chosen(scene, [(e, {}) for e in found], several=False)[0][0])
    changed = [(e, c) for e in found if (c := _changes(scene, said, e)) and amended(e, c) != e]
    if not changed:
        raise Unclear(_as_it_is(scene, found) if _says_anything(said) else _NO_WAY)
    if len(changed) > 1:
        changed = _chosen(scene, changed, several=_plural(said.target))
    events: list[Event] = []
    told: list[str] = []
    for event, changes in changed:
        after = amended(event, changes)
        events.append(Amend(of=event.id, changes=changes, at=scene.now, said_at=scene.now))
        told.append(f"{capital(_title(event))}: {_difference(event, after, scene)}")
    scene.spoke_of([p for e, c in changed if (p := c.get("piece") or getattr(e, "piece", None))])
    return Result(f"{'. '.join(told)}.{left_out(said)}", tuple(events), meaning=said)


def _all_but(scene: Scene, said: Correction) -> Result | None:
    """Take back what was logged together with the pieces that "only the leaf" leaves; None where nothing was."""
    right, wrong = _named_in(scene, said.right), _named_in(scene, said.wrong)
    _, last = last_batch(scene)
    work = [e for e in last if getattr(e, "piece", None)]
    stays = [e for e in work if e.piece in right and e.piece not in wrong]  # type: ignore[attr-defined]
    if wrong:
        gone = [e for e in work if e.piece in wrong and _of_product(said, e)]  # type: ignore[attr-defined]
    else:
        whole = said.right is not None and said.right.pieces is not None and said.right.pieces.part is None
        gone = [e for e in work if e not in stays] if said.only and right and whole else []
    if not gone or (not said.undone and (not stays or {type(e) for e in gone} - {type(e) for e in stays})):
        return None
    return taken_back(scene, said, gone)


def _named_in(scene: Scene, deed: Deed | None) -> tuple[str, ...]:
    group = deed.pieces if deed is not None else None
    if group is None or not group.names:
        return ()
    return meant(scene, group)


def _of_product(said: Correction, event: Event) -> bool:
    """Whether an entry is of the product that the denial names, if it names one."""
    named = {o for d in (said.right, said.wrong) if d is not None for n in d.products for o in n.options}
    return not named or getattr(event, "product", None) in named


def _says_anything(said: Correction) -> bool:
    return bool(said.right or said.numbers or said.spaces or said.temperature or said.humidity or said.fault)


def _as_it_is(scene: Scene, found: Sequence[Event]) -> str:
    if not found:
        return "I have no such entry: nothing is changed."
    return f"I have {described(found[-1], scene.now)}: nothing to change there."


# -- which entry ------------------------------------------------------------------------------


def _candidates(scene: Scene, said: Correction) -> list[Event]:
    """Give the entries that may be meant: described, said to be wrong, else the last of the talk."""
    hinted = scene.hints.entry
    if hinted is not None and (event := scene.talk.journal.get(hinted)) is not None:
        return [event]
    _, last = last_batch(scene)
    if said.target is not None and speaks_of(said.target):
        mine = [e for e in last if fits(scene, e, said.target)] if not _plural(said.target) else []
        found = mine or looked_up(scene, said.target)
        if not found:
            raise Unclear(f"I have no such entry, so nothing is changed{_last_was(scene, last)}")
        return found
    if said.wrong is not None and speaks_of(said.wrong):
        wrong = _told_of(said.wrong)
        mine = [e for e in last if fits(scene, e, wrong)]
        found = mine or looked_up(scene, wrong)
        if not found:
            raise Unclear(f"I have no such entry, so nothing is changed{_last_was(scene, last)}")
        return found
    if not last:
        raise Unclear("There is nothing logged just now to put right.")
    sure_of_last(scene, last, "Change")
    return last


def _told_of(wrong: Deed) -> Deed:
    # "not saturday" says nothing of the act unless a verb was said
    return wrong if wrong.verb else replace(wrong, act=Act.OTHER)


def _last_was(scene: Scene, last: Sequence[Event]) -> str:
    return f": the last was {described(last[-1], scene.now)}." if last else "."


def _plural(target: Deed | None) -> bool:
    """Whether a description speaks of several: "the doors were done with 120"."""
    group = target.pieces if target is not None else None
    if group is None:
        return False
    many = group.quantifier in (Quantifier.ALL, Quantifier.BOTH, Quantifier.EACH) or len(group.names) > 1
    return many or any(n.plural for n in group.names)


def _chosen(scene: Scene, changed: list[tuple[Event, Changes]], *, several: bool) -> list[tuple[Event, Changes]]:
    """Take several entries together if several were named or what is put right is common to them; else ask which."""
    if len(changed) == 1:
        return changed
    first, changes = changed[0]
    if several and not _OWN & changes.keys():
        return changed
    alike = all(type(e) is type(first) and c == changes for e, c in changed)
    common = all(getattr(e, k, None) == getattr(first, k, None) for e, _ in changed for k in changes)
    if changes and alike and common and not _OWN & changes.keys():
        return changed
    same_time = bool(changes) and set(changes) <= {"at", "between", "began"} and len({e.at for e, _ in changed}) == 1
    if same_time and all(c == changes for _, c in changed):
        return changed
    shown = [e for e, _ in changed][-3:]
    options = [described(e, scene.now) for e in shown]
    raise Back(f"Which one: {listed(options, 'or')}?", Slot.ENTRY, options, value=" ".join(str(e.id) for e in shown))


# -- what changes -----------------------------------------------------------------------------


def _changes(scene: Scene, said: Correction, event: Event) -> Changes:
    out: Changes = {}
    right = said.right
    if right is not None:
        out |= _time(scene, right, event)
        out |= _of_deed(scene, right, event)
    if isinstance(event, Climate):
        if said.spaces:
            out["space"] = settling.space(scene, said.spaces)
        if said.temperature is not None:
            out["temperature"] = said.temperature.to_json()
        if said.humidity is not None:
            out["humidity"] = said.humidity.to_json()
    if isinstance(event, Fault) and said.fault is not None:
        out["fault"] = said.fault
    if said.numbers:
        out |= bare(scene, said.numbers, event)
    if isinstance(event, Mix) and "amount" in out:
        parts = remixed(scene.talk.card(event.product), Amount.from_json(out["amount"]))
        if parts:
            out["parts"] = [{"name": n, "amount": a.to_json()} for n, a in parts]
    return out


def _of_deed(scene: Scene, right: Deed, event: Event) -> Changes:
    out: Changes = {}
    if isinstance(event, Coat):
        if right.coat is not None:
            out["coat"] = right.coat
        if right.thinned is not None:
            out["thinned"] = right.thinned.to_json()
    if isinstance(event, Sand) and right.grit:
        out["grit"] = right.grit[-1]
    if isinstance(event, Mix | Tin) and right.amount is not None:
        if right.amount.value <= 0:
            raise Refused(f"{amount(right.amount)} is no amount: say how much there was.")
        out["amount"] = right.amount.to_json()
    if isinstance(event, Mix) and right.ratio:
        out["ratio"] = list(right.ratio)
    if isinstance(event, Coat | Work | Mix | Tin):
        piece = getattr(event, "piece", None)
        if right.products:
            out["product"] = materials.product(scene, right.products[0], piece)
        elif right.kind is not None and isinstance(event, Coat):
            out["product"] = materials.of_kind(scene, right.kind, piece)
    if right.pieces is not None and hasattr(event, "piece"):
        out |= _piece(scene, right.pieces, event)
    return out


def _piece(scene: Scene, group: Group, event: Event) -> Changes:
    """Give the piece it should have been: of two that fit, not the one that is there."""
    out: Changes = {}
    now = getattr(event, "piece", None)
    if group.part is not None and hasattr(event, "part"):
        out["part"] = group.part
    if not group.names and not group.unknown and group.quantifier is None:
        return out
    options = [o for n in group.names for o in n.options if o != now]
    if len(group.names) == 1 and len(options) == 1:
        chosen: tuple[str, ...] = (options[0],)
    elif group.names and not options:
        return out
    else:
        chosen = settling.pieces(scene, group).pieces
    if len(chosen) != 1:
        raise Unclear("One entry is on one piece: take it back, and say what it should have been.")
    out["piece"] = chosen[0]
    if isinstance(event, Task) and event.piece and event.piece in event.text:
        out["text"] = event.text.replace(event.piece, chosen[0])
    return out


def _time(scene: Scene, right: Deed, event: Event) -> Changes:
    out: Changes = {}
    if isinstance(event, Task | Hours):
        key, said = to_come_key(event), right.due or right.not_before or right.when
        if key is None or said is None or not said.said:
            return {}
        was = getattr(event, "end" if key == "to" else key)
        return {key: _moved(said, was, scene.now, "future").isoformat()}
    if right.when is not None and right.when.said:
        at, between = ends(right.when, scene.now, "past")
        at = _moved(right.when, event.at, scene.now, "past") if _clock_only(right.when) else at
        if _day_only(right.when):  # another day, at the same time of it
            was = like(event.at, scene.now)
            at = at.replace(hour=was.hour, minute=was.minute, second=was.second, microsecond=was.microsecond)
            between = None
        if utc(at) > utc(scene.now):
            raise Refused(f"{stamp(at, scene.now)} is still to come.")
        out["at"] = at.isoformat()
        if between is not None or event.between is not None:
            out["between"] = [t.isoformat() for t in between] if between else None
    if right.began is not None and right.began.said:
        out["began"] = ends(right.began, like(event.at, scene.now), "past")[0].isoformat()
    elif right.took is not None:
        out["began"] = like(utc(event.at) - right.took, scene.now).isoformat()
    return out


def _moved(said: When, was: datetime, now: datetime, direction: str) -> datetime:
    """Give a time put right: a clock time alone is one of the day that the entry is of."""
    if _clock_only(said) and said.clock is not None:
        return on_its_day(said.clock, was, now, direction)
    return ends(said, now, direction)[0]


def _clock_only(said: When) -> bool:
    return said.clock is not None and said == When(clock=said.clock)


def _day_only(said: When) -> bool:
    return said.day is not None and said.clock is None and said.day.part is None and said.ago is None


def _another_act(right: Deed, event: Event) -> bool:
    return right.act not in (Act.OTHER, Act.THIN) and right.act.value != event.kind


def _instead(scene: Scene, said: Correction, event: Event) -> Result:
    """Take an entry back and log what was done in its place: "no, I sanded it"."""
    from assistant.dialogue.telling.deeds import deed

    assert said.right is not None
    fresh = deed(scene, replace(said.right, unused=()))
    if said.right.when is None:
        fresh = replace(fresh, events=tuple(replace(e, at=event.at) for e in fresh.events))
    gone = Undo(of=(event.id,), at=scene.now, said_at=scene.now)
    text = f"{fresh.reply.rstrip('.')}, was {described(event, scene.now)}."
    return Result(text + left_out(said), (gone, *fresh.events), cautions=fresh.cautions, meaning=said)


# -- from what to what ------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Told:
    now: str
    was: str


def _title(event: Event) -> str:
    """Give what an entry is, without its time."""
    if isinstance(event, Coat):
        return f"{ordinal(event.coat).lower()} coat on the {part_of(event)}"
    if isinstance(event, Sand):
        return f"sanding the {part_of(event)}"
    if isinstance(event, Climate):
        return f"the {event.space}" if event.space else "everywhere"
    if isinstance(event, Mix):
        return f"{event.product} mixed"
    if isinstance(event, Hours):
        return event.rule
    if isinstance(event, Task):
        return event.text
    return described(event, event.at).rsplit(" at ", 1)[0]


def _difference(before: Event, after: Event, scene: Scene) -> str:
    """Tell what changed, from what to what."""
    now = scene.now
    told: list[_Told] = []
    if after.at != before.at:
        told.append(_Told(f"{'about ' if after.between else ''}{stamp(after.at, now)}", stamp(before.at, now)))
    if after.began != before.began and after.began is not None:
        told.append(_Told(f"begun {stamp(after.began, now)}", stamp(before.began, now) if before.began else "not said"))
    for key in ("ring", "due", "not_before", "end"):
        new, old = getattr(after, key, None), getattr(before, key, None)
        if new != old and new is not None:
            told.append(_Told(stamp(new, now), stamp(old, now) if old is not None else "not said"))
    for key in ("coat", "piece", "part", "grit", "product", "space", "fault"):
        new, old = getattr(after, key, None), getattr(before, key, None)
        if new != old:
            told.append(_Told(_field(key, new), _field(key, old)))
    for key in ("thinned", "temperature", "humidity", "amount"):
        new, old = getattr(after, key, None), getattr(before, key, None)
        if new != old:
            told.append(_Told(_measure(key, new), _measure(key, old)))
    if isinstance(after, Mix) and isinstance(before, Mix) and after.ratio != before.ratio:
        told.append(_Told(_ratio(after.ratio), _ratio(before.ratio)))
    return listed(f"{t.now}, was {t.was}" for t in told)


def _field(key: str, value: object) -> str:
    if value is None:
        return "everywhere" if key == "space" else "not said"
    if key == "coat" and isinstance(value, int):
        return f"{ordinal(value).lower()} coat"
    return f"the {value}" if key in ("piece", "space") else f"{value} grit" if key == "grit" else str(value)


def _measure(key: str, value: Amount | None) -> str:
    if value is None:
        return "not said"
    return f"thinned {amount(value)}" if key == "thinned" else amount(value)


def _ratio(value: Sequence[float] | None) -> str:
    return " to ".join(f"{v:g}" for v in value) if value else "not said"


def named(scene: Scene, product: str) -> Result:
    """Say of the coats just logged what they were of."""
    _, batch = last_batch(scene)
    events: list[Event] = []
    for event in batch:
        if isinstance(event, Coat) and event.product is None:
            on_it = scene.state.coats.get(event.piece, {})
            changes: Changes = {"product": product}
            if event.coat == on_it.get("", 0) == 1 and product in on_it:
                changes["coat"] = on_it[product] + 1  # counted on without knowing of what
            events.append(Amend(of=event.id, changes=changes, at=scene.now, said_at=scene.now))
    if not events:
        raise Unclear("There is no coat without a product just now.")
    scene.context.product = product
    return Result(f"{capital(product)} it was.", tuple(events))
