"""Where in a TOML text each key stands, for a complaint that names its line.

``tomllib`` reads values and forgets their places. The text has been through it already, so this
scan only walks a document that is known to be sound.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from typing import Final

from assistant.library.fields import Path

_TOKEN: Final = re.compile(
    r'''(?P<skip>[ \t\r]+|\#[^\n]*)
      | (?P<newline>\n)
      | (?P<text>"""(?:\\.|[^\\])*?"{3,5} | \'\'\'.*?'{3,5} | "(?:\\.|[^"\\\n])*" | '[^'\n]*')
      | (?P<mark>[\[\]{}=,.])
      | (?P<bare>[^\s\[\]{}=,."'#]+)''',
    re.X | re.S,
)


def places(text: str) -> dict[Path, int]:
    """Give the line, from 1, of every key and list entry; a table's own path is its header's line.

    Paths count the tables of an array: ``("label", 1, "times", 0, "touch")``.
    """
    return _Walk(text).walk()


class _Walk:
    def __init__(self, text: str) -> None:
        self.tokens = [*_tokens(text), ("end", "", text.count("\n") + 1)]
        self.i = 0
        self.found: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}  # how many tables an array of tables has so far

    def walk(self) -> dict[Path, int]:
        prefix: Path = ()
        while self.kind != "end":
            if self.kind == "newline":
                self.i += 1
            elif self.word == "[":
                prefix = self.header()
            else:
                self.pair(prefix)
        return self.found

    @property
    def kind(self) -> str:
        return self.tokens[self.i][0]

    @property
    def word(self) -> str:
        # Text in quotes is never a mark.
        return self.tokens[self.i][1] if self.kind != "text" else ""

    @property
    def line(self) -> int:
        return self.tokens[self.i][2]

    def header(self) -> Path:
        line = self.line
        self.i += 1
        array = self.word == "["
        self.i += array
        names = self.key()
        self.i += 2 if array else 1
        path: Path = ()
        for name in names[:-1]:
            path = self.latest((*path, name))
        path = (*path, names[-1])
        if array:
            self.counts[path] = self.counts.get(path, 0) + 1
            self.found.setdefault(path, line)
        path = self.latest(path)
        self.found.setdefault(path, line)
        return path

    def latest(self, path: Path) -> Path:
        return (*path, self.counts[path] - 1) if path in self.counts else path

    def key(self) -> list[str]:
        names = []
        while True:
            kind, word, _ = self.tokens[self.i]
            names.append(tomllib.loads(f"k = {word}")["k"] if kind == "text" else word)
            self.i += 1
            if self.word != ".":
                return names
            self.i += 1

    def pair(self, prefix: Path) -> None:
        line = self.line
        path = prefix
        for name in self.key():
            path = (*path, name)
            self.found.setdefault(path, line)
        self.i += 1  # the equals sign
        self.value(path)

    def value(self, path: Path) -> None:
        if self.word == "{":
            self.i += 1
            while self.word != "}":
                if self.word == "," or self.kind == "newline":
                    self.i += 1
                else:
                    self.pair(path)
            self.i += 1
        elif self.word == "[":
            self.entries(path)
        else:
            while self.kind not in ("newline", "end") and self.word not in (",", "]", "}"):
                self.i += 1

    def entries(self, path: Path) -> None:
        self.i += 1
        count = 0
        while self.word != "]":
            if self.word == "," or self.kind == "newline":
                self.i += 1
                continue
            self.found[(*path, count)] = self.line
            self.value((*path, count))
            count += 1
        self.i += 1


def _tokens(text: str) -> Iterator[tuple[str, str, int]]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or ""
        if kind != "skip":
            yield kind, match[0], line
        line += match[0].count("\n")
