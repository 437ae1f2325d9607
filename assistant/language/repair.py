"""A slip put right in the same breath: "second, no, third coat", "at nine, sorry, ten".

What was said just before the repair word and what comes just after are the same kind of thing; the first is
dropped and the phrase is read as it was meant.
"""

from __future__ import annotations

import re
from typing import Final

from assistant.language.numbers import WORDS as NUMBERS
from assistant.language.spans import Tagged

_MARKERS: Final = (
    ("no", "wait"),
    ("wait", "no"),
    ("no", "i", "mean"),
    ("no", "sorry"),
    ("sorry", "no"),
    ("i", "mean"),
    ("i", "meant"),
    ("or", "rather"),
    ("make", "that"),
    ("no", "make", "that"),
    ("scratch", "that"),
    ("i", "tell", "a", "lie"),
    ("hang", "on"),
    ("no",),
    ("sorry",),
    ("rather",),
    ("correction",),
    ("wait",),
    ("er",),
    ("um",),
    ("actually",),
    ("er", "no"),
    ("no", ",", "sorry"),
    ("no", ",", "wait"),
    ("well",),
    ("no", ",", "make", "that"),
)
_KINDS: Final = frozenset(
    [
        "ordinal",
        "nth",
        "clock",
        "day",
        "piece",
        "product",
        "grit",
        "percent",
        "amount",
        "temp",
        "number",
        "space",
        "ago",
    ]
)
_BETWEEN: Final = frozenset([",", "the", "at", "on", "with", "to", "of", "a"])


#: Words that may be nothing but a pause; they mend only a phrase that does not read as it stands.
_PAUSES: Final = frozenset([("well",), ("er",), ("um",), ("actually",), ("wait",), ("rather",), ("hang", "on")])


def repair(tagged: Tagged, *, settled: bool = False) -> str | None:
    """Give the phrase with the slip taken out, or None if there is none.

    ``settled``: the phrase reads whole as it stands, so only a plain "no", "sorry" or the like mends it.
    """
    words = tagged.words
    for i in range(1, len(words)):
        for marker in sorted(_MARKERS, key=len, reverse=True):
            end = i + len(marker)
            if tuple(words[i:end]) != marker or end >= len(words) or (settled and marker in _PAUSES):
                continue
            cut = _pair(tagged, i, end)
            if cut is not None:
                start, resume = cut
                text = tagged.phrase
                return f"{text[: tagged.tokens[start].start]} {text[tagged.tokens[resume].start :]}".strip()
            late = None if settled else _afterthought(tagged, i, end)
            if late is not None:
                return late
    return None


#: What a bare number at the end can put right, and the unit it then has.
_NUMBERED: Final = ("temp", "amount", "grit", "percent")


def _afterthought(tagged: Tagged, left: int, right: int) -> str | None:
    """Let the last words replace the first of their kind: "fifteen in the engine room, no, sorry, thirteen"."""
    words, count = tagged.words, len(tagged.words)
    while right < count and words[right] in _BETWEEN:
        right += 1
    if right >= count:
        return None
    for new in tagged.spans[right]:
        if new.tag not in _KINDS or words[new.j : count] not in ([], [","]):
            continue
        kinds = (new.tag, *_NUMBERED) if new.tag == "number" else (new.tag,)
        for start in range(left):
            for old in tagged.spans[start]:
                if old.tag in kinds and old.j <= left:
                    said = " ".join(words[new.i : new.j])
                    unit = " " + words[old.j - 1] if new.tag == "number" and old.tag != "number" else ""
                    return " ".join([*words[: old.i], said + unit, *words[old.j : left]]).rstrip(", ")
    return None


_PARTED_VERB: Final = re.compile(
    r"^(?P<got>(?:i |we )?(?:have |'ve )?(?:just )?got)(?P<what> .+\bof\b.+) in[.!]?$", re.IGNORECASE
)


_STARTED: Final = re.compile(r",?\s*\b(?:started|began)\b[^,]*?(?:,|\band\b)\s*(?:and\s+)?finished\b", re.IGNORECASE)


def finished(tagged: Tagged) -> str | None:
    """Give the end alone of "started at nine and finished at ten": a film dries from then. None if it is not so."""
    text, count = _STARTED.subn("", tagged.phrase)
    return text if count else None


_ABOUT: Final = re.compile(
    r"^(?:and |so )?(?:what|how) about "
    r"(?P<what>(?:sand|recoat|touch|handl|rubb|varnish|paint|overcoat|flatt|key)\w*ing\b.*)$",
    re.IGNORECASE,
)


def about(tagged: Tagged) -> str | None:
    """Give "when is it ready for sanding" for "what about sanding it", or None: nothing was done."""
    found = _ABOUT.match(tagged.phrase.strip())
    return f"when is it ready for {found['what']}" if found else None


def joined(tagged: Tagged) -> str | None:
    """Give "got in two pints of undercoat" for "got two pints of undercoat in", or None."""
    found = _PARTED_VERB.match(tagged.phrase)
    measured = any(s.tag in ("amount", "count") for spans in tagged.spans for s in spans)
    return f"{found['got']} in{found['what']}" if found and measured else None


