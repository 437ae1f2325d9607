"""How well the parts of a clause fit together, and what it costs where they do not."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.clause import Choice, Part
from assistant.language.frames import Frame
from assistant.language.items import Item, Kind
from assistant.language.measures import GRITS
from assistant.language.when import When
from assistant.language.wordlist import VerbUse, wordlist

#: Of two slots of one name these make a contradiction.
_SINGLE: Final = ("coat", "ordinal", "temperature", "degrees", "humidity", "ratio", "thinned")


#: What a frame costs by itself: one that takes anything is the last resort.
PRICES: Final = {
    "done": 0.1,
    "list": 0.1,
    "fragment": 0.45,
    "remark": 0.7,
    "other": 0.3,
    "say": 0.2,
    "correct": 0.25,
    "undo": 0.1,
    "tin-left": 0.1,
}


#: Senses that mean what they mean only with such an object.
WANTING: Final = {
    "undo": frozenset(
        ["pieces", "coat", "ordinal", "acted", "last", "products", "spaces", "task", "fault", "vessel", "air"]
    ),
    "correct": frozenset(["pieces", "coat", "ordinal", "when", "grit", "number", "amount", "thinned", "products"]),
    "open": frozenset(["products", "vessel", "unknown"]),
    "start": frozenset(["coat", "products", "pieces"]),
    "use": frozenset(["products", "vessel", "amount"]),
    "drop": frozenset(["temperature", "degrees"]),
    "read": frozenset(["temperature", "degrees", "humidity"]),
    "rise": frozenset(["temperature", "degrees"]),
    "hold": frozenset(["temperature", "degrees"]),
    "heat-on": frozenset(["heating"]),
    "heat-off": frozenset(["heating"]),
    "heat-up": frozenset(["heating"]),
    "heat-down": frozenset(["heating"]),
    "return": frozenset(["products", "vessel"]),
    "spoil": frozenset(["products", "vessel"]),
    "go-off": frozenset(["products", "vessel"]),
    "skin": frozenset(["products", "vessel"]),
    "harden": frozenset(["products", "vessel"]),
    "set": frozenset(["products", "vessel"]),
    "finish-tin": frozenset(["products", "vessel"]),
    "buy": frozenset(["products", "vessel", "other", "unknown"]),
    "arrive": frozenset(["products", "vessel", "other"]),
    "close": frozenset(["spaces"]),
    "postpone": frozenset(["until", "when", "task", "acted", "coat"]),
    "mend": frozenset(["fault"]),
}


#: What an object must be for a verb's use, and the slots that show it.
_OBJECTS: Final = {
    "piece": frozenset(["pieces"]),
    "product": frozenset(["products", "components"]),
    "coat": frozenset(["coat", "ordinal"]),
    "tin": frozenset(["vessel", "products", "unknown"]),
    "tape": frozenset(["tape"]),
    "clamp": frozenset(["clamps"]),
    "filler": frozenset(["products"]),
    "mix": frozenset(["amount", "products", "acted", "components"]),
    "heating": frozenset(["heating"]),
    "air": frozenset(["temperature", "degrees", "humidity", "air"]),
    "list": frozenset(["task"]),
    "task": frozenset(["task", "acted"]),
    "entry": frozenset(["coat", "ordinal", "pieces", "acted", "last"]),
    "fault": frozenset(["fault", "flaw"]),
    "gear": frozenset(["gear", "other"]),
    "plan": frozenset(["task", "acted"]),
    "time": frozenset(["when", "until", "range", "took"]),
    "tool": frozenset(["tool", "grit"]),
}


#: Work that is always done to a piece.
ON_PIECES: Final = frozenset(["coat", "sand", "strip", "clean", "mask", "unmask", "bond", "fit", "fill"])


#: Senses that are only ever an order to the assistant.
ONLY_ORDERED: Final = frozenset(["undo"])


#: Senses that name what they are about: "scrap it" takes back, "scrap the shelf" changes the plan.
NAMING_WHAT: Final = frozenset(["give-up", "postpone", "unclamp", "unfit", "add-list"])


def taken_up(parts: tuple[Part, ...]) -> bool:
    """Whether a thing named first is taken up again by a pronoun before the verb."""
    left = [p for p in parts if p.left and p.item.kind is Kind.GROUP]
    named = any(p.item.value.names or p.item.value.products or p.item.value.ordinal for p in left[:-1])
    return named and left[-1].item.kinds[0].startswith("pronoun.it")


def over_another(parts: tuple[Part, ...]) -> bool:
    """Whether a product is told of as over another, or off a piece, which tells of no coat laid: "epoxy on varnish"."""
    products = [p.item for p in parts if p.slot == "products"]
    off = any(p.slot == "pieces" and p.item.prep in ("off", "from", "off of") for p in parts)
    return off or (len(products) > 1 and any(i.prep in ("on", "over", "onto", "on top of", "of") for i in products[1:]))


def went_on(parts: tuple[Part, ...], have: set[str]) -> bool:
    """Whether what "went" went onto something: "primer's gone on", "undercoat went on the door"."""
    return "particle" in have or any(p.slot == "pieces" and p.item.prep in ("on", "onto", "over", "to") for p in parts)


def off_or_aboard(parts: tuple[Part, ...]) -> bool:
    """Whether somebody is off, or at the boat: a bare place is only where something is."""
    return any(
        p.slot == "off"
        or (p.slot == "here" and p.item.kind is not Kind.FUNCTION and (p.item.prep or p.item.value.lemma in _ABOARD))
        for p in parts
    )


_ABOARD: Final = frozenset(["aboard", "home", "here", "ashore", "on board", "in", "back", "out"])


def ordered_by_noun(parts: tuple[Part, ...]) -> bool:
    """Whether a bare noun stands right before a thing with its article, as a verb's plain form would."""
    if len(parts) < 2 or parts[0].slot != "fault" or parts[1].slot != "pieces":
        return False
    item = parts[1].item
    return not item.prep and item.kind is Kind.GROUP and item.value.determiner == "the"


