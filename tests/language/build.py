"""The names of the Linnet's job, for the tests of the language."""

from __future__ import annotations

import tempfile
from datetime import datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from assistant.journal.state import State
from assistant.language import vocabulary
from assistant.language.names import Gazetteer
from assistant.library.catalogue import Library
from assistant.turn import Session

LONDON = ZoneInfo("Europe/London")
JOB = Path(__file__).parents[2] / "examples" / "linnet.toml"
LOADED = datetime(2026, 3, 16, 8, 0, tzinfo=LONDON)


#: Shapes that the reader is known to misread: how they begin, a word they have, and why. Each has a test of its own.
UNMET = (
    ("give ", "galley shelf", "A coat asked for on a piece without a product is read as one given."),
    ("fitted new filters", "filters", "New filters are put down as a note, not as gear."),
    ("mix for ", "", "A mix asked for by its noun alone is read as one made."),
)


def unmet(said: str) -> str | None:
    """Why a phrase of the spoken shapes is known to be misread, if it is."""
    return next((why for start, word, why in UNMET if said.startswith(start) and word in said), None)


@cache
def linnet() -> State:
    """The job as its file has it, nothing done yet."""
    with tempfile.TemporaryDirectory() as place, Session.open(Path(place) / "job.sqlite") as session:
        session.load(JOB, LOADED)
        return session.state


@cache
def names() -> Gazetteer:
    """The job's names, indexed."""
    return vocabulary.gazetteer(linnet(), Library(linnet().labels))
