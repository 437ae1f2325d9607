"""Typed reading of one table, where every complaint knows the place it complains of.

Labels come from a job file, from the talk and from another journal; whoever reads one raises a
:class:`Flaw` with the path of keys to the culprit, and whoever has the file turns that into a
line number.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeAlias

from assistant.problem import Problem

#: The keys down to a value: ``("label", 0, "times", 1, "touch")``.
Path: TypeAlias = tuple[str | int, ...]


class Flaw(Problem):
    """A wrong value at ``path``; ``what`` says what is wrong with it and what to do."""

    def __init__(self, path: Path, what: str) -> None:
        key = spoken(path)
        super().__init__(f"{key}: {what}" if key else what)
        self.path = path
        self.what = what

    def under(self, *above: str | int) -> Flaw:
        """Give the same complaint seen from a table further up."""
        return Flaw((*above, *self.path), self.what)


def spoken(path: Path) -> str:
    """Give a path as one writes it: ``label.times[2].touch``, counted from 1."""
    out = ""
    for key in path:
        out += f"[{key + 1}]" if isinstance(key, int) else f".{key}" if out else key
    return out


@contextmanager
def at(*path: str | int) -> Iterator[None]:
    """Give every Problem raised inside this place in the table."""
    try:
        yield
    except Flaw as flaw:
        raise flaw.under(*path) from None
    except Problem as problem:
        raise Flaw(path, str(problem)) from None


def suggestion(word: str, known: Iterable[str]) -> str:
    """Give ``: did you mean "x"?`` or, when nothing is near, what there is."""
    from rapidfuzz import fuzz, process, utils  # only a mistake pays for it

    choices = sorted(set(known))
    best = process.extractOne(word, choices, scorer=fuzz.WRatio, processor=utils.default_process)
    if best and best[1] >= 70:
        return f': did you mean "{best[0]}"?'
    if not choices:
        return ""
    more = ", ..." if len(choices) > 12 else ""
    return f": there is {', '.join(choices[:12])}{more}"


def only(table: Mapping[str, Any], known: Iterable[str], what: str) -> None:
    """Refuse a key that ``what`` (in words) does not have."""
    allowed = set(known)
    for key in table:
        if key not in allowed:
            raise Flaw((key,), f"{what} has no such key{suggestion(key, allowed)}")


def as_text(value: Any, example: str = "") -> str:
    """Give ``value`` if it is a text with something in it."""
    like = f', like "{example}"' if example else ""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise Flaw((), f"this is no text: write it in quotes{like}")
    if not isinstance(value, str):
        unit = "has no unit and" if example and example[0].isdigit() else "is no text and"
        raise Flaw((), f"{value} {unit} must stand in quotes{like}")
    if not value.strip():
        raise Flaw((), f"this is empty: write it{like} or leave the key out")
    return value


def text(table: Mapping[str, Any], key: str, example: str = "") -> str | None:
    """Give the text at ``key``, or None where there is none."""
    if table.get(key) is None:
        return None
    with at(key):
        return as_text(table[key], example)


def texts(table: Mapping[str, Any], key: str) -> tuple[str, ...]:
    """Give the list of texts at ``key`` (a single text is a list of one); empty where there is none."""
    value = table.get(key)
    if value is None:
        return ()
    if isinstance(value, str):
        value = [value]
    if not isinstance(value, list | tuple):
        raise Flaw((key,), 'this must be a list of texts, like ["hatch rail"]')
    for i, one in enumerate(value):
        if not isinstance(one, str) or not one.strip():
            raise Flaw((key, i), "every entry of this list must be a text in quotes")
    return tuple(value)


def as_table(value: Any, example: str) -> Mapping[str, Any]:
    """Give ``value`` if it is a table that holds something."""
    if isinstance(value, Mapping) and value:
        return value
    raise Flaw((), f"this must be a table: write it like {example}")


def whole(table: Mapping[str, Any], key: str, low: int, high: int) -> int | None:
    """Give the whole number at ``key``, within its limits."""
    value = table.get(key)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int):
        raise Flaw((key,), f"this must be a whole number from {low} to {high}, without quotes")
    if not low <= value <= high:
        raise Flaw((key,), f"{value} cannot be right: from {low} to {high} is taken")
    return value
