"""Clauses become meanings: the slots of a frame, typed, with what was left over named.

A deed that holds a word nobody explained is held: it is not logged as it stands, and the word is asked about. What is only
beside it ("with the good brush") is left out and named back.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any, Final

from assistant.language.chunks import Cat, Measure, Phrase
from assistant.language.clauses import Clause
from assistant.language.groups import Head, NounGroup
from assistant.language.items import Item, Kind
from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Group,
    Meaning,
    Note,
    Pronoun,
    Quantifier,
    Question,
    Remark,
    Rule,
    Spell,
    TinFact,
    Undo,
)
from assistant.language.merging import merge
from assistant.language.names import Name
from assistant.language.numbers import WORDS as NUMBER_WORDS
from assistant.language.periods import Bound, Edge, Range
from assistant.language.sentences import Sentence
from assistant.language.when import When
from assistant.quantity import Amount

_NAMING: Final = (
    "pieces",
    "products",
    "coat",
    "ordinal",
    "acted",
    "fault",
    "vessel",
    "tape",
    "flaw",
    "clamps",
    "old",
    "task",
    "air",
    "wrong",
)
_BESIDE: Final = frozenset([
    Head.TOOL, Head.PLACE, Head.ABSTRACT, Head.WEATHER, Head.NOISE, Head.HOUSE, Head.FOOD, Head.BODY, Head.MATERIAL, Head.DIRT,
    Head.PERSON, Head.ANIMAL, Head.TASK, Head.GEAR, Head.HARDWARE, Head.DOCUMENT, Head.PRONOUN, Head.ABRASIVE, Head.SPACE,
    Head.TAPE, Head.OTHERS,
])  # fmt: skip


#: Words that are numbers and nothing else.
_COUNTING: Final = NUMBER_WORDS - frozenset(
    ["one", "second", "half", "quarter", "point", "oh", "couple", "third", "thirds", "first", "halves", "quarters"]
) | {"minus", "negative"}


class Slots:
    """A clause's slots, typed as they are asked for."""

    def __init__(self, phrase: Phrase, clause: Clause, parts: Sequence[Any] | None = None) -> None:
        self.phrase, self.clause = phrase, clause
        self.parts = list(clause.parts if parts is None else parts)

    def items(self, *names: str) -> list[Item]:
        """Give the items in some slots, in order."""
        return [p.item for p in self.parts if p.slot in names]

    def noun_groups(self, *names: str) -> list[NounGroup]:
        """Give the noun groups in some slots."""
        return [i.value for i in self.items(*names) if i.kind is Kind.GROUP]

    def pieces(self, *also: str) -> Group | None:
        """Give the pieces spoken of, all of them as one group; None if there is none."""
        groups = [g for g in self.noun_groups("pieces", *also) if g.head is not Head.SPACE or g.quantifier]
        named = [g for g in self.noun_groups(*_NAMING) if g.names and g not in groups]
        every = [*groups, *named]
        places = [g for g in self.noun_groups("pieces", "spaces") if g.head is Head.SPACE and not g.quantifier]
        if not every and not places:
            return None
        if any(g.names for g in every):  # "it" beside a name is the name
            every = [g for g in every if g.names or g.quantifier or g.unknown or g.part]
        names: tuple[Name, ...] = tuple(dict.fromkeys(n for g in every for n in g.names))
        spaces = tuple(dict.fromkeys(s for g in (*every, *places) for s in g.spaces))
        first = next((g for g in every if g.quantifier), None)
        pronoun = next((g.pronoun for g in every if g.pronoun), None)
        parts = [g.part for g in every if g.part]
        count = next((int(g.count) for g in every if g.count and g.head in (Head.PIECE, Head.PRONOUN)), None)
        besides = next((g.besides.group("") for g in every if g.besides), None)
        apart = self.noun_groups("besides")
        if besides is None and apart:  # "sanded them all 240 except the rail"
            besides = Group(names=tuple(n for g in apart for n in g.names), unknown=apart[0].unknown)
        unknown = next((g.unknown for g in every if g.unknown), None)
        quantifier = first.quantifier if first else None
        return Group(
            names=names, quantifier=quantifier, count=count, pronoun=None if names else pronoun, spaces=spaces,
            besides=besides, part=parts[0] if parts and parts[0] != "all round" else None, unknown=unknown,
            words=" ".join(self.phrase.said(i.i, i.j) for i in self.items("pieces")),
        )  # fmt: skip

    def products(self, *names: str) -> tuple[Name, ...]:
        """Give the products named in some slots, or in any."""
        groups = self.noun_groups(*(names or (*_NAMING, "spoiled", "with", "components")))
        return tuple(dict.fromkeys(p for g in groups for p in g.products))

    def when(self) -> When | None:
        """Give the time said, all of it; the first where two of them conflict."""
        out: When | None = None
        for item in self.items("when"):
            value = item.value.value
            if isinstance(value, When):
                out = value if out is None else merge(out, value) or out
        return out

    def bound(self, name: str) -> Bound | None:
        """Give the bound in a slot ("until seven")."""
        found = [i.value.value for i in self.items(name) if isinstance(i.value.value, Bound)]
        return found[0] if found else None

    def range(self) -> Range | None:
        """Give the range said ("from eight to nine")."""
        found = [i.value.value for i in self.items("range") if isinstance(i.value.value, Range)]
        return found[0] if found else None

    def length(self) -> timedelta | None:
        """Give the length of time said."""
        found = [i.value.value for i in self.items("took") if isinstance(i.value.value, timedelta)]
        return found[0] if found else None

    def measure(self, *names: str) -> Any:
        """Give the first measure in some slots."""
        return next((i.value for i in self.items(*names) if i.kind is Kind.MEASURE), None)

    def measures(self, *names: str) -> list[Any]:
        """Give the measures in some slots."""
        return [i.value for i in self.items(*names) if i.kind is Kind.MEASURE]

    def ordinal(self) -> int | None:
        """Give the number of the coat."""
        groups = self.noun_groups("coat", "ordinal", "products", "pieces", "acted")
        return next((g.ordinal for g in groups if g.ordinal is not None), self.measure("ordinal"))

    def grits(self) -> tuple[int, ...]:
        """Give the grits said."""
        measured = [int(v) for v in self.measures("grit") if isinstance(v, int | float)]
        return tuple(dict.fromkeys([*measured, *(g.grit for g in self.noun_groups("grit", "tool", "acted") if g.grit)]))

    def tool(self) -> str | None:
        """Give the tool said."""
        return next((g.lemma for g in self.noun_groups("tool") if g.lemma), None)

    def spaces(self) -> tuple[Name, ...]:
        """Give the spaces said."""
        return tuple(dict.fromkeys(s for g in self.noun_groups("spaces", "pieces", "air") for s in g.spaces))


