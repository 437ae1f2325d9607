"""Corrections and what is taken back, built from their clauses."""

from __future__ import annotations

from typing import Any

from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.clause import Clause
from assistant.language.deeds import act_of, thinned_of
from assistant.language.items import Item, Kind
from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Flaw,
    Force,
    Meaning,
    Pronoun,
    Spell,
    TinFact,
    Undo,
)
from assistant.language.sentences import Sentence
from assistant.language.slots import Slots, leftovers
from assistant.quantity import Amount


def undo(phrase: Phrase, s: Sentence) -> Meaning:
    """Build taking back: the last entry, or the one described."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    pieces = slots.pieces()
    described = (pieces and (pieces.names or pieces.unknown)) or slots.items(
        "coat", "ordinal", "products", "acted", "spaces", "air", "fault", "vessel"
    )
    last = any(g.sequence == "last" for g in slots.noun_groups("last", "coat", "pieces", "ordinal"))
    count = next((int(g.count) for g in slots.noun_groups("pieces", "last", "task", "ordinal") if g.count), 1)
    beside, held = leftovers(phrase, clause)
    words = phrase.said(clause.i, clause.j)
    target: Any = None
    if described and not (last and not (pieces and pieces.names)):
        if slots.items("air", "spaces") and not slots.items("coat", "acted"):
            target = Spell(spaces=slots.spaces(), words=words)
        elif slots.items("fault"):
            target = Flaw(
                fault=next((g.value for g in slots.noun_groups("fault") if g.value), "other"),
                pieces=pieces,
                words=words,
            )
        elif slots.items("vessel"):
            target = TinFact(change="bought", products=slots.products(), words=words)
        else:
            target = Deed(
                act=act_of(clause, slots) if slots.items("acted", "coat", "ordinal", "products") else Act.OTHER,
                pieces=pieces,
                products=slots.products(),
                coat=slots.ordinal(),
                when=slots.when(),
                words=words,
            )
    return Undo(force=s.force, words=words, unused=beside, held=held, count=count, target=target)


def correction(phrase: Phrase, s: Sentence) -> Meaning:
    """Build a correction: what stands before the verb says which entry, what stands after it what it should be."""
    clause = s.clause
    verb = clause.verb
    left = [p for p in clause.parts if p.left and p.slot != "wrong"]
    if not any(not p.left and p.slot not in ("wrong", None) for p in clause.parts) and any(
        p.item.kind is Kind.GROUP and p.item.value.names for p in left
    ):
        return correction_of(phrase, s, [], left, [p for p in clause.parts if p.slot == "wrong"])
    wrong = [p for p in clause.parts if p.slot == "wrong"]
    right = [p for p in clause.parts if not p.left and p.slot != "wrong"]
    if verb is None:
        left, right = [], [p for p in clause.parts if p.slot != "wrong"]
    return correction_of(phrase, s, left, right, wrong)


def correction_of(phrase: Phrase, s: Sentence, left: list[Any], right: list[Any], wrong: list[Any]) -> Correction:
    """Build a correction: ``left`` tells of the entry, ``right`` what it should be, ``wrong`` what it is not."""
    beside, held = leftovers(phrase, s.clause)
    fixed = Slots(phrase, s.clause, right)
    numbers = tuple(float(v) for v in fixed.measures("number") if isinstance(v, int | float))
    bare = [p for p in right if p.slot == "when" and p.item.doubt >= 0.25]
    for p in bare:  # "no, three twenty" may be a grit as well as a time: the entry decides
        read = [
            c.value[1] for c in phrase.of(p.item.i, Cat.MEASURE) if c.j == p.item.j and c.value[0] is Measure.NUMBER
        ]
        if read:
            numbers = (*numbers, float(read[0]))
            right = [q for q in right if q is not p]
    temperature = fixed.measure("temperature")
    fault = next((g.value or "other" for g in fixed.noun_groups("fault")), None)
    return Correction(
        force=Force.DENIED if s.force is Force.DENIED and not wrong else Force.DONE,
        words=phrase.said(s.clause.i, s.clause.j),
        unused=beside,
        held=held,
        target=_described(phrase, s.clause, left),
        right=_described(phrase, s.clause, right),
        wrong=_described(phrase, s.clause, [p._replace(slot=_slot_of(p.item)) for p in wrong]),
        numbers=numbers,
        humidity=_percent(fixed),
        spaces=fixed.spaces() if not fixed.items("pieces") else (),
        temperature=temperature if isinstance(temperature, Amount) else None,
        fault=fault,
    )


def _percent(slots: Slots) -> Amount | None:
    said = thinned_of(slots)
    return said if said is not None and slots.items("thinned") else None


def _slot_of(item: Item) -> str | None:
    known = {
        "piece": "pieces",
        "product": "products",
        "coat": "coat",
        "ordinal": "ordinal",
        "time": "when",
        "grit": "grit",
        "amount": "amount",
        "percent": "thinned",
    }
    return next((known[k] for k in item.kinds if k in known), None)


def _described(phrase: Phrase, clause: Clause, parts: list[Any]) -> Deed | None:
    slots = Slots(phrase, clause, parts)
    pieces = slots.pieces()
    if pieces is not None and pieces.pronoun is Pronoun.IT and not pieces.names and not pieces.quantifier:
        pieces = None
    thinned, amount = thinned_of(slots), slots.measure("amount")
    when = slots.when()
    coats = slots.noun_groups("coat", "ordinal")
    found = Deed(
        act=act_of(clause, slots) if slots.items("coat", "ordinal", "acted", "products") else Act.OTHER, pieces=pieces,
        products=slots.products(), coat=slots.ordinal(), grit=slots.grits(), when=when, thinned=thinned,
        amount=amount if isinstance(amount, Amount) else None, ratio=slots.measure("ratio"),
        final=any(g.sequence == "last" for g in coats), words=" ".join(phrase.said(p.item.i, p.item.j) for p in parts),
    )  # fmt: skip
    empty = Deed(act=found.act, words=found.words)
    return None if found == empty and found.act is Act.OTHER else found
