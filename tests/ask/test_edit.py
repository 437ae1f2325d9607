"""Follow-ups: a fragment replaces the slot of its own type and leaves the others."""

from __future__ import annotations

from datetime import timedelta

from ask.build import asking, later
from assistant.ask.edit import edit
from assistant.ask.evaluate import evaluate
from assistant.language.meanings import Act
from assistant.language.query import (
    At,
    By,
    Fragment,
    Property,
    Query,
    Shape,
    Stage,
    Subject,
    Suppose,
    Unknown,
)
from assistant.quantity import celsius, ml, percent

P, S = Property, Shape
BASE = Query(P.READY, S.WHETHER, Subject(pieces=("hatch trim",)), At(later(hours=4)), Stage.SAND)
MIX = Query(P.MIX, S.HOW_MUCH, Subject(products=("tread epoxy",)), amount=ml(90.0), part="resin")


def test_another_piece() -> None:
    """ "The bulkhead?": the same question of another piece."""
    new = edit(BASE, Fragment(subject=Subject(pieces=("bulkhead",))))
    assert new.subject.pieces == ("bulkhead",)
    assert (new.what, new.shape, new.time, new.stage) == (BASE.what, BASE.shape, BASE.time, BASE.stage)


def test_another_time() -> None:
    """ "Tomorrow?", "and an hour later?"."""
    assert edit(BASE, Fragment(time=By(later(hours=20)))).time == By(later(hours=20))
    assert edit(BASE, Fragment(later=timedelta(hours=1))).time == At(later(hours=5))


def test_a_condition_joins_those_there_are() -> None:
    """ "At eighteen degrees?", then "and in damp air?": both hold; another temperature takes the first one's place."""
    warm = edit(BASE, Fragment(suppose=Suppose(temperature=celsius(18.0))))
    damp = edit(warm, Fragment(suppose=Suppose(humidity=percent(90.0))))
    assert damp.suppose == Suppose(temperature=celsius(18.0), humidity=percent(90.0))
    assert edit(warm, Fragment(suppose=Suppose(warmer=-3.0))).suppose == Suppose(warmer=-3.0)


def test_another_stage() -> None:
    """ "And touch?"; after a question that has no stage it is asked of the film."""
    assert edit(BASE, Fragment(stage=Stage.TOUCH)).stage is Stage.TOUCH
    tape = Query(P.TAPE, S.WHETHER, BASE.subject, act=Act.UNMASK)
    assert edit(tape, Fragment(stage=Stage.TOUCH)).what is P.READY


def test_how_long_then() -> None:
    """ "How long then": the shape is another."""
    new = edit(BASE, Fragment(shape=S.HOW_LONG))
    assert new.shape is S.HOW_LONG
    assert evaluate(new, asking()).outcome == "answered"


def test_mix_continuations() -> None:
    """ "By weight?", "for double that", "and of hardener?", "at three to one?"."""
    weighed = evaluate(edit(MIX, Fragment(by_weight=True)), asking()).to_json()
    assert weighed is not None
    assert {p["amount"]["unit"] for p in weighed["parts"]} == {"g"}
    assert edit(MIX, Fragment(times=2.0)).amount == ml(180.0)
    hardener = evaluate(edit(MIX, Fragment(part="hardener")), asking()).to_json()
    assert hardener is not None
    assert [p["amount"]["value"] for p in hardener["parts"]] == [180.0, 90.0]
    other = evaluate(edit(MIX, Fragment(suppose=Suppose(ratio=(3.0, 1.0)))), asking()).to_json()
    assert other is not None
    assert other["ratio"] == [3.0, 1.0]


def test_a_place_takes_the_place_of_a_piece() -> None:
    """ "And in the galley?" is not of the hatch trim in the galley."""
    new = edit(BASE, Fragment(subject=Subject(spaces=("galley",))))
    assert new.subject == Subject(spaces=("galley",))


def test_from_when_to_how_warm_and_back() -> None:
    """ "How warm must it be?", then "and at eighteen?"."""
    warm = edit(BASE, Fragment(unknown=Unknown.TEMPERATURE))
    assert warm.shape is S.NEEDED
    back = edit(warm, Fragment(suppose=Suppose(temperature=celsius(18.0))))
    assert back.shape is S.WHETHER
    assert back.unknown is None


def test_a_property_that_has_not_the_shape_is_asked_in_its_own() -> None:
    """ "And the mix?" after "which is first": nothing is asked that cannot be answered."""
    first = Query(P.READY, S.FIRST, stage=Stage.TOUCH)
    assert edit(first, Fragment(what=P.MIX)).shape is S.HOW_MUCH


def test_editing_changes_neither() -> None:
    """A query is a value."""
    before = (BASE, MIX)
    edit(BASE, Fragment(stage=Stage.TOUCH))
    edit(MIX, Fragment(times=3.0))
    assert before == (BASE, MIX)
