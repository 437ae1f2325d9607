"""A phrase cut into clauses: every place where one may end is weighed, and the cheapest whole is taken.

A mark, a conjunction, a subject with its verb, a second coat that is counted: there a clause may begin, with or without a
comma. What has no predicate of its own goes with the clause beside it, or goes on with its verb on another piece.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.clauses import Clause, Parser
from assistant.language.groups import Head
from assistant.language.items import Items, Kind, itemised
from assistant.language.meanings import Force, Quantifier
from assistant.language.questions import ASKING, INVERTS, SUBJECTS, asks, requested
from assistant.language.times import Found
from assistant.language.when import When

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
_CONDITIONS: Final = frozenset(["if", "unless", "whether", "in case", "suppose", "supposing", "provided", "lest"])
_TEMPORAL: Final = frozenset(
    ["when", "while", "before", "after", "until", "till", "once", "as soon as", "whenever", "by the time", "as"]
)
#: What follows these has not been done when it is said: "before it is painted".
_YET: Final = frozenset(["before", "until", "till", "by the time", "whenever"])


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
    joined = _attached(clauses)
    return _forced(phrase, joined), cost


# -- where clauses may begin --------------------------------------------------------------------


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
    weak = {k for k in weak if k not in strong and phrase.at(k - 1) not in _LEADING and not _counted(phrase, k) and not (phrase.at(k) in INVERTS and phrase.at(k - 1) in SUBJECTS)}
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
    ordinal = any(c.j == k and c.value[0] is Measure.ORDINAL for n in range(max(0, k - 3), k) for c in phrase.of(n, Cat.MEASURE))
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


# -- what has no predicate of its own -----------------------------------------------------------

_NOTHING: Final = frozenset(["subordinator", None])


def _attached(clauses: list[Clause]) -> list[Clause]:
    """Put fragments to the clause they belong to; a fragment with a piece of its own goes on with the verb before."""
    out: list[Clause] = []
    for clause in clauses:
        thins = (
            clause.frame.name == "thin"
            and out
            and out[-1].frame.name == "coat"
            and not clause.has("products", "pieces", "coat", "amount")
        )
        if not out or (clause.frame.name != "fragment" and not _aspect(clause) and not thins):
            out.append(clause)
            continue
        slots = {p.slot for p in clause.parts} - _NOTHING
        host = out[-1]
        if _aspect(clause) and host.frame.meaning == "deed":
            out[-1] = _timed(host, clause)
            continue
        if not slots and not clause.unused:
            continue  # only pauses
        if clause.frame.name == "thin" or host.frame.name == "fragment":
            out[-1] = _merged(host, clause)
        elif clause.frame.name == "fragment" and host.frame.meaning in ("deed", "spell", "tin", "flaw"):
            own = {p.slot for p in host.parts}
            if slots & {"pieces", "spaces"} and own & {"pieces", "spaces"}:
                out.append(replace(_borrowed(host, clause), gapped=True))
            elif slots & own & {"when", "coat", "grit", "amount", "temperature"}:
                out.append(clause)
            else:
                out[-1] = _merged(host, clause)
        elif host.frame.meaning in ("rule", "remark", "other", "correction", "gear"):
            out[-1] = _merged(host, clause)
        else:
            out.append(clause)
    if (
        len(out) > 1
        and out[0].frame.name == "fragment"
        and out[1].frame.meaning in ("deed", "spell", "tin", "flaw", "rule", "correction")
    ):
        own = {p.slot for p in out[1].parts}
        first = {p.slot for p in out[0].parts} - _NOTHING
        if not (first & own):
            out[0:2] = [_merged(out[1], out[0])]
    return out


def _aspect(clause: Clause) -> str:
    """Give "start" or "finish" for "started at nine", "finished at ten": the time of the work told beside it."""
    sense = clause.use.sense if clause.use is not None else ""
    slots = {p.slot for p in clause.parts} - _NOTHING - {"actor", "conjunction"}
    known = {"start", "finish", "stop"}
    return sense if sense in known and any(p.item.kinds[0] == "time" for p in clause.parts) and all(
        p.item.kinds[0] in ("time", "self", "pronoun.it", "pronoun.them") for p in clause.parts if p.slot in slots
    ) else ""  # fmt: skip


def _timed(host: Clause, clause: Clause) -> Clause:
    """Put "started at nine" or "finished at ten" to the work that it speaks of."""
    slot = "began" if _aspect(clause) == "start" else "when"
    kept = (
        host.parts
        if slot == "began"
        else tuple(p._replace(slot="began") if p.slot == "when" else p for p in host.parts)
    )
    more = tuple(p._replace(slot=slot) for p in clause.parts if p.item.kinds[0] == "time")
    return replace(host, j=max(host.j, clause.j), parts=(*kept, *more), cost=host.cost + clause.cost)


def _merged(host: Clause, more: Clause) -> Clause:
    return replace(
        host, i=min(host.i, more.i), j=max(host.j, more.j), parts=(*host.parts, *more.parts), cost=host.cost + more.cost,
    )  # fmt: skip


def _borrowed(host: Clause, more: Clause) -> Clause:
    """Give a fragment the frame and verb of the clause before: "... and the starboard one at two"."""
    frame = host.frame
    parts = []
    for p in more.parts:
        slot = p.slot
        if slot not in _NOTHING and not any(s == slot for s in frame.roles.values()):
            slot = frame.slot(p.item.prep or "obj", p.item.kinds) or frame.slot("topic", p.item.kinds)
        parts.append(p._replace(slot=slot))
    return replace(
        more, frame=frame, verb=host.verb, use=host.use, lemma=host.lemma, light=host.light, parts=tuple(parts)
    )


# -- force --------------------------------------------------------------------------------------


def _forced(phrase: Phrase, clauses: list[Clause]) -> list[Sentence]:
    out: list[Sentence] = []
    reported = ""
    scope = Force.DONE  # what a condition or a report makes of what hangs on it
    for n, clause in enumerate(clauses):
        if n and not _hangs(phrase, clause, clauses[n - 1]):
            scope, reported = Force.DONE, ""
        force = force_of(phrase, clause, last=n == len(clauses) - 1)
        if n and _purpose(phrase, clause) and out and out[-1].force in (Force.DONE, Force.UNDERWAY):
            continue  # "thinned ten percent to soak in"
        if clause.frame.meaning in ("say", "list"):
            teller = _teller(clause)
            if force is Force.ASKED:
                pass
            elif teller:
                scope, reported = Force.REPORTED, teller
                force = Force.REPORTED
            elif force in (Force.SUPPOSED, Force.WISHED):
                scope = force  # "I could have sworn I had more"
            elif clause.frame.meaning == "list" or clause.lemma.startswith("remind") or (clause.lemma == "forget" and force is Force.ORDERED):
                scope = Force.ORDERED
        elif clause.lemma in ("wish", "hope") and force is not Force.ASKED:
            scope = force = Force.WISHED
        elif clause.subordinator in _CONDITIONS or phrase.at(clause.i) in (
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
            and clause.subordinator in _CONDITIONS
            and n
            and out[-1].force in (Force.MEANT, Force.SUPPOSED)
        ):
            out[-1] = replace(out[-1], force=Force.SUPPOSED if out[-1].force is Force.SUPPOSED else out[-1].force)
        out.append(Sentence(clause, force, clause.gapped, reported))
    # a condition first makes what follows it supposed, too: "if it's dry I'll sand it"
    for n, s in enumerate(out[:-1]):
        if s.clause.subordinator in _CONDITIONS and out[n + 1].force in (Force.MEANT, Force.DONE):
            out[n + 1] = replace(out[n + 1], force=Force.SUPPOSED)
    return out


def _purpose(phrase: Phrase, clause: Clause) -> bool:
    """Whether a clause only says what for: "to soak in"."""
    verb = clause.verb
    return (
        phrase.at(clause.i) == "to" and verb is not None and verb.infinitive and not verb.operators and not clause.has("when", "grit", "coat")
    )  # fmt: skip


def _hangs(phrase: Phrase, clause: Clause, before: Clause) -> bool:
    """Whether a clause still belongs to what was reported or supposed before it."""
    first = phrase.at(clause.i)
    broken = phrase.at(before.j - 1) in (".", ";", "?", "!") or first in ("but", "so", "anyway")
    if broken:
        return False
    return before.frame.meaning == "say" or before.subordinator in _CONDITIONS or first not in ("and", "then")


def _teller(clause: Clause) -> str:
    """Give who says it, if it is not the speaker: a person, a label, somebody."""
    for p in clause.parts:
        item = p.item
        if not p.left or item.kind is not Kind.GROUP:
            continue
        group = item.value
        if group.head is Head.SELF:
            return ""
        return str(group.lemma or group.head.value)
    if clause.verb is not None and clause.verb.finite and not clause.verb.base:
        return "somebody" if clause.verb.present and "VBZ" in clause.verb.tags else ""
    return ""


def force_of(phrase: Phrase, clause: Clause, *, last: bool = True) -> Force:
    """Give what a clause does, from its own words."""
    if clause.frame.name == "question" or _names_a_figure(clause):
        return Force.ASKED
    if requested(phrase, clause.i, clause.j) and clause.frame.meaning in ("deed", "tin", "flaw"):
        return Force.DONE
    if asks(phrase, clause.i, clause.j, last=last and clause.frame.name == "fragment") and clause.light != "log":
        return Force.ASKED
    verb = clause.verb
    force = verb.force if verb is not None else Force.DONE
    if clause.light == "find" and force is Force.SUPPOSED and phrase.at(verb.i if verb else 0) == "can":
        force = Force.DONE  # "I can see a run"
    if clause.frame.name == "air" and verb is not None and "VBZ" in verb.tags and not verb.operators:
        force = Force.DONE  # "the meter says 65 percent"
    if verb is not None and verb.infinitive and not verb.operators:
        force = Force.ORDERED  # "to do: second coat on the rail"
    if force is Force.UNDERWAY and clause.has("finished"):
        force = Force.DONE
    if verb is not None and verb.negative:
        force = Force.DENIED
    if clause.subordinator in _CONDITIONS:
        return Force.SUPPOSED
    certain = [p.item.kinds[0] for p in clause.parts if p.item.kind is Kind.ADVERB]
    if any(k in ("certainty.maybe", "negative") for k in certain):
        return Force.DENIED if "negative" in certain else Force.SUPPOSED
    if force is Force.DENIED:
        if verb is not None and "forget" in verb.operators:
            return Force.ORDERED  # "don't let me forget to pull the tape"
        if clause.frame.name == "give-up" and clause.lemma.startswith("bother"):
            return Force.MEANT  # "not bothering with the shelf" gives it up
        return force
    if clause.light == "log":
        return Force.DONE
    if any(
        p.slot is None
        and p.item.kind is Kind.FUNCTION
        and (p.item.kinds[-1] == "negator" or p.item.kinds[0] in ("quantifier.no", "quantifier.none", "determiner.no"))
        for p in clause.parts
    ):
        return Force.DENIED
    if _others(clause):
        return Force.REPORTED
    if clause.frame.meaning in ("flaw", "deed") and any(
        p.slot in ("fault", "coat", "acted", "ordinal", "products")
        and p.item.kind is Kind.GROUP
        and p.item.value.quantifier is Quantifier.NONE
        for p in clause.parts
    ):
        return Force.DENIED
    if force in (Force.ORDERED, Force.MEANT) and _past(clause) and not (verb and verb.operators):
        return Force.DONE  # "yesterday evening I make first coat"
    if verb is not None and force is Force.ORDERED and verb.base:
        force = _plain(clause)
    if any(k == "almost" for k in certain) and force is Force.DONE:
        force = Force.UNDERWAY
    if force in (Force.DONE, Force.UNDERWAY) and _coming(phrase, clause) and not _finished(verb):
        return Force.MEANT
    if clause.subordinator in _TEMPORAL and (
        force is not Force.DONE
        or clause.subordinator in _YET
        or (verb is not None and verb.present and verb.copula == "be")
    ):
        return Force.SUPPOSED
    wants = (
        clause.frame.flags & {"wanted"} and clause.use is not None and clause.use.sense in ("need", "deserve", "want")
    )
    if (wants or clause.light == "need") and force in (Force.DONE, Force.ORDERED, Force.MEANT):
        return Force.ORDERED
    if clause.frame.flags & {"wanted"} and force is Force.DONE:
        return Force.MEANT
    return force


def _names_a_figure(clause: Clause) -> bool:
    """Whether a clause without a verb names a figure that follows from others: "dew point at 12 degrees"."""
    return (
        clause.frame.name == "air"
        and clause.verb is None
        and not clause.has("humidity")
        and any(p.slot == "air" and p.item.kinds[0] == "air.dew" for p in clause.parts)
        and any(p.slot == "temperature" and p.item.prep for p in clause.parts)
    )


def _plain(clause: Clause) -> Force:
    """Give the force of a plain form: an order to oneself, or with a subject what one does as a rule."""
    return Force.ORDERED


def _past(clause: Clause) -> bool:
    """Whether a clause says a time that is over: "yesterday", "an hour ago"."""
    for p in clause.parts:
        when = p.item.value.value if p.item.kind is Kind.TIME and p.slot == "when" else None
        if isinstance(when, When) and (
            when.ago is not None or (when.day is not None and ((when.day.back or 0) > 0 or when.day.nth < 0))
        ):
            return True
    return False


def _finished(verb: object) -> bool:
    """Whether a verb group says plainly that it is past: "have primed", "did"."""
    from assistant.language.predicates import VerbGroup

    return (
        isinstance(verb, VerbGroup)
        and verb.finite
        and (verb.past or verb.present)
        and not verb.progressive
        and not verb.copula
        and "VBZ" not in verb.tags
    )


def _others(clause: Clause) -> bool:
    for p in clause.parts:
        item = p.item
        if (
            clause.frame.meaning not in ("flaw", "rule", "tin", "gear")
            and item.kind is Kind.GROUP
            and p.slot in ("whose",)
            and item.value.head in (Head.OTHERS, Head.PERSON, Head.ANIMAL)
            and not item.prep
        ):
            return True
        if item.kind is Kind.GROUP and item.value.others and p.slot is not None:
            return True
        if item.kind is Kind.GROUP and item.value.head is Head.BOAT and item.value.value != "own":
            return True
    return False


def _coming(phrase: Phrase, clause: Clause) -> bool:
    """Whether a clause speaks of a time to come, or of what is next."""
    for p in clause.parts:
        if p.item.kind is Kind.TIME and p.slot == "when" and future(p.item.value):
            return True
        if (
            p.item.kind is Kind.ADVERB
            and p.item.kinds[0].startswith("sequence")
            and p.item.value.lemma in ("next", "later", "soon")
        ):
            return True
    verbless = clause.verb is None or "VBZ" in clause.verb.tags
    return verbless and any(p.slot == "until" for p in clause.parts) and clause.frame.meaning == "deed"


def future(found: Found) -> bool:
    """Whether a time can only be to come: "tomorrow", "in an hour", "next tuesday"."""
    when = found.value
    if not isinstance(when, When):
        return False
    if when.ahead is not None:
        return True
    day = when.day
    return day is not None and (
        (day.back is not None and day.back < 0) or day.nth > 0 or (day.week or 0) > 0 or day.weeks > 0
    )
