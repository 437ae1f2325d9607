"""The fold of events into the job as it stands."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from journal_samples import PIECES, at, coat, journals, note, reading

from assistant.journal import checkpoint
from assistant.journal import state as state_module
from assistant.journal.events import (
    Amend,
    Climate,
    Event,
    Gear,
    Set,
    Strip,
    Task,
    Tin,
    Undo,
)
from assistant.journal.state import State, apply, effective, entries, extend, fold, pruned, state_of
from assistant.quantity import ml


def numbered(*events: Event) -> list[Event]:
    return [replace(e, id=n) for n, e in enumerate(events, 1)]


def alive_by_definition(events: list[Event]) -> set[int]:
    """What stands, read straight off the rule: an event is undone if a standing undo names it."""

    @cache
    def stands(number: int) -> bool:
        return not any(isinstance(u, Undo) and number in u.of and stands(u.id) for u in events)

    return {e.id for e in events if stands(e.id)}


@given(journals())
def test_what_stands_follows_the_rule_of_undoing(events: list[Event]) -> None:
    """An event stands unless an undo that stands names it, however deep undos of undos go."""
    standing = {e.id for e in effective(events)}
    kinds = {e.id for e in events if not isinstance(e, Undo | Amend)}
    assert standing == alive_by_definition(events) & kinds


def moment_of(changes: dict) -> datetime | None:
    """The time that changes set: said, or the middle of the window said."""
    if changes.get("at"):
        return datetime.fromisoformat(changes["at"])
    if changes.get("between"):
        start, end = (datetime.fromisoformat(text).timestamp() for text in changes["between"])
        return datetime.fromtimestamp((start + end) / 2, UTC)
    return None


@given(journals())
def test_only_amends_that_stand_count_the_last_one_most(events: list[Event]) -> None:
    """The time of an event is that of the last standing amend of it, or the one it was told with."""
    alive = alive_by_definition(events)
    for entry in entries(events):
        amends = [e for e in events if isinstance(e, Amend) and e.of == entry.event.id and e.id in alive]
        times = [m for a in amends if (m := moment_of(a.changes))]
        told = next(e for e in events if e.id == entry.event.id)
        assert entry.event.at == (times[-1] if times else told.at)
        windows = [a.changes.get("between") for a in amends if {"at", "between"} & a.changes.keys()]
        window = windows[-1] if windows else told.between and [t.isoformat() for t in told.between]
        assert entry.event.between == (window and tuple(map(datetime.fromisoformat, window)))
        assert entry.corrected == bool(amends)


def test_undoing_an_undo_brings_the_event_back() -> None:
    """Coat, scratch that, no leave it: the coat stands."""
    events = numbered(coat(), Undo(of=(1,)), Undo(of=(2,)))
    assert [e.id for e in effective(events)] == [1]


def test_an_amend_of_something_undone_waits_for_it_to_come_back() -> None:
    """An amend made while its event was undone shows once the undo is undone."""
    events = numbered(coat(), Undo(of=(1,)), Amend(of=1, changes={"coat": 4}))
    assert effective(events) == []
    back = [*events, Undo(of=(2,), id=4)]
    assert [e.coat for e in effective(back)] == [4]


@given(journals(), st.data())
def test_folding_in_steps_gives_the_same_as_at_once(events: list[Event], data: st.DataObject) -> None:
    """However the events are cut into batches, and through a checkpoint at any cut, the state is one."""
    standing = effective(events)
    whole = fold(standing)
    stepped = State()
    while standing:
        cut = data.draw(st.integers(1, len(standing)))
        extend(stepped, standing[:cut])
        standing = standing[cut:]
        if data.draw(st.booleans()):
            kept = checkpoint.load(checkpoint.dump(stepped))
            kept.recent, kept.last_id = stepped.recent, stepped.last_id
            stepped = kept.copy() if data.draw(st.booleans()) else kept
    assert stepped == whole
    assert whole == stepped


@given(journals())
def test_a_state_comes_back_from_a_checkpoint_as_it_was(events: list[Event]) -> None:
    """A state read from its checkpoint is the same in every part, and is written the same again."""
    whole = fold(effective(events))
    dumped = checkpoint.dump(whole)
    again = checkpoint.load(dumped)
    again.recent, again.last_id = whole.recent, whole.last_id
    assert checkpoint.dump(again) == dumped
    assert again == whole
    assert checkpoint.dump(again) == dumped


def test_a_stripped_piece_counts_its_coats_from_the_start() -> None:
    """After a piece is stripped its coats count from nothing, those of other pieces do not."""
    before = [coat(0, number=3), coat(1, "cratch board", 2)]
    state = fold(numbered(*before, Strip(at=at(5), piece="hatch trim")))
    assert state.coats == {"cratch board": {"amber varnish": 2}}
    apply(state, coat(9, number=1))
    assert state.coats["hatch trim"] == {"amber varnish": 1}


def test_a_strip_told_late_leaves_the_coats_laid_since() -> None:
    """A strip counts from when it happened: a coat laid after it stays counted, one before it is not."""
    state = fold(numbered(coat(0, number=4), coat(20, number=1), Strip(at=at(10), piece="hatch trim")))
    assert state.coats["hatch trim"] == {"amber varnish": 1}
    apply(state, coat(5, number=5))  # told late too: it came off with the rest
    assert state.coats["hatch trim"] == {"amber varnish": 1}


def test_a_coat_told_too_late_to_be_kept_does_not_count(monkeypatch: pytest.MonkeyPatch) -> None:
    """A coat older than all the work that is kept may have come off since: it is not counted."""
    monkeypatch.setattr(state_module, "KEEP_WORK", 3)
    laid = [coat(m, number=n) for n, m in enumerate((10, 20, 30), 1)]
    state = fold(numbered(Strip(at=at(0), piece="hatch trim"), *laid, coat(-10, number=9)))
    assert state.coats["hatch trim"] == {"amber varnish": 3}
    assert [e.at for e in state.work["hatch trim"]] == [at(10), at(20), at(30)]


def test_work_lies_in_the_order_in_which_it_happened() -> None:
    """Work told late stands where it happened, among work of the same minute after it."""
    state = fold(numbered(coat(30, number=2), coat(0, number=1), coat(30, number=3)))
    assert [e.coat for e in state.work["hatch trim"]] == [1, 2, 3]


def test_a_loggers_readings_of_one_space_do_not_push_out_anothers(monkeypatch: pytest.MonkeyPatch) -> None:
    """The readings kept are counted for each space: a busy logger leaves the other spaces their last."""
    monkeypatch.setattr(state_module, "KEEP_CLIMATE", 3)
    events: list[Climate] = [reading(0, 9, "galley"), *[reading(m, 10, "fore cabin") for m in range(1, 9)]]
    at_once, singly = fold(events), State()
    for e in events:
        apply(singly, e)
    assert at_once.climate == singly.climate
    assert [(c.space, c.at) for c in at_once.climate] == [
        ("galley", at(0)), ("fore cabin", at(6)), ("fore cabin", at(7)), ("fore cabin", at(8)),
    ]  # fmt: skip


def test_stock_keeps_the_last_tins_and_the_sums_of_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Old tin events fall off, but what was bought and used of a product stays added up."""
    monkeypatch.setattr(state_module, "KEEP_STOCK", 2)
    tin = Tin(at=at(0), product="amber varnish", change="used", amount=ml(80.0))
    state = fold([Tin(at=at(0), product="amber varnish", change="bought", amount=ml(750.0)), tin, tin, tin])
    assert state.stock == (tin, tin)
    assert state.totals == {"amber varnish": {"bought": {"times": 1, "ml": 750}, "used": {"times": 3, "ml": 240}}}