# -- what was left over -------------------------------------------------------------------------


def leftovers(phrase: Phrase, clause: Clause, *, strict: bool = False) -> tuple[tuple[str, ...], str | None]:
    """Give the words that are only beside the meaning, and the first that it cannot stand without, if any."""
    beside: list[str] = []
    held: str | None = None
    for part in clause.parts:
        item = part.item
        if part.slot is not None:
            continue
        said = phrase.said(item.i, item.j)
        if any(
            phrase.kinds[k] in ("number", "ordinal", "ratio", "clock") or phrase.words[k] in _COUNTING
            for k in range(item.i, item.j)
        ):
            held = held or said  # a number is never let go
        elif item.kind is Kind.GROUP:
            head = item.value.head
            if head in (Head.SELF,) or not item.content:
                continue
            if strict and head in (Head.PLACE, Head.HOUSE, Head.UNKNOWN, Head.PIECE, Head.SPACE):
                held = held or said
            elif head in _BESIDE or (item.prep and item.prep not in ("of", "on", "onto", "over", "to", "in", "not")):
                beside.append(said)
            else:
                held = held or said
        elif item.kind is Kind.STATE:
            beside.append(said)
        elif item.kind is Kind.FUNCTION:
            if item.kinds[-1] in ("negator", "question", "modal"):
                held = held or said
        elif item.kind is Kind.ADVERB:
            if item.kinds[0] in ("almost", "negative"):
                beside.append(said)
        elif item.kind is Kind.WORD:
            if item.content and item.loose >= 1.0:
                held = held or said
            elif item.content:
                beside.append(said)
        elif item.kind in (Kind.MEASURE, Kind.TIME, Kind.VERB):
            held = held or said
    return tuple(b for b in beside if b), held


