"""Short answers, corrections without a verb, and "the same again"."""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.items import Kind
from assistant.language.meanings import (
    Answer,
    Correction,
    Force,
    Same,
)
from assistant.language.names import Name
from assistant.language.noungroup import Head
from assistant.language.righting import correction_of
from assistant.language.sentences import Sentence
from assistant.language.slots import Slots, leftovers
from assistant.language.terse.runs import NOTHING
from assistant.quantity import Amount

_YES: Final = frozenset(
    [
        "yes",
        "yeah",
        "yep",
        "yup",
        "aye",
        "correct",
        "right",
        "sure",
        "ok",
        "okay",
        "affirmative",
        "definitely",
        "indeed",
    ]
)


_NO: Final = frozenset(["no", "nope", "nah", "nay", "negative", "neither"])


#: No piece has more coats of one product.
_COATS: Final = 12
SAME: Final = frozenset(["same", "ditto", "likewise"])


def short_answer(phrase: Phrase, found: list[Sentence]) -> Answer | None:
    """Take a few words without a predicate as what may answer a question back."""
    words = [w for w, k in zip(phrase.words, phrase.kinds, strict=True) if k != "mark"]
    yes = True if words[0] in _YES else False if words[0] in _NO else None
    if len(words) == 1 and yes is not None:
        return Answer(yes=yes, words=phrase.text)
    if (
        len(found) > 1
        or len(words) > 8
        or (found[0].clause.frame.name != "fragment" and not (yes is not None and len(words) <= 3))
    ):
        return None
    if found[0].force is Force.ASKED:
        return None
    clause = found[0].clause
    slots = Slots(phrase, clause)
    if leftovers(phrase, clause)[1]:
        return None
    percent, temperature, amount = (slots.measure(n) for n in ("thinned", "temperature", "amount"))
    numbers = [float(v) for v in slots.measures("number", "grit") if isinstance(v, int | float)]
    return Answer(
        yes=yes,
        words=phrase.text,
        pieces=slots.pieces(),
        products=slots.products(),
        spaces=slots.spaces(),
        numbers=tuple(numbers),
        coat=slots.ordinal(),
        amount=amount if isinstance(amount, Amount) else None,
        percent=percent if isinstance(percent, Amount) else None,
        temperature=temperature if isinstance(temperature, Amount) else None,
        when=slots.when(),
    )


def put_right(phrase: Phrase, found: list[Sentence]) -> Correction | None:
    """Take what follows "no," as putting the last entry right, unless it tells whole work of its own."""
    if len(found) != 1 or found[0].force is Force.ASKED:
        return None
    s = found[0]
    clause = s.clause
    if clause.frame.meaning == "correction":
        return None
    nominal = clause.verb is None or clause.light == "be"
    if clause.frame.name not in ("fragment", "coat", "sand", "air", "flaw") or not nominal:
        return None
    slots = {p.slot for p in clause.parts}
    if clause.frame.name == "coat" and {"pieces", "products"} <= slots and "coat" in slots:
        return None
    if not slots - {None, "subordinator"}:
        return None
    parts = [p for p in clause.parts if not (p.left and p.item.kinds[0].startswith("pronoun"))]
    wrong = [p for p in parts if p.slot == "wrong" or p.item.prep == "not"]
    return correction_of(phrase, s, [], [p for p in parts if p not in wrong], wrong)


def same_again(phrase: Phrase, found: list[Sentence]) -> Same | None:
    """Take "same on the other door", "ditto the shelf at ten past"."""
    if not SAME & set(phrase.words) or any(s.force is not Force.DONE and s.force is not Force.ORDERED for s in found):
        return None
    pieces, source, coat, when = None, None, None, None
    grits: tuple[int, ...] = ()
    products: tuple[Name, ...] = ()
    for s in found:
        slots = Slots(phrase, s.clause)
        for p in s.clause.parts:
            if p.item.kind is Kind.GROUP and p.item.value.head in (Head.PIECE, Head.PRONOUN) and p.item.prep == "as":
                source = p.item.value.group("")
        mine = slots.pieces("anything", "on", "other")
        if mine is not None and (mine.names or mine.quantifier or mine.pronoun):
            pieces = pieces or mine
        coat, grits = coat or slots.ordinal(), grits or slots.grits()
        products, when = products or slots.products(), when or slots.when()
    return Same(
        words=phrase.text,
        pieces=pieces,
        source=source,
        coat=coat,
        grit=grits[0] if grits else None,
        products=products,
        when=when,
    )


def says_too(phrase: Phrase, found: list[Sentence]) -> bool:
    """Whether a phrase goes on from the one before: "and the shelf", "the shelf too"."""
    said = (p.item for s in found for p in s.clause.parts if p.item.kind is Kind.FUNCTION)
    return phrase.at(0) in ("and", "then", "also", "plus", "next") or any(
        i.kinds[-1] == "discourse" and i.value.value == "too" for i in said
    )


def done_too(phrase: Phrase, found: list[Sentence]) -> Same | None:
    """Take "and the other door too", "the starboard one's done now" as the last thing done, on another piece."""
    if len(found) != 1 or found[0].force is not Force.DONE or NOTHING & set(phrase.words):
        return None
    clause = found[0].clause
    slots = Slots(phrase, clause)
    pieces = slots.pieces()
    if pieces is None or not (pieces.names or pieces.quantifier or pieces.pronoun) or leftovers(phrase, clause)[1]:
        return None
    counted = [int(v) for v in slots.measures("number") if isinstance(v, int | float) and v == int(v)]
    if len(counted) > 1 or any(not 1 <= n <= _COATS for n in counted):
        return None
    if clause.frame.name == "done" or (clause.frame.name == "fragment" and says_too(phrase, found)):
        grits = slots.grits()
        return Same(
            words=phrase.text,
            pieces=pieces,
            coat=slots.ordinal() or (counted[0] if counted else None),  # "three on that now"
            grit=grits[0] if grits else None,
            products=slots.products(),
            when=slots.when(),
        )
    return None
