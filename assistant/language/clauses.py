"""One clause: the best way to read some words of a phrase as one predicate with what belongs to it.

Every verb group in the stretch is tried as the predicate, in each of its senses, and none at all. A frame says which
slots its noun groups, times and measures fill by the preposition before them and the side they stand on; the cheapest
path over the items is taken. What no slot takes is held against the reading, so a deed with an unexplained
word costs more than one that explains it, and the caller can see what was left.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Final, NamedTuple

from assistant.language.chunks import Cat, Phrase
from assistant.language.frames import Frame, by_light, by_sense, frames
from assistant.language.items import Item, Items, Kind
from assistant.language.measures import GRITS
from assistant.language.predicates import VerbGroup
from assistant.language.questions import asks, requested
from assistant.language.when import When
from assistant.language.wordlist import VerbUse, english, wordlist


class Part(NamedTuple):
    """An item as a clause took it; ``slot`` is None where no role took it."""

    item: Item
    slot: str | None
    left: bool  # it stands before the predicate


@dataclass(frozen=True, slots=True)
class Clause:
    """Words ``i`` up to ``j`` read as one frame."""

    i: int
    j: int
    frame: Frame
    verb: VerbGroup | None
    use: VerbUse | None
    lemma: str
    parts: tuple[Part, ...]
    cost: float
    subordinator: str = ""
    conjunction: str = ""
    gapped: bool = False
    light: str = ""

    def slots(self, name: str) -> list[Item]:
        """Give the items that fill a slot, in order."""
        return [p.item for p in self.parts if p.slot == name]

    def has(self, *names: str) -> bool:
        """Whether any of some slots is filled."""
        return any(p.slot in names for p in self.parts)

    @property
    def unused(self) -> list[Item]:
        """Give the content that no slot took."""
        return [p.item for p in self.parts if p.slot is None and p.item.content]


#: Frames that take whatever there is, but no word that would turn them round.
ANYTHING_TAKEN: Final = {"other": True, "remark": True, "list": True, "tick": True, "say": True}
#: A predicate that is only light: the lemma of the verb says which light one it is.
LIGHTS: Final = {
    "give": "give", "put": "put", "get": "get", "do": "do", "lay": "lay", "take": "take", "go": "go", "come": "come",
    "make": "make", "keep": "keep", "leave": "leave", "find": "find", "look": "look", "have": "have", "need": "need", "want": "need",
    "manage": "do", "finish": "do", "complete": "do", "knock": "do", "start": "start", "log": "log", "record": "log", "enter": "log", "jot": "log", "notice": "find", "see": "find", "spot": "find", "bring": "get", "stick": "put", "slap": "put", "show": "have",
}  # fmt: skip
_SUBORDINATORS: Final = frozenset(["subordinator"])
#: Of two slots of one name these make a contradiction.
_SINGLE: Final = ("coat", "ordinal", "temperature", "degrees", "humidity", "ratio", "thinned")


class Choice(NamedTuple):
    """A predicate to try: the verb group, the use of its verb, and the words taken as its particles."""

    verb: VerbGroup | None
    use: VerbUse | None
    lemma: str
    light: str
    particles: frozenset[int]
    price: float


class Parser:
    """The clauses of one phrase, each stretch read once."""

    def __init__(self, phrase: Phrase, items: Items) -> None:
        self.phrase, self.items = phrase, items
        self._read: dict[tuple[int, int], list[Clause]] = {}
        soft = [
            phrase.kinds[k] == "mark"
            or phrase.function(k, "conjunction", "interjection", "discourse", "politeness") is not None
            for k in range(len(phrase))
        ]
        self._hard = [0, *accumulate(not s for s in soft)]  # so many words of weight stand before each place

    def read(self, i: int, j: int) -> list[Clause]:
        """Give the readings of words ``i`` up to ``j`` as one clause, the cheapest first."""
        if (i, j) not in self._read:
            found = [
                c for choice in self._choices(i, j) for f in self._frames(choice) if (c := self._cover(i, j, choice, f))
            ]
            if asks(self.phrase, i, j, last=False) and not requested(self.phrase, i, j):
                cost = 0.01 * (j - i) - 0.3  # words that ask in form do nothing else
                found.append(Clause(i, j, frames()["question"], None, None, "", (), cost))
            found.sort(key=lambda c: c.cost)
            self._read[(i, j)] = found[:6]
        return self._read[(i, j)]

    # -- predicates ---------------------------------------------------------------------------

    def _choices(self, i: int, j: int) -> Iterator[Choice]:
        yield Choice(None, None, "", "none", frozenset(), 0.0)
        for at in range(i, j):
            for verb in self.items.verbs[at]:
                if verb.j > j or (verb.main >= 0 and self._in_name(verb.main)):
                    continue
                if verb.base and not verb.participle and not self._orders(i, j, verb):
                    continue
                if verb.main < 0:
                    yield Choice(verb, None, "be", "be", frozenset(), 0.0)
                    continue
                yield from self._uses(verb, j)

    def _in_name(self, k: int) -> bool:
        """Whether word ``k`` is part of a longer name of the job: "trim" of "hatch trim" is no verb."""
        return any(
            c.cat is Cat.NAME and c.doubt < 0.2 and c.i <= k < c.j and c.j > c.i + 1
            for n in range(max(0, k - 4), k + 1) for c in self.phrase.chunks[n]
        )  # fmt: skip

    def _orders(self, i: int, j: int, verb: VerbGroup) -> bool:
        """Whether a plain form can be the predicate here: an order begins its clause, unless a subject stands before it."""
        if verb.j == j and any(u.sense == "undo" for f in verb.forms for u in wordlist().uses(f.lemma)):
            return self._led(i, verb.i)
        if self._led(i, verb.i):
            return not self._also_noun(verb) or self._object_follows(verb)
        before = self.phrase.at(verb.i - 1)
        return before in _PERSONS

    def _also_noun(self, verb: VerbGroup) -> bool:
        noun = "n" in (english(self.phrase.words[verb.main]) or "")
        return noun or any(
            c.cat in (Cat.NAME, Cat.NOUN, Cat.DESCRIBING) and c.j == verb.j for c in self.phrase.chunks[verb.main]
        )

    def _object_follows(self, verb: VerbGroup) -> bool:
        """Whether a thing follows with its article, or a pronoun: "varnish the door" orders, "varnish on the door" tells."""
        particles = {u.particles for f in verb.forms for u in wordlist().uses(f.lemma)}
        ends = {verb.j + len(p) for p in particles if tuple(self.phrase.words[verb.j : verb.j + len(p)]) == p}
        return any(
            self.phrase.at(k) in _DETERMINERS
            or any(
                c.cat is Cat.NAME and c.value.kind == "piece"
                for c in (self.phrase.chunks[k] if k < len(self.phrase) else ())
            )
            for k in ends
        )

    def _uses(self, verb: VerbGroup, j: int) -> Iterator[Choice]:
        for form in verb.forms:
            light = LIGHTS.get(form.lemma, "")
            if form.lemma == "have" and verb.copula == "have":
                yield Choice(verb, None, "have", "have", frozenset(), verb.doubt)
                continue
            if form.lemma == "get" and verb.finite and verb.present and not verb.operators:
                yield Choice(verb, None, "have", "have", frozenset(), verb.doubt)  # "I've got 80 grams" has them
                yield Choice(verb, None, form.lemma, "get", frozenset(), verb.doubt + 0.1)
                continue
            if light:
                yield Choice(verb, None, form.lemma, light, frozenset(), verb.doubt)
            for use in wordlist().uses(form.lemma):
                taken = self._particles(verb, use, j)
                if taken is not None:
                    lemma = " ".join((form.lemma, *use.particles))
                    price = verb.doubt - 0.12 * len(use.particles) + self._parted(verb, use, taken)
                    yield Choice(verb, use, lemma, "", taken, price)

    def _particles(self, verb: VerbGroup, use: VerbUse, j: int) -> frozenset[int] | None:
        """Give where a use's particles stand: right after the verb, or the last of them after its object."""
        if not use.particles:
            return frozenset()
        words, k = self.phrase.words, verb.j
        near = tuple(words[k : k + len(use.particles)])
        if near == use.particles:
            return frozenset(range(k, k + len(use.particles)))
        if len(use.particles) == 1:
            for at in range(k + 1, min(j, k + 9)):
                if any(
                    x.kind is Kind.TIME and x.i < at < x.j and x.doubt < 0.3
                    for n in range(max(0, at - 4), at)
                    for x in self.items.items[n]
                ):
                    continue  # "half an hour back"
                if words[at] == use.particles[0]:
                    return frozenset([at])
                if words[at] in (",", ";", "and", "then"):
                    return None
        return None

    def _parted(self, verb: VerbGroup, use: VerbUse, taken: frozenset[int]) -> float:
        """Give what it costs to take a word as a particle that something follows as after a preposition: "on it"."""
        if not taken or use.particles[0] not in _PREPOSITIONS:
            return 0.0
        after = max(taken) + 1
        near = min(taken) == verb.j
        if after >= len(self.phrase) or self.phrase.function(after, "preposition", "conjunction"):
            return 0.0
        if near:  # what follows may be a preposition's: no bonus for taking it from there
            return 0.12 if any(x.kind is Kind.GROUP for x in self.items.items[after]) else 0.0
        return 0.6 if any(x.kind is Kind.GROUP and x.kinds[0] not in ("self", "number") for x in self.items.items[after]) else 0.0

    def _frames(self, choice: Choice) -> tuple[Frame, ...]:
        if choice.use is not None:
            found = by_sense().get(choice.use.sense, ())
            return found or (frames()["remark"],)
        light = by_light().get("none" if choice.light == "log" else choice.light, ())
        return (*light, frames()["fragment"]) if choice.light == "none" else (*light, frames()["remark"])

    # -- the path -----------------------------------------------------------------------------

    def _cover(self, i: int, j: int, choice: Choice, frame: Frame) -> Clause | None:
        """Explain the words from ``i`` to ``j`` by the items of ``frame`` at the least cost (a shortest path)."""
        verb = choice.verb
        left_by, right_by = _sides(verb, choice)
        count = j - i
        best = [0.0] + [1e9] * count
        step: list[tuple[int, Part | None] | None] = [None] * (count + 1)
        for k in range(count):
            here, at = best[k], i + k
            if here >= 1e9:
                continue
            if verb is not None and at == verb.i:
                if here < best[verb.j - i]:
                    best[verb.j - i], step[verb.j - i] = here, (k, None)
                continue
            if at in choice.particles:
                if here < best[k + 1]:
                    best[k + 1], step[k + 1] = here, (k, None)
                continue
            left = verb is not None and at < verb.i
            for item in self.items.items[at]:
                if item.j > j or (verb is not None and at < verb.i < item.j) or _crosses(choice.particles, item):
                    continue
                causative = left and verb is not None and verb.participle
                slot, price = self._price(
                    item, frame, left_by if left else right_by, first=k == 0 or self._led(i, at), causative=causative
                )
                price += here
                if price < best[item.j - i] - 1e-9:
                    best[item.j - i], step[item.j - i] = price, (k, Part(item, slot, left))
        if best[count] >= 1e9:
            return None
        parts: list[Part] = []
        k = count
        while k > 0:
            taken = step[k]
            assert taken is not None
            if taken[1] is not None:
                parts.append(taken[1])
            k = taken[0]
        return self._judged(i, j, choice, frame, tuple(reversed(parts)), best[count])

    def _led(self, i: int, at: int) -> bool:
        """Whether only conjunctions and pauses stand before word ``at`` in the clause that begins at ``i``."""
        return self._hard[at] == self._hard[i]

    def _price(
        self, item: Item, frame: Frame, bys: tuple[str, ...], *, first: bool, causative: bool
    ) -> tuple[str | None, float]:
        if item.kind is Kind.FUNCTION and item.kinds[-1] == "subordinator":
            return ("subordinator", 0.02) if first else (None, item.loose)
        if item.kind is Kind.FUNCTION and item.kinds[-1] == "conjunction" and first:
            return None, min(item.loose, 0.02)
        if ANYTHING_TAKEN.get(frame.name) and item.kind not in (Kind.GROUP, Kind.TIME, Kind.MEASURE, Kind.STATE):
            return None, item.loose + item.doubt * 0.3
        if (item.prep in _EXCEPT or (item.prep == "not" and (frame.act or frame.name == "fragment"))) and item.kind is Kind.GROUP and item.value.of_pieces and "pieces" in frame.roles.values():
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

    def _amiss(self, choice: Choice, frame: Frame, filled: set[str], parts: tuple[Part, ...]) -> float:
        """Give what it costs that something is missing: a piece that work was done to, a subject, an object."""
        verb, cost = choice.verb, 0.0
        if verb is None and frame.name == "flaw" and _ordered_by_noun(parts):
            cost += 0.3  # "scratch the hatch trim": a noun wants "on" before what it is on
        named = any(p.slot and p.item.kind is Kind.GROUP and p.item.value.names for p in parts)
        if frame.act in _ON_PIECES and "pieces" not in filled and not named and not filled & {"other", "flaw"}:
            cost += 0.25
        if frame.act and choice.light == "be" and any(p.slot == "besides" and p.item.prep == "not" for p in parts):
            cost += 0.8  # "that was on the rail, not the trim" puts right
        if verb is None:
            return cost
        if "VBZ" in verb.tags and verb.i == verb.main and not any(p.left and p.item.kind is Kind.GROUP for p in parts):
            cost += 0.3 if frame.name == "remark" else 0.8
        if frame.name == "other" and verb.main >= 0 and self._also_noun(verb):
            cost += 0.4
        orders = verb.base and not verb.participle
        if frame.name == "sand" and choice.light == "be" and verb.past and "acted" not in filled:
            cost += 0.5  # "the frame was 400" puts right
        if (
            frame.name == "coat"
            and choice.light == "be"
            and verb.past
            and "coat" not in filled
            and not any(p.item.kind is Kind.GROUP and p.item.value.names for p in parts)
        ):
            cost += 0.5  # "it was primer" puts right
        if frame.name == "coat" and choice.light == "be" and verb.past and _taken_up(parts):
            cost += 0.5  # "that varnish, it was more like ten"
        if frame.name == "correct" and choice.light == "make" and orders:
            cost -= 0.25
        if choice.use is not None and orders and choice.use.sense.startswith("flaw."):
            cost += 1.0
        if frame.name == "need" and choice.lemma.startswith("mean"):
            cost += 0.6  # "I meant the third coat" puts right
        if (
            frame.name == "air"
            and choice.light == "be"
            and verb.past
            and not filled & {"spaces", "air", "temperature", "everywhere", "weather"}
        ):
            cost += 0.4  # "it was ten percent" puts right
        if frame.name == "air" and {p.left for p in parts if p.slot == "spaces"} == {True, False}:
            cost += 0.8  # a place on either side of the verb: two clauses
        if frame.name == "undo" and orders and not any(p.item.kind is Kind.GROUP and p.item.value.names for p in parts):
            cost -= 0.35
        elif frame.name == "undo" and orders and filled & {"coat", "ordinal", "acted"}:
            cost -= 0.2  # an order about an entry is for the journal: "take back the coat"
        return cost

    def _judged(
        self, i: int, j: int, choice: Choice, frame: Frame, parts: tuple[Part, ...], cost: float
    ) -> Clause | None:
        filled = {p.slot for p in parts if p.slot}
        have = set(filled)
        if choice.light:
            have |= _virtual(parts, choice, self.phrase)
            if frame.name not in ("fragment", "remark") and frame.needs and not any(n <= have for n in frame.needs):
                return None
            if frame.name not in ("fragment", "remark") and not frame.needs:
                return None
            if frame.name == "air" and choice.verb is None and filled <= {"degrees", "itself", "when", "until"}:
                return None  # a bare number beside "it" is no reading
            if frame.name == "away" and "gone" not in filled and not _gone(parts):
                return None
            if frame.name == "coat" and choice.light == "go" and not _went_on(parts, have):
                return None
            if frame.name == "correct" and not _puts_right(choice, parts):
                return None
            if frame.name == "fragment" and choice.light == "be" and not _only_time(parts):
                return None
        cost += choice.price + _contradictions(parts) + self._amiss(choice, frame, filled, parts)
        cost += (
            0.25
            if frame.name == "remark" and choice.use is not None and choice.use.sense in frame.senses
            else _PRICES.get(frame.name, 0.0)
        )
        use = choice.use
        alone = choice.verb is not None and choice.verb.j - choice.verb.i + len(choice.particles) == j - i
        if (
            use is not None
            and use.sense in _WANTING
            and not _WANTING[use.sense] & filled
            and not (use.sense == "undo" and alone)
        ):
            cost += 0.3 if choice.verb is not None and choice.verb.operators else 0.6
        if use is not None and use.takes and not _taken(use, parts) and not (use.sense == "undo" and alone):
            cost += 0.8
        if use is not None and use.sense == "finish-tin" and "pieces" in filled and "vessel" not in filled:
            cost += 0.8  # "primer on the door, finished" ends the coat, not the tin
        if use is not None and use.sense in _ORDERED and choice.verb is not None and not choice.verb.base:
            cost += 1.0
        if (
            use is not None
            and use.sense in _NAMED
            and not any(
                p.item.kind is Kind.GROUP
                and (
                    p.item.value.names
                    or p.item.value.products
                    or p.item.value.head.value
                    in ("coat", "task", "act", "unknown", "hardware", "gear", "abstract", "part", "tool")
                )
                for p in parts
                if p.slot
            )
        ):
            cost += 0.7
        return Clause(
            i, j, frame, choice.verb, use, choice.lemma, parts, cost,
            subordinator=next((p.item.value.lemma for p in parts if p.slot == "subordinator"), ""),
            light=choice.light,
        )  # fmt: skip


