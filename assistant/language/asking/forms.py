"""The form of a question: its question word, tense, mood and polarity, and what kinds of slots it has, as cues."""

from __future__ import annotations

from typing import Final

from assistant.language.asking.cues import Cues, alike
from assistant.language.asking.lists import listed
from assistant.language.asking.slots import Slots
from assistant.language.chunks import Cat, Phrase
from assistant.language.items import Items
from assistant.language.meanings import Quantifier
from assistant.language.noungroup import Head
from assistant.language.predicates import BE, DO, HAVE, MODAL

_HOW: Final = {
    "much": "how-much",
    "many": "how-many",
    "long": "how-long",
    "far": "how-far",
    "soon": "how-soon",
    "often": "how-many",
    "late": "how-late",
    "quick": "how-soon",
    "quickly": "how-soon",
    "little": "how-much",
    "big": "how-much",
}
_MOODS: Final = {
    "can": "can",
    "could": "can",
    "may": "can",
    "might": "can",
    "should": "should",
    "shall": "should",
    "ought": "should",
    "must": "must",
    "will": "will",
    "'ll": "will",
    "would": "would",
    "'d": "would",
    "gonna": "will",
}
_WHICH: Final = frozenset(["what", "which", "whats", "what's", "who", "whose"])
_TILL: Final = frozenset(["till", "until", "before", "til"])
_SUBJECTS: Final = listed("forms_subjects")
_OVER: Final = frozenset(["over", "on", "onto", "on top of", "over the top of", "upon", "on to", "under"])
_TWO_PART: Final = frozenset(["epoxy", "filler", "resin", "glue", "adhesive", "two-pack", "twopack"])
#: Units that something may be wanted in, when no number stands before them.
UNITS: Final = {
    "ounce": "fluid_ounce",
    "ounces": "fluid_ounce",
    "oz": "fluid_ounce",
    "pint": "pint",
    "pints": "pint",
    "litre": "l",
    "litres": "l",
    "liter": "l",
    "liters": "l",
    "ml": "ml",
    "mil": "ml",
    "mils": "ml",
    "millilitres": "ml",
    "gallon": "gallon",
    "gallons": "gallon",
    "grams": "g",
    "gram": "g",
    "g": "g",
    "kilo": "kg",
    "kilos": "kg",
    "kg": "kg",
    "pound": "pound",
    "pounds": "pound",
    "lb": "pound",
    "quart": "quart",
    "quarts": "quart",
    "teaspoon": "teaspoon",
    "teaspoons": "teaspoon",
    "tablespoons": "tablespoon",
    "fahrenheit": "fahrenheit",
    "celsius": "degC",
    "centigrade": "degC",
    "microns": "um",
    "thou": "thou",
    "cups": "cup",
    "feet": "foot",
    "metres": "m",
    "foot": "foot",
}


def formed(phrase: Phrase, items: Items, slots: Slots, cues: Cues) -> None:
    """Add the cues of form and of slots to those of the words."""
    cues.hide(_names(phrase, slots, cues))
    _question_words(phrase, cues)
    _tense(phrase, items, cues)
    _moods(phrase, cues)
    _slots(phrase, slots, cues)
    if not cues.has("has.piece", "has.product", "has.space", "has.component", "has.all", "has.any", "has.it"):
        cues.put("ask.bare")


def _names(phrase: Phrase, slots: Slots, cues: Cues) -> frozenset[int]:
    """Give the words that are the names of things, verbs left out."""
    out: set[int] = set()
    for t in slots.things:
        held = {o for names in (t.group.names, t.group.spaces, t.group.products) for n in names for o in n.options}
        for i in t.span:
            for c in phrase.of(i, Cat.NAME):
                if frozenset(range(c.i, c.j)) <= t.span and held & set(c.value.options):
                    out |= set(range(c.i, c.j))
    return frozenset(out) - cues.verbs


