"""A journal written out as JSON lines and read back."""

from __future__ import annotations

import io
import json
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from journal_samples import MEMORY, NOON, coat, journals, long_journal, note

from assistant.journal.events import Amend, Event, Undo, to_json
from assistant.journal.store import Journal
from assistant.journal.transfer import export_to, import_from
from assistant.problem import Problem


@pytest.fixture
def lines(tmp_path: Path) -> list[str]:
    """An export of seven events, two of them corrections."""
    with Journal.open(tmp_path / "source.sqlite") as journal:
        journal.append(long_journal(5))
        journal.append([Undo(at=NOON, said_at=NOON, of=(2,)), Amend(at=NOON, said_at=NOON, of=1, changes={"coat": 9})])
        assert export_to(journal, tmp_path / "source.jsonl") == 7
    return (tmp_path / "source.jsonl").read_text(encoding="utf-8").splitlines()


@settings(deadline=None, max_examples=40)
@given(journals())
def test_a_journal_comes_back_exactly(events: list[Event]) -> None:
    """Exported and imported, every event is as it was, and a second export is the same to the byte."""
    with tempfile.TemporaryDirectory(dir=MEMORY) as name:
        folder = Path(name)
        with Journal.open(folder / "a.sqlite") as first, Journal.open(folder / "b.sqlite") as second:
            first.append(events)
            assert export_to(first, folder / "a.jsonl") == len(events)
            assert import_from(second, folder / "a.jsonl") == len(events)
            assert list(second.events()) == list(first.events()) == events
            assert second.state == first.state
            export_to(second, folder / "b.jsonl")
            assert (folder / "a.jsonl").read_bytes() == (folder / "b.jsonl").read_bytes()
            assert import_from(second, folder / "b.jsonl") == 0


def test_an_export_is_the_public_json(tmp_path: Path, lines: list[str]) -> None:
    """The first line says what follows; each other one is an event in the published form."""
    assert json.loads(lines[0]) == {"dabhand": 1, "events": 7}
    with Journal.open(tmp_path / "source.sqlite") as journal:
        assert [json.loads(line) for line in lines[1:]] == [to_json(e) for e in journal.events()]


def test_words_of_any_script_come_back(tmp_path: Path) -> None:
    """Emoji, line separators and odd controls in a note survive the way out and back."""
    odd = '🎨 a\u2028b\u0085c\n\r\t\x00 "quoted" \\ \'DROP TABLE events; --'
    with Journal.open(tmp_path / "a.sqlite") as first, Journal.open(tmp_path / "b.sqlite") as second:
        first.append([note(odd), coat(piece=odd)])
        export_to(first, tmp_path / "a.jsonl")
        import_from(second, tmp_path / "a.jsonl")
        assert [e.id for e in second.search(piece=odd)] == [2]
        assert list(second.events()) == list(first.events())


def test_the_standard_streams_serve_as_files(
    tmp_path: Path,
    lines: list[str],
    monkeypatch: pytest.MonkeyPatch,
    capfdbinary: pytest.CaptureFixture[bytes],
) -> None:
    """A dash is standard output for an export and standard input for an import."""
    with Journal.open(tmp_path / "source.sqlite") as journal:
        assert export_to(journal, "-") == 7
    written = capfdbinary.readouterr().out
    assert written == (tmp_path / "source.jsonl").read_bytes()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(written)))
    with Journal.open(tmp_path / "b.sqlite") as journal:
        assert import_from(journal, "-") == 7


def test_an_import_goes_on_where_the_journal_ends(tmp_path: Path, lines: list[str]) -> None:
    """Events already there are passed over and the rest added; a shorter export of the same adds nothing."""
    part = tmp_path / "part.jsonl"
    part.write_text("\n".join(['{"dabhand":1,"events":3}', *lines[1:4]]) + "\n", encoding="utf-8")
    with Journal.open(tmp_path / "b.sqlite") as journal:
        assert import_from(journal, part) == 3
        assert import_from(journal, tmp_path / "source.jsonl") == 4
        assert import_from(journal, part) == 0
        export_to(journal, tmp_path / "b.jsonl")
    assert (tmp_path / "b.jsonl").read_bytes() == (tmp_path / "source.jsonl").read_bytes()


def spoil(lines: list[str], number: int, text: str) -> list[str]:
    return [*lines[: number - 1], text, *lines[number:]]


def changed(line: str, **values: object) -> str:
    return json.dumps({**json.loads(line), **values})