# -- deeds --------------------------------------------------------------------------------------


def _to_bare(clause: Clause) -> bool:
    """Whether work went down to what is under every coat: "to bare steel"."""
    return any(p.item.kind is Kind.GROUP and p.item.prep == "to" and ("bare" in p.item.value.states or p.item.value.lemma.startswith("bare ")) for p in clause.parts)


def deed(phrase: Phrase, s: Sentence) -> Meaning:
    """Build work on pieces."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    frame = clause.frame
    if "put_off" in frame.flags and any(g.value == "deadline" for g in slots.noun_groups("task")):
        return _deadline(phrase, s, slots)
    act = _act(clause, slots)
    told = slots.pieces()
    if (
        act is Act.THIN
        and s.force is Force.DONE
        and not slots.items("products", "coat", "amount")
        and told
        and told.pronoun
        and not told.names
    ):
        return Correction(
            words=phrase.said(clause.i, clause.j), right=Deed(act=Act.OTHER, thinned=_thinned(slots))
        )  # "it was thinned ten percent"
    if act is Act.THIN and slots.items("coat") and any(g.ordinal or g.products for g in slots.noun_groups("coat")):
        act = Act.COAT  # "second coat of varnish on the rail thinned five percent"
    if act is Act.SAND and any(g.value == "clean" for g in slots.noun_groups("tool")):
        act = Act.CLEAN  # "went over it with a tack rag"
    if act is Act.SAND and not slots.grits() and _to_bare(clause):
        act = Act.STRIP  # "took it right back to bare wood"
    beside, held = leftovers(phrase, clause)
    words = phrase.said(clause.i, clause.j)
    coats = slots.noun_groups("coat", "ordinal", "products", "pieces")
    count = next((int(g.count) for g in coats if g.head in (Head.COAT,) and g.count), None)
    when, until, span, since = slots.when(), slots.bound("until"), slots.range(), slots.bound("since")
    began = (
        span.start
        if span
        else next((i.value.value for i in slots.items("began") if isinstance(i.value.value, When)), None)
    )
    if when is None and since is not None and s.force is Force.DONE:
        when = since.when  # "in undercoat as of quarter past two"
    if span and when is None:
        when = span.end if isinstance(span.end, When) else None
    pieces = slots.pieces(*(("flaw",) if act is Act.FILL else ()))
    if act is Act.COAT and clause.use and clause.use.sense == "retouch" and pieces and pieces.part is None:
        pieces = replace(pieces, part="patch")
    if act is Act.FILL and pieces is None and slots.items("flaw"):
        pieces = Group(pronoun=Pronoun.IT, words="")
    if act in (Act.FIT, Act.UNFIT, Act.BOND) and pieces is None and slots.items("other"):
        return _other(phrase, s)
    thinned = _thinned(slots)
    if clause.frame.name == "coat" and thinned is None and any(i.kinds[0] == "state.neat" for i in slots.items("neat")):
        thinned = Amount(0.0, "percent")
    products = slots.products() if act is not Act.STRIP else slots.products("products")
    if act is Act.SAND:
        products = ()
    parts = _components(phrase, slots) if act is Act.MIX else ()
    amount = slots.measure("amount")
    if isinstance(amount, int | float):
        amount = Amount(float(amount), "ml")
    force = s.force
    if held and force is Force.DONE and act is Act.OTHER:
        held = None
    return Deed(
        act=act, verb=clause.lemma, force=force, words=words, unused=beside, held=held if force is Force.DONE else None,
        doubt=_doubt(phrase, clause), pieces=pieces, products=products, kind=clause.use.kind or None if clause.use else None,
        coat=slots.ordinal(), final=any(g.sequence == "last" for g in coats if g.head in (Head.COAT, Head.ORDINAL)), count=count,
        another=any(g.another or (g.sequence == "next" and g.head in (Head.COAT, Head.ORDINAL)) for g in coats), grit=slots.grits(),
        tool=slots.tool(), thinned=thinned, amount=amount if isinstance(amount, Amount) and not parts else None, ratio=slots.measure("ratio"),
        parts=parts, when=when, began=began, took=slots.length(),
        due=until.when if until and until.edge in (Edge.BY, Edge.BEFORE, Edge.UNTIL) and "put_off" not in frame.flags else None,
        not_before=until.when if until and "put_off" in frame.flags else since.when if since and force is not Force.DONE else None,
        put_off="put_off" in frame.flags, dropped="dropped" in frame.flags, gapped=s.gapped,
    )  # fmt: skip


def _deadline(phrase: Phrase, s: Sentence, slots: Slots) -> Meaning:
    until = slots.bound("until")
    return Rule(
        rule="deadline",
        force=s.force,
        words=phrase.said(s.clause.i, s.clause.j),
        end=until.when if until else slots.when(),
        pieces=None,
    )


#: No cabin is hotter in degrees Celsius: where the United States' units are used it was Fahrenheit.
_HOTTEST: Final = 42
_ACTED: Final = {a.value: a for a in Act}


def _act(clause: Clause, slots: Slots) -> Act:
    if clause.frame.act:
        return _ACTED[clause.frame.act]
    for group in slots.noun_groups("acted", "task"):
        if group.head is Head.ACT and group.value in _ACTED:
            return _ACTED[group.value]
    if slots.items("coat", "ordinal", "products"):
        return Act.COAT
    return Act.OTHER


def _thinned(slots: Slots) -> Amount | None:
    value = slots.measure("thinned")
    if isinstance(value, Amount):
        return value
    if isinstance(value, int | float):
        return Amount(float(value), "percent")
    return None


def _components(phrase: Phrase, slots: Slots) -> tuple[tuple[str, Amount], ...]:
    """Pair the amounts with the components they stand beside: "sixty resin, thirty hardener"."""
    rows = [p.item for p in slots.parts if p.slot in ("components", "amount")]
    out: list[tuple[str, Amount]] = []
    unit = next((i.value.unit for i in rows if isinstance(i.value, Amount)), "ml")
    for a, b in zip(rows, rows[1:], strict=False):
        if a.kind is Kind.MEASURE and b.kind is Kind.GROUP and b.value.component:
            value = a.value if isinstance(a.value, Amount) else Amount(float(a.value), unit)
            out.append((b.value.component, value))
    return tuple(out)


def _doubt(phrase: Phrase, clause: Clause) -> float:
    """Give how far the words of a clause had to be supposed."""
    said = (k for k in range(clause.i, clause.j) if k < len(phrase) and not any(phrase.of(k, Cat.FUNCTION)))
    return round(max((phrase.doubts[k] for k in said), default=0.0), 2)


# -- the rest -----------------------------------------------------------------------------------


def spell(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what was said of the air."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    beside, held = leftovers(phrase, clause, strict=True)
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
        force=force, words=phrase.said(clause.i, clause.j), unused=beside, held=held if force is Force.DONE else None,
        doubt=_doubt(phrase, clause), spaces=slots.spaces(), besides=besides,
        everywhere=bool(words & {"everywhere", "throughout"}) or bool(slots.items("everywhere")) or any(g.quantifier is Quantifier.REST for g in groups),
        temperature=None if surface else temperature, surface=surface, humidity=humidity, outside="outside" in air,
        heating=heating, when=when, until=end, lasting=slots.length(), there=bool(words & {"there", "here"}) and not slots.spaces(),
    )  # fmt: skip


def _after_humidity(slots: Slots) -> float | None:
    """Give the bare number that follows a word for humidity: "rh 55"."""
    for a, b in zip(slots.parts, slots.parts[1:], strict=False):
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
    beside, held = leftovers(phrase, clause)
    kind = next((g.value for g in slots.noun_groups("fault") if g.value), "")
    if not kind and clause.use is not None and clause.use.sense.startswith("flaw."):
        kind = clause.use.sense.removeprefix("flaw.").replace("-", " ")
    if not kind and slots.items("dirt"):
        kind = "dust"
    return Flaw(
        force=s.force, words=phrase.said(clause.i, clause.j), unused=beside, held=None, doubt=_doubt(phrase, clause),
        fault=kind or "other", pieces=slots.pieces(), products=slots.products(), coat=slots.ordinal(), when=slots.when(),
        mended="mended" in clause.frame.flags, text=phrase.said(clause.i, clause.j),
    )  # fmt: skip


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
    unknown = next((g.unknown for g in slots.noun_groups("unknown", "products") if g.unknown), None)
    products = slots.products("products", "vessel", "newtin", "empty", "unknown")
    if slots.items("took"):  # "bought three hours of undercoat"
        held = held or phrase.said(slots.items("took")[0].i, slots.items("took")[0].j)
    if not products and slots.items("other") and not unknown:
        return _other(phrase, s)
    return TinFact(
        force=s.force, words=phrase.said(clause.i, clause.j), unused=beside, held=held if s.force is Force.DONE else None,
        doubt=_doubt(phrase, clause), change=clause.frame.change, products=products, unknown=unknown,
        amount=amount if isinstance(amount, Amount) else None,
        share=next((g.share for g in vessels if g.share), None),
        count=next((int(g.count) for g in vessels if g.count), None), pieces=_pieces_named(slots), when=slots.when(),
    )  # fmt: skip


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
        return _other(phrase, s)
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


def undo(phrase: Phrase, s: Sentence) -> Meaning:
    """Build taking back: the last entry, or the one described."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    pieces = slots.pieces()
    described = (pieces and (pieces.names or pieces.unknown)) or slots.items(
        "coat", "ordinal", "products", "acted", "spaces", "air", "fault", "vessel"
    )
    last = any(g.sequence == "last" for g in slots.noun_groups("last", "coat", "pieces", "ordinal"))
    count = next((int(g.count) for g in slots.noun_groups("pieces", "last", "task", "ordinal") if g.count), 1)
    beside, held = leftovers(phrase, clause)
    words = phrase.said(clause.i, clause.j)
    target: Any = None
    if described and not (last and not (pieces and pieces.names)):
        if slots.items("air", "spaces") and not slots.items("coat", "acted"):
            target = Spell(spaces=slots.spaces(), words=words)
        elif slots.items("fault"):
            target = Flaw(
                fault=next((g.value for g in slots.noun_groups("fault") if g.value), "other"),
                pieces=pieces,
                words=words,
            )
        elif slots.items("vessel"):
            target = TinFact(change="bought", products=slots.products(), words=words)
        else:
            target = Deed(
                act=_act(clause, slots) if slots.items("acted", "coat", "ordinal", "products") else Act.OTHER,
                pieces=pieces,
                products=slots.products(),
                coat=slots.ordinal(),
                when=slots.when(),
                words=words,
            )
    return Undo(force=s.force, words=words, unused=beside, held=held, count=count, target=target)


