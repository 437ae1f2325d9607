"""The last question, kept as JSON in the context: written, read back typed, and forgotten after ten minutes."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from functools import cache
from types import UnionType
from typing import Any, Final, Union, get_args, get_origin, get_type_hints

from assistant.dialogue.context import Context
from assistant.language.query import At, Between, By, Query
from assistant.quantity import Amount

#: So long a follow-up still belongs to the question before it.
KEPT: Final = timedelta(minutes=10)
#: "And now?" asks again what was asked some hours ago.
AGAIN: Final = timedelta(hours=16)
_TIMES: Final = {"At": At, "By": By, "Between": Between}


def keep(query: Query, context: Context, now: datetime) -> None:
    """Make ``query`` what the next fragment changes."""
    context.query = {"query": to_json(query), "asked": now.isoformat()}


def last_query(context: Context, now: datetime, kept: timedelta = KEPT) -> Query | None:
    """Give the question a fragment would change, None if there was none of late; ``kept`` is how long ago it may be."""
    held = context.query
    if not isinstance(held, dict) or "query" not in held:
        return None
    try:
        if abs(now - datetime.fromisoformat(held["asked"])) > kept:
            return None
        found = _read(Query, held["query"])
    except (KeyError, TypeError, ValueError, AttributeError):
        return None
    return found if isinstance(found, Query) else None


def to_json(value: Any) -> Any:
    """Write a value of the query's types; what is as it is by default is left out."""
    if isinstance(value, Amount):
        return value.to_json()
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, timedelta):
        return value.total_seconds()
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, tuple):
        return [to_json(v) for v in value]
    if is_dataclass(value) and not isinstance(value, type):
        kind = type(value).__name__
        out = {f.name: to_json(v) for f in fields(value) if (v := getattr(value, f.name)) != f.default}
        return {"is": kind, **out} if kind in _TIMES else out
    return value


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _read(kind: Any, value: Any) -> Any:
    """Read what :func:`to_json` wrote as ``kind``. ``ValueError``, ``TypeError`` or ``KeyError`` for anything else."""
    origin, args = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        if value is None:
            return None
        if isinstance(value, dict) and value.get("is") in _TIMES:
            return _read(_TIMES[value["is"]], value)
        return _read(next(a for a in args if a is not type(None)), value)
    if origin is tuple:
        return tuple(_read(args[0], v) for v in value)
    if origin is frozenset:
        return frozenset(str(v) for v in value)
    if kind is Amount:
        return Amount.from_json(value)
    if kind is datetime:
        return datetime.fromisoformat(value)
    if kind is date:
        return date.fromisoformat(value)
    if kind is float and isinstance(value, int):
        return float(value)
    if isinstance(kind, type) and is_dataclass(kind):
        hints = _hints(kind)
        return kind(**{k: _read(hints[k], v) for k, v in value.items() if k in hints})
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return kind(value)
    return value
