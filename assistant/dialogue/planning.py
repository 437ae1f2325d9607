"""The week, asked aloud: will it be done, what next, what if, what is needed for tomorrow.

The plan itself is the craft's; here is which question was meant, and the words of the answer.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Final

from assistant.craft.plan.change import (
    Change,
    Held,
    Later,
    LostDay,
    Mishap,
    MoreCoats,
    NightCoat,
    Skipped,
    Swap,
    Warmer,
    Without,
)  # fmt: skip
from assistant.craft.plan.moves import moves
from assistant.craft.plan.needs import needs
from assistant.craft.plan.outlook import outlook
from assistant.craft.plan.step import Placed, Plan
from assistant.craft.plan.week import plan
from assistant.craft.plan.whatif import HEATED, must_start_by, rescues, what_if
from assistant.craft.readiness import KEY, readiness
from assistant.dialogue import ahead, naming
from assistant.dialogue.replanning import standing
from assistant.dialogue.talk import Back, Result, Talk, Unclear
from assistant.dialogue.wording import capital, figure, lasting, listed, when
from assistant.language.meaning import Meaning
from assistant.language.when import When, resolve

#: Seconds that a spoken answer may spend on proof after the first plan is found.
PATIENCE: Final = 4.0
#: A spoken answer warns of this many things; the plan's page has them all.
_WARNED: Final = 3
#: So many steps of a task that is under way are named one by one.
_FEW: Final = 2


def week(talk: Talk) -> Plan:
    """Give the plan as things stand, kept to the last one where that costs nothing."""
    found = plan(talk.state, talk.cards, talk.now, limit_s=PATIENCE, previous=talk.memory.get("plan"))
    talk.memory["plan"] = found
    return found


def finish(talk: Talk, m: Meaning) -> Result:
    """Answer when it will be done, whether the deadline holds, and what it hangs on."""
    if re.search(r"\b(start|begin)\b", m.text.lower()) and m.has("q.when", "q.how", "q.what"):
        return _start_by(talk, m)
    found = week(talk)
    if m.has("talk.anything"):
        return ahead.done_pieces(talk, found)
    if m.pieces or (m.has("talk.it") and not m.has("ask.makeit") and talk.last_pieces):
        return ahead.of_piece(talk, found, naming.pieces(talk, m)[0], m)
    answer = {
        "about": "finish", "finish": found.finish, "deadline": found.deadline, "holds": found.holds,
        "slack": found.slack_h, "critical": list(found.critical), "optimal": found.optimal,
    }  # fmt: skip
    talk.context["last"] = {"about": "finish", "why": _why(found)}
    text = _verdict(found, talk.now)
    if found.critical:
        text += f" It hangs on {listed(found.critical[:2])}."
    if found.late_by is not None:
        saving = rescues(talk.state, talk.cards, talk.now, found, limit_s=0.0)
        text += f" {capital(saving[0].text)}" if saving else " Nothing that I can try saves it."
    warned = [w.text for w in outlook(talk.state, talk.cards, talk.now, found)][:_WARNED]
    return Result(text, answer=answer, cautions=[capital(w) for w in warned])


def _verdict(found: Plan, now: datetime) -> str:
    if found.unplaced:
        return capital(f"{found.unplaced[0].why}.") + " Till then I can't promise it."
    if found.finish is None:
        return "There is nothing left to do that I know of."
    at = when(found.finish, now)
    if found.deadline is None:
        return f"You finish at {at}; no deadline was said."
    if found.late_by is not None:
        return f"No: you finish at {at}, {lasting(found.late_by)} late."
    if found.holds is None:
        return f"By what I know you finish at {at}, but some waits are guesses."
    return f"Yes: you finish at {at}, with {lasting(timedelta(hours=found.slack_h or 0.0))} to spare."


def _why(found: Plan) -> str:
    proof = "Proved: it cannot be done sooner" if found.optimal else "Not proved: there may be a better plan"
    return ". ".join([proof, *(capital(t) for t in (*found.critical, *found.assumes, *found.problems)[:6])]) + "."


def _start_by(talk: Talk, m: Meaning) -> Result:
    said = m.until or (m.when if m.when.said else None)
    until = resolve(said, talk.now, "future") if said else None
    if said is not None and until is not None and said.clock is None:
        until = until.replace(hour=23, minute=59)  # "by Sunday" is by the end of it, or by the deadline that day
        known = week(talk).deadline
        until = known if known is not None and known.date() == until.date() else until
    found = must_start_by(talk.state, talk.cards, talk.now, until, limit_s=PATIENCE)
    return Result(found.text, answer={"about": "explain", "text": found.text})


_MEANWHILE: Final = re.compile(r"\b(?:while|meanwhile|in the meantime|until)\b")


def next_(talk: Talk, m: Meaning) -> Result:
    """Answer what to do now, why, and what it unlocks: on a piece, in a space, or at a time if one was said."""
    found = week(talk)
    where = naming.space(talk, m)
    span = ahead.window(talk, m)
    if _MEANWHILE.search(m.text.lower()):
        return ahead.in_space(talk, found, where, naming.pieces(talk, m, need=False) or talk.last_pieces)
    if m.pieces or m.has("talk.it"):
        return ahead.of_piece(talk, found, naming.pieces(talk, m)[0], m)
    if span is not None:
        return ahead.within(talk, found, span, where)
    if where is not None:
        return ahead.in_space(talk, found, where, [])
    listed_moves = moves(found, talk.state, talk.now)
    answer = {"about": "next", "moves": [move.to_json() for move in listed_moves]}
    if not listed_moves:
        why = f" {capital(found.unplaced[0].why)}." if found.unplaced else ""
        return Result(f"Nothing that is planned is left to do.{why}", answer=answer)
    first = listed_moves[0]
    text = capital(first.text)
    if first.from_ > talk.now + timedelta(minutes=1):
        text = f"Nothing till {when(first.from_, talk.now)}: then {first.text}"
    why = first.why or first.unlocks or "it is first in the plan"
    talk.context["last"] = {"about": "next", "why": capital(f"{why}.")}
    if first.why:
        text += f", {first.why}"
    if first.piece:
        talk.said_pieces = [first.piece]
    after = f" Then {listed_moves[1].text}, {when(listed_moves[1].from_, talk.now)}." if len(listed_moves) > 1 else ""
    return Result(f"{text}.{after}", answer=answer)


def left(talk: Talk, m: Meaning) -> Result:
    """Answer what is left to do: coats by piece, and what else is planned or on the list."""
    found = week(talk)
    pieces = naming.pieces(talk, m, need=False) if m.pieces or m.has("talk.it") else []
    if len(pieces) == 1:
        return ahead.of_piece(talk, found, pieces[0], m)
    if not pieces and "before" not in m.text.lower() and (span := ahead.window(talk, m)) is not None:
        return ahead.within(talk, found, span, naming.space(talk, m))
    steps = ahead.coming(found, talk.now, pieces)
    firsts = list({p.piece or p.text: p for p in reversed(steps)}.values())[::-1]
    steps_of: dict[str, list[Placed]] = {}
    for placed in steps:
        steps_of.setdefault(placed.piece or placed.text, []).append(placed)
    parts = [_left_on(talk, of) for of in steps_of.values()]
    parts += [f"{u.step.text}, which has no place in the plan: {u.why}" for u in found.unplaced]
    listed_moves = [{"text": p.text, "piece": p.piece, "from": p.start, "why": "planned"} for p in firsts]
    text = f"Left to do: {'; '.join(parts)}." if parts else "Nothing is left to do that I know of."
    talk.context["last"] = {"about": "next", "why": _why(found)}
    return Result(text, answer={"about": "next", "moves": listed_moves})


def _left_on(talk: Talk, steps: list[Placed]) -> str:
    """Say what is left on one piece: its coats by product, or the names of its other work."""
    told = ahead.coats_left(steps)
    if told:
        faults = [t.text for t in talk.state.tasks if t.state == "open" and t.piece == steps[0].piece]
        faults = [text for text in dict.fromkeys(faults) if text.startswith("put the ")]  # its coat is counted above
        return f"{told} on the {steps[0].piece}" + (f", and {listed(faults)}" if faults else "")
    return listed(dict.fromkeys(p.text if len(steps) <= _FEW else p.step.task for p in steps))


def grit(talk: Talk, m: Meaning) -> Result:
    """Answer which grit was used, or comes next."""
    pieces = naming.pieces(talk, m, need=False) if m.pieces or m.has("talk.it") else []
    return ahead.grit(talk, m, week(talk), pieces)


def whatif(talk: Talk, m: Meaning) -> Result:
    """Answer what one change would do to the week."""
    if re.search(r"\b(start|begin)\b.*\b(done|finish|by)\b", m.text.lower()) and m.has("q.when"):
        return _start_by(talk, m)
    if m.pieces and re.search(r"\bwindow\b|\bleave\b.*\b(?:till?|until|to)\b|\btoo long\b", m.text.lower()):
        return ahead.waits(talk, m, naming.pieces(talk, m)[0])
    if re.search(r"\bwindow\b", m.text.lower()):
        text = f"{capital(KEY)}."
        return Result(text, answer={"about": "explain", "text": text})
    change = _change(talk, m)
    found = what_if(talk.state, talk.cards, talk.now, change, before=week(talk), limit_s=PATIENCE)
    answer = {
        "about": "what_if", "finish_before": found.finish_before, "finish_after": found.finish_after,
        "change": found.change,
    }  # fmt: skip
    proof = "Both finishes are proved." if found.proved else "Not both finishes are proved: it is about so much."
    talk.context["last"] = {"about": "what_if", "why": f"{found.text} {proof}"}
    return Result(" ".join([found.text, *_stalls(talk, change)]), answer=answer)


def _stalls(talk: Talk, change: Change) -> list[str]:
    """Say which films that are drying would stand still at a temperature supposed."""
    if not isinstance(change, Held):
        return []
    films = {r.product for p in talk.state.work if (r := readiness(talk.state, talk.cards, p, "handle", talk.now)).laid}
    cards = [(n, c.least) for n in films if n and (c := talk.card(n)) and c.least is not None]
    return [f"Under {figure(least)} degrees {n} stands still." for n, least in cards if change.celsius < least]


def _change(talk: Talk, m: Meaning) -> Change:
    text = m.text.lower()
    pieces = naming.pieces(talk, m, need=False) if m.pieces else []
    faults = m.values.get("fault", [])
    skipped = _skipped(m, text, pieces or talk.last_pieces)
    if skipped is not None:
        return skipped
    if faults and not (faults[0] == "dry spot" and re.search(r"\bskip", text)):
        piece = pieces or talk.last_pieces or [*talk.state.work]
        if not piece:
            raise Back("On which piece?", "piece", [*talk.state.pieces])
        return Mishap(piece[0], faults[0])
    night = _night_hour(m, text)
    if night is not None:
        return NightCoat(night, pieces[0] if pieces else None)
    for found in (_coats(talk, m, text, pieces), _air(talk, m, text), _days(talk, m, text)):
        if found is not None:
            return found
    if pieces and re.search(r"\b(drop|dropped|skip|skipped|leave|left|without|forget|forgot)\b", text):
        return Without(pieces[0])
    if m.products:
        return Swap(str(naming.product(talk, m, also_verb=False)), piece=pieces[0] if pieces else None)
    raise Unclear(
        "What should be other? A product, the temperature, the heating at night, a coat in the night, a coat "
        "fewer, a piece dropped, a lost day, a later start."
    )


def _night_hour(m: Meaning, text: str) -> int | None:
    """Give the hour of a coat in the night, if one was meant ("is it worth getting up at two for a coat")."""
    hours = [h for c in m.clocks for h in c.hours if h < 6 or h >= 23]
    up = re.search(r"\b(get|getting|got) up\b|\bnight\b|in the small hours", text)
    air = re.search(r"\b(?:drops?|falls?|goes|gets|down to|warm\w*|cold\w*|degrees)\b", text)
    if hours and not air and (up or m.has("act.coat", "ask.whatif")) and m.temperature is None and not _by_day(m, text):
        return hours[0]
    return 2 if up and re.search(r"\b(get|getting) up\b|\bcoat in the night\b", text) else None


def _by_day(m: Meaning, text: str) -> bool:
    """Whether an hour that could be either is meant by day: nobody said that it is night, or to get up."""
    return any(len(c.hours) > 1 for c in m.clocks) and not re.search(r"\bput (?:a|one|on)\b|\bcoat (?:on|at)\b", text)


def _skipped(m: Meaning, text: str, pieces: list[str]) -> Change | None:
    said = re.search(r"\b(?:skip|without|leave out|don't|do not|no)\b.{0,20}\b(?:sand\w*|rub\w*|flat\w*|key\w*)", text)
    return Skipped(pieces[0], "sand", m.ordinal or m.count or 2) if said and pieces else None


def _coats(talk: Talk, m: Meaning, text: str, pieces: list[str]) -> Change | None:
    if not pieces or not (m.has("act.coat") or m.count or m.ordinal):
        return None
    many = m.count or 1
    if m.count and re.search(r"\b(instead of|rather than|only|just)\b", text):
        _, before, _ = standing(talk, pieces[0], None)
        return MoreCoats(pieces[0], m.count - before)
    if re.search(r"\b(fewer|less|drop|dropped|skip|skipped|leave out|left out|left|leave|without|save)\b", text):
        return MoreCoats(pieces[0], -1 if m.ordinal else -many)
    if re.search(r"\b(more|extra|another|further)\b", text):
        return MoreCoats(pieces[0], many)
    return None


def _air(talk: Talk, m: Meaning, text: str) -> Change | None:
    space = naming.space(talk, m)
    degrees = m.temperature.value if m.temperature else None
    if degrees is None and m.numbers and (m.spaces or m.has("air.temperature", "air.says")):
        degrees = m.numbers[0]
    if degrees is None and m.clocks and m.has("air.says"):
        degrees = float(m.clocks[0].hours[0])  # "drops to five tonight"
    colder, warmer = (re.search(rf"\b({w})\b", text) for w in ("cold|colder|cooler|chillier", "warm|warmer|hotter"))
    way = -1 if colder else 1 if warmer else 0
    if way and (degrees is None or degrees <= 12) and re.search(r"er\b", text):
        return Warmer(way * (degrees if degrees is not None else 5.0), space, end=_morning(talk, text))
    nights = bool(re.search(r"\b(night|nights|overnight|tonight)\b", text))
    if m.has("air.heating") or re.search(r"\b(?:heater|heating|stove)\b", text):
        end = talk.now + timedelta(hours=24) if "tonight" in text else None
        return Held(degrees if degrees is not None else HEATED, space, end=end, nights=nights or degrees is None)
    if degrees is not None and -30 <= degrees <= 45:
        end = _morning(talk, text)
        return Held(degrees, space, end=end, nights=nights and end is None)
    return Warmer(way * 5.0, space, end=_morning(talk, text)) if way else None


def _morning(talk: Talk, text: str) -> datetime | None:
    """Give the end of the night where only this one was meant; a change of weather that nobody ended lasts."""
    if not re.search(r"\b(?:tonight|overnight|this evening)\b", text):
        return None
    return (talk.now + timedelta(days=1)).replace(hour=8, minute=0, second=0, microsecond=0)


def _days(talk: Talk, m: Meaning, text: str) -> Change | None:
    if re.search(r"\b(lose|lost|day off|off on|take .{0,12}off|can't work|away|not here|ill|sick)\b", text):
        day = resolve(When(day=m.when.day), talk.now, "future") if m.when.day else talk.now + timedelta(days=1)
        return LostDay(day.date())
    idle = re.search(r"\b(?:do not|don't) do anything\b|\bdo nothing\b", text)
    if (idle or re.search(r"\b(start|begin|starting|later)\b", text)) and (m.when.said or m.until):
        return Later(resolve(m.when if m.when.said else m.until or When(), talk.now, "future"))
    return None


def needed(talk: Talk, m: Meaning) -> Result:
    """Answer what a day takes: products against the tins, and gear."""
    day = resolve(When(day=m.when.day), talk.now, "future").date() if m.when.day else None
    found = needs(talk.state, talk.cards, week(talk), day)
    items: list[dict[str, Any]] = [{"item": g, "change": None, "at": None} for g in found.gear]
    items.extend({"item": n.product, "needed": n.needed, "left": n.left} for n in found.products)
    answer = {"about": "gear", "items": items}
    if not items:
        return Result("Nothing: the plan has no work for then.", answer=answer)
    parts = [*(n.text for n in found.products), *found.gear]
    short = [f"{n.product} will not reach" for n in found.short]
    return Result(f"{capital('; '.join(parts))}.", answer=answer, cautions=[capital(s) + "." for s in short])


PLAN: dict[str, Callable[[Talk, Meaning], Result]] = {
    "finish": finish, "next": next_, "left": left, "whatif": whatif, "grit": grit,
}  # fmt: skip
