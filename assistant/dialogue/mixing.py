"""Mixing and thinning: what was asked or poured, worked out by the label's ratio."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from assistant.craft.mix import Portions, measured, portions, step_for
from assistant.craft.needs import kit
from assistant.craft.thin import thin as thinned
from assistant.craft.times import utc
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Refused, Result, Talk, Unclear
from assistant.dialogue.wording import amount, capital, figure, listed, ordinal
from assistant.journal.events import Coat, Mix
from assistant.language.meaning import Meaning
from assistant.library.cards import Card, Ratio
from assistant.quantity import Amount

#: The most that one person mixes at once; more is a slip of the tongue.
MOST = 20000.0
_SECOND = ("hardener", "activator", "catalyst")


def _sized(said: Amount) -> Amount:
    if said.value <= 0:
        raise Refused(f"{amount(said)} is no amount: say how much.")
    if said.value > MOST:
        raise Refused(f"{amount(said)} is more than anyone mixes at once: say it again.")
    return said


def which(talk: Talk, m: Meaning) -> tuple[str, Card]:
    """Give the product to be mixed, with its card: as said, as spoken of, or the only one it can be."""
    named = naming.product(talk, m, also_verb=False)
    if named is None:
        strange = naming.strange_product(m)
        mixes = _mixed_labels(talk)
        parts = [p for p, _ in m.parts if p in ("hardener", "resin", "activator", "catalyst")]
        fitting = _with_parts(talk, mixes, parts)
        last = talk.context.get("product")
        if strange:
            raise Back(f"I have no product called {strange}. Which is it: {listed(mixes, 'or')}?", "product", mixes)
        if len(fitting) == 1:
            named = fitting[0]
        elif last in fitting:
            named = str(last)
        elif fitting:
            raise Back(f"Of which: {listed(fitting, 'or')}?", "product", fitting)
        else:
            raise Back("Of which product? I have none with a mixing ratio.", "product", [*talk.state.labels])
    card = talk.card(named)
    if card is None:
        raise Back(f"I have no label for {named}: which product is it?", "product", _mixed_labels(talk))
    return named, card


def _with_parts(talk: Talk, mixes: list[str], parts: list[str]) -> list[str]:
    """Give the labels that have the parts said, by those very names if any has."""

    def names(label: str) -> set[str]:
        card = talk.card(label)
        return {n.lower() for n, _ in card.ratio.parts} if card and card.ratio else set()

    by_name = [n for n in mixes if set(parts) <= names(n)]
    glues = [n for n in by_name if (c := talk.card(n)) and c.kind in ("epoxy", "adhesive")]
    if len(glues) == 1:
        return glues  # resin and hardener are poured by volume; a filler is asked for by its name
    return by_name or [n for n in mixes if all(_part(talk.card(n), p) for p in parts)] or mixes


def _mixed_labels(talk: Talk) -> list[str]:
    out = []
    for name in talk.state.labels:
        card = talk.card(name)
        if card and card.ratio:
            out.append(name)
    return out


def _part(card: Card | None, said: str) -> str | None:
    """Give the label's name of a part said as "hardener"; the second part answers to every such word."""
    if card is None or card.ratio is None:
        return None
    names = [name for name, _ in card.ratio.parts]
    same = [n for n in names if said in n.lower() or n.lower() in said]
    if same:
        return same[0]
    if said in _SECOND and len(names) > 1 and not any(w in names[0].lower() for w in _SECOND):
        return names[1]
    return names[0] if said in ("resin", "base") else None


def _volume(talk: Talk, m: Meaning, card: Card) -> Amount | None:
    if m.amounts:
        return _sized(m.amounts[0])
    if "amount" in talk.hints:
        return _sized(Amount(*talk.hints["amount"]))
    if m.numbers:  # "mixed sixty of epoxy": by the unit the label goes by
        return _sized(Amount(m.numbers[0], "g" if card.ratio and card.ratio.by == "weight" else "ml"))
    return None


def _given(m: Meaning, card: Card) -> tuple[str | None, str | None]:
    """Give the part whose amount was said and the part that is asked for, by the label's names."""
    given = next((_part(card, p) for p, k in m.parts if k is not None), None)
    asked = [_part(card, p) for p, k in m.parts if k is None]
    return given, asked[0] if len(set(asked)) == 1 else None


