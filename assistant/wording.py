"""How things are said: numbers, amounts, times, lists. Short, and in the trade's words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Final

from assistant.craft.times import like, spoken, utc
from assistant.quantity import Amount

_NTH: Final = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def nth(number: int) -> str:
    """Give ``second``, or ``11th`` where words run out."""
    if 0 < number < len(_NTH):
        return _NTH[number]
    tail = "th" if 10 < number % 100 < 14 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{tail}"


def ordinal(number: int) -> str:
    """Give ``Second``, or ``11th`` where words run out."""
    return capital(nth(number))


def many(number: int, word: str) -> str:
    """Give ``1 coat``, ``2 coats``."""
    return f"{number} {word}" + ("" if number == 1 else "s")


def figure(value: float) -> str:
    """Give a number as the measure shows it: ``12``, ``12.5``, ``0.25``."""
    if abs(value) >= 100 or abs(value - round(value)) < 1e-6:
        return f"{value:.0f}"
    return f"{value:.1f}".rstrip("0").rstrip(".") if abs(value) >= 1 else f"{value:.2f}".rstrip("0").rstrip(".")


def amount(said: Amount) -> str:
    """Give ``60 ml``, ``1.5 litres``, ``14 degrees``, ``10 percent``, ``0.4 square metres``."""
    value, unit = said
    if unit == "ml" and value >= 1000:
        litres = f"{value / 1000:.2f}".rstrip("0").rstrip(".")
        return f"{litres} litre" + ("" if litres == "1" else "s")
    if unit == "g" and value >= 1000:
        return f"{value / 1000:.2f}".rstrip("0").rstrip(".") + " kg"
    name = {"degC": " degrees", "percent": " percent", "m2": " square metres", "um": " microns", "min": " minutes"}
    return figure(value) + name.get(unit, f" {unit}")


def thinned(percent: Amount | None) -> str:
    """Give ``thinned 10 percent``, "" for a coat as it came from the tin."""
    return f"thinned {amount(percent)}" if percent is not None else ""


def listed(words: Iterable[str], last: str = "and") -> str:
    """Give ``a``, ``a and b``, ``a, b and c``."""
    all_ = list(words)
    if len(all_) < 2:
        return "".join(all_)
    return f"{', '.join(all_[:-1])} {last} {all_[-1]}"


def capital(text: str) -> str:
    """Begin with a capital, leaving the rest alone."""
    return text[:1].upper() + text[1:]


def sentence(parts: Sequence[str]) -> str:
    """Join what there is into one sentence."""
    text = ", ".join(p for p in parts if p)
    return capital(text) + ("" if text.endswith((".", "?", "!")) else ".")


def when(time: datetime, now: datetime) -> str:
    """Give ``now``, ``14:20``, ``14:20 tomorrow``: a time as said at ``now``."""
    return "now" if abs((utc(time) - utc(now)).total_seconds()) < 60 else spoken(time, now)


def ended(time: datetime, now: datetime) -> str:
    """Give ``just now`` or ``at 14:20``: when something ended."""
    said = when(time, now)
    return "just now" if said == "now" else f"at {said}"


def stamp(time: datetime, now: datetime) -> str:
    """Give the time something was done, for a read-back: nothing special is said of now."""
    return spoken(like(time, now), now)


def lasting(span: timedelta) -> str:
    """Give ``40 minutes``, ``3 hours``, ``3 and a half hours``, ``2 days``."""
    minutes = round(span.total_seconds() / 60)
    if minutes < 60:
        return many(minutes, "minute")
    halves = round(minutes / 30)
    if halves < 96:
        whole, half = divmod(halves, 2)
        if whole == 1:
            return "an hour and a half" if half else "an hour"
        return f"{whole} and a half hours" if half else f"{whole} hours"
    days = round(minutes / 1440)
    return f"{days} days"
