"""The journal as a file: what is appended stays, what stands is found."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
import zlib
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from journal_samples import MEMORY, NOON, PIECES, at, coat, journals, long_journal, note, reading

from assistant.journal import checkpoint, schema
from assistant.journal.events import Amend, Coat, Event, Note, Set, Undo
from assistant.journal.state import entries, state_of
from assistant.journal.store import Journal
from assistant.problem import Problem


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "linnet.sqlite"


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    with Journal.open(path) as opened:
        yield opened


def test_appended_events_come_back_with_numbers_from_one(journal: Journal, path: Path) -> None:
    """Events get the next numbers in order, and another opening reads them as they were returned."""
    first = journal.append([coat(), note("a run")])
    second = journal.append([coat(60, number=2)])
    assert [e.id for e in first + second] == [1, 2, 3]
    assert [replace(e, id=0) for e in first] == [coat(), note("a run")]
    with Journal.open(path) as again:
        assert list(again.events()) == first + second
        assert list(again.events(2, 2)) == first[1:]
        assert again.get(2) == first[1]
        assert again.get(4) is None


def test_a_batch_with_one_bad_event_leaves_nothing(journal: Journal) -> None:
    """If one event of a batch cannot be taken, none is, and the state is as before."""
    journal.append([coat()])
    before = journal.state.copy()
    with pytest.raises(Problem, match="nothing was logged: there is no event 99"):
        journal.append([coat(5, number=2), Undo(at=NOON, said_at=NOON, of=(99,))])
    assert journal.state == before
    assert len(list(journal.events())) == 1
    assert journal.append([note("on we go")])[0].id == 2


UNFIT = [
    (Undo(of=()), "must say of what"),
    (Undo(of=(3,)), "no event 3"),
    (Undo(of=(0,)), "no event 0"),
    (Amend(of=1), "must say what changes"),
    (Amend(of=2, changes={"text": "x"}), "itself a correction"),
    (Amend(of=1, changes={"grit": 240}), "has no grit"),
    (Amend(of=1, changes={"at": "yesterday"}), "yesterday"),
    (Amend(of=1, changes={"id": 5}), "id cannot be amended"),
    (Note(text="\ud800"), "cannot be written down"),
    (Set(what="label", name="x", values={"parts": float("nan")}), "cannot be written down"),
    (Set(what="label", name="x", values={"opened": NOON}), "cannot be written down"),
    (Coat(piece=3), "must be text"),  # type: ignore[arg-type]
]


@pytest.mark.parametrize(("event", "reason"), UNFIT, ids=[r for _, r in UNFIT])
def test_an_event_that_cannot_be_taken_is_one_problem(journal: Journal, event: Event, reason: str) -> None:
    """An event that corrects what is not there, or cannot be written, is refused in one line."""
    journal.append([coat(), Undo(at=NOON, said_at=NOON, of=(1,))])
    with pytest.raises(Problem, match=reason) as refused:
        journal.append([event])
    assert "\n" not in str(refused.value)
    assert journal.state.last_id == 2


def test_a_time_in_a_named_zone_keeps_its_instant_and_offset(journal: Journal) -> None:
    """A time told in a zone comes back at the same offset, in the hour that comes twice as well."""
    twice = datetime(2026, 10, 25, 1, 30, tzinfo=ZoneInfo("Europe/London"), fold=1)
    (stored,) = journal.append([replace(coat(), at=twice)])
    assert stored.at.isoformat() == "2026-10-25T01:30:00+00:00"
    assert stored.at.astimezone(UTC) == twice.astimezone(UTC)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE events SET body = '{}' WHERE id = 1",
        "DELETE FROM events WHERE id = 2",
        "REPLACE INTO events (id, kind, body) VALUES (1, 'note', '{}')",
        "INSERT OR REPLACE INTO events (id, kind, body) VALUES (2, 'note', '{}')",
        "INSERT INTO events (id, kind, body) VALUES (1, 'note', '{}') ON CONFLICT DO UPDATE SET body = '{}'",
        "INSERT INTO events (id, kind, body) VALUES (9, 'note', '{}')",
        "INSERT INTO events (kind, body) VALUES (NULL, '{}')",
        "INSERT INTO events (id, kind, body) VALUES (3, 'note', x'00')",
    ],
)
@pytest.mark.parametrize("recursive", [True, False], ids=["recursive_triggers", "a_careless_program"])
def test_the_events_cannot_be_changed_cut_or_replaced(
    journal: Journal, path: Path, statement: str, recursive: bool
) -> None:
    """No update, delete, replace, gap or wrong type gets past the table, whoever opens the file."""
    events = journal.append([coat(), note("a run")])
    other = sqlite3.connect(path)
    other.execute(f"PRAGMA recursive_triggers = {'ON' if recursive else 'OFF'}")
    with pytest.raises(sqlite3.IntegrityError):
        other.execute(statement)
    other.close()
    assert list(journal.events()) == events


def test_every_table_is_strict(path: Path) -> None:
    """Every table of a journal refuses values of another type."""
    Journal.open(path).close()
    listed = sqlite3.connect(path).execute("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    assert {name: strict for name, strict in listed if not name.startswith("sqlite_")} == dict.fromkeys(
        schema.TABLES, 1
    )


def test_a_journal_waits_for_the_disk(journal: Journal) -> None:
    """A commit is on the disk when append returns: a write-ahead log with full synchronisation."""
    pragma = {name: journal._db.execute(f"PRAGMA {name}").fetchone()[0] for name in (
        "journal_mode", "synchronous", "recursive_triggers", "foreign_keys",
    )}  # fmt: skip
    assert pragma == {"journal_mode": "wal", "synchronous": 2, "recursive_triggers": 1, "foreign_keys": 1}
    journal.remember({"piece": "hatch trim"})
    assert journal._db.execute("PRAGMA synchronous").fetchone()[0] == 2


def commit(journal: Journal, events: list[Event], batch: int) -> None:
    for start in range(0, len(events), batch):
        journal.append(events[start : start + batch])


@settings(deadline=None, max_examples=60)
@given(journals(), st.integers(1, 7), st.integers(1, 9), st.data())
def test_the_state_is_that_of_the_whole_journal(
    events: list[Event], batch: int, every: int, data: st.DataObject
) -> None:
    """After every batch, from whatever checkpoints, reopened or not, the state is the fold of all events."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as folder:
        path = Path(folder) / "linnet.sqlite"
        journal = Journal.open(path, every=every)
        onlooker = Journal.open(path, every=every)
        try:
            for start in range(0, len(events), batch):
                journal.append(events[start : start + batch])
                expected = state_of(events[: start + batch])
                assert journal.state == expected
                if data.draw(st.booleans()):
                    assert onlooker.state == expected
                if data.draw(st.booleans()):
                    journal.close()
                    journal = Journal.open(path, every=every)
                    assert journal.state == expected
            assert list(journal.events()) == events
            assert journal.check() == []
            journal.rebuild()
            assert journal.state == onlooker.state == state_of(events)
        finally:
            journal.close()
            onlooker.close()