def _total_meant(m: Meaning, card: Card, asked: str | None) -> bool:
    """Whether an amount without a part is the whole mix: said so, or nothing else is asked for."""
    first = card.ratio.parts[0][0] if card.ratio else None
    if m.has("ask.total") or asked == first:
        return True
    return asked is None


def _ratio(card: Card, m: Meaning) -> Ratio:
    if m.ratio and card.ratio and len(m.ratio) == len(card.ratio.parts):
        names = [n for n, _ in card.ratio.parts]
        return Ratio(card.ratio.by, tuple(zip(names, m.ratio, strict=True)), "as said")
    if card.ratio is None:
        raise Refused(f"{card.name} has no mixing ratio on its label: it is not a two-part product.")
    return card.ratio


def mixed(
    talk: Talk, m: Meaning
) -> tuple[str, tuple[tuple[str, Amount], ...] | None, Amount | None, tuple[float, ...] | None]:
    """Give product, parts, total and ratio of a pot that was mixed."""
    product, card = which(talk, m)
    if re.search(r"\bkit\b", m.text.lower()) and not m.amounts and card.ratio is not None:
        share = m.numbers[0] if m.numbers and 0 < m.numbers[0] <= 1 else 1.0
        whole = kit(talk.state, talk.cards, product, share)
        return product, whole.parts, whole.total, tuple(v for _, v in card.ratio.parts)
    said = _volume(talk, m, card)
    if said is None:
        raise Back(f"How much {product}?", "amount")
    if card.ratio is None:
        return product, None, said, None
    ratio = _ratio(card, m)
    given = [(_part(card, p), m.amounts[k]) for p, k in m.parts if k is not None and k < len(m.amounts)]
    if len(given) > 1 and len({g[0] for g in given}) == len(given):
        for _, each in given:
            _sized(each)
        total = Amount(sum(a.value for _, a in given), given[0][1].unit)
        return product, tuple((str(n), a) for n, a in given), total, tuple(v for _, v in ratio.parts)
    found = portions(ratio, card.density, said, "total" if not given else "base", given=given[0][0] if given else None)
    parts = tuple((name, Amount(round(part.value, 2), part.unit)) for name, part in found.parts)
    return product, parts, found.total, tuple(v for _, v in ratio.parts)


#: Parts told that are further than this from the label's ratio are warned of (common practice, no source).
_OFF = 0.05


def off_ratio(talk: Talk, event: Mix) -> str | None:
    """Warn of parts that are not in the label's ratio, where both were measured alike."""
    card = talk.card(event.product)
    if card is None or card.ratio is None:
        return None
    ratio = " to ".join(f"{v:g} {n}" for n, v in card.ratio.parts)
    label = [v for _, v in card.ratio.parts]
    if event.ratio and len(event.ratio) == len(label) and not _alike(event.ratio, label):
        told = " to ".join(f"{v:g}" for v in event.ratio)
        return f"{told} is not the label's {ratio}: off its ratio it may never harden."
    if not event.parts or len(event.parts) != len(label):
        return None
    said = dict(event.parts)
    want = dict(card.ratio.parts)
    unit = "g" if card.ratio.by == "weight" else "ml"
    if set(said) != set(want) or any(part.unit != unit for part in said.values()):
        return None
    if _alike([said[n].value for n in want], [want[n] for n in want]):
        return None
    told = " to ".join(f"{said[n].value:g}" for n in want)
    return f"{told} is not the label's {ratio}: off its ratio it may never harden."


def _alike(said: Sequence[float], label: Sequence[float]) -> bool:
    """Whether parts stand to each other as the label's do, within :data:`_OFF`."""
    shares = zip(said, label, strict=True)
    return all(abs(a / sum(said) / (b / sum(label)) - 1) <= _OFF for a, b in shares)


def pot_ends(talk: Talk, event: Mix) -> datetime | None:
    """Give when a pot just mixed goes off, or None where nothing says."""
    from assistant.craft.pot import running
    from assistant.journal.state import fold

    with_it = fold([event], talk.state)
    pots = [p for p in running(with_it, talk.cards, event.at) if p.product == event.product and p.mixed_at == event.at]
    return pots[-1].ends.astimezone(talk.now.tzinfo) if pots else None


