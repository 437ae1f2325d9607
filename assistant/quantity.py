"""Amounts in the units the journal keeps, and nothing else.

Everything measured is converted once, at the door, to one of eight canonical units; past
that door nobody needs a unit library. The conversions themselves are pint's (see
``assistant.language.amounts``), loaded only when a phrase used another unit.
"""

from __future__ import annotations

from typing import Any, Final, NamedTuple

#: The units of the public interface.
UNITS: Final = ("ml", "g", "um", "degC", "percent", "min", "h", "m2")


class Amount(NamedTuple):
    """A number and one of :data:`UNITS`."""

    value: float
    unit: str

    def to_json(self) -> dict[str, Any]:
        """Give ``{"value": 12.0, "unit": "ml"}``."""
        return {"value": float(self.value), "unit": self.unit}

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Amount:
        """Read what :meth:`to_json` wrote; ``ValueError`` for a unit that is not ours."""
        if data.get("unit") not in UNITS:
            raise ValueError(f"unit {data.get('unit')!r} is not one of {', '.join(UNITS)}")
        return cls(float(data["value"]), str(data["unit"]))


def ml(value: float) -> Amount:
    """Millilitres."""
    return Amount(value, "ml")


def grams(value: float) -> Amount:
    """Grams."""
    return Amount(value, "g")


def celsius(value: float) -> Amount:
    """Degrees Celsius."""
    return Amount(value, "degC")


def percent(value: float) -> Amount:
    """Hundredths."""
    return Amount(value, "percent")


def minutes(value: float) -> Amount:
    """Minutes."""
    return Amount(value, "min")


def square_metres(value: float) -> Amount:
    """Square metres."""
    return Amount(value, "m2")
