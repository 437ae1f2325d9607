"""One reply, and its public JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from assistant.journal.events import Event, to_json
from assistant.quantity import Amount

#: What can come of a phrase. The first two are success.
OUTCOMES = ("logged", "answered", "asked", "unclear", "refused")


@dataclass(slots=True)
class Reply:
    """What comes back for one phrase; ``answer`` is an answer object (it has ``about``) or None."""

    heard: str
    at: datetime
    outcome: str
    reply: str
    events: Sequence[Event] = ()
    answer: dict[str, Any] | None = None
    cautions: list[str] = field(default_factory=list)
    confidence: float = 1.0
    explained: list[str] = field(default_factory=list)  # how it was read; not part of the JSON

    @property
    def status(self) -> int:
        """The exit status of ``dabhand say``: 0 logged or answered, 1 asked back or not understood, 2 refused."""
        return {"logged": 0, "answered": 0, "refused": 2}.get(self.outcome, 1)

    def to_json(self) -> dict[str, Any]:
        """Give the object of the public interface, its keys always all there."""
        return {
            "heard": self.heard,
            "at": self.at.isoformat(timespec="seconds"),
            "outcome": self.outcome,
            "events": [to_json(e) for e in self.events],
            "answer": plain(self.answer) if self.outcome == "answered" else None,
            "reply": self.reply,
            "cautions": list(self.cautions),
            "confidence": round(self.confidence, 2),
        }


def plain(value: Any) -> Any:
    """Turn amounts and times inside an answer into their JSON."""
    if isinstance(value, Amount):
        return value.to_json()
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return {k: plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    return value
