"""Faults in a film: noted with their remedy, and what to do about them."""

from __future__ import annotations

import re
from collections.abc import Callable

from assistant.craft.times import utc
from assistant.dialogue import naming
from assistant.dialogue.correct import described
from assistant.dialogue.record import moment
from assistant.dialogue.talk import Result, Talk, Unclear
from assistant.dialogue.wording import capital, listed, sentence, stamp
from assistant.journal.events import Event, Fault, Sand, Task
from assistant.language.meaning import Meaning


def _kinds(m: Meaning) -> list[str]:
    return [v for tag, values in m.values.items() if tag.startswith("fault.") for v in values]


#: "Sorted the run", "flatted the sag back with 320": the fault is gone, not come.
_MENDED = re.compile(
    r"\b(?:sorted|fixed|cured|mended|flatted|flattened|sanded|rubbed|cut|scraped|brushed|got rid of|dealt with)\b"
    r"(?!.*\bthrough\b)(?: out| off| back| down)?(?: (?:the|that|those|a|this|my|all the))? ?(?:\w+ )?"
    r"(?:run|sag|drip|tear|dust|nib|bit|bloom|wrinkle|fisheye|fault|dry spot)s?\b"
)


def _mended(talk: Talk, m: Meaning) -> Result:
    """Log the sanding that was told with it, and end the task that the fault opened."""
    open_ = [t for t in talk.state.tasks if t.state == "open" and t.text.startswith("put the ")]
    named = naming.pieces(talk, m, need=False) if m.pieces else talk.last_pieces
    mine = [t for t in open_ if t.piece in named] or (open_ if len(open_) == 1 and not m.pieces else [])
    at = moment(talk, m)
    piece = mine[-1].piece if mine else next(iter(named), None)
    events: list[Event] = []
    if piece and (m.grit or re.search(r"\b(?:flatted|flattened|sanded|rubbed)\b", m.text.lower())):
        events.append(Sand(piece=piece, grit=m.grit, at=at, said_at=talk.now))
    words = [described(e, talk.now) for e in events]
    if mine:
        text = mine[-1].text
        events.append(Task(text=text, piece=piece, state="done", at=at, said_at=talk.now))
        words.append(f"ticked off: {text} on the {piece}")
    if not events:
        raise Unclear("I know of no fault there: say what was done, as \"sanded the rail with 320\".")
    talk.said_pieces = [piece] if piece else []
    return Result(sentence(words), events)


def fault(talk: Talk, m: Meaning) -> Result:
    """Log a fault in a film, or that one was put right."""
    if _MENDED.search(m.text.lower()):
        return _mended(talk, m)
    kinds = _kinds(m)
    kinds = [k for k in dict.fromkeys(kinds) if k != "other"] or ["other"]
    kinds = kinds if re.search(r",|\b(?:and|plus|with)\b", m.text.lower()) else kinds[:1]
    pieces = naming.pieces(talk, m)
    at = moment(talk, m)
    events: list[Event] = [
        Fault(piece=p, fault=kind, text=m.text, at=at, said_at=talk.now) for p in pieces for kind in kinds
    ]
    talk.said_pieces = pieces
    word = listed(kind if kind != "other" else "fault" for kind in kinds)
    told = " ".join(_remedy(talk, e) for e in events[:1])
    talk.context["last"] = {"about": "fault", "why": told}
    read_back = sentence(
        [f"Noted: {word} on {listed('the ' + p for p in pieces)}", stamp(at, talk.now) if m.when.said else ""]
    )
    return Result(f"{read_back} {told}".strip(), events)


def what_about(talk: Talk, m: Meaning) -> Result:
    """Answer what to do about the last fault, of the piece and kind named or spoken of."""
    kinds = _kinds(m)
    pieces = naming.pieces(talk, m, need=False) or [*talk.state.work]
    found = [e for p in pieces for e in talk.state.work.get(p, ()) if isinstance(e, Fault)]
    found = [e for e in found if not kinds or e.fault in kinds]
    if not found and kinds:
        return _cure(next((k for k in kinds if k != "other"), "other"))
    if not found:
        raise Unclear("I know of no fault there: say what is wrong with it.")
    last = max(found, key=lambda e: utc(e.at))
    talk.said_pieces = [last.piece] if last.piece else []
    text = f"{capital(last.fault if last.fault != 'other' else 'fault')} on the {last.piece}. {_remedy(talk, last)}"
    return Result(text, answer={"about": "explain", "text": text})


def _cure(kind: str) -> Result:
    """Tell the cure of a kind of fault that nobody has reported."""
    from assistant.library.faults import all_faults

    card = all_faults()[kind]
    likely = listed([text for text, _ in card.causes[:2]], "or")
    parts = [f"{capital(kind)}: likely {likely}", _wet(card.wet), *card.cure]
    text = " ".join(f"{capital(p).rstrip('.')}." for p in parts if p)
    return Result(text, answer={"about": "explain", "text": f"{text} ({card.basis})"})


def _wet(text: str | None) -> str:
    return "" if not text else text if text.lower().startswith("while") else f"while it is wet: {text}"


def _remedy(talk: Talk, event: Event) -> str:
    """Say the likely cause, the cure and what it costs in hours at this temperature."""
    from assistant.craft.faults import remedy, told
    from assistant.library.faults import all_faults

    assert isinstance(event, Fault)
    return told(remedy(talk.state, talk.cards, event, all_faults(), talk.now), talk.now)


FAULTS: dict[str, Callable[[Talk, Meaning], Result]] = {"fault": fault, "remedy": what_about}
