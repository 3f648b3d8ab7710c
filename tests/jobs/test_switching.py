"""How strictly sources are inspected by their record, and plans asked for before goods come."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.jobs import lots as job
from partsdb.jobs.lot_plans import PlanAsk, plan_card
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.settings import KINDS, change_setting
from partsdb.jobs.switching import inspection_policy, resume, sources
from partsdb.jobs.who import stamp
from partsdb.tables import by_key

PACKING, O_RING = "25-1258", "29-1234"


def sent(
    label: str, *, good: bool = True, number: str = PACKING, supplier: str = "Kestrow"
) -> None:
    job.receive(ReceiveAsk(number, supplier, 20, "2026-11-20", label=label), stamp())
    job.inspect(InspectAsk(label, 20, 0 if good else 20, {}), stamp())


def given_up() -> None:
    for n in range(7):  # two refused tighten, five more on tightened end it
        sent(f"P{n}", good=False)


def now(supplier: str = "Kestrow") -> dict[str, tuple[str, int, int]]:
    return {row.part_class: (row.inspection, row.lots, row.accepted) for row in sources(supplier)}


def test_each_source_and_class_of_parts_stands_by_its_own_record(in_shop):
    sent("P0", good=False)
    sent("P1", good=False)
    sent("O0", number=O_RING)
    sent("S0", supplier="Saltreeve")
    classes = now()
    assert ("tightened", 2, 0) in classes.values()
    assert ("normal", 1, 1) in classes.values()
    assert set(now("Saltreeve").values()) == {("normal", 1, 1)}
    assert {row.supplier for row in sources()} == {"Kestrow", "Saltreeve"}


def test_the_score_toward_reduced_inspection_is_told_and_used_only_by_setting(in_shop):
    for n in range(15):
        sent(f"P{n}")
    [row] = sources("Kestrow")
    assert (row.inspection, row.score) == ("normal", "30")
    change_setting("inspect_reduced", "yes", stamp())
    [row] = sources("Kestrow")
    assert (row.inspection, row.score) == ("reduced", "")


def test_a_source_given_up_is_taken_up_again_only_with_a_reason_and_tightened(in_shop):
    given_up()
    assert set(now().values()) == {("discontinued", 7, 0)}
    with pytest.raises(UsageError, match="without a reason"):
        resume("Kestrow", PACKING, " ", stamp())
    [row] = resume("Kestrow", PACKING, "new press, audited 2026-11-01", stamp())
    assert (row.inspection, row.lots) == ("tightened", 0)
    for n in range(5):
        sent(f"Q{n}")
    assert set(now().values()) == {("normal", 5, 5)}


def test_what_was_inspected_before_keeps_its_plan_when_buying_is_taken_up_again(in_shop):
    given_up()
    before = job.lot_card("P6").plan
    resume("Kestrow", PACKING, "audited", stamp())
    assert job.lot_card("P6").plan == before


def test_a_source_that_was_not_given_up_is_not_taken_up_again(in_shop):
    sent("P0", good=False)
    with pytest.raises(UsageError, match="not given up"):
        resume("Kestrow", PACKING, "audited", stamp())
    with pytest.raises(UsageError, match="not given up"):
        resume("Saltreeve", PACKING, "audited", stamp())


def test_a_lot_of_a_source_given_up_is_held_for_a_person(in_shop):
    given_up()
    job.receive(ReceiveAsk(PACKING, "Kestrow", 20, "2026-11-20", label="X"), stamp())
    card = job.inspect(InspectAsk("X", 20, 0, {}), stamp())
    assert (card.state, card.inspections[0].decision) == ("held", "hold")


# The shop's own plans


def test_the_settings_begin_as_the_table_says():
    table = by_key("inspection_plans", "kind")
    for kind in ("wear item", "hardware", "consumable"):
        default = KINDS[f"inspect_{kind.replace(' ', '_')}"].default
        assert default == f"{table[kind]['level']} {table[kind]['aql']}"


@pytest.mark.parametrize("value", ["IV 1.0", "II 1.1", "II", "1.0 II", ""])
def test_a_level_or_aql_that_the_standard_lacks_is_refused(in_shop, value):
    with pytest.raises(UsageError, match="no level and AQL"):
        change_setting("inspect_wear_item", value, stamp())


def test_the_shops_own_level_counts_for_the_next_lot(in_shop):
    """Handbook 6.1, 6.2: 20 at S-1 is A, AQL 6.5 at A is n 2, Ac 0."""
    sent("P0")
    change_setting("inspect_wear_item", "S-1 6.5", stamp())
    assert ("wear item", "S-1", "6.5") in inspection_policy().plans
    card = job.receive(ReceiveAsk(PACKING, "Kestrow", 20, "2026-11-20", label="P1"), stamp())
    assert (card.plan.n, card.plan.c) == (2, 0)


# A plan asked for


def test_a_plan_by_the_standard_tells_its_three_points():
    """references.md: n 20, c 0 accepts 95, 50 and 10 of 100 lots at 0.256, 3.406 and 10.875 %."""
    card = plan_card(PlanAsk(60, level="II", aql="0.65"))
    assert (card.plan.n, card.plan.c) == (20, 0)
    assert [round(bad * 100, 3) for bad, _ in card.points] == [0.256, 3.406, 10.875]


@pytest.mark.parametrize(
    ("ask", "n", "c"),
    [
        (PlanAsk(200, level="II", aql="1.0"), 50, 1),
        (PlanAsk(200, aql="1.0", severity="tightened"), 80, 1),
        (PlanAsk(200, level="II", aql="1.0", severity="reduced"), 20, 0),
        (PlanAsk(20), 14, 0),
        (PlanAsk(10), 10, 0),
    ],
)
def test_a_plan_is_that_of_the_handbook(in_shop, ask, n, c):
    """Handbook 6.2: lot 200, II, 1.0; 6.3: N 20 D 2 -> 14, of ten all; reduced from memory."""
    card = plan_card(ask)
    assert (card.plan.n, card.plan.c) == (n, c)


def test_a_plan_for_a_part_follows_its_source(in_shop):
    ask = PlanAsk(200, part=PACKING, supplier="Kestrow")
    assert plan_card(ask).plan.scheme == "zero acceptance"  # nothing of it was inspected yet
    sent("P0")
    assert (plan_card(ask).plan.n, plan_card(ask).plan.c) == (50, 1)
    assert "ring size" in {each.check for each in plan_card(ask).measure}
    whole = plan_card(PlanAsk(200, part=PACKING, supplier="Ninefold"))
    assert whole.plan.n == 200  # fixtures/shop/grades.csv: Ninefold is graded D


@pytest.mark.parametrize(
    "ask",
    [
        PlanAsk(0), PlanAsk(10, part=PACKING), PlanAsk(10, supplier="Kestrow"),
        PlanAsk(10, level="IV"), PlanAsk(10, aql="1.1"), PlanAsk(10, aql="1.0", severity="lax"),
        PlanAsk(10, aql="1.0", severity="discontinued"),
    ],
)  # fmt: skip
def test_a_plan_that_cannot_be_is_refused_with_a_sentence(in_shop, ask):
    with pytest.raises(UsageError) as refusal:
        plan_card(ask)
    assert refusal.value.hint