def object_taken(use: VerbUse, parts: tuple[Part, ...]) -> bool:
    """Whether the object of a verb is what this use of it takes."""
    return any(
        p.slot in _OBJECTS.get(kind, frozenset([kind]))
        and (not p.item.prep or kind in ("tool", "time") or (p.item.prep == "of" and kind == "tin"))
        for kind in use.takes
        for p in parts
    )


def _virtual(parts: tuple[Part, ...], choice: Choice, phrase: Phrase) -> set[str]:
    """Give what else the words of a light clause show: a particle at its end ("primer's on"), a new tin."""
    out: set[str] = set()
    for p in parts:
        item = p.item
        if item.kind is Kind.FUNCTION and item.kinds[0] in ("preposition.on", "preposition.down", "preposition.up"):
            out.add("particle")
        if item.kind is Kind.FUNCTION and item.kinds[0] in ("preposition.off", "preposition.out"):
            out |= {"off", "switched"}
        if item.kind is Kind.FUNCTION and item.kinds[0] in ("preposition.on", "preposition.up", "preposition.down"):
            out.add("switched")
        if item.kind is Kind.GROUP and item.prep in ("off", "from"):
            out.add("off")
        if item.kinds[0] in ("state.done", "state.finished", "state.ready"):
            out.add("particle")
        if item.kind is Kind.GROUP and item.value.lemma == "last":
            out.add("last")
        if item.kinds[0] in ("state.new", "state.fresh"):
            out.add("brought")
    if choice.lemma == "do":
        out.add("finished")
    said = set(phrase.words[parts[0].item.i : parts[-1].item.j]) if parts else set()
    if said & {"new", "fresh", "another"}:
        out |= {"newtin", "gearnew"} if choice.light in ("none", "start", "have", "get", "put") else set()
    if choice.light in ("get",) or (said & {"in", "here", "delivered", "arrived"}):
        out.add("brought")
    return out


