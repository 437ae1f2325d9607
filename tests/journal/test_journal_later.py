"""What came after the first form: vague times, parts, unread words, learned words, rules for once.

The lines of :data:`BEFORE` are copied from an export made before there was any of it.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal_samples import NOON, at, coat, journals, note, ordinary

from assistant.journal import checkpoint
from assistant.journal import state as state_module
from assistant.journal.events import (
    Amend,
    Coat,
    Event,
    Hours,
    Sand,
    Set,
    Strip,
    Task,
    Undo,
    Unread,
    amended,
    from_json,
    settling,
    to_json,
)
from assistant.journal.rows import encode
from assistant.journal.state import State, Word, fold, state_of
from assistant.journal.store import Journal
from assistant.journal.transfer import export_to, import_from
from assistant.problem import Problem

WHEN = '"at":"2026-03-14T12:02:00+00:00","said_at":"2026-03-14T12:02:00+00:00"'
BEFORE = [
    f'{{"id":1,"kind":"coat",{WHEN},"piece":"hatch trim","coat":1,"product":"v","thinned":null}}',
    f'{{"id":2,"kind":"sand",{WHEN},"piece":"hatch trim","grit":240}}',
    f'{{"id":3,"kind":"bond",{WHEN},"piece":"hatch trim","product":"p"}}',
    f'{{"id":4,"kind":"task",{WHEN},"text":"sweep","piece":null,"state":"open","after":null}}',
    f'{{"id":5,"kind":"hours",{WHEN},"rule":"sleep","from":"2026-03-14T23:00:00+00:00",'
    '"to":"2026-03-15T07:00:00+00:00"}',
    f'{{"id":6,"kind":"hours",{WHEN},"rule":"away","from":"2026-03-14T23:00:00+00:00",'
    '"to":"2026-03-15T07:00:00+00:00"}',
    f'{{"id":7,"kind":"undo",{WHEN},"of":[2]}}',
    f'{{"id":8,"kind":"amend",{WHEN},"of":1,"changes":{{"coat":2}}}}',
]


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "old.jsonl"
    path.write_text("\n".join(['{"dabhand": 1, "events": 8}', *BEFORE]) + "\n", encoding="utf-8")
    return path


def numbered(*events: Event) -> list[Event]:
    return [replace(e, id=n) for n, e in enumerate(events, 1)]


class TestBefore:
    def test_a_journal_from_before_is_read_and_what_it_does_not_say_is_null(self, old: Path, tmp_path: Path) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            assert import_from(journal, old) == 8
            first, sanded, glued, task, sleep, away, *_ = journal.events()
            assert (first.between, first.began, first.part) == (None, None, None)
            assert (sanded.part, glued.part) == (None, None)
            assert (task.not_before, task.due, task.ring) == (None, None, None)
            assert (sleep.repeat, away.repeat) == ("daily", None)
            assert journal.state.coats == {"hatch trim": {"v": 2}}
            assert not journal.check()

    def test_its_rows_stay_the_same_to_the_byte(self, old: Path, tmp_path: Path) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            import_from(journal, old)
            rows = [f'{{"id":{n},"kind":"{kind}",{body[1:]}' for n, kind, body in journal.rows()]
            assert rows == BEFORE

    def test_it_can_be_imported_into_itself_from_either_export(self, old: Path, tmp_path: Path) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            import_from(journal, old)
            export_to(journal, tmp_path / "new.jsonl")
            assert import_from(journal, old) == 0
            assert import_from(journal, tmp_path / "new.jsonl") == 0
        with Journal.open(tmp_path / "b.sqlite") as journal:
            assert import_from(journal, tmp_path / "new.jsonl") == 8
            assert import_from(journal, old) == 0

    def test_a_kind_that_is_not_known_yet_fails_in_one_line(self, tmp_path: Path) -> None:
        path = tmp_path / "later.jsonl"
        path.write_text('{"dabhand": 1, "events": 1}\n' + BEFORE[0].replace('"coat",', '"sing",', 1) + "\n")
        with Journal.open(tmp_path / "a.sqlite") as journal:
            with pytest.raises(Problem, match=r"line 2: there is no event of kind 'sing'; nothing was imported$"):
                import_from(journal, path)
            assert journal.state.last_id == 0


class TestTimes:
    def test_the_window_and_the_start_are_public_where_they_were_said_only(self) -> None:
        vague = replace(coat(), between=(at(-30), at(30)), began=at(-90))
        data = to_json(vague)
        assert data["between"] == ["2026-03-14T11:30:00+00:00", "2026-03-14T12:30:00+00:00"]
        assert data["began"] == "2026-03-14T10:30:00+00:00"
        assert not {"between", "began"} & to_json(coat()).keys()
        assert from_json(json.loads(json.dumps(data))) == vague

    @pytest.mark.parametrize(
        ("wrong", "reason"),
        [
            ({"between": (at(10), at(30))}, "between the two ends"),
            ({"between": (at(30), at(-30))}, "between the two ends"),
            ({"began": at(1)}, "begun after its end"),
        ],
    )
    def test_times_that_do_not_go_together_are_not_logged(self, tmp_path: Path, wrong: dict, reason: str) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            with pytest.raises(Problem, match=reason):
                journal.append([replace(coat(), **wrong)])
            assert journal.state.last_id == 0

    def test_a_time_said_anew_is_no_longer_vague_and_a_window_has_it_in_its_middle(self) -> None:
        vague = replace(coat(), between=(at(-30), at(30)), began=at(-90))
        sharp = amended(vague, {"at": at(5).isoformat()})
        assert (sharp.at, sharp.between, sharp.began) == (at(5), None, at(-90))
        moved = amended(sharp, {"between": [at(0).isoformat(), at(60).isoformat()]})
        assert (moved.at, moved.between) == (at(30), (at(0), at(60)))
        assert amended(vague, {"at": at(-120).isoformat()}).began is None

    @pytest.mark.parametrize(
        "changes",
        [
            {"at": at(90).isoformat(), "between": [at(0).isoformat(), at(60).isoformat()]},
            {"began": at(30).isoformat()},
            {"between": [at(0).isoformat()]},
            {"between": "noon"},
        ],
    )
    def test_changes_of_the_time_that_make_no_sense_are_refused(self, tmp_path: Path, changes: dict) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            journal.append([coat()])
            with pytest.raises(Problem, match="nothing was logged"):
                journal.append([Amend(at=NOON, said_at=NOON, of=1, changes=changes)])
            assert journal.state.last_id == 1

    def test_corrections_that_each_fit_and_together_do_not_leave_the_journal_whole(self, tmp_path: Path) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            journal.append([coat()])
            for changes in ({"began": at(-1).isoformat()}, {"at": at(-60).isoformat()}):
                journal.append([Amend(at=NOON, said_at=NOON, of=1, changes=changes)])
            (stands,) = journal.state.work["hatch trim"]
            assert (stands.at, stands.began) == (at(-60), None)
            assert not journal.check()

    def test_every_later_key_can_be_amended(self) -> None:
        iso = at(60).isoformat()
        task = amended(Task(text="sweep", at=NOON), {"due": iso, "not_before": iso, "ring": iso})
        assert (task.due, task.not_before, task.ring) == (at(60), at(60), at(60))
        assert amended(Sand(piece="hatch trim"), {"part": "top half"}).part == "top half"
        rule = amended(Hours(rule="closed"), {"space": "galley", "repeat": "daily", "piece": "hatch trim"})
        assert (rule.space, rule.repeat, rule.piece) == ("galley", "daily", "hatch trim")


class TestUnread:
    HEARD = (Unread(at=at(0), said_at=at(0), text="the thing for the wotsit"), note("x"), Unread(text="and so on"))

    def test_what_is_unread_is_kept_in_order_and_is_no_fact(self) -> None:
        state = state_of(numbered(*self.HEARD))
        assert [u.text for u in state.unread] == ["the thing for the wotsit", "and so on"]
        assert replace_unread(state) == replace_unread(state_of(numbered(note("x"))))

    def test_an_undo_strikes_it_and_an_undo_of_that_brings_it_back(self) -> None:
        events = numbered(*self.HEARD, Undo(of=(1,)))
        assert [u.id for u in state_of(events).unread] == [3]
        assert [u.id for u in state_of(numbered(*events, Undo(of=(4,)))).unread] == [1, 3]

    def test_a_later_event_settles_it_wholly_or_in_part(self, tmp_path: Path) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal:
            first, _, _ = journal.append(self.HEARD)
            assert isinstance(first, Unread)
            journal.append([coat(), settling(first, at(1), left="for the wotsit")])
            assert [u.text for u in journal.state.unread] == ["for the wotsit", "and so on"]
            done, settled = journal.append([coat(2), settling(first, at(2))])
            assert [u.text for u in journal.state.unread] == ["and so on"]
            journal.append([Undo(at=at(3), said_at=at(3), of=(done.id, settled.id))])
            assert [u.text for u in journal.state.unread] == ["for the wotsit", "and so on"]

    def test_it_does_not_grow_without_end(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(state_module, "KEEP_UNREAD", 2)
        assert [u.text for u in fold([Unread(text=t) for t in "abc"]).unread] == ["b", "c"]


def replace_unread(state: State) -> dict[str, object]:
    """Everything of a state that is not about what is unread."""
    shelves = checkpoint.dump(state)
    return {name: body for name, body in shelves.items() if name != "unread"}


class TestWords:
    BRIGHTWORK = Set(what="word", name="brightwork", values={"means": "handrail", "of": "piece"})

    def test_a_word_is_learned_learned_anew_and_unlearned(self) -> None:
        again = replace(self.BRIGHTWORK, values={"means": "fiddle rail", "of": "piece"})
        events = numbered(self.BRIGHTWORK, again)
        assert state_of(events[:1]).words == {"brightwork": Word("brightwork", "handrail", "piece")}
        assert state_of(events).words["brightwork"].means == "fiddle rail"
        assert state_of(numbered(*events, Undo(of=(2,)))).words["brightwork"].means == "handrail"
        assert state_of(numbered(*events, Undo(of=(1, 2)))).words == {}

    def test_it_is_public_as_any_thing_made_known(self) -> None:
        data = to_json(self.BRIGHTWORK)
        assert (data["what"], data["name"], data["means"], data["of"]) == ("word", "brightwork", "handrail", "piece")

    @pytest.mark.parametrize(
        "values", [{}, {"means": "x"}, {"means": " ", "of": "piece"}, {"means": "x", "of": "boat"}]
    )
    def test_a_word_that_says_nothing_is_refused(self, tmp_path: Path, values: dict) -> None:
        with Journal.open(tmp_path / "a.sqlite") as journal, pytest.raises(Problem, match="the word 'goo' must"):
            journal.append([Set(at=NOON, said_at=NOON, what="word", name="goo", values=values)])


class TestHours:
    def test_a_rule_for_once_is_told_from_a_daily_one_in_the_file_as_well(self) -> None:
        for rule, usual in (("sleep", "daily"), ("quiet", "daily"), ("away", None), ("helper", None)):
            assert Hours(rule=rule).repeat == usual
            for repeat in ("daily", None):
                told = Hours(id=3, rule=rule, start=NOON, end=at(60), repeat=repeat)
                assert encode(told, 3)[1] == told

    def test_naps_do_not_push_out_the_night(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(state_module, "KEEP_HOURS", 3)
        night = Hours(rule="sleep", start=NOON, end=at(480))
        naps = [Hours(rule="sleep", start=at(n), end=at(n + 20), repeat=None) for n in range(9)]
        assert fold([night, *naps]).hours["sleep"] == (night, *naps[-3:])

    def test_deadlines_of_pieces_and_closed_spaces_are_kept_apart(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr(state_module, "KEEP_HOURS", 1)
        whole = Hours(rule="deadline", end=at(600))
        mine = [Hours(rule="deadline", end=at(n), piece="hatch trim") for n in (60, 120)]
        assert fold([whole, *mine]).hours["deadline"] == (whole, mine[1])


class TestParts:
    def test_a_number_on_both_halves_is_one_coat_of_the_piece(self) -> None:
        halves = [replace(coat(n, number=2), part=part) for n, part in enumerate(("top half", "bottom half"))]
        assert fold([coat(-60), *halves]).coats == {"hatch trim": {"amber varnish": 2}}

    def test_stripping_a_part_leaves_the_count_of_the_rest(self) -> None:
        strip = Strip(piece="hatch trim", at=at(5), part="top half")
        assert fold([coat(0, number=3), strip]).coats == {"hatch trim": {"amber varnish": 3}}
        assert fold([coat(0, number=3), replace(strip, part=None)]).coats == {}


@given(st.lists(ordinary, max_size=12))
def test_a_checkpoint_carries_every_kind_and_key(events: list[Event]) -> None:
    """A state dumped and loaded is the same, whatever was said."""
    state = fold(numbered(*events))
    again = checkpoint.load(checkpoint.dump(state))
    again.recent, again.last_id = state.recent, state.last_id
    assert again == state
    for event in numbered(*events):
        assert from_json(json.loads(json.dumps(to_json(event)))) == event


@given(journals())
def test_an_event_is_never_before_its_start_nor_outside_its_window(events: list[Event]) -> None:
    """However often it is corrected, what stands has its time in its window and its start before its end."""
    state = state_of(events)
    for work in state.work.values():
        for event in work:
            assert event.soonest <= event.at <= event.latest
            assert event.began is None or event.began <= event.latest


def test_a_coat_is_made_by_keyword_as_others_make_it() -> None:
    window: tuple[datetime, datetime] = (NOON - timedelta(hours=1), NOON + timedelta(hours=1))
    made = Coat(
        piece="hatch trim", coat=2, product="amber varnish", thinned=None, part="top half", at=NOON, said_at=at(90),
        between=window, began=None,
    )  # fmt: skip
    assert (made.soonest, made.latest) == window
