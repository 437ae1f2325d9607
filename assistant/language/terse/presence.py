"""When the speaker is on the boat, off it, in bed and up: "out till five, back at seven", "off to bed, up at six".

Such talk has a verb of its own less often than not, and the states follow one on the other: where one begins the one
before it ends. So the states and their times are read in their order, and the hours lie between them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from enum import StrEnum
from functools import cache
from typing import Final

from assistant import data
from assistant.language.chunks import Cat, Chunk, Phrase
from assistant.language.items import Items, Kind
from assistant.language.meanings import Rule
from assistant.language.merging import merge, on_day
from assistant.language.noungroup import Head
from assistant.language.periods import Bound, Edge, Range
from assistant.language.predicates import BE, DO, HAVE
from assistant.language.questions import asks
from assistant.language.tokens import tokens
from assistant.language.when import When
from assistant.language.wordlist import wordlist


class State(StrEnum):
    """Where the speaker is."""

    IN = "in"
    OUT = "out"
    BED = "bed"
    UP = "up"


@dataclass(slots=True)
class Stay:
    """A state and what was said of its time: when it begins, until when it lasts, for how long."""

    state: State
    at: When | None = None
    until: When | None = None
    lasting: timedelta | None = None

    @property
    def timed(self) -> bool:
        """Whether any time was said of it."""
        return self.at is not None or self.until is not None or self.lasting is not None


_SENSES: Final = {
    "leave-boat": State.OUT, "be-back": State.IN, "sleep": State.BED, "get-up": State.UP,
}  # fmt: skip
_SELF: Final = frozenset(["i", "we", "me", "us", "meself", "myself", "my", "our"])
_OTHERS: Final = frozenset(["he", "she", "they", "you", "who", "her", "him", "his", "their"])
_IDLE: Final = frozenset([
    "conjunction", "determiner", "interjection", "politeness", "discourse", "preposition", "pronoun", "quantifier",
    "comparative",
])  # fmt: skip
_UNSURE: Final = frozenset([
    "if", "unless", "might", "may", "maybe", "perhaps", "could", "would", "should", "was", "were", "went", "whether",
    "suppose", "supposing", "never", "or", "wish", "noise", "noisy", "loud", "quiet", "did", "rang", "said", "told",
    "says", "stopped",
])  # fmt: skip
#: What may stand beside a state as the reason or the place of it.
_REASONS: Final = frozenset([
    Head.PLACE, Head.PERSON, Head.FOOD, Head.ABSTRACT, Head.WEATHER, Head.HOUSE, Head.BOAT, Head.DOCUMENT, Head.BODY,
    Head.ANIMAL, Head.SELF, Head.PRONOUN,
])  # fmt: skip
_HABIT: Final = frozenset(["week", "nights", "days", "every", "always", "usually", "each", "normally", "generally"])


@cache
def _states() -> dict[tuple[str, ...], State]:
    table = data.read_toml(data.root() / "grammars" / "presence.toml")["state"]
    return {tuple(t.text for t in tokens(s)): State(name) for name, row in table.items() for s in row["say"]}


def presence(phrase: Phrase, items: Items) -> tuple[Rule, ...]:
    """Read a phrase as the hours that the speaker is away or asleep; empty where it says anything else as well."""
    words = set(phrase.words)
    if words & _UNSURE or asks(phrase, 0, len(phrase), last=True) or of_the_job(phrase):
        return ()
    stays = _stays(phrase, items)
    if not stays or not any(s.timed for s in stays):
        return ()
    out = _hours(stays)
    if any(
        r.end is None and r.lasting is None and not (r.start and r.start.clock is None and r.start.window is None)
        for r in out
    ):
        return ()  # only where it begins: "going down to six tonight" may be of anything
    once = not words & _HABIT and not _as_a_rule(phrase)
    said = phrase.said(0, len(phrase))
    if not once:
        out = [replace(r, start=_of_a_day(r.start), end=_of_a_day(r.end)) for r in out]
    return tuple(replace(r, words=said, once=once, daily=r.rule == "sleep" and not once) for r in out)


def _of_a_day(said: When | None) -> When | None:
    """Give a time as one of every day: "this week" names none of them."""
    return replace(said, day=None) if said is not None and said.day is not None and said.day.week is not None else said


def _as_a_rule(phrase: Phrase) -> bool:
    """Whether the plain present tells what is so every day: "I sleep from eleven to seven", "we get up at six"."""
    return any(
        phrase.at(k) in _SELF and phrase.at(k + 1) not in _NO_RULE
        and any("VBP" in f.tags or "VB" in f.tags for c in phrase.of(k + 1, Cat.VERB) for f in c.value)
        for k in range(len(phrase))
    )  # fmt: skip


#: With these the speaker tells of one time.
_NO_RULE: Final = frozenset(["will", "shall", "would", *BE, *HAVE])


def of_the_job(phrase: Phrase, start: int = 0) -> bool:
    """Whether anything of the job is named: then the words are about work."""
    return any(
        (c.cat is Cat.NAME and c.doubt < 0.4 and c.value.kind in ("piece", "product", "space"))
        or (c.cat is Cat.NOUN and c.value.sense in ("coat", "fault", "vessel") and c.j > c.i)
        for cs in phrase.chunks[start:] for c in cs
    )  # fmt: skip


# -- states and their times -------------------------------------------------------------------


def _stays(phrase: Phrase, items: Items) -> list[Stay]:
    """Give the states in their order, each with its times; empty where a word has no place among them."""
    out: list[Stay] = []
    before: When | None = None  # a time that was said before the first state
    waiting: list[object] = []
    k, why = 0, False
    while k < len(phrase):
        if why and phrase.at(k) in _SELF:
            waiting, before, why = [], None, False  # those times were of the reason
        found, state = _state_at(phrase, items, k)
        if phrase.at(k) in BE and k + 1 < len(phrase):
            further = _state_at(phrase, items, k + 1)  # "am off the boat" goes on where "am off" ends
            found, state = further if further[0] > found else (found, state)
        time = min(phrase.of(k, Cat.TIME), key=likely, default=None)
        if state is not None and why:
            return []  # what was named is who is, or is not, there: "the sealant won't be here"
        if state is not None and (time is None or found >= time.j or phrase.at(k - 1) in BE):
            lain = out and out[-1].state is State.BED and not out[-1].timed and state is State.IN  # "kipping aboard"
            if not (out and out[-1].state is state and not out[-1].timed) and not lain:
                out.append(Stay(state))
            for value in waiting:
                _timed(out[-1], value, before)
            waiting, k = [], found
        elif time is not None and _meal(phrase, k, time):
            k = time.j
        elif time is not None:
            value = time.value.value
            if out and not (_next_state(phrase, items, time.j) and out[-1].timed):
                _timed(out[-1], value, before)
            elif isinstance(value, When) and value.clock is None and not out:
                before = value
                waiting.append(value)
            else:
                waiting.append(value)
            k = time.j
        elif (step := _idle(phrase, items, k)) > k:
            k = step
        elif any(s.timed for s in out) and not of_the_job(phrase, k):
            k += 1  # why: "got to fetch the lad"
        elif not out and (end := _reason(items, k)) > k:
            k, why = end, True  # "doctor's at nine so I'm off ..."
        else:
            return []
    return out


def _meal(phrase: Phrase, k: int, time: Chunk) -> bool:
    """Whether a time is what the speaker goes for, and none of the clock: "off for my dinner"."""
    value = time.value.value
    named = isinstance(value, When) and value.window is not None and value.clock is None and value.day is None
    return named and (phrase.at(k) in ("for", "my") or phrase.at(k - 1) in ("for", "my", "me", "our", "a"))


def _reason(items: Items, k: int) -> int:
    """Give where a noun group ends that may be the reason for a stay; ``k`` where none is."""
    ends = [i.j for i in items.items[k] if i.kind is Kind.GROUP and not i.prep and i.value.head in _REASONS]
    return max(ends, default=k)


def likely(time: Chunk) -> tuple[bool, int, bool, float]:
    """Order times by how likely they are meant: the longest that is clear, and of two a span ("two till four")."""
    span = time.value.tag == "range"
    return (time.doubt > (0.8 if span else 0.5), -time.j, not span, time.doubt)


def _next_state(phrase: Phrase, items: Items, k: int) -> bool:
    return k < len(phrase) and _state_at(phrase, items, k)[1] is not None


def _state_at(phrase: Phrase, items: Items, k: int) -> tuple[int, State | None]:
    """Give the state that words from ``k`` tell of, and where they end."""
    best: tuple[int, State | None] = (k, None)
    denied = phrase.at(k) in ("not", "no") or (phrase.at(k + 1) == "not" and phrase.at(k) in ("will", "am", "are"))
    for said, state in _states().items():
        end = k + len(said)
        stays = said == ("stopping",) and phrase.at(end) in ("aboard", "on", "here", "over", "put")
        if (
            tuple(phrase.words[k:end]) == said
            and not stays
            and end > best[0]
            and not _before_noun(phrase, items, said[-1], end)
        ):
            best = (end, state)
    for c in phrase.of(k, Cat.VERB):
        for form in c.value:
            for use in wordlist().uses(form.lemma):
                end = c.j + len(use.particles)
                near = tuple(phrase.words[c.j : end]) == use.particles
                if use.sense in _SENSES and near and end > best[0] and (use.particles or form.lemma not in _WEAK):
                    best = (end, _SENSES[use.sense])
    if best[1] is None:
        for item in items.items[k]:
            if item.kind is Kind.GROUP and item.prep in ("at", "to") and item.value.head in (Head.PLACE, Head.PERSON):
                best = (item.j, State.OUT)
                break
    if best[1] is None and denied and k + 1 < len(phrase):
        there = _state_at(phrase, items, k + 1)
        if there[1] is State.IN:
            return there[0], State.OUT
    return best


def _before_noun(phrase: Phrase, items: Items, word: str, end: int) -> bool:
    """Whether a word is the preposition of what follows it: "in the shed"."""
    if word not in ("in", "off", "out", "up", "around", "here") or end >= len(phrase):
        return False
    return any(
        i.kind is Kind.GROUP and not i.prep and i.value.head not in (Head.SELF, Head.PRONOUN, Head.NUMBER, Head.ORDINAL)
        for i in items.items[end]
    )  # fmt: skip


#: Verbs that tell of going or coming only with a particle.
_WEAK: Final = frozenset(
    ["pop", "run", "drive", "leave", "rest", "surface", "stir", "crash", "return", "retire", "set"]
)


def _idle(phrase: Phrase, items: Items, k: int) -> int:
    """Give where words end that only join or colour; ``k`` where word ``k`` is none of them."""
    word = phrase.at(k)
    if word in _OTHERS:
        return k
    if phrase.kinds[k] == "mark" or word in _SELF or word in BE or word in HAVE or word in DO:
        return k + 1
    if word in ("will", "going", "to", "go", "shall", "be", "just", "gone", "getting", "having"):
        return k + 1
    function = phrase.function(k, *_IDLE)
    if function is not None:
        return function.j
    best = k
    for item in items.items[k]:
        if item.kind is Kind.ADVERB and item.kinds[0] not in ("negative", "almost"):
            best = max(best, item.j)
        if item.kind is Kind.GROUP and item.value.head in _REASONS and item.prep:
            best = max(best, item.j)
        if item.kind is Kind.WORD and not item.content:
            best = max(best, item.j)
    return best


def _timed(stay: Stay, value: object, before: When | None) -> None:
    """Put a time to a state; a day that was said first is that of every time after it."""
    match value:
        case When():
            stay.at = _both(stay.at, value) if stay.at is not None else on_day(value, before)
        case Bound(edge=Edge.BY) if stay.state in (State.BED, State.OUT):
            stay.at = on_day(value.when, before)
        case Bound(edge=Edge.UNTIL | Edge.BEFORE | Edge.BY):
            stay.until = on_day(value.when, before)
        case Bound():
            stay.at = on_day(value.when, before)
        case Range():
            stay.at, stay.until = on_day(value.start, before), value.end
        case timedelta():
            stay.lasting = value


def _both(one: When, other: When) -> When:
    return merge(one, other) or one


# -- the hours between them -------------------------------------------------------------------


def _hours(stays: list[Stay]) -> list[Rule]:
    out: list[Rule] = []
    for away, here, name in ((State.OUT, State.IN, "away"), (State.BED, State.UP, "sleep")):
        out += _between(_joined([s for s in stays if s.state in (away, here)]), away, name)
    return out


def _joined(stays: list[Stay]) -> list[Stay]:
    """Put together what was said twice of one state: "a lie in tomorrow, don't wake me before eight"."""
    out: list[Stay] = []
    for stay in stays:
        last = out[-1] if out else None
        if last is None or last.state is not stay.state or last.until is not None or last.lasting is not None:
            out.append(stay)
        elif stay.until is not None and last.at is not None and stay.state in (State.IN, State.UP):
            last.at = _both(last.at, stay.until)
        else:
            out[-1] = Stay(stay.state, stay.at or last.at, stay.until, stay.lasting)
    return out


def _between(stays: list[Stay], away: State, name: str) -> list[Rule]:
    out: list[Rule] = []
    begun: Stay | None = None
    for stay in stays:
        if stay.state is away:
            if stay.until is not None or stay.lasting is not None:
                start = stay.at or (begun.at if begun is not None else None)
                out.append(Rule(rule=name, start=start, end=stay.until, lasting=stay.lasting))
                begun = None
            else:
                begun = stay
        elif begun is not None and (stay.at or stay.until):
            out.append(Rule(rule=name, start=begun.at, end=stay.at or stay.until))
            begun = None
        elif stay.until is not None:
            if name == "sleep":
                end = _both(stay.at, stay.until) if stay.at is not None else stay.until
                out.append(Rule(rule=name, end=end))  # "don't bother me till seven"
                continue
            if stay.at is not None:  # "in from nine till five": away before and after
                out.append(Rule(rule=name, end=stay.at))
            begun = Stay(away, at=stay.until)
        elif stay.at is not None:
            out.append(Rule(rule=name, end=stay.at))
    if begun is not None and begun.at is not None and begun.at.ago is None:
        out.append(Rule(rule=name, start=begun.at))
    return out
