"""Answers about films: ready for what, and when; dust; tape."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from assistant.craft import readiness as craft
from assistant.craft.air import Spell
from assistant.craft.clash import dust_on_wet, unfit
from assistant.craft.readiness import Readiness
from assistant.craft.times import utc
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Result, Talk, Unclear
from assistant.dialogue.wording import capital, ended, figure, lasting, listed, when
from assistant.language.meaning import Meaning
from assistant.language.when import resolve
from assistant.quantity import Amount

_DO = {
    "touch": "touch", "dust": "make dust near", "sand": "sand", "overcoat": "recoat", "handle": "handle",
    "cured": "use",
}  # fmt: skip
#: How a piece that is ready for a stage is called.
DONE = {
    "touch": "touch dry", "dust": "dust-free", "sand": "ready to sand", "overcoat": "ready for the next coat",
    "handle": "hard enough to handle", "cured": "fully cured",
}  # fmt: skip


#: "Can I go over it without sanding": the next coat is asked about.
_UNSANDED = re.compile(
    r"\bwithout (?:sanding|keying|rubbing|flatting)\b"
    r"|\bbefore (?:i|it|we) (?:have|has|need|needs) (?:to )?(?:be )?(?:sand|key|rub)",
    re.IGNORECASE,
)


#: Tape that is to go on, not what is on already.
_MASKING = re.compile(
    r"\b(?:i|we|you|to)\s+(?:safely\s+)?(?:mask|tape|(?:put|stick|run|lay|get)\s+(?:(?:the|some|any|my)\s+)?(?:masking|tape))\b"
)


def stage_of(talk: Talk, m: Meaning) -> str:
    """Give the stage that was asked for, by verb before adjective; a bare "is it ready" keeps the last one."""
    # first the words as they were taken ("varnish" the material), then what they could be ("varnish" the verb)
    if _UNSANDED.search(m.text):
        return "overcoat"
    said = m.said - {"act.coat"} if "product" in m.other else m.said
    if re.search(r"\bset\b", m.text.lower()) and not re.search(r"\b(?:fully|cured?)\b", m.text.lower()):
        return "handle"  # a glue line is set when it bears handling
    for tags in (said, m.tags):
        if tags & {"act.sand", "stage.sand"}:
            return "sand"
        if tags & {"act.coat", "stage.overcoat", "talk.another"}:
            return "overcoat"
        for stage in ("handle", "cured", "dust", "touch"):
            if f"stage.{stage}" in tags:
                return stage
        if tags & {"act.fit", "act.bond"}:
            return "handle"
    last = talk.context.get("stage")
    if last in DONE and talk.fresh and not m.has("q.is"):
        return str(last)
    return "overcoat"


def ready(talk: Talk, m: Meaning) -> Result:
    """Answer whether and when a piece is ready for a stage."""
    from assistant.dialogue import survey

    stage = stage_of(talk, m)
    if (m.products or "product" in m.other) and not m.pieces and _TAKES.search(m.text.lower()):
        from assistant.dialogue.asking import label

        return label(talk, m)
    if survey.asked(m):
        return survey.survey(talk, m, stage, _asked_time(talk, m), naming.space(talk, m))
    if m.spaces and not m.pieces and stage in ("sand", "dust"):
        return dust(talk, m)
    if not m.pieces and stage == "dust" and not m.has("talk.it") and not talk.last_pieces:
        return dust(talk, m)
    pieces = _asked(talk, m)
    at = _asked_time(talk, m)
    found = [craft.readiness(talk.state, talk.cards, p, _of_glue(talk, m, p, stage, at), at) for p in pieces]
    talk.said_pieces = pieces
    stage = found[0].stage
    worst = max(found, key=lambda r: (r.unknown is not None, r.earliest is None, utc(r.earliest or at)))
    talk.context["stage"] = stage
    answer = as_answer(worst, stage)
    talk.context["last"] = {"about": stage, "piece": worst.piece, "at": at.isoformat()}
    text = " ".join(_sentence(r, stage, talk.now, at) + _beside(talk, r, stage, at) for r in found)
    if late := _LATE.search(m.text.lower()):
        text = _not_late(text, late[1])
    if stage in ("sand", "overcoat") and m.tags >= {"act.sand", "act.coat"}:
        text += f" Next coat: {_tail(craft.readiness(talk.state, talk.cards, worst.piece, 'overcoat', at), talk.now)}."
    return Result(text, answer=answer, cautions=[_full(n) for n in dict.fromkeys(n for r in found for n in r.notes)])


def _of_glue(talk: Talk, m: Meaning, piece: str, stage: str, at: datetime) -> str:
    """Give the stage that is meant of a glue line by a bare "when is it ready": that it can be handled."""
    film = craft.film_on(talk.state, piece, at)
    bare = not m.has("act.coat", "stage.overcoat", "talk.another", "stage.sand", "act.sand")
    return "handle" if stage == "overcoat" and film is not None and film.kind == "bond" and bare else stage


#: "How long does the undercoat take to dry": asked of the product, not of a piece.
_TAKES = re.compile(r"\btakes?\b|\bdrying time\b")
_LATE = re.compile(r"\btoo (late|soon|early)\b")


def _not_late(text: str, word: str) -> str:
    """Turn an answer round for "is it too late", "is it too soon": the yes of one is the no of the other."""
    turned = {"Yes: ": "No: ", "Not yet: ": "No: " if word == "late" else "Yes, too soon: ", "No: ": "Yes: "}
    start = next((s for s in turned if text.startswith(s)), "")
    return turned[start] + text[len(start) :] if start and not (start == "No: " and word != "late") else text


def _asked_time(talk: Talk, m: Meaning) -> datetime:
    # "can I sand it at six?" asks of six; "how long ..." has no such time
    if m.when.clock or m.when.ahead or (m.when.day and m.when.day.back is not None and m.when.day.back < 0):
        return resolve(m.when, talk.now, "future")
    return talk.now


def _asked(talk: Talk, m: Meaning) -> list[str]:
    try:
        return naming.pieces(talk, m)
    except Back as back:
        if back.slot != "piece" or m.pieces or m.unknown:
            raise
        drying = [p for p in talk.state.work if not _done(talk, p)]
        if len(drying) == 1:
            return drying
        if not drying:
            raise Unclear("Nothing is drying that I know of: tell me what you put on.") from None
        raise Back("Which piece?", "piece", drying) from None


def _done(talk: Talk, piece: str) -> bool:
    found = craft.readiness(talk.state, talk.cards, piece, "overcoat", talk.now)
    return found.laid is None


def as_answer(r: Readiness, stage: str) -> dict[str, Any]:
    """Give the answer object of the interface."""
    return {
        "about": stage, "piece": r.piece, "ready": r.ready, "earliest": r.earliest, "latest": r.latest,
        "assumes": assumed(r.assumes), "source": r.source or (r.unknown or ""),
    }  # fmt: skip


def assumed(spells: tuple[Spell, ...]) -> list[dict[str, Any]]:
    """Give the temperatures taken, as JSON."""
    return [
        {"from": s.start, "to": s.end, "temperature": Amount(round(s.celsius, 1), "degC"), "source": s.source}
        for s in spells
    ]  # fmt: skip


def _sentence(r: Readiness, stage: str, now: datetime, at: datetime) -> str:
    the = f"the {r.piece}"
    if r.unknown is not None and r.laid is None and r.product is None:
        return f"I know of no film on {the}: nothing to wait for, if that is so."
    if r.unknown is not None:
        return f"I can't say for {the}: {r.unknown}."
    if is_shut(r, stage, at) and r.latest is not None:
        return f"No: the window on {the} shut {ended(r.latest, now)}. {capital(craft.KEY)}."
    if r.ready:
        since = f" (since {when(r.earliest, now)})" if r.earliest and utc(r.earliest) < utc(now) and at == now else ""
        text = f"Yes: {the} is {DONE[stage]}{since}."
        if stage == "overcoat" and r.latest is not None and utc(r.latest) > utc(at):  # else it was keyed since
            text = text[:-1] + f", until {when(r.latest, now)}."
        return text
    if r.earliest is None:
        return f"Not yet: {the} stands still, it is too cold to dry. Warm it up and ask again."
    text = f"Not yet: {_DO[stage]} {the} from {when(r.earliest, now)}, {_in(r.earliest, at)}"
    if stage == "cured":
        text = f"Not yet: {the} is fully cured from {when(r.earliest, now)}"
    if stage == "dust":
        text = f"Not yet: {the} is dust-free from {when(r.earliest, now)}, {_in(r.earliest, at)}"
    if stage == "overcoat" and r.latest is not None:
        text += f"; the window shuts at {when(r.latest, now)}"
    return text + "."


def is_shut(r: Readiness, stage: str, at: datetime) -> bool:
    """Whether the window for the next coat has shut, and nothing was done about it."""
    return stage == "overcoat" and r.latest is not None and utc(r.latest) <= utc(at) and not r.ready


def _beside(talk: Talk, r: Readiness, stage: str, at: datetime) -> str:
    """Say what else speaks against it: a wet film that would catch the dust, air too cold or damp for a coat."""
    if r.earliest is None or (stage == "overcoat" and not r.ready):
        return ""
    if stage == "overcoat":
        return against_air(talk, [r], at)
    if stage != "sand":
        return ""
    films = dust_on_wet(talk.state, talk.cards, r.piece, at if r.ready else r.earliest)
    word = "yet" if r.ready else "then"
    return f" But no dust {word}: {wet_beside(films, talk.now)} in the same air." if films else ""


def against_air(talk: Talk, ready_: Sequence[Readiness], at: datetime) -> str:
    """Say what in the air speaks against a coat on pieces that are ready for one, "" if nothing does."""
    air = [w for r in ready_ for w in unfit(talk.state, talk.cards, r.piece, r.product, at, talk.now)]
    return f" But not in this air: {'; '.join(dict.fromkeys(air))}." if air else ""


def wet_beside(films: Sequence[Readiness], now: datetime) -> str:
    """Give films and until when they are wet."""
    parts = [
        f"the {f.piece} is wet until {when(f.earliest, now)}" if f.earliest
        else f"the {f.piece} may be wet ({f.unknown or 'it is too cold to dry'})"
        for f in films
    ]  # fmt: skip
    return listed(parts)


def _in(earliest: datetime, at: datetime) -> str:
    span = utc(earliest) - utc(at)
    return f"in {lasting(span)}"


def _tail(r: Readiness, now: datetime) -> str:
    if r.unknown is not None or r.earliest is None:
        return r.unknown or "too cold to say"
    return "now" if r.ready else f"from {when(r.earliest, now)}"


def _full(note: str) -> str:
    """Give a note as a sentence."""
    return capital(note.rstrip(".")) + "."


_MACHINE = re.compile(
    r"\b(?:sander|machine|drill|drilling|saw|sawing|router|plane|grinder|hoover|vacuum|power tools?)\b"
)


def dust(talk: Talk, m: Meaning) -> Result:
    """Answer whether dust may be made in a space, or anywhere."""
    where = naming.space(talk, m)
    if where is None and m.pieces:
        piece = naming.pieces(talk, m)[0]
        where = talk.state.space_of(piece)
    at = _asked_time(talk, m)
    from assistant.craft.plan.grid import ruled_until

    if _MACHINE.search(m.text.lower()) and (ends := ruled_until(talk.state, "quiet", at)) is not None:
        text = f"No machine now: quiet hours until {when(ends, talk.now)}. By hand it makes no noise, only dust."
        answer: dict[str, Any] = {
            "about": "dust", "piece": None, "ready": False, "earliest": ends, "latest": None, "assumes": [],
            "source": "quiet hours",
        }  # fmt: skip
        return Result(text, answer=answer)
    found = craft.dust(talk.state, talk.cards, where, at)
    place = f"in the {where}" if where else "anywhere"
    talk.context["stage"] = "dust"
    if found is None:
        answer = {
            "about": "dust", "piece": None, "ready": True, "earliest": None, "latest": None, "assumes": [],
            "source": "no film is wet there that I know of",
        }  # fmt: skip
        return Result(f"Yes: nothing is wet {place}." if where else "Yes: nothing is wet.", answer=answer)
    talk.said_pieces = [found.piece]
    talk.context["last"] = {"about": "dust", "piece": found.piece, "at": at.isoformat()}
    if found.earliest is None:
        text = f"No: the {found.piece} is wet and {found.unknown or 'too cold to dry'}: no dust {place}."
    else:
        text = (
            f"No: the {found.piece} is wet, dust-free from {when(found.earliest, talk.now)}. No dust {place} till then."
        )
    return Result(text, answer=as_answer(found, "dust"), cautions=[_full(n) for n in found.notes])


def tape(talk: Talk, m: Meaning) -> Result:
    """Answer when to pull the tape: while the last coat is still tacky (some books say after it is dry)."""
    pieces = _asked(talk, m)
    talk.said_pieces = pieces
    if _MASKING.search(m.text.lower()) and "act.unmask" not in m.said:
        return _mask(talk, pieces)
    lines = []
    for piece in pieces:
        touch = craft.readiness(talk.state, talk.cards, piece, "touch", talk.now)
        if touch.unknown is not None or touch.earliest is None:
            lines.append(f"I can't say for the {piece}: {touch.unknown or 'it is too cold to dry'}.")
        elif touch.ready:
            was = when(touch.earliest, talk.now)
            lines.append(f"The {piece} was touch dry at {was}: pull slowly, and cut the edge if it lifts.")
        else:
            lines.append(f"Pull it off the {piece} while it is tacky, before {when(touch.earliest, talk.now)}.")
    text = " ".join(lines) + " Some books say after it is dry."
    talk.context["last"] = {"about": "touch", "piece": pieces[0], "at": talk.now.isoformat()}
    return Result(text, answer={"about": "explain", "text": text})


def _mask(talk: Talk, pieces: list[str]) -> Result:
    """Answer when tape may go on a film: once it is hard enough to handle."""
    found = [craft.readiness(talk.state, talk.cards, p, "handle", talk.now) for p in pieces]
    lines = []
    for r in found:
        if r.unknown is not None or r.earliest is None:
            lines.append(f"I can't say for the {r.piece}: {r.unknown or 'it is too cold to dry'}.")
        elif r.ready:
            lines.append(f"Yes: the {r.piece} is hard enough for tape (since {when(r.earliest, talk.now)}).")
        else:
            lines.append(f"Not yet: no tape on the {r.piece} until {when(r.earliest, talk.now)}, it would mark.")
    talk.context["stage"] = "handle"
    talk.context["last"] = {"about": "handle", "piece": pieces[0], "at": talk.now.isoformat()}
    cautions = ["Tape lifts young film: try it on a corner first (common practice, no source)."]
    return Result(" ".join(lines), answer=as_answer(found[0], "handle"), cautions=cautions)


def why(talk: Talk, m: Meaning) -> Result:
    """Give the sum behind the last answer, or behind what is asked with it ("why can't I sand the rail yet")."""
    last = talk.context.get("last")
    if (m.pieces or talk.last_pieces) and any(t.startswith("stage.") or t in ("act.sand", "act.coat") for t in m.tags):
        ready(talk, m)
        last = talk.context["last"]
    if not last:
        raise Unclear("I have not worked anything out yet: ask me when something is ready, or for a mix.")
    text = str(last.get("why") or _film_sum(talk, last))
    return Result(text, answer={"about": "explain", "text": text})


def _film_sum(talk: Talk, last: dict[str, Any]) -> str:
    from assistant.craft.cure import hours_at, shares
    from assistant.craft.readiness import film_on

    stage, piece = last["about"], last["piece"]
    at = datetime.fromisoformat(last["at"]).astimezone(talk.now.tzinfo)
    found = craft.readiness(talk.state, talk.cards, piece, stage, at)
    film = film_on(talk.state, piece, at)
    card = talk.card(found.product)
    if found.unknown or film is None or card is None or found.earliest is None:
        return f"For the {piece}: {found.unknown or 'it is below its least temperature, so it does not dry'}."
    law = card.stages.get(stage) or card.stages.get("overcoat")
    parts = [f"{capital(str(found.product))} on the {piece}, laid {_local(film.laid, talk.now)}"]
    if law is not None:
        rows = listed(f"{figure(r.hours)} h at {figure(r.celsius)} degrees" for r in law.rows)
        parts.append(f"{DONE[stage]} after {rows} ({'label' if law.from_label else law.basis})")
        for s in shares(law, film.laid, found.assumes, card.least, found.earliest):
            need = "too cold, counts nothing"
            if s.needed:
                need = f"needs {figure(hours_at(law, s.celsius))} h, counts {s.share * 100:.0f} percent"
            span = f"{_local(s.start, talk.now)} to {_local(s.end, talk.now)}"
            parts.append(f"{span} at {figure(s.celsius)} degrees: {need}")
    parts.append(f"so {when(found.earliest, talk.now)}")
    return ". ".join(map(capital, parts)) + f". Source: {found.source}."


def _local(time: datetime, now: datetime) -> str:
    return when(time.astimezone(now.tzinfo), now)


READY = {"ready": ready, "stage": ready, "dust": dust, "tape": tape, "why": why}
__all__ = ["READY", "as_answer", "assumed", "stage_of"]
