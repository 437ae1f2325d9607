"""Which of the values in a correction describe the entry, and which are what it should be: the journal decides.

"The second on the dado friday was half ten" agrees with one entry in piece, coat and day and differs from it in the
time, so the time is what is put right. An entry that differs in nothing is not meant, nor one that agrees in nothing
unless it was the last told.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any, Final

from assistant.craft.times import like, utc
from assistant.dialogue import settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Scene
from assistant.dialogue.talk import Back, Unclear
from assistant.dialogue.telling.moments import on_its_day
from assistant.dialogue.telling.numbers import bare
from assistant.dialogue.telling.readback import described
from assistant.dialogue.telling.targets import alive, last_batch, meant, recent, sure_of_last
from assistant.journal.events import Amend, Climate, Coat, Event, Fault, Mix, Sand, Tin, Work
from assistant.language.meanings import Act, Correction, Deed, Group
from assistant.language.names import Name
from assistant.language.when import When, resolve
from assistant.quantity import Amount
from assistant.wording import listed

#: A time that was said agrees with an entry's if it is no further from it, in seconds.
_NEAR: Final = 90


@dataclass(slots=True)
class Fit:
    """How an entry goes with what was said: what agrees, and the part of it that differs."""

    event: Event
    agreed: int = 0
    last: bool = False
    slots: list[str] = field(default_factory=list)  # what differs


def loosened(said: Correction) -> Correction:
    """Give a correction with what it says of the entry and what that should be together, for the journal to part."""
    target, right = said.target, said.right or Deed(act=Act.OTHER)
    if target is None:
        return replace(said, loose=True)
    both = replace(
        right, act=target.act if right.act is Act.OTHER else right.act, pieces=right.pieces or target.pieces,
        products=right.products or target.products, coat=right.coat or target.coat, grit=right.grit or target.grit,
        when=_of_both(right.when, target.when), thinned=right.thinned or target.thinned,
    )  # fmt: skip
    return replace(said, target=None, right=both, loose=True)


def _of_both(right: When | None, target: When | None) -> When | None:
    if right is None or target is None or right.day is not None:
        return right or target
    return replace(right, day=target.day)


def told_apart(scene: Scene, said: Correction) -> tuple[list[Event], Correction]:
    """Give the entries that are meant, and the correction with only what is to change in them.

    ``Unclear`` if none is, ``Back`` if two are that have nothing to do with one another.
    """
    _, last = last_batch(scene)
    own = {e.id for e in last}
    every = {e.id: e for e in (*recent(scene), *last)}
    hinted = scene.hints.entry
    fits = [
        f for e in every.values()
        if (hinted is None or e.id == hinted) and (f := _fit(scene, said, e, last=e.id in own)) is not None
    ]  # fmt: skip
    counted = said.wrong is not None and said.wrong.coat is not None
    fits = [f for f in fits if f.last or (f.agreed and ("coat" not in f.slots or counted))]
    if not fits:
        raise Unclear("I have no entry that this puts right: say which, and what it should be.")
    best = max((f.agreed, -len(f.slots), f.last) for f in fits)
    chosen = [f for f in fits if (f.agreed, -len(f.slots), f.last) == best]
    batch = _batch_of(scene, max(chosen, key=lambda f: (utc(f.event.at), f.event.id)).event)
    alone = [f for f in chosen if f.event.id in batch]
    others = [f for f in chosen if f not in alone]
    if others and not best[2] and not _one_line(chosen):
        shown = [f.event for f in (*others, *alone)][-3:]
        options = [described(e, scene.now) for e in shown]
        raise Back(
            f"Which one: {listed(options, 'or')}?", Slot.ENTRY, options, value=" ".join(str(e.id) for e in shown)
        )
    first = alone[-1]
    if first.last and not first.agreed:
        sure_of_last(scene, [first.event], "Change")
    same = [f.event for f in alone if f.slots == first.slots and type(f.event) is type(first.event)]
    if {"pieces", "coat"} & set(first.slots):
        same = [first.event]
    return same, _only(said, first, scene)


def _one_line(chosen: list[Fit]) -> bool:
    """Whether entries are of one act on one piece: the newest of them is meant."""
    return len({(f.event.kind, getattr(f.event, "piece", None)) for f in chosen}) == 1


def _batch_of(scene: Scene, event: Event) -> tuple[int, ...]:
    for batch in reversed(scene.context.batches):
        held = {e.of if isinstance(e, Amend) else e.id for e in alive(scene, batch)}
        if event.id in held:
            return tuple(held)
    return (event.id,)


# -- one entry --------------------------------------------------------------------------------


def _fit(scene: Scene, said: Correction, event: Event, *, last: bool) -> Fit | None:
    """Give how an entry goes with what was said; None if it cannot be the one meant."""
    if not isinstance(event, Coat | Sand | Work | Mix | Tin | Climate | Fault):
        return None
    right, wrong = said.right or Deed(act=Act.OTHER), said.wrong
    if right.act not in (Act.OTHER, Act.THIN, Act.MIX) and right.act.value != event.kind:
        return None
    fit = Fit(event, last=last, agreed=int(right.act.value == event.kind))
    if said.either:
        number = _numbers(scene, replace(said, numbers=_plausible(said, event)), right, wrong, event)
        if number is not None and number[1]:
            right = replace(right, when=None)
        else:
            said = replace(said, numbers=())
    for look in _LOOKS:
        found = look(scene, said, right, wrong, event)
        if found is None:
            return None
        agreed, slot = found
        fit.agreed += agreed
        if slot:
            fit.slots.append(slot)
    return fit if fit.slots else None


#: (how far it agrees, the slot that differs or ""); None: this cannot be the entry.
_Look = tuple[int, str] | None
_ALIKE: Final = (0, "")


def _pieces(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:
    piece = getattr(event, "piece", None)
    denied = _options(scene, wrong.pieces) if wrong is not None else ()
    if denied and piece not in denied:
        return None
    named = _options(scene, right.pieces)
    part = right.pieces.part if right.pieces is not None else None
    own = getattr(event, "part", None)
    agreed = 2 * bool(denied)
    if named:
        if piece in named and not denied:
            agreed += 2
        elif denied or (said.loose and piece is not None and len([n for n in named if n != piece]) == 1):
            return agreed, "pieces"
        else:
            return None
    if part is not None:
        if own is not None and (part in own or own in part):
            return agreed + 2, ""
        if piece is None or (own is not None and not said.only):
            return None
        return agreed, "part"
    return agreed, ""


def _options(scene: Scene, group: Group | None) -> tuple[str, ...]:
    if group is None or not (group.names or group.unknown or group.quantifier):
        return ()
    try:
        return meant(scene, group)
    except Unclear:
        return ()


def _product(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
    own = getattr(event, "product", None)
    denied = _names(wrong.products) if wrong is not None else ()
    if denied and own not in denied:
        return None
    named = _names(right.products)
    if not named:
        return _ALIKE
    if own in named and not denied:
        return 1, ""
    if not isinstance(event, Coat | Work | Mix | Tin) or own is None:
        return None
    return (2 * bool(denied), "products")


def _names(names: tuple[Name, ...]) -> tuple[str, ...]:
    return tuple(o for n in names for o in n.options)


def _value(key: str) -> Callable[..., _Look]:
    """Make the look at a plain value of an entry: its coat, its grit, how far it was thinned."""

    def look(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
        own = getattr(event, key, None)
        new, old = _of(right, key), _of(wrong, key) if wrong is not None else None
        if new is None and old is None:
            return _ALIKE
        if key not in type(event).__dataclass_fields__:
            return None
        if old is not None and not _same(own, old):
            return None
        if new is None:
            return None if old is None else (1, "")
        if _same(own, new) and old is None:
            return 1, ""
        if own is None and key not in ("thinned", "grit"):
            return None
        return (2 * (old is not None), key)

    return look


def _of(deed: Deed, key: str) -> Any:
    value = getattr(deed, key)
    return (value[-1] if value else None) if key == "grit" else value


def _same(own: Any, said: Any) -> bool:
    if isinstance(own, Amount) and isinstance(said, Amount):
        return own.unit == said.unit and abs(own.value - said.value) < 0.01 * max(1.0, abs(said.value))
    return bool(own == said)


def _when(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
    agreed, old = 0, wrong.when if wrong is not None else None
    if old is not None and old.said and not _at(scene, old, event):
        return None
    new = right.when
    if new is None or not new.said:
        return (2 if old is not None else 0), ""
    if new.day is not None and new.day.based and new.clock is not None:
        day = resolve(When(day=new.day), scene.now, "past").date()
        if like(event.at, scene.now).date() != day and old is None:
            return None
        agreed += 1
    if _at(scene, new, event) and old is None:
        return agreed + 1, ""
    if isinstance(event, Climate) and new.clock is None:
        return _ALIKE
    return agreed + 2 * (old is not None), "when"


def _at(scene: Scene, said: When, event: Event) -> bool:
    """Whether a time that was said is an entry's: its clock time if one was said, else its day."""
    if said.clock is not None:
        near = on_its_day(said.clock, event.at, scene.now, "past")
        return abs((utc(near) - utc(event.at)).total_seconds()) <= _NEAR
    if said.day is not None and said.day.based:
        return resolve(said, scene.now, "past").date() == like(event.at, scene.now).date()
    at = resolve(said, scene.now, "past")
    return abs((utc(at) - utc(event.at)).total_seconds()) <= _NEAR


