"""Jobs and cards for the tests of the plan: small ones by hand, large ones by seed."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from assistant.journal.events import Climate, Event, Set
from assistant.journal.state import State, fold
from assistant.library.cards import Card, Law, Rate, Row
from assistant.quantity import celsius

LONDON = ZoneInfo("Europe/London")
DOUBLING = Rate("doubling", step=10.0)
NOW = datetime(2026, 3, 14, 8, 0, tzinfo=LONDON)


def t(text: str) -> datetime:
    """ "14 20:15" is 20:15 on 14 March 2026 in the job's zone."""
    day, clock = text.split()
    whole = day if "-" in day else f"2026-03-{int(day):02d}"
    return datetime.fromisoformat(f"{whole} {clock}").replace(tzinfo=LONDON)


def law(*rows: tuple[float, float]) -> Law:
    return Law(tuple(Row(c, h) for c, h in rows), DOUBLING, "the label", from_label=True)


def film(name: str, kind: str, over: float, *, most: float | None = None, **more: Any) -> Card:
    """A material that is sandable and ready for the next coat ``over`` hours after, at 20 degC."""
    return Card(
        name=name, family=name, kind=kind, title=name, generic=more.pop("generic", "alkyd"),
        stages={
            "touch": law((20, over / 6)), "dust": law((20, over / 3)), "sand": law((20, over)),
            "overcoat": law((20, over)), "handle": law((20, over * 3)), "cured": law((20, 168)),
        },
        overcoat_max=law((20, most)) if most else None, **more,
    )  # fmt: skip


VARNISH = film("amber varnish", "varnish", 6.0, most=72.0, spread=12.0, hazards=("organic-vapour",))
SLOW = film("slow varnish", "varnish", 16.0, most=96.0, spread=12.0, hazards=("organic-vapour",))
UNDERCOAT = film("grey undercoat", "undercoat", 14.0, most=168.0, spread=11.0, hazards=("organic-vapour",))
GLOSS = film("white gloss", "topcoat", 16.0, most=96.0, spread=12.0)
PRIMER = film("primer", "primer", 8.0, most=168.0, spread=10.0)
CARDS = (VARNISH, SLOW, UNDERCOAT, GLOSS, PRIMER)


def shelf(*cards: Card) -> Callable[[str], Card | None]:
    return {card.name: card for card in (cards or CARDS)}.get


def job(
    pieces: dict[str, tuple[str, float]], tasks: Iterable[dict[str, Any]], *events: Event,
    spaces: dict[str, float] | None = None, cards: Iterable[Card] = CARDS, **head: Any,
) -> State:  # fmt: skip
    """A job: ``pieces`` as name -> (space, m2), ``tasks`` as tables of the job file."""
    sets = [Set(what="job", name="linnet", values=head)]
    for name, degrees in (spaces or {"fore cabin": 20.0, "galley": 20.0}).items():
        sets.append(Set(what="space", name=name, values={"temperature": f"{degrees} degC"}))
    sets += [Set(what="label", name=card.name, values={}) for card in cards]
    for name, (space, area) in pieces.items():
        values: dict[str, Any] = {"area": f"{area} m2", **({"space": space} if space else {})}
        sets.append(Set(what="piece", name=name, values=values))
    for table in tasks:
        name = table.get("name") or f"{table['do']} {table.get('piece', '')}".strip()
        sets.append(Set(what="task", name=name, values={k: v for k, v in table.items() if k != "name"}))
    return fold([*sets, *events])


def week(steps: int, days: int, seed: int = 1) -> State:
    """A job of about ``steps`` steps that fills ``days`` days, warm by day and cool by night."""
    chance = random.Random(seed)
    spaces = {"fore cabin": 17.0, "galley": 18.0, "engine room": 14.0}
    pieces: dict[str, tuple[str, float]] = {}
    tasks: list[dict[str, Any]] = []
    count = 0
    while count < steps:
        name = f"piece {len(pieces) + 1}"
        kind = chance.choice(("varnish", "varnish", "undercoat", "topcoat"))
        label = {"varnish": VARNISH, "undercoat": UNDERCOAT, "topcoat": GLOSS}[kind].name
        most = min((steps - count + 1) // 2, 6 if days > 7 else 4)
        coats = max(min(chance.randint(3, 6 if days > 7 else 4), most), 1)
        pieces[name] = (chance.choice(list(spaces)), round(chance.uniform(0.3, 2.5), 1))
        tasks.append({"do": kind, "piece": name, "coats": coats, "label": label})
        count += 2 * coats - 1
    nights = [
        Climate(
            space=space, at=NOW + timedelta(days=d, hours=12), temperature=celsius(degrees - 5),
            until=NOW + timedelta(days=d, hours=23),
        )
        for d in range(days + 7)
        for space, degrees in spaces.items()
    ]  # fmt: skip
    return job(
        pieces, tasks, *nights, spaces=spaces, sleep=["23:00", "07:00"], quiet=["20:00", "08:00"],
        deadline=(NOW + timedelta(days=days)).isoformat(),
    )  # fmt: skip
