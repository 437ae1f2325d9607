"""What is supposed: what stands after if, what if or suppose, and conditions in passing ("at eighteen degrees")."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language.asking.cues import Cues
from assistant.language.asking.lists import listed
from assistant.language.asking.said import Supposed
from assistant.language.asking.slots import Slots
from assistant.language.chunks import Cat, Phrase
from assistant.language.meanings import Act
from assistant.language.measures import Measure
from assistant.language.noungroup import Head
from assistant.language.predicates import BE, DO, HAVE, MODAL
from assistant.language.query import Property
from assistant.quantity import Amount

_WARMER: Final = {"warmer": 1.0, "hotter": 1.0, "colder": -1.0, "cooler": -1.0, "up": 1.0, "down": -1.0}
_DROPS: Final = listed("supposed_drops")
_ACTS: Final = {
    "do.sand": Act.SAND,
    "noun.act.sand": Act.SAND,
    "do.clean": Act.CLEAN,
    "noun.act.clean": Act.CLEAN,
    "do.mask": Act.MASK,
    "noun.act.mask": Act.MASK,
    "do.fill": Act.FILL,
    "noun.act.fill": Act.FILL,
}
_HEAT: Final = listed("supposed_heat")
#: A bare number beside heat is degrees between these.
_DEGREES: Final = (-10, 45)
#: Properties whose rows reckon with a temperature of the condition.
_OF_AIR: Final = frozenset(
    {
        Property.READY,
        Property.POT,
        Property.DEW,
        Property.DUST,
        Property.TAPE,
        Property.WINDOW,
        Property.WHATIF,
        Property.FINISH,
        Property.COLD,
        Property.NEXT,
        Property.STATUS,
    }
)


def clause_of(phrase: Phrase, cues: Cues) -> tuple[int, int] | None:
    """Give the words of the if-clause, from its "if" to where the question itself goes on; None if there is none."""
    start = cues.first("mood.if")
    if start is None:
        return _without_act(phrase, cues)
    if start > 1 and not cues.has("mood.what-if"):
        return start, _end(phrase, start) if start == 0 else len(phrase)
    return start, _end(phrase, start)


def _without_act(phrase: Phrase, cues: Cues) -> tuple[int, int] | None:
    """Give the words of "without sanding it", or of what follows "would it help to"; None where neither is said."""
    for i, word in enumerate(phrase.words):
        nxt = phrase.at(i + 1)
        if word == "without" and any(i + 1 in cues.words(cue) for cue in _ACTS):
            return i, i + 2 + (phrase.at(i + 2) in ("it", "them", "first"))
        if word == "to" and phrase.at(i - 1) in ("help", "worth", "better", "quicker", "helps", "pay") and nxt:
            return i, len(phrase)
        if word == "worth" and nxt.endswith("ing"):
            return i + 1, len(phrase)
    return None


def _end(phrase: Phrase, start: int) -> int:
    for k in range(start + 2, len(phrase)):
        word, before = phrase.words[k], phrase.words[k - 1]
        opens = before in (",", "then", ";") or k > start + 3
        asks = word in (
            "when",
            "how",
            "what",
            "which",
            "will",
            "would",
            "can",
            "could",
            "does",
            "is",
            "do",
            "did",
            "should",
        )
        if asks and opens and phrase.at(k + 1) in _SUBJECTS and word not in ("do", "did"):
            return k
        if word in ("when", "how", "what", "which") and phrase.at(k + 1) in _AFTER:
            return k
    return len(phrase)


_AFTER: Final = frozenset([*BE, *DO, *HAVE, *MODAL, "long", "much", "many", "soon"])
_SUBJECTS: Final = frozenset(
    ["i", "we", "it", "they", "the", "that", "this", "my", "both", "all", "there", "he", "she"]
) | {"everything"}


def supposed(phrase: Phrase, cues: Cues, slots: Slots, span: tuple[int, int]) -> Supposed | None:
    """Read what the words of an if-clause suppose; None where nothing in them is known."""
    inner = slots.within(*span)
    words = phrase.words[span[0] : span[1]]
    out = replace(air(phrase, inner, words), spaces=inner.spaces())
    if out.temperature is None and out.warmer is None:
        out, inner = _held(phrase, cues, inner, out)
    out = _work(cues, inner, words, span, out)
    out = _stuff(words, inner, out)
    return out if replace(out, spaces=(), nights=False) != Supposed() else None


def air(phrase: Phrase, slots: Slots, words: list[str]) -> Supposed:
    """Read temperature, humidity and warmth out of slots."""
    temperature, warmer = slots.measure("temperature"), None
    damp = [v for v, _, _ in slots.all("percent")]
    spoken = set(words)
    for word, sign in _WARMER.items():
        near = word in spoken and ("degrees" in spoken or "degree" in spoken or slots.all("number") or temperature)
        if near and (word not in ("up", "down") or phrase.at(phrase.words.index(word) + 1) == "by"):
            by = temperature.value if temperature else next((v for v, _, _ in slots.all("number")), None)
            warmer, temperature = (sign * float(by), None) if by is not None else (None, temperature)
    if temperature is None and warmer is None and spoken & _HEAT:
        numbers = [v for k in ("number", "grit") for v, p, _ in slots.all(k)]
        low, high = _DEGREES
        fitting = [float(v) for v in numbers if low <= v <= high]
        temperature = Amount(fitting[0], "degC") if fitting else None
    wet = spoken & {"humidity", "damp", "rh", "humid", "moisture"}
    humidity = damp[0] if damp and (wet or temperature is not None) else None
    surface = None
    if "surface" in spoken and len(slots.all("temperature")) > 1:
        surface = slots.all("temperature")[1][0]
    nights = bool(spoken & {"night", "nights", "overnight"})
    return Supposed(
        temperature=temperature,
        warmer=warmer,
        humidity=humidity,
        surface=surface,
        nights=nights and temperature is not None,
    )


def _held(phrase: Phrase, cues: Cues, slots: Slots, out: Supposed) -> tuple[Supposed, Slots]:
    """Take "at 18" beside keep, hold or heat as degrees and not as an hour."""
    if not cues.has(
        "word.keep",
        "word.hold",
        "word.heat",
        "word.warm",
        "do.hold",
        "do.warm",
        "do.heat-on",
        "do.heat-up",
        "do.drop",
        "do.rise",
        "word.dry",
        "word.last",
        "is.air.warm",
        "is.air.cold",
    ):
        return out, slots
    for timed in slots.times:
        for k in sorted(timed[2]):
            numbers = [c.value[1] for c in phrase.of(k, Cat.MEASURE) if c.value[0] is Measure.NUMBER and c.j == k + 1]
            if (
                not numbers
                or phrase.at(k - 1) not in ("at", "to", "of", "below", "under", "say", "about", "around")
                or not _DEGREES[0] <= numbers[0] <= _DEGREES[1]
            ):
                continue
            rest = [t for t in slots.times if t is not timed]
            after = [c for c in phrase.of(k + 1, Cat.TIME) if c.j == max(timed[2]) + 1]
            if k < max(timed[2]) and not after:
                continue
            rest += [(c.value, "", frozenset(range(c.i, c.j))) for c in after[:1]]
            nights = any(w in ("overnight", "night", "nights") for w in phrase.words)
            return replace(out, temperature=Amount(float(numbers[0]), "degC"), nights=nights), replace(
                slots, times=[] if nights else rest
            )
    return out, slots


def at_degrees(phrase: Phrase, cues: Cues, slots: Slots, what: Property) -> tuple[Supposed | None, Slots]:
    """Take "at 20" as degrees where no hour can be meant: how long a label's stage or a pot takes."""
    if what not in (Property.LABEL, Property.POT) or slots.measure("temperature") is not None:
        return None, slots
    found, rest = _held(phrase, cues, slots, Supposed())
    return (None, slots) if found == Supposed() else (replace(found, nights=False), rest)


