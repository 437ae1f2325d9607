"""What a clause is: a predicate, its frame, and the parts that fill its slots."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from assistant.language.frames import Frame
from assistant.language.items import Item
from assistant.language.predicates import VerbGroup
from assistant.language.wordlist import VerbUse


class Part(NamedTuple):
    """An item as a clause took it; ``slot`` is None where no role took it."""

    item: Item
    slot: str | None
    left: bool  # it stands before the predicate


@dataclass(frozen=True, slots=True)
class Clause:
    """Words ``i`` up to ``j`` read as one frame."""

    i: int
    j: int
    frame: Frame
    verb: VerbGroup | None
    use: VerbUse | None
    lemma: str
    parts: tuple[Part, ...]
    cost: float
    subordinator: str = ""
    conjunction: str = ""
    gapped: bool = False
    light: str = ""

    def slots(self, name: str) -> list[Item]:
        """Give the items that fill a slot, in order."""
        return [p.item for p in self.parts if p.slot == name]

    def has(self, *names: str) -> bool:
        """Whether any of some slots is filled."""
        return any(p.slot in names for p in self.parts)

    @property
    def unused(self) -> list[Item]:
        """Give the content that no slot took."""
        return [p.item for p in self.parts if p.slot is None and p.item.content]


#: A predicate that is only light: the lemma of the verb says which light one it is.
LIGHTS: Final = {
    "give": "give",
    "put": "put",
    "get": "get",
    "do": "do",
    "lay": "lay",
    "take": "take",
    "go": "go",
    "come": "come",
    "make": "make",
    "keep": "keep",
    "leave": "leave",
    "find": "find",
    "look": "look",
    "have": "have",
    "need": "need",
    "want": "need",
    "manage": "do",
    "finish": "do",
    "complete": "do",
    "knock": "do",
    "start": "start",
    "log": "log",
    "record": "log",
    "enter": "log",
    "jot": "log",
    "notice": "find",
    "see": "find",
    "spot": "find",
    "bring": "get",
    "stick": "put",
    "slap": "put",
    "show": "have",
}


class Choice(NamedTuple):
    """A predicate to try: the verb group, the use of its verb, and the words taken as its particles."""

    verb: VerbGroup | None
    use: VerbUse | None
    lemma: str
    light: str
    particles: frozenset[int]
    price: float
