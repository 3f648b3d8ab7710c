"""Covers against PuLP with its CBC solver: another engine, and another model of the same costs."""

from __future__ import annotations

import pytest
from covers import best_by_cbc, small_cover

from partsdb.rules.cover import broken_rules, solve_cover

pytestmark = [
    pytest.mark.external,
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
]
# The engines work in floating point; costs are whole minor units and eighths of a kilogram's rate.
CLOSE = 1e-3


@pytest.mark.parametrize("first", range(1000, 1200, 50))
def test_cbc_finds_no_cheaper_cover_and_no_dearer_one(external, first: int) -> None:
    external("pulp")
    solvable = 0
    for seed in range(first, first + 50):
        problem = small_cover(seed)
        found, best = solve_cover(problem), best_by_cbc(problem)
        assert (found is None) is (best is None), seed
        if found is None or best is None:
            continue
        solvable += 1
        assert float(found.cost) == pytest.approx(best, abs=CLOSE), seed
        assert broken_rules(problem, found.packs) == ()
    assert solvable >= 10
