"""What is done by saying a clause: told as done, under way, ordered, meant, wished, supposed, denied or asked."""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.clause import Clause, Part
from assistant.language.items import Kind
from assistant.language.meanings import Force, Quantifier
from assistant.language.noungroup import Head
from assistant.language.questions import asks, requested
from assistant.language.times import Found
from assistant.language.when import When

CONDITIONS: Final = frozenset(["if", "unless", "whether", "in case", "suppose", "supposing", "provided", "lest"])


_TEMPORAL: Final = frozenset(
    ["when", "while", "before", "after", "until", "till", "once", "as soon as", "whenever", "by the time", "as"]
)


#: What follows these has not been done when it is said: "before it is painted".
_YET: Final = frozenset(["before", "until", "till", "by the time", "whenever"])


#: What a wish must not be taken for.
_TOLD: Final = frozenset(["deed", "tin", "flaw", "gear", "spell"])


def purpose(phrase: Phrase, clause: Clause) -> bool:
    """Whether a clause only says what for: "to soak in"."""
    verb = clause.verb
    return (
        phrase.at(clause.i) == "to"
        and verb is not None
        and verb.infinitive
        and not verb.operators
        and not clause.has("when", "grit", "coat")
    )


def hangs(phrase: Phrase, clause: Clause, before: Clause) -> bool:
    """Whether a clause still belongs to what was reported or supposed before it."""
    first = phrase.at(clause.i)
    broken = phrase.at(before.j - 1) in (".", ";", "?", "!") or first in ("but", "so", "anyway")
    if broken:
        return False
    return before.frame.meaning == "say" or before.subordinator in CONDITIONS or first not in ("and", "then")


def teller_of(clause: Clause) -> str:
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
    force = _of_verb(phrase, clause, force)
    if clause.subordinator in CONDITIONS:
        return Force.SUPPOSED
    if "wish" in phrase.words[max(0, clause.i - 3) : clause.j] and clause.frame.meaning in _TOLD:
        return Force.WISHED
    certain = [p.item.kinds[0] for p in clause.parts if p.item.kind is Kind.ADVERB]
    if any(k in ("certainty.maybe", "negative") for k in certain):
        return Force.DENIED if "negative" in certain else Force.SUPPOSED
    if force is Force.DENIED:
        if verb is not None and "forget" in verb.operators:
            return Force.ORDERED  # "don't let me forget to pull the tape"
        if clause.frame.flags & {"wanted"} and clause.use is not None and clause.use.sense in ("need", "want"):
            return Force.REMARKED if verb is None or not verb.negative else Force.DENIED
        if clause.frame.name == "give-up" and clause.lemma.startswith("bother"):
            return Force.MEANT  # "not bothering with the shelf" gives it up
        return force
    if clause.light == "log":
        return Force.DONE
    if _negated(clause):
        return Force.DENIED
    if _others(clause):
        return Force.REPORTED
    if _none(clause):
        return Force.DENIED
    if force in (Force.ORDERED, Force.MEANT) and _past(clause) and not (verb and verb.operators):
        return Force.DONE  # "yesterday evening I make first coat"
    if any(k == "almost" for k in certain) and force is Force.DONE:
        force = Force.UNDERWAY
    if force in (Force.DONE, Force.UNDERWAY) and _coming(clause) and not _finished(verb):
        return Force.MEANT
    if clause.subordinator in _TEMPORAL and (
        force is not Force.DONE
        or (clause.subordinator in _YET and verb is not None)
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


def _of_verb(phrase: Phrase, clause: Clause, force: Force) -> Force:
    """Give what the verb group makes of the force, with what stands beside it."""
    verb = clause.verb
    if clause.light == "find" and force is Force.SUPPOSED and phrase.at(verb.i if verb else 0) == "can":
        force = Force.DONE  # "I can see a run"
    if clause.frame.name == "air" and verb is not None and "VBZ" in verb.tags and not verb.operators:
        force = Force.DONE  # "the meter says 65 percent"
    if verb is not None and verb.infinitive and not verb.operators and phrase.at(verb.i - 1) == "going":
        force = Force.MEANT  # "going to do the rail"
    elif verb is not None and verb.infinitive and not verb.operators:
        force = Force.ORDERED  # "to do: second coat on the rail"
    if force is Force.UNDERWAY and clause.has("finished"):
        force = Force.DONE
    if verb is not None and verb.negative:
        force = Force.DENIED
    return force


def _negated(clause: Clause) -> bool:
    """Whether a loose "not" or "no" stands in a clause."""
    return any(
        p.slot is None
        and p.item.kind is Kind.FUNCTION
        and (p.item.kinds[-1] == "negator" or p.item.kinds[0] in ("quantifier.no", "quantifier.none", "determiner.no"))
        for p in clause.parts
    )


def _none(clause: Clause) -> bool:
    """Whether what was done or found is none: "no runs", "no undercoat on the lid"."""
    return clause.frame.meaning in ("flaw", "deed") and any(
        p.slot in ("fault", "coat", "acted", "ordinal", "products")
        and p.item.kind is Kind.GROUP
        and p.item.value.quantifier is Quantifier.NONE
        for p in clause.parts
    )


def _names_a_figure(clause: Clause) -> bool:
    """Whether a clause without a verb names a figure that follows from others: "dew point at 12 degrees"."""
    if clause.frame.name == "mix" and clause.verb is None:
        return any(p.slot == "amount" and p.item.prep == "for" for p in clause.parts)  # "mix for 60 ml of primer"
    return (
        clause.frame.name == "air"
        and clause.verb is None
        and not clause.has("humidity")
        and any(p.slot == "air" and p.item.kinds[0] == "air.dew" for p in clause.parts)
        and any(p.slot == "temperature" and p.item.prep for p in clause.parts)
    )


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


def _named_somebody(clause: Clause, part: Part) -> bool:
    """Whether no word of English stands where the one who did it stands: then it is a name."""
    item, verb = part.item, clause.verb
    unknown = item.kind is Kind.WORD and item.value is not None and item.value.value is None
    return (
        unknown and part.left and verb is not None and verb.finite and item.j == verb.i
        and clause.frame.meaning == "deed"
    )  # fmt: skip


def _others(clause: Clause) -> bool:
    for p in clause.parts:
        item = p.item
        if _named_somebody(clause, p):
            return True
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


def _coming(clause: Clause) -> bool:
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
