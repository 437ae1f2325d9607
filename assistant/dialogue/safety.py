"""Answers that keep a person whole: what to wear, flames and rags, and first aid until somebody knows better."""

from __future__ import annotations

import re

from assistant.craft.readiness import readiness, wet
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Result, Talk
from assistant.dialogue.wording import listed, when
from assistant.language.meaning import Meaning
from assistant.library.cautions import Caution, all_cautions, cautions_for, first_aid

_MOST = 3
_DEFER = "The label and local rules go first."


def mask_for(talk: Talk, m: Meaning) -> Result:
    """Answer what to wear, deferring to the label and local rules."""
    named = naming.product(talk, m, ask=False)
    card = talk.card(named)
    acts = [t[4:] for t in m.tags if t.startswith("act.")] + (["sand"] if m.has("make.dust") else [])
    act = next((a for a in acts if a != "mask"), "coat" if card else "")
    if not act and not card:
        raise Back("For which product, or for sanding?", "product", [*talk.state.labels])
    found = cautions_for(act, kind=card.kind if card else "", hazards=card.hazards if card else ())
    every = list(dict.fromkeys((*found, *cautions_for("gear", kind="mask"))))
    word = "glove" if "glove" in m.text.lower() else "mask|filter"
    every.sort(key=lambda c: not re.search(word, c.text.lower()))  # what was asked for comes first
    if "glove" in m.text.lower():
        every = [c for c in every if "glove" in c.text.lower()] or every
    return _told(every[:_MOST], "I have no warning for that.")


def aid(talk: Talk, m: Meaning) -> Result:
    """Answer what to do about an accident, rags, or a flame beside what is wet."""
    topic = next(t[4:] for t in sorted(m.tags) if t.startswith("aid."))
    if topic == "flame":
        return _flame(talk)
    if topic == "sleep":
        return _sleep(talk, naming.space(talk, m))
    if topic == "rags":
        return _told([c for c in all_cautions() if c.topic == "oily-rags"], "")
    text, source = first_aid()[topic]
    return Result(f"{text} {_DEFER}", answer={"about": "explain", "text": f"{text} {_DEFER} Source: {source}."})


def _flame(talk: Talk) -> Result:
    """Say no to a flame while a film gives off solvent."""
    every = wet(talk.state, talk.cards, talk.now)
    films = [r for r in every if (card := talk.card(r.product)) and "ignition" in card.hazards]
    rule = [c for c in all_cautions() if c.topic == "ignition"]
    if not films:
        return _told(rule, "", "Nothing is wet that I know of. With solvent about, still no:")
    until = listed(
        f"the {r.piece} is wet" + (f" until {when(r.earliest, talk.now)}" if r.earliest else "") for r in films
    )
    return _told(rule, "", f"No: {until}, and gives off solvent.")


def _sleep(talk: Talk, where: str | None) -> Result:
    """Say what is still giving off solvent where somebody means to sleep."""
    films = [
        r for p in talk.state.work
        if where is None or talk.state.space_of(p) == where
        if (r := readiness(talk.state, talk.cards, p, "handle", talk.now)).laid and not r.ready
        and (card := talk.card(r.product)) and {"ignition", "organic-vapour"} & {*card.hazards}
    ]  # fmt: skip
    place = f"in the {where}" if where else "aboard"
    if not films:
        text = f"Nothing is drying {place} that I know of. Air it all the same, and go by your nose."
    else:
        which, are = listed(f"the {r.piece}" for r in films), "is" if len(films) == 1 else "are"
        text = f"Better not: {which} {are} still giving off solvent {place}. Air it well."
    return Result(f"{text} {_DEFER}", answer={"about": "explain", "text": f"{text} {_DEFER}"})


def _told(every: list[Caution], none: str, before: str = "") -> Result:
    text = " ".join([p for p in (before, *(c.text for c in every)) if p] or [none])
    sources = "; ".join(f"{c.topic}: {c.source}" for c in every)
    text += f" {_DEFER}"
    return Result(text, answer={"about": "explain", "text": f"{text} Sources: {sources}."})


SAFETY = {"mask_for": mask_for, "aid": aid}
