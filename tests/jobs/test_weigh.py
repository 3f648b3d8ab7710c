"""The worst position decides; hearsay about the part called for asks nothing."""

from __future__ import annotations

import pytest
from small_shop import SmallShop

from partsdb.jobs.weigh import as_called_for, grades_of, supplier_grade, weigh
from partsdb.rules.facts import (
    Claim,
    ClaimKind,
    EvidenceLevel,
    KitItem,
    PartFacts,
    PositionDemand,
    StandsIn,
)
from partsdb.rules.grading import Grade
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Check, Outcome, Verdict
from partsdb.store import catalogue
from partsdb.store.rows import PositionRow

pytestmark = pytest.mark.usefixtures("small")  # what a person confirmed is looked up

DOCUMENT = EvidenceLevel.MAKERS_DOCUMENT
KEY = ("Quillmere", "27-1")


def hose(rating: str = "3600 psi", evidence: EvidenceLevel = DOCUMENT) -> PartFacts:
    rated = Claim(ClaimKind.RATING, rating, evidence, basis="working", source="QH-7")
    thread = Claim(ClaimKind.PORT, "9/16-18 JIC female", DOCUMENT, "inlet", "", "QH-7")
    claims = (thread, rated) if rating else (thread,)
    return PartFacts("Quillmere", "27-1", "", "hose", claims)


def at(pressure: str, machine: str = "Q33") -> PositionRow:
    ports = ("9/16-18 JIC male",)
    asked = PositionDemand(machine, "hose", "hose", demand(pressure), ports=ports)
    return PositionRow(1, 1, machine, "Quillmere", asked)


def pressure_check(checks: tuple[Check, ...]) -> Check:
    (found,) = [check for check in checks if check.check == "pressure"]
    return found


def test_what_meets_every_position_fits():
    weighed = weigh(hose(), [at("3000 psi"), at("3300 psi", "Q36")])
    assert weighed.verdict is Verdict.FIT


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_the_worst_position_decides_in_whatever_order(order):
    positions = [at("3000 psi", "Q28"), at("4000 psi", "Q40"), at("3300 psi", "Q33")]
    weighed = weigh(hose(), [positions[i] for i in order])
    assert weighed.verdict is Verdict.DO_NOT_FIT
    check = pressure_check(weighed.checks)
    assert check.outcome is Outcome.FAILS
    assert check.text.endswith("[Q40 hose]")
    assert weighed.checks[0] == check  # the gravest stands first


def test_each_check_stands_once_with_its_worst_outcome():
    weighed = weigh(hose(), [at("3000 psi"), at("3300 psi", "Q36")])
    names = [check.check for check in weighed.checks]
    assert len(names) == len(set(names))


def test_one_position_is_not_named_in_its_checks():
    assert "[" not in pressure_check(weigh(hose(""), [at("3300 psi")]).checks).text


def test_a_part_that_no_position_calls_for_is_asked_about_first():
    weighed = weigh(hose("9000 psi"), [])
    assert weighed.verdict is Verdict.ASK_FIRST
    assert weighed.checks[0].code == "POSITION_UNKNOWN"


def test_even_hardware_is_asked_about_where_nobody_calls_for_it():
    collar = PartFacts("Quillmere", "31-9", "", "collar")
    asked = PositionDemand("Q33", "lock collar", "collar")
    row = PositionRow(1, 1, "Q33", "Quillmere", asked)
    assert weigh(collar, [row], original=collar).verdict is Verdict.FIT
    assert weigh(collar, [], original=collar).verdict is Verdict.ASK_FIRST


def test_barred_is_not_fitted_even_where_nothing_is_asked():
    grade = Grade("part", "Quillmere 27-1", "barred")
    assert weigh(hose(), [], grade=grade).verdict is Verdict.DO_NOT_FIT
    assert weigh(hose(), [at("3000 psi")], grade=grade).verdict is Verdict.DO_NOT_FIT


def test_an_unknown_rating_is_no_pass_in_any_position():
    assert weigh(hose(""), [at("100 psi")]).verdict is Verdict.ASK_FIRST