def _question_words(phrase: Phrase, cues: Cues) -> None:
    words = [alike().get(w) or alike().get(phrase.tokens[i].text.casefold(), w) for i, w in enumerate(phrase.words)]
    for i, word in enumerate(words):
        after = phrase.at(i + 1)
        if word in ("how", "hows", "how's"):
            form = _HOW.get(after)
            if form == "how-many" and phrase.at(i + 2) in (
                "hours",
                "minutes",
                "days",
                "hour",
                "weeks",
                "mins",
                "nights",
            ):
                form = "how-long"
            if form == "how-much" and phrase.at(i + 2) == "longer":
                form = "how-long"
            if form:
                cues.put(f"ask.{form}", i, i + 1)
            elif after in DO or after in MODAL or after == "to":
                cues.put("ask.how-do", i, i + 1)
            else:
                cues.put("ask.how", i)
            if form == "how-long" and _TILL & set(words[i + 2 : i + 4]):
                cues.put("ask.till", i, i + 1)
        elif word in _WHICH:
            cues.put("ask.which-what", i)
            if after in ("coat", "coats"):
                cues.put("ask.which-coat", i, i + 1)
            if any(phrase.of(i + 1 + (after == "of"), Cat.NAME)):
                cues.put("ask.which-of", i)
            if after in ("grit", "paper", "grade"):
                cues.put("ask.grit", i, i + 1)
            if after == "time":
                cues.put("ask.when", i, i + 1)
            if after in ("quantity", "amount"):
                cues.put("ask.how-much", i, i + 1)
        elif word in ("when", "whens", "when's") and (
            i == 0 or phrase.at(i - 1) in ("and", "so", ",", "but", "then") or after in _AUX or i == len(words) - 1
        ):
            cues.put("ask.when", i)
        elif word == "why" or (word == "how" and after == "come"):
            cues.put("ask.why", i)
        elif word in ("where", "whereabouts"):
            cues.put("ask.where", i)
    if "ask.how-much" not in cues.spans and words[:1] == ["much"]:
        cues.put("ask.how-much", 0)
    if _inverted(phrase, cues.verbs) or _tagged(phrase):
        cues.put("ask.whether")


def _tagged(phrase: Phrase) -> bool:
    """Whether a phrase ends in a question of what it said: "... is that too much", "... will it do"."""
    count = len(phrase)
    for i in range(max(1, count - 6), count - 1):
        word, before = phrase.words[i], phrase.at(i - 1)
        if word in ("is", "will", "would", "does", "can") and phrase.at(i + 1) in ("that", "it", "this", "i", "we"):
            return before not in (
                *_WHICH,
                "how",
                "when",
                "where",
                "why",
                "that",
                "think",
                "it",
                "i",
                "we",
                "he",
                "she",
                "they",
                "there",
            )
    return False


def _inverted(phrase: Phrase, verbs: frozenset[int]) -> bool:
    """Whether a clause begins with its auxiliary: "is the trim dry", "so can I sand it"."""
    for i, word in enumerate(phrase.words):
        starts = (
            i == 0
            or phrase.kinds[i - 1] == "mark"
            or phrase.at(i - 1) in ("and", "so", "but", "or", "then", "well", "right", "ok")
        )
        if not starts or word in ("'s", "be", "been", "had", "having", "'ve", "'ll", "'d", "'re") or word not in _AUX:
            continue
        subject = phrase.at(i + 1) in _SUBJECTS or "?" in phrase.text
        later = any(k > i + 2 for k in verbs)
        if subject or later or word not in ("do", "did", "have"):
            return True
    return False


def _clause(phrase: Phrase) -> int:
    """Give where the clause that asks begins: after a mark, with its question word or its auxiliary."""
    for i in range(len(phrase) - 1, 0, -1):
        if phrase.kinds[i - 1] == "mark" and (phrase.words[i] in _STARTS or phrase.words[i] in _AUX):
            return i
    return 0


_AUX: Final = frozenset([*MODAL, *DO, *BE, *HAVE])
_STARTS: Final = frozenset(["how", "what", "when", "which", "why", "where", "whats"])


def _tense(phrase: Phrase, items: Items, cues: Cues) -> None:
    start = _clause(phrase)
    for i, word in enumerate(phrase.words):
        if i < start:
            continue
        if word in ("did", "was", "were", "had"):
            cues.put("tense.past", i)
            if word != "was":
                cues.put("tense.past-act", i)
        elif word in ("have", "has", "'ve", "ive") and _perfect(phrase, i):
            cues.put("tense.past", i)
            cues.put("tense.past-act", i)
    for i, groups in enumerate(items.verbs):
        for g in groups:
            if i < start or {"have", "'ve", "has", "ive"} & set(phrase.words[max(0, i - 2) : i]):
                continue
            told = g.past and g.main >= 0 and not g.copula and g.i == i and "VBD" in g.tags and "VB" not in g.tags
            if told and phrase.at(i - 1) in ("i", "we") and not cues.has("mood.if"):
                cues.put("tense.past", g.main)
                cues.put("tense.past-act", g.main)