@settings(deadline=None, max_examples=40)
@given(journals(), st.integers(0, 30), st.integers(0, 30))
def test_a_span_and_a_search_find_what_stands_there(events: list[Event], first: int, length: int) -> None:
    """A span holds what happened in it by the amended times; a search finds the last to happen first."""
    start, end = at(first), at(first + length)
    told = entries(events)
    stands = [e.event for e in told if not e.undone]
    with (
        tempfile.TemporaryDirectory(dir=MEMORY) as folder,
        Journal.open(Path(folder) / "linnet.sqlite") as journal,
    ):
        commit(journal, events, 5)
        assert journal.history(start, end) == [e for e in told if start <= e.event.at < end]
        found = journal.between(start, end)
        assert sorted(found, key=lambda e: e.id) == [e for e in stands if start <= e.at < end]
        assert [(e.at, e.id) for e in found] == sorted((e.at, e.id) for e in found)
        for piece in (None, PIECES[0]):
            for kind in (None, "coat"):
                hits = [e for e in stands if kind in (None, e.kind) and piece in (None, getattr(e, "piece", None))]
                hits.sort(key=lambda e: (e.at, e.id), reverse=True)
                assert journal.search(kind=kind, piece=piece, limit=3) == hits[:3]
        for entry in told:
            assert journal.entry(entry.event.id) == entry
            assert journal.get(entry.event.id) == (None if entry.undone else entry.event)


def test_an_undone_coat_leaves_the_day_and_stays_in_its_history(journal: Journal) -> None:
    """What was scratched is not in the day's work, and the diary can still tell of it."""
    journal.append([coat(), coat(5, number=2)])
    journal.append([Undo(at=at(6), said_at=at(6), of=(2,)), Amend(at=at(7), said_at=at(7), of=1, changes={"coat": 4})])
    assert [e.coat for e in journal.between(at(0), at(60))] == [4]
    assert [(e.event.id, e.corrected, e.undone) for e in journal.history(at(0), at(60))] == [
        (1, True, False), (2, False, True),
    ]  # fmt: skip
    assert journal.entry(3) is None


