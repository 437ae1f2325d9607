"""A breath of several things read one by one, where read as a whole it would lose some of them.

"Flatted the door, two forty, then first of the cream on it at four": the clause reader finds the first verb and has no
place for the rest. Each side of a joint is read by itself, and both count if both stand alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from assistant.language.chunks import Cat, Chunk, Phrase
from assistant.language.meanings import (
    Act,
    Answer,
    Correction,
    Deed,
    Flaw,
    Force,
    Meaning,
    Note,
    Question,
    Reading,
    Remark,
    Spell,
    TinFact,
    Unread,
)

#: No phrase has more parts than this that are worth trying.
_MOST = 8


def loses(meanings: list[Meaning]) -> bool:
    """Whether a reading leaves out something that was said: words unused, held or kept as they are beside work."""
    told = [m for m in meanings if isinstance(m, Deed | Spell | TinFact | Flaw) and m.force is Force.DONE]
    if any(isinstance(m, Unread | Question) or m.held for m in meanings) or any(m.unused for m in told):
        return True
    if any(isinstance(m, Deed) and _strays(m) for m in told):
        return True
    return bool(told) and any(isinstance(m, Note) for m in meanings)


def _strays(deed: Deed) -> bool:
    """Whether a deed holds what is of another: sanding has no coat."""
    return (
        deed.act in (Act.SAND, Act.CLEAN, Act.STRIP) and deed.coat is not None and not deed.words.startswith("between")
    )


def parted(phrase: Phrase, read: Callable[[str], Reading]) -> tuple[Meaning, ...] | None:
    """Give the meanings of both sides of the first joint at which both stand alone; None if there is none."""
    tried = 0
    for k, after in sorted(_joints(phrase), key=lambda j: "then" not in phrase.words[j[0] : j[1]]):
        tried += 1
        if tried > _MOST:
            break
        left = _side(phrase, 0, k, read)
        if left is None:
            continue
        right = _side(phrase, after, len(phrase), read)
        if right is None or not (left or right):
            continue
        return (*left, *(_told(m, left) for m in right))
    return None


def _side(phrase: Phrase, i: int, j: int, read: Callable[[str], Reading]) -> tuple[Meaning, ...] | None:
    """Give what one side tells; nothing where it only chats, None where it speaks of the job and is not understood."""
    meanings = read(phrase.said(i, j)).meanings
    if _stands([_told(m, (_DONE,)) for m in meanings]) and not loses(list(meanings)):
        return meanings
    idle = all(isinstance(m, Remark | Unread | Answer | Note) or m.force in _IDLE for m in meanings)
    return () if idle and not _of_the_job(phrase, i, j) else None


_IDLE = (Force.REMARKED, Force.REPORTED, Force.WISHED, Force.SUPPOSED)
_DONE = Deed(act=Act.OTHER)


def _of_the_job(phrase: Phrase, i: int, j: int) -> bool:
    """Whether words name a thing of the job or a figure: then they are no chat."""
    for cs in phrase.chunks[i:j]:
        for c in cs:
            if c.j > j or c.doubt > _SURE:
                continue
            if c.cat is Cat.NAME or (c.cat is Cat.MEASURE and c.value[0].value != "count"):
                return True
            if c.cat is Cat.TIME and (getattr(c.value.value, "clock", None) is not None or c.value.tag != "when"):
                return True
            if c.cat is Cat.NOUN and c.value.sense.split(".")[0] in ("coat", "fault", "vessel", "act"):
                return True
    return False


def _joints(phrase: Phrase) -> Iterator[tuple[int, int]]:
    """Give the places where a breath may be parted: what is left ends there, and what follows begins."""
    k = 1
    while k < len(phrase) - 1:
        end = k
        while phrase.at(end) in (",", ";", "and", "then", "but", "so"):
            end += 1
        if end > k and end < len(phrase) and not (_name_ends(phrase, k) and _name_begins(phrase, end)):
            yield k, end
        k = max(end, k + 1)


def _name_ends(phrase: Phrase, k: int) -> bool:
    return any(c.j == k and _piece(c) for i in range(max(0, k - 4), k) for c in phrase.of(i, Cat.NAME))


def _name_begins(phrase: Phrase, k: int) -> bool:
    at = k + (phrase.at(k) in ("the", "a", "my"))
    ends = [c.j for c in phrase.of(at, Cat.NAME) if _piece(c)]
    return any(not any(True for _ in phrase.of(j, Cat.VERB)) for j in ends)


def _piece(name: Chunk) -> bool:
    return name.value.kind == "piece" and name.doubt < _SURE


#: A name heard with more doubt than this joins nothing.
_SURE = 0.4


def _stands(meanings: tuple[Meaning, ...] | list[Meaning]) -> bool:
    """Whether a side tells something whole: work with what it was, nothing held or left out."""
    told = [m for m in meanings if not (isinstance(m, Remark) and m.force is not Force.DENIED)]
    return bool(told) and all(_whole(m) for m in told)


def _whole(meaning: Meaning) -> bool:
    if meaning.held or meaning.unused or meaning.force is not Force.DONE:
        return False
    if isinstance(meaning, Deed):
        if meaning.act is Act.OTHER or _strays(meaning):
            return False
        of = meaning.pieces is not None or meaning.act is Act.CLEAN
        return bool(meaning.verb or meaning.coat or meaning.products or (meaning.grit and of) or of)
    return isinstance(meaning, Spell | TinFact | Flaw | Correction)


def _told(meaning: Meaning, left: tuple[Meaning, ...]) -> Meaning:
    """Take "fourth coat on by quarter to" after work that is done for done by then, not as due."""
    done = bool(left) and isinstance(left[-1], Deed) and left[-1].force is Force.DONE
    if (
        done
        and isinstance(meaning, Deed)
        and not meaning.verb
        and meaning.force is Force.MEANT
        and meaning.due is not None
    ):
        return replace(meaning, force=Force.DONE, when=meaning.due, due=None)
    return meaning
