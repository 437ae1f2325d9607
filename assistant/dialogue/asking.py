"""Answers from the journal and the library: how things stand, what was done when, labels, what goes over what."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

from assistant.craft import readiness as craft
from assistant.craft.order import may
from assistant.craft.times import utc
from assistant.dialogue import naming
from assistant.dialogue.correct import described
from assistant.dialogue.talk import Back, Result, Talk
from assistant.dialogue.wording import capital, lasting, listed, ordinal, when
from assistant.journal.events import Coat, Event, Fault, Sand, to_json
from assistant.language.meaning import Meaning
from assistant.library.page import lines

#: Stages of a film that is no longer wet, and of one that no longer keeps anybody waiting.
_SAFE = ("dust", "sand", "overcoat", "handle", "cured", "window shut")
_DRY = ("overcoat", "handle", "cured", "window shut")


def status(talk: Talk, m: Meaning) -> Result:
    """Answer what is on, what is wet, and what is ready next."""
    where = naming.space(talk, m)
    if where is not None and re.search(r"\b(?:sand|dust)\b", m.text.lower()):
        from assistant.dialogue.readying import dust

        return dust(talk, m)
    named = naming.pieces(talk, m, need=False) if m.pieces else list(talk.state.work)
    rows = [_row(talk, p) for p in named if where is None or talk.state.space_of(p) == where]
    rows = [r for r in rows if r["last"] is not None]
    answer = {
        "about": "status",
        "pieces": [{k: r[k] for k in ("piece", "last", "stage", "next")} for r in rows],
    }
    if not rows:
        return Result("Nothing on: no work logged yet" + (f" in the {where}." if where else "."), answer=answer)
    live = [r for r in rows if r["live"]]
    for word, over in (("wet", _SAFE), ("drying", _DRY)):
        if re.search(rf"\b{word}\b", m.text.lower()):
            live = [r for r in live if r["stage"] not in over]
            if not live:
                return Result(f"Nothing is {word} that I know of.", answer=answer)
    rest = len(rows) - len(live)
    text = " ".join(f"{capital(r['piece'])}: {r['said']}." for r in (live or rows)[:8])
    if live and rest:
        text += f" {rest} more {'is' if rest == 1 else 'are'} dry."
    return Result(text, answer=answer)


def _row(talk: Talk, piece: str) -> dict[str, Any]:
    work = talk.state.work.get(piece, ())
    row: dict[str, Any] = {
        "piece": piece,
        "last": to_json(work[-1]) if work else None,
        "stage": None,
        "next": None,
        "live": False,
        "said": "",
    }
    film = craft.film_on(talk.state, piece, talk.now)
    if not work:
        return row
    if film is None:
        row["said"] = described(work[-1], talk.now)
        return row
    reached, coming = "wet", None
    for stage in ("touch", "dust", "sand", "overcoat", "handle", "cured"):
        found = craft.readiness(talk.state, talk.cards, piece, stage, talk.now)
        if found.unknown is not None:
            row["said"] = f"{_last(work)}, {found.unknown}" if reached == "wet" else row["said"]
            continue
        shut = (
            stage == "overcoat" and found.latest is not None and utc(found.latest) <= utc(talk.now) and not found.ready
        )
        if found.ready:
            reached = stage
        elif shut:
            reached = "window shut"
        elif found.earliest is not None and (coming is None or utc(found.earliest) < utc(coming[1])):
            coming = (stage, found.earliest)
    row["stage"] = reached
    row["next"] = {"stage": coming[0], "from": coming[1]} if coming else None
    row["live"] = reached != "cured"
    if not row["said"]:
        row["said"] = f"{_last(work)}, {_STOOD.get(reached, reached)}"
        if coming:
            row["said"] += f", {_NEXT[coming[0]]} from {when(coming[1], talk.now)}"
    return row


_STOOD = {
    "touch": "touch dry", "dust": "dust-free", "sand": "ready to sand", "overcoat": "ready for the next coat",
    "handle": "hard enough to handle", "window shut": "window shut, key it first",
}  # fmt: skip
_NEXT = {
    "touch": "touch dry",
    "dust": "dust-free",
    "sand": "sand",
    "overcoat": "recoat",
    "handle": "handle",
    "cured": "cured",
}


def _last(work: tuple[Event, ...]) -> str:
    last = work[-1]
    coats = [e for e in work if isinstance(e, Coat)]
    if isinstance(last, Coat):
        return f"{ordinal(last.coat).lower()} coat on"
    if isinstance(last, Sand) and coats:
        return f"{ordinal(coats[-1].coat).lower()} coat sanded"
    if isinstance(last, Fault):
        return f"{last.fault} noted"
    return {
        "fill": "filled",
        "bond": "bonded",
        "clean": "cleaned",
        "strip": "stripped",
        "sand": "sanded",
        "fit": "fitted",
        "mask": "masked",
        "unmask": "tape off",
    }.get(last.kind, last.kind)


_ACTS = ("coat", "sand", "fill", "strip", "clean", "mask", "unmask", "bond", "fit", "mix")


def history(talk: Talk, m: Meaning) -> Result:
    """Answer when something was last done, or how many coats are on."""
    kind = next((a for a in _ACTS if m.has(f"act.{a}")), None)
    if re.search(r"\blast thing\b|\bdo last\b", m.text.lower()):
        kind = None
    named = m.pieces or ((m.has("talk.it") or talk.fresh) and "do last" not in m.text.lower())
    pieces = naming.pieces(talk, m, need=False) if named and kind != "mix" else []
    if m.has("q.howmuch") and re.search(r"\bmore\b|\bleft\b|\bto go\b", m.text.lower()) and pieces:
        from assistant.dialogue.planning import left

        return left(talk, m)
    if m.has("q.howmuch") and kind in (None, "coat"):
        return _count(talk, pieces or naming.pieces(talk, m))
    if m.has("grit") or (m.has("q.what") and kind is None and not m.has("ask.last", "ask.lasttime")):
        kind = kind or "sand"
    found: list[Event] = []
    for piece in pieces or [None]:  # type: ignore[list-item]
        found.extend(talk.journal.search(kind=kind, piece=piece, limit=5))
    if m.ordinal is not None:
        found = [e for e in found if isinstance(e, Coat) and e.coat == m.ordinal]
    if stuff := _stuff(talk, m):
        found = [e for e in found if isinstance(e, Coat) and e.product in stuff]
    found.sort(key=lambda e: utc(e.at), reverse=True)
    if pieces:
        talk.said_pieces = pieces
    nth = f"{ordinal(m.ordinal).lower()} " if m.ordinal is not None else ""
    what = f"{nth}{kind or 'anything'}" + (f" on {listed('the ' + p for p in pieces)}" if pieces else "")
    answer: dict[str, Any] = {
        "about": "diary", "day": None, "entries": [to_json(e) for e in found[:3]], "totals": {},
    }  # fmt: skip
    if not found:
        return Result(f"I have no {what} in the journal.", answer=answer)
    answer["day"] = found[0].at.astimezone(talk.now.tzinfo).date().isoformat()
    ago = f", {lasting(talk.now - found[0].at)} ago" if re.search(r"\bago\b", m.text.lower()) else ""
    of = f", {found[0].product}" if isinstance(found[0], Coat) and found[0].product else ""
    return Result(capital(f"{described(found[0], talk.now)}{of}{ago}."), answer=answer)


def _stuff(talk: Talk, m: Meaning) -> set[str]:
    """Give the products that a coat may have been of: named, or of the kind of the verb ("primed")."""
    named = {p for n in m.products for p in n.options}
    verb = re.search(r"\b(prim|undercoat|varnish|seal|topcoat|oil)(?:ed|ing|e)?\b", m.text.lower())
    if named or verb is None:
        return named
    kind = {"prim": "primer", "seal": "sealer"}.get(verb[1], verb[1])
    return {n for n in talk.state.labels if (c := talk.card(n)) and (c.kind == kind or kind in n)}


def _count(talk: Talk, pieces: list[str]) -> Result:
    talk.said_pieces = pieces
    words = []
    for piece in pieces:
        counts = talk.state.coats.get(piece, {})
        said = listed(f"{n} of {p}" if p else f"{n}" for p, n in counts.items())
        words.append(f"{capital('the ' + piece)} has {said or 'no coats'}")
    rows = [_row(talk, p) for p in pieces]
    answer = {"about": "status", "pieces": [{k: r[k] for k in ("piece", "last", "stage", "next")} for r in rows]}
    return Result(". ".join(words) + ".", answer=answer)


def label(talk: Talk, m: Meaning) -> Result:
    """Answer what is known of a product."""
    named = naming.product(talk, m, also_verb=m.frame != "label")
    card = talk.card(named)
    if card is None:
        raise Back("Which product?", "product", [*talk.state.labels])
    talk.context["product"] = named
    text = "\n".join(lines(card))
    short = [s for s in lines(card) if any(w in s.lower() for w in ("touch", "sand", "overcoat", "pot life", "ratio"))]
    return Result(
        "; ".join(s.strip() for s in short[:4]) or capital(card.title),
        answer={"about": "explain", "text": text},
    )


def compat(talk: Talk, m: Meaning) -> Result:
    """Answer whether one material may go over another; asked when, of a piece, when it may."""
    if m.pieces and m.has("q.when"):
        from assistant.dialogue.readying import ready

        overcoat = frozenset(["stage.overcoat"])
        return ready(talk, replace(m, products=[], tags=m.tags | overcoat, said=overcoat))
    names = [n.options[0] for n in m.products]
    if len(names) == 1 and (m.pieces or talk.last_pieces):
        under = naming.last_product(talk, naming.pieces(talk, m)[0])
        names = [names[0], under] if under else names
    if len(names) < 2:
        raise Back("Over what?", "product", [*talk.state.labels])
    over, under_card = talk.card(names[0]), talk.card(names[1])
    if over is None or under_card is None:
        missing = names[0] if over is None else names[1]
        raise Back(f"I have no label for {missing}: which product is it?", "product", [*talk.state.labels])
    found = may(over, under_card)
    word = {
        "yes": "Yes",
        "no": "No",
        "test": "Test first, on a patch, watched for days",
        "keyed": "Yes, keyed",
    }[found.verdict]
    text = f"{word}: {names[0]} over {names[1]}, {found.why}."
    return Result(text, answer={"about": "explain", "text": f"{text} Source: {found.basis}."})


def help_(talk: Talk, m: Meaning) -> Result:  # noqa: ARG001
    """Say what can be said, from the frames' own shapes and the job's own names."""
    from assistant.language.phrasing import examples

    text = "Say what you did, or ask. " + " - ".join(examples(talk.state))
    return Result(text, answer={"about": "explain", "text": text})


ASK = {
    "status": status,
    "history": history,
    "label": label,
    "compat": compat,
    "help": help_,
}
