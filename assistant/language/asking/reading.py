"""A phrase as a question: property from the table, shape from its form, slots from its groups and measures."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Final

from assistant.language.asking import shape as shapes
from assistant.language.asking import supposed as supposing
from assistant.language.asking.asks import choice, general_, orders, tells, verbless
from assistant.language.asking.cues import Cues, cues_of
from assistant.language.asking.filling import before_bed, groups_of, joined, measured, times_of
from assistant.language.asking.forms import formed
from assistant.language.asking.fragments import follow_now, fragment, loose_fragment
from assistant.language.asking.likely import LEAST, likeliest
from assistant.language.asking.lists import listed
from assistant.language.asking.said import Asked, Supposed
from assistant.language.asking.slots import Slots, slots_of
from assistant.language.asking.table import Fit, Row, fits
from assistant.language.chunks import Phrase
from assistant.language.items import itemised
from assistant.language.meanings import Act, Group, Quantifier
from assistant.language.noungroup import Head
from assistant.language.query import Detail, Property, Shape, Unknown
from assistant.quantity import Amount

#: A row that fits worse than this, or leaves more words than these, is no reading.
_LEAST: Final = 0.55
_MOST_UNUSED: Final = 3
_ASKS: Final = (
    "ask.when",
    "ask.which-what",
    "ask.why",
    "ask.where",
    "ask.whether",
    "ask.how-much",
    "ask.how-many",
    "ask.how-long",
    "ask.how-far",
    "ask.how-soon",
    "ask.how-late",
    "ask.how-do",
    "ask.how",
)
_ORDERS: Final = listed("reading_orders")
#: A phrase of so few words that opens with a joining word goes on with the question before it.
_SHORT: Final = 7
_WONDERS: Final = frozenset(["reckon", "wonder", "wondering", "think", "suppose", "guess"])
_LEADS: Final = frozenset(["and", "or", "but", "so", "then"])


def ask(phrase: Phrase, *, last: bool) -> Asked | None:
    """Read a phrase as a question, or as what changes the last one if ``last``; None where it asks nothing known."""
    if not any(kind != "mark" for kind in phrase.kinds):
        return None
    cues, slots, span, guess = _analysed(phrase)
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
    asks = spoken.has(*_ASKS, "mood.if") or "?" in phrase.text or phrase.words[0] in _ORDERS or choice(phrase, cues)
    asks = asks or (phrase.words[0] in _WONDERS and cues.has("mood.can", "mood.should", "mood.will", "mood.if"))
    if orders(phrase, cues):
        return None
    if follow_now(phrase):
        return Asked(fragment=True, times=(timedelta(),), lemmas=cues.lemmas)
    whole = best is not None and best.row.what is Property.DIARY and phrase.words[0] in _ORDERS  # "read me today"
    if last and not whole and not (tells(phrase) and not asks and not span):
        follow = fragment(phrase, cues, slots, best, guess)
        if follow is not None:
            return follow
    if best is None and asks:
        best = _likeliest(spoken)
    if best is None:
        return _unknown(cues, outer, found) if asks else None
    if not asks and not verbless(phrase, best, cues):
        return None
    built = _built(phrase, spoken, cues, outer, best, guess)
    joins = last and (phrase.words[0] in _LEADS or phrase.words[0] == "with")
    bare = not cues.has(
        "has.piece", "has.product", "has.space", "has.component", "has.amount", "has.all", "tense.past-act"
    )
    return replace(built, fragment=True) if joins and bare and len(phrase) <= _SHORT else built


def _analysed(phrase: Phrase) -> tuple[Cues, Slots, tuple[int, int] | None, Supposed | None]:
    """Give the cues and slots of a phrase, where its if-clause stands and what that supposes."""
    items = itemised(phrase)
    cues = cues_of(phrase)
    slots = slots_of(phrase, items, cues)
    formed(phrase, items, slots, cues)
    span = supposing.clause_of(phrase, cues)
    return cues, slots, span, supposing.supposed(phrase, cues, slots, span) if span else None


def _likeliest(cues: Cues) -> Fit | None:
    """Give the property that a question no row fits is likeliest to be after, as a row of the table."""
    found = likeliest(cues)
    if found is None or found[2] < LEAST or found[0] in (Property.KNOW, Property.AID):
        return None
    row = Row(found[0], (), frozenset(), frozenset(), 0.0, found[1], None, None, None, -1)
    return Fit(row, _LEAST, frozenset(), ())


def follow(phrase: Phrase) -> Asked | None:
    """Read a phrase as a change of the last question however it is worded; None where it names nothing to change."""
    cues, slots, _, guess = _analysed(phrase)
    return loose_fragment(phrase, cues, slots, guess)


def lemmas_of(phrase: Phrase) -> frozenset[str]:
    """Give the plain forms of all words of a phrase, whatever it is: what dangers are looked for in."""
    return cues_of(phrase).lemmas


def _only_if(phrase: Phrase, span: tuple[int, int], cues: Cues) -> bool:
    """Whether all that is asked stands in the if-clause: "what if I skip the sanding"."""
    return cues.has("mood.what-if") and span[1] >= len(phrase)


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
    passing = supposing.in_passing(phrase, slots, what)
    asked = Asked(
        what=what, shape=shape, unknown=unknown, stage=row.stage, act=row.act, past=past,
        negated=shapes.negated(phrase, spoken, what), suppose=joined(guess, passing), times=times_of(slots),
        lemmas=cues.lemmas, unused=tuple(phrase.words[i] for i in best.unused), doubt=0.25 * len(best.unused),
        bedtime=before_bed(phrase),
        general=general_(phrase, cues),
    )  # fmt: skip
    asked = _things(phrase, slots, asked)
    if what is Property.WHATIF and not any(g.names for g in asked.groups) and not _of_a_piece(asked.suppose):
        asked = replace(asked, groups=())
    asked = measured(phrase, slots, asked)
    asked = _of_entry(phrase, spoken, slots, asked) if what is Property.ENTRY else asked
    if what is Property.GEAR:
        asked = replace(asked, item=next((t.group.lemma.split()[-1] for t in slots.of(Head.GEAR)), None))
    if what is Property.POT and unknown is Unknown.AMOUNT:
        spans = [f.value for f, _, _ in slots.times if isinstance(f.value, timedelta)]
        asked = replace(asked, goal=Amount(spans[0].total_seconds() / 60, "min") if spans else None, times=())
    if what is Property.DUST:
        noisy = bool(cues.words("noun.tool.machine")) and "sander" in " ".join(phrase.words)
        asked = replace(asked, noisy=True if noisy else None)
    return asked


def _of_a_piece(said: Supposed | None) -> bool:
    """Whether what is supposed is of one piece, so that "it" may be one."""
    return said is not None and (
        said.skipped is not None or said.coats is not None or said.coats_in_all is not None or said.fault is not None
    )


def _things(phrase: Phrase, slots: Slots, asked: Asked) -> Asked:
    groups = groups_of(slots, asked.what)
    which = {
        min(t.span)
        for t in slots.things
        if phrase.at(min(t.span) - 1) in ("which", "what") and t.group.head in (Head.PIECE, Head.SPACE)
    }
    if which:  # "which door is dry", "which cabin is dampest": of all that are called so
        groups = tuple(replace(g, names=tuple(n._replace(plural=True) for n in g.names)) for g in groups)
    if any(phrase.at(max(t.span) + 1) == "all" for t in slots.of(Head.PRONOUN)):  # "will it all be dry"
        groups = tuple(replace(g, quantifier=Quantifier.ALL) for g in groups)
    spaces = tuple(n for t in slots.of(Head.SPACE) if min(t.span) not in which for n in t.group.spaces)
    products = tuple(n for n, prep, _ in slots.products() if prep not in ("instead of", "in place of"))
    if len(products) == 2 and slots.products()[-1][1] in ("under", "underneath", "beneath"):
        products = products[::-1]  # "primer under epoxy" is epoxy over primer
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
    besides = tuple(
        t.group.besides.group("") for t in slots.things if t.group.besides is not None and not t.group.names
    )
    return replace(
        asked, groups=groups, spaces=spaces, products=products, count=count, ordinal=ordinal, besides=besides
    )


def _of_entry(phrase: Phrase, cues: Cues, slots: Slots, asked: Asked) -> Asked:
    act, since = shapes.acts_of(phrase, cues)
    detail = shapes.detail_of(phrase, cues)
    joint = next((i for i, w in enumerate(phrase.words) if w in ("before", "after")), len(phrase))
    later = [n for n, _, at in slots.products() if at > joint]
    if later and since is None:  # "wiped down before the undercoat": the coat is the other end, not what was wiped
        since = Act.COAT
    asked = replace(asked, products=tuple(n for n in asked.products if n not in later))
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
        shape = Shape.WHAT
        ordinal = asked.ordinal if since is not None else None
        asked = replace(asked, ordinal=ordinal)
    if shape is Shape.WHAT and "last" in words:
        shape = Shape.LAST
    return replace(asked, act=act, since=since, detail=detail, shape=shape)