def test_closed_tasks_fall_off_and_open_ones_do_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the tasks done only the last are kept, of the open ones all, each in its latest state."""
    monkeypatch.setattr(state_module, "KEEP_CLOSED", 1)
    said = [("sweep", "open"), ("order tape", "done"), ("hang the doors", "open"), ("hang the doors", "done")]
    state = fold([Task(at=at(0), text=text, state=condition) for text, condition in said])
    assert [(t.text, t.state) for t in state.tasks] == [("sweep", "open"), ("hang the doors", "done")]


def test_the_last_change_of_gear_is_the_last_that_happened() -> None:
    """A change of filters told late does not cover a later one."""
    late = Gear(at=at(0), item="mask filters")
    state = fold([Gear(at=at(60), item="mask filters"), late])
    assert state.gear["mask filters"].at == at(60)


def test_a_thing_told_twice_keeps_what_was_not_told_again() -> None:
    """A second word about a piece adds to what is known of it."""
    state = fold(
        [
            Set(what="piece", name="hatch trim", values={"space": "galley", "also": ["hatch rail"]}),
            Set(what="piece", name="hatch trim", values={"space": "fore cabin"}),
            Set(what="job", name="linnet", values={"timezone": "Europe/London"}),
            Set(what="setting", name="fluid ounce", values={"value": "imperial"}),
        ]
    )
    assert state.pieces["hatch trim"].also == ("hatch rail",)
    assert state.space_of("hatch trim") == "fore cabin"
    assert state.job == {"name": "linnet", "timezone": "Europe/London", "fluid ounce": "imperial"}


def test_the_state_does_not_grow_with_the_journal() -> None:
    """Ten times the events, and the state is no longer (what is made known apart)."""

    def size(number: int) -> int:
        events = [e for i in range(number) for e in (coat(i, PIECES[i % 3]), reading(i), note("x", i))]
        return sum(map(len, checkpoint.dump(fold(numbered(*events))).values()))

    assert size(30_000) < 1.01 * size(3_000)


def test_a_copy_is_another_state() -> None:
    """What happens to a copy, folded up or not, does not happen to the state it was made from."""
    state = fold(numbered(coat(0), reading(1)))
    for original in (state, checkpoint.load(checkpoint.dump(state))):
        copy = original.copy()
        extend(copy, [coat(5, "cratch board"), reading(9), coat(6, number=2)])
        copy.climate = ()
        assert (original.climate, original.work) == (state.climate, state.work)
        assert original.coats == {"hatch trim": {"amber varnish": 1}}


def test_a_shelf_still_folded_up_can_be_written_to() -> None:
    """What a what-if puts into a state read from a checkpoint is not covered by what was kept."""
    state = checkpoint.load(checkpoint.dump(fold(numbered(coat(0), reading(1)))))
    state.climate = (reading(5),)
    apply(state, reading(6))
    assert [c.at for c in state.climate] == [at(5), at(6)]


def test_a_name_that_is_not_the_states_is_an_error() -> None:
    """Asking a state for what it has not raises AttributeError, be it folded up or not."""
    for state in (State(), checkpoint.load(checkpoint.dump(State()))):
        with pytest.raises(AttributeError):
            _ = state.climates  # type: ignore[attr-defined]


def test_pruning_drops_old_climate_and_keeps_one() -> None:
    """A pruned state has no climate older than asked for, but never none where there was some."""
    state = checkpoint.load(checkpoint.dump(fold(numbered(reading(0), reading(1440)))))
    assert [c.at for c in pruned(state, at(2000), days=1).climate] == [at(1440)]
    assert [c.at for c in pruned(state, at(99_000), days=1).climate] == [at(1440)]
    assert len(state.climate) == 2


@given(journals())
def test_the_state_of_a_journal_knows_its_last_events(events: list[Event]) -> None:
    """Recent events are those committed last, corrections among them, and what of them stands can be told."""
    state = state_of(events)
    assert state.recent == tuple(events[-40:])
    assert state.last_id == len(events)
