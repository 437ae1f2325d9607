"""A phrase as a question: its property from the table, its shape from its form, its slots from its groups and measures."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any, Final

from assistant.language.asking import shape as shapes
from assistant.language.asking import supposed as supposing
from assistant.language.asking.cues import Cues, cues_of
from assistant.language.asking.forms import UNITS, formed
from assistant.language.asking.fragments import fragment, follow_now
from assistant.language.asking.said import Asked, Supposed, Timed
from assistant.language.asking.slots import Slots, Thing, slots_of
from assistant.language.asking.table import Fit, fits
from assistant.language.chunks import BARE, Cat, Phrase
from assistant.language.groups import Head
from assistant.language.items import itemised
from assistant.language.meanings import Act, Group, Quantifier
from assistant.language.predicates import BE, HAVE
from assistant.language.query import Detail, Measure, Property, Shape, Unknown
from assistant.quantity import Amount

#: A row that fits worse than this, or leaves more words than these, is no reading.
_LEAST: Final = 0.55
_MOST_UNUSED: Final = 3
_ASKS: Final = ("ask.when", "ask.which-what", "ask.why", "ask.where", "ask.whether", "ask.how-much", "ask.how-many", "ask.how-long",
                "ask.how-far", "ask.how-soon", "ask.how-late", "ask.how-do", "ask.how")  # fmt: skip
_ORDERS: Final = frozenset(["give", "tell", "show", "read", "list", "any", "anything", "ok", "okay", "convert", "explain"])
_WONDERS: Final = frozenset(["reckon", "wonder", "wondering", "think", "suppose", "guess"])
_LEADS: Final = frozenset(["and", "or", "but", "so", "then"])
#: Properties whose subject is pieces; of the others "it" stands for nothing.
_OF_PIECES: Final = frozenset({
    Property.READY, Property.WINDOW, Property.TAPE, Property.STATUS, Property.LEFT, Property.ENTRY, Property.COATS, Property.COVER,
    Property.COMPAT, Property.FINISH, Property.GRIT, Property.WHATIF, Property.NEXT, Property.DIARY,
})  # fmt: skip
_OF_ALL: Final = frozenset({Property.FINISH, Property.STATUS, Property.STOCK, Property.BUY, Property.NEXT, Property.LEFT, Property.DIARY})


def ask(phrase: Phrase, *, last: bool) -> Asked | None:
    """Read a phrase as a question, or as what changes the last one if ``last``; None where it asks nothing known."""
    if not any(kind != "mark" for kind in phrase.kinds):
        return None
    items = itemised(phrase)
    cues = cues_of(phrase)
    slots = slots_of(phrase, items, cues)
    formed(phrase, items, slots, cues)
    span = supposing.clause_of(phrase, cues)
    guess = supposing.supposed(phrase, cues, slots, span) if span else None
    if span and guess and not cues.has("mood.if"):
        cues.put("mood.if", span[0])
    outer, spoken = (slots.outside(*span), _without(cues, span)) if span and guess else (slots, cues)
    inside = frozenset(range(*span)) if span and guess else frozenset()
    found = fits(phrase, spoken, slots.used | inside)
    best = found[0] if found and found[0].score >= _LEAST and len(found[0].unused) <= _MOST_UNUSED else None
    if span and guess and (best is None or _only_if(phrase, span, cues)):
        best = next((f for f in fits(phrase, cues, slots.used | inside) if f.row.what is Property.WHATIF), best)
        if best is not None and best.row.what is Property.WHATIF:
            outer = slots
    if best is not None and best.row.what is Property.WHATIF and guess is None:
        guess = supposing.supposed(phrase, cues, slots, (0, len(phrase)))
    asks = spoken.has(*_ASKS, "mood.if") or "?" in phrase.text or phrase.words[0] in _ORDERS or _choice(phrase, cues)
    asks = asks or (phrase.words[0] in _WONDERS and cues.has("mood.can", "mood.should", "mood.will", "mood.if"))
    if follow_now(phrase):
        return Asked(fragment=True, times=(timedelta(),), lemmas=cues.lemmas)
    if last and not (tells(phrase, cues) and not asks and not span):
        follow = fragment(phrase, cues, slots, best, guess)
        if follow is not None:
            return follow
    if orders(phrase, cues):
        return None
    if best is None:
        return _unknown(cues, outer, found) if asks else None
    if not asks and not _verbless(phrase, best, cues):
        return None
    return _built(phrase, spoken, cues, outer, best, guess)


def _choice(phrase: Phrase, cues: Cues) -> bool:
    """Whether one of two tools is to be chosen: "brush or roller for the gloss"."""
    return "or" in phrase.words and cues.has("noun.tool", "noun.abrasive") and not cues.has("tense.past")


def _general(phrase: Phrase, cues: Cues) -> bool:
    """Whether the trade is asked rather than this job: "how do I", "what causes", "why does varnish wrinkle", "brush or roller"."""
    if cues.has("has.amount", "has.percent", "has.ratio"):
        return False
    of_faults = cues.has("ask.why", "ask.which-what") and cues.has("noun.fault", "is.bloomed", "is.damaged", "word.cause", "word.difference")
    return cues.has("ask.how-do") or _choice(phrase, cues) or of_faults or (cues.has("ask.why") and cues.has("has.product"))


def lemmas_of(phrase: Phrase) -> frozenset[str]:
    """Give the plain forms of all words of a phrase, whatever it is: what dangers are looked for in."""
    return cues_of(phrase).lemmas


def _only_if(phrase: Phrase, span: tuple[int, int], cues: Cues) -> bool:
    """Whether all that is asked stands in the if-clause: "what if I skip the sanding"."""
    return cues.has("mood.what-if") and span[1] >= len(phrase)


def _verbless(phrase: Phrase, best: Fit, cues: Cues) -> bool:
    """Whether a phrase without the form of a question asks all the same: "hardener for 45 mil resin", "dew point fore cabin"."""
    if tells(phrase, cues):
        return False
    if "when" in phrase.words:
        return True
    what = best.row.what
    if what is Property.MIX:
        return cues.has("has.component") or (cues.has("word.want", "word.need") and cues.has("has.amount"))
    if what is Property.THIN:
        return cues.has("of.thinner", "noun.thinner") and cues.has("has.amount") and not cues.has("has.piece", "noun.coat")
    if what in (Property.CONVERT, Property.DEW, Property.DIARY):
        return True
    if what is Property.COVER:
        return cues.has("word.quantity", "word.amount") and cues.has("has.piece", "has.area")
    return what is Property.STATUS and not cues.has("has.time", "has.product")


_FINITE: Final = frozenset(["VBD", "VBN", "JJ"])
_HELPS: Final = frozenset([*BE, *HAVE, "get", "gets", "getting", "got", "to", "be"])


def tells(phrase: Phrase, cues: Cues) -> bool:
    """Whether a phrase tells of work or of how things are: a past form with no auxiliary before its subject, or "it is ..."."""
    for i, word in enumerate(phrase.words):
        tags = frozenset(t for c in phrase.of(i, Cat.VERB) for f in c.value for t in f.tags)
        past = bool(tags & {"VBD", "VBN"}) and ("VB" not in tags or phrase.at(i - 1) in ("i", "we"))
        if past and phrase.at(i - 1) not in ("the", "a") and not _HELPS & set(phrase.words[max(0, i - 7) : i]):
            if word not in ("mixed", "thinned", "left") or i == 0 or phrase.at(i - 1) in ("i", "we"):
                return True
        if word in BE and word not in ("be", "been", "being") and i and phrase.at(i - 1) not in ("what", "how", "when", "where", "which", "why", "who", "and", "so"):
            return True
        if word in ("'m", "'ve", "i'm"):
            return True
    return False


def orders(phrase: Phrase, cues: Cues) -> bool:
    """Whether something is to be put down: "could you log that I ...", "don't let me forget to ..."."""
    names = ("do.add-list", "do.remind", "do.remember", "do.forget")
    verbs = [i for i in cues.words(*names) if i in cues.verbs or i == 0]
    to_do = any(phrase.words[i] in ("log", "note", "add", "record", "remind", "remember", "forget", "put", "jot", "write") for i in verbs)
    asked_of_me = "you" in phrase.words or verbs[:1] == [0] or "let" in phrase.words or "must" in phrase.words
    return to_do and asked_of_me and not cues.has("ask.when", "ask.which-what", "ask.how", "ask.why")


def _without(cues: Cues, span: tuple[int, int]) -> Cues:
    """Give the cues that stand outside the if-clause, and those of mood."""
    inside = frozenset(range(*span))
    out = Cues(lemmas=cues.lemmas, verbs=cues.verbs)
    for name, spans in cues.spans.items():
        kept = [s for s in spans if not s or not s <= inside or name.startswith("mood.")]
        if kept:
            out.spans[name] = kept
    return out


def _unknown(cues: Cues, slots: Slots, found: list[Fit]) -> Asked:
    """Give a question of the trade: a card may know, and if none does the nearest are offered."""
    products = tuple(n for n, _, _ in slots.products())
    doubt = 1.0 if not found else 0.8
    return Asked(Property.KNOW, products=products, lemmas=cues.lemmas, doubt=doubt)


def _built(phrase: Phrase, spoken: Cues, cues: Cues, slots: Slots, best: Fit, guess: Supposed | None) -> Asked:
    row, what = best.row, best.row.what
    degrees, slots = supposing.at_degrees(phrase, cues, slots, what)
    guess = joined(guess, degrees)
    shape, unknown = shapes.shape_of(phrase, spoken, what)
    if row.shape is not None:
        shape, unknown = row.shape, row.unknown
    past = spoken.has("tense.past")
    passing = supposing.in_passing(phrase, spoken, slots, what)
    asked = Asked(
        what=what, shape=shape, unknown=unknown, stage=row.stage, act=row.act, past=past,
        negated=shapes.negated(phrase, spoken, what), suppose=joined(guess, passing), times=times_of(slots),
        lemmas=cues.lemmas, unused=tuple(phrase.words[i] for i in best.unused), doubt=0.25 * len(best.unused),
        general=_general(phrase, cues),
    )  # fmt: skip
    asked = _things(phrase, slots, asked)
    if what is Property.WHATIF and not any(g.names for g in asked.groups) and not _of_a_piece(asked.suppose):
        asked = replace(asked, groups=())
    asked = measured(phrase, slots, asked)
    asked = _of_entry(phrase, spoken, slots, asked) if what is Property.ENTRY else asked
    if what is Property.GEAR:
        asked = replace(asked, item=next((t.group.lemma.split()[-1] for t in slots.of(Head.GEAR)), None))
    if what is Property.POT and unknown is Unknown.AMOUNT:
        spans = [f.value for f, _, _ in slots.times if f.tag == "duration"]
        asked = replace(asked, goal=Amount(spans[0].total_seconds() / 60, "min") if spans else None, times=())
    if what is Property.DUST:
        noisy = bool(cues.words("noun.tool.machine")) and "sander" in " ".join(phrase.words)
        asked = replace(asked, noisy=True if noisy else None)
    return asked


def _of_a_piece(said: Supposed | None) -> bool:
    """Whether what is supposed is of one piece, so that "it" may be one."""
    return said is not None and (said.skipped is not None or said.coats is not None or said.coats_in_all is not None or said.fault is not None)


def joined(one: Supposed | None, other: Supposed | None) -> Supposed | None:
    """Put two conditions together; what the if-clause says goes first."""
    if one is None or other is None:
        return one or other
    blank = Supposed()
    more = {
        name: getattr(other, name) for name in Supposed.__slots__
        if getattr(one, name) == getattr(blank, name) and getattr(other, name) != getattr(blank, name)
    }  # fmt: skip
    return replace(one, **more)


def times_of(slots: Slots) -> tuple[Timed, ...]:
    """Give the times said, as they were said."""
    return tuple(f.value for f, _, _ in slots.times)


def groups_of(slots: Slots, what: Property | None) -> tuple[Group, ...]:
    """Give the pieces spoken of: named ones, else what "it" or "all of them" stands for where pieces are asked about."""
    named = [t for t in slots.of(Head.PIECE) if t.group.names or (t.group.spaces and t.group.quantifier)]
    if named:
        return tuple(_group(t) for t in named)
    if what is not None and what not in _OF_PIECES or what is Property.FINISH:
        return ()
    pronouns = [t for t in slots.of(Head.PRONOUN) if t.group.pronoun is not None or t.group.quantifier is not None]
    if what in _OF_ALL or what is None:
        pronouns = [t for t in pronouns if t.group.quantifier is None or t.group.spaces or what is None]
    return tuple(_group(t) for t in pronouns[:1])


def _group(thing: Thing) -> Group:
    return thing.group.group("")


def _things(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    groups = groups_of(slots, asked.what)
    which = {min(t.span) for t in slots.things if phrase.at(min(t.span) - 1) in ("which", "what") and t.group.head in (Head.PIECE, Head.SPACE)}
    if which:  # "which door is dry", "which cabin is dampest": of all that are called so
        groups = tuple(replace(g, names=tuple(n._replace(plural=True) for n in g.names)) for g in groups)
    if any(phrase.at(max(t.span) + 1) == "all" for t in slots.of(Head.PRONOUN)):  # "will it all be dry"
        groups = tuple(replace(g, quantifier=Quantifier.ALL) for g in groups)
    spaces = tuple(n for t in slots.of(Head.SPACE) if min(t.span) not in which for n in t.group.spaces)
    products = tuple(n for n, prep, _ in slots.products() if prep not in ("instead of", "in place of"))
    coats = slots.of(Head.COAT)
    count = next((int(t.group.count) for t in coats if t.group.count), None)
    ordinal = next((t.group.ordinal for t in coats if t.group.ordinal), None)
    twice = slots.measure("count")
    if count is None and coats == [] and isinstance(twice, int | float):
        count = int(twice)
    if asked.what is Property.LEFT:
        count = None
    unknown = [t.group.unknown for t in slots.of(Head.UNKNOWN) if t.group.unknown and t.prep in ("on", "of", "for", "")]
    if not groups and unknown and asked.what in (Property.READY, Property.TAPE, Property.WINDOW) and not spaces:
        groups = (Group(unknown=unknown[0], words=unknown[0]),)
    besides = tuple(t.group.besides.group("") for t in slots.things if t.group.besides is not None and not t.group.names)
    return replace(asked, groups=groups, spaces=spaces, products=products, count=count, ordinal=ordinal, besides=besides)


def measured(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give the amounts, percents, areas and parts that were said, by their role."""
    what = asked.what
    amount = slots.measure("amount") or next((t.group.amount for t in slots.things if t.group.amount), None)
    if amount is None and what in (Property.THIN, Property.MIX, Property.COVER, Property.STOCK):
        of_part = {min(t.span) for t in slots.things if t.group.component and t.prep == "of"}
        numbers = [(v, max(s) + 1) for kind in ("number", "grit") for v, _, s in slots.all(kind)]
        bare = [v for v, end in numbers if phrase.at(end) == "of" and (v >= BARE or end in of_part)]
        amount = Amount(float(bare[0]), "ml") if bare else None
    grit = slots.measure("grit") if what in (Property.READY, Property.GRIT, Property.ENTRY, None) else None
    asked = replace(asked, amount=amount, percent=slots.measure("percent"), area=slots.measure("area"), grit=grit)
    if what in (Property.DEW, Property.HUMIDITY, Property.COLD):
        asked = replace(asked, percent=None)
    if what is Property.THIN and asked.percent is None:
        asked = _share(slots, asked)
    if what is Property.CONVERT:
        asked = _to_convert(phrase, slots, asked)
    if what is Property.MIX or what is None:
        asked = _parts(phrase, slots, asked)
    return replace(asked, by_weight=_weighed(phrase, slots, asked))


