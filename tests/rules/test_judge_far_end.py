"""The end of a fitting that the hose goes onto must be that of the fitting called for.

The threads are those of ASME B1.20.1 (NPT, NPSM) and ISO 228-1 (G): geometry of the two threads.
"""

from __future__ import annotations

import pytest

from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts, PositionDemand, StandsIn
from partsdb.rules.judge import judge
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Check, Outcome, Verdict

DOCUMENT, WORD = EvidenceLevel.MAKERS_DOCUMENT, EvidenceLevel.SUPPLIERS_WORD
PLACE = PositionDemand(
    "Quillmere Q33", "fitting", "nipple", demand("3300 psi"), ports=("1/4-18 NPT female",)
)
NPT, NPSM = "1/4-18 NPT male", "1/4-18 NPSM male, 30° cone"


def nipple(number: str, *ends: str, level: EvidenceLevel = DOCUMENT) -> PartFacts:
    rating = Claim(ClaimKind.RATING, "5000 psi", DOCUMENT, "", "working", "QH-7, p. 3")
    ports = tuple(
        Claim(ClaimKind.PORT, end, level, about, "", "QH-7, p. 3")
        for about, end in zip(("inlet", "outlet"), ends, strict=False)
    )
    return PartFacts("Quillmere", number, "Nipple", "nipple", (rating, *ports))


def far_end(part: PartFacts, called_for: PartFacts) -> tuple[Verdict, list[Check]]:
    edge = StandsIn(("Quillmere", "A"), ("Quillmere", "B"), "accepted", DOCUMENT, (), "QB-1")
    found = judge(part, PLACE, original=called_for, edge=edge)
    return found.verdict, [c for c in found.checks if c.check == "thread of the other end"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ((NPT, NPSM), (NPT, "G 1/4 male, 60° cone")),
        ((NPT, NPSM), (NPT, NPT)),
        ((NPT, NPSM), (NPT, "1/4-18 NPSM female")),
        ((NPT, NPSM), (NPT, "3/8-18 NPSM male")),
        ((NPT, NPT), (NPT, "G 1/4 male")),
        ((NPT, NPT), ("G 1/4 male", NPT)),
    ],
)
def test_another_thread_at_the_other_end_is_never_a_fit(old: tuple[str], new: tuple[str]) -> None:
    verdict, checks = far_end(nipple("B", *new), nipple("A", *old))
    assert verdict is Verdict.ASK_FIRST
    (check,) = checks
    assert (check.outcome, check.code) == (Outcome.NOT_SHOWN, "THREAD_NO_SEAL")
    assert "the other end of the part called for is" in check.text


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ((NPT, NPSM), (NPT, NPSM)),
        ((NPT, NPSM), (NPT, "1/4-18 NPSM male")),
        ((NPT, NPSM), (NPSM, NPT)),
        ((NPT, NPT), (NPT, NPT)),
        ((NPT,), (NPT, "G 1/4 male")),
        ((NPT, NPSM), (NPT,)),
    ],
)
def test_the_same_other_end_or_one_that_nobody_states_says_nothing(
    old: tuple[str], new: tuple[str]
) -> None:
    assert far_end(nipple("B", *new), nipple("A", *old)) == (Verdict.FIT, [])


def test_hearsay_names_no_other_end() -> None:
    told = nipple("B", NPT, "G 1/4 male", level=WORD)
    assert far_end(told, nipple("A", NPT, NPSM))[1] == []
