"""The week: will it be done, what next, what if."""

from __future__ import annotations

from collections.abc import Callable

from assistant.dialogue.talk import Result, Talk
from assistant.language.meaning import Meaning

PLAN: dict[str, Callable[[Talk, Meaning], Result]] = {}
