"""A talk on a copy of the Linnet's job, said phrase by phrase, for the tests of a turn and of the dialogue."""

from __future__ import annotations

import json
import shutil
import tempfile
from contextlib import closing
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from assistant.journal.transfer import export_to
from assistant.turn import Session

LONDON = ZoneInfo("Europe/London")
JOB = Path(__file__).parents[2] / "examples" / "linnet.toml"
LOADED = datetime(2026, 3, 16, 8, 0, tzinfo=LONDON)
#: When phrases are said if a test does not say: two on Wednesday afternoon.
NOW = "2026-03-18 14:00"

Said = dict[str, Any]


def t(text: str) -> datetime:
    """A time in the job's zone: "2026-03-18 14:00"."""
    return datetime.fromisoformat(text).replace(tzinfo=LONDON)


_KEPT = tempfile.TemporaryDirectory(prefix="dabhand-test-")  # goes when the tests end


@cache
def loaded() -> Path:
    """A journal with the job loaded and nothing said; made once, copied for each test."""
    place = Path(_KEPT.name) / "linnet.sqlite"
    with closing(Session.open(place)) as session:
        session.load(JOB, LOADED)
    return place


class Linnet:
    """The talk. Calling it says a phrase; each is a minute after the one before."""

    def __init__(self, folder: Path, name: str = "job.sqlite") -> None:
        self.path = folder / name
        for file in loaded().parent.glob(f"{loaded().name}*"):
            shutil.copyfile(file, folder / file.name.replace(loaded().name, name))
        self.session = Session.open(self.path)
        self.now = t(NOW)

    def __enter__(self) -> Linnet:
        return self

    def __exit__(self, *_: object) -> None:
        self.session.close()

    def at(self, time: str) -> Linnet:
        """Set the time at which the next phrase is said."""
        self.now = t(time)
        return self

    def __call__(self, *phrases: str) -> Said:
        """Say phrases, a minute apart, and give the last reply."""
        reply: Said = {}
        for phrase in phrases:
            reply = self.session.take(phrase, self.now).to_json()
            self.now += timedelta(minutes=1)
        return reply

    def export(self) -> bytes:
        """The whole journal, as it is exported."""
        target = self.path.with_suffix(".jsonl")
        export_to(self.session.journal, target)
        return target.read_bytes()

    def silent(self, phrase: str) -> Said:
        """Say a phrase that must log nothing; telling that is not understood may be kept as heard, once."""
        before = self.export()
        reply = self(phrase)
        assert reply["events"] == [], f"{phrase!r} changed the journal: {reply}"
        kept = self.gained(before)
        assert kept == [] or (reply["outcome"] == "unclear" and [e["kind"] for e in kept] == ["unread"]), (
            f"{phrase!r} changed the journal: {reply}, {kept}"
        )
        return reply

    def gained(self, before: bytes) -> list[Said]:
        """The events that the journal has over an export made before; what was there must be as it was."""
        old, new = (export.splitlines()[1:] for export in (before, self.export()))  # the first line counts them
        assert new[: len(old)] == old
        return [json.loads(line) for line in new[len(old) :]]

    def forget(self) -> None:
        """Let go of what was spoken of, as another day would."""
        self.session.journal.remember({})


def only(reply: Said) -> Said:
    """The one event of a reply that logged."""
    assert reply["outcome"] == "logged", reply
    (event,) = reply["events"]
    return event


def bare(event: Said) -> Said:
    """An event without its number, the time it was told and what is not set."""
    return {k: v for k, v in event.items() if v is not None and k not in ("id", "said_at")}


def kinds(reply: Said) -> list[str]:
    """The kinds of a reply's events."""
    return [event["kind"] for event in reply["events"]]
