"""Reads a list too long, or against a catalogue too large, for plain Python over every part.

The engine searches the whole catalogue and proposes a few parts for each line; the rules of
`lines` then read the line against those alone. A line is an offer only if both settle on the same
part: this way may be stricter than line by line, never laxer. What the engine leaves open becomes
a question with its candidates, or whatever else the rules find: a replacement, a new part, not
ours, not a part.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, pairwise
from pathlib import Path

from partsdb.matching.catalogue import CatalogueIndex
from partsdb.matching.claims import SPLIT
from partsdb.matching.context import ListContext, wrong_key
from partsdb.matching.engine.decision import Lane
from partsdb.matching.engine.evidence import explain
from partsdb.matching.engine.match import MOST_OFFERED, Lines
from partsdb.matching.lines import read_with
from partsdb.matching.readings import CatalogueEntry, Evidence, LineText, Reading, ReadingKind
from partsdb.matching.second_look import is_decided
from partsdb.rules.descriptions import parse
from partsdb.rules.numbers import number_key

# So few lines are done in plain Python before numpy has been loaded.
_WORTH_NUMPY = 100
_REVIEW = 0.3
_SHORTEST = 3
# A number is written in so many words at most ("CW 50 434 A").
_MOST_WORDS = 4
_NUMBER_WORD = re.compile(r"[^\W_][\w./-]*\d[\w./-]*")


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the engine makes of a line: the part it settles on or None, and what it offers.

    `offered` holds (part id, evidence code), best first.
    """

    settled: int | None
    offered: tuple[tuple[int, int], ...]


def proposals(folder: Path, lines: Sequence[LineText], context: ListContext) -> list[Proposal]:
    """Return the engine's word on each line, from the index in `folder`.

    The index must hold the makers' keys; StoreError when there is none.
    """
    return _matched(
        folder,
        Lines(
            [(line.maker_number or line.code).strip() for line in lines],
            [line.description for line in lines],
            [context.maker_of(line.maker) if line.maker.strip() else "" for line in lines],
        ),
    )


def claim_proposals(folder: Path, lines: Sequence[LineText]) -> list[Proposal]:
    """Return what the numbers lead to that the lines claim to replace, each number once."""
    numbers = sorted(set(chain.from_iterable(map(_claimed_numbers, lines))))
    empty = [""] * len(numbers)
    return _matched(folder, Lines(numbers, empty, empty)) if numbers else []


def written_keys(lines: Iterable[LineText]) -> set[str]:
    """Return the key of everything in the lines that may be the very number of a part."""
    keys = set()
    for line in lines:
        keys |= {number_key(line.code), number_key(line.maker_number)}
        keys |= {number_key(word) for word in _NUMBER_WORD.findall(line.description)}
        for text in _claims(line):
            words = text.split()
            keys |= {number_key("".join(run)) for run in _runs(words)}
    return {key for key in keys if len(key) >= _SHORTEST}


def read_proposed(
    lines: Sequence[LineText],
    proposed: Sequence[Proposal],
    entries: Iterable[CatalogueEntry],
    *,
    context: ListContext,
) -> list[Reading]:
    """Return what each line was taken for.

    `entries` are the parts that were proposed and those whose number is one of `written_keys`.
    """
    readings = read_with(CatalogueIndex(entries), lines, context=context)
    return [
        _bounded(line, reading, proposal, context)
        for line, reading, proposal in zip(lines, readings, proposed, strict=True)
    ]


def _bounded(line: LineText, reading: Reading, proposal: Proposal, context: ListContext) -> Reading:
    """Return the reading, a question where the whole catalogue does not bear it out."""
    if is_decided(reading):
        return reading
    if reading.kind is ReadingKind.OFFER and not _is_borne_out(line, reading, proposal):
        why = "read against the whole catalogue the line does not settle on one part"
        told = (Evidence("doubt", "against", why),)
        reading = replace(reading, kind=ReadingKind.TO_REVIEW, part_id=None, confidence=_REVIEW,
                          evidence=told)  # fmt: skip
    if reading.kind is not ReadingKind.TO_REVIEW:
        return reading
    return _with_offered(reading, proposal, context.wrong.get(wrong_key(line), frozenset()))


def _is_borne_out(line: LineText, reading: Reading, proposal: Proposal) -> bool:
    """Say whether the engine settles on the same part, or has nothing to say of the line.

    It never settles a line without description; the very number, which then decides, is looked up
    in the whole catalogue whichever way a list is read.
    """
    if proposal.settled is not None:
        return proposal.settled == reading.part_id
    return not line.description.strip() and not reading.damage


def _with_offered(reading: Reading, proposal: Proposal, wrong: frozenset[int]) -> Reading:
    """Return the question with the engine's candidates behind those that the rules found."""
    from partsdb.matching.readings import Candidate

    known = {each.part_id for each in reading.candidates}
    lowest = min((each.score for each in reading.candidates), default=1.0)
    more = tuple(
        Candidate(part_id, round(min(lowest, 0.0) - 0.01 * at, 6), explain(code))
        for at, (part_id, code) in enumerate(proposal.offered, start=1)
        if part_id not in known and part_id not in wrong
    )
    return replace(reading, candidates=(*reading.candidates, *more)[:MOST_OFFERED])


def _matched(folder: Path, lines: Lines) -> list[Proposal]:
    if len(lines.numbers) < _WORTH_NUMPY:
        from partsdb.matching.engine.small import match_small

        answers = match_small(folder, lines)
        return [_proposal(each.lane, each.candidates) for each in answers]
    from partsdb.matching.engine.run import match_list

    found: list[Proposal] = []
    for matched, _ in match_list(folder, lines):
        pairs = list(zip(matched.part_id.tolist(), matched.code.tolist(), strict=True))
        bounds = pairwise(matched.first.tolist())
        lanes = matched.lane.tolist()
        found += [
            _proposal(lane, tuple(pairs[start:stop]))
            for lane, (start, stop) in zip(lanes, bounds, strict=True)
        ]
    return found


def _proposal(lane: int, candidates: tuple[tuple[int, int], ...]) -> Proposal:
    return Proposal(candidates[0][0] if lane == Lane.SETTLED else None, candidates)


def _claims(line: LineText) -> Iterator[str]:
    """Yield every text in which the line names a number of another maker."""
    if line.replaces.strip():
        yield line.replaces
    yield from parse(line.description).claims


def _runs(words: Sequence[str]) -> Iterator[Sequence[str]]:
    """Yield every few words on end."""
    for start in range(len(words)):
        for stop in range(start + 1, min(start + _MOST_WORDS, len(words)) + 1):
            yield words[start:stop]


def _claimed_numbers(line: LineText) -> Iterator[str]:
    """Yield the numbers that the line claims to replace, a maker's name beside them left out."""
    for text in _claims(line):
        for piece in (text, *SPLIT.split(text)):
            words = piece.split()
            at = [place for place, word in enumerate(words) if any(s.isdigit() for s in word)]
            if at and at[-1] - at[0] < _MOST_WORDS:
                yield " ".join(words[at[0] : at[-1] + 1])
