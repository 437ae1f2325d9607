"""What is ahead of one piece, of a space, or of an evening: coats and steps left, the next one, when it is done."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any, Final

from assistant.craft.plan.moves import moves
from assistant.craft.plan.step import Placed, Plan
from assistant.craft.readiness import KEY, readiness
from assistant.craft.times import like, utc
from assistant.dialogue.readying import as_answer
from assistant.dialogue.talk import Result, Talk
from assistant.dialogue.wording import capital, listed, stamp, when
from assistant.journal.events import Sand
from assistant.language.meaning import Meaning
from assistant.language.when import When, resolve

#: So many moves are told; the plan's page has them all.
_TOLD: Final = 3
_WAKING: Final = time(7)


def coming(found: Plan, now: datetime, pieces: Sequence[str] = ()) -> list[Placed]:
    """Give what the plan has still to do, in order: on some pieces, or all of it."""
    return [p for p in found.steps if utc(p.end) > utc(now) and (not pieces or p.piece in pieces)]


def _rows(steps: list[Placed]) -> list[dict[str, Any]]:
    """Give steps as the ``moves`` of an answer."""
    return [{"text": p.text, "piece": p.piece, "from": p.start, "why": p.held or "planned"} for p in steps]


def coats_left(steps: list[Placed]) -> str:
    """Give ``2 coats of amber varnish and 1 coat of white undercoat``; "" where none is left."""
    counts: dict[str, int] = {}
    for placed in steps:
        if placed.step.kind == "coat":
            counts[str(placed.step.product)] = counts.get(str(placed.step.product), 0) + 1
    return listed(f"{n} coat{'s' if n > 1 else ''} of {product}" for product, n in counts.items())


def of_piece(talk: Talk, found: Plan, piece: str, m: Meaning) -> Result:
    """Answer what is left on a piece, what comes next on it, and when it is done."""
    steps = coming(found, talk.now, [piece])
    talk.said_pieces = [piece]
    if not steps:
        text = f"Nothing more is planned on the {piece}."
        return Result(text, answer={"about": "next", "moves": []})
    first, last = steps[0], steps[-1]
    parts = [f"{coats_left(steps) or 'no coats'} left on the {piece}"]
    start = "now" if utc(first.start) <= utc(talk.now) else f"from {when(first.start, talk.now)}"
    parts.append(f"Next: {first.text}, {start}")
    ends, hard = last.end, _film_end(found, piece, last)
    by = _by(talk, m)
    holds = f"{'Yes' if utc(ends) <= utc(by) else 'No'}: " if by else ""
    parts.append(f"Finished at {when(ends, talk.now)}")
    if utc(hard) > utc(ends):
        parts[-1] += f", hard enough to handle by {when(hard, talk.now)}"
    text = f"{holds}{capital(parts[0])}. {parts[1]}. {parts[2]}."
    talk.context["last"] = {"about": "next", "why": capital(f"{first.held or 'it is first in the plan'}.")}
    if m.frame == "finish":
        answer: dict[str, Any] = {
            "about": "finish", "finish": ends, "deadline": by or found.deadline, "piece": piece, "holds": None,
            "slack": None, "critical": list(dict.fromkeys(p.held for p in steps if p.held)), "optimal": found.optimal,
        }  # fmt: skip
        if limit := answer["deadline"]:
            answer["slack"] = round((utc(limit) - utc(ends)).total_seconds() / 3600, 2)
            answer["holds"] = answer["slack"] >= 0
        return Result(text, answer=answer)
    return Result(text, answer={"about": "next", "moves": _rows(steps)})


def _film_end(found: Plan, piece: str, last: Placed) -> datetime:
    """Give when the last film of a piece can be handled; of what leaves none, when the work ends."""
    films = [f for f in found.films if f.piece == piece and utc(f.laid) >= utc(last.start)]
    hard = [t for f in films if (t := f.at("handle") or f.at("overcoat"))]
    return max([last.end, *hard], key=utc)


def _by(talk: Talk, m: Meaning) -> datetime | None:
    said = m.until or (m.when if m.when.said else None)
    if said is None:
        return None
    found = resolve(said, talk.now, "future")
    return found if said.clock else found.replace(hour=23, minute=59)


def waits(talk: Talk, m: Meaning, piece: str) -> Result:
    """Answer how long a piece may be left: its window for the next coat, and what must be done after it."""
    found = readiness(talk.state, talk.cards, piece, "overcoat", talk.now)
    talk.said_pieces = [piece]
    answer = as_answer(found, "overcoat")
    until = _by(talk, m)
    if found.unknown is not None or found.latest is None:
        why = found.unknown or "no label shuts a window on it"
        return Result(f"The {piece} can wait as far as I know: {why}.", answer=answer)
    shut = utc(found.latest) <= utc(until or talk.now)
    at = when(found.latest, talk.now)
    if shut:
        return Result(f"No: the window on the {piece} shuts at {at}. After that: {KEY}.", answer=answer)
    text = f"the window on the {piece} is open until {at}. After that: {KEY}."
    return Result(f"Yes: {text}" if until else capital(text), answer=answer)


def done_pieces(talk: Talk, found: Plan) -> Result:
    """Answer which pieces have nothing more to come."""
    done = [p for p in talk.state.work if not coming(found, talk.now, [p])]
    text = f"Finished: {listed('the ' + p for p in done)}." if done else "None is finished yet."
    return Result(text, answer={"about": "next", "moves": []})


# -- what to do in a space or a time -------------------------------------------------------------------------


def window(talk: Talk, m: Meaning) -> tuple[datetime, datetime, str] | None:
    """Give the time that is asked about ("tonight", "tomorrow", "in the morning"), with its name; None for now."""
    text = m.text.lower()
    today = talk.now.date()
    zone = talk.now.tzinfo
    if re.search(r"\b(?:tonight|this evening|before bed)\b", text):
        return talk.now, datetime.combine(today, time(23, 59), zone), "tonight"
    if re.search(r"\b(?:first thing|in the morning|tomorrow|morning)\b", text) and not m.when.clock:
        day = resolve(When(day=m.when.day), talk.now, "future").date() if m.when.day else today + timedelta(days=1)
        day = day if day > today or talk.now.time() < _WAKING else today + timedelta(days=1)
        name = "tomorrow" if day == today + timedelta(days=1) else f"on {day:%A}"
        return datetime.combine(day, time(0), zone), datetime.combine(day, time(23, 59), zone), name
    if m.when.day is not None and not m.when.clock:
        day = resolve(When(day=m.when.day), talk.now, "future").date()
        start = max(talk.now, datetime.combine(day, time(0), zone), key=utc)
        return start, datetime.combine(day, time(23, 59), zone), "today" if day == today else f"on {day:%A}"
    return None


def within(talk: Talk, found: Plan, span: tuple[datetime, datetime, str], where: str | None) -> Result:
    """Answer what the plan has for a time, and in a space if one was named."""
    start, end, name = span
    place = f" in the {where}" if where else ""
    steps = [
        p for p in coming(found, talk.now)
        if utc(start) <= utc(p.start) <= utc(end) and (where is None or p.step.space == where)
    ]  # fmt: skip
    answer = {"about": "next", "moves": _rows(steps)}
    if not steps:
        later = next((p for p in found.steps if utc(p.start) > utc(end) and where in (None, p.step.space)), None)
        after = f" Next: {later.text}, {when(later.start, talk.now)}." if later else ""
        return Result(f"Nothing is planned {name}{place}.{after}", answer=answer)
    if steps[0].piece:
        talk.said_pieces = [steps[0].piece]
    told = "; ".join(f"{like(p.start, talk.now):%H:%M} {p.text}" for p in steps[:_TOLD])
    more = f"; and {len(steps) - _TOLD} more" if len(steps) > _TOLD else ""
    return Result(f"{capital(name)}{place}: {told}{more}.", answer=answer)


def in_space(talk: Talk, found: Plan, where: str | None, but: list[str]) -> Result:
    """Answer what to do next in a space, or while a piece dries: the best first."""
    every = moves(found, talk.state, talk.now)
    mine = [m for m in every if (where is None or m.placed.step.space == where) and m.piece not in but]
    place = f" in the {where}" if where else ""
    answer = {"about": "next", "moves": [move.to_json() for move in mine]}
    if not mine:
        later = next((p for p in found.steps if where in (None, p.step.space) and p.piece not in but), None)
        then = f" Next: {later.text}, {when(later.start, talk.now)}." if later else ""
        return Result(f"Nothing is planned{place or ' meanwhile'} within a day.{then}", answer=answer)
    talk.said_pieces = [mine[0].piece] if mine[0].piece else []
    soon = utc(mine[0].from_) <= utc(talk.now) + timedelta(minutes=1)
    then = f"Nothing{place} till {when(mine[0].from_, talk.now)}: then {mine[0].text}"
    first = capital(mine[0].text) if soon else then
    after = f" Then {mine[1].text}, {when(mine[1].from_, talk.now)}." if len(mine) > 1 else ""
    return Result(f"{first}.{after}", answer=answer)


# -- grits ----------------------------------------------------------------------------------------------


def grit(talk: Talk, m: Meaning, found: Plan, pieces: list[str]) -> Result:
    """Answer which grit was used last, or comes next, on a piece; the plan's sequences have the grits."""
    if re.search(r"\b(?:did|was|were|used)\b|\bhave i\b", m.text.lower()):
        sanded = [e for p in (pieces or [*talk.state.work]) for e in talk.state.work.get(p, ()) if isinstance(e, Sand)]
        used = max((e for e in sanded if e.grit), key=lambda e: utc(e.at), default=None)
        text = "I know of none used" + (f" on the {pieces[0]}." if pieces else ".")
        if used:
            text = f"{used.grit} on the {used.piece}, {stamp(used.at, talk.now)}."
        return Result(text, answer={"about": "explain", "text": text})
    mine = [p for p in coming(found, talk.now, pieces) if p.step.grit]
    if not mine:
        text = "No sanding is planned" + (f" on the {pieces[0]}." if pieces else ".")
        return Result(text, answer={"about": "explain", "text": text})
    chosen = mine[-1] if re.search(r"\b(?:finish|final|last|end)\b", m.text.lower()) else mine[0]
    talk.said_pieces = [chosen.piece] if chosen.piece else []
    text = f"P{chosen.step.grit}: {chosen.text}, {when(chosen.start, talk.now)}."
    return Result(text, answer={"about": "explain", "text": text})
