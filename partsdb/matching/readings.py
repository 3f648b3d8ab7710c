"""What matching is given and what it returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

# Raised whenever a line that is stored may be read otherwise than it was: `pricelist recheck` then
# tells which. 3: a letter that no key holds makes a code another number.
MATCHER_VERSION = 3


class ReadingKind(StrEnum):
    """What a line of a price list turned out to be."""

    OFFER = "offer"
    REPLACEMENT = "replacement"
    NEW_PART = "new part"
    TO_REVIEW = "to review"
    NOT_OURS = "not ours"
    NOT_A_PART = "not a part"


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """One part of our catalogue as the matcher sees it. `price` is a typical unit price or None."""

    part_id: int
    maker: str
    number: str
    description: str
    role: str = ""
    rating: str = ""


@dataclass(frozen=True, slots=True)
class LineText:
    """One item line of a list, by meaning, as written. `place` says where it stands."""

    place: str
    code: str = ""
    description: str = ""
    maker: str = ""
    maker_number: str = ""
    replaces: str = ""
    rating: str = ""
    material: str = ""
    thread: str = ""
    section: str = ""
    ean: str = ""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One named reason for or against a candidate. `weighs` is "for", "against" or "veto"."""

    name: str
    weighs: str
    text: str


@dataclass(frozen=True, slots=True)
class Candidate:
    """A part that the line may mean, with its evidence. `score` orders, it never decides."""

    part_id: int
    score: float
    evidence: tuple[Evidence, ...] = ()

    @property
    def vetoed(self) -> bool:
        """Say whether a contradiction rules the candidate out."""
        return any(e.weighs == "veto" for e in self.evidence)


@dataclass(frozen=True, slots=True)
class Reading:
    """What one line was taken for.

    `part_id` is the very part (offer), or the part of ours that it claims to replace
    (replacement); None otherwise. `damage` names an assumed repair of the code. `confidence` runs
    0 to 1 and is a rank, not a probability, until calibrated from the shop's own decisions.
    """

    kind: ReadingKind
    part_id: int | None = None
    confidence: float = 0.0
    evidence: tuple[Evidence, ...] = ()
    candidates: tuple[Candidate, ...] = field(default=())
    damage: str = ""
