"""A hose for what burns is conductive, by document: a stronger one that is not is no substitute."""

from __future__ import annotations

import pytest

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts, PositionDemand
from partsdb.rules.judge import judge
from partsdb.rules.verdict import Check, Outcome

MAKER = EvidenceLevel.MAKERS_DOCUMENT


def conductive(*claims: Claim, fluid: str = "xylene", role: str = "hose", said: str = "") -> list[Check]:  # fmt: skip
    part = PartFacts("Vossgrund", "V-1", said, role, claims)
    found = judge(part, PositionDemand("Q33", "hose", role, fluids=(fluid,)))
    return [check for check in found.checks if check.check == "conductive"]


def claim(kind: ClaimKind, value: str, about: str = "") -> Claim:
    return Claim(kind, value, MAKER, about, source="QH-7")


@pytest.mark.parametrize(
    ("claimed", "outcome"),
    [
        (claim(ClaimKind.DIMENSION, "yes", "conductive"), Outcome.MEETS),
        (claim(ClaimKind.DIMENSION, "no", "conductive"), Outcome.FAILS),
        (claim(ClaimKind.DIMENSION, "?", "conductive"), Outcome.FAILS),
        (claim(ClaimKind.STANDARD, "ISO 8028, conductive"), Outcome.MEETS),
        (claim(ClaimKind.MATERIAL, "leitfähiges Gummi", "hose"), Outcome.MEETS),
        (claim(ClaimKind.MATERIAL, "leitfähig, Gummi", "hose"), Outcome.MEETS),
        (claim(ClaimKind.MATERIAL, "non-conductive nylon", "hose"), Outcome.FAILS),
        (claim(ClaimKind.MATERIAL, "nicht leitfähig", "hose"), Outcome.FAILS),
        (claim(ClaimKind.MATERIAL, "conductive: no", "hose"), Outcome.NOT_SHOWN),
        (claim(ClaimKind.MATERIAL, "nylon", "hose"), Outcome.NOT_SHOWN),
    ],
)
def test_what_documents_say_of_a_hose(claimed: Claim, outcome: Outcome) -> None:
    """Handbook 1.5."""
    [found] = conductive(claimed)
    assert found.outcome is outcome


@pytest.mark.parametrize("fluid", ["water", "water-borne", "bleach", "hot alkali"])
def test_what_does_not_burn_asks_for_none(fluid: str) -> None:
    assert conductive(fluid=fluid) == []


@pytest.mark.parametrize("fluid", ["mineral spirits", "xylene", "acetone", "diesel", "primer X"])
def test_what_burns_or_may_asks_for_it(fluid: str) -> None:
    [found] = conductive(fluid=fluid, role="whip hose")
    assert found.outcome is Outcome.NOT_SHOWN
    assert fluid in found.text


def test_other_pieces_are_not_asked() -> None:
    assert conductive(role="gun") == []
