"""What a list teaches, and what it does not."""

from __future__ import annotations

import numpy as np
import pytest

from partsdb.matching.engine.hashing import affix_hash
from partsdb.matching.engine.learned import (
    FEWEST_LINES,
    SAMPLE_LINES,
    sampled,
    taught_affixes,
    zeros_are_lost,
)

XQ = affix_hash("XQ", is_suffix=False)


def taught(affix: int, agreed: int, hits: int, lines: int = 100) -> bool:
    affixes = np.full(hits, affix, dtype=np.uint64)
    agrees = np.arange(hits) < agreed
    return affix in taught_affixes(affixes, agrees, lines=lines).tolist()


@pytest.mark.parametrize(
    ("agreed", "hits", "lines", "expected"),
    [
        (5, 5, 100, True),
        (4, 4, 100, False),
        (8, 10, 100, True),
        (7, 10, 100, False),
        (19, 19, 10_000, False),
        (20, 20, 10_000, True),
    ],
)
def test_an_affix_needs_lines_and_agreement(
    agreed: int, hits: int, lines: int, expected: bool
) -> None:
    assert taught(XQ, agreed, hits, lines) is expected


@pytest.mark.parametrize("word", ["KIT", "SET", "ASSY", "REMAN"])
@pytest.mark.parametrize("is_suffix", [False, True])
def test_words_that_make_another_article_are_never_taught(word: str, is_suffix: bool) -> None:
    assert not taught(affix_hash(word, is_suffix=is_suffix), 50, 50)


def test_an_affix_of_figures_is_never_taught() -> None:
    assert not taught(0, 50, 50)


@pytest.mark.parametrize(
    ("agreed", "hits", "kept", "expected"),
    [(5, 5, 0, True), (FEWEST_LINES - 1, 4, 0, False), (5, 9, 0, False), (5, 5, 1, False)],
)
def test_zeros_are_lost_when_none_is_left(
    agreed: int, hits: int, kept: int, expected: bool
) -> None:
    assert zeros_are_lost(agreed, hits, kept, lines=100) is expected


def test_a_short_list_is_read_whole_and_a_long_one_in_a_sample_of_its_own() -> None:
    numbers = [f"24-{i}" for i in range(10 * SAMPLE_LINES)]
    assert sampled(numbers[:1000]) == list(range(1000))
    chosen = {numbers[i] for i in sampled(numbers)}
    assert 0.9 < len(chosen) / SAMPLE_LINES < 1.1
    assert {numbers[::-1][i] for i in sampled(numbers[::-1])} == chosen
