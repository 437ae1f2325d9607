"""What is known of a material, typed: the family card with the label laid over it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

#: Stages of a film in the order they come (ASTM D1640 terms: set-to-touch, dust-free,
#: dry-to-sand in the trade's word, dry-to-recoat, dry-hard enough to handle, fully cured).
STAGES: Final = ("touch", "dust", "sand", "overcoat", "handle", "cured")

#: J/(mol K), exact since the SI of 2019.
GAS_CONSTANT: Final = 8.31446261815324


@dataclass(frozen=True, slots=True)
class Row:
    """One time at one temperature. ``early`` is the other end of a range on the label, or None."""

    celsius: float
    hours: float
    early: float | None = None


@dataclass(frozen=True, slots=True)
class Rate:
    """How fast a stage comes with temperature.

    ``law`` is ``arrhenius`` (``ea`` in kJ/mol) or ``doubling`` (twice as fast for each
    ``step`` kelvin). ``basis`` says where the figure is from.
    """

    law: str
    ea: float = 50.0
    step: float = 10.0
    basis: str = "assumption"

    def factor(self, start: float, end: float) -> float:
        """Give how many times as long a stage takes at ``end`` as at ``start`` (degC both)."""
        if self.law == "doubling":
            return float(2.0 ** ((start - end) / self.step))
        kelvin = 273.15
        return math.exp(self.ea * 1000 / GAS_CONSTANT * (1 / (end + kelvin) - 1 / (start + kelvin)))


@dataclass(frozen=True, slots=True)
class Law:
    """When a stage comes: its rows, the rate between and beyond them, and where both are from."""

    rows: tuple[Row, ...]
    rate: Rate
    basis: str
    from_label: bool = False


@dataclass(frozen=True, slots=True)
class Pot:
    """Pot life: ``minutes`` for ``grams`` (None: the label names no mass) at ``celsius``."""

    celsius: float
    minutes: float
    grams: float | None
    step: float  # halves for each so many kelvin warmer
    basis: str
    from_label: bool = False


@dataclass(frozen=True, slots=True)
class Ratio:
    """Mixing ratio: ``by`` volume or weight; ``parts`` as ``(name, number)`` in label order."""

    by: str
    parts: tuple[tuple[str, float], ...]
    basis: str
    from_label: bool = False


@dataclass(frozen=True, slots=True)
class Thinner:
    """What it is thinned with. ``max`` and ``first`` (the first coat on bare wood) in percent."""

    name: str
    max: float | None
    first: float | None
    basis: str


@dataclass(frozen=True, slots=True)
class Over:
    """May this material go over ``kind``? ``verdict``: yes, no, test or keyed; ``why`` in one line.

    ``kind`` is a family, a generic type, a kind of material, "bare wood" or "bare metal".
    """

    kind: str
    verdict: str
    why: str
    basis: str


@dataclass(frozen=True, slots=True)
class Card:
    """One material. Figures that nobody gave are None or missing, never a guess."""

    name: str
    family: str
    kind: str  # varnish, sealer, primer, undercoat, topcoat, epoxy, filler, putty, adhesive, ...
    title: str
    also: tuple[str, ...] = ()
    stages: dict[str, Law] = field(default_factory=dict)
    overcoat_max: Law | None = None
    no_stages: str | None = None  # why there are no times, when there are none
    least: float | None = None  # least film temperature, degC
    least_basis: str = ""
    pot: Pot | None = None
    ratio: Ratio | None = None
    density: dict[str, float] = field(default_factory=dict)  # g/ml by part, "mixed" for the whole
    thinner: Thinner | None = None
    solids: float | None = None  # percent by volume
    film: float | None = None  # dry film a coat, um
    spread: float | None = None  # m2 a litre, from the label
    coats: str | None = None  # how many are usual
    open_time: tuple[float, float] | None = None  # adhesives: bond between, minutes at 20 degC
    set_check: tuple[float, float] | None = None  # adhesives: begins to set between, hours
    shelf: tuple[float | None, float | None] = (None, None)  # months unopened, opened
    hazards: tuple[str, ...] = ()
    over: tuple[Over, ...] = ()
    wash: str | None = None  # what must be washed off before sanding, and why
    basis: dict[str, str] = field(default_factory=dict)  # figure -> where it is from
    label: str | None = None  # the label's own name when one is laid over the family
    generic: str = ""  # the generic type that compatibility goes by: oil, alkyd, epoxy, ...
    rate: Rate | None = None  # the family's rate for its stages, also where it has no rows of its own
    window_rate: Rate | None = None  # ... and for the end of the overcoating window
