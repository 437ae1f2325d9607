"""The day read back aloud, what is left in the tins, and the gear."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

from assistant.craft import day as craft
from assistant.craft.draws import KINDS
from assistant.craft.keeping import best_before, sign
from assistant.craft.needs import shopping, short
from assistant.craft.stock import Stock
from assistant.craft.stock import stock as reckon
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Result, Talk
from assistant.dialogue.wording import amount, capital, listed, stamp
from assistant.journal.events import Event
from assistant.language.meaning import Meaning
from assistant.language.when import When, resolve
from assistant.show.diary import answer as day_answer
from assistant.show.diary import at_it, spoken


def whole_history(talk: Talk) -> list[Event]:
    """Give every event that the stock is reckoned from; the state keeps only the latest."""
    return [e for kind in KINDS for e in talk.journal.search(kind=kind, limit=1_000_000)]


def first_told(talk: Talk, found: craft.Day) -> dict[int, Event]:
    """Give corrected events as they were first told, by id."""
    wanted = [e.event.id for e in found.entries if e.corrected]
    return {i: e for i in wanted for e in talk.journal.events(i, i)}


def day_asked(talk: Talk, m: Meaning) -> date:
    """Give the day asked for; after midnight the day that was not slept through still goes on."""
    if m.when.day is not None and not (m.when.day.back == 0 and talk.now.hour < 4):
        return resolve(When(day=m.when.day), talk.now, "past").date()
    return (talk.now - timedelta(hours=4)).date()


def diary(talk: Talk, m: Meaning) -> Result:
    """Read a day, a week, or what was done on a piece."""
    zone = craft.zone_of(talk.state, talk.now)
    if m.pieces:
        piece = naming.pieces(talk, m)[0]
        talk.said_pieces = [piece]
        start = datetime(1970, 1, 2, tzinfo=zone)
        found = craft.of_piece(talk.journal.history(start, talk.now), talk.state, talk.cards, piece, talk.now)
        return Result(spoken(found), answer=day_answer(found))
    last = day_asked(talk, m)
    first = last - timedelta(days=6) if "week" in m.text.lower() else last
    entries = talk.journal.history(*craft.bounds(first, last, zone))
    found = craft.day(entries, talk.state, talk.cards, first, talk.now, last=last)
    if re.search(r"\bhow long\b|\bwhat time did i (?:start|begin)\b", m.text.lower()) and entries:
        return Result(at_it(found), answer=day_answer(found))
    return Result(spoken(found), answer=day_answer(found))


def stock(talk: Talk, m: Meaning) -> Result:
    """Answer what is left of a product against what the plan still needs, or what there is to buy."""
    have = reckon(talk.state, talk.cards, talk.now, whole_history(talk))
    product = naming.product(talk, m, also_verb=False)
    if product is None and m.has("talk.it"):
        product = talk.context.get("product")
    if product is None and m.parts:
        product = next((p for p in have if p in {n for n, _ in m.parts}), None)
    if product is None:
        return _shelf(talk, m, have)
    talk.context["product"] = product
    found = have.get(product)
    needed = {s.product: s for s in short(talk.state, talk.cards, have=have)}
    wanted = _wanted(talk, product)
    answer = {"about": "stock", "product": product, "left": _exact(found.left) if found else None, "needed": wanted}
    if found is None or found.left is None:
        notes = " ".join(found.notes) if found else ""
        return Result(f"I don't know how much {product} there is: say what you bought. {notes}".strip(), answer=answer)
    if m.has("tin.used") and "left" not in m.text.lower():
        text = f"{capital(amount(_whole(found.used)))} of {product} used so far, by what was told."
        return Result(text, answer=answer)
    text = f"About {amount(_whole(found.left))} of {product} left"
    lacking = needed.get(product)
    if lacking is not None and lacking.missing is not None and lacking.missing.value >= 1:
        text += f", {amount(_whole(lacking.missing))} short of the {amount(_whole(lacking.needed))} the job needs"
    elif wanted is not None:
        text += f", and the job needs {amount(_whole(wanted))}"
    talk.context["last"] = {"about": "stock", "why": f"{found.basis} " + " ".join(found.notes)}
    return Result(text + ".", answer=answer, cautions=[capital(w) for w in found.warnings])


def keeping(talk: Talk, m: Meaning) -> Result:
    """Answer whether a tin is still good: by the months that its card gives it, and by what to look for."""
    product = naming.product(talk, m) or talk.context.get("product")
    card = talk.card(product)
    if product is None or card is None:
        raise Back("Which product?", "product", [*talk.state.labels])
    talk.context["product"] = product
    found = reckon(talk.state, talk.cards, talk.now, whole_history(talk)).get(product)
    ends = [e for t in (found.tins if found else ()) if not t.gone and (e := best_before(card, t.bought, t.opened))]
    look = f"{capital(sign(card))}."
    if not ends:
        text = f"Nothing tells how old the {product} is, or how long it keeps. {look}"
    else:
        last, why = min(ends)
        past = last < talk.now.date()
        said = f"past its time since {last.day} {last:%B %Y}" if past else f"good until {last.day} {last:%B %Y}"
        text = f"{'No' if past else 'Yes'}: the {product} is {said}, {why}. {look}"
    return Result(text, answer={"about": "explain", "text": text})


def _whole(said: Any) -> Any:
    return said._replace(value=float(round(said.value))) if said is not None else None


def _exact(said: Any) -> Any:
    """Give an amount as a measure shows it: a tenth of a millilitre means nothing in a tin."""
    return said._replace(value=round(said.value, 1)) if said is not None else None


def _wanted(talk: Talk, product: str) -> Any:
    from assistant.craft.needs import needs

    found = needs(talk.state, talk.cards).get(product)
    return _exact(found.amount) if found else None


def _shelf(talk: Talk, m: Meaning, have: dict[str, Stock]) -> Result:
    buy = shopping(talk.state, talk.cards, talk.now, have)
    if any(w in m.text.lower() for w in ("buy", "shopping", "order", "short", "need")):
        words = [f"{b.product}, {amount(_whole(b.missing))}" if b.missing else b.product for b in buy]
        text = f"To buy: {'; '.join(words)}." if words else "Nothing to buy for what is planned, that I know of."
    else:
        words = [f"{s.product} {amount(_whole(s.left))}" for s in have.values() if s.left is not None]
        text = f"On the shelf: {listed(words)}." if words else "I know of no tins: say what you bought."
    first = next(iter(buy), None)
    product = first.product if first else next(iter(have), None)
    left = have[product].left if product in have else None
    wanted = _wanted(talk, product) if product else None
    answer = {"about": "stock", "product": product, "left": _exact(left), "needed": wanted}
    return Result(text, answer=answer)


def kit(talk: Talk, m: Meaning) -> Result:
    """Answer what gear there is and when it was last changed."""
    from assistant.dialogue.record import item_of

    item = item_of(m)
    if item == "gear" or m.has("task.meant", "q.want"):
        from assistant.dialogue.planning import needed

        if m.when.said or (item == "gear" and m.has("task.meant", "q.want", "q.what")):
            return needed(talk, m)
    known = talk.state.gear
    rows = [g for n, g in known.items() if item in n or n in item] if item != "gear" else list(known.values())
    answer = {"about": "gear", "items": [{"item": g.item, "change": g.change, "at": g.at} for g in rows]}
    if not rows:
        what = "gear" if item == "gear" else item
        return Result(f"I have nothing in the journal about {what}.", answer=answer)
    said = listed(f"{g.item} {g.change} {stamp(g.at, talk.now)}" for g in rows)
    return Result(capital(said) + ".", answer=answer)


DIARY: dict[str, Callable[[Talk, Meaning], Result]] = {"diary": diary, "stock": stock, "kit": kit, "keeping": keeping}
__all__ = ["DIARY", "Back", "first_told", "whole_history"]