def _work(cues: Cues, slots: Slots, words: list[str], span: tuple[int, int], out: Supposed) -> Supposed:
    """Read steps left out, coats more or fewer, days lost and starts put off."""
    inside = frozenset(range(*span))
    spoken = set(words) | {name[5:] for name in cues.spans if name.startswith("word.") and cues.words(name) & inside}
    coats = slots.of(Head.COAT, Head.ORDINAL)
    drops = bool(spoken & _DROPS) or any(s <= inside for s in cues.spans.get("do.give-up", ()))
    act = next((a for cue, a in _ACTS.items() if cues.words(cue) & inside), None)
    if drops and act is not None:
        out = replace(out, skipped=act, coat=next((t.group.ordinal for t in coats if t.group.ordinal), None))
    elif drops and coats:
        out = replace(out, coats=-int(coats[0].group.count or 1))
    elif coats and (spoken & {"extra", "another", "more", "add", "additional"} or coats[0].group.another):
        out = replace(out, coats=int(coats[0].group.count or 1))
    elif coats and coats[0].group.count and not slots.times:
        out = replace(out, coats_in_all=int(coats[0].group.count))
    elif drops and (pieces := [t for t in slots.of(Head.PIECE) if t.group.names]) and act is None:
        out = replace(out, without=pieces[0].group.group(""))
    times = tuple(f.value for f, _, _ in slots.times)
    if not times:
        return _fault(slots, out)
    if {"no", "work"} <= spoken or spoken & {
        "lose",
        "off",
        "miss",
        "lost",
        "skip",
        "nothing",
        "away",
        "ill",
        "sick",
        "rest",
    }:
        return replace(out, lost=True, times=times)
    if spoken & {"start", "begin", "wait", "started", "leave", "till", "until"} and out.temperature is None:
        return replace(out, start=True, times=times)
    if coats or any(cues.words(c) & inside for c in ("do.coat", "noun.coat")) or spoken & {"put", "lay"}:
        laid = out.temperature is None and out.warmer is None
        return (
            replace(out, laid=laid, times=times, coats=None, coats_in_all=None) if laid else replace(out, times=times)
        )
    return _fault(slots, replace(out, times=times))