_REQUEST: Final = re.compile(
    r"^(?:.*?[,\s])??(?:can|could|would|will) you (?:please )?"
    r"(?:log|put down|write down|record|mark down|note down|enter|jot down|put in)(?: for me)?(?: that)?\s+(?=\S)",
    re.IGNORECASE,
)


def told(tagged: Tagged) -> str | None:
    """Give what is to be logged of "could you put down that ...", or None if nothing was asked for so."""
    found = _REQUEST.match(tagged.phrase)
    return tagged.phrase[found.end() :] if found else None


_TO_DO: Final = re.compile(r"^(?:to ?do\b\s*[:,-]?\s*(?P<after>.+)|(?P<before>.+?)[\s,]+to ?do)$", re.IGNORECASE)
_PARTED: Final = re.compile(r"\s*(?:,\s*and\b|,\s*then\b|,|\band\b|\bthen\b|\bplus\b)\s*", re.IGNORECASE)


def to_do(tagged: Tagged) -> str | None:
    """Give "to do A and to do B" for "A and B, to do" where each is so many coats; None if it is nothing so."""
    found = _TO_DO.match(tagged.phrase.strip(" ."))
    parts = _PARTED.split(found["after"] or found["before"]) if found and "coats" in tagged.words else []
    if len(parts) < 2 or not all(_COUNTED.match(part) for part in parts):
        return None
    return " and ".join(f"to do {part}" for part in parts)


_COUNTED: Final = re.compile(rf"(?:\d+|an?|{'|'.join(NUMBERS)})\s+(?:more\s+)?(?:coats?\b|of\b)", re.IGNORECASE)

#: "It wasn't undercoat, it was primer".
_WAS_NOT: Final = re.compile(
    r"^(?:no,? )?(?:it|that) (?:wasn't|was not|isn't|is not) .+?,? (?:it was|that was|it is|it's|but) (?P<is>.+)$",
    re.IGNORECASE,
)


def contrast(tagged: Tagged) -> str | None:
    """Give the phrase without what it is said not to be ("that was 240 not 320"), or None if it has no such part."""
    words = tagged.words
    denied = _WAS_NOT.match(tagged.phrase)
    if denied:
        return f"no, it was {denied['is']}"
    for i, word in enumerate(words):
        if word != "not" or i == 0:
            continue
        right = i + 1
        while right < len(words) and words[right] in _BETWEEN:
            right += 1
        before = {s.tag for k in range(i) for s in tagged.spans[k] if s.j <= i and s.tag in _KINDS}
        for s in tagged.spans[right] if right < len(words) else ():
            if s.tag in before and s.tag in _KINDS:
                end = tagged.tokens[s.j].start if s.j < len(words) else len(tagged.phrase)
                text = f"{tagged.phrase[: tagged.tokens[i].start].rstrip(' ,')} {tagged.phrase[end:]}".strip()
                return f"no, {text}" if words[0] in ("that", "it") else text
    return None


_AUX: Final = frozenset(
    [
        "is",
        "are",
        "was",
        "were",
        "do",
        "does",
        "did",
        "have",
        "has",
        "had",
        "can",
        "could",
        "will",
        "would",
        "should",
        "am",
    ]
)
_PRONOUNS: Final = frozenset(["i", "we", "it", "you", "he", "she", "they", "there", "that"])


#: Words of a tag question about something done.
_BEEN: Final = frozenset(["did", "have", "has", "was", "were", "had"])
_STATED: Final = frozenset(["temp", "air.temperature", "air.humidity", "percent"])


def _told_of(tagged: Tagged, end: int) -> bool:
    """Whether what stands before a tag question is a question itself, or tells of something other than a coat."""
    tags = {s.tag for spans in tagged.spans[:end] for s in spans if s.doubt < 0.3}
    coat = tags & {"ordinal", "nth", "product", "act.coat"}
    return any(t.startswith("q.") for t in tags) or bool(tags & _STATED) or not coat


def untagged(tagged: Tagged) -> str | None:
    """Give a phrase without its tag question ("..., haven't I"), or None if it has none.

    What the tag asks is only "agree with me": the phrase before it is a statement, or a question of its own.
    """
    words = [*tagged.words]
    end = len(words)
    while end and words[end - 1] in ("?", ",", "!"):
        end -= 1
    for length in (3, 2):
        start = end - length
        tail = words[start:end]
        if start < 3 or tail[0] not in _AUX or tail[-1] not in _PRONOUNS or (length == 3 and tail[1] != "not"):
            continue
        if tail[0] not in _BEEN and not _told_of(tagged, start):
            continue  # "third coat on the hatch, isn't it" asks: nobody has said that it was done
        if words[start - 1] == "," or length == 3:
            return tagged.phrase[: tagged.tokens[start].start].rstrip(" ,")
    return None


def _pair(tagged: Tagged, left: int, right: int) -> tuple[int, int] | None:
    """Give where the wrong word begins and where the right one does."""
    words = tagged.words
    while left > 0 and words[left - 1] in (",",):
        left -= 1
    while right < len(words) and words[right] in _BETWEEN:
        right += 1
    if right >= len(words):
        return None
    after = {s.tag: s for s in tagged.spans[right] if s.tag in _KINDS}
    for start in range(max(0, left - 5), left):
        for s in tagged.spans[start]:
            if s.j == left and s.tag in after:
                return start, right
    return None
