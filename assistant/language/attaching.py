"""What has no predicate of its own: it belongs to the clause beside it, or goes on with its verb on another piece."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language.clause import Clause

_NOTHING: Final = frozenset(["subordinator", None])


def attached(clauses: list[Clause]) -> list[Clause]:
    """Put fragments to the clause they belong to; a fragment with a piece of its own goes on with the verb before."""
    out: list[Clause] = []
    for clause in clauses:
        thins = (
            clause.frame.name == "thin"
            and out
            and out[-1].frame.name == "coat"
            and not clause.has("products", "pieces", "coat", "amount")
        )
        if not out or (clause.frame.name != "fragment" and not _aspect(clause) and not thins):
            out.append(clause)
            continue
        slots = {p.slot for p in clause.parts} - _NOTHING
        host = out[-1]
        if _aspect(clause) and host.frame.meaning == "deed":
            out[-1] = _timed(host, clause)
            continue
        if not slots and not clause.unused:
            continue  # only pauses
        if clause.frame.name == "thin" or host.frame.name == "fragment":
            out[-1] = _merged(host, clause)
        elif clause.frame.name == "fragment" and host.frame.meaning in ("deed", "spell", "tin", "flaw"):
            own = {p.slot for p in host.parts}
            if slots & {"pieces", "spaces"} and own & {"pieces", "spaces"}:
                out.append(replace(_borrowed(host, clause), gapped=True))
            elif slots & own & {"when", "coat", "grit", "amount", "temperature"}:
                out.append(clause)
            else:
                out[-1] = _merged(host, clause)
        elif host.frame.meaning in ("rule", "remark", "other", "correction", "gear"):
            out[-1] = _merged(host, clause)
        else:
            out.append(clause)
    if (
        len(out) > 1
        and out[0].frame.name == "fragment"
        and out[1].frame.meaning in ("deed", "spell", "tin", "flaw", "rule", "correction")
    ):
        own = {p.slot for p in out[1].parts}
        first = {p.slot for p in out[0].parts} - _NOTHING
        if not (first & own):
            out[0:2] = [_merged(out[1], out[0])]
    return out


def _aspect(clause: Clause) -> str:
    """Give "start" or "finish" for "started at nine", "finished at ten": the time of the work told beside it."""
    sense = clause.use.sense if clause.use is not None else ""
    slots = {p.slot for p in clause.parts} - _NOTHING - {"actor", "conjunction"}
    known = {"start", "finish", "stop"}
    return sense if sense in known and any(p.item.kinds[0] == "time" for p in clause.parts) and all(
        p.item.kinds[0] in ("time", "self", "pronoun.it", "pronoun.them") for p in clause.parts if p.slot in slots
    ) else ""  # fmt: skip


def _timed(host: Clause, clause: Clause) -> Clause:
    """Put "started at nine" or "finished at ten" to the work that it speaks of."""
    slot = "began" if _aspect(clause) == "start" else "when"
    kept = (
        host.parts
        if slot == "began"
        else tuple(p._replace(slot="began") if p.slot == "when" else p for p in host.parts)
    )
    more = tuple(p._replace(slot=slot) for p in clause.parts if p.item.kinds[0] == "time")
    return replace(host, j=max(host.j, clause.j), parts=(*kept, *more), cost=host.cost + clause.cost)


def _merged(host: Clause, more: Clause) -> Clause:
    return replace(
        host,
        i=min(host.i, more.i),
        j=max(host.j, more.j),
        parts=(*host.parts, *more.parts),
        cost=host.cost + more.cost,
    )


def _borrowed(host: Clause, more: Clause) -> Clause:
    """Give a fragment the frame and verb of the clause before: "... and the starboard one at two"."""
    frame = host.frame
    parts = []
    for p in more.parts:
        slot = p.slot
        if slot not in _NOTHING and not any(s == slot for s in frame.roles.values()):
            slot = frame.slot(p.item.prep or "obj", p.item.kinds) or frame.slot("topic", p.item.kinds)
        parts.append(p._replace(slot=slot))
    return replace(
        more, frame=frame, verb=host.verb, use=host.use, lemma=host.lemma, light=host.light, parts=tuple(parts)
    )