def _share(slots: Slots, asked: Asked) -> Asked:
    """Take "20 ml of thinner in 300 ml of gloss" as the percent that it is."""
    amounts = slots.all("amount")
    thinner = [t for t in slots.things if t.group.head is Head.THINNER or any("thinner" in o for n in t.group.products for o in n.options)]
    if len(amounts) != 2 or not thinner or amounts[0][0].unit != amounts[1][0].unit:
        return asked
    mine = [a for a in amounts if max(a[2]) < min(thinner[0].span) <= max(a[2]) + 2]
    if not mine:
        return asked
    other = next(a for a in amounts if a is not mine[0])
    return replace(asked, amount=other[0], percent=Amount(round(100 * mine[0][0].value / other[0].value, 2), "percent"))


def _weighed(phrase: Phrase, slots: Slots, asked: Asked) -> bool | None:
    words = set(phrase.words)
    if "volume" in words:
        return False
    if "weight" in words or words & {"weighing", "weigh"}:
        return True
    grams = any(w in ("grams", "gram", "g") and i not in slots.used for i, w in enumerate(phrase.words))
    return True if grams and asked.what is Property.MIX else None


def _to_convert(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give what is converted in the units it was said in, so that pint does the sum and not the reader."""
    said: Amount | None = asked.amount or slots.measure("temperature") or asked.area
    unit = unit_of(phrase, slots)
    value: Measure | None = Measure(said.value, said.unit) if said is not None else None
    return replace(asked, measure=value, unit=unit, amount=None)


def unit_of(phrase: Phrase, slots: Slots) -> str | None:
    """Give the unit that something is wanted in: one with no number of its own."""
    for i, word in enumerate(phrase.words):
        if word in UNITS and i not in slots.used:
            fluid = phrase.at(i - 1) in ("fluid", "fl")
            return "fluid_ounce" if fluid else UNITS[word]
    return None


def _parts(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    """Give the part that the amount is of, and the one asked for: "how much hardener for 60 ml of resin"."""
    parts = [(t.group.component, min(t.span), max(t.span)) for t in slots.things if t.group.component]
    amounts = [s for _, _, s in slots.all("amount")]
    given: Any = None
    rest = []
    for name, start, end in parts:
        near = [s for s in amounts if _beside(phrase, slots, max(s), start) and not any(max(s) < e < start for _, e, _ in parts)]
        if near and given is None:
            given = name
        else:
            rest.append((name, end))
    names = list(dict.fromkeys(n for n, _ in rest if n != given))
    wanted = names[0] if len(names) == 1 else None
    if given is None and wanted is not None and asked.amount is not None and len(parts) == 1 and asked.what is not None:
        before = any(max(s) < parts[0][1] for s in amounts)
        if before and asked.shape is None:
            wanted = None
    return replace(asked, part=given, wanted=wanted)


def _beside(phrase: Phrase, slots: Slots, end: int, start: int) -> bool:
    """Whether an amount that ends at ``end`` is of what starts at ``start``: only "of" and the product stand between."""
    return end < start and all(k in slots.used or phrase.words[k] in ("of", "the", "mixed") for k in range(end + 1, start)) and start - end < 7


def _of_entry(phrase: Phrase, cues: Cues, slots: Slots, asked: Asked) -> Asked:
    act, since = shapes.acts_of(phrase, cues)
    detail = shapes.detail_of(phrase, cues)
    if detail is Detail.GRIT and act is None:
        act = Act.SAND
    words = set(phrase.words)
    shape = asked.shape
    if shape is Shape.WHEN or shape is Shape.LAST or (shape is Shape.WHAT and detail is not None):
        first = "first" in words and asked.ordinal is None
        shape = Shape.FIRST if first else Shape.LAST
    if detail is not None and detail.value in ("temperature", "humidity"):
        shape = Shape.LAST
    if detail is not None and detail.value == "interval":
        shape, act = Shape.WHAT, act
        ordinal = asked.ordinal if since is not None else None
        asked = replace(asked, ordinal=ordinal)
    if shape is Shape.WHAT and "last" in words:
        shape = Shape.LAST
    return replace(asked, act=act, since=since, detail=detail, shape=shape)
