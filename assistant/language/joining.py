"""Meanings that stand side by side put together: lists, contrasts, what is said of each, a time said of several."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    Meaning,
    Note,
    Spell,
    TinFact,
    Undo,
)
from assistant.language.sentences import Sentence
from assistant.language.when import When


def put_on_list(meanings: list[Meaning]) -> list[Meaning]:
    """Let "put that on the list", "cross that off" and "had to bin it" work on what was told before them."""
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        if isinstance(m, Errand) and m.force is Force.DONE and not m.text and isinstance(before, Note):
            out[-1] = Errand(text=before.text, words=before.words)
        elif (
            isinstance(m, TinFact)
            and isinstance(before, TinFact)
            and m.change in ("spoiled", "empty")
            and not m.products
            and not m.unknown
        ):
            out[-1] = before if before.change == m.change else replace(before, change=m.change)
        elif (
            isinstance(m, Spell)
            and isinstance(before, Spell)
            and before.heating
            and before.temperature is None
            and before.humidity is None
        ):
            out[-1] = replace(
                m, heating=before.heating, spaces=m.spaces or before.spaces
            )  # "stove's lit, saloon's up to twenty two"
        elif isinstance(m, Errand) and m.force is Force.ORDERED and not m.text:
            if not isinstance(before, Deed | Note):
                continue
            out[-1] = (
                replace(before, force=Force.ORDERED) if isinstance(before, Deed)
                else Errand(text=before.text, force=Force.ORDERED, words=before.words)
            )  # fmt: skip
        else:
            out.append(m)
    return out


def each_its_own(meanings: list[Meaning]) -> list[Meaning]:
    """Let what is said of single pieces stand for what was said of them together: "both primed, port at one, ..."."""
    out: list[Meaning] = []
    n = 0
    while n < len(meanings):
        host = meanings[n]
        k = n + 1
        own: list[Deed] = []
        while k < len(meanings) and isinstance(m := meanings[k], Deed) and (m.gapped or _of_host(host, m)):
            own.append(m)
            k += 1
        if not (isinstance(host, Deed) and own and host.pieces and host.pieces.names):
            out.append(host)
            n += 1
            continue
        held = {o for name in host.pieces.names for o in name.options}
        mine = [{o for name in m.pieces.names for o in name.options} if m.pieces else set() for m in own]
        if not all(m and m <= held for m in mine) or (len(host.pieces.names) == 1 and len(held) == 1):
            out.append(host)
            n += 1
            continue
        covered = set().union(*mine)
        rest = tuple(name for name in host.pieces.names if not set(name.options) <= covered)
        if rest:
            out.append(replace(host, pieces=replace(host.pieces, names=rest, quantifier=None, count=None)))
        out += [
            replace(
                host,
                pieces=m.pieces,
                when=m.when or host.when,
                coat=m.coat or host.coat,
                grit=m.grit or host.grit,
                products=m.products or host.products,
                thinned=m.thinned or host.thinned,
                words=f"{host.words} {m.words}",
                held=m.held or host.held,
            )
            for m in own
        ]
        n = k
    return out


def _of_host(host: Meaning, m: Deed) -> bool:
    """Whether a deed has nothing of its own but a time or a figure of what was told before it: the same work."""
    return (
        isinstance(host, Deed)
        and m.act is host.act
        and m.force is host.force is Force.DONE
        and not m.verb
        and m.products in ((), host.products)
        and m.coat in (None, host.coat)
        and m.pieces is not None
        and not m.pieces.quantifier
    )


def manner_dropped(meanings: list[Meaning]) -> list[Meaning]:
    """Drop a second coat that has nothing of its own ("..., rolled and tipped"): it says how the first was laid.

    And let "..., scratch it" take back the entry that was named before it.
    """
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        bare = (
            isinstance(m, Deed)
            and m.act is Act.COAT
            and not (m.pieces or m.products or m.coat or m.another or m.when or m.count or m.kind)
        )
        if bare and isinstance(before, Deed) and before.act is Act.COAT and m.force is before.force:
            continue
        if (
            isinstance(m, Undo)
            and m.target is None
            and isinstance(before, Deed)
            and before.force is Force.DONE
            and not before.verb
        ):
            out[-1] = replace(m, target=before)
            continue
        out.append(m)
    return out


def contrasted(meanings: list[Meaning]) -> list[Meaning]:
    """Put "it wasn't undercoat, it was primer" together: what it was not, and what it was."""
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        if isinstance(m, Correction) and isinstance(before, Undo) and before.target is not None:
            continue  # why: "undo the last coat on the lid, it was only a wipe"
        if not isinstance(m, Correction) or not isinstance(before, Correction):
            out.append(m)
        elif before.right and not before.wrong and before.force is Force.DENIED:
            out[-1] = replace(m, target=m.target or before.target, wrong=before.right)
        elif before.wrong and not before.right and m.right:
            out[-1] = replace(m, target=m.target or before.target, wrong=before.wrong)
        else:
            out.append(m)
    return out


def asked_whole(found: list[Sentence]) -> list[Sentence]:
    """Make one question of the clauses from the first that asks on: the asking side reads its words itself."""
    asking = [n for n, s in enumerate(found) if s.force is Force.ASKED]
    if not asking:
        return found
    before = found[: asking[0]]
    if all(
        s.force is Force.SUPPOSED
        or s.clause.frame.meaning in ("fragment", "remark", "spell", "other")
        or s.clause.frame.name == "tin-left"
        for s in before
    ):
        before = []  # "if it is damp, can I ...", "the rail, can it be handled": all of it is what is asked
    start = 0 if not before else found[asking[0]].clause.i
    first, last = found[asking[0]], found[-1]
    first = replace(first, clause=replace(first.clause, i=start))
    return [*before, replace(first, clause=replace(first.clause, j=max(last.clause.j, first.clause.j)))]


def shared_times(meanings: list[Meaning]) -> list[Meaning]:
    """Give deeds that are joined without a verb of their own the time that was said of the one they hang on."""
    out = list(meanings)
    for n, m in enumerate(out):
        if isinstance(m, Deed) and m.gapped and m.when is None and n and isinstance(out[n - 1], Deed):
            out[n] = replace(m, when=out[n - 1].when)  # type: ignore[attr-defined]
    for n in range(len(out) - 2, -1, -1):
        m, after = out[n], out[n + 1]
        if isinstance(m, Deed) and isinstance(after, Deed) and _one_run(m, after):
            out[n] = replace(m, when=after.when)  # "sanded it and put the second coat on at ten": the end of both
    for n in range(len(out) - 2, -1, -1):
        m, after = out[n], out[n + 1]
        if (
            isinstance(m, Deed)
            and isinstance(after, Deed)
            and (after.gapped or (not after.verb and not m.verb and after.act is m.act))
            and m.when is None
            and after.when is not None
        ):
            out[n] = replace(m, when=after.when)
    return out


def _one_run(m: Deed, after: Deed) -> bool:
    """Whether two deeds are told as one run of work with the clock time of its end said once."""
    said = after.when
    done = m.force is Force.DONE and after.force is Force.DONE
    return (
        done
        and m.when is None
        and m.began is None
        and isinstance(said, When)
        and said.clock is not None
        and said.day is None
    )


def thinned_after(meanings: list[Meaning]) -> list[Meaning]:
    """Let "..., thinned it five percent" be of the coat that was told just before it in the same breath."""
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        right = m.right if isinstance(m, Correction) and m.target is None and m.wrong is None else None
        only = right is not None and right.thinned is not None and right.pieces is None and not right.products
        if (
            only
            and right is not None
            and isinstance(before, Deed)
            and before.act is Act.COAT
            and before.thinned is None
        ):
            out[-1] = replace(before, thinned=right.thinned)
            continue
        out.append(m)
    return out


def shared_objects(meanings: list[Meaning]) -> list[Meaning]:
    """Give a deed without an object that of the one beside it: "hoovered and tack ragged the two of them"."""
    out = list(meanings)
    for n in range(len(out) - 2, -1, -1):
        m, after = out[n], out[n + 1]
        if not isinstance(m, Deed) or not isinstance(after, Deed) or m.pieces is not None or after.pieces is None:
            continue
        alike = m.force is after.force and m.verb and after.verb and m.act in _OBJECTS and m.held is None
        if alike and len(m.words.split()) <= _BARE and after.pieces.part is None:
            out[n] = replace(m, pieces=after.pieces)
    return out


#: Acts that have an object, and so many words that a verb with none stands in.
_OBJECTS: Final = frozenset([Act.CLEAN, Act.SAND, Act.STRIP, Act.MASK, Act.UNMASK, Act.FILL])
_BARE: Final = 2


def everywhere_else(meanings: list[Meaning]) -> list[Meaning]:
    """Leave the spaces named before out of "twelve everywhere else", "the rest of the boat's ten"."""
    out: list[Meaning] = []
    for m in meanings:
        if isinstance(m, Spell) and m.everywhere and {"else", "rest", "others", "elsewhere"} & set(m.words.split()):
            named = tuple(n for b in out if isinstance(b, Spell) for n in b.spaces)
            out.append(replace(m, besides=(*m.besides, *named)))
            continue
        out.append(m)
    return out


def gapped_whole(meanings: list[Meaning]) -> list[Meaning]:
    """Give a deed that goes on with the verb before it the product and the coat of that one."""
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        if isinstance(m, Deed) and m.gapped and isinstance(before, Deed) and m.act is before.act and not m.products:
            own = m.coat or m.another or m.final
            whole = replace(
                m, products=before.products, kind=m.kind or before.kind, coat=m.coat if own else before.coat,
                thinned=m.thinned or before.thinned, grit=m.grit or before.grit,
            )  # fmt: skip
            out.append(whole)
            continue
        out.append(m)
    return out


def said_twice(meanings: list[Meaning]) -> list[Meaning]:
    """Leave out a deed that only says again what one before it told: "starboard, starboard coaming, second"."""
    out: list[Meaning] = []
    told: set[object] = set()
    for m in meanings:
        if isinstance(m, Deed) and m.force is Force.DONE and m.pieces is not None and (m.coat or m.grit):
            named = frozenset(o for n in m.pieces.names for o in n.options)
            same = (m.act, named, m.pieces.part, m.coat, m.grit)
            if same in told:
                continue
            told.add(same)
        out.append(m)
    return out


def timed(meanings: list[Meaning], said: list[When]) -> list[Meaning]:
    """Give a clock time that no meaning holds to the only deed without one: no time that was said is let go.

    Where it could be of several, each of those is held: it is asked about.
    """
    held = {c for m in meanings for c in _clocks(m)}
    loose = [w for w in said if w.clock is not None and w.clock not in held]
    if not loose or len(loose) > 1:
        return meanings
    told = [m for m in meanings if isinstance(m, Deed | Flaw | TinFact) and m.force is Force.DONE and m.held is None]
    if len(told) == 1 and told[0].when is None and getattr(told[0], "began", None) is None:
        return [replace(told[0], when=loose[0]) if m is told[0] else m for m in meanings]
    return meanings


def _clocks(meaning: Meaning) -> list[object]:
    out: list[object] = []
    for name in ("when", "began", "due", "not_before", "until", "ring", "start", "end"):
        value = getattr(meaning, name, None)
        if isinstance(value, When) and value.clock is not None:
            out.append(value.clock)
        if isinstance(value, When) and value.between is not None:
            out += value.between
    return out