#: What a frame costs by itself: one that takes anything is the last resort.
_PRICES: Final = {
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
_WANTING: Final = {
    "undo": frozenset(["pieces", "coat", "ordinal", "acted", "last", "products", "spaces", "task", "fault", "vessel", "air"]),
    "correct": frozenset(["pieces", "coat", "ordinal", "when", "grit", "number", "amount", "thinned", "products"]),
    "open": frozenset(["products", "vessel", "unknown"]),
    "start": frozenset(["coat", "products", "pieces"]),
    "use": frozenset(["products", "vessel", "amount"]),
    "drop": frozenset(["temperature", "degrees"]),
    "read": frozenset(["temperature", "degrees", "humidity"]),
    "rise": frozenset(["temperature", "degrees"]),
    "hold": frozenset(["temperature", "degrees"]),
    "heat-on": frozenset(["heating"]), "heat-off": frozenset(["heating"]), "heat-up": frozenset(["heating"]),
    "heat-down": frozenset(["heating"]), "return": frozenset(["products", "vessel"]),
    "spoil": frozenset(["products", "vessel"]), "go-off": frozenset(["products", "vessel"]),
    "skin": frozenset(["products", "vessel"]), "harden": frozenset(["products", "vessel"]),
    "set": frozenset(["products", "vessel"]), "finish-tin": frozenset(["products", "vessel"]),
    "buy": frozenset(["products", "vessel", "other", "unknown"]), "arrive": frozenset(["products", "vessel", "other"]),
    "close": frozenset(["spaces"]), "postpone": frozenset(["until", "when", "task", "acted", "coat"]), "mend": frozenset(["fault"]),
}  # fmt: skip


#: What an object must be for a verb's use, and the slots that show it.
_OBJECTS: Final = {
    "piece": frozenset(["pieces"]), "product": frozenset(["products", "components"]), "coat": frozenset(["coat", "ordinal"]),
    "tin": frozenset(["vessel", "products", "unknown"]), "tape": frozenset(["tape"]), "clamp": frozenset(["clamps"]),
    "filler": frozenset(["products"]), "mix": frozenset(["amount", "products", "acted", "components"]), "heating": frozenset(["heating"]),
    "air": frozenset(["temperature", "degrees", "humidity", "air"]), "list": frozenset(["task"]), "task": frozenset(["task", "acted"]),
    "entry": frozenset(["coat", "ordinal", "pieces", "acted", "last"]), "fault": frozenset(["fault", "flaw"]), "gear": frozenset(["gear", "other"]),
    "plan": frozenset(["task", "acted"]), "time": frozenset(["when", "until", "range", "took"]), "tool": frozenset(["tool", "grit"]),
}  # fmt: skip
#: Work that is always done to a piece.
_ON_PIECES: Final = frozenset(["coat", "sand", "strip", "clean", "mask", "unmask", "bond", "fit", "fill"])
#: Senses that are only ever an order to the assistant.
_ORDERED: Final = frozenset(["undo"])
#: Senses that name what they are about: "scrap it" takes back, "scrap the shelf" changes the plan.
_NAMED: Final = frozenset(["give-up", "postpone", "unclamp", "unfit", "add-list"])
_PERSONS: Final = frozenset(["i", "we", "you", "they", "to", "not"])
_DETERMINERS: Final = frozenset(
    [
        "the",
        "a",
        "an",
        "my",
        "it",
        "them",
        "that",
        "this",
        "those",
        "these",
        "both",
        "all",
        "another",
        "some",
        "every",
        "everything",
    ]
)
_EXCEPT: Final = frozenset(["except", "except for", "apart from", "bar", "barring", "excepting", "besides", "but not"])
_PREPOSITIONS: Final = frozenset(
    ["on", "off", "in", "over", "round", "up", "down", "out", "through", "across", "along", "around"]
)


def _taken_up(parts: tuple[Part, ...]) -> bool:
    """Whether a thing named first is taken up again by a pronoun before the verb."""
    left = [p for p in parts if p.left and p.item.kind is Kind.GROUP]
    named = any(p.item.value.names or p.item.value.products or p.item.value.ordinal for p in left[:-1])
    return named and left[-1].item.kinds[0].startswith("pronoun.it")


def _went_on(parts: tuple[Part, ...], have: set[str]) -> bool:
    """Whether what "went" went onto something: "primer's gone on", "undercoat went on the door"."""
    return "particle" in have or any(p.slot == "pieces" and p.item.prep in ("on", "onto", "over", "to") for p in parts)


def _gone(parts: tuple[Part, ...]) -> bool:
    """Whether somebody is off, or at the boat: a bare place is only where something is."""
    return any(
        p.slot == "off" or (p.slot == "here" and (p.item.prep or p.item.value.lemma in _ABOARD))
        for p in parts
        if p.item.kind is not Kind.FUNCTION
    ) or any(p.slot == "off" for p in parts)


_ABOARD: Final = frozenset(["aboard", "home", "here", "ashore", "on board", "in", "back", "out"])


def _ordered_by_noun(parts: tuple[Part, ...]) -> bool:
    """Whether a bare noun stands right before a thing with its article, as a verb's plain form would."""
    if len(parts) < 2 or parts[0].slot != "fault" or parts[1].slot != "pieces":
        return False
    item = parts[1].item
    return not item.prep and item.kind is Kind.GROUP and item.value.determiner == "the"


def _taken(use: VerbUse, parts: tuple[Part, ...]) -> bool:
    """Whether the object of a verb is what this use of it takes."""
    return any(
        p.slot in _OBJECTS.get(kind, frozenset([kind])) and (not p.item.prep or kind in ("tool", "time") or (p.item.prep == "of" and kind == "tin"))
        for kind in use.takes for p in parts
    )  # fmt: skip


def _sides(verb: VerbGroup | None, choice: Choice) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give what bare groups stand in before and after the predicate."""
    if verb is None:
        return ("topic",), ("topic",)
    if choice.light:
        return ("topic", "subj"), ("obj", "topic")
    if verb.passive:
        return ("topic",), ("obj",)
    if verb.participle or (verb.progressive and not verb.finite):
        return ("subj", "topic"), ("obj",)
    return ("subj",), ("obj",)


def _crosses(particles: frozenset[int], item: Item) -> bool:
    return bool(particles) and any(item.i <= p < item.j for p in particles)


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


def _puts_right(choice: Choice, parts: tuple[Part, ...]) -> bool:
    """Whether a clause with "was", "should have been" or "make" says what an entry should be: on its left the entry, or
    "it"; on its right a value, or what it was not.
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


def _only_time(parts: tuple[Part, ...]) -> bool:
    said = {p.slot for p in parts if p.slot}
    return (
        "when" in said
        and said <= {"when", "pieces"}
        and all(p.item.kinds[0].startswith("pronoun") for p in parts if p.slot == "pieces")
    )


def _contradictions(parts: tuple[Part, ...]) -> float:
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
    for a, b in zip(times, times[1:], strict=False):
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


def with_cost(clause: Clause, cost: float) -> Clause:
    """Give the clause at another cost."""
    return replace(clause, cost=cost)
