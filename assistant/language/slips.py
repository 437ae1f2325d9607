"""A slip put right in the same breath: "second, no, third coat", "at nine, sorry, ten".

What was said just before the repair word and what comes just after it are the same kind of thing; the first is
dropped. A bare number after it takes the unit that the first had.
"""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.tokens import Token

_MARKERS: Final = tuple(
    tuple(m.split())
    for m in (
        "no no",
        "no wait",
        "wait no",
        "no i mean",
        "no sorry",
        "sorry no",
        "sorry i mean",
        "i mean",
        "or rather",
        "no make that",
        "make that",
        "scratch that",
        "i tell a lie",
        "tell a lie",
        "hang on",
        "no hang on",
        "no tell a lie",
        "er no",
        "um no",
        "er",
        "um",
        "erm",
        "no",
        "sorry",
        "rather",
        "correction",
        "wait",
        "actually",
        "well",
    )
)
#: Words that may be nothing but a pause: they mend only between two things of quite the same kind.
_PAUSES: Final = frozenset(
    [("er",), ("um",), ("erm",), ("actually",), ("well",), ("wait",), ("rather",), ("hang", "on")]
)
_BETWEEN: Final = frozenset([",", "the", "at", "on", "with", "to", "of", "a", "it", "was", "."])


def mended(phrase: Phrase) -> list[Token] | None:
    """Give the phrase's tokens without what was taken back in the same breath, or None if nothing was."""
    for i in range(1, len(phrase)):
        found = _marker(phrase, i)
        if found is None:
            continue
        for end, marker in found:
            if end >= len(phrase) or (marker == ("no",) and denies_a_thing(phrase, end)):
                continue
            cut = _pair(phrase, i, end) or (None if marker in _PAUSES else _late(phrase, i, end))
            if cut is not None:
                return cut
    return None


def denies_a_thing(phrase: Phrase, i: int) -> bool:
    """Whether "no" before word ``i`` denies a thing: "no thinners", "no more primer"."""
    if phrase.at(i) in ("more", "idea", "chance", "way", "need", "point", "problem", "film", "sign", "worries"):
        return True
    return (
        any(c.cat is Cat.NAME and c.value.kind == "product" for c in phrase.chunks[i]) and phrase.at(i - 2) != ","
    ) or any(
        c.value.sense in ("vessel", "coat", "gear", "abstract", "thinner", "fault", "dirt", "tape")
        for c in phrase.of(i, Cat.NOUN)
    )


def _marker(phrase: Phrase, i: int) -> list[tuple[int, tuple[str, ...]]] | None:
    out = []
    for marker in sorted(_MARKERS, key=len, reverse=True):
        k, n = i, 0
        while n < len(marker) and k < len(phrase):
            if phrase.words[k] == marker[n]:
                n += 1
            elif phrase.words[k] != "," or n == 0:
                break
            k += 1
        if n == len(marker):
            out.append((k, marker))
    return out or None


def _kinds(phrase: Phrase, i: int) -> dict[str, int]:
    """Give the kinds of thing that start at word ``i``, each with its longest end."""
    out: dict[str, int] = {}
    for c in phrase.chunks[i] if i < len(phrase) else ():
        if c.cat is Cat.NAME:
            kind = c.value.kind
        elif c.cat is Cat.MEASURE and c.i == i:
            kind = c.value[0].value
        elif c.cat is Cat.TIME and c.value.tag == "when":
            kind = "when"
        else:
            continue
        out[kind] = max(out.get(kind, 0), c.j)
    return out


def _pair(phrase: Phrase, left: int, right: int) -> list[Token] | None:
    """Drop the thing that ends at the marker for the like thing that follows it."""
    while left > 0 and phrase.words[left - 1] in (",", "coat", "grit"):
        left -= 1
    while right < len(phrase) and phrase.words[right] in _BETWEEN:
        right += 1
    after = _kinds(phrase, right)
    for start in range(max(0, left - 6), left):
        before = {k for k, j in _ends(phrase, start) if j == left}
        same = before & after.keys()
        if not same:
            continue
        toks = phrase.tokens
        if "number" in same and "when" not in same and (unit := _unit(phrase, start, left)) and not _has_unit(after):
            end = after["number"]
            return [*toks[:start], *toks[right:end], unit, *toks[end:]]
        cue = "when" in same and phrase.words[start] in _CUES and phrase.words[right] not in _CUES
        return [*toks[: start + cue], *toks[right:]]
    return None


def _ends(phrase: Phrase, i: int) -> list[tuple[str, int]]:
    out = []
    for c in phrase.chunks[i]:
        if c.cat is Cat.NAME:
            out.append((c.value.kind, c.j))
        elif c.cat is Cat.MEASURE and c.i == i:
            out.append((c.value[0].value, c.j))
        elif c.cat is Cat.TIME and c.value.tag == "when":
            out.append(("when", c.j))
    return out


_CUES: Final = frozenset(["at", "about", "around", "by"])
_UNITS: Final = frozenset(["amount", "temperature", "percent"])


def _unit(phrase: Phrase, start: int, end: int) -> Token | None:
    ends = {k for k, j in _ends(phrase, start) if j == end}
    return phrase.tokens[end - 1] if ends & _UNITS else None


def _has_unit(kinds: dict[str, int]) -> bool:
    return bool(kinds.keys() & _UNITS)


def _late(phrase: Phrase, left: int, right: int) -> list[Token] | None:
    """Let the last words replace the first of their kind: "fifteen in the engine room, no, sorry, thirteen"."""
    while right < len(phrase) and phrase.words[right] in _BETWEEN:
        right += 1
    after = _kinds(phrase, right)
    rest = {k: j for k, j in after.items() if all(phrase.kinds[n] == "mark" for n in range(j, len(phrase)))}
    toks = phrase.tokens
    for start in range(left):
        for kind, end in sorted(_ends(phrase, start), key=lambda e: -e[1]):
            if end > left:
                continue
            if kind in rest and kind not in ("number", "count"):
                return [*toks[:start], *toks[right : rest[kind]], *toks[end:left]]
            if kind in _UNITS and "number" in rest:
                return [*toks[:start], *toks[right : rest["number"]], toks[end - 1], *toks[end:left]]
    return None
