"""Work on pieces, built from its clause."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.clause import Clause
from assistant.language.errands import free_words
from assistant.language.items import Kind
from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Force,
    Group,
    Meaning,
    Pronoun,
    Rule,
)
from assistant.language.noungroup import Head
from assistant.language.periods import Edge
from assistant.language.sentences import Sentence
from assistant.language.slots import Slots, doubt_of, leftovers
from assistant.language.when import When
from assistant.quantity import Amount


def _to_bare(clause: Clause) -> bool:
    """Whether work went down to what is under every coat: "to bare steel"."""
    return any(
        p.item.kind is Kind.GROUP
        and p.item.prep == "to"
        and ("bare" in p.item.value.states or p.item.value.lemma.startswith("bare "))
        for p in clause.parts
    )


def _act_told(clause: Clause, slots: Slots) -> Act:
    """Give the act that a clause tells of, with all that is said beside its verb."""
    act = act_of(clause, slots)
    if act is Act.THIN and slots.items("coat") and any(g.ordinal or g.products for g in slots.noun_groups("coat")):
        act = Act.COAT  # "second coat of varnish on the rail thinned five percent"
    if act is Act.SAND and any(g.value == "clean" for g in slots.noun_groups("tool")):
        act = Act.CLEAN  # "went over it with a tack rag"
    if act is Act.SAND and not slots.grits() and _to_bare(clause):
        act = Act.STRIP  # "took it right back to bare wood"
    return act


def deed(phrase: Phrase, s: Sentence) -> Meaning:
    """Build work on pieces."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    frame = clause.frame
    if "put_off" in frame.flags and any(g.value == "deadline" for g in slots.noun_groups("task")):
        return _deadline(phrase, s, slots)
    act = _act_told(clause, slots)
    told = slots.pieces()
    bare = told and told.pronoun and not told.names and not slots.items("products", "coat", "amount")
    if act is Act.THIN and s.force is Force.DONE and bare:
        return Correction(
            words=phrase.said(clause.i, clause.j), right=Deed(act=Act.OTHER, thinned=thinned_of(slots))
        )  # "it was thinned ten percent"
    beside, held = leftovers(phrase, clause)
    words = phrase.said(clause.i, clause.j)
    coats = slots.noun_groups("coat", "ordinal", "products", "pieces")
    count = next((int(g.count) for g in coats if g.head in (Head.COAT,) and g.count), None)
    when, until, span, since = slots.when(), slots.bound("until"), slots.range(), slots.bound("since")
    told_start = next((i.value.value for i in slots.items("began") if isinstance(i.value.value, When)), None)
    began = span.start if span else told_start
    if when is None and since is not None and s.force is Force.DONE:
        when = since.when  # "in undercoat as of quarter past two"
    if span and when is None:
        when = span.end if isinstance(span.end, When) else None
    pieces = slots.pieces(*(("flaw",) if act is Act.FILL else ()))
    pieces = _pieces(clause, slots, act, pieces)
    if act in (Act.FIT, Act.UNFIT, Act.BOND) and pieces is None and slots.items("other"):
        return free_words(phrase, s)
    if pieces is None and act in _PLAIN and _done_to_another(clause):
        return free_words(phrase, s)
    thinned = thinned_of(slots) or _neat(clause, slots)
    products = slots.products() if act is not Act.STRIP else slots.products("products")
    if act is Act.SAND:
        beside = (*beside, *_laid(phrase, slots))
        products = ()
    parts = _components(slots) if act is Act.MIX else ()
    amount = slots.measure("amount")
    if isinstance(amount, int | float):
        amount = Amount(float(amount), "ml")
    force = s.force
    held = None if act is Act.OTHER else held
    if until is not None and force is Force.DONE and act is not Act.OTHER and "put_off" not in frame.flags:
        by_then = until.edge is Edge.BY and when is None  # "the fourth coat on by ten"
        when = until.when if by_then else when
        held = held if by_then else held or " ".join(phrase.said(i.i, i.j) for i in slots.items("until"))
    by = until is not None and until.edge in (Edge.BY, Edge.BEFORE, Edge.UNTIL) and "put_off" not in frame.flags
    later = until if until and "put_off" in frame.flags else since if since and force is not Force.DONE else None
    return Deed(
        act=act, verb=clause.lemma, force=force, words=words, unused=beside, held=held if force is Force.DONE else None,
        doubt=doubt_of(phrase, clause), pieces=pieces, products=products,
        kind=clause.use.kind or None if clause.use else None, count=count,
        coat=slots.ordinal(), final=any(g.sequence == "last" for g in coats if g.head in (Head.COAT, Head.ORDINAL)),
        another=any(g.another or (g.sequence == "next" and g.head in (Head.COAT, Head.ORDINAL)) for g in coats),
        grit=slots.grits(), tool=slots.tool(), thinned=thinned, parts=parts, ratio=slots.measure("ratio"),
        amount=amount if isinstance(amount, Amount) and not parts else None, when=when, began=began,
        took=slots.length(), due=until.when if until and by else None, not_before=later.when if later else None,
        put_off="put_off" in frame.flags, dropped="dropped" in frame.flags, gapped=s.gapped,
        with_it=not products and _with_it(clause),
    )  # fmt: skip


