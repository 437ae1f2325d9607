"""What becomes of a meaning: one table of its kind and its force.

Only what was done by the speaker on this job is logged as done; what is meant or ordered goes on the list; a
question, a condition, a wish and other people's work never write.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final

from assistant.language.meanings import (
    Answer,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Meaning,
    Note,
    PlanChange,
    Quantifier,
    Question,
    Remark,
    Rule,
    Same,
    Spell,
    TinFact,
    Undo,
    Unread,
)


class Ruling(StrEnum):
    """What is done with a meaning."""

    LOG = "log"
    BEGIN = "begin"  # kept in the context as under way
    PLAN = "plan"  # a task
    DENY = "deny"  # nothing, or the last entry taken back
    NOTHING = "nothing"  # a short reply shows that it was understood
    ANSWER = "answer"  # the answering side takes it
    CORRECT = "correct"
    UNDO = "undo"
    REPEAT = "repeat"
    KEEP = "keep"  # the words are kept unread, and the one missing thing is asked for


def _row(default: Ruling, **by: Ruling) -> Mapping[Force, Ruling]:
    row = {force: by.get(force.name.lower(), default) for force in Force}
    row[Force.ASKED] = by.get("asked", Ruling.ANSWER)
    return MappingProxyType(row)


_N: Final = Ruling.NOTHING
#: What is only meant to be done may not be: it is put on the list where it is said to be wanted there.
_PLANNED: Final = {"ordered": Ruling.PLAN}
#: A rule of the clock is laid down by being said, whether it holds now or from tomorrow.
_LAID_DOWN: Final = dict.fromkeys(("done", "underway", "meant", "ordered"), Ruling.LOG)

_LAID_DOWN_BY: Final = frozenset([Force.SUPPOSED, Force.DONE, Force.UNDERWAY, Force.MEANT, Force.ORDERED])

TABLE: Final[Mapping[type[Meaning], Mapping[Force, Ruling]]] = MappingProxyType({
    Deed: _row(_N, done=Ruling.LOG, underway=Ruling.BEGIN, denied=Ruling.DENY, **_PLANNED),
    # A forecast is always somebody else's word: it is expected, not read off.
    Spell: _row(_N, reported=Ruling.LOG, **_LAID_DOWN),
    Flaw: _row(_N, done=Ruling.LOG, underway=Ruling.LOG, denied=Ruling.DENY),
    TinFact: _row(_N, done=Ruling.LOG, denied=Ruling.DENY, **_PLANNED),
    Rule: _row(_N, **_LAID_DOWN),
    GearFact: _row(_N, done=Ruling.LOG, **_PLANNED),
    Errand: _row(_N, done=Ruling.LOG, **_PLANNED),
    Note: _row(Ruling.LOG),
    PlanChange: _row(_N, ordered=Ruling.LOG),
    Undo: _row(Ruling.UNDO, supposed=_N, reported=_N, wished=_N),
    Correction: _row(Ruling.CORRECT, supposed=_N, reported=_N, wished=_N),
    Same: _row(_N, done=Ruling.REPEAT),
    Answer: _row(_N),
    Question: _row(Ruling.ANSWER),
    Remark: _row(_N, asked=_N),
    Unread: _row(Ruling.KEEP, asked=Ruling.KEEP),
})  # fmt: skip


def rule(meaning: Meaning) -> Ruling:
    """Give what becomes of ``meaning``; what is held back is kept unread unless it would have written nothing."""
    ruling = TABLE[type(meaning)][meaning.force]
    if meaning.held is not None and ruling not in (Ruling.NOTHING, Ruling.ANSWER):
        return Ruling.KEEP
    if isinstance(meaning, Deed) and meaning.dropped and meaning.force is Force.DONE:
        return Ruling.KEEP  # "dropped the shelf" may have hurt it
    if isinstance(meaning, Deed) and (meaning.dropped or meaning.put_off) and meaning.force in _LAID_DOWN_BY:
        return Ruling.PLAN
    none = isinstance(meaning, Deed) and meaning.pieces is not None and meaning.pieces.quantifier is Quantifier.NONE
    if none and ruling is Ruling.LOG:
        return Ruling.DENY  # "sanded none of the doors"
    return ruling
