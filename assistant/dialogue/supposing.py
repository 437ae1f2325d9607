"""What is supposed, settled: spaces, products and times of an if become the job's own."""

from __future__ import annotations

from dataclasses import replace

from assistant.dialogue import settling
from assistant.dialogue.scene import Scene
from assistant.dialogue.whenasked import moment_of
from assistant.language.asking.said import Asked, Supposed
from assistant.language.periods import Bound, Edge, Range
from assistant.language.query import Property, Suppose


def suppose_of(asked: Asked, scene: Scene, pieces: tuple[str, ...]) -> Suppose | None:
    """Settle the condition; None where nothing was supposed. ``Back`` where two things fit a name."""
    said = asked.suppose
    if said is None:
        return None
    space = settling.space(scene, said.spaces) if said.spaces else None
    out = Suppose(
        temperature=said.temperature,
        warmer=said.warmer,
        surface=said.surface,
        humidity=said.humidity,
        nights=said.nights,
        space=None if said.moved else space,
        amount=said.amount,
        ratio=said.ratio,
        skipped=said.skipped,
        coat=said.coat,
        coats=said.coats,
        moved=space if said.moved else None,
        fault=said.fault,
        product=next((n.options[0] for n in said.products), None),
        instead_of=next((n.options[0] for n in said.instead_of), None),
    )
    if said.coats_in_all is not None:
        out = replace(out, coats=said.coats_in_all - _planned(scene, pieces))
    if said.without is not None:
        out = replace(out, without=next(iter(settling.pieces(scene, said.without).pieces), None))
    out = _timed(out, said, scene, asked.what)
    return out if out != Suppose() else None


def _planned(scene: Scene, pieces: tuple[str, ...]) -> int:
    """Give how many coats the plan has for the first piece of those named."""
    from assistant.craft.waits import planned

    return sum(planned(scene.state, pieces[0]).values()) if pieces else 0


def _timed(out: Suppose, said: Supposed, scene: Scene, asked_what: Property | None) -> Suppose:
    if not said.times:
        return out
    first = said.times[0]
    at = moment_of(first, scene.now)
    if said.lost:
        return replace(out, lost=at.date())
    if said.start:
        return replace(out, start=at)
    if said.laid and asked_what is Property.WHATIF:
        return replace(out, night_hour=at.hour)
    if said.laid:
        return replace(out, laid=at)
    ends = isinstance(first, Range) or (isinstance(first, Bound) and first.edge in (Edge.UNTIL, Edge.BY, Edge.BEFORE))
    return replace(out, until=moment_of(first.end, scene.now) if isinstance(first, Range) else at) if ends else out
