"""Counts in sentences."""

from __future__ import annotations

import pytest

from importers.wording import counted as counted_by_readers
from partsdb.rules.counting import counted


@pytest.mark.parametrize(
    ("count", "plural", "said"),
    [
        (0, "", "0 lines"),
        (1, "", "1 line"),
        (2, "", "2 lines"),
        (1, "lines are", "1 line"),
        (2, "lines are", "2 lines are"),
    ],
)
def test_one_is_no_plural(count, plural, said):
    assert counted(count, "line", plural) == said
    assert counted_by_readers(count, "line", plural) == said
