"""What coats are wanted on which piece: the job file's tasks, and what was said of them since.

What is said is kept as tasks in set words that a person can read on the list: :func:`coats_text`,
:func:`skip_text` and :func:`use_text` write them, and only this room reads them back.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from assistant.journal.events import Task
from assistant.journal.state import State

#: More coats than anybody lays: "before every coat" ends here.
MOST_COATS: Final = 40
_COATS: Final = re.compile(r"(?:(\d+)|an?|one) coats? of (.+?)(?: on (?:the )?(.+))?")
_SKIP: Final = re.compile(r"no (\w+) (?:before coat (\d+)|between coats)(?: (?:on|of) (?:the )?(.+))?")
_USE: Final = re.compile(r"use (.+?)(?: instead of (.+?))?(?: on (?:the )?(.+))?")
#: The journal's kinds of event by the word for doing them.
_DOING: Final = {"sanding": "sand", "cleaning": "clean", "masking": "mask"}


@dataclass(frozen=True, slots=True)
class Wanted:
    """So many ``coats`` of ``label`` in all on ``piece``, under the task's ``name``."""

    name: str
    piece: str
    label: str
    coats: int


def coats_text(coats: int, product: str, piece: str) -> str:
    """Give the words of a task for so many coats in all."""
    return f"{coats} coat{'' if coats == 1 else 's'} of {product} on the {piece}"


def skip_text(kind: str, coat: int | None, piece: str) -> str:
    """Give the words for a step left out: ``kind`` a journal kind, ``coat`` None before every coat but the first."""
    doing = next(word for word, k in _DOING.items() if k == kind)
    return f"no {doing} {f'before coat {coat}' if coat else 'between coats'} on the {piece}"


def use_text(product: str, old: str | None, piece: str | None) -> str:
    """Give the words for another product: instead of ``old`` or of whatever is like it, on a piece or everywhere."""
    return f"use {product}{f' instead of {old}' if old else ''}{f' on the {piece}' if piece else ''}"


def said_coats(task: Task) -> tuple[int, str] | None:
    """Give the coats and the product that a task asks for, or None if it is another kind of task."""
    found = _COATS.fullmatch(task.text.strip().casefold())
    return (int(found[1] or 1), found[2]) if found else None


def said_skips(state: State) -> Iterator[tuple[str, str, int]]:
    """Give (piece, journal kind, coat) of the steps that were said to be left out."""
    for task in _open(state):
        found = _SKIP.fullmatch(task.text.casefold())
        if found and found[1] in _DOING and task.piece:
            for coat in (int(found[2]),) if found[2] else range(2, MOST_COATS + 1):
                yield task.piece, _DOING[found[1]], coat


def said_swaps(state: State) -> Iterator[tuple[str | None, str | None, str]]:
    """Give (piece or None, old product or None, new product) of what was said to be used."""
    for task in _open(state):
        if found := _USE.fullmatch(task.text.casefold()):
            yield task.piece, found[2], found[1]


def bends(task: Task) -> bool:
    """Say whether a task only changes other work: a step left out, or another product."""
    text = task.text.casefold()
    return bool(_SKIP.fullmatch(text) or _USE.fullmatch(text))


def wanted(state: State) -> list[Wanted]:
    """Give the coats that are wanted in all and not dropped, a line for each piece and label.

    Said last holds: "5 coats of amber varnish on the hatch trim" makes five of what the job file says of that
    piece and label, and is a line of its own where that says nothing.
    """
    closed = {(t.text.casefold(), t.piece) for t in state.tasks if t.state != "open"}
    out: dict[tuple[str, str], Wanted] = {}
    for name, named in state.plans.items():
        piece, label, coats = (named.values.get(k) for k in ("piece", "label", "coats"))
        if not isinstance(piece, str) or not isinstance(label, str) or not coats:
            continue
        if (name.casefold(), piece) in closed or (name.casefold(), None) in closed:
            continue
        line = _swapped(state, Wanted(name, piece, label, int(coats)))
        before = out.get((piece, line.label))
        out[piece, line.label] = replace(line, coats=line.coats + (before.coats if before else 0))
    for task in _open(state):
        said = said_coats(task)
        if said is not None and task.piece:
            line = _swapped(state, Wanted(task.text, task.piece, said[1], said[0]))
            known = out.get((task.piece, line.label))
            out[task.piece, line.label] = replace(line, name=known.name) if known else line
    return list(out.values())


def _swapped(state: State, line: Wanted) -> Wanted:
    for piece, old, new in said_swaps(state):
        if piece in (None, line.piece) and old == line.label:
            line = replace(line, label=new)
    return line


def _open(state: State) -> Iterator[Task]:
    return (t for t in state.tasks if t.state == "open")
