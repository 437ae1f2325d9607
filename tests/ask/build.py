"""A job of three days on the Linnet, put in the journal event by event, and the talk that asks of it."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from assistant.journal.events import Bond, Clean, Climate, Coat, Event, Fill, Mix, Sand, Tin
from assistant.journal.state import State
from assistant.journal.store import Journal
from assistant.library import Library
from assistant.library.cards import Card
from assistant.library.jobfile import read_job
from assistant.problem import Problem
from assistant.quantity import celsius, grams, ml, percent

LONDON = ZoneInfo("Europe/London")
JOB = Path(__file__).parents[2] / "examples" / "linnet.toml"


def t(text: str) -> datetime:
    """A time in the job's zone: "2026-03-18 14:00"."""
    return datetime.fromisoformat(text).replace(tzinfo=LONDON)


NOW = t("2026-03-18 14:00")


@dataclass
class Asking:
    """What the evaluator wants of a talk, and nothing more."""

    now: datetime
    journal: Journal
    memory: dict[str, Any] = field(default_factory=dict)
    known: dict[str, Card | None] = field(default_factory=dict)

    @property
    def state(self) -> State:
        """The job as it stands."""
        return self.journal.state

    @property
    def cards(self) -> Callable[[str], Card | None]:
        """The card of a product, or None."""
        library = Library(self.state.labels)

        def card(product: str) -> Card | None:
            if product not in self.known:
                try:
                    self.known[product] = library.card(product)
                except Problem:
                    self.known[product] = None
            return self.known[product]

        return card


def told() -> list[Event]:
    """What was told: films of every age, in three spaces, one of them with a cold night to come."""

    def at(text: str) -> dict[str, Any]:
        return {"at": t(text), "said_at": t(text)}

    varnish, primer, under, epoxy = "amber varnish", "grey primer", "white undercoat", "tread epoxy"
    return [
        Climate(space="fore cabin", temperature=celsius(16.0), humidity=percent(60.0), **at("2026-03-16 08:00")),
        Climate(space="galley", temperature=celsius(18.0), humidity=percent(88.0), **at("2026-03-16 08:00")),
        Sand(piece="bulkhead", grit=120, **at("2026-03-16 09:00")),
        Coat(piece="bulkhead", coat=1, product=primer, **at("2026-03-16 10:00")),
        Sand(piece="bulkhead", grit=180, **at("2026-03-17 09:30")),
        Clean(piece="bulkhead", **at("2026-03-17 09:45")),
        Coat(piece="bulkhead", coat=1, product=under, **at("2026-03-17 10:30")),
        Coat(piece="galley shelf", coat=1, product="clear sealer", **at("2026-03-15 08:00")),
        Sand(piece="galley shelf", grit=180, **at("2026-03-18 07:45")),
        Clean(piece="galley shelf", **at("2026-03-18 08:00")),
        Coat(piece="hatch trim", coat=1, product=varnish, thinned=percent(10.0), **at("2026-03-17 12:00")),
        Sand(piece="hatch trim", grit=240, **at("2026-03-18 08:20")),
        Coat(piece="hatch trim", coat=2, product=varnish, **at("2026-03-18 09:00")),
        Coat(piece="companionway trim", coat=1, product=varnish, **at("2026-03-18 12:40")),
        Fill(piece="cratch board", product="fairing filler", **at("2026-03-18 07:30")),
        Mix(
            product=epoxy, amount=ml(90.0), parts=(("resin", ml(60.0)), ("hardener", ml(30.0))),
            **at("2026-03-18 13:45"),
        ),
        Bond(piece="step treads", product=epoxy, **at("2026-03-18 13:50")),
        Coat(piece="port cabin door", coat=1, product=primer, **at("2026-03-18 13:20")),
        Tin(product=varnish, change="bought", amount=ml(750.0), **at("2026-03-16 12:00")),
        Mix(product=epoxy, amount=grams(110.0), **at("2026-03-16 15:00")),
        Climate(
            space="fore cabin", temperature=celsius(9.0), until=t("2026-03-19 07:00"), at=t("2026-03-18 22:00"),
            said_at=t("2026-03-18 13:00"),
        ),
    ]  # fmt: skip


_KEPT = tempfile.TemporaryDirectory(prefix="dabhand-ask-")  # goes when the tests end


@cache
def asking() -> Asking:
    """The talk, at two on Wednesday; made once, for a question writes nothing."""
    journal = Journal.open(Path(_KEPT.name) / "linnet.sqlite")
    journal.append(read_job(JOB, said_at=t("2026-03-14 08:00"), state=journal.state))
    for event in told():
        journal.append([event])
    return Asking(NOW, journal)


def later(**span: float) -> datetime:
    """A moment after now."""
    return NOW + timedelta(**span)
