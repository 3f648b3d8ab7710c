"""How a lot is inspected: ISO 2859-1 and zero-acceptance plans (handbook 6.1 to 6.3)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from partsdb.errors import UsageError
from partsdb.rules.inspection import (
    ISO,
    ZERO,
    Decision,
    InspectionPolicy,
    decide,
    inspection_plan,
    measures,
    oc_curve,
)
from partsdb.rules.roles import known_roles
from partsdb.rules.sampling import AQLS, LEVELS
from partsdb.rules.switching import LotResult, Severity
from partsdb.tables import rows

SERIES = [LotResult(True)]


def results(*accepted: bool) -> list[LotResult]:
    return [LotResult(each) for each in accepted]


@pytest.mark.parametrize(
    ("lot", "n", "source"),
    [
        (1, 1, "nothing else can be done"),
        (10, 10, "handbook 6.3: of ten kits inspect all ten"),
        (20, 14, "handbook 6.3: N 20 D 2 -> 14"),
        (50, 18, "references.md: N 50 D 5, n 18 gives 0.0950, n 17 gives 0.1120"),
    ],
)
def test_a_pressure_part_is_let_pass_with_no_reject_at_all(lot, n, source):
    plan = inspection_plan(lot, "valve kit", SERIES)
    assert (plan.scheme, plan.n, plan.c) == (ZERO, n, 0), source


def test_the_shop_sets_its_own_risk():
    """Handbook 6.3: N 50 D 3, risk 10 % -> 27 (6 % of 50 is 3)."""
    policy = InspectionPolicy(Fraction("0.06"), Fraction("0.10"))
    assert inspection_plan(50, "hose", SERIES, policy=policy).n == 27


@pytest.mark.parametrize(
    ("lot", "n", "c", "source"),
    [
        (200, 50, 1, "handbook 6.2: lot 200, II, AQL 1.0 -> G -> down -> n 50, Ac 1"),
        (20, 13, 0, "handbook 6.1 C, 6.2: AQL 1.0 down to E, n 13, Ac 0"),
        (1000, 80, 2, "handbook 6.1 J, 6.2: J at 1.0 is n 80, Ac 2"),
        (10, 10, 0, "handbook 6.2: n 13 of a lot of 10 means inspect all"),
    ],
)
def test_a_wear_part_of_a_series_follows_the_standard(lot, n, c, source):
    plan = inspection_plan(lot, "packing", SERIES)
    assert (plan.scheme, plan.n, plan.c) == (ISO, n, c), source


def test_the_first_lot_of_a_source_is_no_series():
    """Handbook 6.2: one-off lots are outside these schemes, use c = 0."""
    plan = inspection_plan(200, "packing", [])
    assert (plan.scheme, plan.c) == (ZERO, 0)


def test_two_rejected_of_five_tighten_the_next_inspection():
    """Handbook 6.2; tightened G at 1.0: s = 6+10 = 16 down, H 17 down, J s = 18 -> n 80, Ac 1."""
    plan = inspection_plan(200, "packing", results(True, False, True, False))
    assert plan.severity is Severity.TIGHTENED
    assert (plan.n, plan.c) == (80, 1)


def test_five_rejected_on_tightened_stop_the_buying():
    past = results(*[False] * 7)
    plan = inspection_plan(200, "packing", past)
    assert plan.severity is Severity.DISCONTINUED
    assert plan.is_every_piece
    assert decide(plan, "packing", sampled=200, rejected=0)[0] is Decision.HOLD


def test_a_source_graded_d_has_every_piece_inspected():
    assert inspection_plan(200, "pin", SERIES, grade="D").n == 200


def test_a_role_that_nobody_knows_counts_as_holding_pressure():
    assert inspection_plan(50, "flux capacitor", SERIES).scheme == ZERO


def test_an_empty_lot_is_refused():
    with pytest.raises(UsageError, match="nothing to inspect"):
        inspection_plan(0, "hose", [])


@pytest.mark.parametrize(
    ("sampled", "rejected", "decision"),
    [
        (50, 0, Decision.ACCEPT),
        (50, 1, Decision.ACCEPT),
        (50, 2, Decision.RETURN),
        (49, 0, Decision.HOLD),
        (10, 2, Decision.RETURN),
        (200, 2, Decision.HOLD),
        (200, 200, Decision.RETURN),
    ],
)
def test_the_counts_decide_a_lot_of_wear_parts(sampled, rejected, decision):
    plan = inspection_plan(200, "packing", SERIES)
    assert decide(plan, "packing", sampled=sampled, rejected=rejected)[0] is decision


def test_a_pressure_part_is_never_sorted():
    plan = inspection_plan(10, "hose", SERIES)
    assert decide(plan, "hose", sampled=10, rejected=1)[0] is Decision.RETURN
    assert decide(plan, "hose", sampled=9, rejected=0)[0] is Decision.HOLD


@pytest.mark.parametrize(("sampled", "rejected"), [(0, 0), (11, 0), (5, 6), (5, -1)])
def test_counts_that_cannot_be_are_refused(sampled, rejected):
    with pytest.raises(UsageError, match="cannot be"):
        decide(inspection_plan(10, "hose", []), "hose", sampled=sampled, rejected=rejected)


def test_a_lot_without_a_bad_piece_always_passes_and_the_curve_falls():
    for lot, role in ((8, "hose"), (50, "hose"), (200, "packing"), (3000, "packing")):
        curve = oc_curve(inspection_plan(lot, role, SERIES))
        assert curve[0] == (0, 1)
        chances = [chance for _, chance in curve]
        assert chances == sorted(chances, reverse=True)


def test_the_curve_reads_as_the_handbook_has_it():
    """Handbook 6.3: 13,0 lets 1 % pass .8775 and 10 % .2542."""
    plan = inspection_plan(30, "packing", SERIES)
    assert (plan.n, plan.c) == (13, 0)
    curve = dict(oc_curve(plan))
    assert curve[0.01] == pytest.approx(0.8775, abs=5e-5)
    assert curve[0.10] == pytest.approx(0.2542, abs=5e-5)


def test_every_piece_inspected_lets_no_bad_lot_pass():
    curve = oc_curve(inspection_plan(8, "hose", SERIES))
    assert [chance for _, chance in curve] == [1.0, 0, 0, 0, 0]


def test_every_role_says_what_to_look_at():
    for role in known_roles():
        assert len(measures(role)) >= 3, role
    assert "hardness of the ball" in {m.check for m in measures("valve kit")}
    assert "ring size" in {m.check for m in measures("packing")}
    assert [m.check for m in measures("no such role")] == ["identity", "document"]


def test_a_proof_test_is_by_the_makers_procedure_only():
    tests = [row for row in rows("inspections") if "proof" in row["check"]]
    assert tests
    assert all(row["how"].startswith("only by the maker's procedure") for row in tests)


def test_every_row_of_the_tables_is_sound():
    known = {"any", *known_roles()}
    assert {row["role"] for row in rows("inspections")} <= known
    assert all(row["how"] and row["source"] for row in rows("inspections"))
    kinds = {role.kind for role in known_roles().values()}
    assert {row["kind"] for row in rows("inspection_plans")} >= kinds
    for row in rows("inspection_plans"):
        assert row["scheme"] in (ISO, ZERO)
        assert row["scheme"] == ZERO or (row["level"] in LEVELS and row["aql"] in AQLS)