def test_one_event_is_given_as_it_stands(journal: Journal) -> None:
    """An event asked for by number is there until it is undone, and so is an undo until it is undone."""
    journal.append([coat(), Undo(at=NOON, said_at=NOON, of=(1,))])
    assert journal.get(1) is None
    assert isinstance(journal.get(2), Undo)
    journal.append([Undo(at=NOON, said_at=NOON, of=(2,))])
    assert isinstance(journal.get(1), Coat)
    assert journal.get(2) is None
    assert journal.get(4) is None


def test_an_amended_time_moves_the_event_between_days(journal: Journal) -> None:
    """A coat told for today and put right to yesterday is in yesterday's work and not in today's."""
    journal.append([coat()])
    yesterday = NOON - timedelta(days=1)
    journal.append([Amend(at=NOON, said_at=NOON, of=1, changes={"at": yesterday.isoformat()})])
    assert journal.between(NOON, at(60)) == []
    assert [e.at for e in journal.between(yesterday, at(-1000))] == [yesterday]
    assert [e.id for e in journal.search(kind="coat")] == [1]


def test_another_openings_events_are_noticed(path: Path, journal: Journal) -> None:
    """Two that have the journal open see each other's events, and number theirs one after another."""
    with Journal.open(path) as other:
        journal.append([coat()])
        assert other.state.last_id == 1
        assert other.append([note("from the other")])[0].id == 2
        assert journal.append([coat(9, number=2)])[0].id == 3
        other.append([Undo(at=NOON, said_at=NOON, of=(1,))])
        assert [e.coat for e in journal.state.work["hatch trim"]] == [2]
        assert journal.state == other.state


def test_what_follows_from_the_events_may_be_dropped(path: Path) -> None:
    """With every table but the events and the talk gone, a journal opens just the same."""
    with Journal.open(path, every=4) as journal:
        commit(journal, long_journal(40), 3)
        journal.append([Undo(at=NOON, said_at=NOON, of=(4,)), Amend(at=NOON, said_at=NOON, of=1, changes={"coat": 7})])
        events, state = list(journal.events()), journal.state.copy()
    bare = sqlite3.connect(path)
    for table in schema.DERIVED:
        bare.execute(f"DROP TABLE {table}")
    bare.close()
    with Journal.open(path) as again:
        assert list(again.events()) == events
        assert again.state == state
        assert again.check() == []


def test_events_put_in_by_hand_are_taken_in(path: Path, journal: Journal) -> None:
    """A program that adds a well-formed event by itself is noticed, and the journal adds up again."""
    journal.append([coat()])
    other = sqlite3.connect(path)
    body = '{"at":"2026-03-14T12:00:00+00:00","said_at":"2026-03-14T12:00:00+00:00","text":"by hand"}'
    with other:
        other.execute("INSERT INTO events (id, kind, body) VALUES (2, 'note', ?)", (body,))
    other.close()
    with Journal.open(path) as again:
        assert again.state.notes == 1
        assert [e.id for e in again.search(kind="note")] == [2]


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE checkpoint SET version = 'another'",
        "UPDATE checkpoint SET body = replace(body, '1', '2')",
        "UPDATE checkpoint SET body = 'no JSON', crc = 0",
        "DELETE FROM checkpoint WHERE shelf = 'work'",
    ],
)
def test_a_checkpoint_that_is_not_sound_is_not_believed(path: Path, damage: str) -> None:
    """A checkpoint of another version, altered or cut only costs time: the state is folded anew."""
    with Journal.open(path, every=4) as journal:
        commit(journal, long_journal(30), 3)
        state = journal.state.copy()
    bare = sqlite3.connect(path)
    assert bare.execute("SELECT count(*) FROM checkpoint").fetchone()[0] > 0
    with bare:
        bare.execute(damage)
    bare.close()
    with Journal.open(path, every=4) as again:
        assert again.state == state
        commit(again, long_journal(10), 3)
        assert again.state == state_of(again.events())


def test_a_checkpoint_of_another_fold_is_not_believed(path: Path) -> None:
    """A checkpoint that is whole but was made by another version of the fold is not the state."""
    with Journal.open(path, every=4) as journal:
        commit(journal, long_journal(30), 3)
        state = journal.state.copy()
    bare, body = sqlite3.connect(path), '{"notes":999}'
    with bare:
        bare.execute(
            "UPDATE checkpoint SET version = 'another', body = ?, crc = ? WHERE shelf = 'notes'",
            (body, zlib.crc32(body.encode())),
        )
    bare.close()
    with Journal.open(path, every=4) as again:
        assert again.state == state


