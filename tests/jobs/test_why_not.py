"""Why not that one: every check of a refused part, and of one to which nothing leads."""

from __future__ import annotations

import pytest
from small_shop import SmallShop

from partsdb.errors import NotFoundError
from partsdb.jobs.instead import InsteadAsk
from partsdb.jobs.why_not import why_not
from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.verdict import Outcome, Verdict

ASK = InsteadAsk("24-1", "2026-11-20")


@pytest.fixture
def kits(small: SmallShop) -> SmallShop:
    """A kit of 3300 psi is called for; one of 3000 is a lead, one of 3600 is not known to fit."""
    asked = small.part("24-1", "valve kit", rating="3300 psi")
    low = small.part("24-0", "valve kit", rating="3000 psi")
    small.part("24-9", "valve kit", rating="3600 psi")
    small.edge(asked, low, "proposed", EvidenceLevel.INFERRED)
    small.position(small.machine(), "valve", "valve kit", (asked,), "3300 psi")
    return small


def by_name(answer) -> dict:
    return {check.check: check for check in answer.candidate.checks}


def test_a_refused_part_is_shown_with_every_check_and_its_way(kits: SmallShop) -> None:
    answer = why_not(ASK, "24-0")
    assert answer.is_lead
    assert answer.candidate.verdict is Verdict.DO_NOT_FIT
    found = by_name(answer)
    assert found["pressure"].code == "PRESSURE_LOW"
    assert found["role"].outcome is Outcome.MEETS
    assert answer.candidate.path


def test_a_part_to_which_nothing_leads_is_weighed_without_an_edge_and_that_is_said(
    kits: SmallShop,
) -> None:
    answer = why_not(ASK, "24-9")
    assert not answer.is_lead
    assert "nothing in the catalogue leads to it" in answer.notes[-1]
    found = by_name(answer)
    assert found["pressure"].outcome is Outcome.MEETS
    assert found["equivalence"].code == "EVIDENCE_WEAK"
    assert answer.candidate.verdict is Verdict.ASK_FIRST


def test_the_part_of_another_kind_fails_by_its_role(kits: SmallShop) -> None:
    kits.part("27-1", "hose", rating="5000 psi")
    answer = why_not(ASK, "Quillmere|27-1")
    assert by_name(answer)["role"].outcome is Outcome.FAILS
    assert answer.candidate.verdict is Verdict.DO_NOT_FIT


def test_the_very_part_may_be_asked_about_too(kits: SmallShop) -> None:
    answer = why_not(ASK, "24-1")
    assert answer.is_lead
    assert by_name(answer)["equivalence"].text == "the very part called for"


def test_an_unknown_number_is_refused(kits: SmallShop) -> None:
    with pytest.raises(NotFoundError):
        why_not(ASK, "99-9")
