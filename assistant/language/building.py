"""Clauses become meanings: the slots of a frame, typed, with what was left over named.

A deed that holds a word nobody explained is held: it is not logged as it stands, and the word is asked about. What
is only beside it ("with the good brush") is left out and named back.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Final

from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.clause import Clause
from assistant.language.deeds import deed
from assistant.language.errands import free_words, listing, remark, ticking, told
from assistant.language.items import Item, Kind
from assistant.language.meanings import (
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Group,
    Meaning,
    Quantifier,
    Question,
    Remark,
    Rule,
    Spell,
    TinFact,
)
from assistant.language.measures import measures_at
from assistant.language.noungroup import Head
from assistant.language.righting import correction, undo
from assistant.language.sentences import Sentence
from assistant.language.slots import Slots, doubt_of, leftovers
from assistant.language.tokens import tokens
from assistant.language.wordlist import wordlist
from assistant.quantity import Amount

#: No cabin is hotter in degrees Celsius: where the United States' units are used it was Fahrenheit.
_HOTTEST: Final = 42


def spell(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what was said of the air."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    beside, held = leftovers(phrase, clause, strict=True)
    if (
        held is not None
        and slots.spaces()
        and all(_read_off(p.item) for p in clause.parts if p.slot is None and p.item.content)
    ):
        beside, held = (*beside, held), None  # "on the dial", where the space was said
    temperature = slots.measure("temperature")
    degrees = slots.measure("degrees")
    damp = _after_humidity(slots)
    if temperature is None and isinstance(degrees, int | float):
        fahrenheit = phrase.us and degrees > _HOTTEST
        temperature = Amount(round((degrees - 32) / 1.8, 1) if fahrenheit else float(degrees), "degC")
    humidity = slots.measure("humidity")
    if damp is not None and humidity is None:
        humidity = Amount(damp, "percent")
        if degrees == damp and temperature is not None and temperature.value == damp:
            temperature = None
    air = {g.value for g in slots.noun_groups("air")}
    if temperature is not None and humidity is None and air == {"humidity"}:
        humidity, temperature = Amount(temperature.value, "percent"), None
    words = set(phrase.words[clause.i : clause.j])
    groups = slots.noun_groups("spaces", "everywhere")
    besides = tuple(n for g in groups if g.besides for n in g.besides.spaces)
    heating = _heating(clause, words)
    until, since, span = slots.bound("until"), slots.bound("since"), slots.range()
    surface = temperature if "surface" in air else None
    when = slots.when() or (since.when if since else None) or (span.start if span else None)
    end = until.when if until else span.end if span else None
    force = s.force
    if end is not None and when is not None and when.clock is None and when.window is not None:
        when = None  # "ten overnight till six" holds from now
    if force in (Force.WISHED, Force.SUPPOSED) and clause.subordinator == "" and end is not None:
        force = Force.MEANT  # "should sit at sixteen till morning"
    if force is Force.REPORTED and words & {"forecast", "forecasts", "radio"}:
        force = Force.MEANT
    return Spell(
        force=force,
        words=phrase.said(clause.i, clause.j),
        unused=beside,
        held=held if force is Force.DONE else None,
        doubt=doubt_of(phrase, clause),
        spaces=slots.spaces(),
        besides=besides,
        everywhere=bool(words & {"everywhere", "throughout"})
        or bool(slots.items("everywhere"))
        or any(g.quantifier is Quantifier.REST for g in groups),
        temperature=None if surface else temperature,
        surface=surface,
        humidity=humidity,
        outside="outside" in air,
        heating=heating,
        when=when,
        until=end,
        lasting=slots.length(),
        there=bool(words & {"there", "here"}) and not slots.spaces(),
    )


def _read_off(item: Item) -> bool:
    """Whether an item says what a figure was read off, of all that it may say."""
    return item.kind is Kind.GROUP and item.prep in ("on", "by", "off", "from") and item.value.head in (
        Head.UNKNOWN, Head.TOOL, Head.HOUSE, Head.GEAR
    )  # fmt: skip


def _after_humidity(slots: Slots) -> float | None:
    """Give the bare number that follows a word for humidity: "rh 55"."""
    for a, b in pairwise(slots.parts):
        humid = a.item.kind is Kind.GROUP and a.item.value.head is Head.AIR and a.item.value.value == "humidity"
        if humid and b.item.kind is Kind.MEASURE and b.slot == "degrees":
            return float(b.item.value)
    return None


def _heating(clause: Clause, words: set[str]) -> str | None:
    if clause.use is not None and clause.use.sense.startswith("heat-"):
        return clause.use.sense.removeprefix("heat-")
    if clause.frame.name == "heating":
        return next((w for w in ("off", "on", "down", "up") if w in words), None)
    return None


def flaw(phrase: Phrase, s: Sentence) -> Meaning:
    """Build something wrong with a film."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    if _of_no_film(clause, slots):
        return remark(phrase, s)
    beside, _ = leftovers(phrase, clause)
    kind = next((g.value for g in slots.noun_groups("fault") if g.value), "")
    if not kind and clause.use is not None and clause.use.sense.startswith("flaw."):
        kind = clause.use.sense.removeprefix("flaw.").replace("-", " ")
    if not kind and slots.items("dirt"):
        kind = "dust"
    return Flaw(
        force=s.force,
        words=phrase.said(clause.i, clause.j),
        unused=beside,
        held=None,
        doubt=doubt_of(phrase, clause),
        fault=kind or "other",
        pieces=slots.pieces(),
        products=slots.products(),
        coat=slots.ordinal(),
        when=slots.when(),
        mended="mended" in clause.frame.flags,
        text=phrase.said(clause.i, clause.j),
    )