def test_conditions_of_all_positions_are_gathered_once():
    edge = StandsIn(("Quillmere", "27-0"), KEY, "accepted", DOCUMENT, ("from serial 4000",), "QB-1")
    weighed = weigh(hose(), [at("3000 psi"), at("3300 psi", "Q36")], edges=(edge,))
    assert weighed.verdict is Verdict.FIT_WITH_CONDITIONS
    assert weighed.conditions.count("from serial 4000") == 1


def test_two_edges_are_a_lead_and_never_an_approval():
    one = StandsIn(("Quillmere", "27-0"), ("Quillmere", "27-9"), "accepted", DOCUMENT)
    two = StandsIn(("Quillmere", "27-9"), KEY, "accepted", DOCUMENT)
    assert weigh(hose(), [at("3000 psi")], edges=(one, two)).verdict is Verdict.ASK_FIRST


def claim(evidence: EvidenceLevel) -> Claim:
    return Claim(ClaimKind.MATERIAL, "tungsten carbide", evidence, "ball")


@pytest.mark.parametrize("evidence", EvidenceLevel)
def test_what_sellers_say_of_the_part_called_for_sets_no_demand(evidence):
    original = PartFacts("Quillmere", "24-1", "", "valve kit", (claim(evidence),))
    hearsay = evidence in (EvidenceLevel.SUPPLIERS_WORD, EvidenceLevel.INFERRED)
    assert as_called_for(original).claims == (() if hearsay else (claim(evidence),))


def test_a_sellers_praise_of_the_original_does_not_make_its_stand_in_softer():
    # Only Saltreeve calls the original's ball carbide, so a 440C ball is no downgrade by it.
    kit = (KitItem("Ball", "ball", 1, "wear item", "440C stainless"),)
    stand_in = PartFacts("Corrowby", "CW 1", "", "valve kit", contents=kit)

    def codes(evidence: EvidenceLevel) -> set[str]:
        original = PartFacts("Quillmere", "24-1", "", "valve kit", (claim(evidence),))
        edge = StandsIn(("Quillmere", "24-1"), ("Corrowby", "CW 1"), "accepted", DOCUMENT)
        asked = PositionRow(1, 1, "Q33", "Quillmere", PositionDemand("Q33", "valve", "valve kit"))
        return {c.code for c in weigh(stand_in, [asked], original=original, edges=(edge,)).checks}

    assert "MATERIAL_DOWNGRADE" in codes(DOCUMENT)
    assert "MATERIAL_DOWNGRADE" not in codes(EvidenceLevel.SUPPLIERS_WORD)


def test_a_parts_own_grade_counts_before_its_makers_and_barred_before_all(small: SmallShop):
    plain, own, barred = small.part("1"), small.part("2"), small.part("3")
    other = small.part("4", maker="Corrowby")
    rows = catalogue.part_rows([plain, own, barred, other])
    assert grades_of(list(rows.values())) == dict.fromkeys(rows)
    small.grade("maker", rows[plain].maker_id, "B")
    small.grade("part", own, "D")
    small.grade("part", barred, "barred")
    found = grades_of(list(rows.values()))
    assert {i: g.grade if g else None for i, g in found.items()} == {
        plain: "B", own: "D", barred: "barred", other: None,
    }  # fmt: skip


def test_a_barred_maker_bars_a_part_that_is_graded_well(small: SmallShop):
    part = small.part("1")
    small.grade("part", part, "A")
    small.grade("maker", catalogue.part_rows([part])[part].maker_id, "barred")
    (grade,) = grades_of(list(catalogue.part_rows([part]).values())).values()
    assert grade is not None
    assert grade.grade == "barred"


def test_a_suppliers_grade_is_its_newest(small: SmallShop):
    supplier = small.supplier("Saltreeve")
    assert supplier_grade(supplier, "Saltreeve") is None
    small.grade("supplier", supplier, "B")
    small.grade("supplier", supplier, "D")
    found = supplier_grade(supplier, "Saltreeve")
    assert found is not None
    assert (found.grade, found.reason) == ("D", "bench")
