"""Whether all that was named is held by what a phrase was read as: what is not must not be logged past.

A product that no meaning holds belongs to the coat or the mix that was told without one. A piece that no meaning holds
was dropped on the way, so the entry would tell something else than the person did: it is held, the word asked about.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language.chunks import Cat, Chunk, Measure, Phrase
from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Flaw,
    Force,
    Group,
    Meaning,
    Note,
    Question,
    Remark,
    Spell,
    TinFact,
    Undo,
)
from assistant.language.measures import GRITS
from assistant.language.names import Name

#: A name heard with more doubt than this may be another word.
_SURE: Final = 0.4


def accounted(phrase: Phrase, meanings: list[Meaning]) -> list[Meaning]:
    """Hold the deed that stands nearest to a name which no meaning has; everything as it is where none is missing."""
    told = [m for m in meanings if isinstance(m, Deed) and m.force is Force.DONE and m.held is None]
    other = any(
        isinstance(m, Question | Correction | Undo | Note) or (isinstance(m, Remark) and m.words) for m in meanings
    )
    if not told or other or len(told) != len(meanings):
        return meanings
    grit = _lost_grit(phrase, told)
    if grit:
        return [replace(m, held=m.held or grit) if m is told[-1] else m for m in meanings]
    held = {o for m in meanings for o in _held(m)}
    lost = [c for c in _names(phrase) if not held & set(c.value.options)]
    out = list(meanings)
    for name in lost:
        word = phrase.said(name.i, name.j)
        if any(word in u for m in told for u in m.unused):
            continue  # it is named back
        if name.value.kind == "product":
            out = _given(out, name.value)
        else:
            out[-1] = replace(out[-1], held=out[-1].held or word)
    return out


def placed(phrase: Phrase, meanings: list[Meaning]) -> list[Meaning]:
    """Give a reading of the air that names no space the one that the same breath named: "in the heads, it's ten"."""
    bare = [m for m in meanings if isinstance(m, Spell) and not (m.spaces or m.everywhere or m.outside or m.there)]
    named = {c.value.options: c.value for cs in phrase.chunks for c in cs if _is_space(c)}
    if len(bare) != 1 or len(named) != 1 or any(isinstance(m, Spell) and m.spaces for m in meanings):
        return meanings
    space = next(iter(named.values()))
    return [replace(m, spaces=(space,)) if m is bare[0] else m for m in meanings]


def _is_space(c: Chunk) -> bool:
    return c.cat is Cat.NAME and c.value.kind == "space" and c.value.whole and c.doubt < _SURE


def _lost_grit(phrase: Phrase, told: list[Deed]) -> str:
    """Give the words of a grit that no sanding has, where nothing was said of a time; "" where there is none."""
    grits = {g for m in told for g in m.grit}
    if not grits or any(m.when is not None or m.began is not None or m.amount is not None for m in told):
        return ""
    said = phrase.longest(Cat.MEASURE, lambda c: c.value[0] is Measure.GRIT and c.doubt < _SURE)
    return next((phrase.said(c.i, c.j) for c in said if int(c.value[1]) in GRITS and int(c.value[1]) not in grits), "")


def _given(meanings: list[Meaning], product: Name) -> list[Meaning]:
    """Give a product to the only coat or mix that was told without one."""
    bare = [
        m for m in meanings
        if isinstance(m, Deed) and m.act in (Act.COAT, Act.MIX) and not m.products and m.kind is None and not m.held
    ]  # fmt: skip
    if len(bare) != 1:
        return meanings
    return [replace(m, products=(product,)) if m is bare[0] else m for m in meanings]


def _names(phrase: Phrase) -> list[Chunk]:
    """Give the names of products and pieces in a phrase, the longest at each place."""

    def sure(c: Chunk) -> bool:
        clear = c.value.kind in ("product", "piece") and c.doubt < _SURE and not any(phrase.doubts[c.i : c.j])
        whole = c.value.kind == "product" or c.value.whole
        return clear and (c.j - c.i > 1 or (phrase.kinds[c.i] == "word" and whole))

    return list(phrase.longest(Cat.NAME, sure))


def _held(meaning: Meaning) -> set[str]:
    out: set[str] = set()
    if isinstance(meaning, Deed | Flaw | TinFact):
        out |= {o for n in meaning.products for o in n.options} | _of(meaning.pieces)
    if isinstance(meaning, Spell):
        out |= {o for n in (*meaning.spaces, *meaning.besides) for o in n.options}
    return out


def _of(group: Group | None) -> set[str]:
    if group is None:
        return set()
    return {o for n in (*group.names, *group.spaces) for o in n.options} | _of(group.besides)
