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
