"""Lasting changes of the plan: coats more or fewer, a step left out, a piece dropped, another product, another order.

What a phrase changes follows from which marks it has (:mod:`assistant.language.marks`) and how they stand to each
other. Nothing may be left over: then it is no change of the plan but whatever the clauses make of it. What was done,
asked, supposed or wished changes no plan.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language import sentences
from assistant.language.chunks import Phrase
from assistant.language.marks import Mark, Row, Sort, lemmas, marks, may_mean
from assistant.language.meanings import Act, Change, Force, PlanChange, Quantifier
from assistant.language.noungroup import Head, NounGroup
from assistant.language.predicates import VerbGroup
from assistant.language.questions import asks
from assistant.language.sentences import Sentence

_UNSAID: Final = frozenset([Force.ASKED, Force.SUPPOSED, Force.REPORTED, Force.WISHED, Force.REMARKED])
_ACTS: Final = {"sand": Act.SAND, "clean": Act.CLEAN}
#: Verbs that stand for a plan made, in whatever tense: "I've decided ..."
_DECIDING: Final = frozenset(["plan", "decide"])
#: Verbs over the verb that make it no order of the plan's: "remind me to", "don't forget to".
_MINDING: Final = frozenset(["remind", "remember", "forget", "try"])
#: What gives a piece its coats, and what does so only where a number is said to hold.
_GIVING: Final = frozenset(["give", "need", "deserve", "want", "plan", "decide", "make"])
_LAYING: Final = frozenset(["coat", "do", "get", "have", "lay"])
#: "It still needs two coats" tells what is left of the plan.
_LEFT: Final = frozenset(["still", "yet", "already", "left", "remaining"])
_OUT: Final = frozenset(["off", "from", "out of", "off of"])
_IN: Final = frozenset(["in", "into", "on", "onto", "to"])
_HELD: Final = frozenset(["has", "have", "'ve"])
_ON_PIECE: Final = frozenset(["", "on", "to", "for", "off", "from", "onto"])


def change(phrase: Phrase, found: list[Sentence] | None = None) -> PlanChange | None:
    """Give the one change of the plan that a phrase orders; None if it is anything else, or more than that."""
    said = changes(phrase, found)
    return said[0] if len(said) == 1 else None


def changes(phrase: Phrase, found: list[Sentence] | None = None) -> list[PlanChange]:
    """Give the changes of the plan that a phrase orders, in order; none if any of it is anything else.

    ``found`` are the phrase's clauses, whose forces say what is not ordered; they are read if they are not given and
    the marks alone would make a change.
    """
    laid_out = marks(phrase)
    if not laid_out:
        return []
    said = _all(phrase, [laid_out]) or _all(phrase, _parts(laid_out))
    if not said or asks(phrase, 0, len(phrase), last=False):
        return []
    clauses = found if found is not None else sentences.read(phrase)[0]
    if not clauses or any(s.force in _UNSAID for s in clauses):
        return []
    return said


def _all(phrase: Phrase, rows: list[list[Mark]]) -> list[PlanChange]:
    """Give a change for each row; none unless each is one."""
    said = [_one(Row(phrase, row)) for row in rows]
    return [replace(s, words=phrase.text) for s in said if s is not None] if None not in said else []


def _one(row: Row) -> PlanChange | None:
    if _told(row) or any(_MINDING & {*v.operators} for v in row.verbs):
        return None
    if any(not _decides(v) for v in row.verbs[:-1]):
        return None  # two things in one breath
    return next((s for way in (_skip, _use, _after, _moved, _coats) if (s := way(row)) is not None), None)


def _parts(row: list[Mark]) -> list[list[Mark]]:
    """Cut a row at its joints: "five coats on the trim and two of sealer on the shelf, to do".

    A part without a verb goes on with the one before it, and "to do" at the end holds for all.
    """
    out: list[list[Mark]] = [[]]
    for mark in row:
        if mark.sort is Sort.JOINT:
            out.append([])
        else:
            out[-1].append(mark)
    if len(out) < 2 or any(not any(m.sort is Sort.PIECE for m in part) for part in out):
        return []
    to_do = [m for m in out[-1] if m.sort is Sort.TO_DO]
    verb: list[Mark] = []
    for n, part in enumerate(out):
        mine = [m for m in part if m.sort is Sort.VERB]
        out[n] = [*([] if mine else verb), *_counted(part), *(to_do if n < len(out) - 1 else [])]
        verb = mine or verb
    return out


def _counted(part: list[Mark]) -> list[Mark]:
    """Take a number as so many coats where the part before spoke of coats: "... and two of sealer"."""
    if not part or part[0].sort is not Sort.NUMBER:
        return part
    of = part[2:3] if [m.sort for m in part[1:3]] == [Sort.PREPOSITION, Sort.PRODUCT] and part[1].value == "of" else []
    end = of[0].j if of else part[0].j
    group = NounGroup(
        part[0].i, end, Head.COAT, count=part[0].value, products=of[0].value.products if of else (),
    )  # fmt: skip
    return [Mark(part[0].i, end, Sort.COAT, group), *part[3 if of else 1 :]]


# -- done, or to come ---------------------------------------------------------------------------


def _told(row: Row) -> bool:
    """Whether a verb tells of what was done, or is under way."""
    return any(_tells(row, v) for v in row.verbs)


def _tells(row: Row, verb: VerbGroup) -> bool:
    if _decides(verb) and not verb.passive:
        return False
    if (verb.past and not verb.base) or row.perfect(verb) or verb.passive:
        return True
    if lemmas(verb) == {"put"} and not verb.infinitive:  # "put on three coats" is past
        written = row.has(Sort.PLAN) or _put_down(row, verb)
        return not written or (row.has(Sort.SELF) and verb.force is Force.DONE)
    if verb.base and row.has(Sort.SELF) and verb.force in (Force.DONE, Force.ORDERED):
        return True  # "I give it a coat"
    going = "going" in row.phrase.words[verb.i : verb.main]
    given_up = {"give-up", *_ACTS} & {*verb.operators, *row.senses(verb)}
    to_come = going or given_up or (_firm(row) and not verb.past)  # "we're only doing three coats"
    return verb.progressive and verb.force is Force.UNDERWAY and not to_come


def _decides(verb: VerbGroup) -> bool:
    """Whether a verb tells of a plan made, or stands under one that does: "I've decided to give ..."."""
    return bool(_DECIDING & {*verb.operators, *lemmas(verb)})


def _put_down(row: Row, verb: VerbGroup) -> bool:
    """Whether a verb writes into a plan: "put the trim down for six coats"."""
    return any(u.sense == "add-list" and len(u.particles) > 1 for u in row.uses(verb))


def _lead(row: Row) -> VerbGroup | None:
    """Give the verb that is ordered: the last one of "I've decided the door wants two coats"."""
    return row.verbs[-1] if row.verbs else None


# -- steps, pieces, products --------------------------------------------------------------------


def _skip(row: Row) -> PlanChange | None:
    """Take "skip sanding before coat two", "no need to rub down between coats", "don't bother washing ..."."""
    coats, act = row.of(Sort.COAT), _act(row)
    allowed = (Sort.VERB, Sort.ACT, Sort.COAT, Sort.PIECE, Sort.SELF, Sort.NO)
    if act is None or len(coats) > 1 or not row.only(*allowed):
        return None
    said: NounGroup | None = coats[0].value if coats else None
    if said is not None and (said.products or not {"before", "between"} & set(coats[0].prep.split())):
        return None
    if not _left_out(row, said is not None):
        return None
    return PlanChange(
        change=Change.SKIP, pieces=row.pieces, act=act, coat=said.ordinal if said else None,
        final=said is not None and said.sequence == "last",
    )  # fmt: skip


def _left_out(row: Row, before_a_coat: bool) -> bool:
    """Whether the step is denied, once: "don't skip the sanding" leaves nothing out."""
    given_up = any("give-up" in (*v.operators, *row.senses(v)) for v in row.verbs)
    bother = any(w.startswith("bother") for v in row.verbs for w in row.phrase.words[v.i : v.j])
    none = row.has(Sort.NO) or any(m.value.quantifier is Quantifier.NONE for m in row.of(Sort.ACT))
    if any(v.negative for v in row.verbs):
        return not none and given_up == bother and before_a_coat
    return none != given_up and not bother and (before_a_coat or given_up)


def _act(row: Row) -> Act | None:
    """Give the step that is spoken of, as a verb or as a noun."""
    found = {_ACTS[m.value.value] for m in row.of(Sort.ACT) if m.value.value in _ACTS}
    for verb in row.verbs:
        senses = row.senses(verb)
        found |= {_ACTS[s] for s in senses & _ACTS.keys() if not senses & {"give-up", "take"}}
    return found.pop() if len(found) == 1 and len(row.of(Sort.ACT)) <= 1 else None


def _use(row: Row) -> PlanChange | None:
    """Take "use X instead of Y", "swap X for Y", "replace X with Y", "go back to X"."""
    verb, products = _lead(row), row.of(Sort.PRODUCT)
    allowed = (Sort.VERB, Sort.PRODUCT, Sort.PIECE, Sort.SELF, Sort.INSTEAD, Sort.AGAIN, Sort.BACK)
    if verb is None or verb.negative or len(products) not in (1, 2) or not row.only(*allowed):
        return None
    if any(not m.value.of_pieces and m.prep != "on" for m in row.of(Sort.PIECE)):
        return None  # "change the product to ..."
    first, last = products[0], products[-1]
    senses = row.senses(verb)
    if "use" in senses and first.i >= verb.j and not first.prep:
        old = next((p for p in products if row.follows(p, Sort.INSTEAD)), None)
        if len(products) != 1 + (old is not None) or not (old or row.has(Sort.PIECE, Sort.AGAIN, Sort.INSTEAD)):
            return None
        return _using(row, first, old)
    if not senses & {"decide", "change-gear", "return"}:
        return None
    if len(products) == 2 and first.prep in ("", "from") and last.prep in ("for", "with", "by", "to"):
        return _using(row, last, first)
    return _using(row, first, None) if len(products) == 1 and first.prep in ("to", "back to") else None


def _using(row: Row, new: Mark, old: Mark | None) -> PlanChange:
    instead = old.value.products if old else ()
    return PlanChange(change=Change.USE, pieces=row.pieces, products=new.value.products, instead=instead)


def _after(row: Row) -> PlanChange | None:
    """Take "do the trim after the board", "leave the trim till after the board", "don't do the trim before it"."""
    verb, pieces = _lead(row), row.of(Sort.PIECE)
    if verb is None or not row.only(Sort.VERB, Sort.PIECE, Sort.SELF):
        return None
    if not row.senses(verb) & {"do", "start", "postpone", "leave"}:
        return None
    at = next((n for n, m in enumerate(pieces) if {"before", "after"} & set(m.prep.split())), 0)
    if not at or any(m.prep not in ("", "till", "until") for m in (*pieces[:at], *pieces[at + 1 :])):
        return None
    before = "before" in pieces[at].prep
    if verb.negative and not before:
        return None
    late, early = row.group(pieces[:at]), row.group(pieces[at:])
    if before and not verb.negative:  # "not before" is after
        late, early = early, late
    return PlanChange(change=Change.AFTER, pieces=late, other=early)


def _moved(row: Row) -> PlanChange | None:
    """Take "drop the bulkhead from the plan", "take it off the list", "put it back in the plan"."""
    verb, plans = _lead(row), row.of(Sort.PLAN)
    if verb is None or verb.negative or len(plans) != 1 or any(m.prep for m in row.of(Sort.PIECE)):
        return None
    if not row.has(Sort.PIECE) or not row.only(Sort.VERB, Sort.PIECE, Sort.SELF, Sort.PLAN, Sort.BACK):
        return None
    senses = may_mean(verb)
    if row.has(Sort.BACK):
        back = plans[0].prep in _IN and bool(senses & {"put", "add-list", "return"})
        return PlanChange(change=Change.BACK, pieces=row.pieces) if back else None
    dropped = plans[0].prep in _OUT and senses & {"give-up", "undo", "take"} and "tick-off" not in senses
    return PlanChange(change=Change.DROP, pieces=row.pieces) if dropped else None


# -- coats --------------------------------------------------------------------------------------


def _coats(row: Row) -> PlanChange | None:
    """Take coats more, fewer, or so many in all."""
    coats = row.of(Sort.COAT)
    verb = _lead(row)
    if len(coats) != 1 or not _fits(row, coats[0]) or (verb is not None and verb.negative):
        return None
    said: NounGroup = coats[0].value
    made = PlanChange(change=Change.TOTAL, pieces=row.pieces, products=said.products, count=_count(row, said))
    fewer = replace(made, change=Change.FEWER, count=made.count or 1)
    if row.has(Sort.FEWER):
        return None if said.another or said.ordinal else fewer
    if verb is not None and _takes_off(row, verb, coats[0]):
        return fewer
    if said.ordinal or said.sequence or not _planned(row) or _LEFT & set(row.phrase.words):
        return None
    if said.another and verb is None and not row.has(Sort.TO_DO):
        return None  # "only one more coat on the trim" may be on
    adds = verb is not None and "add" in lemmas(verb)
    if said.another or (adds and not _firm(row)):
        return replace(made, change=Change.MORE, count=made.count or 1)
    return made if made.count is not None else None


def _fits(row: Row, coat: Mark) -> bool:
    """Whether only pieces and the plan stand beside the coats, and a number only after "instead of"."""
    allowed = (
        Sort.VERB, Sort.COAT, Sort.PIECE, Sort.SELF, Sort.NUMBER, Sort.FEWER, Sort.ONLY, Sort.INSTEAD, Sort.PLAN,
        Sort.TO_DO,
    )  # fmt: skip
    if not row.only(*allowed) or not set(coat.prep.split()) <= {"on", "for", "with", "down"}:
        return False
    pieces = row.of(Sort.PIECE)
    loose = [m for m in row.of(Sort.NUMBER) if not row.follows(m, Sort.INSTEAD) and not _counts(row, m)]
    if any(m.prep not in ("", *_IN) for m in row.of(Sort.PLAN)):
        return False  # "as in the plan"
    return not loose and all(m.prep in _ON_PIECE and not m.value.part for m in pieces)


def _counts(row: Row, number: Mark) -> bool:
    """Whether a number stands before "fewer coats"."""
    return any(m.sort is Sort.FEWER and m.i == number.j for m in row.marks)


def _count(row: Row, said: NounGroup) -> int | None:
    if said.count:
        return int(said.count)
    return next((int(m.value) for m in row.of(Sort.NUMBER) if _counts(row, m)), None)


def _firm(row: Row) -> bool:
    """Whether a number is said to hold against another, or to be all there is to be."""
    return row.has(Sort.INSTEAD) or "only" in row.phrase.words


def _takes_off(row: Row, verb: VerbGroup, coat: Mark) -> bool:
    """Whether coats are left out: "skip the last coat", "take a coat off". "Take the second coat off" is no plan."""
    said: NounGroup = coat.value
    if said.ordinal or said.another or _firm(row) or row.has(Sort.TO_DO) or coat.i < verb.j:
        return False
    senses = row.senses(verb)
    counted = bool(said.count) or said.determiner in ("a", "an")
    if "give-up" in senses:
        return counted or said.sequence == "last"
    return "take" in senses and counted and not said.sequence and any(m.prep in _OUT for m in row.of(Sort.PIECE))


def _planned(row: Row) -> bool:
    """Whether coats are ordered or planned, and not told of."""
    if row.has(Sort.TO_DO):
        return True
    verb, firm = _lead(row), _firm(row)
    if verb is None:
        return firm
    if "have" in lemmas(verb) and row.phrase.at(verb.main) in _HELD:
        return False  # "the trim has three coats"
    senses = row.senses(verb)
    if row.has(Sort.PLAN):
        return bool(senses & {"put", "add-list", "coat"})
    if _put_down(row, verb) or "add" in lemmas(verb) or (firm and senses & (_GIVING | _LAYING)):
        return True
    if row.has(Sort.SELF) and not any(_decides(v) for v in row.verbs):
        return False  # "I'll give it a coat" is the next, not a change
    gives = senses & _GIVING or (lemmas(verb) & {"get", "have"} and not verb.base)
    return bool(gives) and verb.force in (Force.ORDERED, Force.MEANT, Force.DONE)
