"""A short answer to a question back: it fills in what was missing, and the first phrase is told again with it.

So an answered question takes the very path that the whole phrase would have taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from assistant.dialogue import settling
from assistant.dialogue.context import Context, Hints, Pending, Slot, hints_of
from assistant.dialogue.talk import Talk
from assistant.dialogue.telling.moments import ends
from assistant.language.meanings import (
    Act,
    Answer,
    Deed,
    Errand,
    Force,
    Group,
    Meaning,
    Quantifier,
    Reading,
    Remark,
    Undo,
)
from assistant.language.names import Name
from assistant.quantity import Amount

_EVERY: Final = (Quantifier.ALL, Quantifier.BOTH, Quantifier.EACH)


@dataclass(frozen=True, slots=True)
class Filled:
    """What an answer filled in: the ``phrase`` to be read again, as said ``at``; ``dropped`` if the answer was no."""

    phrase: str
    at: datetime
    hints: tuple[Hints, ...] = ()
    dropped: bool = False


def answered(talk: Talk, context: Context, reading: Reading) -> Filled | None:
    """Give what a phrase answers, or None if nothing was asked or it is something new.

    The caller reads ``Filled.phrase`` again, puts ``hints`` into the context, and tells it as at ``Filled.at``.
    """
    pending = context.pending
    if pending is None or not pending.waits(talk.now) or pending.slot == Slot.WHAT_WAS_IT:
        return None
    told = [m for m in reading.meanings if not isinstance(m, Remark)]
    if len(told) != 1:
        return None
    if pending.slot == Slot.VERB:
        return _verb(pending, told[0])
    if isinstance(told[0], Undo) and told[0].target is None and pending.slot not in (Slot.SURE, Slot.WORD):
        # "scratch that" is what the question was about
        return Filled(pending.phrase, pending.asked, pending.hints, dropped=True)
    said = _as_answer(told[0], pending.slot)
    if said is None:
        return None
    whole = Filled(pending.phrase, pending.asked, pending.hints)
    if said.yes is False and pending.slot not in (Slot.LAID, Slot.MORE) and said.pieces is None:
        return replace(whole, dropped=True)
    hints = _filled(talk, context, pending, said)
    if hints is None:
        return None
    others = tuple(h for h in pending.hints if h.clause != pending.clause)
    return replace(whole, hints=(*others, hints))


def _verb(pending: Pending, said: Meaning) -> Filled | None:
    """Take a verb said alone for the one that nobody knew: it is known from then on."""
    if not isinstance(said, Deed) or not said.verb or said.act is Act.OTHER or said.held is not None:
        return None
    if said.products or (said.pieces is not None and said.pieces.pronoun is None) or (said.when and said.when.said):
        return None
    hints = replace(_before(pending), act=said.act.value, word=pending.value)
    others = tuple(h for h in pending.hints if h.clause != pending.clause)
    return Filled(pending.phrase, pending.asked, (*others, hints))


def _as_answer(said: Meaning, slot: Slot) -> Answer | None:
    """Take what was read as an answer if it says nothing else than what was asked for."""
    if isinstance(said, Answer):
        return said
    if slot == Slot.SURE and isinstance(said, Undo) and said.target is None:
        return Answer(words=said.words, yes=True)
    if slot == Slot.LAID and isinstance(said, Deed | Errand):
        named = said.pieces is not None and bool(said.pieces.names)
        return None if named else Answer(words=said.words, yes=said.force is Force.DONE)
    if not isinstance(said, Deed) or said.verb or said.force is not Force.DONE or (said.when and said.when.said):
        return None
    others = {
        Slot.PIECE: (said.products, said.coat, said.amount, said.grit), Slot.PRODUCT: (said.pieces, said.coat),
        Slot.NEW_PIECE: (said.products, said.coat, said.amount, said.grit), Slot.COAT: (said.pieces, said.products),
        Slot.AMOUNT: (said.pieces, said.products, said.coat), Slot.WORD: (said.coat, said.amount, said.grit),
    }.get(slot, (True,))  # fmt: skip
    if any(others):
        return None
    return Answer(words=said.words, pieces=said.pieces, products=said.products, coat=said.coat, amount=said.amount)


def _filled(talk: Talk, context: Context, pending: Pending, said: Answer) -> Hints | None:
    hints, number = _before(pending), said.numbers[0] if said.numbers else None
    match pending.slot:
        case Slot.PIECE | Slot.NEW_PIECE:
            return _pieces(talk, context, pending, said)
        case Slot.WORD:
            return _noun(pending, said)
        case Slot.PRODUCT:
            found = _named(said.products, pending.options)
            return replace(hints, products=(*hints.products, found)) if found else None
        case Slot.SPACE:
            found = _named(said.spaces, pending.options)
            return replace(hints, space=found) if found else None
        case Slot.AMOUNT:
            much = said.amount or (Amount(number, "ml") if number is not None else None)
            return replace(hints, amount=much) if much else None
        case Slot.TEMPERATURE:
            warm = said.temperature or (Amount(number, "degC") if number is not None else None)
            return replace(hints, temperature=warm) if warm else None
        case Slot.PERCENT:
            share = said.percent or (Amount(number, "percent") if number is not None else None)
            return replace(hints, percent=share) if share else None
        case Slot.COAT:
            coat = said.coat or (int(number) if number is not None and number == int(number) else None)
            return replace(hints, coat=coat) if coat else None
        case Slot.WHEN:
            if said.when is None or not said.when.said:
                return None
            return replace(hints, at=ends(said.when, talk.now, pending.value or "past")[0])
        case Slot.LAID:
            return replace(hints, laid=said.yes) if said.yes is not None else None
        case Slot.MORE:
            more = said.yes if said.yes is not None else True if number == 1 else _pick(pending, said) == 0 or None
            return replace(hints, more=more) if more is not None else None
        case Slot.SURE:
            return replace(hints, sure=True) if said.yes else None
        case Slot.MEANT:
            return replace(hints, meant=True) if said.yes else None
        case _:
            return _of_list(pending, said)


def _before(pending: Pending) -> Hints:
    return hints_of(pending.hints, pending.clause)


def _of_list(pending: Pending, said: Answer) -> Hints | None:
    """Take one of the options that were read out: by its place, or by words that only it has."""
    place = _pick(pending, said)
    if place is None:
        return None
    if pending.slot == Slot.RIVAL:
        return replace(_before(pending), rival=place)
    if pending.slot == Slot.TEXT:
        return replace(_before(pending), text=pending.options[place])
    keys = pending.value.split()
    if pending.slot == Slot.ENTRY and place < len(keys):
        return replace(_before(pending), entry=int(keys[place]))
    if pending.slot == Slot.ROLE and place < len(keys):
        return replace(_before(pending), role=keys[place])
    return None


def _pick(pending: Pending, said: Answer) -> int | None:
    """Give the place of the option meant: "the second", or a word that just one of them has."""
    if said.coat is not None and 1 <= said.coat <= len(pending.options):
        return said.coat - 1
    words = set(said.words.casefold().split())
    for name in (*(said.pieces.names if said.pieces else ()), *said.products):
        words |= {w for o in name.options for w in o.casefold().split()}
    held = [k for k, o in enumerate(pending.options) if words & (_words(o) - _shared(pending.options))]
    return held[0] if len(held) == 1 else None


def _words(option: str) -> set[str]:
    return set(option.casefold().replace(",", " ").split())


def _shared(options: tuple[str, ...]) -> set[str]:
    return set.intersection(*(_words(o) for o in options)) if options else set()


def _named(names: tuple[Name, ...], options: tuple[str, ...]) -> str | None:
    said = [o for n in names for o in n.options]
    fits = list(dict.fromkeys([o for o in said if o in options] or said))
    return fits[0] if len(fits) == 1 else None


def _pieces(talk: Talk, context: Context, pending: Pending, said: Answer) -> Hints | None:
    word = pending.value if pending.slot == Slot.NEW_PIECE else None
    found = _these(talk, context, pending, said)
    if not found:
        return None
    before = _before(pending)
    return replace(before, pieces=tuple(dict.fromkeys((*before.pieces, *found))), word=word or before.word)


def _noun(pending: Pending, said: Answer) -> Hints | None:
    """Take a product or a piece for the noun that nobody knew."""
    before, of = _before(pending), _named(said.products, ())
    if of is not None:
        return replace(before, products=(*before.products, of), word=pending.value)
    names = said.pieces.names if said.pieces is not None else ()
    sure = tuple(o for n in names if len(n.options) == 1 or n.plural for o in n.options)
    return replace(before, pieces=sure, word=pending.value) if sure else None


def _these(talk: Talk, context: Context, pending: Pending, said: Answer) -> tuple[str, ...]:
    options = pending.options
    group = said.pieces or Group()
    if said.yes and not group.names:
        if pending.slot == Slot.NEW_PIECE:
            return (pending.value,)
        return options if len(options) == 1 or pending.value == settling.ALL else ()
    if group.quantifier in _EVERY and not group.names:
        return options if len(options) < len(talk.state.pieces) else ()
    if group.quantifier is Quantifier.OTHER and not group.names:
        rest = tuple(o for o in options if o not in context.pieces)
        return rest if len(rest) == 1 else ()
    every = tuple(dict.fromkeys(o for n in group.names for o in n.options))
    fits = tuple(o for o in every if o in options) or every
    plural = any(n.plural for n in group.names) or len(group.names) > 1 or group.quantifier in _EVERY
    if fits:
        return fits if len(fits) == 1 or plural else ()
    place = _pick(pending, said)  # "port": one word of just one of the options
    return (options[place],) if place is not None else ()
