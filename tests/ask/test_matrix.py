"""The matrix of questions: every cell is as it comes out by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from ask.matrix import ALL, Cell


@pytest.mark.parametrize("cells", ALL, ids=lambda f: f.__name__)
def test_every_cell_is_as_by_hand(cells: Callable[[], Iterator[Cell]]) -> None:
    """Over the journal and the craft, one piece at a time, each question has the same answer."""
    done = list(cells())
    assert done
    assert [(c.query, c.wrong) for c in done if c.wrong] == []
