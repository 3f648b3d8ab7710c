"""Reads a sample of a list to learn what its numbers have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsdb.matching.engine.agreement import UNSAID
from partsdb.matching.engine.candidates import by_key
from partsdb.matching.engine.decision import AGREED_OTHERWISE, Way
from partsdb.matching.engine.learned import Learned, sampled, taught_affixes, zeros_are_lost
from partsdb.matching.engine.match import Lines, found_without_key, judge
from partsdb.matching.engine.pairs import Numbers, joined

if TYPE_CHECKING:
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.line_words import WordFinder


def learn(index: Index, finder: WordFinder, lines: Lines) -> Learned:
    """Return what the list teaches; the order of its lines changes nothing."""
    import numpy as np

    at = sampled(lines.numbers)
    chosen = [lines.numbers[i] for i in at]
    said = [lines.descriptions[i] for i in at]
    numbers, words = Numbers.of(chosen), finder.read(said)
    has_key = np.zeros(len(chosen), dtype=np.bool_)
    has_key[by_key(numbers, index).line] = True
    left = np.flatnonzero(~has_key & (numbers.keys.lengths > 0))
    pairs = joined(found_without_key(numbers, index, left))
    seen = judge(index, words, np.zeros(len(chosen), dtype=np.uint64), pairs)
    agrees = (seen.value >= AGREED_OTHERWISE) & (seen.agreed.explained != UNSAID)
    affixed, zeros = pairs.way > Way.ZEROS, pairs.way == Way.ZEROS
    affixes = taught_affixes(pairs.affix[affixed], agrees[affixed], lines=len(chosen))
    kept = sum(text.strip().isdecimal() and text.strip()[0] == "0" for text in chosen)
    lost = zeros_are_lost(int(agrees[zeros].sum()), int(zeros.sum()), kept, lines=len(chosen))
    return Learned(affixes, lost)
