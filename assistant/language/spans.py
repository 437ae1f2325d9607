"""Tags every stretch of a phrase that could be something: a number, a time, an amount, a name, a trade word.

Spans overlap freely; which of them stand together is the reading's business.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from assistant.language import clock, numbers
from assistant.language.lexicon import Form, lexicon, matches
from assistant.language.names import Gazetteer, Name
from assistant.language.tokens import Token, normal, tokens
from assistant.language.when import Day, When
from assistant.quantity import Amount


class Span(NamedTuple):
    """Tokens ``i`` up to ``j`` taken as ``tag``; ``doubt`` 0 where nothing had to be supposed."""

    i: int
    j: int
    tag: str
    value: Any
    doubt: float = 0.0


@dataclass(slots=True)
class Tagged:
    """A phrase with its tokens, what each may be, and all its spans by first token."""

    phrase: str
    tokens: list[Token]
    forms: list[tuple[Form, ...]]
    words: list[str]
    spans: list[list[Span]] = field(default_factory=list)
    without: frozenset[str] = frozenset()  # frames that make no sense now (nothing to put right)

    def has(self, tag: str, i: int, j: int) -> bool:
        """Whether a span of ``tag`` lies in tokens ``i`` to ``j``."""
        return any(s.tag == tag and s.j <= j for k in range(i, j) for s in self.spans[k])


#: Abrasive grits in common use (ISO 6344 and CAMI numbers; common practice).
GRITS: Final = frozenset(
    [
        24,
        36,
        40,
        50,
        60,
        80,
        100,
        120,
        150,
        180,
        220,
        240,
        280,
        320,
        360,
        400,
        500,
        600,
        800,
        1000,
        1200,
        1500,
        2000,
    ]
)
_VOLUME: Final = {
    "ml": 1.0, "mls": 1.0, "mil": 1.0, "mils": 1.0, "millilitre": 1.0, "millilitres": 1.0, "milliliter": 1.0,
    "milliliters": 1.0, "cc": 1.0, "cl": 10.0, "centilitre": 10.0, "centilitres": 10.0, "l": 1000.0, "litre": 1000.0,
    "litres": 1000.0, "liter": 1000.0, "liters": 1000.0, "ltr": 1000.0,
}  # fmt: skip
_MASS: Final = {
    "g": 1.0, "gm": 1.0, "gms": 1.0, "gram": 1.0, "grams": 1.0, "gramme": 1.0, "grammes": 1.0, "kg": 1000.0,
    "kilo": 1000.0, "kilos": 1000.0, "kilogram": 1000.0, "kilograms": 1000.0, "kgs": 1000.0,
}  # fmt: skip
#: Units that are not powers of ten of ours; pint knows them (loaded only then).
_OTHER: Final = {
    "pint": "pint", "pints": "pint", "gallon": "gallon", "gallons": "gallon", "quart": "quart", "quarts": "quart",
    "floz": "fluid_ounce", "oz": "ounce", "ounce": "ounce", "ounces": "ounce", "lb": "pound", "lbs": "pound",
    "pound": "pound", "pounds": "pound", "teaspoon": "teaspoon", "teaspoons": "teaspoon",
    "tablespoon": "tablespoon", "tablespoons": "tablespoon",
}  # fmt: skip
#: Pints and ounces as they are in one country or the other.
_SIZES: Final = {"us": True, "american": True, "uk": False, "imperial": False, "british": False}
_SIDES: Final = {"foot": "foot", "feet": "foot", "ft": "foot", "yard": "yard", "yards": "yard", "yd": "yard"}
_FLUID: Final = (("fluid", "ounce"), ("fluid", "ounces"), ("fl", "oz"), ("fluid", "oz"))
_NUMBERISH: Final = numbers.WORDS | {"a", "an", "another", "minus", "once", "twice"}
_TIMEISH: Final = (
    clock.WORDS
    | numbers.WORDS
    | {"a", "an", "in", "within", "the", "day", "on", "during", "this", "earlier", "past", "o"}
)


def tag(phrase: str, names: Gazetteer, *, us: bool = False) -> Tagged:
    """Tag ``phrase``. ``us`` takes pints and ounces as United States ones."""
    cut = tokens(phrase)
    lex = lexicon()
    forms = [lex.forms(t.text, names.words) if t.kind == "word" else (Form(t.text, 0.0),) for t in cut]
    words = [f[0].word if len(f) == 1 else f[1].word if f[1].doubt < 0.8 else f[0].word for f in forms]
    tagged = Tagged(normal(phrase), cut, forms, words, [[] for _ in cut])
    kinds = [t.kind for t in cut]
    for i in range(len(cut)):
        spans = tagged.spans[i]
        if words[i] in _NUMBERISH or kinds[i] in ("number", "ordinal", "fraction", "ratio"):
            for span in _numeric(words, kinds, i, us=us):
                tagged.spans[span.i].append(span)  # "P 240" begins a word earlier
        if words[i] in _TIMEISH or kinds[i] in ("number", "ordinal", "clock", "iso", "ratio"):
            spans.extend(_timed(words, kinds, i))
        spans.extend(_entries(tagged, i))
        spans.extend(_named(tagged, names, i))
    _ranges(tagged)
    return tagged


def _at(words: Sequence[str], i: int) -> str:
    return words[i] if 0 <= i < len(words) else ""


def _numeric(words: list[str], kinds: list[str], i: int, *, us: bool) -> list[Span]:
    out: list[Span] = []
    if kinds[i] == "ratio":
        out.append(Span(i, i + 1, "ratio", tuple(float(p) for p in words[i].split(":"))))
        return out
    out.extend(Span(i, o.end, "ordinal", int(o.value)) for o in numbers.ordinals_at(words, i, kinds))
    if words[i] in ("once", "twice"):
        out.append(Span(i, i + 1, "count", 1 if words[i] == "once" else 2))
    found = numbers.numbers_at(words, i, kinds)
    if words[i] in ("a", "an", "another"):
        found.append(numbers.Number(i + 1, 1.0))
    for n in found:
        out.extend(_measured(words, i, n, us=us))
        if words[i] in ("a", "an", "another") and n.end == i + 1:
            continue
        out.extend(_plain(words, i, n))
        out.extend(_ratio(words, kinds, i, n))
    return out


def _plain(words: list[str], i: int, n: numbers.Number) -> list[Span]:
    out = [Span(i, n.end, "number", n.value, 0.3)]
    if _paired(words, i, n):
        out.append(Span(i, n.end + 1, "grit", int(words[i] + words[n.end]), 0.2))
    whole = n.value == int(n.value)
    before = _at(words, i - 1)
    if whole and before in ("coat", "layer", "number", "no") and int(before != "coat") <= n.value < 30:
        out.append(Span(i - (before in ("number", "no")), n.end, "nth", int(n.value)))
    if whole and _at(words, n.end) in ("coats", "layers") and 0 <= n.value < 30:
        out.append(Span(i, n.end, "count", int(n.value)))
    elif whole and _at(words, n.end + 1) in ("coats", "layers") and 0 <= n.value < 30:
        out.append(Span(i, n.end, "count", int(n.value), 0.1))
    if whole and _at(words, n.end) == "of" and "coats" in words[:i] and 0 < n.value < 30:
        out.append(Span(i, n.end, "count", int(n.value), 0.1))  # "five coats of this and two of that"
    if n.value == 1 and _at(words, n.end) == "coat":
        out.append(Span(i, n.end, "count", 1))
    if whole and _at(words, n.end) == "coat" and 1 <= n.value < 30:
        out.append(Span(i, n.end, "nth" if n.value > 1 else "talk.another", int(n.value), 0.1))
    if whole and _at(words, n.end) in _HOLDERS and n.value < 30:
        out.append(Span(i, n.end, "count", int(n.value)))
    if whole and _at(words, n.end) == "g" and int(n.value) in GRITS:
        out.append(Span(i, n.end + 1, "grit", int(n.value), 0.3))  # "240g" where thumbs write a grit
    if whole and (_grit_cue(words, i, n) or (int(n.value) in GRITS and n.value >= 10)):
        end = n.end + (_at(words, n.end) in ("grit", "grade", "paper", "discs", "disc"))
        known = int(n.value) in GRITS
        out.append(Span(i - (before in ("p", "grit", "grade")), end, "grit", int(n.value), 0.0 if known else 0.3))
    elif whole and 24 <= n.value <= 2500 and before in ("with", "to", "using"):
        out.append(Span(i, n.end, "grit", int(n.value), 0.6))
    return out


_HOLDERS: Final = ("tins", "cans", "pots", "kits", "tubes", "cartridges", "bottles", "tubs")


def _paired(words: list[str], i: int, n: numbers.Number) -> bool:
    # "2 40": a grit said in two, written down in two
    after = _at(words, n.end)
    return (
        n.end == i + 1 and words[i].isdigit() and after.isdigit() and len(after) == 2 and int(words[i] + after) in GRITS
    )


def _grit_cue(words: list[str], i: int, n: numbers.Number) -> bool:
    return _at(words, n.end) in ("grit", "grade") or _at(words, i - 1) in ("p", "grit")


def _ratio(words: list[str], kinds: list[str], i: int, n: numbers.Number) -> list[Span]:
    # "two to one", "five parts to one", "100 to 30"
    at = n.end + (_at(words, n.end) in ("parts", "part"))
    if _at(words, at) not in ("to", "by"):
        return []
    if _at(words, i - 1) in ("at", "since", "by", "until", "till") and at == n.end:
        return []
    # "ten to four" may be a time; "two to one", "five to one" in a mix are not said so
    doubt = 0.1 if n.value in (10, 20, 25) and at == n.end else 0.0
    return [
        Span(i, m.end + (_at(words, m.end) in ("part", "parts")), "ratio", (n.value, m.value), doubt)
        for m in numbers.numbers_at(words, at + 1, kinds) if n.value > 0 and m.value > 0
    ]  # fmt: skip


def _measured(words: list[str], i: int, n: numbers.Number, *, us: bool) -> list[Span]:
    if n.value >= _BARE and _at(words, n.end) == "of" and not {"to", "by"} & {_at(words, i - 1)}:
        return [Span(i, n.end, "amount", Amount(n.value, "ml"), 0.3)]  # "another 750 of varnish"
    if _at(words, i - 1) in ("thinned", "thinning") and 0 < n.value <= 50 and not _unit(words, n.end):
        return [Span(i, n.end, "percent", Amount(n.value, "percent"))]  # thinners go by the hundred
    at = n.end + (_at(words, n.end) == "of" and _at(words, n.end + 1) in ("a", "an"))
    at += at > n.end
    at += _at(words, at) in ("a", "an")
    unit = _at(words, at)
    if unit in _SIZES and _at(words, at + 1) in (*_OTHER, "fluid", "fl"):
        at, unit, us = at + 1, _at(words, at + 1), _SIZES[unit]
    whole = (words[i] in ("a", "an", "another")) and n.end == i + 1
    for name, table in (("ml", _VOLUME), ("g", _MASS)):
        if unit in table:
            more, value = _more(words, at + 1, n.value)
            return [Span(i, more, "amount", Amount(value * table[unit], name))]
    if tuple(words[at : at + 2]) in _FLUID:
        return [Span(i, at + 2, "amount", _converted(n.value, "fluid_ounce", us=us))]
    if unit in _OTHER:
        more, value = _more(words, at + 1, n.value)
        return [Span(i, more, "amount", _converted(value, _OTHER[unit], us=us))]
    if whole:
        return []
    return _graded(words, i, n, at, unit)


#: A number of something that flows, at least so large, is millilitres.
_BARE: Final = 100
_UNITS: Final = ("percent", "%", "pc", "per", "minutes", "minute", "hours", "hour", "past", "to", "o'clock")


def _unit(words: list[str], at: int) -> bool:
    return _at(words, at) in (*_VOLUME, *_MASS, *_OTHER, *_UNITS)


def _more(words: list[str], end: int, value: float) -> tuple[int, float]:
    # "a litre and a half"
    if tuple(words[end : end + 3]) in (("and", "a", "half"), ("and", "a", "quarter")):
        return end + 3, value + (0.5 if words[end + 2] == "half" else 0.25)
    return end, value


def _graded(words: list[str], i: int, n: numbers.Number, at: int, unit: str) -> list[Span]:
    if unit in ("percent", "%", "pc"):
        return [Span(i, at + 1, "percent", Amount(n.value, "percent"))]
    if unit == "per" and _at(words, at + 1) == "cent":
        return [Span(i, at + 2, "percent", Amount(n.value, "percent"))]
    if unit in ("micron", "microns", "um"):
        return [Span(i, at + 1, "film", Amount(n.value, "um"))]
    if unit in ("m", "square", "sq") and _at(words, at + 1) in ("2", "metre", "metres", "m", "meters", "meter"):
        return [Span(i, at + 2, "area", Amount(n.value, "m2"))]
    if unit in ("square", "sq") and (side := _SIDES.get(_at(words, at + 1))):
        return [Span(i, at + 2, "area", _converted(n.value, f"square {side}", us=False))]
    if unit == "below":  # "one below", "two below zero"
        end = at + 1 + (_at(words, at + 1) in ("zero", "freezing"))
        return [Span(i, end, "temp", Amount(-n.value, "degC"))]
    sign = unit in ("degrees", "degree", "deg", "°")
    scale = _at(words, at + sign)
    end = at + sign
    if scale in ("c", "celsius", "centigrade"):
        return [Span(i, end + 1, "temp", Amount(n.value, "degC"))]
    if scale in ("f", "fahrenheit"):
        return [Span(i, end + 1, "temp", _converted(n.value, "degF", us=False))]
    return [Span(i, end, "temp", Amount(n.value, "degC"))] if sign else []


def _converted(value: float, unit: str, *, us: bool) -> Amount:
    from assistant.library.measures import convert

    return convert(value, unit, us=us)


_UNTIL: Final = ("until", "till", "til", "up to", "to")


def _timed(words: list[str], kinds: list[str], i: int) -> list[Span]:
    out: list[Span] = []
    for f in clock.times_at(words, i, kinds):
        if f.tag == "clock" and (_at(words, f.end) == "of" or (_at(words, i - 1) == "with" and words[i] != "noon")):
            continue  # "750 of varnish", "with one twenty"
        if f.tag == "duration" and words[i] in ("a", "one") and f.end == i + 2 and words[i + 1] == "second":
            continue
        out.append(Span(i, f.end, f.tag, f.value, f.doubt))
    return out


#: Words that are never a slip for another: one letter must not make both of one, or strike a task off.
_EXACT: Final = frozenset(["talk.both", "task.dropped", "task.tick", "talk.undo"])


def _entries(tagged: Tagged, i: int) -> list[Span]:
    lex = lexicon()
    out: list[Span] = []
    for end, entry, doubt in matches(lex.by_first, tagged.forms, i):
        if doubt and entry.tag in _EXACT:
            continue
        if _allowed(tagged, entry.tag, i, end):
            out.append(Span(i, end, "fill" if entry.tag == "fill.free" else entry.tag, entry.value, doubt))
    text = ""
    for end in range(i + 1, min(i + 5, len(tagged.words) + 1)):
        text += tagged.forms[end - 1][0].word
        out.extend(
            Span(i, end, "fill" if e.tag == "fill.free" else e.tag, e.value, 0.1)
            for e in lex.joined.get(text, ())
            if len(e.words) != end - i and _allowed(tagged, e.tag, i, end)
        )
    if tagged.tokens[i].kind == "mark" and not out:
        out.append(Span(i, i + 1, "fill", None))
    return out


_ASKING: Final = frozenset(["when", "what", "how", "which", "why", "where", "who"])
_SUBJECTS: Final = frozenset(
    ["i", "we", "it", "you", "the", "this", "that", "these", "they", "she", "he", "my", "a", "there", "those"]
)
#: Words before a clause's first real word that leave a question a question.
_LEAD: Final = frozenset(
    [
        "so",
        "and",
        "but",
        "okay",
        "ok",
        "right",
        "um",
        "er",
        "erm",
        "uh",
        "hey",
        "hi",
        "please",
        "mate",
        "then",
        "well",
        "now",
        "oh",
        "ah",
        "or",
        ",",
        "also",
        "hello",
        "yeah",
        "alright",
    ]
)


_ARTICLES: Final = frozenset(["the", "a", "an", "another", "my", "both", "all", *numbers.ORDINALS, *numbers.SMALL])
_TAKING_BACK: Final = frozenset(["", ",", "the", "it", "that", "sorry", "wait", "make", "i", "not", "no", "a"])


def _allowed(tagged: Tagged, tag: str, i: int, end: int) -> bool:
    """Whether a question word asks where it stands: "is it dry" asks, "it is dry" does not."""
    words = tagged.words
    if tag == "q.past" and words[i] == "did" and "?" not in words and _at(words, end) in (*_ARTICLES, "coat"):
        return False  # "did the second coat at six" tells
    if tag in ("q.lead", "q.past", "q.do", "q.modal"):
        before = i - 1
        while before >= 0 and words[before] in _LEAD:
            before -= 1
        first = before < 0
        asked = (
            before >= 0
            and not {"i", "we"} & set(words[max(0, before - 1) : before + 1])
            and bool(_ASKING & set(words[: before + 1]))
        )
        if tag == "q.modal":
            told = before >= 0 and words[before] in ("i", "we") and bool(_ASKING & set(words[:before]))
            return (
                (first or asked or told or _at(words, end) in _SUBJECTS)
                and _at(words, end) != "of"
                and _at(words, i - 1) not in ("a", "the", "in", "new")
            )
        return first or asked
    if tag == "tense.future" and words[i] == "next" and _at(words, i - 1) in ("", "is", "what", "whats"):
        return False  # "what is next then" asks of what is to come, and is none of it
    if tag == "tin.bought" and words[i] == "got" and end == i + 1:
        return bool({"tin", "tins", "can", "cans", "litre", "litres"} & set(words[end : end + 3]))  # "got two tins of"
    if tag == "q.what" and words[i] == "list" and i > 0:
        return words[i - 1] in _LEAD  # "put it on the list" asks nothing
    if tag == "q.when" and words[i] == "when" and i > 0 and _at(words, i + 1) in ("i", "we"):
        return not (_at(words, i + 2).endswith("ed") and "?" not in words)  # "... when I primed the door" tells
    if tag.startswith("tin.") and words[i] == "can" and end == i + 1:
        return _at(words, i - 1) not in ("", "i", "we", "what", "when", "how") and _at(words, i + 1) not in _SUBJECTS
    if tag == "q.is" and any(w.endswith("ed") for w in words[:i]) and "?" not in words:
        return False  # "scuffed it up ready for the next coat" asks nothing
    if tag == "tense.future" and words[i] in ("would", "could", "might", "shall", "will") and i == 0:
        return False
    if tag == "tense.neg" and words[i] == "no" and i == 0 and end == 1:
        return _at(words, 1) not in _TAKING_BACK  # "no, the third coat" takes back; "no coat today" denies
    return True


def _name_span(i: int, end: int, name: Name) -> Span:
    if name.kind.startswith("part."):
        return Span(i, end, name.kind, name.options[0], name.doubt)
    return Span(i, end, name.kind, name, name.doubt)


def _named(tagged: Tagged, names: Gazetteer, i: int) -> list[Span]:
    out = [_name_span(i, end, name) for end, name in names.find(tagged.forms, i)]
    # "the port one", "the starboard ones": whatever has those words in its name
    words = tagged.words
    for end in range(i + 1, min(i + 4, len(words))):
        if words[end] in ("one", "ones"):
            pieces = names.having(words[i:end])
            if pieces:
                name = Name("piece", pieces, 0.1, words[end] == "ones", whole=False)
                out.append(Span(i, end + 1, "piece", name, 0.1))
            break
    for end in range(i + 2, min(i + 4, len(words) + 1)):  # "port doors" for "port cabin doors"
        if not any(s.tag == "piece" and s.j == end for s in out):
            pieces = names.having(words[i:end])
            if pieces:
                out.append(Span(i, end, "piece", Name("piece", pieces, 0.3, plural=False, whole=False), 0.3))
    return out


def _ranges(tagged: Tagged) -> None:
    # until seven; from eight to eight; between 8 pm and 8 am
    words = tagged.words
    for i, word in enumerate(words):
        if word in ("until", "till", "til"):
            for end, found in _time_run(tagged, i + 1):
                tagged.spans[i].append(Span(i, end, "until", found))
        if word in ("from", "between"):
            for middle, first in _time_run(tagged, i + 1):
                if _at(words, middle) in ("to", "until", "till", "and", "til"):
                    for end, second in _time_run(tagged, middle + 1):
                        tagged.spans[i].append(Span(i, end, "range", (first, second)))
        for s in list(tagged.spans[i]):
            if s.tag == "clock" and _at(words, s.j) in ("to", "until", "till", "til"):
                for end, second in _time_run(tagged, s.j + 1):
                    tagged.spans[i].append(Span(i, end, "range", (When(clock=s.value), second), s.doubt * 0.5))


def _time_run(tagged: Tagged, i: int) -> list[tuple[int, When]]:
    """Give the time expressions that start at ``i``, a clock and a day together where they adjoin."""
    out: list[tuple[int, When]] = []
    skip = i
    while _at(tagged.words, skip) in ("the", "about", "around", "at"):
        skip += 1
    spans = tagged.spans[skip] if skip < len(tagged.spans) else []
    for s in spans:
        if s.tag == "clock":
            out.append((s.j, When(clock=s.value)))
            out.extend((d.j, When(clock=s.value, day=d.value)) for d in _from(tagged, s.j) if d.tag == "day")
        elif s.tag == "day":
            out.append((s.j, When(day=s.value)))
            out.extend((c.j, When(clock=c.value, day=s.value)) for c in _from(tagged, s.j) if c.tag == "clock")
    if not out and _at(tagged.words, skip) in clock.PARTS:
        out.append((skip + 1, When(day=Day(back=0, part=tagged.words[skip]))))
    return out


def _from(tagged: Tagged, i: int) -> list[Span]:
    while _at(tagged.words, i) in ("at", "on"):
        i += 1
    return tagged.spans[i] if i < len(tagged.spans) else []
