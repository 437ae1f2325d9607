"""A phrase cut into clauses: every place where one may end is weighed, and the cheapest whole is taken.

A mark, a conjunction, a subject with its verb, a second coat that is counted: there a clause may begin, with or
without a comma. What has no predicate of its own goes with the clause beside it, or goes on with its verb on
another piece.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from assistant.language.attaching import attached
from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.clause import Clause
from assistant.language.clauses import Parser
from assistant.language.forces import CONDITIONS, force_of, hangs, purpose, teller_of
from assistant.language.items import Items, Kind, itemised
from assistant.language.meanings import Force
from assistant.language.questions import ASKING, INVERTS, SUBJECTS

#: Each clause more costs this: two are read where one would leave something out.
_CLAUSE: Final = 0.4


#: More places than these are not weighed in a long dictation; the strong ones are kept.
_MOST: Final = 18


_LONGEST: Final = 30


#: In a long dictation no clause reaches over more places than this.
_REACH: Final = 8


_JOINTS: Final = frozenset(["and", "then", "but", "so", "or", "plus", "also", "n", "cos", "cause", "+", "&", "an"])


#: What stands before a noun: no clause begins after it.
_LEADING: Final = frozenset(["the", "a", "an", "my", "our", "its", "of", "every", "another"])


@dataclass(frozen=True, slots=True)
class Sentence:
    """A clause with the force that its whole surroundings give it."""

    clause: Clause
    force: Force
    gapped: bool = False
    reported_by: str = ""


def read(phrase: Phrase) -> tuple[list[Sentence], float]:
    """Give the clauses of a phrase with their forces, and what the whole cost."""
    items = itemised(phrase)
    parser = Parser(phrase, items)
    clauses, cost = _segmented(phrase, parser, _places(phrase, items))
    joined = attached(clauses)
    return _forced(phrase, joined), cost


def _places(phrase: Phrase, items: Items) -> list[int]:
    strong, weak = {0, len(phrase)}, set[int]()
    verbs: list[int] = []
    coated = False
    for k, word in enumerate(phrase.words):
        if phrase.kinds[k] == "mark" and word in (",", ";", ".", "?", "!", ":"):
            strong.add(k + 1)
        if word in _JOINTS or phrase.function(k, "subordinator"):
            strong.add(k)
        if k and word in SUBJECTS and (phrase.at(k + 1) in INVERTS or phrase.at(k + 1) == "'s" or word in ("i", "we")):
            weak.add(k)
        if k and word in ASKING:
            (strong if phrase.at(k + 1) in INVERTS else weak).add(k)
        if any(phrase.of(k, Cat.NOUN)) and word.startswith("coat"):
            coated = True
        if k and _closed(phrase, k) and any(c.value[0] in _READ for c in phrase.of(k, Cat.MEASURE)):
            weak.add(k)
        if coated and any(c.value[0].value == "ordinal" for c in phrase.of(k, Cat.MEASURE)):
            weak.add(k - (phrase.at(k - 1) == "the"))
        if k and word == "to" and verbs and any(v.infinitive for v in items.verbs[k]):
            weak.add(k)
        if (
            items.verbs[k]
            and not phrase.function(k, "preposition")
            and any(c.cat is Cat.VERB or c.cat is Cat.FUNCTION for c in phrase.chunks[k])
        ):
            if verbs and k:
                weak.add(k)
                start = _subject_before(items, k)
                if start is not None and start > verbs[0]:
                    weak.add(start)
            verbs.append(k)
    weak = {
        k
        for k in weak
        if k not in strong
        and phrase.at(k - 1) not in _LEADING
        and not _counted(phrase, k)
        and not (phrase.at(k) in INVERTS and phrase.at(k - 1) in SUBJECTS)
    }
    if len(strong) + len(weak) > _MOST:
        # a long dictation: of the weak places keep the subjects
        weak = {k for k in weak if phrase.at(k) in SUBJECTS or phrase.at(k) in ASKING} or weak
    return sorted(strong | weak)


_READ: Final = frozenset([Measure.NUMBER, Measure.TEMPERATURE, Measure.PERCENT])


def _closed(phrase: Phrase, k: int) -> bool:
    """Whether a place's name or a time ends right before word ``k``: a reading there is another place's."""
    return any(
        c.j == k and (c.cat is Cat.TIME or (c.cat is Cat.NAME and c.value.kind == "space"))
        for n in range(max(0, k - 4), k)
        for c in phrase.chunks[n]
    )


def _counted(phrase: Phrase, k: int) -> bool:
    """Whether word ``k`` is the noun that an ordinal right before it counts: "second coat"."""
    ordinal = any(
        c.j == k and c.value[0] is Measure.ORDINAL for n in range(max(0, k - 3), k) for c in phrase.of(n, Cat.MEASURE)
    )
    return ordinal and any(phrase.of(k, Cat.NOUN))


def _subject_before(items: Items, k: int) -> int | None:
    """Give where the longest noun group that ends right before word ``k`` begins."""
    for i in range(max(0, k - 6), k):
        if any(x.j == k and x.kind is Kind.GROUP and not x.prep for x in items.items[i]):
            return i
    return None


def _segmented(phrase: Phrase, parser: Parser, places: list[int]) -> tuple[list[Clause], float]:
    best: dict[int, float] = {0: 0.0}
    back: dict[int, tuple[int, Clause]] = {}
    for n, b in enumerate(places[1:], 1):
        best[b] = 1e9
        for a in places[max(0, n - _REACH) : n] if len(places) > _REACH + 5 else places[:n]:
            if b - a > _LONGEST or best.get(a, 1e9) >= 1e9:
                continue
            for clause in parser.read(a, b)[:1]:
                cost = best[a] + clause.cost + _CLAUSE
                if cost < best[b] - 1e-9:
                    best[b], back[b] = cost, (a, clause)
    clauses: list[Clause] = []
    end = len(phrase)
    if end not in back:
        return [], 99.0
    while end:
        end, clause = back[end]
        clauses.append(clause)
    clauses.reverse()
    return clauses, best[len(phrase)]


def _forced(phrase: Phrase, clauses: list[Clause]) -> list[Sentence]:
    out: list[Sentence] = []
    reported = ""
    scope = Force.DONE  # what a condition or a report makes of what hangs on it
    for n, clause in enumerate(clauses):
        if n and not hangs(phrase, clause, clauses[n - 1]):
            scope, reported = Force.DONE, ""
        force = force_of(phrase, clause, last=n == len(clauses) - 1)
        if n and purpose(phrase, clause) and out and out[-1].force in (Force.DONE, Force.UNDERWAY):
            continue  # "thinned ten percent to soak in"
        if clause.frame.meaning in ("say", "list"):
            teller = teller_of(clause)
            if force is Force.ASKED:
                pass
            elif teller:
                scope, reported = Force.REPORTED, teller
                force = Force.REPORTED
            elif force in (Force.SUPPOSED, Force.WISHED):
                scope = force  # "I could have sworn I had more"
            elif (
                clause.frame.meaning == "list"
                or clause.lemma.startswith("remind")
                or (clause.lemma == "forget" and force is Force.ORDERED)
            ):
                scope = Force.ORDERED
        elif clause.lemma in ("wish", "hope") and force is not Force.ASKED:
            scope = force = Force.WISHED
        elif clause.subordinator in CONDITIONS or phrase.at(clause.i) in (
            "suppose",
            "supposing",
            "imagine",
            "assuming",
        ):
            scope = Force.SUPPOSED
            force = Force.SUPPOSED if force is not Force.ASKED else force
        elif scope is not Force.DONE and force not in (Force.ASKED,):
            force = scope
        if (
            force is Force.SUPPOSED
            and clause.subordinator in CONDITIONS
            and n
            and out[-1].force in (Force.MEANT, Force.SUPPOSED)
        ):
            out[-1] = replace(out[-1], force=Force.SUPPOSED if out[-1].force is Force.SUPPOSED else out[-1].force)
        out.append(Sentence(clause, force, clause.gapped, reported))
    # a condition first makes what follows it supposed, too: "if it's dry I'll sand it"
    for n, s in enumerate(out[:-1]):
        if s.clause.subordinator in CONDITIONS and out[n + 1].force in (Force.MEANT, Force.DONE):
            out[n + 1] = replace(out[n + 1], force=Force.SUPPOSED)
    return out