def mixture(talk: Talk, m: Meaning) -> Result:
    """Answer how much of each part, under the reading taken and under the other."""
    product, card = which(talk, m)
    ratio = _ratio(card, m)
    said = _volume(talk, m, card)
    talk.context["product"] = product
    if said is None:
        if m.has("q.howmuch") and not m.has("ask.mix"):
            raise Back("For how much?", "amount")
        parts = " to ".join(f"{figure(v)} {n}" for n, v in ratio.parts)
        answer: dict[str, Any] = {
            "about": "mix", "product": product, "parts": [], "total": None,
            "ratio": [v for _, v in ratio.parts], "reading": None, "other_reading": None,
        }  # fmt: skip
        return Result(f"{parts[:1].upper()}{parts[1:]}, by {ratio.by}.", answer=answer)
    given, asked = _given(m, card)
    before = talk.context.get("mix", {})
    if m.inherited and not m.parts and before.get("product") == product:
        given, asked = before["given"], before["asked"]  # "and for 90"
    talk.context["mix"] = {"product": product, "given": given, "asked": asked}
    reading = "total" if given is None and _total_meant(m, card, asked) else "base"
    found = portions(ratio, card.density, said, reading, given=given)
    other = portions(ratio, card.density, said, "base" if reading == "total" else "total")
    answer = {
        "about": "mix", "product": product, "parts": _listed(found), "total": _fine(found.total),
        "ratio": [v for _, v in ratio.parts], "reading": reading, "other_reading": _listed(other),
    }  # fmt: skip
    text = _said(found, asked, given) if given else _both(found, other, asked, said)
    return Result(text, answer=answer, cautions=_cautions(card, found))


def _fine(said: Amount) -> Amount:
    return Amount(round(said.value, 1), said.unit)


def _listed(found: Portions) -> list[dict[str, Any]]:
    return [{"name": name, "amount": _fine(part)} for name, part in found.parts]


def _said(found: Portions, asked: str | None, given: str | None) -> str:
    """Say the parts, or the one asked for, as the measure in hand shows them."""
    shown = measured(found.parts, step_for(found.parts))
    if asked is not None:
        text = f"{_short(dict(shown.parts)[asked])} {asked}"
    else:
        text = listed(f"{_short(a)} {n}" for n, a in shown.parts)
        if given is not None or found.reading != "total":
            text += f", {_short(shown.total)} in all"
    return text[:1].upper() + text[1:] + "." + (f" {shown.says}." if shown.says else "")


def _both(found: Portions, other: Portions, asked: str | None, said: Amount) -> str:
    """Say the answer, and in a word what it is if the amount was meant the other way."""
    text = _said(found, asked, None)
    if asked is None:
        return text
    rest = dict(measured(other.parts, step_for(other.parts)).parts)[asked]
    if abs(rest.value - dict(found.parts)[asked].value) <= 0.5:
        return text
    whole = f"{amount(said)} mixed" if found.reading == "base" else f"{amount(said)} of {found.parts[0][0]}"
    return f"{text[:-1]}; if you mean {whole}, {_short(rest)}."


def _short(said: Amount) -> str:
    return f"{figure(said.value)} {said.unit}"


def _cautions(card: Card, found: Portions) -> list[str]:
    if card.pot is None or card.pot.grams is None:
        return []
    density = card.density.get("mixed", 1.1)
    weight = found.total.value * (density if found.total.unit == "ml" else 1.0)
    if weight <= card.pot.grams * 1.5:
        return []
    return [f"That is {weight / card.pot.grams:.1f} times the pot the label's life is for: mix it in smaller lots"]


def _coats(talk: Talk, pieces: Sequence[str] = ()) -> list[Coat]:
    """Give the coats on some pieces, or on all."""
    return [e for p in (pieces or talk.state.work) for e in talk.state.work.get(p, ()) if isinstance(e, Coat)]


def _newest(coats: Iterable[Coat]) -> Coat | None:
    return max(coats, key=lambda e: utc(e.at), default=None)


def _thinned_before(talk: Talk, m: Meaning) -> Result:
    """Answer how much a coat was thinned: the one named, else the last."""
    pieces = naming.pieces(talk, m, need=False) if m.pieces or m.has("talk.it") else []
    last = _newest(e for e in _coats(talk, pieces) if m.ordinal is None or e.coat == m.ordinal)
    if last is None:
        raise Unclear("I have no such coat in the journal.")
    named = f"The {ordinal(last.coat).lower()} coat on the {last.piece}"
    text = f"{named}: {amount(last.thinned)}." if last.thinned else f"{named}: you said of no thinner."
    talk.said_pieces = [last.piece]
    return Result(text, answer={"about": "explain", "text": text})