def _fault(slots: Slots, out: Supposed) -> Supposed:
    faults = slots.of(Head.FAULT)
    return replace(out, fault=faults[0].group.value or "other") if faults and not out.coats else out


def _stuff(words: list[str], slots: Slots, out: Supposed) -> Supposed:
    """Read another product, amount, ratio or place."""
    products = slots.products()
    instead = [n for n, prep, _ in products if prep in ("instead of", "in place of", "rather than")]
    others = [n for n, prep, _ in products if prep not in ("instead of", "in place of", "rather than")]
    if products and (
        instead or set(words) & {"use", "used", "using", "with", "swap", "swapped", "switch", "switched", "went"}
    ):
        out = replace(out, products=tuple(others[:1]), instead_of=tuple(instead[:1]))
    amount, ratio = slots.measure("amount"), slots.measure("ratio")
    out = replace(out, amount=amount, ratio=tuple(ratio) if ratio else None)
    if out.spaces and {"move", "moved", "took", "take", "bring", "brought", "carried", "carry", "put"} & set(words):
        out = replace(out, moved=out.temperature is None and not out.products)
    return out


def in_passing(phrase: Phrase, slots: Slots, what: Property | None) -> Supposed | None:
    """Read the conditions that a question names without an if: "at eighteen degrees", "3 to 1"."""
    out = Supposed()
    if what in _OF_AIR or what is None:
        found = air(phrase, slots, phrase.words if what in (Property.WHATIF, Property.FINISH) else [])
        found = replace(found, nights=False) if what is Property.READY else found
        wet = set(phrase.words) & {"humidity", "damp", "rh", "humid"}
        if found.humidity is None and wet and (damp := slots.measure("percent")) is not None:
            found = replace(found, humidity=damp)
        out = found
    ratio = slots.measure("ratio")
    if ratio and what in (Property.MIX, Property.CONVERT, None):
        out = replace(out, ratio=tuple(float(r) for r in ratio))
    if "surface" in phrase.words and (second := slots.all("temperature")[1:]):
        out = replace(out, surface=second[0][0])
    return out if out != Supposed() else None
