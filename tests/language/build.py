"""The names of the Linnet's job, and a phrase read against them, for the tests of the language."""

from __future__ import annotations

import tempfile
from datetime import datetime
from functools import cache
from pathlib import Path
from zoneinfo import ZoneInfo

from assistant.journal.state import State
from assistant.language import vocabulary
from assistant.language.names import Gazetteer
from assistant.language.reading import Reading, read
from assistant.language.spans import Span, Tagged, tag
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


def tagged(phrase: str, *, us: bool = False) -> Tagged:
    """A phrase with its spans."""
    return tag(phrase, names(), us=us)


def reading(phrase: str) -> list[Reading]:
    """A phrase, read."""
    return read(tagged(phrase))


def frames_of(phrase: str) -> list[str]:
    """The frames of a phrase's clauses."""
    return [r.frame.name for r in reading(phrase)]


def left(phrase: str) -> list[str]:
    """The words of a phrase that its reading does not explain."""
    words = tagged(phrase).words
    return [words[i] for r in reading(phrase) for i in r.left]


def spans(phrase: str, tag_: str) -> list[Span]:
    """All spans of one tag in a phrase."""
    return [s for held in tagged(phrase).spans for s in held if s.tag == tag_]


def whole(phrase: str, tag_: str) -> list[Span]:
    """The spans of one tag that take in every word of a phrase."""
    count = len(tagged(phrase).tokens)
    return [s for s in spans(phrase, tag_) if (s.i, s.j) == (0, count)]
