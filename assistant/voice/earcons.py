"""Three short sounds, told apart without looking: heard, logged, not understood."""

from __future__ import annotations

import math
from array import array
from functools import cache
from typing import Final

#: Notes as (hertz, seconds), 0 hertz a rest. Rising is good, falling is not, one alone is "I am listening".
_TUNES: Final[dict[str, tuple[tuple[float, float], ...]]] = {
    "heard": ((880.0, 0.07),),
    "logged": ((660.0, 0.06), (990.0, 0.09)),
    "unclear": ((440.0, 0.09), (0.0, 0.03), (294.0, 0.14)),
    "alarm": ((988.0, 0.12), (0.0, 0.08), (988.0, 0.12), (0.0, 0.08), (988.0, 0.12)),
}
_LOUD: Final = 6000
_EDGE: Final = 0.008  # seconds of rise and fall, or it clicks


@cache
def tune(name: str, rate: int) -> bytes:
    """Give an earcon as 16-bit mono samples at ``rate``."""
    out = array("h")
    for hertz, seconds in _TUNES[name]:
        count = int(seconds * rate)
        edge = max(1, int(_EDGE * rate))
        for i in range(count):
            swell = min(1.0, i / edge, (count - i) / edge)
            out.append(int(_LOUD * swell * math.sin(2 * math.pi * hertz * i / rate)) if hertz else 0)
    return out.tobytes()
