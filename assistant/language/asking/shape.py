"""What kind of answer is wanted, what it is negated by, and what of a journal entry is asked."""

from __future__ import annotations

from typing import Final

from assistant.language.asking.cues import Cues
from assistant.language.asking.lists import listed
from assistant.language.chunks import Phrase
from assistant.language.meanings import Act
from assistant.language.query import Detail, Property, Shape, Unknown

_FIRST: Final = listed("shape_first")
_LAST: Final = listed("shape_last")
#: Properties that "which" asks the members of, rather than one fact.
_SETS: Final = frozenset(
    {
        Property.READY,
        Property.WINDOW,
        Property.DUST,
        Property.TAPE,
        Property.LEFT,
        Property.COATS,
        Property.STOCK,
        Property.KEEPING,
        Property.DEW,
        Property.COLD,
        Property.HUMIDITY,
        Property.STATUS,
        Property.BUY,
        Property.ENTRY,
        Property.FINISH,
        Property.COMPAT,
    }
)
_STILL: Final = frozenset(["is.wet", "is.tacky", "is.soft"])
_TIMELY: Final = frozenset({Property.READY, Property.WINDOW, Property.DUST, Property.TAPE, Property.FINISH})


def shape_of(phrase: Phrase, cues: Cues, what: Property | None) -> tuple[Shape | None, Unknown | None]:
    """Give the shape that the words ask for, and what is to be solved for; None where only the property tells."""
    needed = _needed(phrase, cues, what)
    if needed is not None:
        return Shape.NEEDED, needed
    if cues.has("ask.why"):
        return Shape.WHY, None
    ordered = _ordered(phrase, cues, what)
    if ordered is not None:
        return ordered, None
    return _plain(phrase, cues, what), None


def _needed(phrase: Phrase, cues: Cues, what: Property | None) -> Unknown | None:
    words = phrase.words
    if what not in (Property.READY, Property.DUST, Property.DEW, Property.POT, Property.COLD):
        return None
    for i, word in enumerate(words):
        if word == "how" and phrase.at(i + 1) in ("warm", "hot", "cold", "dry", "damp", "humid"):
            must = cues.has("mood.must", "mood.should") or {"need", "needs", "must", "have"} & set(words)
            if must and not cues.has("tense.past"):
                return Unknown.HUMIDITY if phrase.at(i + 1) in ("damp", "humid") else Unknown.TEMPERATURE
    if (
        {"temperature", "degrees"} & set(words)
        and cues.has("ask.which-what")
        and {"need", "needs", "must", "want"} & set(words)
    ):
        return Unknown.TEMPERATURE if what is not Property.COLD or cues.has("do.coat") else None
    return None


def _ordered(phrase: Phrase, cues: Cues, what: Property | None) -> Shape | None:
    words = phrase.words
    which = cues.has("ask.which-what", "ask.where") and what in _SETS
    if not which:
        return None
    compared = "or" in words and (_FIRST | _LAST) & set(words)
    if compared:
        return Shape.COMPARE
    for i, word in enumerate(words):
        if what is Property.ENTRY or (
            word in ("earliest", "latest", "soonest") and phrase.at(i + 1) in ("i", "we", "it", "time", "can", "that")
        ):
            continue
        if word in _FIRST and not (word == "first" and phrase.at(i + 1) in ("coat", "coats")):
            return Shape.FIRST
        if word in _LAST or (word == "last" and what in _TIMELY and phrase.at(i + 1) not in ("coat", "coats")):
            return Shape.LAST
    return None


def _plain(phrase: Phrase, cues: Cues, what: Property | None) -> Shape | None:
    words = set(phrase.words)
    if cues.has("ask.when", "ask.how-soon", "ask.how-late"):
        return Shape.WHEN
    if (
        cues.has("ask.which-what")
        and what in _TIMELY | {Property.COATS}
        and words & {"earliest", "latest", "soonest", "time"}
    ):
        return Shape.WHEN
    if cues.has("ask.how-long") or (words & {"how"} and "longer" in words):
        return Shape.HOW_LONG
    if cues.has("ask.how-many"):
        days = words & {"days", "hours", "minutes", "weeks", "nights"} and what in _TIMELY
        return Shape.HOW_LONG if days else Shape.HOW_MANY
    if cues.has("ask.how-much"):
        return (
            Shape.HOW_LONG
            if "longer" in words or ({"time", "much"} <= words and what in _TIMELY | {Property.POT})
            else Shape.HOW_MUCH
        )
    if cues.has("ask.where") and what in _SETS:
        return Shape.WHICH
    if cues.has("ask.which-of") and what in _SETS - {Property.ENTRY}:
        return Shape.WHICH
    if cues.has("ask.which-what"):
        named = cues.has("has.piece", "has.it") or (what in (Property.DEW, Property.COLD, Property.HUMIDITY))
        if what in _SETS and what not in (Property.STATUS, Property.ENTRY) and not named:
            return Shape.WHICH
        return Shape.WHAT
    if cues.has("ask.whether") or words & {"any", "anything", "anywhere"}:
        return Shape.WHETHER
    if phrase.words[-1:] == ["when"] or "when" in phrase.words[-2:]:
        return Shape.WHEN
    return None


