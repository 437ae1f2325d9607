"""The answer about every film at once: what may be touched, sanded or coated now, and what must be left alone."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from assistant.craft import clash, readiness
from assistant.craft.readiness import Readiness
from assistant.craft.times import utc
from assistant.dialogue.readying import DONE, against_air, as_answer, is_shut, wet_beside
from assistant.dialogue.talk import Result, Talk, Unclear
from assistant.dialogue.wording import capital, listed, when
from assistant.language.meaning import Meaning

#: "What can I sand", "which ones are dry": asked of every piece, and not "what time", "what with", "what about".
_WHAT: Final = re.compile(
    r"\b(?:what|which)(?:'s|s)?\b(?!\s+(?:about|time|if|day|grit|paper|temperature|happens|long)\b)"
)
_OF_ALL: Final = re.compile(r"\b(?:which|any|all|either|none)\s+(?:of\s+(?:it|them|those|these)|ones?)\b")
_DUST: Final = re.compile(r"\bdust\b")
_EVERY: Final = re.compile(r"\b(?:everything|all)\b")
#: "What mustn't I touch": what is not ready comes first.
_ALONE: Final = re.compile(r"\b(?:alone|off|away|not|wet)\b|n't\b")
#: What fully cured is no longer asked about: it can be touched, of course.
_YOUNG: Final = frozenset(["touch", "dust", "handle"])
#: What is done to a bare piece too.
_WORKED: Final = frozenset(["sand", "overcoat"])
_MOST: Final = 8  # pieces that a person can keep in mind while they are read out are fewer


@dataclass
class _Found:
    """The pieces by how they stand."""

    ready: list[Readiness] = field(default_factory=list)
    shut: list[Readiness] = field(default_factory=list)
    waiting: list[Readiness] = field(default_factory=list)
    unknown: list[Readiness] = field(default_factory=list)


def asked(m: Meaning) -> bool:
    """Whether a question is about whatever there is, and not about a piece."""
    if m.pieces or m.products or m.unknown:
        return False
    text = m.text.lower()
    if m.has("talk.anything") or _OF_ALL.search(text):
        return True
    return not m.has("talk.it", "talk.one", "talk.other") and bool(_WHAT.search(text))


def survey(talk: Talk, m: Meaning, stage: str, at: datetime, where: str | None) -> Result:
    """Answer for every piece that has a film, in one space or anywhere.

    The answer object is that of the piece that is ready first (of "is everything ...": last); ``pieces`` has them all.
    """
    if stage == "touch" and _DUST.search(m.text.lower()):  # "is anything wet that dust would stick to"
        stage = "dust"
    films = _films(talk, stage, at, where)
    if not films:
        place = f" in the {where}" if where else ""
        raise Unclear(f"Nothing is drying{place} that I know of: tell me what you put on.")
    every = bool(_EVERY.search(m.text.lower()))
    chosen = films[-1] if every else films[0]
    talk.said_pieces = [chosen.piece]
    talk.context["stage"] = stage
    talk.context["last"] = {"about": stage, "piece": chosen.piece, "at": at.isoformat()}
    found = _sorted(films, at)
    if stage == "overcoat" and _SHUTS.search(m.text.lower()):
        return _windows(talk, found, films)
    lines = _lines(talk, found, stage, at)
    if not found.waiting and not found.unknown and re.search(r"\bwet\b", m.text.lower()):
        lines = ["Nothing is wet that I know of."]
    if stage in _WORKED and (bare := _bare(talk, where)):
        lines.append(f"No film that I know of on {listed(f'the {p}' for p in bare[:_MOST])}.")
    if _ALONE.search(m.text.lower()):
        lines.reverse()
    notes = [f"The {r.piece}: {n.rstrip('.')}." for r in found.ready for n in r.notes]
    return Result(" ".join(lines), answer=_answer(chosen, films, stage), cautions=notes)


_SHUTS: Final = re.compile(r"\b(?:shuts?|closes?|closing|shutting)\b")


def _windows(talk: Talk, found: _Found, films: list[Readiness]) -> Result:
    """Answer which window shuts first."""
    open_ = sorted((r for r in (*found.ready, *found.waiting) if r.latest), key=lambda r: utc(r.latest or talk.now))
    told = listed(f"the {r.piece} at {when(r.latest, talk.now)}" for r in open_[:_MOST] if r.latest)
    text = f"First to shut: {told}." if open_ else "No window is open that I know of."
    if found.shut:
        text += f" Shut already on {listed('the ' + r.piece for r in found.shut)}: {readiness.KEY}."
    chosen = open_[0] if open_ else films[0]
    talk.said_pieces = [chosen.piece]
    return Result(text, answer=_answer(chosen, films, "overcoat"))


def _answer(chosen: Readiness, films: list[Readiness], stage: str) -> dict[str, Any]:
    """Give the answer object of one piece with a row for each."""
    rows = [{"piece": r.piece, "ready": r.ready, "earliest": r.earliest, "latest": r.latest} for r in films]
    return {**as_answer(chosen, stage), "pieces": rows}


def _here(talk: Talk, pieces: Iterable[str], where: str | None) -> list[str]:
    return [p for p in pieces if where is None or talk.state.space_of(p) == where]


def _bare(talk: Talk, where: str | None) -> list[str]:
    """Give the pieces of the job that nothing is known to be on: nothing is to be waited for there."""
    return [p for p in _here(talk, talk.state.pieces, where) if readiness.film_on(talk.state, p, talk.now) is None]


def _films(talk: Talk, stage: str, at: datetime, where: str | None) -> list[Readiness]:
    """Give what there is to say of each piece that has a film, what is ready first before the others."""

    def stands(piece: str, stage: str) -> Readiness:
        return readiness.readiness(talk.state, talk.cards, piece, stage, at)

    films = [r for p in _here(talk, talk.state.work, where) if (r := stands(p, stage)).laid is not None]
    if stage in _YOUNG:
        films = [r for r in films if not stands(r.piece, "cured").ready]
    return sorted(films, key=lambda r: (r.unknown is not None, r.earliest is None, utc(r.earliest or at)))


def _sorted(films: list[Readiness], at: datetime) -> _Found:
    found = _Found()
    for r in films:
        if r.unknown is not None:
            found.unknown.append(r)
        elif r.ready:
            found.ready.append(r)
        elif is_shut(r, r.stage, at):
            found.shut.append(r)
        else:
            found.waiting.append(r)
    return found


def _lines(talk: Talk, found: _Found, stage: str, at: datetime) -> list[str]:
    lines = [f"Nothing is {DONE[stage]}."]
    if found.ready:
        which = listed(_open(talk, r, stage) for r in found.ready[:_MOST])
        lines = [f"{capital(DONE[stage])}: {which}.{_but(talk, found.ready, stage, at)}"]
    if found.shut:
        which = listed(f"the {r.piece}" for r in found.shut[:_MOST])
        lines.append(f"Window shut on {which}: {readiness.KEY}.")
    if found.waiting:
        which = listed(f"the {r.piece} {_from(r, talk.now)}" for r in found.waiting[:_MOST])
        lines.append(f"Not yet: {which}.")
    if found.unknown:
        which = listed(f"the {r.piece} ({r.unknown})" for r in found.unknown[:_MOST])
        lines.append(f"I can't say for {which}.")
    return lines


def _open(talk: Talk, r: Readiness, stage: str) -> str:
    shuts = stage == "overcoat" and r.latest is not None and utc(r.latest) > utc(talk.now)
    return f"the {r.piece}" + (f" until {when(r.latest, talk.now)}" if shuts and r.latest else "")


def _from(r: Readiness, now: datetime) -> str:
    return f"from {when(r.earliest, now)}" if r.earliest else "stands still, too cold to dry"


def _but(talk: Talk, ready: list[Readiness], stage: str, at: datetime) -> str:
    """Say what else speaks against it: wet films in the same space, air that is too cold or damp."""
    if stage == "overcoat":
        return against_air(talk, ready, at)
    if stage != "sand":
        return ""
    wet = {w.piece: w for r in ready for w in clash.dust_on_wet(talk.state, talk.cards, r.piece, at)}
    parts = []
    for space in dict.fromkeys(talk.state.space_of(p) for p in wet):
        here = [w for p, w in wet.items() if talk.state.space_of(p) == space]
        parts.append(wet_beside(here, talk.now) + (f" in the {space}" if space else ""))
    return f" But no dust there yet: {listed(parts)}." if parts else ""
