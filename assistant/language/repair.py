"""A slip put right in the same breath: "second, no, third coat", "at nine, sorry, ten".

What was said just before the repair word and what comes just after are the same kind of thing; the first is
dropped and the phrase is read as it was meant.
"""

from __future__ import annotations

from typing import Final

from assistant.language.spans import Tagged

_MARKERS: Final = (
    ("no", "wait"), ("wait", "no"), ("no", "i", "mean"), ("no", "sorry"), ("sorry", "no"), ("i", "mean"), ("i", "meant"), ("or", "rather"),
    ("make", "that"), ("no", "make", "that"), ("scratch", "that"), ("i", "tell", "a", "lie"), ("hang", "on"), ("no",), ("sorry",), ("rather",),
    ("correction",), ("wait",), ("er",), ("um",), ("actually",),
)  # fmt: skip
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


def repair(tagged: Tagged) -> str | None:
    """Give the phrase with the slip taken out, or None if there is none."""
    words = tagged.words
    for i in range(1, len(words)):
        for marker in sorted(_MARKERS, key=len, reverse=True):
            end = i + len(marker)
            if tuple(words[i:end]) != marker or end >= len(words):
                continue
            cut = _pair(tagged, i, end)
            if cut is not None:
                start, resume = cut
                text = tagged.phrase
                return f"{text[: tagged.tokens[start].start]} {text[tagged.tokens[resume].start :]}".strip()
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