def negated(phrase: Phrase, cues: Cues, what: Property | None) -> bool:
    """Whether it is asked if, or which, is not so: "is it too soon to sand", "what is still tacky"."""
    words = set(phrase.words)
    if "too" in words:
        return what in (
            Property.READY,
            Property.WINDOW,
            Property.COLD,
            Property.DEW,
            Property.TAPE,
            Property.DUST,
            Property.HUMIDITY,
        )
    if what is Property.READY and cues.has(*_STILL) and not words & {"stop", "stopped", "not", "n't"}:
        return not cues.has("do.sand", "do.coat")
    no = words & {"n't", "not", "cannot", "mustn't", "can't", "shouldn't"}
    if no and cues.has("ask.which-what") and what in _SETS:
        return True
    if what is Property.LEFT and words & {"finished"}:
        return True
    return what is Property.KEEPING and cues.has("is.spoiled")


_DETAILS: Final = (
    (Detail.GRIT, ("noun.abrasive", "word.grit", "ask.grit")),
    (Detail.INTERVAL, ("word.between", "word.interval", "word.gap")),
    (Detail.THINNED, ("is.thinned", "do.thin", "word.thinned")),
    (Detail.TEMPERATURE, ("word.temperature", "is.air.cold", "is.air.warm", "word.degree")),
    (Detail.HUMIDITY, ("word.humidity", "is.air.damp")),
)  # fmt: skip


def detail_of(phrase: Phrase, cues: Cues) -> Detail | None:
    """Give what of an entry is asked, None for when."""
    if cues.has("noun.thinner", "of.thinner") and cues.has("noun.coat"):
        return Detail.THINNED
    for detail, names in _DETAILS:
        if cues.has(*names):
            return detail
    words = set(phrase.words)
    if words & {"altogether", "total", "all"} and cues.has("ask.how-much"):
        return Detail.TOTAL
    if cues.has("ask.how-much"):
        return Detail.AMOUNT if cues.has("do.mix", "has.mixed") and "last" in words else Detail.TOTAL
    if (
        cues.has("ask.which-what")
        and words & {"use", "used", "put", "with", "product", "paint", "varnish", "on"}
        and not cues.has("ask.when")
    ):
        return Detail.PRODUCT if not words & {"last", "do", "did"} or words & {"use", "used", "put", "with"} else None
    return None


ACTS: Final = {
    "do.sand": Act.SAND,
    "noun.act.sand": Act.SAND,
    "do.clean": Act.CLEAN,
    "noun.act.clean": Act.CLEAN,
    "do.fill": Act.FILL,
    "noun.act.fill": Act.FILL,
    "do.strip": Act.STRIP,
    "noun.act.strip": Act.STRIP,
    "do.unmask": Act.UNMASK,
    "do.mask": Act.MASK,
    "noun.act.mask": Act.MASK,
    "do.bond": Act.BOND,
    "noun.act.bond": Act.BOND,
    "do.clamp": Act.CLAMP,
    "do.fit": Act.FIT,
    "do.mix": Act.MIX,
    "do.thin": Act.THIN,
    "noun.act.thin": Act.THIN,
    "do.coat": Act.COAT,
    "noun.act.coat": Act.COAT,
    "noun.coat": Act.COAT,
}
_JOINTS: Final = frozenset(["before", "after", "since", "between"])


def acts_of(phrase: Phrase, cues: Cues) -> tuple[Act | None, Act | None]:
    """Give the act an entry tells of, and the one it is set against ("did I sand before the second coat")."""
    places = sorted((min(span), cue) for cue in ACTS for span in cues.spans.get(cue, ()) if not _thing(cues, span, cue))
    joint = next((i for i, w in enumerate(phrase.words) if w in _JOINTS), None)
    if not places:
        return None, None
    if joint is None:
        return ACTS[_best(places)], None
    first = [p for p in places if p[0] < joint]
    other = [p for p in places if p[0] > joint]
    if phrase.words[joint] == "between" or not first:
        two = [ACTS[c] for _, c in other]
        different = len(set(two)) > 1
        return (two[0] if two else None), (two[-1] if different else None)
    return ACTS[_best(first)], (ACTS[_best(other)] if other else None)


def _best(places: list[tuple[int, str]]) -> str:
    verbs = [c for _, c in places if c.startswith("do.")]
    return verbs[0] if verbs else places[0][1]


def _thing(cues: Cues, span: frozenset[int], cue: str) -> bool:
    """Whether a word that may be an act is a product or a thing where it stands."""
    return cue.startswith("do.") and min(span) not in cues.verbs and bool(cues.words("has.product", "has.piece") & span)
