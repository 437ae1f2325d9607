"""From typed meanings to journal entries: one room a kind of meaning, and :func:`tell` for a whole phrase."""

from assistant.dialogue.telling.answers import Filled, answered
from assistant.dialogue.telling.phrase import tell

__all__ = ["Filled", "answered", "tell"]
