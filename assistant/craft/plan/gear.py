"""Gear that is used up or has to be fitted, and the words that mean it in a task or on the shelf."""

from __future__ import annotations

import re
from typing import Final

#: What has to be there before a step that needs it; the rest lies about on every bench.
USED_UP: Final = ("mask with A filters", "P3 dust mask")
_WORDS: Final = {
    "mask with A filters": re.compile(r"\b(mask filters?|filters?|respirator|cartridges?)\b", re.I),
    "P3 dust mask": re.compile(r"\b(p3|dust masks?)\b", re.I),
}


def meant(item: str, text: str) -> bool:
    """Say whether ``text`` (a task, or the name of a thing) speaks of this gear."""
    return item in _WORDS and _WORDS[item].search(text) is not None
