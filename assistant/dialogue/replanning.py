"""The work to come, changed in talk: a coat more or fewer, a step left out, a piece dropped, another product.

Each change is a task in the journal, in words that stand on the list; ``craft/wanted.py`` has the words, and
the plan and the stock go by them from then on.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from assistant.craft.plan.chain import work
from assistant.craft.plan.tasks import Options, Planned, coats_of, planned
from assistant.craft.shelf import card_for
from assistant.craft.wanted import MOST_COATS, bends, coats_text, said_coats, skip_text, use_text
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Refused, Result, Talk, Unclear
from assistant.dialogue.tasks import listed_task
from assistant.dialogue.wording import capital, listed
from assistant.journal.events import Event, Task
from assistant.journal.state import fold
from assistant.language.meaning import Meaning

_KEY: Final = "Without a key the next coat may not hold: the label says how long it may go on unsanded."

_NUMBERING: Final = tuple(f"plan.{how}" for how in ("fewer", "more", "wants", "total", "than", "skip", "off"))
#: "Don't forget the rail", "don't give it another coat": no change that was wished for.
_DENIED: Final = re.compile(r"(n't|\bnot|\bnever|\bno)\b.*\b(forget|give|need|want|add|make|more)\b")


def replan(talk: Talk, m: Meaning) -> Result:
    """Change the plan as said; the reply tells what it is now. ``Refused`` where it would change nothing."""
    text = m.text.lower()
    asked = re.match(r"(do|does|is|are|will|would|shall)\b", text) and not m.has("plan.order")
    if m.has("act.sand", "act.clean") and m.has("plan.before") and not m.left:
        return _skip(talk, m)
    if m.left and m.has("plan.skip") and (known := listed_task(talk, m.text)):
        return Result(f"Dropped: {known.text}.", [_task(talk, known.text, known.piece, state="dropped")])
    if m.left or asked or _DENIED.search(text):
        raise Unclear("I did not follow that: say what should be other in the plan.")
    if m.has("plan.use") and m.products:
        return _use(talk, m)
    if m.has("plan.add") or (m.has("act.coat") and m.has(*_NUMBERING, "task.todo")):
        return _coats(talk, m)
    if m.has("plan.back"):
        return _back(talk, m)
    if m.has("plan.do") and m.has("plan.order") and len(m.pieces) > 1:
        return _after(talk, m)
    if m.has("plan.skip") or (m.has("plan.drop") and m.has("plan.out")):
        return _drop(talk, m)
    raise Unclear("I did not follow that: say what should be other in the plan.")


def entries(talk: Talk, piece: str) -> list[Planned]:
    """Give the open entries of the plan that are on a piece."""
    return [e for e in planned(talk.state, talk.cards, Options()) if e.piece == piece]


def _task(talk: Talk, text: str, piece: str | None, *, state: str = "open", after: str | None = None) -> Task:
    return Task(text=text, piece=piece, state=state, after=after, at=talk.now, said_at=talk.now)


# -- coats ------------------------------------------------------------------------------------


def _coats(talk: Talk, m: Meaning) -> Result:
    said = naming.product(talk, m, also_verb=False)
    parts, events = [], list[Event]()
    talk.said_pieces = naming.pieces(talk, m)
    for piece in talk.said_pieces:
        product, before, on = standing(talk, piece, said)
        after = _how_many(m, before, on)
        if after == before:
            raise Refused(f"The {piece} is down for {_of(after, product)} already.")
        if after < max(on, 1):
            why = f"{on} of them on already" if on else 'no coat left: say "drop it from the plan"'
            raise Refused(f"The {piece} has {why}; it was to have {_of(before, product)}.")
        if after > MOST_COATS:
            raise Refused(f"{after} coats can't be right: say it again.")
        events.append(_task(talk, coats_text(after, product, piece), piece))
        parts.append(f"the {piece} gets {_of(after, product)}" + (f", not {before}" if before else ""))
    return Result(f"{capital(listed(parts))}.", events)


def standing(talk: Talk, piece: str, said: str | None) -> tuple[str, int, int]:
    """Give the product meant, how many coats of it are planned on a piece, and how many are on."""
    on = talk.state.coats.get(piece, {})
    card = card_for(talk.cards, said)
    for entry in reversed(entries(talk, piece)):  # the finish before its ground
        kinds = coats_of(entry, talk.cards)
        kind = card.kind if card else next(reversed(kinds), None)
        if kind is None or kind not in kinds:
            continue
        product = said or _label(talk, entry, kind)
        return product, kinds[kind], on.get(product, 0)
    usual = said or naming.usual_product(talk, piece) or naming.last_product(talk, piece)
    if usual is None:
        raise Back(f"Coats of what, on the {piece}?", "product", [*talk.state.labels])
    return usual, on.get(usual, 0), on.get(usual, 0)


def _label(talk: Talk, entry: Planned, kind: str) -> str:
    mine = card_for(talk.cards, entry.label)
    if entry.label and mine is not None and mine.kind == kind:
        return entry.label
    return next(iter(talk.labels_of((kind,))), kind)


def _how_many(m: Meaning, before: int, on: int) -> int:
    one = 1 if m.has("talk.another") or m.ordinal or not m.count else m.count
    if m.has("plan.fewer", "plan.skip", "plan.off"):
        return before - one
    in_all = m.has("plan.total") and not re.search(r"\b(another|more|extra|further|additional)\b", m.text.lower())
    if m.has("plan.more", "plan.add", "talk.another") and not in_all:
        return max(before, on) + (m.count or 1)
    return m.count or (1 if in_all else before)


def _of(coats: int, product: str) -> str:
    return f"{coats} coat{'' if coats == 1 else 's'} of {product}"


# -- steps and pieces -------------------------------------------------------------------------


def _skip(talk: Talk, m: Meaning) -> Result:
    kind = "sand" if m.has("act.sand") else "clean"
    coat = m.ordinal if not re.search(r"\bbetween\b", m.text.lower()) else None
    if coat is None and m.numbers and not m.count:
        coat = int(m.numbers[0])
    parts, events, ahead = [], list[Event](), False
    talk.said_pieces = naming.pieces(talk, m)
    for piece in talk.said_pieces:
        task = _task(talk, skip_text(kind, coat, piece), piece)
        ahead = ahead or _left(talk, piece) != _left(talk, piece, task)
        events.append(task)
        parts.append(f"the {piece}")
    where = f"before coat {coat}" if coat else "between coats"
    if not ahead:
        raise Refused(f"The plan has no {kind}ing of {listed(parts)} {where} that is still to do.")
    return Result(f"No {kind}ing of {listed(parts)} {where}.", events, cautions=[_KEY] if kind == "sand" else [])


def _left(talk: Talk, piece: str, *more: Event) -> list[str]:
    """Give the steps left on a piece, with some events more."""
    state = fold(more, talk.state) if more else talk.state
    return [s.text for chain in work(state, talk.cards).chains if chain.piece == piece for s in chain.steps]


def _drop(talk: Talk, m: Meaning) -> Result:
    pieces = naming.pieces(talk, m)
    open_ = [(piece, e) for piece in pieces for e in entries(talk, piece)]
    if not open_:
        raise Refused(f"There is nothing planned on {listed('the ' + p for p in pieces)}.")
    talk.said_pieces = pieces
    names = [(e.name, piece) for piece, e in open_]
    # The number of coats may stand on the list as a task of its own: it goes with them.
    names += [(t.text, t.piece) for t in talk.state.tasks if t.state == "open" and t.piece in pieces and said_coats(t)]
    events: list[Event] = [_task(talk, name, piece, state="dropped") for name, piece in dict.fromkeys(names)]
    told = listed(dict.fromkeys(e.name for _, e in open_))
    return Result(f"{capital(listed('the ' + p for p in pieces))} dropped from the plan: {told}.", events)


def _back(talk: Talk, m: Meaning) -> Result:
    pieces = naming.pieces(talk, m)
    dropped = [t for t in talk.state.tasks if t.state == "dropped" and t.piece in pieces]
    if not dropped:
        raise Refused(f"Nothing on {listed('the ' + p for p in pieces)} was dropped.")
    talk.said_pieces = pieces
    events: list[Event] = [_task(talk, t.text, t.piece, after=t.after) for t in dropped]
    return Result(f"Back in the plan: {listed(t.text for t in dropped)}.", events)


def _after(talk: Talk, m: Meaning) -> Result:
    first, word, second = re.split(r"\b(after|before)\b", m.text.lower(), maxsplit=1)
    sides: list[list[str]] = [[], []]
    for name in m.pieces:
        found = naming.pieces(talk, replace(m, pieces=[name]))
        late = not any(option in first or option.split()[-1] in first for option in name.options)
        sides[late] += found
    early, late_ = (sides[1], sides[0]) if word == "after" else (sides[0], sides[1])
    ahead = [e for piece in early for e in entries(talk, piece)]
    behind = [(piece, e) for piece in late_ for e in entries(talk, piece)[:1]]
    if not ahead or not behind or not second:
        bare = [p for p in (*early, *late_) if not entries(talk, p)] or [*early, *late_]
        raise Refused(f"There is nothing planned on {listed('the ' + p for p in bare)}.")
    events: list[Event] = [_task(talk, e.name, piece, after=ahead[-1].name) for piece, e in behind]
    talk.said_pieces = late_
    return Result(f"{capital(listed(e.name for _, e in behind))} after {ahead[-1].name}.", events)


# -- products ---------------------------------------------------------------------------------


def _use(talk: Talk, m: Meaning) -> Result:
    pieces = naming.pieces(talk, m, need=False) if m.pieces or m.has("talk.it") else []
    said = [p for name in m.products for p in name.options[:1]]
    new, old = said[0], said[1] if len(said) > 1 else None
    if re.search(r"\bswap\b.*\bfor\b", m.text.lower()) and old:
        new, old = old, new
    card = card_for(talk.cards, new)
    if card is None:
        raise Refused(f'I have no label for "{new}": add it, or name a product that the job has.')
    events, told = list[Event](), []
    for piece in pieces or [*talk.state.pieces]:
        for entry in entries(talk, piece):
            label = next((_label(talk, entry, k) for k in coats_of(entry, talk.cards) if k == card.kind), None)
            if old is not None:
                label = old if entry.label == old else None
            if label is None or label == new or not isinstance(label, str):
                continue
            events.append(_task(talk, use_text(new, label, piece), piece))
            told.append((label, piece))
    if not events and (again := _as_before(talk, new, pieces)):
        return again
    if not events:
        where = f" on {listed('the ' + p for p in pieces)}" if pieces else ""
        raise Refused(f"Nothing planned{where} takes {old or f'another {card.kind}'}: there {new} changes nothing.")
    talk.said_pieces = list(dict.fromkeys(p for _, p in told))
    olds = listed(dict.fromkeys(label for label, _ in told))
    return Result(f"{capital(new)} instead of {olds} on {listed('the ' + p for p in talk.said_pieces)}.", events)


def _as_before(talk: Talk, product: str, pieces: list[str]) -> Result | None:
    """Take back that something else was to be used instead of ``product``."""
    open_ = [t for t in talk.state.tasks if t.state == "open" and (not pieces or t.piece in pieces)]
    mine = [t for t in open_ if bends(t) and f" instead of {product} " in f"{t.text} "]
    if not mine:
        return None
    events: list[Event] = [_task(talk, t.text, t.piece, state="dropped") for t in mine]
    return Result(f"{capital(product)} again{' on ' + listed(f'the {p}' for p in pieces) if pieces else ''}.", events)


REPLAN: dict[str, Callable[[Talk, Meaning], Result]] = {"replan": replan}
