"""What is said of each thing: a row of things and figures cut into runs, each with what it is of and its figures.

"Port one 120, starboard 180" gives two runs; "port and starboard 120" one. Figures stand after what they are of, or
before it ("fourteen galley, twelve forepeak"): which, the first of them shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.items import Item, Kind
from assistant.language.noungroup import Head


@dataclass(slots=True)
class Run:
    """Some things and what is said of them, in the words' order."""

    things: list[Item] = field(default_factory=list)
    said: list[Item] = field(default_factory=list)


#: Verbs that only join what is told to what it is told of: "port one's had it", "the leaf is done".
LIGHT: Final = frozenset(["be", "have", "get", "do", "give", "put", "go"])
_IDLE: Final = frozenset([
    "conjunction", "determiner", "interjection", "politeness", "discourse", "preposition", "auxiliary", "pronoun",
    "comparative", "quantifier", "presentation",
])  # fmt: skip
#: What was done to nothing was not done.
NOTHING: Final = frozenset(["nothing", "none", "nowt", "nobody", "neither"])
#: Words of these classes turn a report round: with one of them it is no report.
_TURNING: Final = frozenset(["negator", "question", "modal", "subordinator"])


def is_thing(item: Item) -> bool:
    """Whether an item is what figures are said of: a piece, a part of one, a space."""
    if item.kind is not Kind.GROUP:
        return False
    group = item.value
    return (
        bool(group.names)
        or group.head in (Head.PIECE, Head.PART, Head.SPACE)
        or (group.head is Head.PRONOUN and bool(group.quantifier or group.spaces or group.count))
    )


def usable(phrase: Phrase, items: Iterable[Item]) -> list[Item] | None:
    """Give the items that say something; None where one of them must not stand in a report in short."""
    out: list[Item] = []
    for item in items:
        if item.kind is Kind.MARK or (item.kind is Kind.WORD and not item.content):
            continue
        if item.kind is Kind.WORD or NOTHING & set(phrase.words[item.i : item.j]):
            return None
        if item.kind is Kind.VERB:
            if not _light(item):
                return None
            out.append(item)
            continue
        if item.kind is Kind.FUNCTION:
            if item.kinds[-1] in _TURNING or phrase.words[item.i] in ("no", "or"):
                return None
            if item.kinds[-1] not in _IDLE:
                return None
            out.append(item)
            continue
        if item.kind is Kind.ADVERB and item.kinds[0] in ("negative", "almost", "certainty.maybe"):
            return None
        if item.kind is Kind.GROUP:
            group = item.value
            if group.others or group.unknown or item.prep == "not":
                return None
            if group.head in (Head.OTHERS, Head.PERSON, Head.ANIMAL, Head.BODY, Head.UNKNOWN, Head.DOCUMENT, Head.TASK):
                return None
            if group.head is Head.BOAT and group.value != "own":
                return None
        out.append(item)
    return out


def _light(item: Item) -> bool:
    forms = item.value.value
    return all(f.lemma in LIGHT and not set(f.tags) <= {"VB", "VBG"} for f in forms)


def _figure(item: Item) -> bool:
    """Whether an item is a figure: a measure, a time, the number of a coat."""
    numbered = (
        item.kind is Kind.GROUP
        and not item.value.names
        and (item.value.head in (Head.ORDINAL, Head.COAT) or bool(item.value.products))
    )
    return item.kind in (Kind.MEASURE, Kind.TIME) or numbered


def _only_product(run: Run) -> bool:
    return not run.things and all(i.kind is Kind.GROUP and i.value.products for i in run.said if _figure(i))


def runs(items: Iterable[Item]) -> list[Run]:
    """Cut items into runs; idle words are left out."""
    rows = [i for i in items if i.kind not in (Kind.FUNCTION, Kind.VERB)]
    telling = [i for i in rows if is_thing(i) or (_figure(i) and i.kind is not Kind.TIME)]
    own = [i for i in telling if is_thing(i) or not (i.kind is Kind.GROUP and i.value.products)]
    if not all(is_thing(i) for i in own) or any(i.kind is Kind.TIME for i in rows):
        telling = own  # a product that is said first is of all of them
    after = not telling or is_thing(telling[0])
    out = [Run()]
    for item in rows:
        run = out[-1]
        figures = any(_figure(i) for i in run.said) and not (not after and _only_product(run))
        if is_thing(item):
            if run.things and figures and after:
                out.append(Run())
            out[-1].things.append(item)
        elif run.things and not after and _figure(item) and item.kind is not Kind.TIME and figures:
            out.append(Run(said=[item]))
        else:
            run.said.append(item)
    if len(out) > 1 and not out[-1].things:
        out[-2].said += out.pop().said
    return out
