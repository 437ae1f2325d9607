"""Answers about pots, coverage and the air: pot life, how much, dew point, too cold."""

from __future__ import annotations

import re
from collections.abc import Iterable

from assistant.craft.air import humidity_now, temperature_now
from assistant.craft.dew import check
from assistant.craft.film import coverage as cover
from assistant.craft.mix import weight
from assistant.craft.pot import RunningPot, air_for, gone, pot_life, running
from assistant.craft.pot import notes as pot_notes
from assistant.craft.wanted import wanted
from assistant.dialogue import naming
from assistant.dialogue.mixing import which
from assistant.dialogue.talk import Back, Refused, Result, Talk
from assistant.dialogue.wording import amount, capital, figure, listed, stamp, when
from assistant.language.meaning import Meaning
from assistant.language.when import resolve
from assistant.library.measures import measure
from assistant.quantity import Amount


def _gone_off(talk: Talk, pot: RunningPot) -> Result:
    answer = {
        "about": "pot_life", "product": pot.product, "minutes": 0, "temperature": Amount(pot.celsius, "degC"),
        "ends": pot.ends,
    }  # fmt: skip
    at = pot.ends.astimezone(talk.now.tzinfo)
    talk.context["last"] = {"about": "pot_life", "why": f"It was good for {pot.minutes} minutes from the mixing."}
    return Result(f"None: the {pot.product} went off at {stamp(at, talk.now)}. Mix fresh.", answer=answer)


