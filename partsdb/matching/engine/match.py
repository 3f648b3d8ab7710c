"""Matches a chunk of lines: candidates, agreement, the decision, the five best for the rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from partsdb.matching.engine import candidates as found
from partsdb.matching.engine import damaged
from partsdb.matching.engine.agreement import CONFLICT_COST, UNSAID, Agreement, agreement
from partsdb.matching.engine.decision import FIT_STEP, MARGIN, WAY_RANK, Claim, Lane, Way, settles
from partsdb.matching.engine.evidence import FIELDS, MAKER_OTHER, MAKER_SAME
from partsdb.matching.engine.number_tables import maker_hashes
from partsdb.matching.engine.pairs import Numbers, Pairs, first_few, joined

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I8, I32, I64, U64, Bool
    from partsdb.matching.engine.index import Index
    from partsdb.matching.engine.learned import Learned
    from partsdb.matching.engine.line_words import LineWords, WordFinder

MOST_OFFERED = 5
# No candidate ranks higher (`_rank`), so that a rank counted down from here is never negative.
_MOST_RANK = 200
# Lines for which no number leads to a part that explains so much are looked up by their words.
POOR, LEAST_BY_WORDS, LEAST_NEAR = 50, 40, 25


@dataclass(frozen=True, slots=True)
class Lines:
    """The lines of a list, column by column; a maker may be "" where the list names none."""

    numbers: Sequence[str]
    descriptions: Sequence[str]
    makers: Sequence[str]

    def part(self, start: int, stop: int) -> Lines:
        """Return some of the lines."""
        columns = (self.numbers, self.descriptions, self.makers)
        return Lines(*(column[start:stop] for column in columns))


@dataclass(frozen=True, slots=True)
class Matched:
    """What became of each line: its lane, and its candidates end to end, best first.

    Line i has candidates first[i] to first[i + 1]; a settled line has one, its part.
    """

    lane: I8
    first: I64
    part_id: I64
    code: I64


@dataclass(frozen=True, slots=True)
class Judged:
    """Pairs with what was seen of each: agreement, makers, value for comparing."""

    pairs: Pairs
    agreed: Agreement
    maker: I32
    value: I32


@dataclass(frozen=True, slots=True)
class Numbered:
    """What the numbers of some lines lead to: pairs, which are taught, each line's claim."""

    judged: Judged
    taught: Bool
    claim: I64
    facts: Claim


def match_chunk(index: Index, finder: WordFinder, lines: Lines, learned: Learned) -> Matched:
    """Match some lines of a list; the answer for a line depends on that line and `learned` only."""
    import numpy as np

    numbers = Numbers.of(lines.numbers)
    words = finder.read(lines.descriptions)
    makers = np.array(maker_hashes(lines.makers), dtype=np.uint64)
    judged = judge(index, words, makers, number_pairs(numbers, index, learned.affixes))
    count, taught = len(lines.numbers), is_taught(judged.pairs, learned)
    claim, facts = claims(judged, taught, numbers.keys.lengths, count)
    lane = np.where(settles(facts), Lane.SETTLED, Lane.NONE).astype(np.int8)
    best = np.full(count, -CONFLICT_COST, dtype=np.int32)
    np.maximum.at(best, judged.pairs.line, judged.value)
    poor = np.flatnonzero((lane == Lane.NONE) & (best < POOR))
    by_words = judge(index, words, makers, found.by_words(words.words, finder.order, index, poor))
    return _collected(index, lane, Numbered(judged, taught, claim, facts), by_words)


def number_pairs(numbers: Numbers, index: Index, affixes: U64) -> Pairs:
    """Return every part that the lines' numbers lead to, each pair once, by its surest way."""
    import numpy as np

    exact = found.by_key(numbers, index)
    has_key = np.zeros(len(numbers.hashes), dtype=np.bool_)
    has_key[exact.line] = True
    left = np.flatnonzero(~has_key & (numbers.keys.lengths > 0))
    groups = [exact, *found_without_key(numbers, index, left, affixes)]
    groups.append(found.by_edit(numbers, index))
    groups.append(found.by_head(numbers, index, left))
    return found.other_numbers_apart(_each_once(joined(groups)), numbers, index)


def found_without_key(
    numbers: Numbers, index: Index, left: I64, affixes: U64 | None = None
) -> list[Pairs]:
    """Return the claims on lines whose key is no part's: look-alikes, damage, affixes."""
    return [
        found.by_fold(numbers, index, left),
        damaged.by_form(numbers, index, left),
        damaged.by_affix(numbers, index, left, affixes),
    ]


