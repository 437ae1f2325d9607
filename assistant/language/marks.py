"""A phrase as a row of marks: verbs, noun groups with the preposition before them, and the small words that decide.

For readings that hang on the whole phrase and not on one clause. Every word has its place in the row or there is no
row: a time, an amount, a doubt or an unknown word leaves it to the clauses.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any, Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.items import Items, Kind, itemised
from assistant.language.meanings import Group
from assistant.language.names import Name
from assistant.language.noungroup import Head, NounGroup
from assistant.language.predicates import HAVE, VerbGroup
from assistant.language.wordlist import VerbUse, wordlist


class Sort(StrEnum):
    """What a mark is."""

    VERB = "verb"  # value: VerbGroup
    PIECE = "piece"  # value: NounGroup, here and down to SELF
    COAT = "coat"
    PRODUCT = "product"
    ACT = "act"
    SPACE = "space"
    PLAN = "plan"  # the plan or the list
    SELF = "self"
    NUMBER = "number"  # value: int
    FEWER = "fewer"
    ONLY = "only"
    AGAIN = "again"
    BACK = "back"
    INSTEAD = "instead"
    NO = "no"
    TO_DO = "to do"
    PREPOSITION = "preposition"  # value: its words
    JOINT = "and"
    IDLE = "idle"  # changes nothing; it is left out of the row


@dataclass(frozen=True, slots=True)
class Mark:
    """Words ``i`` up to ``j``; ``prep`` are the prepositions right before them."""

    i: int
    j: int
    sort: Sort
    value: Any = None
    prep: str = ""


_HEADS: Final = {
    Head.COAT: Sort.COAT, Head.PRODUCT: Sort.PRODUCT, Head.ACT: Sort.ACT, Head.SELF: Sort.SELF, Head.SPACE: Sort.SPACE,
}  # fmt: skip
_PLANS: Final = frozenset(["plan", "list", "job list", "to do list", "jobs list", "work list", "schedule"])
_FREE: Final = ("interjection", "politeness", "discourse", "determiner")
_IDLE: Final = frozenset(["hedge", "opinion", "manner", "certainty"])
_DOUBTS: Final = frozenset(["almost", "negative"])
_INSTEAD: Final = frozenset(["instead of", "rather than", "in place of", "in lieu of"])
_CONDITIONS: Final = frozenset(["if", "unless", "when", "while", "whether", "what if", "in case"])
#: A time of more doubt than this is hardly one.
_SURE: Final = 0.5
_WORDS: Final = {"back": Sort.BACK, "no": Sort.NO, "fewer": Sort.FEWER, "less": Sort.FEWER, "instead": Sort.INSTEAD}


def marks(phrase: Phrase) -> list[Mark] | None:
    """Give the marks of a phrase in order; None where a word has no place among them."""
    if any(_doubtful(phrase, k) for k in range(len(phrase))):
        return None
    items = itemised(phrase)
    out: list[Mark] = []
    k = 0
    while k < len(phrase):
        found = _mark(phrase, items, k, out)
        if found is None:
            return None
        k = found.j
        if found.sort is Sort.IDLE:
            continue
        out.append(found if found.sort is Sort.PREPOSITION else replace(found, prep=_before(out)))
    return out


def _doubtful(phrase: Phrase, k: int) -> bool:
    """Whether a word takes the edge off what is said: "maybe", "almost", "hardly"."""
    return any(c.value.sense in _DOUBTS or c.value.value == "maybe" for c in phrase.of(k, Cat.DESCRIBING))


def _before(row: list[Mark]) -> str:
    k = len(row)
    while k and row[k - 1].sort is Sort.PREPOSITION:
        k -= 1
    return " ".join(m.value for m in row[k:])


def _mark(phrase: Phrase, items: Items, k: int, row: list[Mark]) -> Mark | None:
    word = phrase.at(k)
    if phrase.kinds[k] == "mark":
        return Mark(k, k + 1, Sort.IDLE) if word != "?" else None
    instead = max((c.j for c in phrase.of(k, Cat.FUNCTION) if c.value.lemma in _INSTEAD), default=0)
    if instead:
        return Mark(k, instead, Sort.INSTEAD)
    if word == "to" and phrase.at(k + 1) == "do" and all(x == "mark" for x in phrase.kinds[k + 2 :]):
        return Mark(k, k + 2, Sort.TO_DO)
    if word in _WORDS:
        return Mark(k, k + 1, _WORDS[word])
    if (polite := phrase.function(k, "politeness")) is not None:
        return Mark(k, polite.j, Sort.IDLE)
    group, verb = _group(phrase, items, k), _verb(items, k)
    if any(c.doubt < _SURE and c.j > max(k + 1, group.j if group else 0) for c in phrase.of(k, Cat.TIME)):
        return None  # "this morning" is no greeting
    after = row[-1].value if row and row[-1].sort is Sort.PREPOSITION else None
    nominal = after is not None and after not in ("before", "after", "to")  # "in the plan", "on plan"
    particle = bool(row) and phrase.function(k, "preposition") is not None  # "rub down", not "downed"
    object_ = verb is not None and phrase.function(verb.j, "determiner") is not None  # "sand the trim" is no sand trim
    if verb is not None and not nominal and not particle and (object_ or _outdoes(verb, group)):
        return Mark(k, verb.j, Sort.VERB, verb)
    return group or _small(phrase, k)


def _outdoes(verb: VerbGroup, group: Mark | None) -> bool:
    """Whether a word is taken as a verb before it is a noun: "drop", "plan", "use", but not "varnish"."""
    if group is None or verb.j > group.j:
        return True
    return verb.j == group.j and group.sort not in (Sort.PIECE, Sort.PRODUCT, Sort.COAT, Sort.SELF)


def _verb(items: Items, k: int) -> VerbGroup | None:
    """Give the longest verb group at word ``k`` that has a verb of its own."""
    return max((v for v in items.verbs[k] if v.main >= 0), key=lambda v: (v.j, v.base), default=None)


def _group(phrase: Phrase, items: Items, k: int) -> Mark | None:
    """Give the longest noun group at ``k`` of a sort that has a place here."""
    best: Mark | None = None
    for item in items.items[k]:
        if item.kind is not Kind.GROUP or item.prep or (best is not None and item.j <= best.j):
            continue
        if phrase.at(item.j - 1) == "back":  # "put the trim back": not its back
            continue
        sort = _sort(phrase, item.value)
        if sort is not None:
            best = Mark(k, item.j, sort, 1 if sort is Sort.NUMBER else item.value)
    return best


def _sort(phrase: Phrase, group: NounGroup) -> Sort | None:
    if group.head in (Head.TASK, Head.DOCUMENT):
        return Sort.PLAN if group.lemma in _PLANS else None
    if group.head is Head.PRONOUN and phrase.at(group.i) == "one" and group.j == group.i + 1:
        return Sort.NUMBER
    if group.head in _HEADS:
        return _HEADS[group.head]
    if group.of_pieces and group.amount is None and not group.others and not group.near:
        return Sort.PIECE if group.part is None or group.names else None
    if group.head is Head.UNKNOWN and group.unknown and group.determiner == "the":
        return Sort.PIECE
    return None


def _small(phrase: Phrase, k: int) -> Mark | None:
    """Give what a small word is: a preposition, a number, one that decides, or one that changes nothing."""
    described = _longest(phrase.of(k, Cat.DESCRIBING))
    sense = described.value.sense if described is not None else ""
    if described is not None and sense in ("only", "again"):
        return Mark(k, described.j, Sort.ONLY if sense == "only" else Sort.AGAIN)
    function = phrase.function(k, "preposition", "subordinator")
    if function is not None and function.value.lemma not in _CONDITIONS:
        return Mark(k, function.j, Sort.PREPOSITION, " ".join(phrase.words[k : function.j]))
    for c in phrase.of(k, Cat.MEASURE):
        if c.value[0] is Measure.NUMBER and c.value[1] == int(c.value[1]):
            return Mark(k, c.j, Sort.NUMBER, int(c.value[1]))
    if any(c.doubt < _SURE for c in phrase.of(k, Cat.TIME)) and phrase.at(k) not in ("now", "then"):
        return None
    if described is not None and sense in _IDLE:
        return Mark(k, described.j, Sort.IDLE)
    if (idle := phrase.function(k, *_FREE)) is not None:
        return Mark(k, idle.j, Sort.IDLE)
    return Mark(k, k + 1, Sort.JOINT) if phrase.at(k) in ("and", "&", "then", "so") else None


def _longest(chunks: Iterable[Chunk]) -> Chunk | None:
    return max(chunks, key=lambda c: c.j, default=None)


# -- what the marks say together ----------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Row:
    """The marks of one phrase."""

    phrase: Phrase
    marks: list[Mark]

    def of(self, *sorts: Sort) -> list[Mark]:
        """Give the marks of some sorts, in order."""
        return [m for m in self.marks if m.sort in sorts]

    def has(self, *sorts: Sort) -> bool:
        """Whether there is a mark of any of some sorts."""
        return any(m.sort in sorts for m in self.marks)

    def only(self, *sorts: Sort) -> bool:
        """Whether there are no marks but of these sorts, prepositions and joints; a space goes with the pieces."""
        held = (*sorts, Sort.PREPOSITION, Sort.JOINT)
        spaces = Sort.PIECE in sorts
        return all(m.sort in held or (spaces and m.sort is Sort.SPACE and m.prep == "in") for m in self.marks)

    def follows(self, mark: Mark, sort: Sort) -> bool:
        """Whether a mark of a sort ends right before ``mark``."""
        return any(m.sort is sort and m.j == mark.i for m in self.marks)

    @property
    def verbs(self) -> list[VerbGroup]:
        """Give the verb groups, in order."""
        return [m.value for m in self.of(Sort.VERB)]

    def uses(self, verb: VerbGroup) -> list[VerbUse]:
        """Give the uses of a verb, those with particles only where the particles are said somewhere after it."""
        later = self.phrase.words[verb.j :]
        starts = range(len(later))
        return [
            u for lemma in lemmas(verb) for u in wordlist().uses(lemma)
            if not u.particles or any(tuple(later[n : n + len(u.particles)]) == u.particles for n in starts)
        ]  # fmt: skip

    def senses(self, verb: VerbGroup) -> set[str]:
        """Give what a verb may mean here."""
        return {u.sense for u in self.uses(verb)}

    def perfect(self, verb: VerbGroup) -> bool:
        """Whether a verb group is a perfect: "has had", "I've given"."""
        inside = self.phrase.words[verb.i : verb.main]
        return bool(HAVE.keys() & set(inside)) and "to" not in inside

    def group(self, held: Iterable[Mark]) -> Group | None:
        """Give the pieces some marks speak of, together; a pronoun beside a name is only a manner of speaking."""
        said: list[NounGroup] = [m.value for m in held]
        named = [g for g in said if g.names or g.spaces or g.unknown or g.quantifier] or said
        if not named:
            return None
        first = named[0].group(self.phrase.said(named[0].i, named[-1].j))
        names: tuple[Name, ...] = tuple(n for g in named for n in g.names)
        return replace(first, names=names) if len(named) > 1 else first

    @property
    def pieces(self) -> Group | None:
        """Give all the pieces that are named, and the spaces they are in."""
        found = self.group(self.of(Sort.PIECE))
        spaces = tuple(n for m in self.of(Sort.SPACE) for n in m.value.spaces)
        return replace(found or Group(), spaces=(*(found.spaces if found else ()), *spaces)) if spaces else found


def lemmas(verb: VerbGroup) -> set[str]:
    """Give what the verb of a group may be in its plain form."""
    return {f.lemma for f in verb.forms}


def may_mean(verb: VerbGroup) -> set[str]:
    """Give everything that a verb can mean, with whatever particles."""
    return {u.sense for lemma in lemmas(verb) for u in wordlist().uses(lemma)}
