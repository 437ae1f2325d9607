"""Taking back and putting right: new events that say so, never a change to an old one."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime
from typing import Any

from assistant.craft.times import like
from assistant.dialogue import naming, wording
from assistant.dialogue.talk import Back, Refused, Result, Talk, Unclear
from assistant.dialogue.wording import amount, capital, listed, ordinal, sentence, stamp
from assistant.journal.events import (
    Amend,
    Climate,
    Coat,
    Event,
    Fault,
    Mix,
    Note,
    Sand,
    Set,
    Task,
    Tin,
    Undo,
    Work,
    amended,
)  # fmt: skip
from assistant.language.meaning import Meaning
from assistant.language.when import When, resolve
from assistant.quantity import Amount

#: How a piece of plain work is told.
WORKED = {
    "fill": "filling", "strip": "stripping", "clean": "cleaning", "mask": "masking", "unmask": "tape off",
    "bond": "bonding", "fit": "fitting",
}  # fmt: skip


def described(event: Event, now: Any) -> str:
    """Give a few words for an event: what a read-back or a taking-back calls it."""
    at = stamp(event.at, now)
    if isinstance(event, Coat):
        named = f"{ordinal(event.coat).lower()} coat on the {event.piece}"
        return ", ".join(part for part in (named, wording.thinned(event.thinned), at) if part)
    if isinstance(event, Sand):
        return f"sanding the {event.piece}" + (f" with {event.grit}" if event.grit else "") + f", {at}"
    if isinstance(event, Mix):
        return f"{amount(event.amount) + ' of ' if event.amount else ''}{event.product} mixed, {at}"
    if isinstance(event, Climate):
        said = [amount(a) for a in (event.temperature, event.humidity) if a]
        return f"{listed(said)} {'in the ' + event.space if event.space else 'everywhere'}, {at}"
    if isinstance(event, Fault):
        return f"{event.fault} on the {event.piece}, {at}"
    if isinstance(event, Tin):
        return f"{event.product} {event.change}"
    if isinstance(event, Note):
        return f'the note "{event.text[:40]}"'
    if isinstance(event, Work):
        return f"{WORKED[event.kind]} the {event.piece}, {at}"
    if isinstance(event, Set):
        return f"new {event.what} {event.name}"
    if isinstance(event, Task):
        return event.text
    return f"{event.kind}, {at}"


def _batches(talk: Talk) -> list[list[int]]:
    return [list(b) for b in talk.context.get("batches", [])]


def _alive(talk: Talk, batch: list[int]) -> list[Event]:
    return [e for e in (talk.journal.get(i) for i in batch) if e is not None]


def _own(talk: Talk, m: Meaning) -> Event | None:
    """Give the newest event on the piece named (on any, if none is), of the kind and number that were said."""
    named = list(dict.fromkeys(p for n in m.pieces for p in n.options)) or [*talk.state.work]
    kinds = {t[4:] for t in m.said if t.startswith("act.")} | ({"coat"} if re.search(r"\bcoat\b", m.text) else set())
    found = [
        e for p in named for e in talk.state.work.get(p, ())
        if (not kinds or e.kind in kinds) and (not m.ordinal or getattr(e, "coat", None) == m.ordinal)
    ]  # fmt: skip
    return max(found, key=lambda e: e.id, default=None)


def _taken_back(talk: Talk, events: list[Event]) -> Result:
    words = listed(described(e, talk.now) for e in events[:3])
    more = f" and {len(events) - 3} more" if len(events) > 3 else ""
    return Result(f"Taken back: {words}{more}.", [Undo(of=tuple(e.id for e in events), at=talk.now, said_at=talk.now)])


def undo(talk: Talk, m: Meaning) -> Result:
    """Take back the last thing logged, or the last few; what was done to a piece, if one is named."""
    if m.pieces and re.search(r"\b(?:it|that) was\b|\bi meant\b", m.text.lower()):
        return amend(talk, m)  # "no, scrap that, it was the hatch after all"
    coat = re.search(r"\bcoat\b", m.text.lower())
    if (m.pieces or coat) and (own := _own(talk, m)) is not None:
        return _taken_back(talk, [own])
    many = int(m.numbers[0]) if m.numbers and 1 <= m.numbers[0] <= 20 else 1
    batches = _batches(talk)
    events: list[Event] = []
    while batches and many:
        alive = _alive(talk, batches.pop())
        if alive:
            events.extend(alive)
            many -= 1
    talk.context["batches"] = batches
    if not events:
        raise Unclear("There is nothing of the last few turns left to take back.")
    return _taken_back(talk, events)


def denial(talk: Talk, m: Meaning) -> Result:
    """Take back what was last logged if "I did not sand the doors" denies just that, else log nothing."""
    kinds = {t[4:] for t in m.tags if t.startswith("act.")}
    named = {p for n in m.pieces for p in n.options}
    batches = _batches(talk)
    if batches and talk.fresh:
        alive = _alive(talk, batches[-1])
        if alive and all(e.kind in kinds and (not named or getattr(e, "piece", None) in named) for e in alive):
            return undo(talk, replace_numbers(m))
    raise Unclear(_not_that(talk, m))


def _not_that(talk: Talk, m: Meaning) -> str:
    own = _own(talk, m) if m.pieces else None
    if own is None:
        return "Then there is nothing to log."
    piece = getattr(own, "piece", "")
    return f"The last on the {piece} is {described(own, talk.now)}: say \"take back the {piece}\" if it was not."


def replace_numbers(m: Meaning) -> Meaning:
    """Give ``m`` without its numbers (a grit denied is not a count of undos)."""
    return replace(m, numbers=[])


#: What each kind of event can be put right in, by the slot that was said.
def _changes(talk: Talk, m: Meaning, event: Event) -> dict[str, Any]:
    out: dict[str, Any] = {}
    number = m.numbers[0] if m.numbers else m.other.get("number") if m.grit is not None else None
    if m.when.said:
        at = resolve(m.when, talk.now, "past")
        if m.when.day and not m.when.clock and m.when.day.part is None:  # another day, at the same time of it
            was = like(event.at, talk.now)
            at = at.replace(hour=was.hour, minute=was.minute, second=was.second, microsecond=was.microsecond)
        if at > talk.now:
            raise Refused(f"{stamp(at, talk.now)} is still to come.")
        out["at"] = at.isoformat()
    if isinstance(event, Coat):
        coat = m.ordinal
        if coat is None and number and not m.percent:
            if number <= event.coat + 2:
                coat = int(number)
            elif "clock" in m.other:  # "make that ten" of a second coat is a time, not its number
                out["at"] = resolve(When(clock=m.other["clock"]), talk.now, "past").isoformat()
        if coat:
            out["coat"] = coat
        if m.percent:
            out["thinned"] = m.percent.to_json()
    if isinstance(event, Sand) and (m.grit or (number and number >= 16)):
        out["grit"] = int(m.grit or number or 0)
    if isinstance(event, Climate):
        degrees = m.temperature or (Amount(number, "degC") if number is not None and event.temperature else None)
        if degrees and -30 <= degrees.value <= 60:
            out["temperature"] = degrees.to_json()
        if m.percent:
            out["humidity"] = m.percent.to_json()
        if m.spaces:
            out["space"] = naming.space(talk, m)
    if isinstance(event, Fault) and m.values.get("fault"):
        out["fault"] = m.values["fault"][0]
    if isinstance(event, Mix | Tin):
        said = m.amounts[0] if m.amounts else Amount(number, event.amount.unit) if number and event.amount else None
        if said and said.value > 0:
            out["amount"] = said.to_json()
    if hasattr(event, "product") and m.products:
        out["product"] = naming.product(talk, m, also_verb=False)
    return out


_MEANT = re.compile(r"\b(?:meant|mean|sorry|should|make (?:it|that)|instead|no)\b")
#: What is to come, or is only asked to be agreed to, puts nothing right.
_COMING = re.compile(
    r"\b(?:will|won't|wont|gonna|going to)\b|\b(?:is|are|does|do)(?: not|n't) (?:it|they|that)\W*$"
)
_DENIED = re.compile(r"\b(?:did not|didn't|have not|haven't|never)\b")


def amend(talk: Talk, m: Meaning) -> Result:
    """Put the last thing logged right in what was said: its time, number, piece, grit, product, amount."""
    if _DENIED.search(m.text.lower()) and m.pieces:
        return denial(talk, m)
    if (m.left and not m.unknown) or _COMING.search(m.text.lower()):
        raise Unclear("I can't see what to change in that: say it again as it should be.")
    for batch in reversed(_batches(talk)):
        alive = _alive(talk, batch)
        if alive:
            break
    else:
        raise Unclear("There is nothing logged just now to put right.")
    piece = _other_piece(talk, m, alive)
    own = _own(talk, m) if m.pieces and m.when.said and not _MEANT.search(m.text.lower()) else None
    if own is not None and own not in alive:  # "the hatch was nearer half nine": its own time, not another's piece
        alive, piece = [own], None
    events: list[Event] = []
    words: list[str] = []
    same_time = m.when.said and len({e.at for e in alive}) == 1
    for event in reversed(alive):
        changes = _changes(talk, m, event)
        if piece and hasattr(event, "piece"):
            changes["piece"] = piece
        if isinstance(event, Task) and event.piece and piece and event.piece in event.text:
            changes["text"] = event.text.replace(event.piece, piece)
        if isinstance(event, Mix) and "amount" in changes:
            changes.update(_remixed(talk, event, Amount.from_json(changes["amount"])))
        if not changes:
            continue
        after = amended(event, changes)
        if after == event:
            continue
        events.append(Amend(of=event.id, changes=changes, at=talk.now, said_at=talk.now))
        words.append(described(after, talk.now))
        if not (same_time and set(changes) == {"at"}):
            break
    if not events:
        raise Unclear("I can't see what to change in that: say it again as it should be.")
    if piece:
        talk.said_pieces = [piece]
    return Result(sentence([f"Changed: {listed(reversed(words))}"]), list(reversed(events)))


def _remixed(talk: Talk, event: Mix, total: Amount) -> dict[str, Any]:
    from assistant.craft.mix import portions

    card = talk.card(event.product)
    if card is None or card.ratio is None:
        return {}
    found = portions(card.ratio, card.density, total, "total")
    return {"parts": [{"name": n, "amount": a.to_json()} for n, a in found.parts]}


def _other_piece(talk: Talk, m: Meaning, alive: list[Event]) -> str | None:
    """Give the piece it should have been: of two that fit, not the one that is there."""
    now = {getattr(e, "piece", None) for e in alive}
    if not m.pieces and not m.has("talk.other"):
        if m.unknown and m.before_unknown in ("the", "on", "a") and not m.when.said:
            raise Back(f"I have no piece called {m.unknown}: which is it?", "piece", [*talk.state.pieces])
        return None
    if m.pieces:
        options = list(dict.fromkeys(p for n in m.pieces for p in n.options))
        exact = [n.options[0] for n in m.pieces if len(n.options) == 1]
        options = exact if len(exact) == 1 else options
        rest = [p for p in options if p not in now] if len(options) > 1 else options
        if len(rest) == 1:
            return rest[0]
        if not rest:
            return None
        hinted = talk.hints.get("piece")
        if hinted and hinted[0] in rest:
            return str(hinted[0])
        raise Back(f"Which one: {listed(rest, 'or')}?", "piece", rest)
    return naming.pieces(talk, m)[0]


def same(talk: Talk, m: Meaning) -> Result:
    """Do again what was last logged, on another piece; "same as the port one" is what was last done to that."""
    if as_ := re.search(r"\bsame as (?:the |on the )?(?P<what>.+)$", m.text.lower()):
        return _as_on(talk, m, as_["what"])
    for batch in reversed(_batches(talk)):
        alive = [e for e in _alive(talk, batch) if hasattr(e, "piece")]
        if alive:
            break
    else:
        raise Unclear("The same as what? Say what was done.")
    if not m.pieces and not m.has("talk.other") and not talk.hints.get("piece"):
        if len(m.tags) == 1 and m.words > 3:
            raise Unclear("The same on which piece?")
        raise Back("The same on which piece?", "piece", [*talk.state.pieces])
    pieces = naming.pieces(talk, m)
    at = resolve(m.when, talk.now, "past") if m.when.said else talk.now
    if at > talk.now:
        raise Refused(f"{stamp(at, talk.now)} is still to come.")
    events: list[Event] = []
    first = getattr(alive[0], "piece", None)
    for piece in pieces:
        for old in (e for e in alive if getattr(e, "piece", None) == first):
            fresh = _on(talk, old, piece, at)
            if isinstance(fresh, Coat) and m.ordinal:
                fresh = replace(fresh, coat=m.ordinal)
            if isinstance(fresh, Sand) and m.grit:
                fresh = replace(fresh, grit=m.grit)
            events.append(fresh)
    talk.said_pieces = pieces
    return Result(capital(listed(described(e, talk.now) for e in events)) + ".", events)


def _on(talk: Talk, old: Event, piece: str, at: datetime) -> Event:
    """Give an event as it would be on another piece; a coat counts on from those that it has."""
    fresh: Event = replace(old, id=0, piece=piece, at=at, said_at=talk.now)  # type: ignore[call-arg]
    if isinstance(old, Task) and isinstance(fresh, Task) and old.piece:
        fresh = replace(fresh, text=old.text.replace(old.piece, piece))
    if isinstance(fresh, Coat):
        fresh = replace(fresh, coat=talk.state.coats.get(piece, {}).get(fresh.product or "", 0) + 1)
    return fresh


def _as_on(talk: Talk, m: Meaning, what: str) -> Result:
    """Do to one piece what was last done to the other that was named after "same as"."""
    named = [n for n in m.pieces if len(n.options) == 1]
    if len(named) != 2:
        raise Unclear("The same as what, and on which piece? Say what was done.")
    source, target = named[1].options[0], named[0].options[0]
    work = [e for e in talk.state.work.get(source, ()) if isinstance(e, Coat | Sand | Work)]
    if source == target or not work:
        raise Unclear(f"I know of nothing done to the {source or what}.")
    at = resolve(m.when, talk.now, "past") if m.when.said else talk.now
    fresh = _on(talk, work[-1], target, at)
    talk.said_pieces = [target]
    return Result(f"{capital(described(fresh, talk.now))}.", [fresh])


def named(talk: Talk, m: Meaning | None) -> Result:
    """Say of the coats just logged what they were of."""
    batch = next(iter(reversed(_batches(talk))), [])
    product = naming.product(talk, m, also_verb=False) if m else None
    events: list[Event] = []
    for event in _alive(talk, batch):
        if isinstance(event, Coat) and event.product is None and product:
            on_it = talk.state.coats.get(event.piece, {})
            changes: dict[str, Any] = {"product": product}
            if event.coat == on_it.get("", 0) == 1 and product in on_it:
                changes["coat"] = on_it[product] + 1  # counted on without knowing of what
            events.append(Amend(of=event.id, changes=changes, at=talk.now, said_at=talk.now))
    if not events:
        raise Unclear("There is no coat without a product just now.")
    return Result(f"{capital(str(product))} it was.", events)


CORRECT = {"named": named, "undo": undo, "denial": denial, "amend": amend, "same": same}