def _each_once(pairs: Pairs) -> Pairs:
    """Return the pairs in order of line and row, the surest way of each."""
    import numpy as np

    # One sortable number a pair: a chunk has few lines, an index fewer rows than 2^36.
    order = np.argsort((pairs.line << 40) | (pairs.row << 4) | pairs.way)
    line, row = pairs.line[order], pairs.row[order]
    fresh = np.ones(len(order), dtype=np.bool_)
    fresh[1:] = (line[1:] != line[:-1]) | (row[1:] != row[:-1])
    kept = order[fresh]
    return Pairs(line[fresh], row[fresh], pairs.way[kept], pairs.affix[kept])


def judge(index: Index, words: LineWords, makers: U64, pairs: Pairs) -> Judged:
    """Compare descriptions and makers of each pair."""
    import numpy as np

    agreed = agreement(words, index, pairs.line, pairs.row)
    theirs, ours = index.gather("maker", pairs.row), makers[pairs.line]
    both = (theirs != 0) & (ours != 0)
    maker = np.where(both, np.where(theirs == ours, MAKER_SAME, MAKER_OTHER), 0).astype(np.int32)
    said = np.where(agreed.explained == UNSAID, 0, agreed.explained).astype(np.int32)
    value = said - CONFLICT_COST * (agreed.conflict > 0)
    return Judged(pairs, agreed, maker, value.astype(np.int32))


def is_taught(pairs: Pairs, learned: Learned) -> Bool:
    """Say which pairs rest on nothing that the list would have to teach, or on what it taught."""
    import numpy as np

    taught: Bool = (pairs.way < Way.ZEROS) | ((pairs.way == Way.ZEROS) & learned.zeros_lost)
    affixed = np.flatnonzero(pairs.affix)
    taught[affixed] = np.isin(pairs.affix[affixed], learned.affixes)
    return taught


def claims(judged: Judged, taught: Bool, lengths: I32, count: int) -> tuple[I64, Claim]:
    """Return for each line the pair that it most surely claims (-1: none), and the facts of it."""
    import numpy as np

    pairs = judged.pairs
    able = np.flatnonzero(taught & (pairs.way <= Way.SUFFIX))
    other = judged.maker[able] == MAKER_OTHER
    ranked = (pairs.row[able], pairs.way[able], -judged.value[able], other, pairs.line[able])
    order = np.lexsort(ranked)
    able, other = able[order], other[order]
    line = pairs.line[able]
    first = np.ones(len(line), dtype=np.bool_)
    first[1:] = line[1:] != line[:-1]
    claim: I64 = np.full(count, -1, dtype=np.int64)
    claim[line[first]] = able[first]
    value: I32 = (
        np.where(claim >= 0, judged.value[claim], 0) if len(able) else np.zeros(count, np.int32)
    )
    rest = able[~first & ~other]
    close = judged.value[rest] > value[pairs.line[rest]] - MARGIN
    alone: Bool = np.ones(count, dtype=np.bool_)
    alone[pairs.line[rest[close]]] = False
    return claim, _facts(judged, claim, (value, alone, lengths))


def _facts(judged: Judged, claim: I64, of_line: tuple[I32, Bool, I32]) -> Claim:
    """Return what the decision looks at, one row a line."""
    import numpy as np

    value, alone, lengths = of_line
    pairs, at, has = judged.pairs, np.maximum(claim, 0), claim >= 0
    rival = _best_of(judged, Way.EDIT, len(claim))
    letter_rival = _best_of(judged, Way.LETTER, len(claim))
    if not len(pairs.line):
        no = np.zeros(len(claim), dtype=np.bool_)
        return Claim(value, lengths, no, value, value, rival, rival, no, no, alone, no, no)
    return Claim(
        way=np.where(has, pairs.way[at], 0),
        length=lengths,
        said=has & (judged.agreed.explained[at] != UNSAID),
        explained=value,
        fit=np.where(has, judged.agreed.fit[at], 0),
        rival=rival,
        letter_rival=letter_rival,
        contradicted=judged.agreed.conflict[at] > 0,
        other_maker=judged.maker[at] == MAKER_OTHER,
        alone=alone,
        learned=has,
        apart=judged.agreed.apart[at] & (judged.maker[at] != MAKER_SAME),
    )


