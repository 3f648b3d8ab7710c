"""A second reading of the engine's rules, line by line in plain Python: what it is measured by.

The engine decides many lines at once in columns. Here the same rules stand as they are said, one
line after another; the tests compare the two byte for byte.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from partsdb.errors import StoreError
from partsdb.matching.engine.agreement import CONFLICT_COST, UNSAID
from partsdb.matching.engine.decision import (
    AGREED_OTHERWISE,
    FIT_STEP,
    MARGIN,
    WAY_RANK,
    Claim,
    Lane,
    Way,
    settles,
)
from partsdb.matching.engine.evidence import MAKER_OTHER, MAKER_SAME, MAKER_UNKNOWN, pack
from partsdb.matching.engine.learned import barred_affixes, is_shown, sampled, zeros_are_lost
from partsdb.matching.engine.mapped_index import MappedIndex
from partsdb.matching.engine.match import (
    LEAST_BY_WORDS,
    LEAST_NEAR,
    MOST_OFFERED,
    POOR,
    Lines,
)
from partsdb.matching.engine.number_tables import maker_hashes
from partsdb.matching.engine.texts import short_key
from tests.matching.engine.plain_numbers import Hit, claimed_hits, hits_of, key_hits, word_hits
from tests.matching.engine.plain_words import Fit, Said, fit, said


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one line: its lane, and (part id, evidence code) of its candidates."""

    lane: Lane
    candidates: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Weighed:
    """A part that a line may mean, with how it was found and how it explains the line."""

    hit: Hit
    fit: Fit
    maker: int
    taught: bool


@dataclass(frozen=True, slots=True)
class Taught:
    """What the list teaches: affixes by hash, and whether it lost its leading zeros."""

    affixes: frozenset[int] = frozenset()
    zeros_lost: bool = False


def plain_way(folder: Path, lines: Lines) -> list[Answer]:
    """Return what became of each line, as `match.match_chunk` decides it.

    StoreError when there is no index in `folder`.
    """
    index = MappedIndex(folder)
    if not index.is_ready:
        raise StoreError("the catalogue index is missing", hint="build it from the database")
    taught = learn_plainly(index, lines)
    makers = maker_hashes(lines.makers)
    rows = zip(lines.numbers, lines.descriptions, makers, strict=True)
    return [_match(index, row, taught) for row in rows]


def learn_plainly(index: MappedIndex, lines: Lines) -> Taught:
    """Return what the list teaches, as `learn.learn` reads it."""
    at = sampled(lines.numbers)
    hits: Counter[int] = Counter()
    agreed: Counter[int] = Counter()
    zeros = [0, 0]
    for i in at:
        number, said_here = lines.numbers[i], said(index, lines.descriptions[i])
        if not short_key(number) or key_hits(index, short_key(number)):
            continue
        for hit in claimed_hits(index, number, frozenset()):
            found = fit(index, said_here, hit.row)
            agrees = found.value >= AGREED_OTHERWISE and found.explained != UNSAID
            if hit.way == Way.ZEROS:
                zeros[0] += agrees
                zeros[1] += 1
            elif hit.way > Way.ZEROS:
                hits[hit.affix] += 1
                agreed[hit.affix] += agrees
    written = [lines.numbers[i].strip() for i in at]
    kept = sum(text.isdecimal() and text[0] == "0" for text in written)
    shown = (each for each in hits if is_shown(agreed[each], hits[each], lines=len(at)))
    lost = zeros_are_lost(zeros[0], zeros[1], kept, lines=len(at))
    return Taught(frozenset(shown) - barred_affixes(), lost)


