"""Events as rows of the ``events`` table: number, kind, and the rest as JSON."""

from __future__ import annotations

import json
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Any, Final, NoReturn

from assistant.journal.events import EPOCH, Event, filled, from_json, stored

#: ``(id, kind, body)``
Row = tuple[int, str, str]

_MICROSECOND: Final = timedelta(microseconds=1)


def encode(event: Event, number: int) -> tuple[Row, Event]:
    """Give the row of ``event`` under that number, and the event as it will be read from there.

    The two can differ: a time keeps its offset, not the name of its zone. ``ValueError`` says
    what cannot be written.
    """
    data = stored(event)
    del data["id"], data["kind"]
    try:
        body = _ENCODER.encode(data)
        body.encode()
    except UnicodeEncodeError:
        raise ValueError("the words hold a character that cannot be written down") from None
    except (TypeError, ValueError, RecursionError) as error:
        raise ValueError(f"a {event.kind} holds what cannot be written down: {error}") from None
    return (number, event.kind, body), decode(number, event.kind, body)


def decode(number: int, kind: str, body: str) -> Event:
    """Read a row. ``ValueError`` if it is not one of ours."""
    data = parse(body)
    data["id"] = number
    data["kind"] = kind
    return from_json(data)


def line(row: Row) -> str:
    """Give the row as the JSON line of an export: the public form, with the keys that a row leaves out."""
    number, kind, body = row
    with suppress(ValueError):  # a row that no dabhand wrote goes out as it is
        body = _ENCODER.encode(filled(kind, parse(body)))
    return f'{{"id":{number},"kind":"{kind}",{body[1:]}'


def parse(text: str) -> dict[str, Any]:
    """Read a JSON object. ``ValueError`` for anything else, NaN and infinities among it."""
    try:
        data = _DECODER.decode(text)
    except RecursionError:
        raise ValueError("it is nested too deep") from None
    if not isinstance(data, dict):
        raise ValueError("it is not an object")
    return data


def microseconds(time: datetime) -> int:
    """Give a time as the tables sort it: microseconds of UTC since 1970."""
    return (time - EPOCH) // _MICROSECOND


def _refuse(constant: str) -> NoReturn:
    raise ValueError(f"{constant} is no number")


_ENCODER: Final = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":"))
_DECODER: Final = json.JSONDecoder(parse_constant=_refuse)
