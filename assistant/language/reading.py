"""Which spans of a phrase stand together, in which frame, at what cost.

The cost of a reading is a tuple compared from the left: what contradicts the frame, then what it
leaves unexplained, then what had to be supposed, then how much was only filler. Unexplained words stand
before supposed ones, so a good likeness never excuses leftovers.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product
from typing import Final, NamedTuple

from assistant.language.frames import Frame, by_name, frames, with_families
from assistant.language.numbers import WORDS as NUMBER_WORDS
from assistant.language.spans import Span, Tagged


class Cost(NamedTuple):
    """Why one reading is better than another; the first field that differs decides."""

    violations: float
    unexplained: float
    doubt: float
    rank: float
    filler: float
    parts: float


@dataclass(frozen=True, slots=True)
class Reading:
    """One clause read as one frame."""

    frame: Frame
    spans: tuple[Span, ...]  # fillers left out
    left: tuple[int, ...]  # tokens nobody explains
    cost: Cost
    start: int
    end: int
    inherited: bool = False  # the verb was said in the clause before
    broken: tuple[str, ...] = ()  # what contradicts the frame
    tags: frozenset[str] = frozenset()  # of the spans, and what else those same words are to this frame


_CONJUNCTIONS: Final = frozenset(["and", "then", ",", ";", "but", "plus", "also", "+", "so"])
_OPENINGS: Final = frozenset(
    [
        ("it", "is"),
        ("there", "is"),
        ("i", "have"),
        ("when", "can"),
        ("how", "long"),
        ("how", "much"),
        ("used", "up"),
    ]
)
_SINGLE: Final = ("ordinal", "nth", "clock", "day", "ago", "grit", "percent", "temp")
#: What turns a statement round; a log frame that does not take it cannot hold.
_TURNING: Final = frozenset(
    ["tense.neg", "tense.if", "tense.future", "q.when", "q.howmuch", "q.what", "q.why", "q.modal", "q.lead",
     "q.past", "q.do", "q.mark", "q.how"]
)  # fmt: skip
_FILL: Final = 0.02


def read(tagged: Tagged, expect: str | None = None, last: str | None = None) -> list[Reading]:
    """Give the best reading of a phrase, one :class:`Reading` a clause; empty if there is none.

    ``expect`` is the slot of a question back that may be answered; ``last`` the frame of the turn before,
    which "and the other door" goes on with.
    """
    count = len(tagged.tokens)
    going_on = _going_on(tagged, last) if last else None
    if going_on is not None:
        return [going_on]
    best: tuple[tuple[float, ...], list[Reading]] | None = None
    whole = _clause(tagged, 0, count, None, expect)
    if whole and _clean(whole) and not _two_heads(tagged, whole):
        return [whole]
    for cuts in _cuts(tagged):
        readings = _clauses(tagged, cuts, expect)
        if readings is None:
            continue
        score = _score(readings, len(cuts))
        if best is None or score < best[0]:
            best = (score, readings)
    return best[1] if best else []


_LEADS: Final = frozenset(["and", "what about", "how about", "or", "also", "then"])
_OWN: Final = (
    "act.",
    "stage.",
    "fault.",
    "tin.",
    "q.w",
    "q.h",
    "q.l",
    "q.m",
    "q.p",
    "temp",
    "ask.",
    "talk.same",
    "talk.undo",
    "talk.amend",
    "air.",
    "make.",
    "task.",
    "gear.",
)


def _going_on(tagged: Tagged, last: str) -> Reading | None:
    """Read "and the other door", "what about the galley": what was said before, of something else."""
    words, count = tagged.words, len(tagged.tokens)
    if not count or count > 10 or not (words[0] in _LEADS or " ".join(words[:2]) in _LEADS):
        return None
    frame = by_name().get(last)
    if frame is None or frame.mood == "talk" or frame.free:
        return None
    allowed = {"act.coat"} if last in ("coverage", "coat") else set()
    for i in range(1 if words[0] in _LEADS else 2, count):
        for s in tagged.spans[i]:
            alone = s.tag.startswith("tin") and s.j - s.i == 1
            if s.tag.startswith(_OWN) and s.tag != "q.mark" and s.tag not in allowed and not alone:
                return None  # it has a verb or a question of its own
    reading = _cover(tagged, frame, 0, count)
    said = [s for s in reading.spans if s.tag in _SLOTS]
    return replace(reading, inherited=True) if said and not reading.left and not reading.broken else None


_SLOTS: Final = frozenset(
    ["piece", "space", "product", "ordinal", "nth", "grit", "clock", "ago", "temp", "amount", "number", "count",
     "percent", "talk.other", "talk.both"]
)  # fmt: skip


def _clean(reading: Reading) -> bool:
    return reading.cost.violations == 0 and reading.cost.unexplained == 0


def _two_heads(tagged: Tagged, reading: Reading) -> bool:
    """Whether a joined reading swallowed a second statement whole."""
    if not any(tagged.words[i] in _CONJUNCTIONS for i in range(len(tagged.words))):
        return False
    heads = {s.tag for s in reading.spans if s.tag.startswith(("act.", "fault.", "tin.", "q.", "temp"))}
    return len(heads) > 1 or sum(s.tag == "piece" for s in reading.spans) > 1


def _score(readings: list[Reading], cuts: int) -> tuple[float, ...]:
    return (
        sum(r.cost.violations for r in readings),
        sum(r.cost.unexplained for r in readings),
        sum(r.cost.doubt for r in readings) + 0.12 * (cuts) + 0.1 * sum(r.inherited for r in readings),
        sum(r.cost.rank for r in readings),
        sum(r.cost.filler for r in readings),
        sum(r.cost.parts for r in readings),
    )


def _cuts(tagged: Tagged) -> Iterator[tuple[int, ...]]:
    """Give the ways to cut a phrase at its conjunctions, the uncut one first."""
    places = []
    for i, word in enumerate(tagged.words):
        if tuple(tagged.words[i : i + 2]) in _OPENINGS and i > 2 and tagged.words[i - 1] not in _CONJUNCTIONS:
            places.append(i)  # a new sentence that nothing marks: people do not speak commas
        elif word in _CONJUNCTIONS and 0 < i < len(tagged.words) - 1:
            if places and places[-1] == i - 1:
                places[-1] = i  # ", and then" is one place
            else:
                places.append(i)
    places = places[:4]
    for chosen in sorted(product((False, True), repeat=len(places)), key=sum):
        yield tuple(p for p, cut in zip(places, chosen, strict=True) if cut)


def _clauses(tagged: Tagged, cuts: tuple[int, ...], expect: str | None) -> list[Reading] | None:
    edges = [0, *cuts, len(tagged.tokens)]
    out: list[Reading] = []
    for start, end in pairwise(edges):
        reading = _clause(tagged, start, end, out[-1] if out else None, expect)
        if (reading is None or not _clean(reading)) and _chatter(tagged, start, end, leading=not out):
            continue
        if reading is None:
            return None
        out.append(reading)
    return out or None


#: Tags that say nothing of the job by themselves; a clause of nothing else is talk by the way.
_IDLE: Final = ("fill", "plan.", "tense.", "duration", "q.", "talk.", "ask.", "ordinal", "air.says", "make.")


def _chatter(tagged: Tagged, start: int, end: int, *, leading: bool) -> bool:
    """Whether a clause is talk by the way ("fingers crossed it doesn't rain"): it may be passed over.

    "not" and the like are never passed over bare ("..., not yet"), only with words of their own.
    """
    spans = [s for i in range(start, end) for s in tagged.spans[i] if s.j <= end]
    numbers = any(is_number(tagged, i) for i in range(start, end) if not _timed(tagged, i))
    if numbers or any(not s.tag.startswith(_IDLE) for s in spans):
        return False
    known = {k for s in spans for k in range(s.i, s.j)}
    strange = sum(i not in known and tagged.tokens[i].kind == "word" for i in range(start, end))
    turned = any(s.tag in _TURNING for s in spans)
    return strange >= (1 if leading else 2) if turned else True


def _timed(tagged: Tagged, i: int) -> bool:
    return any(s.tag == "duration" and s.i <= i < s.j for k in range(max(0, i - 3), i + 1) for s in tagged.spans[k])


def _clause(tagged: Tagged, start: int, end: int, before: Reading | None, expect: str | None) -> Reading | None:
    tags = frozenset(s.tag for i in range(start, end) for s in tagged.spans[i] if s.j <= end)
    tags |= _counted([s for i in range(start, end) for s in tagged.spans[i] if s.j <= end])
    have = with_families(tags)
    best: Reading | None = None
    for frame in frames():
        need = frame.met(have)
        if need is None or (frame.name == "pick" and expect is None) or frame.name in tagged.without:
            continue
        reading = _cover(tagged, frame, start, end)
        if (frame.name == "amend" and _puts_right(reading)) or (frame.name == "compat" and "products" in reading.tags):
            reading = replace(reading, cost=reading.cost._replace(rank=-1))
        if frame.name == "whatif" and "ask.whatif" in reading.tags:  # "what if" says plainly what it is
            reading = replace(reading, cost=reading.cost._replace(rank=-2, unexplained=0.0, doubt=0.0))
        if not _needs_hold(frame, reading):
            reading = replace(reading, cost=reading.cost._replace(violations=reading.cost.violations + 1))
        if before is not None:
            reading = _in_sequence(tagged, reading, before)
        if best is None or reading.cost < best.cost:
            best = reading
    if before is not None and not before.frame.free:
        reading = _cover(tagged, before.frame, start, end)
        # a time alone is no second statement: "fitted the lids, all of them, an hour ago"
        if any(s.tag in _SLOTS - {"clock", "ago", "talk.both"} for s in reading.spans):
            doubt = reading.cost.doubt + 0.1
            reading = replace(reading, cost=reading.cost._replace(doubt=doubt), inherited=True)
            if best is None or reading.cost[:3] < best.cost[:3]:
                best = reading
    return best


def _counted(spans: list[Span]) -> frozenset[str]:
    """Give "products" where two different ones were named: one over the other, one against the other."""
    named = {s.i: s.value.options for s in spans if s.tag == "product"}
    return frozenset(["products"]) if len({frozenset(o) for o in named.values()}) > 1 else frozenset()


def _puts_right(reading: Reading) -> bool:
    """Whether it begins by taking back ("sorry, that was the second coat") and names no new piece of work."""
    first = next(iter(reading.spans), None)
    tags = {s.tag for s in reading.spans}
    whole = "piece" in tags and any(t.startswith(("act.", "fault.")) for t in tags)
    whole = whole or any(t.startswith("tin.") for t in tags if t != "tin.tin") or {"temp", "space"} <= tags
    return (
        first is not None
        and first.tag == "talk.amend"
        and first.value != "weak"
        and first.i <= reading.start + 1
        and not whole
    )


def _needs_hold(frame: Frame, reading: Reading) -> bool:
    return frame.met(with_families(reading.tags)) is not None


def _in_sequence(tagged: Tagged, reading: Reading, before: Reading) -> Reading:
    """Make a plain verb after a question or an intention go on asking or intending."""
    if reading.frame.mood != "log" or reading.frame.free or (before.frame.mood != "ask" and not before.frame.free):
        return reading
    k = reading.start + 1
    if tagged.words[k : k + 1] and tagged.words[k] in ("i", "we", "have", "it", "there"):
        return reading
    return replace(reading, cost=reading.cost._replace(violations=reading.cost.violations + 1))


def _cover(tagged: Tagged, frame: Frame, start: int, end: int) -> Reading:
    """Explain the tokens from ``start`` to ``end`` by spans of ``frame`` at the least cost (a shortest path)."""
    count = end - start
    best: list[float] = [0.0] + [1e9] * count
    step: list[Span | None] = [None] * (count + 1)
    for k in range(count):
        here = best[k]
        weight = here + _weight(tagged, start + k, frame)
        if weight < best[k + 1]:
            best[k + 1], step[k + 1] = weight, None
        for span in tagged.spans[start + k]:
            if span.j > end or (span.tag != "fill" and not frame.accepts(span.tag)):
                continue
            price = (
                here + 0.3 * span.doubt + (_FILL * (span.j - span.i) if span.tag == "fill" else _part(span.tag, frame))
            )
            if price < best[span.j - start] - 1e-9:
                best[span.j - start], step[span.j - start] = price, span
    spans: list[Span] = []
    left: list[int] = []
    filler = 0
    k = count
    while k > 0:
        taken = step[k]
        if taken is None:
            if tagged.tokens[start + k - 1].kind != "mark":
                left.append(start + k - 1)
            k -= 1
            continue
        if taken.tag == "fill":
            filler += taken.j - taken.i
        else:
            spans.append(taken)
        k = taken.i - start
    return _reading(tagged, frame, tuple(reversed(spans)), tuple(reversed(left)), filler, start, end)


def _part(tag: str, frame: Frame) -> float:
    # "varnish" is a material before it is a verb, where the verb is not needed
    price = 0.004 if tag in ("product", "piece", "space") else 0.005
    return price - 0.002 if tag in frame.wanted else price


def _weight(tagged: Tagged, i: int, frame: Frame) -> float:
    kind = tagged.tokens[i].kind
    if kind == "mark":
        return 0.01
    if frame.free:
        return 0.15
    # a number that nothing explains is never let go
    return 3.0 if is_number(tagged, i) else 1.0


_LOOSE: Final = frozenset(["one", "second", "half", "quarter", "point", "oh", "couple", "third", "thirds"])


def is_number(tagged: Tagged, i: int) -> bool:
    """Whether a token is a number, in figures or in a word that can be nothing else."""
    word = tagged.words[i]
    if tagged.tokens[i].kind in ("number", "clock", "ratio", "ordinal", "fraction", "iso"):
        return True
    return word in ("minus", "negative") or (word in NUMBER_WORDS and word not in _LOOSE)


def _reading(
    tagged: Tagged, frame: Frame, spans: tuple[Span, ...], left: tuple[int, ...], filler: int, start: int, end: int
) -> Reading:  # fmt: skip
    broken: list[str] = []
    for tag in _SINGLE:
        many = [s for s in spans if s.tag == tag]
        if len(many) > 1 and frame.mood != "ask" and frame.name != "hours" and len({str(s.value) for s in many}) > 1:
            broken.append(f"two of {tag}")
    broken.extend(f"two of {t}" for t in frame.single if len({str(s.value) for s in spans if s.tag == t}) > 1)
    if frame.apart and sum(s.tag == "piece" for s in spans) > 1:
        broken.extend(f"two of {t}" for t in frame.apart if _parted(tagged, [s for s in spans if s.tag == t]))
    if frame.unless:
        said = f" {' '.join(tagged.words[start:end])} "
        broken.extend(words for words in frame.unless if f" {words} " in said)
    if frame.mood == "log" or frame.name == "same":
        broken.extend(_turned(tagged, frame, spans, start, end))
    weight = sum(_weight(tagged, i, frame) for i in left)
    cost = Cost(
        violations=len(broken),
        unexplained=weight,
        doubt=round(sum(s.doubt for s in spans) + _STRAY * _strays(tagged, frame, spans), 3),
        rank=frame.rank,
        filler=filler,
        parts=len(spans),
    )
    tags = frozenset(o.tag for s in spans for o in tagged.spans[s.i] if o.j == s.j and frame.accepts(o.tag))
    tags |= _counted(list(spans))
    return Reading(frame, spans, left, cost, start, end, broken=tuple(broken), tags=tags)


def _parted(tagged: Tagged, spans: list[Span]) -> bool:
    """Whether a conjunction stands between two spans of different values: "gloss on this and undercoat on that"."""
    return any(
        a.value.options != b.value.options and _CONJUNCTIONS & set(tagged.words[a.j : b.i]) for a, b in pairwise(spans)
    )


#: A verb or fact that the frame has no need of may be a statement of its own: splitting is cheaper than this.
_STRAY: Final = 0.2


def _strays(tagged: Tagged, frame: Frame, spans: tuple[Span, ...]) -> int:
    if frame.mood == "ask" and not frame.free:
        return _told_first(tagged, spans)
    if frame.name == "task":
        return _done_before(tagged, spans)
    if frame.mood != "log" or frame.free or frame.name == "replan":  # which speaks of work, and states none
        return 0
    tags = frozenset(s.tag for s in spans)
    need = frame.met(with_families(tags)) or ()
    wanted = {n[:-2] if n.endswith(".*") else n for n in need}
    return sum(
        s.tag.startswith("act.") and s.tag not in wanted and s.tag.partition(".")[0] not in wanted for s in spans
    )


def _done_before(tagged: Tagged, spans: tuple[Span, ...]) -> int:
    """Count one if work done stands before what is meant: "sanded the trim and put the second coat on tomorrow"."""
    meant = next((k for k, s in enumerate(spans) if s.tag.startswith("task.")), 0)
    done = any(s.tag.startswith("act.") and tagged.words[s.i].endswith("ed") for s in spans[:meant])
    joined = any(w in _CONJUNCTIONS for w in tagged.words[spans[0].i : spans[meant].i])
    return int(done and joined)


def _told_first(tagged: Tagged, spans: tuple[Span, ...]) -> int:
    """Count one if a fact stands before the question: "second coat on the trim, when can I recoat it"."""
    asked = next((k for k, s in enumerate(spans) if s.tag.startswith("q.")), 0)
    if not asked or not any(w in _CONJUNCTIONS for w in tagged.words[spans[0].i : spans[asked].i]):
        return 0
    before = {s.tag for s in spans[:asked]}
    return int(any(t.startswith("act.") or t in ("ordinal", "nth") for t in before) and len(before) > 1)


def _turned(tagged: Tagged, frame: Frame, spans: tuple[Span, ...], start: int, end: int) -> list[str]:
    # a word inside a longer one ("can" in "can of") turns nothing round; a word that has another use still does
    covered = {k for s in spans if s.j - s.i > 1 for k in range(s.i, s.j)}
    covered |= {
        k
        for i in range(start, end)
        for s in tagged.spans[i]
        if s.tag == "fill" and s.j - s.i > 1
        for k in range(s.i, s.j)
    }
    out = []
    for i in range(start, end):
        for s in tagged.spans[i]:
            if s.tag not in _TURNING or s.j > end or frame.accepts(s.tag):
                continue
            if frame.free and s.tag.startswith("tense."):
                continue
            if not all(k in covered for k in range(s.i, s.j)):
                out.append(" ".join(tagged.words[s.i : s.j]))
                break
    return out


def explain(tagged: Tagged, readings: list[Reading]) -> list[str]:
    """Say how a phrase was read: which words became what, and at what cost."""
    lines = []
    for word, forms in zip(tagged.tokens, tagged.forms, strict=True):
        if len(forms) > 1:
            lines.append(f"{word.text}: perhaps " + ", ".join(f"{f.word} ({f.doubt:g})" for f in forms[1:]))
    for r in readings:
        said = " ".join(tagged.words[r.start : r.end])
        lines.append(
            f'"{said}" as {r.frame.mood} {r.frame.name}' + (" (verb from the clause before)" if r.inherited else "")
        )
        lines.extend(
            f"  {' '.join(tagged.words[s.i : s.j])} -> {s.tag} {_shown(s.value)}"
            + (f", doubt {s.doubt:g}" if s.doubt else "")
            for s in r.spans
        )
        if r.left:
            lines.append("  unexplained: " + " ".join(tagged.words[i] for i in r.left))
        if r.broken:
            lines.append("  against it: " + ", ".join(r.broken))
        lines.append("  cost " + ", ".join(f"{k} {v:g}" for k, v in r.cost._asdict().items()))
    return lines or ["nothing in it was read"]


def _shown(value: object) -> str:
    options = getattr(value, "options", None)
    return " / ".join(options) if options else "" if value is None else str(value)
