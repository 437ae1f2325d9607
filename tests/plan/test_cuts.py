"""What the solver is told beyond the net itself leaves the best finish where it is, whatever the job."""

from __future__ import annotations

import random
from datetime import timedelta
from typing import Any

import pytest

from assistant.craft.plan import cuts
from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.tasks import Options
from assistant.craft.plan.week import lay, plan
from assistant.journal.events import Climate
from assistant.journal.state import State
from assistant.quantity import celsius
from plan.build import NOW, film, job, shelf

pytest.importorskip("ortools")

SPACES = ("fore cabin", "galley")


def alike(seed: int) -> tuple[State, Any]:
    """A job of four pieces, some alike, with windows that can shut before the next coat."""
    chance = random.Random(seed)
    cards = [
        film("quick", "varnish", chance.choice((2.5, 4.0)), most=chance.choice((None, 6.0, 8.0)), spread=12.0),
        film("slow", "undercoat", chance.choice((8.0, 12.0)), most=chance.choice((None, 13.0, 16.0)), spread=12.0),
    ]
    pieces, tasks = {}, []
    for number in range(4):
        card = chance.choice(cards)
        name = f"piece {number}"
        pieces[name] = (chance.choice(SPACES), chance.choice((0.5, 1.5)))
        tasks.append({"do": card.kind, "piece": name, "coats": chance.choice((1, 2, 2, 3)), "label": card.name})
    nights = [
        Climate(space=space, at=NOW + timedelta(days=d, hours=12), temperature=celsius(9),
                until=NOW + timedelta(days=d + 1))
        for d in range(6) for space in SPACES
    ]  # fmt: skip
    return job(pieces, tasks, *nights, cards=cards, sleep=["22:00", "07:00"], quiet=["19:00", "09:00"]), shelf(*cards)


@pytest.mark.parametrize("seed", [2, 3, 4, 13, 23, 28, 29, 31, 48, 53, 55, 57])  # the first plan is not the best there
def test_the_best_finish_is_the_same_without(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    state, cards = alike(seed)
    told = plan(state, cards, NOW, limit_s=60.0)
    monkeypatch.setattr(cuts, "twins", lambda *_: [])
    monkeypatch.setattr(cuts, "days", lambda *_: None)
    monkeypatch.setattr(cuts, "orders", lambda *_: None)
    plain = plan(state, cards, NOW, limit_s=60.0)
    assert told.optimal and plain.optimal
    assert told.finish == plain.finish


def net_of(*areas: float, coats: int = 2, **task: Any) -> Layer:
    card = film("varnish", "varnish", 5.0, spread=12.0)
    pieces = {f"piece {k}": ("galley", area) for k, area in enumerate(areas)}
    tasks = [{"do": "varnish", "piece": name, "coats": coats, "label": "varnish"} for name in pieces]
    tasks[0] |= task
    return lay(job(pieces, tasks, cards=[card]), shelf(card), NOW, Options()).layer


def test_pieces_alike_are_found() -> None:
    assert [len(t.chains) for t in cuts.twins(net_of(1.0, 1.0, 1.0).net, set())] == [3]


def test_a_piece_that_takes_longer_is_not_alike() -> None:
    assert [len(t.chains) for t in cuts.twins(net_of(1.0, 4.0, 1.0).net, set())] == [2]


def test_a_piece_that_waits_for_the_other_is_not_alike() -> None:
    assert cuts.twins(net_of(1.0, 1.0, after=["varnish piece 1"]).net, set()) == []


def test_what_can_come_late_trades_places_as_a_whole() -> None:
    found = cuts.twins(net_of(1.0, 1.0).net, {2})
    assert [t.whole for t in found] == [False]
    plain = cuts.twins(net_of(1.0, 1.0).net, set())
    assert [t.whole for t in plain] == [True]


def test_a_sorted_plan_is_still_a_plan() -> None:
    layer = net_of(1.0, 1.0, 1.0)
    turned = layer.lay([float(-i) for i in range(len(layer.net.nodes))])  # the last piece first
    found = cuts.sorted_hint(cuts.twins(layer.net, set()), turned)
    assert found.start != turned.start
    assert sorted(found.start) == sorted(turned.start)
    assert layer.fits(Layout(found.start, found.late, found.slots))
