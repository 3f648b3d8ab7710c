"""How often the matcher was right, kind of evidence by kind, as the shop's own decisions tell.

A reading's confidence is a rank until enough lines of its kind of evidence were judged here; then
it is the lower bound of that kind's precision (Wilson, one-sided 95 %), and a kind whose bound is
under the threshold settles nothing any more. Enough is what a faultless record would need to
clear the threshold. Nothing is ever promoted: facts settle, the record only takes away. Of settled
lines only those count that were picked to be checked: errors alone, as they turn up, are no sample.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import ceil

from partsdb.matching.readings import Reading, ReadingKind
from partsdb.rules.evidence_grade import Z_95_ONE_SIDED, posterior, wilson_interval

THRESHOLD = 0.95
# n right of n have the lower bound n / (n + z²).
ENOUGH = ceil(THRESHOLD * Z_95_ONE_SIDED**2 / (1 - THRESHOLD))
SETTLED = (ReadingKind.OFFER, ReadingKind.REPLACEMENT)


@dataclass(frozen=True, slots=True)
class Precision:
    """What the shop's record says of one kind of evidence: `right` of `judged` lines."""

    kind: str
    right: int
    judged: int

    @property
    def is_enough(self) -> bool:
        """Say whether so many lines were judged that the bound means something."""
        return self.judged >= ENOUGH

    @property
    def expected(self) -> float:
        """Return the expected precision: the mean of the Beta posterior from a uniform prior."""
        return posterior(self.right, self.judged).mean

    @property
    def low(self) -> float:
        """Return the lower bound of the precision, one-sided 95 % (Wilson)."""
        return wilson_interval(self.right, self.judged, Z_95_ONE_SIDED).low if self.judged else 0.0

    @property
    def is_doubted(self) -> bool:
        """Say whether the record speaks against settling lines by this kind of evidence."""
        return self.is_enough and self.low < THRESHOLD

    @property
    def text(self) -> str:
        """Return in words what the record says, and whether it is enough."""
        told = f"{self.right} of {self.judged} judged here were right"
        if self.is_enough:
            return f"{told}: at least {self.low:.1%}"
        return f"{told}: too few to calibrate, {ENOUGH} are needed"


def evidence_kind(reading: Reading) -> str:
    """Return by what kind of evidence a reading came about: what its record is kept under."""
    if reading.kind is ReadingKind.TO_REVIEW:
        first = reading.candidates[0].evidence[0] if reading.candidates else None
        # "…-258 against …-259: substituted digit": the kind stands last.
        how = first.text.rpartition(": ")[2] if first and ": " in first.text else "the number"
        return f"proposed by {_without_names(how)}" if first else "nothing proposed"
    if reading.kind not in SETTLED:
        return f"{reading.kind.value} by its words"
    what = "claim to replace" if reading.kind is ReadingKind.REPLACEMENT else "number"
    if reading.damage:
        return f"{what}, {_without_names(reading.damage)}"
    agreeing = {each.name for each in reading.evidence if each.weighs == "for"} - {
        "number", "words", "claim",
    }  # fmt: skip
    return f"{what} and maker" if "maker" in agreeing else (
        f"{what} and description" if agreeing else f"{what} alone"
    )  # fmt: skip


def _without_names(how: str) -> str:
    """Return a damage without the signs that one list happens to add."""
    words = how.split()
    is_affix = len(words) > 2 and words[0] in ("prefix", "suffix")
    return f"learned {words[0]}" if is_affix else how


def precisions(judged: Iterable[tuple[str, bool]]) -> dict[str, Precision]:
    """Return the record by kind of evidence from (kind, was right) of each line judged."""
    right: Counter[str] = Counter()
    total: Counter[str] = Counter()
    for kind, was_right in judged:
        total[kind] += 1
        right[kind] += was_right
    return {kind: Precision(kind, right[kind], total[kind]) for kind in sorted(total)}


def was_right(reading: Reading, kind: ReadingKind, part_id: int | None) -> bool:
    """Say whether a reading, or its first proposal, is what a person decided."""
    if reading.kind is ReadingKind.TO_REVIEW:
        return bool(reading.candidates) and reading.candidates[0].part_id == part_id
    return (reading.kind, reading.part_id) == (kind, part_id)


def calibrated(reading: Reading, record: Mapping[str, Precision]) -> float:
    """Return the record's lower bound where it is enough, else the reading's own rank."""
    known = record.get(evidence_kind(reading))
    return round(known.low, 4) if known and known.is_enough else reading.confidence
