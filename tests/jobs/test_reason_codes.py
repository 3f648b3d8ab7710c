"""Reason codes that need the shop's memory: one way only, expired papers, barred lots."""

from __future__ import annotations

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.why_not import why_not
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Outcome, Verdict
from partsdb.store import claims, edges, lots
from partsdb.store.rows import NewClaim, NewEdge, SupersessionRow
from partsdb.store.rows_bench import NewLot

ASK = InsteadAsk("27-1", DAY)


@pytest.fixture
def hoses(small: SmallShop) -> tuple[int, int]:
    """A hose of 5000 psi may stand in for one of 3300 psi; both have the same ends."""
    asked, other = (small.part(n, "hose", rating=r) for n, r in (("27-1", "3300 psi"), ("27-2", "5000 psi")))  # fmt: skip
    for part in (asked, other):
        small.claim(part, ClaimKind.PORT, "1/4-18 NPSM female, 30° cone")
    small.edge(asked, other, "accepted", EvidenceLevel.MEASURED_HERE)
    small.position(
        small.machine(), "hose", "hose", (asked,), "3300 psi",
        ports=("1/4-18 NPSM male, 30° cone",),
    )  # fmt: skip
    return asked, other


def codes(candidate) -> dict[str, Outcome]:
    return {check.code: check.outcome for check in candidate.checks if check.code}


def test_an_edge_the_other_way_is_said_and_shows_nothing(
    small: SmallShop, hoses: tuple[int, int]
) -> None:
    found = why_not(InsteadAsk("27-2", DAY), "27-1")
    assert codes(found.candidate)["ONE_WAY_ONLY"] is Outcome.NOT_SHOWN
    assert found.candidate.verdict is not Verdict.FIT


def test_an_old_number_is_not_shown_in_the_place_of_its_successor(small: SmallShop) -> None:
    old, new = small.part("24-0", "valve kit"), small.part("24-1", "valve kit")
    edges.add_supersession(SupersessionRow(0, old, new, None, "", "", "QB-98"), by=BY)
    small.position(small.machine(), "valve", "valve kit", (new,), "3300 psi")
    assert "ONE_WAY_ONLY" in codes(why_not(InsteadAsk("24-1", DAY), "24-0").candidate)


def test_a_rating_on_an_expired_certificate_is_not_shown_and_says_so(
    small: SmallShop, hoses: tuple[int, int]
) -> None:
    other = small.part("27-3", "hose")
    small.claim(other, ClaimKind.PORT, "1/4-18 NPSM female, 30° cone")
    said = Claim(ClaimKind.RATING, "5000 psi", EvidenceLevel.SUPPLIERS_DOCUMENT, "", "working",
                 "certificate 12, valid to 2026-06-30")  # fmt: skip
    claims.add_claims([NewClaim(other, said)], by=BY)
    small.edge(hoses[0], other, "accepted", EvidenceLevel.MEASURED_HERE)
    late = {c.number: c for c in instead(ASK).candidates}["27-3"]
    assert codes(late)["CERT_EXPIRED"] is Outcome.NOT_SHOWN
    assert late.verdict is Verdict.ASK_FIRST
    early = {c.number: c for c in instead(InsteadAsk("27-1", "2026-06-30")).candidates}["27-3"]
    assert "CERT_EXPIRED" not in codes(early)
    assert early.verdict is Verdict.FIT_WITH_CONDITIONS


def test_a_barred_lot_is_named_as_a_condition(small: SmallShop, hoses: tuple[int, int]) -> None:
    lot = lots.add_lot(NewLot(small.supplier("Saltreeve"), hoses[1], 5, "2026-02-01", "B7"))
    assert "LOT_RECALLED" not in codes(instead(ASK).candidates[0])
    lots.set_state(lot, "barred")
    [found] = instead(ASK).candidates
    assert codes(found)["LOT_RECALLED"] is Outcome.MEETS_WITH_CONDITIONS
    assert found.verdict is Verdict.FIT_WITH_CONDITIONS
    assert any("take none of lot" in text for text in found.conditions)


def test_an_approval_on_a_paper_that_has_run_out_is_asked_again(small: SmallShop) -> None:
    asked, other = (small.part(n, "collar") for n in ("1", "2"))
    small.position(small.machine(), "collar", "collar", (asked,))
    edges.add_edge(
        NewEdge(asked, other, "accepted", EvidenceLevel.MAKERS_DOCUMENT, (), "TB 9, valid to 2026-06-30"),
        by=BY,
    )  # fmt: skip
    for day, verdict in (("2026-06-30", Verdict.FIT), (DAY, Verdict.ASK_FIRST)):
        [found] = instead(InsteadAsk("1", day)).candidates
        assert found.verdict is verdict