BROKEN = {
    "an empty file": (lambda _: [""], "not an export"),
    "no heading": (lambda ls: ls[1:], "not an export"),
    "a heading of something else": (lambda ls: spoil(ls, 1, '{"events": 7}'), "not an export"),
    "a later form": (lambda ls: spoil(ls, 1, '{"dabhand":2,"events":7}'), "later dabhand"),
    "cut between lines": (lambda ls: ls[:5], "cut short: it should have 7 events and has 4"),
    "cut within a line": (lambda ls: spoil(ls, 8, ls[7][:20]), "line 8 is not JSON"),
    "a line too many": (lambda ls: [*ls, ls[-1]], "too many"),
    "a blank line": (lambda ls: spoil(ls, 4, ""), "line 4 is not JSON"),
    "a wrong line": (lambda ls: spoil(ls, 4, "{'kind': 'note'}"), "line 4 is not JSON"),
    "a line that is no object": (lambda ls: spoil(ls, 4, "[1]"), "line 4: it is not an object"),
    "no time": (
        lambda ls: spoil(ls, 4, '{"id":3,"kind":"note","text":"x"}'),
        "line 4: it has no at, said_at",
    ),
    "an unknown kind": (
        lambda ls: spoil(ls, 4, changed(ls[3], kind="dance")),
        "line 4: there is no event of kind",
    ),
    "an unknown key": (lambda ls: spoil(ls, 4, changed(ls[3], colour="red")), r"line 4: .*colour"),
    "a wrong value": (lambda ls: spoil(ls, 4, changed(ls[3], at="noon")), r"line 4: .*noon"),
    "not a number": (lambda ls: spoil(ls, 4, changed(ls[3], grit=float("nan"))), "line 4: NaN"),
    "a number missing": (lambda ls: spoil(ls, 4, changed(ls[3], id=9)), "line 4: it is event 9, and 3"),
    "swapped lines": (lambda ls: [*ls[:3], ls[4], ls[3], *ls[5:]], "line 4: it is event 4, and 3"),
    "an undo of nothing": (lambda ls: spoil(ls, 7, changed(ls[6], of=[44])), "line 7: there is no event 44"),
    "half a character": (lambda ls: spoil(ls, 4, changed(ls[3], kind="note", text="\ud800")), "line 4: "),
    "a deep nest": (lambda ls: spoil(ls, 4, "[" * 100_000), "line 4: it is nested too deep"),
}


@pytest.mark.parametrize("case", sorted(BROKEN))
def test_a_broken_export_is_one_line_and_changes_nothing(tmp_path: Path, lines: list[str], case: str) -> None:
    """Whatever is wrong with an export is said in one line, with the number of the line at fault."""
    spoiled, reason = BROKEN[case]
    path = tmp_path / "broken.jsonl"
    path.write_text("\n".join(spoiled(lines)), encoding="utf-8")
    with Journal.open(tmp_path / "b.sqlite") as journal:
        with pytest.raises(Problem, match=reason) as refused:
            import_from(journal, path)
        assert "\n" not in str(refused.value)
        assert list(journal.events()) == []
        assert import_from(journal, tmp_path / "source.jsonl") == 7


def test_bytes_that_are_no_text_are_one_line(tmp_path: Path, lines: list[str]) -> None:
    """A line that is not UTF-8 is named."""
    path = tmp_path / "broken.jsonl"
    path.write_bytes(lines[0].encode() + b"\n\xff\xfe\n")
    with Journal.open(tmp_path / "b.sqlite") as journal, pytest.raises(Problem, match="line 2 is not UTF-8"):
        import_from(journal, path)


def test_a_journal_with_other_events_refuses_the_import(tmp_path: Path, lines: list[str]) -> None:
    """If an event of the file is another in the journal, the line is named and nothing is added."""
    with Journal.open(tmp_path / "b.sqlite") as journal:
        journal.append([*long_journal(2), note("a third of its own")])
        with pytest.raises(Problem, match="line 4: event 3 is another"):
            import_from(journal, tmp_path / "source.jsonl")
        assert journal.state.last_id == 3


@pytest.mark.parametrize("target", ["source.sqlite", "source.sqlite-wal", ".", "no/such/folder.jsonl"])
def test_an_export_never_covers_the_journal(tmp_path: Path, lines: list[str], target: str) -> None:
    """Exporting onto the journal, a folder or nowhere is refused, and nothing is left lying about."""
    with Journal.open(tmp_path / "source.sqlite") as journal:
        before = sorted(p.name for p in tmp_path.iterdir())
        with pytest.raises(Problem):
            export_to(journal, tmp_path / target)
        assert sorted(p.name for p in tmp_path.iterdir()) == before
        assert journal.check() == []


def test_an_export_that_fails_leaves_the_last_one(
    tmp_path: Path, lines: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """If the disk fails while an export is written, the file that was there is there still, whole."""
    target = tmp_path / "source.jsonl"
    before = target.read_bytes()

    def fail(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", fail)
    with Journal.open(tmp_path / "source.sqlite") as journal, pytest.raises(Problem, match="disk is full"):
        export_to(journal, target)
    assert target.read_bytes() == before
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


@pytest.mark.parametrize("source", ["missing.jsonl", ".", "a\0b"])
def test_an_import_from_nowhere_is_one_line(tmp_path: Path, source: str) -> None:
    """A file that cannot be read is one line."""
    with Journal.open(tmp_path / "b.sqlite") as journal, pytest.raises(Problem, match="cannot be read"):
        import_from(journal, f"{tmp_path}/{source}")