def thin(talk: Talk, m: Meaning) -> Result:
    """Answer how much thinner goes into an amount of a product."""
    if re.search(r"\b(?:did|have) (?:i|we)\b", m.text.lower()) and not m.amounts:
        return _thinned_before(talk, m)
    m.products = [n for n in m.products if not _is_thinner(talk, n.options[0])]  # it goes into something else
    product = naming.product(talk, m, also_verb=False)
    card = talk.card(product)
    if product is None and "clean" in m.text.lower().split():
        last = _newest(e for e in _coats(talk) if e.product)
        product = last.product if last else None
        card = talk.card(product)
    if product is None:
        product, card = _thinnable(talk, m)
    said = m.amounts[0] if m.amounts else Amount(*talk.hints["amount"]) if "amount" in talk.hints else None
    if said is None and m.numbers:
        said = Amount(m.numbers[0], "ml")
    by = m.percent.value if m.percent else talk.hints.get("percent")
    note = ""
    if by is None and card is not None and card.thinner is not None:
        first = m.ordinal == 1 and card.thinner.first is not None
        by = card.thinner.first if first else card.thinner.max
        note = (
            f"{by:g} percent, " + ("for a first coat on bare wood" if first else "the most the label allows")
            if by
            else ""
        )
    if by is None:
        raise Back("By how many percent?", "percent")
    if not 0 < by <= 100:
        raise Refused(f"{figure(by)} percent can't be right: say it again.")
    if said is None and "clean" in m.text.lower().split():
        name = card.thinner.name if card and card.thinner and card.thinner.name else "what the label names"
        text = f"{capital(name)}; the label goes first, and water for what is water-borne (common practice)."
        return Result(text, answer={"about": "explain", "text": text})
    asked = re.search(r"\bwith\W*$", m.text.lower()) or (m.has("q.modal") and not m.amounts)
    if said is None and m.percent is None and asked and card and card.thinner:
        text = f"{capital(card.thinner.name or 'its thinner')}, {figure(float(by))} percent at most."
        return Result(text, answer={"about": "explain", "text": text})
    if said is None and m.percent is None and m.has("q.howmuch"):
        answer = {
            "about": "thin",
            "product": product,
            "base": None,
            "thinner": None,
            "percent": Amount(float(by), "percent"),
        }
        return Result(f"{figure(float(by))} percent is the most the label allows.", answer=answer)
    if said is None:
        raise Back("Into how much?", "amount")
    found = thinned(_sized(said), float(by), card.thinner if card else None)
    answer = {
        "about": "thin",
        "product": product,
        "base": found.base,
        "thinner": _fine(found.thinner),
        "percent": found.percent,
    }
    name = found.name or "thinner"
    text = f"{_short(Amount(_round(found.thinner.value), found.thinner.unit))} of {name} in {_short(found.base)}"
    return Result(text + (f": {note}." if note else "."), answer=answer, cautions=list(found.cautions))


def _is_thinner(talk: Talk, name: str) -> bool:
    card = talk.card(name)
    return card is not None and card.kind == "thinner"


def _round(value: float) -> float:
    return float(round(value)) if value >= 20 else round(value * 2) / 2


def _thinnable(talk: Talk, m: Meaning) -> tuple[str | None, Card | None]:
    fitting = [n for n in talk.state.labels if (c := talk.card(n)) and c.thinner and c.kind != "thinner"]
    for piece in naming.pieces(talk, m, need=False) if m.pieces else []:
        usual = naming.usual_product(talk, piece) or naming.last_product(talk, piece)
        if usual:
            return usual, talk.card(usual)
    last = talk.context.get("product")
    if last in fitting:
        return str(last), talk.card(str(last))
    if m.percent is not None:
        return (fitting[0], talk.card(fitting[0])) if len(fitting) == 1 else (None, None)
    if len(fitting) == 1:
        return fitting[0], talk.card(fitting[0])
    raise Back(f"Into which: {listed(fitting, 'or')}?" if fitting else "Into which product?", "product", fitting)