def potlife(talk: Talk, m: Meaning) -> Result:
    """Answer how long a pot lasts: the one that is running, or one to be mixed."""
    pots = running(talk.state, talk.cards, talk.now)
    named = naming.product(talk, m, also_verb=False, ask=False)
    mine = [p for p in pots if named is None or p.product == named]
    if mine and not m.amounts and m.temperature is None:
        pot = mine[0]
        left = int((pot.ends - talk.now).total_seconds() // 60)
        weighed = f" for {figure(pot.grams)} g" if pot.grams else ""
        why = (
            f"{capital(pot.product)} mixed {when(pot.mixed_at, talk.now)}: {pot.minutes} minutes at "
            f"{figure(pot.celsius)} degrees{weighed}, rounded down. {_basis(talk, pot.product)}"
        )
        talk.context["last"] = {"about": "pot_life", "why": why}
        answer = {
            "about": "pot_life",
            "product": pot.product,
            "minutes": left,
            "temperature": Amount(pot.celsius, "degC"),
            "ends": pot.ends,
        }
        return Result(
            f"{left} minute{'s' if left != 1 else ''} left on the {pot.product}: use it by {when(pot.ends, talk.now)}.",
            answer=answer,
            cautions=[n + "." for n in pot.notes],
        )
    of_this = not mine and m.temperature is None and not m.amounts and "pot life" not in m.text.lower()
    over = gone(talk.state, talk.cards, talk.now) if of_this else None
    if over is not None and named in (None, over.product):
        return _gone_off(talk, over)
    product, card = which(talk, m)
    if card.pot is None:
        raise Refused(f"{capital(product)} has no pot life on its label.")
    celsius, supposed = air_for(talk.state, card.pot, talk.now, talk.now)
    if m.temperature is not None:
        celsius, supposed = m.temperature.value, False
    grams = weight(m.amounts[0], card.density) if m.amounts else None
    minutes = pot_life(card.pot, celsius, grams)
    talk.context["product"] = product
    why = (
        f"{figure(card.pot.minutes)} minutes at {figure(card.pot.celsius)} degrees by the "
        f"{'label' if card.pot.from_label else 'family'}, half for each {figure(card.pot.step)} degrees warmer, "
        f"taken at {figure(celsius)}. {_basis(talk, product)}"
    )
    talk.context["last"] = {"about": "pot_life", "why": why}
    answer = {
        "about": "pot_life",
        "product": product,
        "minutes": minutes,
        "temperature": Amount(celsius, "degC"),
        "ends": None,
    }
    text = f"{minutes} minutes for the {product} at {figure(celsius)} degrees"
    text += f" with {amount(m.amounts[0])} in the pot." if m.amounts else "."
    return Result(
        text, answer=answer, cautions=[n + "." for n in pot_notes(card.pot, celsius, grams, assumed=supposed)]
    )


def _basis(talk: Talk, product: str) -> str:
    card = talk.card(product)
    return f"Source: {card.pot.basis}." if card and card.pot else ""


def coverage(talk: Talk, m: Meaning) -> Result:
    """Answer how much of a product some coats on a piece take."""
    pieces = naming.pieces(talk, m, need=False) if (m.pieces or m.has("talk.it") or m.inherited or not m.area) else []
    product = naming.product(talk, m)
    if product is None and pieces:
        product = naming.usual_product(talk, pieces[0]) or naming.last_product(talk, pieces[0])
    if product is None and (m.inherited or m.has("talk.it")):
        product = talk.context.get("product")
    card = talk.card(product)
    if card is None:
        raise Back("Of which product?", "product", [*talk.state.labels])
    talk.said_pieces = pieces
    square = m.area.value if m.area else 0.0
    for piece in pieces if not m.area else []:
        text = talk.state.pieces[piece].values.get("area")
        if text is None:
            raise Back(f"How big is the {piece}, in square metres?", "area")
        square += measure(str(text), "area").value if isinstance(text, str) else float(text["value"])
    if not square:
        if not m.amounts and m.has("q.howmuch", "q.how", "q.what") and not m.count:
            m.amounts = [Amount(1000.0, "ml")]  # "how many square metres does it cover": a litre
        if m.amounts:
            return _goes(talk, m, str(product))
        raise Back("For which piece, or how many square metres?", "piece", [*talk.state.pieces])
    coats = m.count or (1 if m.ordinal or m.has("talk.another") else 0) or _left_to_do(talk, pieces, str(product)) or 1
    if not 0 < coats <= 30:
        raise Refused(f"{coats} coats can't be right: say it again.")
    found = cover(card, Amount(square, "m2"), coats)
    why = (
        f"{figure(square)} square metres, {coats} coats, {figure(found.rate)} square metres a litre, "
        f"{figure(found.loss)} percent lost in the tray and brush. Source: {found.source}."
    )
    talk.context["last"] = {"about": "coverage", "why": why}
    needed = Amount(float(round(found.amount.value)), "ml")
    answer = {"about": "coverage", "product": product, "area": found.area, "coats": coats, "amount": needed}
    coat = "coat" if coats == 1 else "coats"
    where = (
        f" on {listed('the ' + p for p in pieces)}" if pieces and not m.area else f" on {figure(square)} square metres"
    )
    return Result(f"About {amount(needed)} of {product} for {coats} {coat}{where}.", answer=answer)


def _left_to_do(talk: Talk, pieces: list[str], product: str) -> int | None:
    for line in wanted(talk.state):
        if line.piece in pieces and line.label == product:
            return max(1, line.coats - talk.state.coats.get(line.piece, {}).get(product, 0))
    return None


def _goes(talk: Talk, m: Meaning, product: str) -> Result:
    card = talk.card(product)
    assert card is not None
    one = cover(card, Amount(1.0, "m2"), 1)
    area = m.amounts[0].value / one.amount.value
    answer = {
        "about": "coverage",
        "product": product,
        "area": Amount(round(area, 1), "m2"),
        "coats": 1,
        "amount": m.amounts[0],
    }
    return Result(
        f"{amount(m.amounts[0])} of {product} covers about {figure(round(area, 1))} square metres, one coat.",
        answer=answer,
    )


def dew(talk: Talk, m: Meaning) -> Result:
    """Answer whether it is too damp: the surface against the dew point."""
    where = naming.space(talk, m)
    if where is None:
        for piece in naming.pieces(talk, m, need=False) if m.pieces or talk.fresh else []:
            where = where or talk.state.space_of(piece)
    air = m.temperature.value if m.temperature else temperature_now(talk.state, where, talk.now).celsius
    supposed = m.temperature is None and temperature_now(talk.state, where, talk.now).source == "assumed"
    damp = m.percent.value if m.percent else talk.hints.get("humidity") or humidity_now(talk.state, where, talk.now)
    if m.temperature is None and m.numbers and m.has("air.dew"):
        air, supposed = m.numbers[0], False  # "dew point at 15 and 60 percent"
    if supposed:
        raise Back("I don't know how warm it is: what does the thermometer say?", "temperature")
    if damp is None:
        raise Back("I don't know the humidity: what does the hygrometer say?", "humidity")
    if not 0 < float(damp) <= 100:
        raise Refused(f"{figure(float(damp))} percent humidity can't be right.")
    found = check(air, float(damp), m.surface.value if m.surface else None)
    answer = {
        "about": "dew", "dew_point": Amount(round(found.dew_point, 2), "degC"),
        "surface": Amount(found.surface, "degC"), "margin": Amount(round(found.margin, 2), "degC"), "ok": found.ok,
    }  # fmt: skip
    why = (
        f"At {figure(air)} degrees and {figure(float(damp))} percent the dew point is {found.dew_point:.1f}; "
        f"the surface must be 3 degrees above it and the humidity not over 85. Source: {found.source}."
    )
    talk.context["last"] = {"about": "dew", "why": why}
    place = f" in the {where}" if where else ""
    word = "Fine" if found.ok else "Too damp"
    text = f"{word}{place}: dew point {found.dew_point:.1f} degrees, margin {found.margin:.1f}."
    least = _least(talk, m)
    cautions = [capital(found.why) + "."] if found.why and not found.ok else []
    if least is not None and air < least[1]:
        cautions.append(f"{figure(air)} degrees is under the least for {least[0]}, {figure(least[1])}.")
    return Result(text, answer=answer, cautions=cautions)


def _least(talk: Talk, m: Meaning) -> tuple[str, float] | None:
    product = naming.product(talk, m, ask=False)
    card = talk.card(product)
    return (str(product), card.least) if card and card.least is not None else None


def _wants(talk: Talk, m: Meaning) -> list[tuple[str, float]]:
    """Give the least temperature (degC) of the product that was said, else of each label of the job that has one."""
    wanted = _least(talk, m)
    cards = ((n, talk.card(n)) for n in talk.state.labels)
    return [wanted] if wanted else [(n, c.least) for n, c in cards if c and c.least is not None and c.kind != "thinner"]


def _short(products: Iterable[tuple[str, float]], degrees: float) -> list[str]:
    return [f"{n} wants {figure(t)}" for n, t in products if degrees < t]


def cold(talk: Talk, m: Meaning) -> Result:
    """Answer how warm it is, or whether it is, or will be, too cold for what is on."""
    from assistant.craft.air import temperatures

    where = naming.space(talk, m)
    if re.search(r"\b(?:coldest|how cold|lowest|minimum|least)\b", m.text.lower()):
        return _limits(talk, m)
    at = (
        resolve(m.when, talk.now, "future") if m.when.said and m.when.day and m.when.day.part != "morning" else talk.now
    )
    if m.temperature is not None and m.has("air.cold", "act.coat"):
        return _warm_enough(talk, m, m.temperature.value)
    if where is None and at == talk.now and m.has("air.cold") and len(talk.state.spaces) > 1 and not m.pieces:
        return _everywhere(talk, m)
    spell = (
        temperature_now(talk.state, where, at) if at == talk.now else temperatures(talk.state, where, at, talk.now)[0]
    )
    place = f"in the {where}" if where else "as far as I know"
    told = {
        "assumed": "nobody has told me, so I take",
        "job file": "by the job file",
        "expected": "expected",
        "logged": "logged",
    }
    text = f"{figure(spell.celsius)} degrees {place} ({told.get(spell.source, spell.source)})."
    if not m.has("air.cold", "act.coat"):
        return Result(text, answer={"about": "explain", "text": text})
    products = _wants(talk, m)
    short = _short(products, spell.celsius)
    night = _coldest(talk, where)
    if (night is not None and m.has("tense.future")) or (m.when.day and m.when.day.part == "night"):
        low = night if night is not None else spell.celsius
        short = _short(products, low)
        text = f"{figure(low)} degrees expected tonight."
    text = (f"Too cold: {listed(short)}. " if short else "Warm enough. ") + text
    return Result(text, answer={"about": "explain", "text": text})


def _warm_enough(talk: Talk, m: Meaning, degrees: float) -> Result:
    """Answer whether a temperature that was named is enough for a product, or for all of them."""
    known = _wants(talk, m)
    short = _short(known, degrees)
    text = f"Too cold at {figure(degrees)}: {listed(short)}." if short else f"Warm enough at {figure(degrees)} degrees."
    return Result(text, answer={"about": "explain", "text": text})


def _everywhere(talk: Talk, m: Meaning) -> Result:
    """Answer space by space whether it is warm enough: one figure for the whole boat is nobody's."""
    known = _wants(talk, m)
    air = [(name, temperature_now(talk.state, name, talk.now).celsius) for name in talk.state.spaces]
    cold_ = [
        f"the {name}, {figure(t)} degrees, for {listed(n for n, least in known if t < least)}"
        for name, t in air if any(t < least for _, least in known)
    ]  # fmt: skip
    all_ = listed(f"{name} {figure(t)}" for name, t in air)
    text = f"Too cold in {listed(cold_)}. All: {all_}." if cold_ else f"Warm enough: {all_} degrees."
    return Result(text, answer={"about": "explain", "text": text})


def _limits(talk: Talk, m: Meaning) -> Result:
    """Answer how cold it may be: under it the film stands still."""
    known = _wants(talk, m)
    told = listed(f"{n} {figure(t)}" for n, t in known)
    text = f"At least, in degrees: {told}. Under that it stands still." if told else "No label says how cold it may be."
    return Result(text, answer={"about": "explain", "text": text})


def _coldest(talk: Talk, where: str | None) -> float | None:
    from datetime import timedelta

    from assistant.craft.air import temperatures

    spells = [
        s for s in temperatures(talk.state, where, talk.now, talk.now) if s.start < talk.now + timedelta(hours=14)
    ]
    return min((s.celsius for s in spells), default=None)


POTS = {"potlife": potlife, "coverage": coverage, "dew": dew, "cold": cold}
