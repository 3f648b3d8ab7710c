"""Positions that ask the same are weighed once, and told each by its name."""

from __future__ import annotations

import pytest
from small_shop import DAY

from partsdb.jobs.vet_demands import alike, weighed_in_all
from partsdb.jobs.weigh import weigh
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PartFacts
from partsdb.store import machines

WORD = EvidenceLevel.SUPPLIERS_WORD


@pytest.fixture
def rows(small):
    for model, pressure in (("Q28", "2800 psi"), ("Q33", "3300 psi"), ("Q28E", "2800 psi")):
        small.position(small.machine(model), "hose", "hose", (), pressure)
    return machines.positions_by_role(["hose"])


def hose(rating: str) -> PartFacts:
    said = Claim(ClaimKind.RATING, rating, WORD, "", "working")
    return PartFacts("Ambrelle", "AH-7", "Hose, airless", "hose", (said,))


def test_those_that_ask_the_same_stand_together(rows):
    assert [[row.machine for row in each] for each in alike(rows)] == [["Q28", "Q28E"], ["Q33"]]


@pytest.mark.parametrize("rating", ["2800 psi", "2500 psi", "5000 psi"])
def test_a_part_comes_out_as_if_weighed_in_each(rows, rating):
    one_by_one = {
        f"{row.machine} hose": weigh(hose(rating), [row], day=DAY).verdict for row in rows
    }
    together = [weighed_in_all(hose(rating), each, None, DAY) for each in alike(rows)]
    assert dict(pair for each in together for pair in each.where) == one_by_one
