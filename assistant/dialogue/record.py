"""What was done becomes events: one function a kind of statement.

Each gives a :class:`Result` or ends the turn with a question, a refusal or "not understood"; nothing is
written here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta

from assistant.craft.readiness import readiness
from assistant.craft.times import utc
from assistant.dialogue import naming, wording
from assistant.dialogue.talk import Back, Refused, Result, Talk, Unclear
from assistant.dialogue.wording import amount, ended, lasting, listed, ordinal, sentence, stamp, when
from assistant.journal.events import (
    Bond,
    Clean,
    Climate,
    Coat,
    Event,
    Fill,
    Fit,
    Gear,
    Hours,
    Mask,
    Mix,
    Note,
    Sand,
    Strip,
    Tin,
    Unmask,
    Work,
)  # fmt: skip
from assistant.language.meaning import Meaning
from assistant.language.when import Clock, Day, When, resolve
from assistant.quantity import Amount

_LATE = timedelta(minutes=2)


def moment(talk: Talk, m: Meaning) -> datetime:
    """Give when it was done: as said, else with the rest of the phrase, else now."""
    if not m.when.said:
        return talk.said_time or talk.now
    if m.when.clock is not None and m.when.ago is not None and m.when.ago < timedelta(days=1):
        raise Unclear("That is two times in one: say when it was.")
    at = resolve(m.when, talk.now, "past")
    if utc(at) > utc(talk.now) + _LATE:
        at = resolve(m.when, talk.now, "future")
        raise Refused(f'{stamp(at, talk.now)} is still to come: I log what is done. To plan it say "to do" first.')
    if talk.now - at > timedelta(days=366):
        raise Refused("That is more than a year ago: say the day again.")
    return at


#: A wait, or a brush drawn through a film that is there: no new coat.
_NOT_LAID = re.compile(
    r"\bgive\b.*\b(?:minute|hour|day|night|week|while|bit)s?\b|\b(?:brushed|tipped|laid) (?:it|that|them) (?:out|off)\b"
)


def coat(talk: Talk, m: Meaning) -> Result:
    """Log a coat on each piece named."""
    if _NOT_LAID.search(m.text.lower()):
        raise Unclear("I log only what is done: was a coat laid? Say which, and on what.")
    if m.count is not None and m.count != 1 and "ordinal" not in talk.hints:
        if m.count == 0:
            raise Refused("No coats, nothing to log.")
        raise Back("One coat at a time, each with its own time: which number is this one?", "ordinal")
    number = m.ordinal if m.ordinal is not None else talk.hints.get("ordinal")
    if number is not None and not 1 <= number <= 40:
        raise Refused(f"A coat number of {number} can't be right: say it again.")
    strange = naming.strange_product(m)
    if strange and not m.products and "product" not in talk.hints:
        known = listed([*talk.state.labels], "or")
        raise Back(
            f"I have no product called {strange}. Which is it" + (f": {known}?" if known else "?"),
            "product",
            [*talk.state.labels],
        )
    pieces = naming.pieces(talk, m)
    at = moment(talk, m)
    _laid_or_to_do(talk, m, pieces)
    said = naming.product(talk, m)
    if said is None and m.inherited:
        said = talk.said_product or talk.context.get("product")  # "primed the one door ... and the other"
    if (card := talk.card(said)) and card.kind in ("filler", "putty") and (number is None or "act.coat" not in m.said):
        m.frame = "fill"  # "spread some filler over it" lays no coat
        return work(talk, m)
    thinned = m.percent
    if thinned is not None and not 0 <= thinned.value <= 60:
        raise Refused(f"{amount(thinned)} of thinner can't be right: say it again.")
    events = [_coat_on(talk, m, piece, said, number, thinned, at) for piece in pieces]
    talk.said_pieces = pieces
    first = events[0]
    talk.context["coat"] = first.coat
    named = f"{ordinal(first.coat)} coat" + (f" of {first.product}" if first.product else "")
    where = f"{named} on {listed('the ' + p for p in pieces)}"
    read_back = sentence([where, wording.thinned(first.thinned), stamp(at, talk.now)])
    if first.product is None and talk.state.labels:
        read_back += " Of what? Say so, and I can tell you when it is dry."
        asked = talk.now.isoformat()
        talk.context["pending"] = {
            "phrase": "", "at": asked, "slot": "what_was_it", "options": [*talk.state.labels], "value": "", "hints": {},
            "asked": asked,
        }  # fmt: skip
    over = _too_thin(talk, first) if first.thinned is not None else None
    return Result(read_back, [*events], cautions=[over] if over else [])


def _too_thin(talk: Talk, laid: Coat) -> str | None:
    card = talk.card(laid.product)
    if card is None or card.thinner is None or card.thinner.max is None or laid.thinned is None:
        return None
    if laid.thinned.value <= card.thinner.max:
        return None
    return f"The label allows {card.thinner.max:g} percent at most: a thinner film may sag, and builds less."


def _laid_or_to_do(talk: Talk, m: Meaning, pieces: list[str]) -> None:
    """Ask back where a bare "one more coat on the rail" comes too soon to have been laid: it may be a wish."""
    if m.when.said or m.ordinal or "laid" in talk.hints or not _BARE.match(m.text.strip()):
        return
    for piece in pieces:
        found = readiness(talk.state, talk.cards, piece, "overcoat", talk.now)
        if found.earliest is not None and utc(found.earliest) > utc(talk.now):
            again = listed("the " + p for p in pieces)
            raise Back(
                f"It can't take one before {when(found.earliest, talk.now)}. Is it on, or is it to do?",
                "laid", ["it is on", "to do"], value=f"give {again} one more coat",
            )  # fmt: skip


_BARE = re.compile(r"(?:one|an?) (?:more|extra|further) coat\b", re.IGNORECASE)


def _coat_on(
    talk: Talk, m: Meaning, piece: str, said: str | None, number: int | None, thinned: Amount | None, at: datetime
) -> Coat:
    """Give the coat of one piece: its product as said, as before or as planned, its number counted on if not said."""
    planned = naming.usual_product(talk, piece)
    product = naming.narrowed(talk, said, piece) or naming.last_product(talk, piece) or planned
    if not said and planned and number == 1:
        product = planned  # a first coat of something new
    on_it = talk.state.coats.get(piece, {}).get(product or "", 0)
    if number is None and m.inherited and not on_it:
        number = talk.context.get("coat")  # "second coat on the trim ... and the handrail"
    return Coat(piece=piece, coat=number or on_it + 1, product=product, thinned=thinned, at=at, said_at=talk.now)


def sand(talk: Talk, m: Meaning) -> Result:
    """Log sanding."""
    if m.grit is not None and not 16 <= m.grit <= 5000:
        raise Refused(f"There is no {m.grit} grit: say it again.")
    pieces = naming.pieces(talk, m)
    at = moment(talk, m)
    events: list[Event] = [Sand(piece=p, grit=m.grit, at=at, said_at=talk.now) for p in pieces]
    talk.said_pieces = pieces
    grit = f"with {m.grit}" if m.grit else ""
    return Result(
        sentence([f"Sanded {listed('the ' + p for p in pieces)} {grit}".strip(), stamp(at, talk.now)]), events
    )


_WITH_IT = re.compile(r"\bwith (?:it|that|this|some of (?:it|that))\b", re.IGNORECASE)

_WORK: dict[str, tuple[type[Work], str]] = {
    "fill": (Fill, "Filled"), "strip": (Strip, "Stripped"), "clean": (Clean, "Cleaned"), "mask": (Mask, "Masked"),
    "unmask": (Unmask, "Tape off"), "bond": (Bond, "Bonded"), "fit": (Fit, "Fitted"),
}  # fmt: skip


def work(talk: Talk, m: Meaning) -> Result:
    """Log the plain kinds of work on a piece."""
    kind, verb = _WORK[m.frame]
    if m.frame == "clean" and m.spaces and not m.pieces:  # a space is no piece: it is a line of the day
        return Result(f"Noted: {m.text}", [Note(text=m.text, at=moment(talk, m), said_at=talk.now)])
    taped = _taped(talk) if kind is Unmask else []
    pieces = taped if len(taped) == 1 and not m.pieces and not m.unknown else naming.pieces(talk, m)
    at = moment(talk, m)
    product = naming.product(talk, m, also_verb=False)
    if product is None and kind is Bond:
        glues = talk.labels_of(("adhesive",))
        product = talk.said_product if m.has("talk.it") else None  # "made up 40 ml and glued it on with that"
        spoken_of = talk.context.get("product")
        if product is None and _WITH_IT.search(m.text) and spoken_of in talk.labels_of(("adhesive", "epoxy", "resin")):
            product = str(spoken_of)
        if product is None and "epoxied" in m.text.lower():
            glues = [g for g in glues if g in talk.labels_like("epoxy")] or glues
        if product is None:
            product = naming.usual_product(talk, pieces[0]) if naming.usual_product(talk, pieces[0]) in glues else None
        product = product or (glues[0] if len(glues) == 1 else None)
    if product is None and kind is Fill:
        fillers = talk.labels_of(("filler", "putty"))
        product = fillers[0] if len(fillers) == 1 else None
    if m.frame == "strip" and product and re.search(r"\b(?:off|from|old)\b", m.text.lower()):
        product = None  # it is what came off
    events: list[Event] = [kind(piece=p, product=product, at=at, said_at=talk.now) for p in pieces]
    talk.said_pieces = pieces
    with_ = f" with {product}" if product else ""
    join = " " if kind is not Unmask else " the "
    return Result(
        sentence(
            [
                f"{verb}{join.replace('the ', '')}{listed('the ' + p for p in pieces)}{with_}",
                stamp(at, talk.now),
            ]
        ),
        events,
    )


def _taped(talk: Talk) -> list[str]:
    from assistant.craft.plan.chain import taped

    return [p for p in talk.state.pieces if taped(talk.state, p)]


#: "And at ten degrees" goes on with a question; it is no reading.
_AND_AT = re.compile(r"(?:and|what about|how about)\s+at\b", re.IGNORECASE)


def climate(talk: Talk, m: Meaning) -> Result:
    """Log a temperature or a humidity, or a spell that is expected."""
    if m.temperature is None and m.has("air.heating") and _OFF_AT.search(m.text.lower()):
        raise Unclear("I did not get how warm it will be: say the degrees and until when.")
    if m.surface is not None and m.temperature is None and m.percent is None:
        from assistant.dialogue.pots import dew

        return dew(talk, m)  # a surface is no air: it is set against the dew point
    if m.has("air.outside") and not m.spaces:
        raise Unclear("Outside is not where it dries: say the temperature of a space.")
    if _AND_AT.match(m.text) and talk.fresh and talk.context.get("frame") not in (None, "climate"):
        raise Unclear('Say "it is ten degrees" to log a reading, or "what if it is ten degrees" to ask.')
    space = naming.space(talk, m)
    if space is None and m.has("talk.there"):
        space = talk.context.get("space")
    degrees, damp = m.temperature, m.percent
    if degrees is None and damp is None and not m.numbers and "number" in m.other and m.has("number"):
        m.numbers, m.when = [m.other["number"]], When(day=m.when.day)  # "dropped to seven" is no clock time
    if degrees is None and m.numbers and (len(m.numbers) > 1 or not m.has("air.humidity")):
        degrees = Amount(m.numbers[0], "degC")
    if damp is None and m.numbers and m.has("air.humidity"):
        damp = Amount(m.numbers[-1], "percent")
    if degrees is None and "temperature" in talk.hints:
        degrees = Amount(float(talk.hints["temperature"]), "degC")
    if degrees is None and damp is None:
        raise Back("To what temperature?", "temperature")
    if degrees is not None and not -30 <= degrees.value <= 60:
        raise Refused(f"{amount(degrees)} can't be right in a boat: say it again.")
    if damp is not None and not 0 < damp.value <= 100:
        raise Refused(f"{amount(damp)} humidity can't be right: it goes from 0 to 100.")
    at, until = _spell(talk, m)
    talk.context["space"] = space
    event = Climate(space=space, temperature=degrees, humidity=damp, until=until, at=at, said_at=talk.now)
    said = listed([*([amount(degrees)] if degrees else []), *([f"{amount(damp)} humidity"] if damp else [])])
    where = f"in the {space}" if space else "everywhere"
    return Result(sentence([f"{said} {where}", f"until {when(until, talk.now)}" if until else ""]), [event])


def _spell(talk: Talk, m: Meaning) -> tuple[datetime, datetime | None]:
    """Give when a reading was taken, or from when to when a spell is expected."""
    now = talk.now
    if m.range is not None:
        start = resolve(m.range[0], now, "past" if m.has("rule") else "future")
        return start, resolve(m.range[1], start, "future")
    if m.duration is not None and m.until is None:
        start = moment(talk, m)
        return start, start + m.duration
    if m.until is not None:
        start = moment(talk, Meaning(m.frame, m.mood, m.tags, when=When(clock=m.when.clock))) if m.when.clock else now
        return start, resolve(_until_when(m.until), now, "future")
    day = m.when.day
    if day is not None and day.part == "night" and m.when.clock is None and not _was_last_night(m):
        evening = now.replace(hour=20, minute=0, second=0, microsecond=0)
        in_night = now.hour < 7
        start = now if in_night or now >= evening else evening
        morning = (now if in_night else now + timedelta(days=1)).replace(hour=7, minute=0, second=0, microsecond=0)
        return start, morning
    if m.when.said and (m.when.ahead or m.has("tense.future") or (day and day.back is not None and day.back < 0)):
        return resolve(m.when, now, "future"), None
    return moment(talk, m), None


def _was_last_night(m: Meaning) -> bool:
    return m.when.day is not None and m.when.day.back == 1 and "last" in m.text


def _until_when(said: When) -> When:
    # "until morning" is the end of the night
    if said.clock is None and said.day and said.day.part == "morning":
        return When(clock=Clock((7,)), day=Day(back=said.day.back) if said.day.back else None)
    return said


_TIN_ORDER = ("spoiled", "returned", "bought", "opened", "empty", "used")


def tin(talk: Talk, m: Meaning) -> Result:
    """Log a change in the stock."""
    said = next((c for c in _TIN_ORDER if m.has(f"tin.{c}")), None)
    none_left = m.has("tin.left") and m.has("tense.neg")
    if said and m.has("tense.neg") and not none_left:
        raise Unclear("Then there is nothing to log.")
    change = said or ("empty" if none_left else talk.said_change if m.inherited else "used")
    talk.said_change = change
    product = naming.product(talk, m, also_verb=False)
    if product is None:
        last = talk.said_product or (talk.context.get("product") if m.has("talk.it") else None)
        if last:
            product = str(last)
        else:
            raise Back("Which product?", "product", [*talk.state.labels])
    at = moment(talk, m)
    told = m.amounts[0] if m.amounts else Amount(*talk.hints["amount"]) if "amount" in talk.hints else None
    size = _positive(told) if told else None
    if change == "used" and size is None:
        raise Back("How much of it?", "amount")
    many = m.count if change == "bought" and m.count and 1 < m.count <= 20 else 1
    events: list[Event] = [
        Tin(product=product, change=change, amount=size, at=at, said_at=talk.now) for _ in range(many)
    ]
    said = {"empty": f"The {product} is empty", "spoiled": f"The {product} is spoiled"}.get(
        change,
        f"{change.capitalize()} {amount(size) + ' of ' if size else ''}{product}"
        + (f", {many} tins" if many > 1 else ""),
    )
    return Result(sentence([said, stamp(at, talk.now) if m.when.said else ""]), events)


def _positive(said: Amount) -> Amount:
    if said.value <= 0:
        raise Refused(f"{amount(said)} is no amount: say how much there was.")
    if said.value > 50000:
        raise Refused(f"{amount(said)} can't be right: say it again.")
    return said


def mix(talk: Talk, m: Meaning) -> Result:
    """Log a pot mixed, with its parts by the label and how long it is good."""
    from assistant.dialogue.mixing import mixed, off_ratio, pot_ends

    product, portions, total, ratio = mixed(talk, m)
    at = moment(talk, m)
    event = Mix(product=product, amount=total, ratio=ratio, parts=portions, at=at, said_at=talk.now)
    talk.context["product"] = product
    said = f"Mixed {amount(total) + ' of ' if total else ''}{product}"
    result = Result(sentence([said, stamp(at, talk.now) if m.when.said else ""]), [event])
    if portions and (off := off_ratio(talk, event)):
        result.cautions.append(off)
    ends = pot_ends(talk, event)
    if ends is not None:
        left = ends - talk.now
        result.reply += (
            f" Pot good until {when(ends, talk.now)}."
            if left > timedelta(0)
            else f" That pot went off {ended(ends, talk.now)}."
        )
    return result


def gear(talk: Talk, m: Meaning) -> Result:
    """Log gear fitted or replaced."""
    item = item_of(m)
    change = "replaced" if m.has("gear.replaced") else "fitted"
    at = moment(talk, m)
    return Result(sentence([f"{change.capitalize()} the {item}", stamp(at, talk.now) if m.when.said else ""]),
                  [Gear(item=item, change=change, at=at, said_at=talk.now)])  # fmt: skip


def item_of(m: Meaning) -> str:
    """Give the piece of gear a clause names, or "gear"."""
    from assistant.language.lexicon import lexicon

    words = m.text.lower().replace(",", " ").split()
    known = (e for first in set(words) for e in lexicon().by_first.get(first, ()))
    entries = sorted((e.words for e in known if e.tag in ("gear.item", "ask.gear")), key=len, reverse=True)
    joined = f" {' '.join(words)} "
    found = [" ".join(e) for e in entries if f" {' '.join(e)} " in joined]
    small = [f for f in found if f not in ("mask", "respirator", "scraper", "extractor")]  # "the filters in my mask"
    return next(iter(small or found), "gear")


#: "The heating is going off at ten": the figure is a time.
_OFF_AT = re.compile(r"\b(?:off|on|up|down) at \w+\b(?! degrees)")


def hours(talk: Talk, m: Meaning) -> Result:
    """Set quiet hours, sleep, time away or the deadline."""
    rule = next(r for r in ("deadline", "quiet", "sleep", "away") if m.has(f"rule.{r}"))
    now = talk.now
    start: datetime | None = None
    if rule == "deadline":
        end = resolve(m.when if m.when.said else m.until or When(), now, "future")
        said = f"Deadline {when(end, now)}"
    else:
        if m.range is not None and rule == "away" and m.when.day is not None:
            start, end = _by_day(talk, m)
        elif m.range is not None:
            start = resolve(m.range[0], now, "future")
            end = resolve(m.range[1], start, "future")
        elif len(m.clocks) == 2:
            start = resolve(When(clock=m.clocks[0]), now, "future")
            end = resolve(When(clock=m.clocks[1]), start, "future")
        elif rule == "quiet" and len(m.clocks) == 1:
            start, end = _one_sided(talk, m)
        elif m.until is not None:
            start, end = now, resolve(_until_when(m.until), now, "future")
        elif rule == "away" and m.duration is not None:
            start = resolve(m.when, now, "future") if m.when.said else now
            end = start + m.duration
        elif rule == "away" and len(m.clocks) == 1 and re.search(r"\bback\b", m.text.lower()):
            start, end = now, resolve(m.when, now, "future")
        elif rule == "away" and m.when.day is not None:
            start = resolve(When(day=m.when.day, clock=m.when.clock), now, "future")
            end = start.replace(hour=23, minute=59)
        else:
            raise Back("From when to when?", "range")
        named = {"quiet": "Quiet hours", "sleep": "Sleep", "away": "Away"}[rule]
        said = f"{named} from {when(start, now)} to {when(end, now)}"
    if m.duration is not None and start is not None and end != start + m.duration:
        raise Unclear(f"I don't know what to do with {lasting(m.duration)} there: say it again.")
    if end <= now:
        raise Refused(f"{stamp(end, now)} has passed: say a time to come.")
    return Result(sentence([said]), [Hours(rule=rule, start=start, end=end, at=now, said_at=now)])


def _by_day(talk: Talk, m: Meaning) -> tuple[datetime, datetime]:
    """Give a time away on a named day: of two hours that a figure may be, the one of the day."""
    assert m.range is not None
    day = resolve(When(day=m.when.day), talk.now, "future")
    ends: list[datetime] = []
    for said in m.range:
        hours_ = said.clock.hours if said.clock else (0,)
        least = ends[0].hour + 1 if ends else 6
        hour = next((h for h in sorted(hours_) if h >= least), max(hours_))
        ends.append(day.replace(hour=hour % 24, minute=said.clock.minute if said.clock else 0, second=0, microsecond=0))
    return ends[0], ends[1]


def _one_sided(talk: Talk, m: Meaning) -> tuple[datetime, datetime]:
    """Give quiet hours of which one end was said: the other as the job has it, else eight and eight."""
    known = talk.state.job.get("quiet") or ("20:00", "08:00")
    said = resolve(When(clock=m.clocks[0]), talk.now, "future")
    hour, minute = (int(p) for p in str(known[0 if "before" in m.text.lower() else 1]).split(":"))
    other = When(clock=Clock((hour,), minute))
    if "before" in m.text.lower():
        return resolve(other, said, "past"), said
    return said, resolve(other, said, "future")


RECORD: dict[str, Callable[[Talk, Meaning], Result]] = {
    "coat": coat, "sand": sand, "mix": mix, "climate": climate, "tin": tin, "gear": gear,
    "hours": hours, **dict.fromkeys(_WORK, work),
}  # fmt: skip

__all__ = ["RECORD", "lasting", "moment"]
