"""Clock times with what is said around them: "about half ten", "just gone nine", "elevenish", "quarter past"."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from functools import cache
from typing import Final, NamedTuple

from assistant.language.daypart import dayparts
from assistant.language.faces import faces_at, in_part, tail_at
from assistant.language.lengths import SPANS, lengths_at
from assistant.language.numbers import SMALL, numbers_at
from assistant.language.when import Clock, When

#: By how much a time may be earlier and later than what was said.
Spread = tuple[timedelta, timedelta]


class Part(NamedTuple):
    """Tokens up to ``end`` as one part of a time; ``bare``: a number that nothing else shows to be an hour."""

    end: int
    when: When
    doubt: float = 0.0
    bare: bool = False


class Face(NamedTuple):
    """A clock time with what was said around it."""

    end: int
    clock: Clock
    doubt: float
    spread: Spread | None = None


def at_word(words: Sequence[str], i: int) -> str:
    """Give the word at ``i``, "" outside the phrase."""
    return words[i] if 0 <= i < len(words) else ""


def starts(words: Sequence[str], i: int, said: tuple[str, ...]) -> bool:
    """Whether the words ``said`` stand at ``i``."""
    return tuple(words[i : i + len(said)]) == said


_ABOUT: Final = (timedelta(minutes=15), timedelta(minutes=15))
_EXACT: Final = (timedelta(), timedelta())


def measured(words: Sequence[str], end: int) -> bool:
    """Whether the number that ends before ``end`` is a measure, by the word after it."""
    after = at_word(words, end)
    return after in dayparts().measures or (after == "of" and not tail_at(words, end)[1])


def counted(words: Sequence[str], start: int, end: int) -> bool:
    """Whether a stretch of numbers is one of temperatures, parts or the like, by the words around it."""
    return measured(words, end) or at_word(words, start - 1) in dayparts().labels


@cache
def _vague_words() -> dict[str, str]:
    """Give "tennish" and "elevenish" with the number in each."""
    out = {"noonish": "noon", "middayish": "midday", "midnightish": "midnight"}
    for word in (word for word, value in SMALL.items() if 1 <= value <= 12):
        for said in (word + "ish", word.removesuffix("e") + "ish", word + word[-1] + "ish"):
            out[said] = word
    return out


def vague_words() -> frozenset[str]:
    """Give the words that are a number made vague ("elevenish"), for spelling and for speech."""
    return frozenset(_vague_words())


def clock_parts_at(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[Part]:
    """Give every clock time that starts at token ``i`` with its lead, its hedges and its half of the day."""
    lead = i + (at_word(words, i) in ("at", "for"))
    out = []
    for face in faces_around(words, lead, kinds, cued=lead > i):
        spread = None if face.spread == _EXACT else face.spread
        bare = face.doubt >= 0.5
        # "it dropped to nine last night" is more likely a temperature
        doubt = face.doubt + 0.5 if bare and at_word(words, i - 1) == "to" else face.doubt
        out.append(Part(face.end, When(clock=face.clock, spread=spread), doubt, bare))
    return out


def faces_around(words: Sequence[str], i: int, kinds: Sequence[str], *, cued: bool) -> list[Face]:
    """Give clock times with what is said around them: "about half ten", "just gone nine", "elevenish", "ten or so"."""
    out: list[Face] = []
    for start, hedge in _hedged(words, i):
        plain, dim = _unvague(words, start)
        if start > 0 and (cued or hedge is not None):
            plain[start - 1] = "at"
        elif start > 0 and plain[start - 1] in ("to", "past"):
            plain[start - 1] = ""  # "it'll drop to nine" promises no hour
        for end, clock, doubt in [
            *faces_at(plain, start, kinds),
            *_hourless(plain, start, kinds),
            *_oddly(plain, start),
            *_counted_from(plain, start, kinds),
        ]:
            vague = _ABOUT if any(start <= k < end for k in dim) else None
            face = Face(end, clock, 0.0 if vague else doubt, _more(hedge, vague))
            out.extend(_finished(plain, face))
    return [f for f in out if not _other_role(words, i, f, sure=cued)]


def _hedged(words: Sequence[str], i: int) -> list[tuple[int, Spread | None]]:
    found = dayparts().hedge_at("clock", words, i)
    plain: list[tuple[int, Spread | None]] = [(i, None)]
    if found is None:
        return plain
    end = found[0] + (at_word(words, found[0]) == "at")
    return [*plain, (end, _spread(found[1]))]


def _spread(out: tuple[int, int]) -> Spread:
    return timedelta(minutes=out[0]), timedelta(minutes=out[1])


def _more(one: Spread | None, two: Spread | None) -> Spread | None:
    if one is None or two is None:
        return one or two
    return max(one[0], two[0]), max(one[1], two[1])


def _unvague(words: Sequence[str], i: int) -> tuple[list[str], list[int]]:
    """Give the words with "tennish" as "ten", and where that was done."""
    plain, dim = list(words), []
    for k in range(i, min(i + 5, len(words))):
        if words[k] in _vague_words():
            plain[k] = _vague_words()[words[k]]
            dim.append(k)
        elif words[k] == "halfish":
            plain[k] = "half"
            dim.append(k)
    return plain, dim


def _finished(words: Sequence[str], face: Face) -> list[Face]:
    """Add what follows the figures: o'clock, ish, "in the morning", "or so", "sharp"."""
    end, clock, doubt, spread = face
    if at_word(words, end) in ("o'clock", "oclock"):
        end, doubt = end + 1, 0.0
    elif starts(words, end, ("o", "clock")):
        end, doubt = end + 2, 0.0
    if at_word(words, end) == "ish":
        end, doubt, spread = end + 1, 0.0, _more(spread, _ABOUT)
    out = [Face(end, clock, doubt, spread)]
    tail, part = tail_at(words, end)
    if (
        part is None
        and at_word(words, end) in ("a", "p")
        and at_word(words, end + 1) in ("", ",", "on", "to", "till", "until", "today")
    ):
        tail, part = end + 1, "morning" if words[end] == "a" else "afternoon"
    if part is not None and len(clock.hours) < 3:
        out.append(Face(tail, in_part(clock, part), 0.0, spread))
    for one in list(out):
        after = dayparts().hedge_at("clock_after", words, one.end)
        if after is not None:
            out.append(Face(after[0], one.clock, min(one.doubt, 0.1), _more(spread, _spread(after[1]))))
    return out


