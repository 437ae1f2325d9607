"""A talk on a fresh copy of the Linnet's job, for the tests of the dialogue."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from dialogue.build import Linnet


@pytest.fixture
def say(tmp_path: Path) -> Iterator[Linnet]:
    """The job loaded and nothing said."""
    with Linnet(tmp_path) as talk:
        yield talk