_VALUES: Final = frozenset(
    [
        "when",
        "pieces",
        "products",
        "coat",
        "ordinal",
        "grit",
        "number",
        "amount",
        "thinned",
        "temperature",
        "spaces",
        "fault",
        "ratio",
        "acted",
    ]
)


def puts_right(choice: Choice, parts: tuple[Part, ...]) -> bool:
    """Whether a clause with "was", "should have been" or "make" says what an entry should be.

    On its left stands the entry, or "it"; on its right a value, or what it was not.
    """
    verb = choice.verb
    right = {p.slot for p in parts if not p.left}
    if choice.light == "make":
        return bool(right & _VALUES) and any(p.item.kinds[0] == "pronoun.it" for p in parts)
    if verb is None or not (right & _VALUES | (right & {"wrong"})):
        return False
    wished = verb.force.value == "wished"
    if not (verb.past or wished):
        return False
    left = [p for p in parts if p.left and p.item.kind is Kind.GROUP]
    fronted = not right & _VALUES and described_piece(left)
    if fronted:
        return True
    timed = right & _VALUES <= {"when", "number", "grit", "amount", "ratio"} and verb.main < 0 and not verb.passive
    if timed and any(p.item.value.names or p.item.value.ordinal for p in left):
        return True  # "the upper cabinet was more like ten to ten"
    pronoun = not left or all(p.item.kinds[0].startswith(("pronoun", "self")) for p in left)
    described = any(
        p.item.value.head.value in ("coat", "act", "ordinal", "product") or p.item.value.names for p in left
    )
    return pronoun or (("wrong" in right or wished) and described)


def described_piece(left: list[Part]) -> bool:
    """Whether a named thing and a pronoun stand before the verb: "board that were, not the front"."""
    named = any(p.item.value.names or p.item.value.ordinal for p in left)
    return named and any(p.item.kinds[0].startswith("pronoun") for p in left)


def only_time(parts: tuple[Part, ...]) -> bool:
    """Whether parts say nothing but a time, of "it"."""
    said = {p.slot for p in parts if p.slot}
    return (
        "when" in said
        and said <= {"when", "pieces"}
        and all(p.item.kinds[0].startswith("pronoun") for p in parts if p.slot == "pieces")
    )


def contradictions(parts: tuple[Part, ...]) -> float:
    """Give what slots cost that are filled twice with different things."""
    cost = 0.0
    for name in _SINGLE:
        items = [p.item for p in parts if p.slot == name]
        cost += 0.8 * max(0, len({str(x.value) for x in items}) - 1)
    cost += 1.0 * max(0, sum(p.slot in ("temperature", "degrees") for p in parts) - 1)
    order = [p.slot for p in parts if p.slot in ("grit", "pieces")]
    if order.count("grit") > 1 and order not in (
        ["grit"] * order.count("grit") + ["pieces"] * order.count("pieces"),
        ["pieces"] * order.count("pieces") + ["grit"] * order.count("grit"),
    ):
        cost += 1.0  # each grit has a piece of its own
    times = [
        p.item.value.value
        for p in parts
        if p.slot == "when" and p.item.kind is Kind.TIME and isinstance(p.item.value.value, When)
    ]
    cost += 0.5 * _unlike(parts)
    read = [p.slot for p in parts if p.slot in ("spaces", "degrees", "temperature")]
    if read[:1] == ["spaces"] and read[-1:] == ["spaces"] and len(set(read)) > 1:
        cost += 0.8  # "saloon seventeen, heads": the second place has a figure of its own
    counted = {
        p.item.value.ordinal
        for p in parts
        if p.slot in ("coat", "ordinal") and p.item.kind is Kind.GROUP and p.item.value.ordinal
    }
    cost += 0.8 * max(0, len(counted) - 1)
    cost += 0.8 * max(0, sum(t.clock is not None for t in times) - 1)  # two clock times are two things done
    for a, b in pairwise(times):
        from assistant.language.merging import merge

        if merge(a, b) is None:
            cost += 0.8
    return cost


