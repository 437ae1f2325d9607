"""What the trade knows: the knowledge card that a question's words are about, said for the material named.

The card is found by a small score over the plain forms of the words, the same whatever their order: a word that means
nothing else counts 3, the first thing and the first act 2 each. A card that another comes close to is not
taken but offered, since a wrong answer is worse than a question.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.library.topics import Part, Statement, Topic, all_topics

_ALONE: Final = 3.0
_FIRST: Final = 2.0
_MORE: Final = 0.5
_ALSO: Final = 0.75
_MOST_MORE: Final = 2  # further words of a group that still count
_FITS: Final = 0.5  # a statement for the very material that was named
_NEAREST: Final = 2.0  # what a card must have to be offered
_MARGIN: Final = 0.5
_LABEL: Final = "The label goes first."

#: Words of a question about this job, its clock and its figures: no card answers those.
_OWN: Final = frozenset({
    "yet", "ready", "now", "many", "percent", "ml", "mil", "litre", "gram", "degree", "left", "ago", "until", "today",
    "yesterday", "tonight", "log",
})  # fmt: skip

_WHY: Final = frozenset({"why", "cause", "reason", "from", "because"})
_CURE: Final = frozenset({"fix", "cure", "rid", "repair", "remove", "mend", "rescue", "sort", "save", "deal"})
_NEVER: Final = frozenset({"avoid", "prevent", "stop", "keep", "again"})
_LOOK: Final = frozenset({"look", "mean", "be", "what"})


@dataclass(frozen=True, slots=True)
class Know:
    """What is said of a topic; ``basis`` names every word it rests on, ``product`` as it was given."""

    topic: str
    product: str | None
    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class Match:
    """A card and how well the words speak for it; ``sure`` if they hold enough to answer from."""

    topic: Topic
    score: float
    sure: bool


def find(lemmas: frozenset[str], kinds: frozenset[str] = frozenset(), *, product: str | None = None) -> Know | None:
    """Give what is known of the topic the words are about, or None if none is, or two are as near.

    None, too, where the words ask of this job: its readiness, its amounts, its days.

    ``lemmas`` are the plain forms of the question's words, question words too ("why", "which"); where a word may have
    two plain forms, both. ``kinds`` are the family, kind and generic type of the material named.
    """
    if _OWN & lemmas:
        return None
    ranked = [match for match in matches(lemmas, kinds) if match.sure]
    if not ranked or (len(ranked) > 1 and ranked[0].score - ranked[1].score < _MARGIN):
        return None
    return tell(ranked[0].topic, lemmas, kinds, product=product)


def matches(lemmas: frozenset[str], kinds: frozenset[str] = frozenset()) -> tuple[Match, ...]:
    """Give every card the words come near, the nearest first; equals by name, so that it is always the same."""
    found = [m for topic in all_topics() if (m := _match(topic, lemmas, kinds)) is not None]
    return tuple(sorted(found, key=lambda m: (-m.sure, -m.score, m.topic.name)))


def offers(lemmas: frozenset[str], kinds: frozenset[str] = frozenset(), *, most: int = 2) -> tuple[str, ...]:
    """Give the titles of the nearest cards, to be offered where none was sure."""
    return tuple(m.topic.title for m in matches(lemmas, kinds)[:most])


def tell(
    topic: Topic,
    lemmas: frozenset[str] = frozenset(),
    kinds: frozenset[str] = frozenset(),
    *,
    product: str | None = None,
) -> Know:
    """Say a card for the material named: of a fault, the part that was asked for first; the label always last."""
    fitting = [s for s in topic.says if s.on & kinds]
    parts = _parts(lemmas)
    general = sorted((s for s in topic.says if not s.on), key=lambda s: parts.index(s.part))
    if any(s.part is not Part.SAY for s in general):
        general = [s for s in general if s.part in parts[:3]]
    told: list[Statement] = [*general, *fitting]
    return Know(
        topic.name,
        product,
        " ".join((*(s.text for s in told), _LABEL)),
        "; ".join(dict.fromkeys(s.basis for s in told)),
    )


def _parts(lemmas: frozenset[str]) -> list[Part]:
    """Order the parts of a fault by what was asked; the first three are said."""
    asked = [
        part
        for part, words in ((Part.NEVER, _NEVER), (Part.CAUSE, _WHY), (Part.CURE, _CURE), (Part.LOOK, _LOOK))
        if words & lemmas
    ]
    if asked == [Part.LOOK] or not asked:
        asked = [Part.LOOK] if "look" in lemmas or "mean" in lemmas else []
    else:
        asked = [p for p in asked if p is not Part.LOOK]
    return [Part.SAY, *asked, *(p for p in (Part.CAUSE, Part.CURE, Part.NEVER, Part.LOOK) if p not in asked)]


def _match(topic: Topic, lemmas: frozenset[str], kinds: frozenset[str]) -> Match | None:
    if topic.bars & lemmas or (topic.kinds and kinds and not topic.kinds & kinds):
        return None
    alone = topic.alone & lemmas
    thing = topic.things & lemmas
    act = (topic.acts & lemmas) - (thing if len(thing) == 1 else frozenset())  # one word is not both
    score = _ALONE * min(len(alone), _MOST_MORE) + _group(thing) + _group(act)
    if score < _NEAREST:
        return None
    score += _ALSO * min(len((topic.also & lemmas) - thing - act - alone), _MOST_MORE)
    score += _FITS * (bool(topic.kinds & kinds) or any(s.on & kinds for s in topic.says))
    return Match(topic, score, bool(alone or (thing and act)))


def _group(words: frozenset[str]) -> float:
    return _FIRST + _MORE * min(len(words) - 1, _MOST_MORE) if words else 0.0