def _of_no_film(clause: Clause, slots: Slots) -> bool:
    """Whether a verb that may tell of a fault tells of the speaker, a reason or nothing of the job: "I ran out"."""
    if clause.use is None or not clause.use.sense.startswith("flaw.") or slots.items("fault", "dirt"):
        return False
    if clause.subordinator in ("because", "cos", "since", "as", "so that"):
        return True
    own = any(p.item.kind is Kind.GROUP and p.item.value.head is Head.SELF and not p.item.prep for p in clause.parts)
    named = any(g.names for g in slots.noun_groups("pieces"))
    if own and not named:
        return True
    return not slots.items("pieces", "products", "coat", "tape")


def tin(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what became of a tin."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    beside, held = leftovers(phrase, clause)
    vessels = slots.noun_groups("vessel", "products", "newtin")
    amount = slots.measure("amount")
    if amount is None:
        amount = next((g.amount for g in vessels if g.amount), None)
    if isinstance(amount, int | float):
        amount = Amount(float(amount), "ml") if amount >= 20 else None
    when = slots.when()
    each = _size_not_time(phrase, slots) if vessels else None
    if each is not None and amount is None:
        amount, when = each, None  # "two tins of gloss, seven fifty each"
    unknown = next((g.unknown for g in slots.noun_groups("unknown", "products") if g.unknown), None)
    size = next((f.value for f in map(_size, [unknown or ""]) if f), None)
    if size is not None:
        unknown, amount = None, amount or Amount(size, "ml")
    products = slots.products("products", "vessel", "newtin", "empty", "unknown")
    sizes = {id(g.amount) for g in vessels if g.amount} | {id(i) for i in slots.items("amount")}
    if len(products) > 1 and len(sizes) > 1:  # each has its own: two entries
        held = held or phrase.said(clause.i, clause.j)
    if slots.items("took"):  # "bought three hours of undercoat"
        held = held or phrase.said(slots.items("took")[0].i, slots.items("took")[0].j)
    if not products and slots.items("other") and not unknown:
        return free_words(phrase, s)
    counted = any(g.count or g.another for g in vessels)
    if clause.frame.change == "bought" and any(g.lemma in _THROWN for g in slots.noun_groups("brought", "from")):
        return Remark(words=phrase.said(clause.i, clause.j))  # "the tub's in the bin"
    if clause.frame.change == "bought" and not (products or unknown or amount or counted):
        return Remark(words=phrase.said(clause.i, clause.j))  # "I'd picked up the wrong tin"
    return TinFact(
        force=s.force,
        words=phrase.said(clause.i, clause.j),
        unused=beside,
        held=held if s.force is Force.DONE else None,
        doubt=doubt_of(phrase, clause),
        change=clause.frame.change,
        products=products,
        unknown=unknown,
        amount=amount if isinstance(amount, Amount) else None,
        share=next((g.share for g in vessels if g.share), None),
        count=next((int(g.count) for g in vessels if g.count), None),
        pieces=_pieces_named(slots),
        when=when,
    )


def _size_not_time(phrase: Phrase, slots: Slots) -> Amount | None:
    """Take what could be a time for the size of a tin where no preposition makes it one: "seven fifty"."""
    for item in slots.items("when"):
        for c in phrase.of(item.i, Cat.MEASURE) if not item.prep else ():
            if c.j == item.j and c.value[0] is Measure.NUMBER and c.value[1] >= _TIN:
                return Amount(float(c.value[1]), "ml")
    return None


def _size(said: str) -> Amount | None:
    """Take "a seven fifty" for a tin of so many millilitres."""
    toks = tokens(said)
    if not toks:
        return None
    found = measures_at([t.text for t in toks], [t.kind for t in toks], 0)
    sizes = [m.value for m in found if m.end == len(toks) and m.what.value == "number" and m.value >= _TIN]
    return Amount(float(sizes[0]), "ml") if sizes else None


#: No tin is smaller, in millilitres.
_TIN: Final = 100


#: Where what is done with goes, and nothing comes from.
_THROWN: Final = frozenset(["bin", "skip", "tip", "dump", "rubbish", "bucket", "dustbin", "canal", "water"])


def _pieces_named(slots: Slots) -> Group | None:
    found = slots.pieces()
    return found if found is not None and (found.names or found.unknown) else None


def rule(phrase: Phrase, s: Sentence) -> Meaning:
    """Build a rule of the clock."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    when, until, since, span = slots.when(), slots.bound("until"), slots.bound("since"), slots.range()
    start = span.start if span else since.when if since else None
    end = span.end if span else until.when if until else None
    kind = clause.frame.rule
    sense = clause.use.sense if clause.use else ""
    if when is not None:
        if kind == "deadline" or sense in ("get-up", "be-back"):
            end = end or when
        else:
            start = start or when
    words = set(phrase.words[clause.i : clause.j])
    force = s.force
    if kind == "away" and (slots.items("here") or sense == "be-back"):
        if clause.verb is not None and clause.verb.negative:
            force = Force.DONE  # "won't be aboard till one"
            start, end = (start if span or end is None else None), end if span or until else None
        elif span is None:
            start, end = None, end or when
    if kind == "sleep" and start is not None and end is None and {"up", "wake", "waking"} & words:
        start, end = None, start
    once = s.force is Force.UNDERWAY or any(w in words for w in ("tomorrow", "tonight", "today", "yesterday"))
    if kind == "away" and start is None and end is None and when is not None:
        start = when
    return Rule(
        rule=kind, force=force, words=phrase.said(clause.i, clause.j), start=start, end=end, lasting=slots.length(),
        spaces=slots.spaces(), pieces=slots.pieces() if kind == "deadline" else None,
        daily=kind in ("sleep", "quiet") and not once,
    )  # fmt: skip


def gear(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what was fitted or replaced of the gear."""
    slots = Slots(phrase, s.clause)
    items = slots.items("gear", "gearnew")
    if not items:
        return free_words(phrase, s)
    words = set(phrase.words[s.clause.i : s.clause.j])
    change = "fitted" if s.clause.use and s.clause.use.sense == "fit" and not words & {"new", "fresh"} else "replaced"
    item = items[0].value
    return GearFact(
        force=s.force,
        words=phrase.said(s.clause.i, s.clause.j),
        item=item.lemma + ("s" if item.plural else ""),
        change=change,
        when=slots.when(),
    )


def _due(phrase: Phrase, s: Sentence) -> Rule | None:
    """Give the deadline of "it all has to be finished by Saturday at three"."""
    verb, slots = s.clause.verb, Slots(phrase, s.clause)
    until = slots.bound("until")
    ends = (
        verb is not None
        and {f.lemma for f in verb.forms} & {"finish", "do", "complete", "launch"}
        and (verb.passive or "finish" in s.clause.lemma)
    )
    if not ends or until is None or slots.noun_groups("coat", "acted"):
        return None
    pieces = slots.pieces()
    named = pieces if pieces is not None and pieces.names else None
    return Rule(
        rule="deadline", force=Force.DONE, words=phrase.said(s.clause.i, s.clause.j), end=until.when, pieces=named
    )


def question(phrase: Phrase, s: Sentence) -> Meaning:
    """Build a question: its words are read by the asking side."""
    return Question(words=phrase.said(s.clause.i, s.clause.j))


_BUILDERS: Final[dict[str, Callable[[Phrase, Sentence], Meaning]]] = {
    "deed": deed,
    "spell": spell,
    "flaw": flaw,
    "tin": tin,
    "rule": rule,
    "gear": gear,
    "undo": undo,
    "other": free_words,
    "remark": remark,
    "same": told,
    "say": remark,
    "list": listing,
    "tick": ticking,
    "correction": correction,
    "fragment": remark,
}


#: Who tells of the air of the days to come.
_FORECASTERS: Final = frozenset(
    ["forecast", "weather forecast", "weather", "radio", "app", "weather app", "forecaster", "weatherman", "somebody"]
)


def _put_on_list(phrase: Phrase, s: Sentence) -> bool:
    """Whether "stick it down", "put that on the list" speaks of what was told before it, and not of gluing."""
    clause = s.clause
    if clause.verb is None or clause.frame.meaning != "deed":
        return False
    adds = any(u.sense == "add-list" for f in clause.verb.forms for u in wordlist().uses(f.lemma))
    words = phrase.words[clause.verb.i : clause.j]
    named = [p for p in clause.parts if p.item.kind is Kind.GROUP and p.item.content and p.item.j > clause.verb.i]
    listed = "list" in words or (words[-1:] == ["down"] and words[1:2] in (["it"], ["that"], ["them"]))
    plain = clause.verb.base or "VB" in clause.verb.tags
    return adds and plain and listed and words[1:2] in (["it"], ["that"], ["this"], ["them"]) and not any(
        p.item.value.names for p in named
    )  # fmt: skip


def built(phrase: Phrase, s: Sentence) -> Meaning:
    """Build the meaning of one clause."""
    if s.force is Force.ASKED:
        return question(phrase, s)
    if s.force is Force.ORDERED and (due := _due(phrase, s)) is not None:
        return due
    if _put_on_list(phrase, s):
        return Errand(text="", force=Force.ORDERED, words=phrase.said(s.clause.i, s.clause.j))
    found = _BUILDERS[s.clause.frame.meaning](phrase, s)
    if isinstance(found, Spell) and s.force is Force.REPORTED and s.reported_by not in _FORECASTERS:
        return Remark(force=Force.REPORTED, words=found.words)  # a label's "at twenty degrees" is no air here
    if isinstance(found, TinFact) and found.force is Force.ORDERED:
        return free_words(phrase, s)  # "need to buy more thinner" is an errand
    if (
        isinstance(found, Deed)
        and (found.dropped or found.put_off)
        and not found.coat
        and not found.products
        and (found.pieces is None or not (found.pieces.names or found.pieces.pronoun or found.pieces.quantifier))
    ):
        own = [p.item for p in s.clause.parts if p.item.kind is Kind.GROUP and p.item.content]
        text = phrase.said(own[0].i, own[-1].j) if own else ""
        return Errand(
            text=text, force=Force.ORDERED, dropped=found.dropped, not_before=found.not_before, words=found.words
        )
    if (
        isinstance(found, Deed)
        and found.force is Force.ORDERED
        and not (found.put_off or found.dropped)
        and (found.pieces is None or not (found.pieces.names or found.pieces.quantifier or found.pieces.pronoun))
    ):
        return free_words(phrase, s)  # "oil the hinges" is a job in free words
    return found
