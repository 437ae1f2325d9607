"""The day read back aloud, and what is left in the tins."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from typing import Any

from assistant.dialogue import naming
from assistant.dialogue.asking import day_of
from assistant.dialogue.correct import described
from assistant.dialogue.talk import Result, Talk
from assistant.dialogue.wording import capital, listed
from assistant.journal.events import Coat, Set, to_json
from assistant.language.meaning import Meaning


def diary(talk: Talk, m: Meaning) -> Result:
    """Read a day, or what was done on a piece."""
    if m.pieces:
        return _piece(talk, naming.pieces(talk, m)[0])
    start = day_of(talk, m)
    end = start + timedelta(days=1)
    events = [e for e in talk.journal.between(start, end) if not isinstance(e, Set)]
    entries = [to_json(e) for e in events]
    totals: dict[str, Any] = {
        "coats": sum(isinstance(e, Coat) for e in events),
        **Counter(e.kind for e in events if e.kind != "coat"),
    }
    answer = {"about": "diary", "day": start.date().isoformat(), "entries": entries, "totals": totals}
    named = f"{start:%A} {start.day} {start:%B}"
    if not events:
        return Result(f"Nothing logged on {named}.", answer=answer)
    text = ". ".join(capital(described(e, talk.now)) for e in events[:24])
    return Result(f"{named}: {text}.", answer=answer)


def _piece(talk: Talk, piece: str) -> Result:
    talk.said_pieces = [piece]
    events = talk.journal.search(piece=piece, limit=40)[::-1]
    answer = {
        "about": "diary",
        "day": talk.now.date().isoformat(),
        "entries": [to_json(e) for e in events],
        "totals": {"coats": sum(isinstance(e, Coat) for e in events)},
    }
    said = listed(described(e, talk.now) for e in events)
    return Result(capital(f"{said}.") if events else f"Nothing logged on the {piece}.", answer=answer)


DIARY: dict[str, Callable[[Talk, Meaning], Result]] = {"diary": diary}
