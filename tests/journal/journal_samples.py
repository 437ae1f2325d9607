"""Events of the Linnet's fit-out for the tests of the journal, by hand and at random."""

from __future__ import annotations

import os
import pickle
import signal
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from hypothesis import strategies as st

from assistant.journal import events as ev
from assistant.quantity import UNITS, Amount, celsius, percent

#: Where a journal that is not meant to last need not wait for the disk.
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)

PIECES = ("hatch trim", "cratch board", "cabin doors")
SPACES = ("fore cabin", "galley", None)


def at(minutes: float) -> datetime:
    """A time so many minutes after noon."""
    return NOON + timedelta(minutes=minutes)


def coat(minutes: float = 0, piece: str = "hatch trim", number: int = 1, product: str | None = "amber varnish"):
    """A coat, said when it was laid."""
    return ev.Coat(at=at(minutes), said_at=at(minutes), piece=piece, coat=number, product=product)


def note(text: str, minutes: float = 0) -> ev.Note:
    """A note."""
    return ev.Note(at=at(minutes), said_at=at(minutes), text=text)


def reading(minutes: float, degrees: float = 14.0, space: str | None = "fore cabin") -> ev.Climate:
    """A reading."""
    return ev.Climate(
        at=at(minutes), said_at=at(minutes), space=space, temperature=celsius(degrees), humidity=percent(60.0)
    )


def long_journal(number: int) -> list[ev.Event]:
    """So many events of every-day kinds, three minutes apart, half of them readings."""
    out: list[ev.Event] = []
    for i in range(number):
        piece, when = PIECES[i % 3], at(3 * i)
        out.append(
            reading(3 * i, 10 + i % 9, SPACES[i % 3])
            if i % 2
            else (
                coat(3 * i, piece, i % 5 + 1),
                ev.Sand(at=when, said_at=when, piece=piece, grit=240),
                ev.Mix(at=when, said_at=when, product="tread epoxy", amount=Amount(60.0, "ml")),
                ev.Tin(at=when, said_at=when, product="amber varnish", change="used", amount=Amount(80.0, "ml")),
                note("a run in the undercoat", 3 * i),
            )[i // 2 % 5]
        )
    return out


# -- at random ---------------------------------------------------------------------------------------

_offsets = st.sampled_from([timezone(timedelta(minutes=m)) for m in (-570, 0, 60, 345)])
times = st.datetimes(datetime(2026, 3, 1), datetime(2026, 3, 20), timezones=_offsets)
# Few minutes, so that many happen at once or out of order.
near = st.sampled_from([at(minutes) for minutes in range(31)])
text = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
_json = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**60), 2**60) | st.floats(allow_nan=False, allow_infinity=False) | text,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(text, inner, max_size=3),
    max_leaves=5,
)
_OWN = {"id", "kind", "at", "said_at", "between", "began", "what", "name"}
tables = st.dictionaries(text.filter(lambda k: k not in _OWN), _json, max_size=3)
amounts = st.builds(Amount, st.floats(allow_nan=False, allow_infinity=False), st.sampled_from(UNITS))
pieces = st.sampled_from(PIECES)
PARTS = ("top half", "bottom half", "port end")
parts = st.sampled_from([None, None, *PARTS])


def maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | strategy


@st.composite
def said(draw: st.DrawFn, cls: type[ev.Event], **values: st.SearchStrategy[Any]) -> ev.Event:
    """An event at some time, one in three at a vague one, one in three with when it began."""
    when = draw(near)
    window = draw(st.sampled_from([None, None, (0, 0), (5, 5), (90, 30), (0, 7)]))
    began = draw(st.sampled_from([None, None, 0, 40]))
    return cls(
        at=when, said_at=draw(times),
        between=None if window is None else (when - timedelta(minutes=window[0]), when + timedelta(minutes=window[1])),
        began=None if began is None else when - timedelta(minutes=began),
        **{name: draw(strategy) for name, strategy in values.items()},
    )  # fmt: skip


