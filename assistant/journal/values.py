"""The values of an event as JSON gives them, read into the types that events hold.

A reader takes one JSON value and gives the typed one. What does not fit raises ``ValueError``
(or what Python raises of itself: ``TypeError``, ``KeyError``, ``AttributeError``,
``OverflowError``); who calls says which key of which event it was.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, Final

from assistant.quantity import Amount

Reader = Callable[[Any], Any]


def text(value: Any) -> str:
    """Read words."""
    if not isinstance(value, str):
        raise ValueError("it must be text")
    return value


def one_of(choices: tuple[str, ...]) -> Reader:
    """Give a reader that takes nothing but ``choices``."""

    def read(value: Any) -> Any:
        if value not in choices:
            raise ValueError(f"it must be one of {', '.join(choices)}")
        return value

    return read


def whole(value: Any) -> int:
    """Read an integer."""
    if type(value) is not int:  # True is an int, and not a number of coats
        raise ValueError("it must be a whole number")
    return value


def time(value: Any) -> datetime:
    """Read ISO 8601 with an offset."""
    when = value if isinstance(value, datetime) else datetime.fromisoformat(value)
    if when.tzinfo is None:
        raise ValueError("it has no offset")
    return when


def window(value: Any) -> tuple[datetime, datetime]:
    """Read the two ends of a vague time, the earlier first."""
    start, end = (time(v) for v in value)
    if end.astimezone(UTC) < start.astimezone(UTC):
        raise ValueError("its end is before its start")
    return start, end


def amount(value: Any) -> Amount:
    """Read ``{"value": 12.0, "unit": "ml"}``."""
    return value if isinstance(value, Amount) else Amount.from_json(value)


def floats(value: Any) -> tuple[float, ...]:
    """Read a list of numbers."""
    return tuple(float(v) for v in value)


def parts(value: Any) -> tuple[tuple[str, Amount], ...]:
    """Read a list of ``{"name": ..., "amount": ...}``."""
    return tuple((text(p["name"]), amount(p["amount"])) for p in value)


def ids(value: Any) -> tuple[int, ...]:
    """Read a list of event ids."""
    return tuple(whole(v) for v in value)


def table(value: Any) -> dict[str, Any]:
    """Read an object."""
    if not isinstance(value, dict):
        raise ValueError("it must be a table")
    return value


#: By the annotation that an event's field carries, without its ``| None``.
READERS: Final[dict[str, Reader]] = {
    "str": text,
    "int": whole,
    "datetime": time,
    "tuple[datetime, datetime]": window,
    "Amount": amount,
    "tuple[float, ...]": floats,
    "tuple[tuple[str, Amount], ...]": parts,
    "tuple[int, ...]": ids,
    "dict[str, Any]": table,
}