def _other(phrase: Phrase, s: Sentence) -> Meaning:
    """Build work that has no event of its own: done it is a line of the day, meant it is an errand."""
    clause, slots = s.clause, Slots(phrase, s.clause)
    words = phrase.said(clause.i, clause.j)
    if s.force is Force.ORDERED and not _worth_doing(clause):
        return Remark(words=words, force=s.force)
    if s.force in (Force.MEANT, Force.ORDERED):
        start = clause.verb.main if clause.verb is not None and clause.verb.main >= 0 else clause.i
        until = slots.bound("until")
        return Errand(
            text=phrase.said(start, clause.j), force=s.force, words=words, pieces=_named(phrase, clause),
            due=until.when if until else None, ring=slots.when() if "remind" in phrase.words else None,
            not_before=slots.when() if "remind" not in phrase.words else None,
        )  # fmt: skip
    if s.force in (Force.DONE, Force.UNDERWAY) and _of_the_job(clause, done=True):
        return Note(text=words, words=words, when=slots.when())
    return Remark(words=words, force=s.force)


def _worth_doing(clause: Clause) -> bool:
    """Whether a plain order is a job of this boat: it is wanted, or it speaks of a thing of the job, a tool, a fitting."""
    if clause.verb is not None and (clause.verb.operators or not clause.verb.base):
        return True
    return _of_the_job(clause)