def _match(index: MappedIndex, row: tuple[str, str, int], taught: Taught) -> Answer:
    number, description, maker = row
    line = said(index, description)
    numbered = _weighed(index, hits_of(index, number, taught.affixes), (line, maker), taught)
    claim, facts = _claim(numbered, len(short_key(number)))
    if claim is not None and settles(facts):
        return Answer(Lane.SETTLED, _coded(index, [claim], facts))
    best = max((each.fit.value for each in numbered), default=-CONFLICT_COST)
    worded: list[Weighed] = []
    if max(best, -CONFLICT_COST) < POOR:
        hits = word_hits(index, [word.id for word in line.words])
        seen = {each.hit.row for each in numbered}
        fresh = [hit for hit in hits if hit.row not in seen]
        worded = _weighed(index, fresh, (line, maker), Taught())
    offered = [each for each in numbered if not _is_poor(each)]
    offered += [e for e in worded if LEAST_BY_WORDS <= e.fit.explained != UNSAID]
    offered.sort(key=lambda each: (-_rank(each), each.hit.row))
    shown = _coded(index, offered[:MOST_OFFERED], facts)
    return Answer(Lane.REVIEW if shown else Lane.NONE, shown)


def _weighed(
    index: MappedIndex, hits: Sequence[Hit], line: tuple[Said, int], taught: Taught
) -> list[Weighed]:
    """Compare description and maker of each hit."""
    found = []
    for hit in hits:
        theirs = index.value("maker", hit.row)
        same = MAKER_SAME if theirs == line[1] else MAKER_OTHER
        maker = same if theirs and line[1] else MAKER_UNKNOWN
        is_taught = hit.way < Way.ZEROS or (
            taught.zeros_lost if hit.way == Way.ZEROS else hit.affix in taught.affixes
        )
        found.append(Weighed(hit, fit(index, line[0], hit.row), maker, is_taught))
    return found


def _claim(weighed: list[Weighed], length: int) -> tuple[Weighed | None, Claim]:
    """Return the part that the line most surely claims, and the facts of it."""
    able = [each for each in weighed if each.taught and each.hit.way <= Way.SUFFIX]
    able.sort(key=lambda e: (e.maker == MAKER_OTHER, -e.fit.value, e.hit.way, e.hit.row))
    first = able[0] if able else None
    value = first.fit.value if first else 0
    rest = [each for each in able[1:] if each.maker != MAKER_OTHER]
    facts = Claim(
        way=int(first.hit.way) if first else 0,
        length=length,
        said=first is not None and first.fit.explained != UNSAID,
        explained=value,
        fit=first.fit.fit if first else 0,
        rival=_best_of(weighed, Way.EDIT),
        letter_rival=_best_of(weighed, Way.LETTER),
        contradicted=first is not None and first.fit.conflict > 0,
        other_maker=first is not None and first.maker == MAKER_OTHER,
        alone=not any(each.fit.value > value - MARGIN for each in rest),
        learned=first is not None,
        apart=first is not None and first.fit.apart and first.maker != MAKER_SAME,
    )
    return first, facts


def _best_of(weighed: list[Weighed], way: Way) -> int:
    """Return how well the best part found in one way fits, contradictions left out."""
    cost = CONFLICT_COST * 100 * FIT_STEP
    near = (e.fit for e in weighed if e.hit.way == way and e.maker != MAKER_OTHER)
    return max((fit.fit + cost * (fit.conflict > 0) for fit in near), default=-cost)


def _is_poor(each: Weighed) -> bool:
    """Say whether a part only lies near by number and hardly explains the line."""
    is_near = each.hit.way > Way.ZEROS and not each.taught
    return is_near and each.fit.explained < LEAST_NEAR


def _rank(each: Weighed) -> int:
    return WAY_RANK[each.hit.way] + each.fit.value - 40 * (each.maker == MAKER_OTHER)


def _coded(index: MappedIndex, offered: list[Weighed], facts: Claim) -> tuple[tuple[int, int], ...]:
    """Return part id and evidence code of each candidate."""
    rival = max(facts.rival, facts.letter_rival) // (100 * FIT_STEP)
    coded = []
    for each in offered:
        seen = {
            "way": int(each.hit.way), "explained": each.fit.explained, "held": each.fit.held,
            "conflict": each.fit.conflict, "maker": each.maker, "rival": max(rival, 0),
            "alone": int(facts.alone), "taught": int(each.taught), "apart": int(each.fit.apart),
        }  # fmt: skip
        coded.append((index.value("part_id", each.hit.row), pack(seen)))
    return tuple(coded)
