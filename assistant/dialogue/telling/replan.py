"""The plan, changed by talk: a coat more or fewer, a step left out, a piece dropped, another product, an order of work.

Each change is a task in the journal, in words that stand on the list; ``craft/wanted.py`` has the words, and the plan
and the stock go by them from then on.
"""

from __future__ import annotations

from typing import Final

from assistant.craft.plan.chain import work
from assistant.craft.plan.tasks import coats_of
from assistant.craft.shelf import card_for
from assistant.craft.wanted import MOST_COATS, bends, coats_text, said_coats, skip_text, use_text
from assistant.dialogue import materials, settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling.readback import left_out
from assistant.dialogue.telling.tasks import entries
from assistant.journal.events import Event, Task
from assistant.journal.state import fold
from assistant.language.meanings import Act, Change, Meaning, PlanChange
from assistant.wording import capital, listed

_KEY: Final = "Without a key the next coat may not hold: the label says how long it may go on unsanded."
_ACTS: Final = {Act.SAND: "sand", Act.CLEAN: "clean"}


def replan(scene: Scene, said: Meaning) -> Result:
    """Change the plan as said; the reply tells what it is now.

    ``Refused`` where it would change nothing or cannot be, ``Back`` where a piece or a product is open.
    """
    if not isinstance(said, PlanChange):
        raise Unclear("I did not follow that: say what should be other in the plan.")
    if said.change is Change.SKIP:
        return _skip(scene, said)
    if said.change is Change.DROP:
        return _drop(scene, said)
    if said.change is Change.BACK:
        return _back(scene, said)
    if said.change is Change.USE:
        return _use(scene, said)
    if said.change is Change.AFTER:
        return _after(scene, said)
    return _coats(scene, said)


def _task(scene: Scene, text: str, piece: str | None, *, state: str = "open", after: str | None = None) -> Task:
    return Task(text=text, piece=piece, state=state, after=after, at=scene.now, said_at=scene.now)


def _result(scene: Scene, said: PlanChange, reply: str, events: list[Event], pieces: tuple[str, ...]) -> Result:
    scene.spoke_of(pieces)
    key = (_KEY,) if said.change is Change.SKIP and said.act is Act.SAND else ()
    return Result(f"{reply}.{left_out(said)}", tuple(events), cautions=key, meaning=said)


# -- coats ------------------------------------------------------------------------------------


def _coats(scene: Scene, said: PlanChange) -> Result:
    parts: list[str] = []
    events: list[Event] = []
    pieces = settling.pieces(scene, said.pieces).pieces
    for piece in pieces:
        named = materials.product(scene, said.products[0], piece) if said.products else None
        product, before, laid = standing(scene, piece, named)
        after = _how_many(said, before, laid)
        if after == before:
            raise Refused(f"The {piece} is down for {_of(after, product)} already.")
        if after < max(laid, 1):
            why = f"{laid} of them on already" if laid else 'no coat left: say "drop it from the plan"'
            raise Refused(f"The {piece} has {why}; it was to have {_of(before, product)}.")
        if after > MOST_COATS:
            raise Refused(f"{after} coats can't be right: say it again.")
        events.append(_task(scene, coats_text(after, product, piece), piece))
        parts.append(f"the {piece} gets {_of(after, product)}" + (f", not {before}" if before else ""))
    return _result(scene, said, capital(listed(parts)), events, pieces)


def standing(scene: Scene, piece: str, said: str | None) -> tuple[str, int, int]:
    """Give the product meant, how many coats of it are planned on a piece, and how many are on.

    Of several that are planned the finish is meant before its ground. ``Back`` where nothing says which product.
    """
    laid = scene.state.coats.get(piece, {})
    card = card_for(scene.talk.cards, said)
    for entry in reversed(entries(scene, piece)):
        kinds = coats_of(entry, scene.talk.cards)
        kind = card.kind if card else next(reversed(kinds), None)
        if kind is None or kind not in kinds:
            continue
        product = said or _label(scene, entry.label, kind)
        return product, kinds[kind], laid.get(product, 0)
    answered = scene.hints.products[-1] if scene.hints.products else None
    usual = said or answered or materials.usual(scene, piece) or materials.last_on(scene, piece)
    if usual is None:
        raise Back(f"Coats of what, on the {piece}?", Slot.PRODUCT, [*scene.state.labels])
    return usual, laid.get(usual, 0), laid.get(usual, 0)


def _label(scene: Scene, label: str | None, kind: str) -> str:
    mine = card_for(scene.talk.cards, label)
    if label and mine is not None and mine.kind == kind:
        return label
    return next(iter(scene.talk.labels_of((kind,))), kind)


def _how_many(said: PlanChange, before: int, laid: int) -> int:
    many = 1 if said.count is None else said.count
    if said.change is Change.FEWER:
        return before - many
    return max(before, laid) + many if said.change is Change.MORE else many


def _of(coats: int, product: str) -> str:
    return f"{coats} coat{'' if coats == 1 else 's'} of {product}"


# -- steps and pieces -------------------------------------------------------------------------