def test_a_journal_made_twice_at_once_is_the_first(path: Path) -> None:
    """A process that comes second to the making of a journal leaves the first one's events alone."""
    with Journal.open(path) as journal:
        journal.append([coat()])
        schema.create(path)
        assert [e.id for e in journal.events()] == [1]
    with Journal.open(path) as again:
        assert again.state.last_id == 1
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_batch_meant_for_another_end_is_refused(journal: Journal) -> None:
    """A batch that was made to follow one event is not put behind another."""
    journal.append([coat()])
    with pytest.raises(Problem, match="another program"):
        journal.commit([coat(5, number=2)], after=0)
    assert journal.state.last_id == 1


def test_checkpoints_stay_few_and_reach_back(path: Path) -> None:
    """However long the journal, a handful of checkpoints is kept, some near the end and one far back."""
    with Journal.open(path, every=1) as journal:
        commit(journal, long_journal(300), 1)
        bases = [b for (b,) in journal._db.execute("SELECT DISTINCT base FROM checkpoint ORDER BY base")]
    assert len(bases) <= 8
    assert 300 - bases[-1] <= 2
    assert 300 - bases[-2] <= 4
    assert bases[0] <= 150


def test_undoing_something_recent_leaves_a_checkpoint_close_behind(path: Path) -> None:
    """Scratching one of the last events folds no more than the events since the last checkpoint but one."""
    with Journal.open(path, every=16) as journal:
        commit(journal, long_journal(800), 8)
        journal.append([Undo(at=NOON, said_at=NOON, of=(795,))])
        kept = checkpoint.newest(journal._db)
        assert kept is not None
        assert 800 - 2 * 16 - 8 < kept[0] < 795
        assert journal.state == state_of(journal.events())


def test_the_talk_is_kept_and_is_not_the_journal(path: Path, journal: Journal) -> None:
    """What the talk was about survives a reopening, is replaced by the next, and adds no event."""
    assert journal.recall() == {}
    journal.remember({"piece": "hatch trim"})
    journal.append([coat()], talk=lambda stored: {"batch": [e.id for e in stored], "asked": None})
    with Journal.open(path) as again:
        assert again.recall() == {"batch": [1], "asked": None}
        assert again.state.last_id == 1
    with pytest.raises(Problem, match="talk"):
        journal.remember({"when": NOON})


def test_the_talk_goes_with_the_events_or_not_at_all(journal: Journal) -> None:
    """If the events of a phrase are refused, the talk stays what it was."""
    journal.remember({"piece": "hatch trim"})
    with pytest.raises(Problem):
        journal.append([Undo(of=(5,))], talk=lambda _: {"piece": "cratch board"})
    assert journal.recall() == {"piece": "hatch trim"}


def test_a_closed_journal_says_so_in_one_line(path: Path) -> None:
    """Using a journal after it was closed is a problem, not a crash."""
    journal = Journal.open(path)
    journal.close()
    with pytest.raises(Problem, match="could not be used"):
        journal.append([coat()])


def test_a_phrase_on_an_existing_journal_loads_no_slow_library(path: Path) -> None:
    """Opening, appending to, reading and searching a journal that exists imports no slow library."""
    Journal.open(path).close()
    program = f"""
import sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.journal.events import Coat
from assistant.journal.store import Journal
noon = datetime(2026, 3, 14, 12, tzinfo=UTC)
with Journal.open(Path({str(path)!r})) as journal:
    coat = Coat(at=noon, said_at=noon, piece="hatch trim")
    journal.append([coat], talk=lambda _: {{"piece": coat.piece}})
    journal.state.work, journal.between(noon, noon), journal.search(kind="coat"), journal.recall()
print(sorted({{"sqlite_utils", "pint", "dateparser", "prompt_toolkit", "csv"}} & set(sys.modules)))
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_an_empty_batch_changes_nothing(journal: Journal) -> None:
    """Appending nothing gives nothing."""
    assert journal.append([]) == []
    assert journal.state.last_id == 0
    assert list(journal.events()) == []


def test_a_span_of_readings_is_found_by_time(journal: Journal) -> None:
    """The end of a span is not part of it."""
    journal.append([reading(m) for m in range(5)])
    assert [e.at for e in journal.between(at(1), at(3))] == [at(1), at(2)]
