"""What a turn knows while it is being taken, and the ways it can end early."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING, Any

from assistant.journal.state import State
from assistant.library import Library
from assistant.library.cards import Card
from assistant.library.families import index as families
from assistant.problem import Problem

if TYPE_CHECKING:
    from assistant.journal.store import Journal


class Back(Exception):
    """A question back: what is missing, and the answers that would do."""

    def __init__(self, question: str, slot: str, options: Sequence[str] = (), value: str = "") -> None:
        super().__init__(question)
        self.question, self.slot, self.options, self.value = question, slot, list(options), value


class Refused(Exception):
    """Understood and declined; the message is the reason."""


class Unclear(Exception):
    """Not understood; the message says what would be."""


@dataclass
class Talk:
    """The job and the moment that a turn starts from."""

    now: datetime
    state: State
    library: Library
    journal: Journal
    phrase: str = ""
    asking: bool = False  # the phrase asks, whether it is understood or not
    memory: dict[str, Any] = field(default_factory=dict)  # of this session only: the last plan, to be kept to

    def card(self, product: str | None) -> Card | None:
        """Give the card of a product: a label, a family, or the one family of a generic word."""
        if not product:
            return None
        try:
            return self.library.card(product)
        except Problem:
            # the library knows labels, families and all their names; a kind with but one family is left
            heads = [h for h in families().values() if h.kind == product.lower()]
            return self.library.card(heads[0].id) if len(heads) == 1 else None

    @property
    def cards(self) -> Callable[[str], Card | None]:
        """Give :meth:`card` as the craft wants it."""
        return self.card

    def labels_of(self, kinds: Sequence[str]) -> list[str]:
        """Give the job's labels whose material is one of ``kinds``."""
        out = []
        for name in self.state.labels:
            card = self.card(name)
            if card and card.kind in kinds:
                out.append(name)
        return out

    def labels_like(self, word: str) -> list[str]:
        """Give the job's labels of the generic type ``word`` ("epoxy"), whatever they are for."""
        return [n for n in self.state.labels if (c := self.card(n)) and c.generic == word]
