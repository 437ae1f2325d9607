"""One clause: the best way to read some words of a phrase as one predicate with what belongs to it.

Every verb group in the stretch is tried as the predicate, in each of its senses, and none at all. A frame says which
slots its noun groups, times and measures fill by the preposition before them and the side they stand on; the cheapest
path over the items is taken. What no slot takes is held against the reading, so a deed with an unexplained
word costs more than one that explains it, and the caller can see what was left.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import accumulate
from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.clause import LIGHTS, Choice, Clause, Part
from assistant.language.fitting import (
    NAMING_WHAT,
    ON_PIECES,
    ONLY_ORDERED,
    PRICES,
    WANTING,
    contradictions,
    fits_light,
    object_taken,
    ordered_by_noun,
    over_another,
    price_of,
    taken_up,
)
from assistant.language.frames import Frame, by_light, by_sense, frames
from assistant.language.items import Item, Items, Kind
from assistant.language.predicates import VerbGroup
from assistant.language.questions import asks, requested
from assistant.language.wordlist import VerbUse, english, wordlist

#: Frames that take whatever there is, but no word that would turn them round.


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
                if self._state(verb):
                    continue
                if verb.main < 0:
                    yield Choice(verb, None, "be", "be", frozenset(), 0.0)
                    continue
                yield from self._uses(verb, j)

    def _state(self, verb: VerbGroup) -> bool:
        """Whether a word after "be" is how a thing is and no passive of its own: "everything's wet"."""
        word = self.phrase.at(verb.main) if verb.main >= 0 else ""
        return (
            verb.copula == "be" and bool(word) and not word.endswith(("ed", "en", "ing"))
            and any(c.value.sense == "state" for c in self.phrase.of(verb.main, Cat.DESCRIBING))
            and word in ("wet", "set", "cut", "shut", "split")
        )  # fmt: skip

    def _in_name(self, k: int) -> bool:
        """Whether word ``k`` is part of a longer name of the job: "trim" of "hatch trim" is no verb."""
        return any(
            c.cat is Cat.NAME and c.doubt < 0.2 and c.i <= k < c.j and c.j > c.i + 1
            for n in range(max(0, k - 4), k + 1) for c in self.phrase.chunks[n]
        )  # fmt: skip

    def _orders(self, i: int, j: int, verb: VerbGroup) -> bool:
        """Whether a plain form can be the predicate here: an order begins its clause, or a subject stands before it."""
        if verb.j == j and any(u.sense == "undo" for f in verb.forms for u in wordlist().uses(f.lemma)):
            return self._led(i, verb.i)
        if self._led(i, verb.i):
            told = self.phrase.at(verb.j) in ("on", "off") and self._also_noun(
                verb
            )  # "tape off the step", "tape's off"
            return not self._also_noun(verb) or (self._object_follows(verb) and not told)
        before = self.phrase.at(verb.i - 1)
        return before in _PERSONS

    def _also_noun(self, verb: VerbGroup) -> bool:
        noun = "n" in (english(self.phrase.words[verb.main]) or "")
        return noun or any(
            c.cat in (Cat.NAME, Cat.NOUN, Cat.DESCRIBING) and c.j == verb.j for c in self.phrase.chunks[verb.main]
        )

    def _object_follows(self, verb: VerbGroup) -> bool:
        """Whether a thing follows with its article: "varnish the door" orders, "varnish on the door" tells."""
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
        return (
            0.6
            if any(x.kind is Kind.GROUP and x.kinds[0] not in ("self", "number") for x in self.items.items[after])
            else 0.0
        )

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
                slot, price = price_of(
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

    def _amiss(self, choice: Choice, frame: Frame, filled: set[str], parts: tuple[Part, ...]) -> float:
        """Give what it costs that something is missing: a piece that work was done to, a subject, an object."""
        verb, cost = choice.verb, 0.0
        if verb is None and frame.name == "flaw" and ordered_by_noun(parts):
            cost += 0.3  # "scratch the hatch trim": a noun wants "on" before what it is on
        named = any(p.slot and p.item.kind is Kind.GROUP and p.item.value.names for p in parts)
        if frame.act in ON_PIECES and "pieces" not in filled and not named and not filled & {"other", "flaw"}:
            cost += 0.25
        if frame.act and choice.light == "be" and any(p.slot == "besides" and p.item.prep == "not" for p in parts):
            cost += 0.8  # "that was on the rail, not the trim" puts right
        if frame.act == "coat" and over_another(parts):
            cost += 1.0
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
        if frame.name == "coat" and choice.light == "be" and verb.past and taken_up(parts):
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
        if choice.light and not fits_light(choice, frame, parts, filled, self.phrase):
            return None
        cost += choice.price + contradictions(parts) + self._amiss(choice, frame, filled, parts)
        cost += (
            0.25
            if frame.name == "remark" and choice.use is not None and choice.use.sense in frame.senses
            else PRICES.get(frame.name, 0.0)
        )
        use = choice.use
        alone = choice.verb is not None and choice.verb.j - choice.verb.i + len(choice.particles) == j - i
        if (
            use is not None
            and use.sense in WANTING
            and not WANTING[use.sense] & filled
            and not (use.sense == "undo" and alone)
        ):
            cost += 0.3 if choice.verb is not None and choice.verb.operators else 0.6
        if use is not None and use.takes and not object_taken(use, parts) and not (use.sense == "undo" and alone):
            cost += 0.8
        if use is not None and use.sense == "finish-tin" and "pieces" in filled and "vessel" not in filled:
            cost += 0.8  # "primer on the door, finished" ends the coat, not the tin
        if use is not None and use.sense in ONLY_ORDERED and choice.verb is not None and not choice.verb.base:
            cost += 1.0
        if (
            use is not None
            and use.sense in NAMING_WHAT
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


_PREPOSITIONS: Final = frozenset(
    ["on", "off", "in", "over", "round", "up", "down", "out", "through", "across", "along", "around"]
)


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