def _oddly(words: Sequence[str], i: int) -> list[tuple[int, Clock, float]]:
    """Read "eleven five", which may be two numbers."""
    hour, minute = SMALL.get(at_word(words, i), 0), SMALL.get(at_word(words, i + 1), 0)
    return [(i + 2, Clock((hour % 12, hour % 12 + 12), minute), 0.9)] if 1 <= hour <= 12 and 1 <= minute <= 9 else []


def _counted_from(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, Clock, float]]:
    """Read "three minutes to five thirty", "three quarters past nine", "an hour before noon"."""
    lengths = [(i + 2, 2700.0)] if starts(words, i, ("three", "quarters")) else lengths_at(words, i, kinds)
    out = []
    for end, seconds in lengths:
        way = SIDES.get(at_word(words, end), 0)
        if not way or seconds % 60 or not 0 < seconds < 43200:
            continue
        for stop, clock, _ in faces_at(words, end + 1, kinds):
            if clock.minute == 0 and seconds < 2700 and seconds != 1800:
                continue  # "ten minutes past nine" is a face of the clock
            minute = clock.minute + way * int(seconds) // 60
            hours = tuple((h + minute // 60) % 24 for h in clock.hours)
            out.append((stop, Clock(hours, minute % 60), 0.1))
    return out


#: Words between a length of time and what it is counted from, and the way it is counted.
SIDES: Final = {"past": 1, "after": 1, "to": -1, "before": -1}


def _hourless(words: Sequence[str], i: int, kinds: Sequence[str]) -> list[tuple[int, Clock, float]]:
    """Read "quarter past", "ten to" with no hour after it: of the hour that it was last, or will be next."""
    start = i
    i += at_word(words, i) == "a" and at_word(words, i + 1) == "quarter"
    if tuple(words[i : i + 3]) == ("five", "and", "twenty"):
        count, end = 25, i + 3
    else:
        word = at_word(words, i)
        count = {"half": 30, "quarter": 15}.get(word) or (
            int(word) if word.isdecimal() and len(word) < 3 else SMALL.get(word, 0)
        )
        end = i + 1
        if count == 20 and at_word(words, i + 1) == "five":
            count, end = 25, i + 2
    said = at_word(words, end) in ("minutes", "mins")
    end += said
    side = at_word(words, end)
    if side not in ("past", "to") or count not in (5, 10, 15, 20, 25, 30) or (count == 30 and side == "to"):
        return []
    if faces_at(words, end + 1, kinds) and not closed(words, end + 1):
        return []  # the hour is named
    minute = count if side == "past" else 60 - count
    doubt = 0.0 if at_word(words, i) in ("half", "quarter") or said else 0.2
    cued = at_word(words, start - 1) in ("at", "about", "around", "since", "until", "till", "by", "from")
    if not closed(words, end + 1):
        doubt = max(doubt, 0.9 if side == "to" else 0.4)
    return [(end + 1, Clock(tuple(range(24)), minute), 0.0 if cued and doubt < 0.5 else doubt)]


def closed(words: Sequence[str], i: int) -> bool:
    """Whether no hour can follow: the phrase, or the piece of it, ends here."""
    return at_word(words, i) == "" or words[i] in dayparts().closers


def _measured_beyond(words: Sequence[str], end: int) -> bool:
    """Whether another number is joined on that is a measure: "at 17 and 65 percent", "from eight to nine degrees"."""
    if at_word(words, end) not in ("and", "to", "or", "till"):
        return False
    found = numbers_at(words, end + 1, ["number" if w.isdecimal() else "word" for w in words])
    return bool(found) and at_word(words, found[0].end) not in _SPAN_UNITS and measured(words, found[0].end)


#: A length of time may well follow an hour: "at ten and two hours later".
_SPAN_UNITS: Final = frozenset([*SPANS, "of"])


def _other_role(words: Sequence[str], i: int, face: Face, *, sure: bool) -> bool:
    """Whether the figures are no time at all: a ratio, an amount, a grit, a temperature."""
    surely = at_word(words, face.end - 1) in ("o'clock", "oclock", "am", "pm", "hours")
    if not surely and (measured(words, face.end) or (face.clock.minute == 0 and _measured_beyond(words, face.end))):
        return True
    if face.doubt == 0.0:
        return False
    return not sure and face.doubt > 0 and at_word(words, i - 1) in dayparts().labels