def _unlike(parts: tuple[Part, ...]) -> int:
    """Count the places where "and" joins things of two kinds: "with the red pad and fourth coat"."""
    found = 0
    for before, joint, after in zip(parts, parts[1:], parts[2:], strict=False):
        if joint.item.kind is not Kind.FUNCTION or joint.item.kinds[-1] != "conjunction":
            continue
        found += bool(after.slot in ("coat", "ordinal", "acted") and before.slot and before.slot != after.slot)
    named = joined = False
    for p in parts:
        if p.item.kind is Kind.FUNCTION and p.item.kinds[-1] == "conjunction":
            joined = named
        elif p.slot == "pieces" and p.item.kind is Kind.GROUP:
            if joined and p.item.kinds[0] == "pronoun.it":
                return found + 1  # "second coat on the door, but there is a run in it"
            named = named or bool(p.item.value.names)
    return found


@cache
def excepting() -> frozenset[str]:
    """Give the prepositions that leave out what follows them."""
    return wordlist().function_words("preposition", "except")


ANYTHING_TAKEN: Final = {"other": True, "remark": True, "list": True, "tick": True, "say": True}


def price_of(
    item: Item, frame: Frame, bys: tuple[str, ...], *, first: bool, causative: bool
) -> tuple[str | None, float]:
    """Give the slot that an item fills in a frame, None if it fills none, and what it costs there."""
    if item.kind is Kind.FUNCTION and item.kinds[-1] == "subordinator":
        return ("subordinator", 0.02) if first else (None, item.loose)
    if item.kind is Kind.FUNCTION and item.kinds[-1] == "conjunction" and first:
        return None, min(item.loose, 0.02)
    if ANYTHING_TAKEN.get(frame.name) and item.kind not in (Kind.GROUP, Kind.TIME, Kind.MEASURE, Kind.STATE):
        return None, item.loose + item.doubt * 0.3
    if (
        (item.prep in excepting() or (item.prep == "not" and (frame.act or frame.name == "fragment")))
        and item.kind is Kind.GROUP
        and item.value.of_pieces
        and "pieces" in frame.roles.values()
    ):
        return "besides", 0.05 + item.doubt
    for by in (item.prep,) if item.prep else bys:
        slot = frame.slot(by, item.kinds)
        if slot == "grit" and item.kinds[0] == "number" and item.value not in GRITS:
            slot = None
        if slot is not None:
            price = 0.02 + item.doubt
            if item.kind is Kind.TIME and item.doubt >= 0.5 and not item.prep:
                price += 0.6  # a bare figure is seldom a time
            if slot == "anything":  # a frame that takes whatever there is explains nothing by it
                price += (0.3 if frame.name == "remark" else 0.15) if item.content else 0.05
            if (
                item.kind is Kind.TIME
                and item.doubt >= 0.25
                and frame.act == "sand"
                and getattr(item.value.value, "clock", None)
            ):
                price += 0.4  # "three twenty" beside sanding is a grit
            return slot, price
    if item.kind is Kind.VERB and causative and any(f.lemma in ("get", "have") for f in item.value.value):
        return "causative", 0.05
    return None, item.loose + item.doubt * 0.3


def fits_light(choice: Choice, frame: Frame, parts: tuple[Part, ...], filled: set[str], phrase: Phrase) -> bool:
    """Whether a clause with a verb of little meaning ("be", "have", none) has what its frame needs to be meant."""
    have = set(filled)
    have |= _virtual(parts, choice, phrase)
    if frame.name not in ("fragment", "remark") and frame.needs and not any(n <= have for n in frame.needs):
        return False
    if frame.name not in ("fragment", "remark") and not frame.needs:
        return False
    if frame.name == "air" and choice.verb is None and filled <= {"degrees", "itself", "when", "until"}:
        return False  # a bare number beside "it" is no reading
    if frame.name == "away" and "gone" not in filled and not off_or_aboard(parts):
        return False
    if frame.name == "coat" and choice.light == "go" and not went_on(parts, have):
        return False
    if frame.name == "correct" and not puts_right(choice, parts):
        return False
    return not (frame.name == "fragment" and choice.light == "be" and not only_time(parts))
