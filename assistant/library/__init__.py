"""What is known of materials: family cards, the job's own labels laid over them, and job files."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from assistant.library.catalogue import Library

__all__ = ["Library"]


def __getattr__(name: str) -> Any:
    # Late, so that whoever wants no more than a Card does not load the readers of cards with it.
    if name == "Library":
        from assistant.library.catalogue import Library

        return Library
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
