"""A warning: one sentence, when it bites, and what it is about."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class Warning:
    """``about`` is tin, gear, glue, cold, fault, slack, noise, tape, dust or window."""

    text: str
    when: datetime
    about: str
