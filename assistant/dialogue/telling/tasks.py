"""What is to come: begun, meant, ordered, put off or given up. It goes on the list, and never logs work.

Coats go there in the set words that the plan understands (``craft/wanted.py``); a step that the plan has already
is named as the plan names it, so that a day said for it holds for that step.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.craft.plan.tasks import Options, Planned, coats_of, planned
from assistant.craft.shelf import card_for
from assistant.craft.times import utc
from assistant.craft.wanted import MOST_COATS, coats_text, said_coats, skip_text
from assistant.dialogue import materials, settling
from assistant.dialogue.context import Begun, Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling.errands import errand, waits_for
from assistant.dialogue.telling.moments import done, to_come
from assistant.dialogue.telling.readback import left_out, on
from assistant.journal.events import Event, Task
from assistant.language.meanings import Act, Deed, Errand, GearFact, Group, Meaning, TinFact
from assistant.wording import amount, capital, figure, listed, ordinal, sentence, when

_KEY: Final = "Without a key the next coat may not hold: the label says how long it may go on unsanded."
#: What is told of work under way, and how it is put on the list.
_DOING: Final[dict[Act, tuple[str, str]]] = {
    Act.COAT: ("Coating", "coat"), Act.SAND: ("Sanding", "sand"), Act.FILL: ("Filling", "fill"),
    Act.STRIP: ("Stripping", "strip"), Act.CLEAN: ("Cleaning", "clean"), Act.MASK: ("Masking", "mask"),
    Act.UNMASK: ("Taking tape off", "take the tape off"), Act.BOND: ("Gluing", "glue"),
    Act.CLAMP: ("Clamping", "clamp"),
    Act.UNCLAMP: ("Unclamping", "unclamp"), Act.FIT: ("Fitting", "fit"), Act.UNFIT: ("Taking down", "take down"),
    Act.MIX: ("Mixing", "mix"), Act.THIN: ("Thinning", "thin"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Timing:
    """When something on the list is to be."""

    not_before: datetime | None = None
    due: datetime | None = None
    after: str | None = None
    ring: datetime | None = None

    def told(self, now: datetime) -> str:
        """Give it for a read-back."""
        out = [
            f"not before {when(self.not_before, now)}" if self.not_before else "",
            f"by {when(self.due, now)}" if self.due else "",
            f"after {self.after}" if self.after else "",
            f"reminding you at {when(self.ring, now)}" if self.ring else "",
        ]
        return ", ".join(o for o in out if o)


def begin(scene: Scene, said: Deed) -> Result:
    """Keep work that is under way: nothing is logged before it is said to be done."""
    pieces = settling.worked(scene, said.pieces, need=said.act is not Act.MIX).pieces
    began = said.began or said.when
    since = done(scene, began).at
    scene.context.begun = (*scene.context.begun, Begun(said.act, pieces, since))[-20:]
    scene.spoke_of(pieces)
    doing = _DOING.get(said.act, ("At it", ""))[0]
    lead = f"{doing} {on(pieces)}".strip()
    tell_me = "Tell me when it is on." if said.act is Act.COAT else "Tell me when it is done."
    time_ = f"since {when(since, scene.now)}" if when(since, scene.now) != "now" else ""
    return Result(f"{sentence([lead, time_])} {tell_me}{left_out(said)}", meaning=said)


def plan(scene: Scene, said: Meaning) -> Result:
    """Put on the list what is meant or ordered; take off what is given up."""
    if isinstance(said, Deed):
        if said.dropped:
            return _dropped(scene, said)
        return _meant(scene, said)
    if isinstance(said, Errand):
        return errand(scene, said)
    if isinstance(said, TinFact):
        return _to_buy(scene, said)
    if isinstance(said, GearFact):
        verb = "replace" if said.change == "replaced" else "fit"
        event = _task(scene, f"{verb} the {said.item}", None, Timing(to_come(scene, said.when)))
        return Result(sentence([f"On the list: {event.text}"]) + left_out(said), (event,), meaning=said)
    raise Unclear("I did not follow that: say what is to be done.")


def _task(scene: Scene, text: str, piece: str | None, timing: Timing, state: str = "open") -> Task:
    return Task(
        text=text, piece=piece, state=state, after=timing.after, not_before=timing.not_before, due=timing.due,
        ring=timing.ring, at=scene.now, said_at=scene.now,
    )  # fmt: skip


def _to_buy(scene: Scene, said: TinFact) -> Result:
    products = [materials.product(scene, n) for n in said.products] or ([said.unknown] if said.unknown else [])
    if not products:
        raise Back("To buy which product?", Slot.PRODUCT, [*scene.state.labels])
    many = f"{said.count} tins of " if said.count and said.count > 1 else ""
    size = f"{amount(said.amount)} of " if said.amount else f"{figure(said.share)} tins of " if said.share else ""
    verb = {"bought": "buy", "opened": "open", "returned": "take back", "used": "use"}.get(said.change, "buy")
    timing = Timing(to_come(scene, said.when))
    events = tuple(_task(scene, f"{verb} {many}{size}{p}", None, timing) for p in products)
    told = [f"On the list: {listed(e.text for e in events)}", timing.told(scene.now)]
    return Result(sentence(told) + left_out(said), events, meaning=said)


def _timing(scene: Scene, said: Deed) -> Timing:
    start = said.not_before or said.when
    ahead = to_come(scene, start) or scene.hints.at
    return Timing(ahead, to_come(scene, said.due, by=True), waits_for(scene, said.after))


def entries(scene: Scene, piece: str) -> list[Planned]:
    """Give the open entries of the plan that are on a piece."""
    return [e for e in planned(scene.state, scene.talk.cards, Options()) if e.piece == piece]


def _meant(scene: Scene, said: Deed) -> Result:
    pieces = _pieces(scene, said)
    timing = _timing(scene, said)
    if said.put_off and timing.not_before is None and timing.after is None:
        raise Back("Till when?", Slot.WHEN, value="future")
    events: list[Event] = []
    told: list[str] = []
    for piece in pieces:
        made, words = _coats(scene, said, piece, timing) if _is_coat(said) else _other(scene, said, piece, timing)
        events += made
        told.append(words)
    if not pieces:
        events.append(_task(scene, _text(said, None), None, timing))
        told.append(_text(said, None))
    scene.spoke_of(pieces)
    lead = "Put off" if said.put_off else "On the list"
    reply = sentence([f"{lead}: {listed(dict.fromkeys(told))}", timing.told(scene.now)])
    return Result(reply + left_out(said), tuple(events), meaning=said)


def _is_coat(said: Deed) -> bool:
    return said.act is Act.COAT


def _pieces(scene: Scene, said: Deed) -> tuple[str, ...]:
    if said.act in (Act.MIX, Act.THIN, Act.OTHER) and said.pieces in (None, Group()):
        return ()
    return settling.worked(scene, said.pieces, had=settling.had_today(scene, said.act.value, said.coat)).pieces


# -- coats to come ----------------------------------------------------------------------------


def _coats(scene: Scene, said: Deed, piece: str, timing: Timing) -> tuple[list[Event], str]:
    """Give the task for coats to come on a piece: more coats than planned, or a day for those that are."""
    named = materials.product(scene, said.products[0], piece) if said.products else None
    if named is None and said.kind is not None:
        named = materials.of_kind(scene, said.kind, piece)
    product, before, have = standing(scene, piece, named)
    after = _how_many(scene, said, before, have, timing)
    if after > MOST_COATS:
        raise Refused(f"{after} coats can't be right: say it again.")
    text = coats_text(after, product, piece)
    if after != before:
        was = f", not {before}" if before else ""
        return [_task(scene, text, piece, timing)], f"{text}{was}"
    step = next((e for e in reversed(entries(scene, piece)) if _takes(scene, e, product)), None)
    name = step.name if step is not None else text
    coat = said.coat or have + 1
    words = f"{ordinal(coat).lower()} coat of {product} on the {piece}"
    return [_task(scene, name, piece, timing)], words


def _how_many(scene: Scene, said: Deed, before: int, have: int, timing: Timing) -> int:
    """Give how many coats there are to be in all."""
    if said.count is not None and not said.another:
        return max(said.count, have)
    if said.another:
        left = before - have
        more = scene.hints.more
        if more is None and left > 0 and timing == Timing():
            raise Back(f"One more than the {before} planned, or the next of them?", Slot.MORE, ["one more", "the next"])
        if left > 0 and not more:
            return before
        return max(before, have) + (said.count or 1)
    return max(before, said.coat or have + 1)


def standing(scene: Scene, piece: str, said: str | None) -> tuple[str, int, int]:
    """Give the product meant, how many coats of it are planned on a piece, and how many are on."""
    laid = scene.state.coats.get(piece, {})
    card = card_for(scene.talk.cards, said)
    next_ = materials.usual(scene, piece)
    for entry in reversed(entries(scene, piece)):  # the finish before its ground
        kinds = coats_of(entry, scene.talk.cards)
        kind = card.kind if card else next(reversed(kinds), None)
        if kind is None or kind not in kinds:
            continue
        product = said or _label(scene, entry, kind)
        if said is None and next_ is not None and product != next_ and laid.get(next_, 0) < 1:
            continue  # the ground comes first
        return product, kinds[kind], laid.get(product, 0)
    usual = said or next_ or materials.last_on(scene, piece)
    if usual is None:
        raise Back(f"Coats of what, on the {piece}?", Slot.PRODUCT, [*scene.state.labels])
    return usual, laid.get(usual, 0), laid.get(usual, 0)


def _label(scene: Scene, entry: Planned, kind: str) -> str:
    mine = card_for(scene.talk.cards, entry.label)
    if entry.label and mine is not None and mine.kind == kind:
        return str(entry.label)
    return next(iter(scene.talk.labels_of((kind,))), kind)


def _takes(scene: Scene, entry: Planned, product: str) -> bool:
    card = card_for(scene.talk.cards, product)
    return entry.label == product or (card is not None and card.kind in coats_of(entry, scene.talk.cards))


# -- other work to come -----------------------------------------------------------------------


def _other(scene: Scene, said: Deed, piece: str, timing: Timing) -> tuple[list[Event], str]:
    text = _text(said, piece)
    return [_task(scene, text, piece, timing)], text if piece in text else f"{text}, the {piece}"


def _text(said: Deed, piece: str | None) -> str:
    """Give the words of a task for work that the plan has no set words for."""
    verb = _DOING[said.act][1] if said.act in _DOING else said.verb
    if not verb or (said.act is Act.OTHER and said.unused and said.words):
        return said.words
    part = f"the {said.pieces.part} of the {piece}" if said.pieces and said.pieces.part else f"the {piece}"
    what = " ".join(n.options[0] for n in said.products[:1])
    grits = f" with {' then '.join(str(g) for g in said.grit)}" if said.grit else ""
    size = f"{amount(said.amount)} of " if said.amount else ""
    if piece is None:
        return f"{verb} {size}{what}".strip() if what else said.words or verb
    with_ = f" with {size}{what}" if what else ""
    return f"{verb} {part}{grits}{with_}"


def ticked(scene: Scene, said: Deed, pieces: tuple[str, ...]) -> list[Task]:
    """Give the end of the tasks on the list that a deed done ends: those in the words that it would be put on by."""
    verb = _DOING[said.act][1] if said.act in _DOING else said.verb
    open_ = [t for t in scene.state.tasks if t.state == "open" and t.piece in pieces]
    ripe = [t for t in open_ if t.after is None and (t.not_before is None or utc(t.not_before) <= utc(scene.now))]
    mine = [t for t in ripe if f"{t.text} ".startswith(f"{verb} the {t.piece} ")]
    return [_task(scene, t.text, t.piece, Timing(), "done") for t in mine]


def _dropped(scene: Scene, said: Deed) -> Result:
    """Take off the list and out of the plan what is given up."""
    pieces = _pieces(scene, said)
    events: list[Event] = []
    told: list[str] = []
    for piece in pieces:
        if said.act in (Act.SAND, Act.CLEAN) and not _listed(scene, said, piece):
            text = skip_text(said.act.value, said.coat, piece)
            events.append(_task(scene, text, piece, Timing()))
            told.append(text)
            continue
        names = _listed(scene, said, piece)
        if not names:
            raise Refused(f"There is nothing planned on the {piece} to drop.")
        events += [_task(scene, n, piece, Timing(), "dropped") for n in names]
        told += names
    scene.spoke_of(pieces)
    skips = any(e.state == "open" for e in events if isinstance(e, Task))
    lead = "" if skips else "Dropped from the plan: "
    key = (_KEY,) if skips and said.act is Act.SAND else ()
    return Result(f"{capital(lead + listed(told))}.{left_out(said)}", tuple(events), cautions=key, meaning=said)


def _listed(scene: Scene, said: Deed, piece: str) -> list[str]:
    """Give the names of the open entries of the plan and the list on a piece that a deed speaks of."""
    wanted = materials.product(scene, said.products[0], piece) if said.products else None
    if wanted is None and said.kind is not None:
        wanted = materials.of_kind(scene, said.kind, piece)
    names = []
    for e in entries(scene, piece):
        kinds = coats_of(e, scene.talk.cards)
        fits = bool(kinds) if said.act is Act.COAT else said.act is Act.OTHER or e.name.startswith(said.act.value)
        if fits and (wanted is None or _takes(scene, e, wanted)):
            names.append(e.name)
    verb = _text(said, piece).split(" the ", maxsplit=1)[0]
    open_ = (t for t in scene.state.tasks if t.state == "open" and t.piece == piece)
    coats = said.act is Act.COAT
    names += [t.text for t in open_ if (coats and said_coats(t) is not None) or t.text.startswith(verb)]
    return list(dict.fromkeys(names))


__all__ = ["Timing", "begin", "entries", "plan", "standing"]