def _of_the_job(clause: Clause, *, done: bool = False) -> bool:
    job = (
        Head.PRODUCT,
        Head.TOOL,
        Head.GEAR,
        Head.MATERIAL,
        Head.VESSEL,
        Head.THINNER,
        Head.TAPE,
        Head.ABRASIVE,
        Head.TASK,
    )
    groups = [p.item.value for p in clause.parts if p.item.kind is Kind.GROUP]
    fitted = any(g.head is Head.HARDWARE and (g.determiner != "the" or done) for g in groups)
    return fitted or any(g.names or g.products or g.spaces or g.head in job for g in groups)


def _named(phrase: Phrase, clause: Clause) -> Group | None:
    """Give the pieces named anywhere in a clause of a free frame."""
    names = tuple(n for p in clause.parts if p.item.kind is Kind.GROUP for n in p.item.value.names)
    return Group(names=names) if names else None


def remark(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is no work: a comment, and where it speaks of the job a line of the day."""
    words = phrase.said(s.clause.i, s.clause.j)
    about = [p.item.value for p in s.clause.parts if p.item.kind is Kind.GROUP]
    job = any(g.names or g.products for g in about)
    if job and s.force in (Force.DONE, Force.UNDERWAY) and s.clause.verb is not None:
        return Note(text=words, words=words)
    return Remark(words=words, force=s.force if s.force is not Force.DONE else Force.REMARKED)


def told(phrase: Phrase, s: Sentence) -> Meaning:
    """Build "the hinges on the door are done": an entry of the list ticked off, or a line of the day."""
    words = phrase.said(s.clause.i, s.clause.j)
    return Note(text=words, words=words) if s.force is Force.DONE else remark(phrase, s)


def correction(phrase: Phrase, s: Sentence) -> Meaning:
    """Build a correction: what stands before the verb says which entry, what stands after it what it should be."""
    clause = s.clause
    verb = clause.verb
    left = [p for p in clause.parts if p.left and p.slot != "wrong"]
    if not any(not p.left and p.slot not in ("wrong", None) for p in clause.parts) and any(
        p.item.kind is Kind.GROUP and p.item.value.names for p in left
    ):
        return _correction(phrase, s, [], left, [p for p in clause.parts if p.slot == "wrong"])
    wrong = [p for p in clause.parts if p.slot == "wrong"]
    right = [p for p in clause.parts if not p.left and p.slot != "wrong"]
    if verb is None:
        left, right = [], [p for p in clause.parts if p.slot != "wrong"]
    return _correction(phrase, s, left, right, wrong)


def _correction(phrase: Phrase, s: Sentence, left: list[Any], right: list[Any], wrong: list[Any]) -> Correction:
    beside, held = leftovers(phrase, s.clause)
    fixed = Slots(phrase, s.clause, right)
    numbers = tuple(float(v) for v in fixed.measures("number") if isinstance(v, int | float))
    bare = [p for p in right if p.slot == "when" and p.item.doubt >= 0.25]
    for p in bare:  # "no, three twenty" may be a grit as well as a time: the entry decides
        read = [
            c.value[1] for c in phrase.of(p.item.i, Cat.MEASURE) if c.j == p.item.j and c.value[0] is Measure.NUMBER
        ]
        if read:
            numbers = (*numbers, float(read[0]))
            right = [q for q in right if q is not p]
    temperature = fixed.measure("temperature")
    fault = next((g.value or "other" for g in fixed.noun_groups("fault")), None)
    return Correction(
        force=Force.DENIED if s.force is Force.DENIED and not wrong else Force.DONE,
        words=phrase.said(s.clause.i, s.clause.j), unused=beside, held=held, target=_described(phrase, s.clause, left), right=_described(phrase, s.clause, right),
        wrong=_described(phrase, s.clause, [p._replace(slot=_slot_of(p.item)) for p in wrong]), numbers=numbers,
        humidity=_percent(fixed), spaces=fixed.spaces() if not fixed.items("pieces") else (), temperature=temperature if isinstance(temperature, Amount) else None,
        fault=fault,
    )  # fmt: skip


def _percent(slots: Slots) -> Amount | None:
    said = _thinned(slots)
    return said if said is not None and slots.items("thinned") else None


def _slot_of(item: Item) -> str | None:
    known = {
        "piece": "pieces",
        "product": "products",
        "coat": "coat",
        "ordinal": "ordinal",
        "time": "when",
        "grit": "grit",
        "amount": "amount",
        "percent": "thinned",
    }
    return next((known[k] for k in item.kinds if k in known), None)


def _described(phrase: Phrase, clause: Clause, parts: list[Any]) -> Deed | None:
    slots = Slots(phrase, clause, parts)
    pieces = slots.pieces()
    if pieces is not None and pieces.pronoun is Pronoun.IT and not pieces.names and not pieces.quantifier:
        pieces = None
    thinned, amount = _thinned(slots), slots.measure("amount")
    when = slots.when()
    coats = slots.noun_groups("coat", "ordinal")
    found = Deed(
        act=_act(clause, slots) if slots.items("coat", "ordinal", "acted", "products") else Act.OTHER, pieces=pieces,
        products=slots.products(), coat=slots.ordinal(), grit=slots.grits(), when=when, thinned=thinned,
        amount=amount if isinstance(amount, Amount) else None, ratio=slots.measure("ratio"),
        final=any(g.sequence == "last" for g in coats), words=" ".join(phrase.said(p.item.i, p.item.j) for p in parts),
    )  # fmt: skip
    empty = Deed(act=found.act, words=found.words)
    return None if found == empty and found.act is Act.OTHER else found


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


def listing(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is put on the list by itself: "add fit the catch to the list", "add a job"."""
    slots = Slots(phrase, s.clause)
    own = [p.item for p in s.clause.parts if p.slot == "anything" and p.item.content]
    own = [i for i in own if i.kind is Kind.GROUP and i.kinds[0] not in ("document", "task.list", "task")]
    if not own:  # it speaks of what was told before, or of what follows
        return Errand(text="", force=Force.ORDERED, words=phrase.said(s.clause.i, s.clause.j))
    return Errand(text=phrase.said(own[0].i, own[-1].j), force=Force.ORDERED, words=phrase.said(s.clause.i, s.clause.j))


def ticking(phrase: Phrase, s: Sentence) -> Meaning:
    """Build what is ticked off the list."""
    own = [p.item for p in s.clause.parts if p.slot in ("anything", "pieces") and p.item.content]
    text = phrase.said(own[0].i, own[-1].j) if own else ""
    return Errand(text=text, force=Force.DONE, words=phrase.said(s.clause.i, s.clause.j))


_BUILDERS: Final[dict[str, Callable[[Phrase, Sentence], Meaning]]] = {
    "deed": deed, "spell": spell, "flaw": flaw, "tin": tin, "rule": rule, "gear": gear, "undo": undo, "other": _other,
    "remark": remark, "same": told, "say": remark, "list": listing, "tick": ticking, "correction": correction, "fragment": remark,
}  # fmt: skip


#: Who tells of the air of the days to come.
_FORECASTERS: Final = frozenset(["forecast", "weather forecast", "weather", "radio", "app", "weather app", "forecaster", "weatherman", "somebody"])


def built(phrase: Phrase, s: Sentence) -> Meaning:
    """Build the meaning of one clause."""
    if s.force is Force.ASKED:
        return question(phrase, s)
    if s.force is Force.ORDERED and (due := _due(phrase, s)) is not None:
        return due
    found = _BUILDERS[s.clause.frame.meaning](phrase, s)
    if isinstance(found, Spell) and s.force is Force.REPORTED and s.reported_by not in _FORECASTERS:
        return Remark(force=Force.REPORTED, words=found.words)  # a label's "at twenty degrees" is no air here
    if isinstance(found, TinFact) and found.force is Force.ORDERED:
        return _other(phrase, s)  # "need to buy more thinner" is an errand
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
        return _other(phrase, s)  # "oil the hinges" is a job in free words
    return found