def _perfect(phrase: Phrase, i: int) -> bool:
    """Whether a "have" goes with a past participle of an act: "have I sanded it", not "have I got", "has it cured"."""
    for k in range(i + 1, min(i + 7, len(phrase))):
        for c in phrase.of(k, Cat.VERB):
            for form in c.value:
                if form.tags & {"VBN"} and form.lemma not in (
                    "get",
                    "leave",
                    "have",
                    "be",
                    "run",
                    "set",
                    "dry",
                    "cure",
                    "harden",
                    "go",
                    "miss",
                    "need",
                    "finish",
                    "wait",
                ):
                    return True
    return False


def _moods(phrase: Phrase, cues: Cues) -> None:
    words = phrase.words
    for i, word in enumerate(words):
        if word in _MOODS and not (word == "may" and phrase.at(i - 1) in ("in", "of")):
            cues.put(f"mood.{_MOODS[word]}", i)
        if word in ("if", "suppose", "supposing", "say", "unless", "assuming") and not (
            word == "say" and i + 1 < len(words) and phrase.at(i + 1) in ("about", "of", "for", "on", "?", "to")
        ):
            if word == "say" and i:
                continue
            cues.put("mood.if", i)
            if phrase.at(i - 1) in ("what", "whatif") or word in ("suppose", "supposing", "say"):
                cues.put("mood.what-if", *((i - 1, i) if i else (i,)))
            if tuple(words[max(0, i - 2) : i]) in (("what", "happens"), ("how", "about"), ("what", "about")):
                cues.put("mood.what-if", i - 2, i - 1, i)


def _slots(phrase: Phrase, slots: Slots, cues: Cues) -> None:
    for t in slots.things:
        g = t.group
        names = {
            "has.piece": bool(g.names), "has.space": bool(g.spaces) and not g.names, "has.product": bool(g.products),
            "has.it": g.head is Head.PRONOUN and g.pronoun is not None, "has.component": g.component is not None,
            "has.all": g.head is Head.PRONOUN and g.quantifier not in (None, Quantifier.ANY, Quantifier.NONE),
            "has.any": g.head is Head.PRONOUN and g.quantifier is Quantifier.ANY, "has.count": g.count is not None,
            "has.fault": g.head is Head.FAULT, "has.ordinal": g.ordinal is not None,
        }  # fmt: skip
        for name, there in names.items():
            if there:
                cues.put(name, *t.span)
        if g.amount is not None:
            cues.put("has.amount", *t.span)
        if g.part and g.names:
            cues.put("has.part", *t.span)
    if cues.has("has.product") and not cues.has("has.piece"):
        cues.put("has.product-only", *cues.words("has.product"))
    if len({n.options for n, _, _ in slots.products()}) > 1:
        cues.put("has.two-products", *cues.words("has.product"))
    if cues.has("has.space") and not cues.has("has.piece"):
        cues.put("has.space-only", *cues.words("has.space"))
    for kind, _, _, span in slots.measures:
        cues.put(f"has.{kind}", *span)
    for found, _, span in slots.times:
        cues.put("has.duration" if found.tag == "duration" else "has.time", *span)
    _products(phrase, slots, cues)
    for i, word in enumerate(phrase.words):
        if word in UNITS and i not in slots.used and phrase.at(i - 1) not in ("square",):
            cues.put("has.unit", *((i - 1, i) if phrase.at(i - 1) in ("fluid", "fl") else (i,)))


def _products(phrase: Phrase, slots: Slots, cues: Cues) -> None:
    products = slots.products()
    for name, _, at in products:
        if any("thinner" in option or "spirit" in option for option in name.options):
            cues.put("of.thinner", at)
    over = len(products) > 1 and phrase.at(products[-1][2] - 1) == "top"
    if over:
        cues.put("has.over", products[-1][2])
    if len(products) > 1 and products[-1][1] in {*_OVER, "to"} and products[-1][0].options != products[0][0].options:
        cues.put("has.over", products[-1][2])
    two = [i for i, word in enumerate(phrase.words) if word in _TWO_PART]
    if two:
        cues.put("has.two-part", *two)