def _skip(scene: Scene, said: PlanChange) -> Result:
    kind = _ACTS.get(said.act) if said.act else None
    if kind is None:
        raise Unclear("I did not follow that: say which step is to be left out of the plan.")
    events: list[Event] = []
    wheres: list[str] = []
    ahead = False
    pieces = settling.pieces(scene, said.pieces).pieces
    for piece in pieces:
        coat = said.coat
        if said.final:
            coat = standing(scene, piece, None)[1]
            if coat < 2:
                raise Refused(f"The {piece} has no last coat that goes over another.")
        task = _task(scene, skip_text(kind, coat, piece), piece)
        ahead = ahead or _left(scene, piece) != _left(scene, piece, task)
        events.append(task)
        wheres.append(f"before coat {coat}" if coat else "between coats")
    names = listed(dict.fromkeys(wheres))
    if not ahead:
        raise Refused(f"The plan has no {kind}ing of {settling.the(pieces)} {names} that is still to do.")
    return _result(scene, said, f"No {kind}ing of {settling.the(pieces)} {names}", events, pieces)


def _left(scene: Scene, piece: str, *more: Event) -> list[str]:
    """Give the steps left on a piece, with some events more."""
    state = fold(more, scene.state) if more else scene.state
    return [s.text for chain in work(state, scene.talk.cards).chains if chain.piece == piece for s in chain.steps]


def _drop(scene: Scene, said: PlanChange) -> Result:
    pieces = settling.pieces(scene, said.pieces).pieces
    open_ = [(piece, e) for piece in pieces for e in entries(scene, piece)]
    if not open_:
        raise Refused(f"There is nothing planned on {settling.the(pieces)}.")
    names = [(e.name, piece) for piece, e in open_]
    # The number of coats may stand on the list as a task of its own: it goes with them.
    tasks = [t for t in scene.state.tasks if t.state == "open" and said_coats(t)]
    names += [(t.text, t.piece) for t in tasks if t.piece is not None and t.piece in pieces]
    events: list[Event] = [_task(scene, name, piece, state="dropped") for name, piece in dict.fromkeys(names)]
    told = listed(dict.fromkeys(e.name for _, e in open_))
    return _result(scene, said, f"{capital(settling.the(pieces))} dropped from the plan: {told}", events, pieces)


def _back(scene: Scene, said: PlanChange) -> Result:
    pieces = settling.pieces(scene, said.pieces).pieces
    dropped = [t for t in scene.state.tasks if t.state == "dropped" and t.piece in pieces]
    if not dropped:
        raise Refused(f"Nothing on {settling.the(pieces)} was dropped.")
    events: list[Event] = [_task(scene, t.text, t.piece, after=t.after) for t in dropped]
    return _result(scene, said, f"Back in the plan: {listed(t.text for t in dropped)}", events, pieces)


def _after(scene: Scene, said: PlanChange) -> Result:
    late = settling.pieces(scene, said.pieces).pieces
    early = settling.pieces(scene, said.other).pieces
    if both := [p for p in late if p in early]:
        raise Refused(f"{capital(settling.the(both))} cannot wait for itself.")
    bare = [p for p in (*early, *late) if not entries(scene, p)]
    if bare:
        raise Refused(f"There is nothing planned on {settling.the(bare)}.")
    ahead = [e for piece in early for e in entries(scene, piece)]
    behind = [(piece, entries(scene, piece)[0]) for piece in late]
    events: list[Event] = [_task(scene, e.name, piece, after=ahead[-1].name) for piece, e in behind]
    return _result(scene, said, f"{capital(listed(e.name for _, e in behind))} after {ahead[-1].name}", events, late)


# -- products ---------------------------------------------------------------------------------


def _use(scene: Scene, said: PlanChange) -> Result:
    pieces = settling.pieces(scene, said.pieces).pieces if said.pieces is not None else ()
    if not said.products:
        raise Back("Use which product?", Slot.PRODUCT, [*scene.state.labels])
    new = materials.product(scene, said.products[0])
    old = materials.product(scene, said.instead[0]) if said.instead else None
    card = card_for(scene.talk.cards, new)
    if card is None:
        raise Refused(f'I have no label for "{new}": add it, or name a product that the job has.')
    events: list[Event] = []
    told: list[tuple[str, str]] = []
    for piece in pieces or (*scene.state.pieces,):
        for entry in entries(scene, piece):
            label = _label(scene, entry.label, card.kind) if card.kind in coats_of(entry, scene.talk.cards) else None
            if old is not None:
                label = old if entry.label == old else None
            if label is None or label == new:
                continue
            events.append(_task(scene, use_text(new, label, piece), piece))
            told.append((label, piece))
    if not events and (again := _as_before(scene, said, new, pieces)):
        return again
    if not events:
        where = f" on {settling.the(pieces)}" if pieces else ""
        raise Refused(f"Nothing planned{where} takes {old or f'another {card.kind}'}: there {new} changes nothing.")
    changed = tuple(dict.fromkeys(p for _, p in told))
    olds = listed(dict.fromkeys(label for label, _ in told))
    return _result(scene, said, f"{capital(new)} instead of {olds} on {settling.the(changed)}", events, changed)


def _as_before(scene: Scene, said: PlanChange, product: str, pieces: tuple[str, ...]) -> Result | None:
    """Take back that something else was to be used instead of ``product``."""
    open_ = [t for t in scene.state.tasks if t.state == "open" and (not pieces or t.piece in pieces)]
    mine = [t for t in open_ if bends(t) and f" instead of {product} " in f"{t.text} "]
    if not mine:
        return None
    events: list[Event] = [_task(scene, t.text, t.piece, state="dropped") for t in mine]
    where = f" on {settling.the(pieces)}" if pieces else ""
    return _result(scene, said, f"{capital(product)} again{where}", events, pieces)
