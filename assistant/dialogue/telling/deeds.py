"""What was done to pieces becomes events: coats, sanding and the plain acts. Only what is done comes here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from assistant.craft.readiness import readiness
from assistant.craft.times import utc
from assistant.craft.wanted import MOST_COATS
from assistant.dialogue import materials, settling
from assistant.dialogue.context import Pending, Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused
from assistant.dialogue.telling import coating
from assistant.dialogue.telling.errands import on_list
from assistant.dialogue.telling.moments import Moment, done
from assistant.dialogue.telling.readback import NOTED, entry, now_or, on, read_back
from assistant.journal.events import (
    Bond,
    Clean,
    Coat,
    Event,
    Fill,
    Fit,
    Mask,
    Note,
    Sand,
    Strip,
    Task,
    Tin,
    Unmask,
    Work,
)
from assistant.language.meanings import Act, Deed, Force
from assistant.quantity import Amount
from assistant.wording import amount, lasting, listed, ordinal, thinned, when

#: The plain kinds of work: their event, and how they are read back.
WORK: Final[dict[Act, tuple[type[Work], str]]] = {
    Act.FILL: (Fill, "Filled"), Act.STRIP: (Strip, "Stripped"), Act.CLEAN: (Clean, "Cleaned"),
    Act.MASK: (Mask, "Masked"), Act.UNMASK: (Unmask, "Tape off"), Act.BOND: (Bond, "Bonded"), Act.FIT: (Fit, "Fitted"),
}  # fmt: skip


def deed(scene: Scene, said: Deed) -> Result:
    """Log work that was done."""
    if said.act is Act.MIX:
        from assistant.dialogue.telling.mixes import mix

        return mix(scene, said)
    if said.act in NOTED:
        return _noted(scene, said)
    if said.act is Act.CLEAN and said.pieces and said.pieces.spaces and not _names_pieces(said):
        return _noted(scene, said)  # a space is no piece: it is a line of the day
    if said.act is Act.COAT and not _is_filling(scene, said):
        return coat(scene, said)
    if said.act is Act.SAND:
        return sand(scene, said)
    return work(scene, said)


def _names_pieces(said: Deed) -> bool:
    group = said.pieces
    return group is not None and bool(group.names or group.quantifier or group.pronoun or group.unknown or group.count)


def _is_filling(scene: Scene, said: Deed) -> bool:
    """Whether filler was put on: it lays no coat, unless a numbered one was told."""
    if said.coat is not None or said.kind == "filler":
        return said.kind == "filler"
    cards = [scene.talk.card(n.options[0]) for n in said.products if len(n.options) == 1]
    return bool(cards) and all(c is not None and c.kind in ("filler", "putty") for c in cards)


def _noted(scene: Scene, said: Deed) -> Result:
    moment = done(scene, said.when, began=said.began, took=said.took)
    named = settling.worked(scene, said.pieces).pieces if _names_pieces(said) else ()
    scene.spoke_of(named)
    text = said.words or " ".join(p for p in (said.verb or said.act.value, on(named)) if p)
    plain = f"{said.verb} {on(named)}".strip()
    listed_ = on_list(scene, plain) if said.verb and said.act is Act.OTHER else []
    if len(listed_) == 1:
        task = listed_[0]
        ended = entry(Task, moment, scene.now, text=task.text, piece=task.piece, state="done")
        return Result(read_back(scene, said, [f"Ticked off: {task.text}"]), (ended,), meaning=said)
    event = entry(Note, moment, scene.now, text=text)
    return Result(read_back(scene, said, [f"Noted: {text}", now_or(moment, scene.now)]), (event,), meaning=said)


def _ticking(scene: Scene, said: Deed, pieces: tuple[str, ...]) -> tuple[tuple[Event, ...], list[str]]:
    """Give the end of what was on the list in the words of this work, and how it is told."""
    from assistant.dialogue.telling.tasks import ticked

    ended = ticked(scene, said, pieces)
    return tuple(ended), [f"ticked off: {listed(t.text for t in ended)}"] if ended else []


def begun(scene: Scene, said: Deed, pieces: tuple[str, ...], moment: Moment) -> Moment:
    """Give the moment with the beginning that was told when the work was under way."""
    if moment.began is not None:
        return moment
    for b in reversed(scene.context.begun):
        if b.act is said.act and set(pieces) & set(b.pieces) and utc(b.since) < utc(moment.at):
            left = tuple(x for x in scene.context.begun if x is not b)
            scene.context.begun = left
            return Moment(moment.at, moment.between, b.since, moment.said)
    return moment


# -- coats ------------------------------------------------------------------------------------


def coat(scene: Scene, said: Deed) -> Result:
    """Log a coat of each product on each piece named."""
    _check(scene, said)
    had = settling.had_today(scene, "coat", said.coat)
    settled = settling.worked(scene, said.pieces, had=had)
    moment = done(scene, said.when, began=said.began, took=said.took)
    if len(settled.pieces) > 1 and len(said.products) > 1:
        raise Back(f"Which of them on which piece: {on(settled.pieces)}?", Slot.EACH)
    if scene.hints.laid is False:
        from assistant.dialogue.telling.tasks import plan

        return plan(scene, replace(said, force=Force.MEANT))
    again = coating.told_again(scene, said, settled)
    if again is not None:
        return again
    _laid_or_to_do(scene, said, settled.pieces)
    moment = begun(scene, said, settled.pieces, moment)
    events: list[Event] = []
    cautions: list[str] = []
    for piece in settled.pieces:
        for product in coating.products(scene, said, piece):
            number, caution = coating.number(scene, said, piece, product, settled.part)
            made = entry(
                Coat, moment, scene.now, piece=piece, coat=number, product=product, thinned=said.thinned,
                part=settled.part,
            )  # fmt: skip
            events.append(made)
            cautions += [c for c in (caution, coating.too_thin(scene, made)) if c]
            scene.context.coat, scene.context.product = number, product or scene.context.product
    scene.spoke_of(settled.pieces)
    coats = [e for e in events if isinstance(e, Coat)]
    if said.amount is not None:
        events.append(_used(scene, said.amount, coats, moment))
    text = read_back(scene, said, [_told(coats, settled.part), *_details(said)], moment)
    if any(c.product is None for c in coats) and scene.state.labels:
        text += " Of what? Say so, and I can tell you when it is dry."
        scene.context.pending = _of_what(scene)
    return Result(text, tuple(events), cautions=tuple(dict.fromkeys(cautions)), meaning=said)


def _of_what(scene: Scene) -> Pending:
    return Pending(scene.phrase, scene.now, Slot.WHAT_WAS_IT, tuple(scene.state.labels))


def _used(scene: Scene, much: Amount, coats: list[Coat], moment: Moment) -> Tin:
    """Give what went out of the tin: of the product that was laid; of two it is asked which."""
    products = list(dict.fromkeys(c.product for c in coats if c.product))
    of = products[0] if len(products) == 1 else scene.hints.product(products)
    if of is None:
        options = products or [*scene.state.labels]
        of = scene.hints.product(options)
    if of is None:
        raise Back(f"{amount(much)} of which: {listed(options, 'or')}?", Slot.PRODUCT, options)
    return entry(Tin, moment, scene.now, product=of, change="used", amount=much)


def _check(scene: Scene, said: Deed) -> None:
    if said.count == 0:
        raise Refused("No coats, nothing to log.")
    if said.count is not None and said.count > 1 and scene.hints.coat is None:
        raise Back(
            f"{said.count} coats, each with its own time: when did each go on? Or say which number this one is.",
            Slot.COAT,
        )
    number = said.coat
    if number is not None and not 1 <= number <= MOST_COATS:
        raise Refused(f"A coat number of {number} can't be right: say it again.")
    if said.thinned is not None and not 0 <= said.thinned.value <= 60:
        raise Refused(f"{amount(said.thinned)} of thinner can't be right: say it again.")
    if said.amount is not None:
        from assistant.dialogue.telling.tins import positive

        positive(said.amount)


def _told(coats: list[Coat], part: str | None) -> str:
    """Tell coats with everything of a group named; what they have in common is said once."""
    groups: dict[tuple[int, str | None], list[str]] = {}
    for c in coats:
        groups.setdefault((c.coat, c.product), []).append(c.piece)
    told: list[str] = []
    for (number, product), pieces in groups.items():
        named = f"{ordinal(number)} coat" + (f" of {product}" if product else "")
        told.append(f"{named if not told else named.lower()} on {on(pieces, part)}")
    return listed(told)


def _details(said: Deed) -> list[str]:
    out = [thinned(said.thinned)] if said.thinned is None or said.thinned.value else ["neat"]
    out.append(f"{amount(said.amount)} used" if said.amount is not None else "")
    out.append("the last by what you said" if said.final else "")
    out.append(_tool(said))
    out.append(f"took {lasting(said.took)}" if said.took is not None else "")
    return out


def _tool(said: Deed) -> str:
    if not said.tool:
        return ""
    return "by hand" if said.tool == "hand" else f"with the {said.tool}"


def _laid_or_to_do(scene: Scene, said: Deed, pieces: tuple[str, ...]) -> None:
    """Ask where a bare "one more coat on the rail" comes too soon to have been laid: it may be a wish."""
    if not said.another or said.verb or (said.when and said.when.said) or said.coat or scene.hints.laid:
        return
    for piece in pieces:
        found = readiness(scene.state, scene.talk.cards, piece, "overcoat", scene.now)
        if found.earliest is not None and utc(found.earliest) > utc(scene.now):
            raise Back(
                f"It can't take one before {when(found.earliest, scene.now)}. Is it on, or is it to do?",
                Slot.LAID, ["it is on", "to do"],
            )  # fmt: skip


# -- sanding and plain work -------------------------------------------------------------------


def sand(scene: Scene, said: Deed) -> Result:
    """Log sanding: with each grit that was said, one after the other."""
    for grit in said.grit:
        if not 16 <= grit <= 5000:
            raise Refused(f"There is no {grit} grit: say it again.")
    settled = settling.worked(scene, said.pieces, had=settling.had_today(scene, "sand"))
    moment = done(scene, said.when, began=said.began, took=said.took)
    moment = begun(scene, said, settled.pieces, moment)
    events = tuple(
        entry(Sand, moment, scene.now, piece=p, grit=grit, part=settled.part)
        for p in settled.pieces for grit in (said.grit or (None,))
    )  # fmt: skip
    scene.spoke_of(settled.pieces)
    grits = f" with {' then '.join(str(g) for g in said.grit)}" if said.grit else ""
    ended, told = _ticking(scene, said, settled.pieces)
    parts = [f"Sanded {on(settled.pieces, settled.part)}{grits}", *_means(said), moment.told(scene.now), *told]
    return Result(read_back(scene, said, parts), (*events, *ended), meaning=said)


def _means(said: Deed) -> list[str]:
    return [_tool(said), f"took {lasting(said.took)}" if said.took is not None else ""]


def work(scene: Scene, said: Deed) -> Result:
    """Log the plain kinds of work on a piece."""
    act = Act.FILL if said.act is Act.COAT else said.act
    kind, verb = WORK[act]
    had = settling.had_today(scene, kind.kind)
    taped = _taped(scene) if act is Act.UNMASK and not _names_pieces(said) else ()
    settled = settling.Settled(taped) if len(taped) == 1 else settling.worked(scene, said.pieces, had=had)
    moment = done(scene, said.when, began=said.began, took=said.took)
    moment = begun(scene, said, settled.pieces, moment)
    named = materials.product(scene, said.products[0], settled.pieces[0]) if said.products else None
    if named is None and said.with_it:
        named = _in_hand(scene)
    product = _USED[act](scene, said, settled.pieces[0], named) if act in _USED else named
    events = tuple(entry(kind, moment, scene.now, piece=p, product=product, part=settled.part) for p in settled.pieces)
    scene.spoke_of(settled.pieces)
    if product:
        scene.context.product = product
    off = f", {named} off it" if act is Act.STRIP and named and not product else ""
    with_ = f" with {product}" if product else ""
    ended, told = _ticking(scene, said, settled.pieces)
    parts = [f"{verb} {on(settled.pieces, settled.part)}{with_}{off}", *_means(said), moment.told(scene.now), *told]
    return Result(read_back(scene, said, parts), (*events, *ended), meaning=said)


def _in_hand(scene: Scene) -> str | None:
    """Give the product that was mixed or used last, if that was not long ago: "it"."""
    just = scene.context.product
    if just is None or just not in scene.state.labels or not scene.fresh:
        return None
    return just


def _taped(scene: Scene) -> tuple[str, ...]:
    from assistant.craft.plan.chain import taped

    return tuple(p for p in scene.state.pieces if taped(scene.state, p))


def _filled(scene: Scene, said: Deed, piece: str, named: str | None) -> str | None:  # noqa: ARG001
    fillers = scene.talk.labels_of(("filler", "putty"))
    return named or (fillers[0] if len(fillers) == 1 else None)


def _stripped(scene: Scene, said: Deed, piece: str, named: str | None) -> str | None:  # noqa: ARG001
    # What is named is mostly what came off; only a stripper was put on.
    card = scene.talk.card(named)
    return named if card is not None and card.kind == "stripper" else None


def _bonded(scene: Scene, said: Deed, piece: str, named: str | None) -> str | None:
    """Give the glue: named, planned, the pot just spoken of, or the only one there is."""
    if named is not None:
        return named
    glues = scene.talk.labels_of(("adhesive",))
    if said.kind is not None:
        glues = [g for g in glues if g in scene.talk.labels_like(said.kind)] or glues
    for known in (materials.usual(scene, piece), scene.context.product if scene.said else None):
        if known in glues:
            return known
    return glues[0] if len(glues) == 1 else None


_USED: Final[dict[Act, Callable[[Scene, Deed, str, str | None], str | None]]] = {
    Act.FILL: _filled, Act.STRIP: _stripped, Act.BOND: _bonded,
}  # fmt: skip


__all__ = ["WORK", "begun", "deed"]
