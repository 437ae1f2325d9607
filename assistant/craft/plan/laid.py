"""A layout together with all that it was made from: what the questions about a plan work on."""

from __future__ import annotations

from dataclasses import dataclass, field

from assistant.craft.plan.chain import Work
from assistant.craft.plan.layout import Layer, Layout
from assistant.craft.plan.net import Net
from assistant.craft.plan.step import Unplaced


@dataclass(slots=True)
class Laid:
    """A layout with all that it was made from; ``bound`` is a slot before which nothing can finish."""

    work: Work
    net: Net
    layer: Layer
    layout: Layout
    unplaced: list[Unplaced]
    bound: int
    visit: tuple[int, ...] = ()
    notes: list[str] = field(default_factory=list)

    @property
    def finish(self) -> int:
        """The slot in which the last step ends."""
        return max((self.layout.end(i) for i in range(len(self.layout.start))), default=0)

    @property
    def optimal(self) -> bool:
        """Whether it is proved that nothing finishes sooner."""
        return self.finish <= self.bound
