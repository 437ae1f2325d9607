"""Follow-ups: a few words that change the question before them, and ask nothing of their own."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Final

from assistant.language.asking import shape as shapes
from assistant.language.asking import supposed as supposing
from assistant.language.asking.cues import Cues
from assistant.language.asking.filling import groups_of, joined, measured, times_of, unit_of
from assistant.language.asking.forms import UNITS
from assistant.language.asking.lists import listed
from assistant.language.asking.said import Asked, Supposed
from assistant.language.asking.slots import Slots
from assistant.language.asking.table import Fit, content
from assistant.language.chunks import Cat, Phrase
from assistant.language.noungroup import Head
from assistant.language.query import Detail, Property, Shape

_AGAIN: Final = frozenset(["why", "sure", "certain", "really", "reason", "explain", "that", "because"])
_ABOUT: Final = (("what", "about"), ("how", "about"), ("what", "of"), ("and", "what", "about"), ("and", "how", "about"))
_FACTORS: Final = {
    "double": 2.0,
    "twice": 2.0,
    "half": 0.5,
    "triple": 3.0,
    "treble": 3.0,
    "thrice": 3.0,
    "quarter": 0.25,
}
_LATER: Final = frozenset(["later", "after", "earlier", "sooner"])
_QUESTION: Final = listed("fragments_question")
_LONGEST: Final = 9
#: A phrase of so few words that open with one of these joins what was asked before.
_OPENS: Final = listed("fragments_opens")


def fragment(phrase: Phrase, cues: Cues, slots: Slots, best: Fit | None, guess: Supposed | None) -> Asked | None:
    """Read a phrase as a change of the last question; None where it asks a question of its own."""
    words = [w for w, k in zip(phrase.words, phrase.kinds, strict=True) if k != "mark"]
    if again(words, cues):
        return Asked(shape=Shape.WHY, fragment=True, again=True, lemmas=cues.lemmas)
    if _enough(words) and cues.has("ask.bare", "has.it"):
        return Asked(shape=Shape.WHETHER, fragment=True, lemmas=cues.lemmas)
    if set(words) <= {"what", "with", "and", "using"} and "with" in words:
        return Asked(shape=Shape.LAST, fragment=True, detail=Detail.PRODUCT, lemmas=cues.lemmas)
    if len(words) > _LONGEST or cues.has("tense.past-act"):
        return None
    if not _joins(phrase, words, cues, slots):
        return None
    about = any(tuple(words[: len(lead)]) == lead for lead in _ABOUT)
    if not about and not _bare(words, cues, best):
        return None
    return _changes(phrase, words, cues, slots, best, guess)


def loose_fragment(phrase: Phrase, cues: Cues, slots: Slots, guess: Supposed | None) -> Asked | None:
    """Read a phrase that no property answers as a change of the last question: only its things and figures count."""
    words = [w for w, k in zip(phrase.words, phrase.kinds, strict=True) if k != "mark"]
    if len(words) > _LOOSEST or cues.has("tense.past-act"):
        return None
    return _changes(phrase, words, cues, slots, None, guess, most=_LOOSE)


#: A looser follow-up has no more words than this, and leaves no more of them unused.
_LOOSEST: Final = 14
_LOOSE: Final = 3


def follow_now(phrase: Phrase) -> bool:
    """Whether the last question is asked again at this moment: "and now?"."""
    words = [w for w, k in zip(phrase.words, phrase.kinds, strict=True) if k != "mark"]
    return (
        len(words) <= 4
        and "now" in words
        and set(words) <= {"now", "and", "what", "how", "about", "then", "is", "it", "yet", "so"}
        and words not in (["what", "now", "then"], ["what", "now"])
    )


def again(words: list[str], cues: Cues) -> bool:
    """Whether the reasons of the last answer are asked for: "why", "how do you work that out", "are you sure"."""
    if words[:1] in (["why"], ["how"], ["are"], ["what"], ["where"], ["really"], ["says"], ["who"]) and len(words) <= 7:
        if (
            words[0] == "why"
            and len(words) <= 4
            and cues.has("ask.bare", "has.it")
            and not cues.has("noun.fault", "is.tacky", "is.damaged")
        ):
            return True
        if words in (
            ["why"],
            ["why", "not"],
            ["really"],
            ["how", "come"],
            ["why", "is", "that"],
            ["why", "'s", "that"],
        ):
            return True
        asks_you = "you" in words and bool(
            cues.lemmas
            & {"sure", "certain", "work", "get", "know", "make", "reckon", "think", "mean", "say", "figure", "arrive"}
        )
        bare = cues.has("ask.bare", "has.it") and not cues.has("has.piece", "has.product", "has.space", "has.component")
        if asks_you and bare and not cues.has("mood.should", "mood.can"):
            return True
        return bare and words[:1] in (["where"], ["says"]) and "from" in words
    return False


def _enough(words: list[str]) -> bool:
    return "enough" in words and set(words) <= {
        "is",
        "that",
        "it",
        "enough",
        "will",
        "be",
        "do",
        "have",
        "i",
        "got",
        "and",
        "so",
        "there",
        "for",
        "all",
        "the",
        "job",
        "plan",
    }


def _joins(phrase: Phrase, words: list[str], cues: Cues, slots: Slots) -> bool:
    """Whether a phrase leans on the question before it: it opens with a joining word, asks, or is one thing alone.

    A piece with a coat and a time is no follow-up: it tells of work, if of anything.
    """
    asks = "?" in phrase.text or words[0] in (
        "how",
        "what",
        "which",
        "when",
        "why",
        "is",
        "are",
        "can",
        "will",
        "would",
        "does",
        "do",
        "any",
    )
    if asks or (
        words[0] in _OPENS and words[0] not in ("on", "to", "before", "after", "with") and len(words) <= _LONGEST
    ):
        return not (cues.has("noun.coat") and cues.has("has.piece") and cues.has("has.time") and not asks)
    kinds = [
        bool(slots.of(Head.PIECE, Head.PRONOUN)),
        bool(slots.spaces()),
        bool(slots.products()),
        bool(slots.times),
        bool(slots.measures),
    ]
    alone = sum(kinds) <= 1 and not cues.has("noun.coat", "noun.fault") and not cues.verbs
    return alone or (len(words) <= 3 and not slots.used and not cues.verbs)


def _bare(words: list[str], cues: Cues, best: Fit | None) -> bool:
    """Whether a phrase has no predicate of its own with a subject: "and touch?", "tomorrow?", "how long then"."""
    asks = cues.has(
        "ask.when",
        "ask.which-what",
        "ask.why",
        "ask.where",
        "ask.whether",
        "ask.how-long",
        "ask.how-much",
        "ask.how-many",
        "ask.how-do",
        "ask.how-soon",
    )
    if not asks:
        return True
    if (
        len(words) <= 6
        and cues.has("ask.bare")
        and not cues.verbs - cues.words("word.be")
        and (best is None or best.row.what in (Property.POT, Property.STATUS) or cues.has("mood.if"))
    ):
        return True
    opens = words[0] in ("and", "or", "but", "so")
    whole = cues.has("has.piece", "has.product", "has.space", "has.it")
    return opens and not whole and best is not None and best.row.stage is not None and len(words) <= 8


def _changes(
    phrase: Phrase,
    words: list[str],
    cues: Cues,
    slots: Slots,
    best: Fit | None,
    guess: Supposed | None,
    *,
    most: int = 1,
) -> Asked | None:
    own = best if best is not None and _changes_what(cues, best) else None
    what = own.row.what if own is not None else None
    shape, unknown = shapes.shape_of(phrase, cues, what)
    if shape is Shape.WHAT or (shape is Shape.WHICH and words[0] in ("what", "and", "how")):
        shape = None
    passing = supposing.in_passing(phrase, slots, what)
    groups = groups_of(slots, what) if not set(words) & _FACTORS.keys() else ()
    asked = Asked(
        what=what,
        shape=shape,
        fragment=True,
        unknown=unknown,
        stage=own.row.stage if own else None,
        act=own.row.act if own else None,
        suppose=joined(guess, passing),
        groups=groups,
        spaces=slots.spaces(),
        products=tuple(n for n, _, _ in slots.products()),
        lemmas=cues.lemmas,
        negated=False,
    )
    asked = measured(phrase, slots, asked)
    coats = slots.of(Head.COAT, Head.ORDINAL)
    count = next((int(t.group.count) for t in coats if t.group.count), None)
    ordinal = next((t.group.ordinal for t in coats if t.group.ordinal and t.group.head is Head.COAT), None)
    number = slots.measure("number", "grit", "count")
    if number is None and len(slots.times) == 1 and slots.times[0][1] in ("", "for", "about", "with"):
        number = _as_number(phrase, slots)
    factor = next((_FACTORS[w] for w in words if w in _FACTORS), None)
    spans = [f.value for f, _, _ in slots.times if isinstance(f.value, timedelta)]
    later = spans[0] if spans and _LATER & set(words) else None
    later = -later if later is not None and {"earlier", "sooner"} & set(words) else later
    asked = replace(
        asked,
        times=() if later else times_of(slots),
        later=later,
        count=count,
        ordinal=ordinal,
        factor=factor,
        unit=unit_of(phrase, slots),
        number=float(number) if isinstance(number, int | float) and factor is None else None,
        unused=_unused(phrase, slots, own),
    )
    blank = Asked(fragment=True, lemmas=asked.lemmas)
    if replace(asked, unused=()) == blank or len(asked.unused) > most:
        return None
    return asked


def _as_number(phrase: Phrase, slots: Slots) -> float | None:
    """Give what was taken as an hour as the number it may be: "and for 200?"."""
    from assistant.language.measures import Measure

    span = sorted(slots.times[0][2])
    return next(
        (
            float(c.value[1])
            for i in span
            for c in phrase.of(i, Cat.MEASURE)
            if c.j == span[-1] + 1 and c.value[0] is Measure.NUMBER
        ),
        None,
    )


def _changes_what(cues: Cues, best: Fit) -> bool:
    """Whether the words of a follow-up name a property or a stage, and not only things."""
    named = cues.words(
        "has.piece",
        "has.product",
        "has.space",
        "has.component",
        "has.it",
        "has.all",
        "has.time",
        "has.temperature",
        "has.amount",
        "has.grit",
        "has.number",
        "has.count",
    )
    return (
        bool(best.used - named)
        and best.row.what not in (Property.STATUS, Property.MIX, Property.COVER, Property.CONVERT)
        and (best.row.stage is not None or best.score > 1.2)
    )


def _unused(phrase: Phrase, slots: Slots, own: Fit | None) -> tuple[str, ...]:
    held = slots.used | (own.used if own else frozenset())
    skip = {
        *_QUESTION,
        *_FACTORS,
        *_LATER,
        "weight",
        "volume",
        "long",
        "much",
        "many",
        "lot",
        "amount",
        "one",
        "ones",
        "now",
        "again",
        "degrees",
        "instead",
        "then",
    }
    return tuple(
        phrase.words[i]
        for i in sorted(content(phrase) - held)
        if phrase.words[i] not in skip and phrase.words[i] not in UNITS
    )
