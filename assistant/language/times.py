"""Whole expressions of time: one chunk for all that stands together, in any order of its parts.

The parts (a clock time, a day, a vague hour, so long ago) are read by :mod:`assistant.language.timeparts`;
here they are put together, and their ends and spans found: "until seven", "since nine", "from eight to nine".
Shorter readings are given, too, the longest first, because only the sentence shows where a time ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Final, NamedTuple

from assistant.language.clockparts import Part, at_word, counted
from assistant.language.lengths import vague_lengths_at
from assistant.language.merging import merge
from assistant.language.periods import Bound, Edge, Range
from assistant.language.timeparts import begins, parts_at
from assistant.language.when import When


class Found(NamedTuple):
    """A time expression: tokens up to ``end``, its tag, its value, and a doubt from 0.

    ``tag`` is "when" (a :class:`When`), "duration" (a timedelta, vague by ``spread``), "until" (a :class:`Bound`: by,
    until, before), "since" and "from" (a :class:`Bound`: since; from, after), or "range" (a :class:`Range`).
    """

    end: int
    tag: str
    value: When | timedelta | Bound | Range
    doubt: float = 0.0
    spread: tuple[timedelta, timedelta] | None = None


#: At most so many parts make one time: "the day before yesterday, in the evening, at about eight".
_MOST: Final = 4
_ENDS: Final = {
    "by": Edge.BY,
    "until": Edge.UNTIL,
    "till": Edge.UNTIL,
    "til": Edge.UNTIL,
    "untill": Edge.UNTIL,
    "through": Edge.UNTIL,
    "while": Edge.UNTIL,  # as the north of England says it
    "before": Edge.BEFORE,
    "since": Edge.SINCE,
    "from": Edge.FROM,
    "after": Edge.AFTER,
}
_TAGS: Final = {
    Edge.BY: "until",
    Edge.UNTIL: "until",
    Edge.BEFORE: "until",
    Edge.SINCE: "since",
    Edge.FROM: "from",
    Edge.AFTER: "from",
}
_END_PAIRS: Final = {
    ("up", "to"): Edge.UNTIL,
    ("no", "later"): Edge.BY,
    ("as", "of"): Edge.FROM,
    ("right", "until"): Edge.UNTIL,
    ("later", "than"): Edge.AFTER,
    ("up", "until"): Edge.UNTIL,
    ("up", "till"): Edge.UNTIL,
    ("ever", "since"): Edge.SINCE,
}
_LEADS: Final = frozenset(["between", "in", *(pair[0] for pair in _END_PAIRS)])
#: Words that may stand between two parts of one time.
_GLUE: Final = frozenset([",", "t", "then", "sometime", "for", "of"])
#: Words between the ends of a range, and how much doubt each leaves ("eight to nine" may be eight minutes to nine).
_TO: Final[dict[tuple[str, ...], float]] = {
    ("to",): 0.6,
    ("till",): 0.05,
    ("til",): 0.05,
    ("until",): 0.0,
    ("untill",): 0.0,
    ("thru",): 0.0,
    (): 0.2,
    ("through",): 0.0,
    ("through", "to"): 0.0,
    ("up", "to"): 0.1,
    ("right", "through", "to"): 0.0,
}


def chunks_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Found]:
    """Give every time expression that starts at token ``i``, the longest first, then the least doubtful.

    ``words`` are lower case; ``kinds`` are the tokens' kinds of :mod:`assistant.language.tokens`. Whoever wants
    those of a whole phrase takes :func:`all_chunks`, which reads no part of it twice.
    """
    return _Phrase(words, kinds).chunks(i)


def all_chunks(words: Sequence[str], kinds: Sequence[str]) -> list[list[Found]]:
    """Give the time expressions of a phrase by the token that they start at."""
    phrase = _Phrase(words, kinds)
    return [phrase.chunks(i) for i in range(len(words))]


class _Phrase:
    """A phrase with what was read of it so far."""

    def __init__(self, words: Sequence[str], kinds: Sequence[str]) -> None:
        self.words, self.kinds = words, kinds
        self._parts: dict[int, list[Part]] = {}
        self._whens: dict[int, list[Part]] = {}

    def chunks(self, i: int) -> list[Found]:
        """Give all that starts at token ``i``."""
        words = self.words
        word = at_word(words, i)
        if not begins(words, i, self.kinds) and word not in _ENDS and word not in _LEADS:
            return []
        out = [Found(w.end, "when", w.when, w.doubt) for w in self.whens(i)]
        out += [Found(f.end, "duration", f.span, f.doubt, f.spread) for f in vague_lengths_at(words, i, self.kinds)]
        spans = self._ranges(i)
        both = {f.end for f in spans}
        # "from ten to four" is two times before it is one, ten minutes to four
        bounds = self._bounds(i)
        out += [f._replace(doubt=f.doubt + 0.3) if f.tag == "from" and f.end in both else f for f in bounds]
        return sorted([*out, *spans], key=lambda f: (-f.end, f.doubt))

    def parts(self, i: int) -> list[Part]:
        """Give the single parts of a time that start at token ``i``."""
        if i not in self._parts:
            self._parts[i] = parts_at(self.words, i, self.kinds)
        return self._parts[i]

    def whens(self, i: int) -> list[Part]:
        """Give every moment or window that starts at token ``i``, made of one part or of several."""
        if i not in self._whens:
            self._whens[i] = self._joined(i)
        return self._whens[i]

    def _joined(self, i: int) -> list[Part]:
        done: dict[tuple[int, When], Part] = {}
        edge = [(part, 1) for part in self.parts(i)]
        while edge:
            part, count = edge.pop()
            key = part.end, part.when
            if key in done and done[key].doubt <= part.doubt:
                continue
            done[key] = part
            if count == _MOST or part.end <= i:
                continue
            for more in self._next(part.end):
                if part.when.clock is not None and more.when.clock is not None and (part.bare or more.bare):
                    continue  # two numbers side by side are two things
                both = merge(part.when, more.when)
                if both is not None:
                    edge.append((Part(more.end, both, _joint(part, more), bare=False), count + 1))
        return list(done.values())

    def _next(self, i: int) -> list[Part]:
        glue = at_word(self.words, i) in _GLUE
        found = self.parts(i + glue)
        more = 0.1 if glue and self.words[i] == "," else 0.0
        return [part._replace(doubt=part.doubt + more) for part in found] if more else found

    def _bounds(self, i: int) -> list[Found]:
        words = self.words
        edge, start = _ENDS.get(at_word(words, i)), i + 1
        pair = tuple(words[i : i + 2])
        if edge is None and pair in _END_PAIRS:
            edge, start = _END_PAIRS[pair], i + 2 + (at_word(words, i + 2) == "than")
        if edge is None:
            return []
        out = []
        for part in self.whens(start):
            if edge is Edge.SINCE and part.when.ago:
                continue
            doubt = 0.0 if part.bare and start > i + 1 else part.doubt
            out.append(Found(part.end, _TAGS[edge], Bound(edge, part.when), doubt))
        if edge is Edge.AFTER:
            lengths = vague_lengths_at(words, start, self.kinds)  # "after five days"
            out += [Found(n.end, "from", Bound(edge, When(ahead=n.span, spread=n.spread)), 0.3) for n in lengths]
        if edge is Edge.FROM and tuple(words[start : start + 2]) == ("now", "on"):
            out.append(Found(start + 2, "from", Bound(edge, When(ago=timedelta())), 0.0))
        return out

    def _ranges(self, i: int) -> list[Found]:
        words, out = self.words, []
        between = at_word(words, i) == "between" or tuple(words[i : i + 2]) == ("in", "between")
        lead = at_word(words, i) == "from" or between
        start = i + lead + (between and words[i] == "in")
        marks = {("and",): 0.0} if between else _TO
        days = [] if lead else [p for p in self.parts(i) if p.when.clock is None and p.when.day is not None]
        for first in self.whens(start):
            for mark, unsure in marks.items():
                at = first.end + len(mark)
                if tuple(words[first.end : at]) == mark:
                    out += self._span(i, first, at, 0.0 if lead else unsure)
        for day in days:  # "thursday from nine to eleven"
            if at_word(words, day.end) in ("from", "between", "in"):
                out += [_dated(f, day) for f in self._ranges(day.end)]
        return out

    def _dashed(self, at: int, end: int) -> bool:
        # the dash of "9:30-11:00" and "3-4pm" is no token
        figures = self.kinds[at] in ("number", "clock")
        halves = any(word in ("am", "pm") for word in self.words[at:end])
        return figures and (halves or tuple(self.kinds[at - 1 : at + 1]) == ("clock", "clock"))

    def _span(self, i: int, first: Part, at: int, unsure: float) -> list[Found]:
        out = []
        for last in self.whens(at):
            if counted(self.words, i, last.end) or not _alike(first.when, last.when):
                continue
            if at == first.end and not self._dashed(at, last.end):
                continue
            # beside another a bare number is an hour, unless something else says what it is
            doubt = max(0.0 if first.bare else first.doubt, 0.0 if last.bare else last.doubt)
            out.append(Found(last.end, "range", Range(first.when, last.when), doubt + unsure))
        return out


def _dated(found: Found, day: Part) -> Found:
    span = found.value
    assert isinstance(span, Range)
    start = merge(span.start, day.when)
    return found if start is None else found._replace(value=Range(start, span.end), doubt=max(found.doubt, day.doubt))


def _joint(one: Part, two: Part) -> float:
    """Doubt of two parts together: a bare number right before a day is an hour, after it less surely."""
    if one.bare and not two.bare and one.when.clock is not None and one.when.clock.minute:
        return max(one.doubt, two.doubt)  # "240 yesterday" is a grit before it is twenty to three
    if one.bare and not two.bare:
        return max(one.doubt * 0.4, two.doubt)
    if two.bare and not one.bare:
        return max(one.doubt, two.doubt * 0.7)
    for dated, timed in ((one, two), (two, one)):
        if dated.when.day is not None and dated.when.day.date is not None and dated.doubt > 1:
            return max(dated.doubt * 0.3, timed.doubt)  # "the 5th at four", "8 pm on 15": no coat has an hour
    return max(one.doubt, two.doubt)


def _open(when: When) -> bool:
    # "eight to eight" is half a day
    return when.clock is not None and len(when.clock.hours) == 2


def _alike(one: When, two: When) -> bool:
    """Whether two times can be the ends of one span: "from two to an hour ago" cannot."""
    return (
        one.ago is None
        and one.ahead is None
        and not two.ago
        and (_open(one) or (one.clock, one.day) != (two.clock, two.day))
    )


def coming(when: When) -> bool:
    """Whether a time can be to come: not "yesterday", not "an hour ago"."""
    day = when.day
    return when.ago is None and not (day is not None and ((day.back or 0) > 0 or day.nth < 0 or (day.week or 0) < 0))