def _best_of(judged: Judged, way: Way, count: int) -> I32:
    """Return for each line how well the best part found in one way fits it.

    A contradiction is left out: what rules a part out as the line's may itself be the slip.
    """
    import numpy as np

    best: I32 = np.full(count, -CONFLICT_COST * 100 * FIT_STEP, dtype=np.int32)
    at = np.flatnonzero((judged.pairs.way == way) & (judged.maker != MAKER_OTHER))
    cost = CONFLICT_COST * 100 * FIT_STEP * (judged.agreed.conflict[at] > 0)
    np.maximum.at(best, judged.pairs.line[at], judged.agreed.fit[at] + cost.astype(np.int32))
    return best


def _collected(index: Index, lane: I8, numbered: Numbered, worded: Judged) -> Matched:
    """Return lanes and candidates: the part of a settled line, the five best of any other."""
    import numpy as np

    judged, taught, facts = numbered.judged, numbered.taught, numbered.facts
    is_settled = lane == Lane.SETTLED
    settled, open_line = np.flatnonzero(is_settled), ~is_settled[judged.pairs.line]
    near = (judged.pairs.way > Way.ZEROS) & ~taught
    poor = near & (judged.agreed.explained < LEAST_NEAR)
    offered = np.flatnonzero(open_line & ~poor)
    sought: Bool = np.zeros(len(lane), dtype=np.bool_)
    sought[worded.pairs.line] = True
    known = np.sort(_pair_numbers(judged.pairs)[sought[judged.pairs.line]])
    apart = ~_is_among(_pair_numbers(worded.pairs), known)
    told = worded.agreed.explained
    likely = np.flatnonzero((told >= LEAST_BY_WORDS) & (told != UNSAID) & apart)
    picks = [
        (judged, taught, numbered.claim[settled]),
        (judged, taught, offered),
        (worded, None, likely),
    ]
    line = np.concatenate([each.pairs.line[at] for each, _, at in picks])
    row = np.concatenate([each.pairs.row[at] for each, _, at in picks])
    rank = np.concatenate([_rank(each, at) for each, _, at in picks])
    code = np.concatenate([_codes(each, known, at, facts) for each, known, at in picks])
    order = np.argsort((line << 46) | ((_MOST_RANK - rank).astype(np.int64) << 36) | row)
    order = order[first_few(line[order], MOST_OFFERED)]
    lane[line[order]] = np.maximum(lane[line[order]], Lane.REVIEW)
    first = np.searchsorted(line[order], np.arange(len(lane) + 1))
    return Matched(lane, first, index.gather("part_id", row[order]), code[order])


def _pair_numbers(pairs: Pairs) -> I64:
    """Return one number for each pair of line and row."""
    return (pairs.line << 36) | pairs.row


def _is_among(values: I64, known: I64) -> Bool:
    """Say which values stand in a sorted column."""
    import numpy as np

    place = np.minimum(np.searchsorted(known, values), max(0, len(known) - 1))
    among: Bool = known[place] == values if len(known) else np.zeros(len(values), dtype=np.bool_)
    return among


def _rank(judged: Judged, at: I64) -> I32:
    """Return the order in which candidates are offered, highest first."""
    import numpy as np

    bonus = np.array([0, *(WAY_RANK[way] for way in Way)], dtype=np.int32)
    other = 40 * (judged.maker[at] == MAKER_OTHER)
    rank: I32 = bonus[judged.pairs.way[at]] + judged.value[at] - other
    return rank


def _codes(judged: Judged, taught: Bool | None, at: I64, facts: Claim) -> I64:
    """Return the evidence code of each candidate (see `evidence.FIELDS`)."""
    import numpy as np

    line = judged.pairs.line[at]
    known = taught[at] if taught is not None else np.zeros(len(at), dtype=np.bool_)
    columns = {
        "way": judged.pairs.way[at],
        "explained": judged.agreed.explained[at],
        "held": judged.agreed.held[at],
        "conflict": judged.agreed.conflict[at],
        "maker": judged.maker[at],
        "rival": np.maximum(
            np.maximum(facts.rival, facts.letter_rival)[line] // (100 * FIT_STEP), 0
        ),
        "alone": facts.alone[line],
        "taught": known,
        "apart": judged.agreed.apart[at],
    }
    code: I64 = np.zeros(len(at), dtype=np.int64)
    for name, column in columns.items():
        code |= column.astype(np.int64) << FIELDS[name][0]
    return code