def _air(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
    if not said.spaces and said.temperature is None and said.humidity is None:
        return _ALIKE
    if not isinstance(event, Climate):
        home = scene.state.space_of(getattr(event, "piece", "") or "") if said.spaces else None
        return (1, "") if home and any(home in n.options for n in said.spaces) else None
    agreed, slot = 0, ""
    if said.spaces:
        same = event.space == settling.space(scene, said.spaces)
        agreed, slot = int(same), "" if same else "spaces"
    if said.temperature is not None:
        if slot:
            return (1, "spaces") if _same(event.temperature, said.temperature) else None
        slot = "" if _same(event.temperature, said.temperature) else "temperature"
    return agreed, slot


def _fault(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
    if said.fault is None:
        return _ALIKE
    if not isinstance(event, Fault):
        return None
    return (1, "") if event.fault == said.fault else (0, "fault")


def _plausible(said: Correction, event: Event) -> tuple[float, ...]:
    """Give the numbers that an entry may have of itself: a time of a coat is no number of it."""
    return said.numbers if isinstance(event, Sand | Mix | Tin) else ()


def _numbers(scene: Scene, said: Correction, right: Deed, wrong: Deed | None, event: Event) -> _Look:  # noqa: ARG001
    """Take a bare number for what it should be, in the role that the entry has for it."""
    if not said.numbers:
        return _ALIKE
    try:
        found = bare(scene, said.numbers, event)
    except Back:
        found = {"number": said.numbers}
    return (0, "numbers") if found else None


_LOOKS: Final[tuple[Callable[..., _Look], ...]] = (
    _pieces, _product, _value("coat"), _value("grit"), _value("thinned"), _value("amount"), _when, _air, _fault,
    _numbers,
)  # fmt: skip


# -- what is left of the correction -----------------------------------------------------------


def _only(said: Correction, fit: Fit, scene: Scene) -> Correction:
    """Give the correction with only the values that differ from the entry."""
    right, slots = said.right or Deed(act=Act.OTHER), set(fit.slots)
    pieces = right.pieces
    if pieces is not None:
        part = pieces.part if "part" in slots else None
        pieces = replace(pieces, part=part) if "pieces" in slots else Group(part=part) if part else None
    when = right.when if "when" in slots and "numbers" not in slots else None
    if when is not None and when.clock is not None and when.day is not None and _day_agrees(scene, when, fit.event):
        when = replace(when, day=None)
    kept = Deed(
        act=Act.OTHER, pieces=pieces, products=right.products if "products" in slots else (),
        coat=right.coat if "coat" in slots else None, grit=right.grit if "grit" in slots else (),
        thinned=right.thinned if "thinned" in slots else None, amount=right.amount if "amount" in slots else None,
        when=when, words=right.words,
    )  # fmt: skip
    return replace(
        said, target=None, right=kept, wrong=None, loose=False, numbers=said.numbers if "numbers" in slots else (),
        spaces=said.spaces if "spaces" in slots else (), fault=said.fault if "fault" in slots else None,
        temperature=said.temperature if "temperature" in slots else None,
    )  # fmt: skip


def _day_agrees(scene: Scene, when: When, event: Event) -> bool:
    return resolve(When(day=when.day), scene.now, "past").date() == like(event.at, scene.now).date()