def _pieces(clause: Clause, slots: Slots, act: Act, pieces: Group | None) -> Group | None:
    """Give the pieces with the part that a retouch is of, and "it" for a hole that was filled without a name."""
    if act is Act.COAT and clause.use and clause.use.sense == "retouch" and pieces and pieces.part is None:
        return replace(pieces, part="patch")
    if act is Act.FILL and pieces is None and slots.items("flaw"):
        return Group(pronoun=Pronoun.IT, words="")
    return pieces


def _with_it(clause: Clause) -> bool:
    """Whether work was done with what was spoken of last: "packed the split with it"."""
    return any(
        p.item.kind is Kind.GROUP and p.item.prep in ("with", "using") and p.item.value.head is Head.PRONOUN
        and p.item.value.pronoun is Pronoun.IT
        for p in clause.parts
    )  # fmt: skip


#: Acts that are always done to something.
_PLAIN: Final = frozenset([Act.CLEAN, Act.SAND, Act.STRIP, Act.MASK, Act.UNMASK, Act.FILL])
#: What such work can be done to besides a piece of the job: then it is no piece that it was done to.
_OTHER: Final = frozenset([
    Head.GEAR, Head.TOOL, Head.HARDWARE, Head.HOUSE, Head.MATERIAL, Head.VESSEL, Head.PLACE, Head.BODY, Head.UNKNOWN,
    Head.ANIMAL, Head.FOOD,
])  # fmt: skip


def _laid(phrase: Phrase, slots: Slots) -> tuple[str, ...]:
    """Give the products that stand beside sanding with nothing to say that they were sanded: they were laid."""
    return tuple(
        phrase.said(i.i, i.j) for i in slots.items("products")
        if i.kind is Kind.GROUP and not i.prep and i.value.products and not i.value.names
    )  # fmt: skip


def _done_to_another(clause: Clause) -> bool:
    """Whether a verb has another thing than a piece for its passive subject, or is cleaning one: "it's cleaned"."""
    if clause.verb is None:
        return False
    return any(
        p.item.kind is Kind.GROUP and not p.item.prep and p.item.value.head in _OTHER
        and p.slot in (None, "tool", "other")
        and (p.item.i < clause.verb.i or (clause.frame.name == "clean" and p.item.i == clause.verb.j))
        for p in clause.parts
    )  # fmt: skip


def _neat(clause: Clause, slots: Slots) -> Amount | None:
    """Give 0 percent where a coat is told of as not thinned: "neat"."""
    neat = clause.frame.name == "coat" and any(i.kinds[0] == "state.neat" for i in slots.items("neat"))
    return Amount(0.0, "percent") if neat else None


def _deadline(phrase: Phrase, s: Sentence, slots: Slots) -> Meaning:
    until = slots.bound("until")
    return Rule(
        rule="deadline",
        force=s.force,
        words=phrase.said(s.clause.i, s.clause.j),
        end=until.when if until else slots.when(),
        pieces=None,
    )


_ACTED: Final = {a.value: a for a in Act}


def act_of(clause: Clause, slots: Slots) -> Act:
    """Give the act that a clause tells of: its frame's, or that of a noun ("the second sanding")."""
    if clause.frame.act:
        return _ACTED[clause.frame.act]
    for group in slots.noun_groups("acted", "task"):
        if group.head is Head.ACT and group.value in _ACTED:
            return _ACTED[group.value]
    if slots.items("coat", "ordinal", "products"):
        return Act.COAT
    return Act.OTHER


def thinned_of(slots: Slots) -> Amount | None:
    """Give how much a coat was thinned, in percent, None where nothing is said of it."""
    value = slots.measure("thinned")
    if isinstance(value, Amount):
        return value
    if isinstance(value, int | float):
        return Amount(float(value), "percent")
    return None


def _components(slots: Slots) -> tuple[tuple[str, Amount], ...]:
    """Pair the amounts with the components they stand beside: "sixty resin, thirty hardener"."""
    rows = [p.item for p in slots.parts if p.slot in ("components", "amount")]
    out: list[tuple[str, Amount]] = []
    unit = next((i.value.unit for i in rows if isinstance(i.value, Amount)), "ml")
    for a, b in pairwise(rows):
        if a.kind is Kind.MEASURE and b.kind is Kind.GROUP and b.value.component:
            value = a.value if isinstance(a.value, Amount) else Amount(float(a.value), unit)
            out.append((b.value.component, value))
    return tuple(out)
