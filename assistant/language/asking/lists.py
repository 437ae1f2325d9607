"""The closed lists of words that the form of a question is told by: data, in ``grammars/questions.toml``."""

from __future__ import annotations

from assistant import data


def listed(name: str) -> frozenset[str]:
    """Give the list ``name``. ``KeyError`` if there is none."""
    table: dict[str, str] = data.read_toml(data.root() / "grammars" / "questions.toml")["words"]
    return frozenset(table[name].split())