products = st.sampled_from(["amber varnish", "grey primer"])
words = st.fixed_dictionaries({"means": st.sampled_from(PIECES), "of": st.sampled_from(ev.WORD_KINDS)})
ordinary: st.SearchStrategy[ev.Event] = st.one_of(
    said(ev.Coat, piece=pieces, coat=st.integers(1, 9), product=maybe(products), thinned=maybe(amounts),
         part=parts),
    said(ev.Strip, piece=pieces, product=maybe(products), part=parts),
    said(ev.Sand, piece=pieces, grit=maybe(st.integers(40, 600)), part=parts),
    *[
        said(cls, piece=pieces, product=maybe(products), part=parts)
        for cls in (ev.Fill, ev.Clean, ev.Mask, ev.Unmask, ev.Bond, ev.Fit)
    ],
    said(
        ev.Mix, product=maybe(products), amount=maybe(amounts),
        ratio=maybe(st.tuples(st.floats(1, 9), st.floats(1, 9))),
        parts=maybe(st.lists(st.tuples(text, amounts), max_size=2).map(tuple)),
    ),
    said(
        ev.Climate, space=st.sampled_from(SPACES), temperature=maybe(amounts), humidity=maybe(amounts),
        until=maybe(times),
    ),
    said(ev.Fault, piece=maybe(pieces), fault=st.sampled_from(ev.FAULTS), text=text),
    said(ev.Tin, product=maybe(products), change=st.sampled_from(ev.TIN_CHANGES), amount=maybe(amounts)),
    said(
        ev.Task, text=st.sampled_from(["hang the doors", "order tape", "sweep"]), piece=maybe(pieces),
        state=st.sampled_from(ev.TASK_STATES), after=maybe(text), not_before=maybe(times), due=maybe(times),
        ring=maybe(times),
    ),
    said(ev.Note, text=text),
    said(ev.Unread, text=text),
    said(
        ev.Hours, rule=st.sampled_from(ev.RULES), start=maybe(times), end=maybe(times), space=st.sampled_from(SPACES),
        piece=maybe(pieces), repeat=st.sampled_from([None, "daily"]),
    ),
    said(ev.Gear, item=st.sampled_from(["mask filters", "roller"]), change=st.sampled_from(ev.GEAR_CHANGES)),
    said(ev.Set, what=st.sampled_from([t for t in ev.THINGS if t != "word"]), name=products, values=tables),
    said(ev.Set, what=st.just("word"), name=st.sampled_from(["brightwork", "goo"]), values=words),
)  # fmt: skip


_minutes = st.integers(0, 30)
_choice = st.integers(0, 2**16)


@st.composite
def journals(draw: st.DrawFn, most: int = 20) -> list[ev.Event]:
    """A journal as committed: ids from 1, undos and amends of anything before them, and of one another."""
    out: list[ev.Event] = []
    for number in range(1, draw(st.integers(0, most)) + 1):
        turn = draw(st.integers(0, 5))
        targets = [e for e in out if not isinstance(e, ev.Undo | ev.Amend)]
        if turn == 0 and out:
            of = tuple({draw(_choice) % len(out) + 1 for _ in range(draw(st.integers(1, 3)))})
            event: ev.Event = ev.Undo(at=at(number), said_at=at(number), of=of)
        elif turn == 1 and targets:
            target = targets[draw(_choice) % len(targets)]
            event = ev.Amend(at=at(number), said_at=at(number), of=target.id, changes=_changes(draw, target))
        else:
            event = draw(ordinary)
        out.append(ev.replace(event, id=number))
    return out


def _changes(draw: st.DrawFn, target: ev.Event) -> dict[str, Any]:
    """One change of what the target has, in JSON form; times of it are among the new keys."""
    when = at(draw(_minutes))
    hour = timedelta(hours=1)
    soon = {"at": when.isoformat()}
    changes: list[dict[str, Any]] = [
        soon,
        {"between": [(when - hour).isoformat(), (when + hour).isoformat()]},
        {"began": (target.soonest - hour).isoformat()},
        {"between": None, "began": None},
    ]
    if getattr(target, "piece", None):
        changes.append({"piece": draw(pieces)})
    if target.kind == "coat":
        changes += [{"coat": draw(st.integers(1, 9))}, {"part": draw(parts)}]
    if target.kind == "task":
        changes.append({draw(st.sampled_from(["not_before", "due", "ring"])): when.isoformat()})
    if target.kind == "hours":
        changes += [{"repeat": draw(st.sampled_from([None, "daily"]))}, {"space": "galley"}]
    if target.kind == "unread":
        changes.append({"text": draw(text)})
    return changes[draw(_choice) % len(changes)]


# -- another user ------------------------------------------------------------------------------------


def as_nobody(action: Callable[[], str]) -> str:
    """What ``action`` gives when a user without rights runs it (root may write to everything)."""
    if os.geteuid() != 0:
        return action()
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.setgid(65534)
            os.setuid(65534)
            result = action()
        except BaseException as error:  # the parent shows it
            result = f"{type(error).__name__}: {error}"
        os.write(into, pickle.dumps(result))
        os.kill(os.getpid(), signal.SIGKILL)  # no clean-up of the test run's own in here
    os.close(into)
    with os.fdopen(out, "rb") as file:
        result = pickle.loads(file.read())
    os.waitpid(child, 0)
    return str(result)
