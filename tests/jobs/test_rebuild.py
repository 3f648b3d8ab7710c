"""What a rebuild costs: the gate before the cost, totals that are their steps, the best mix."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.rebuild import RebuildAsk, rebuild_cost
from partsdb.jobs.rebuild_answers import RebuildAnswer, RebuildOption
from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.rebuild import is_option
from partsdb.rules.verdict import Verdict
from partsdb.store import edges, events, recipes, sql
from partsdb.store.machines import positions_calling_for
from partsdb.store.rows import SupersessionRow
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow

WORD = EvidenceLevel.SUPPLIERS_WORD
# Two machine-hours at 60.00; a comeback costs 30 min, 5.00 carriage, 10.00 goodwill; 7.00 a day.
WORK = {
    "minutes": 120, "hourly_minor": 6000, "comeback_minutes": 30, "comeback_carriage_minor": 500,
    "comeback_goodwill_minor": 1000, "waiting_day_minor": 700,
}  # fmt: skip


def cost(name: str = "rebuild", **more: Any) -> RebuildAnswer:
    return rebuild_cost(RebuildAsk(name, DAY, **more))


def named(answer: RebuildAnswer) -> dict[str, RebuildOption]:
    return {option.name: option for option in answer.options}


def steps(option: RebuildOption) -> dict[str, int]:
    return {step.label: step.amount_minor for step in option.steps}


def bought(option: RebuildOption) -> set[tuple[str, str]]:
    return {(each.number, each.supplier) for each in option.buy}


@pytest.fixture
def parts(small: SmallShop) -> dict[str, int]:
    """Two collars, A and B, that the Q33 calls for, both in the recipe once."""
    found = {name: small.part(name) for name in "AB"}
    machine = small.machine()
    for name, part in found.items():
        small.position(machine, f"collar {name}", "collar", (part,))
    small.recipe("rebuild", [(part, 1) for part in found.values()], **WORK)
    return found


@pytest.fixture
def suppliers(small: SmallShop) -> dict[str, int]:
    """Kestrow is here in two days with 10.00 freight, Saltreeve in five with none."""
    return {
        "Kestrow": small.supplier("Kestrow", lead_days=2, freight_minor=1000),
        "Saltreeve": small.supplier("Saltreeve", lead_days=5),
    }


def test_one_way_by_hand(small, parts, suppliers):
    """Parts 30.00 + 40.00 and 10.00 freight; labour 2 h at 60.00; ungraded parts come back at 5 %.

    5 % of (80.00 + half an hour 30.00 + 5.00 + 10.00 = 125.00) is 6.25; two days at 7.00.
    """
    small.offer(suppliers["Kestrow"], parts["A"], "30.00")
    small.offer(suppliers["Kestrow"], parts["B"], "40.00")
    (option,) = cost().options
    assert (option.name, option.verdict) == ("all from Kestrow", "fit")
    assert steps(option) == {
        "Kestrow: goods": 7000, "Kestrow: freight": 1000, "labour": 12000,
        "expected comebacks": 625, "waiting": 1400,
    }  # fmt: skip
    assert option.total_minor == 22025
    assert option.currency == "EUR"


def test_three_machines_take_three_of_each_and_wait_three_times(small, parts, suppliers):
    """Goods 210.00 and one freight of 10.00; labour 360.00; 5 % of (220.00 + 135.00); 3 × 14.00."""
    small.offer(suppliers["Kestrow"], parts["A"], "30.00")
    small.offer(suppliers["Kestrow"], parts["B"], "40.00")
    (option,) = cost(quantity=3).options
    assert steps(option) == {
        "Kestrow: goods": 21000, "Kestrow: freight": 1000, "labour": 36000,
        "expected comebacks": 1775, "waiting": 4200,
    }  # fmt: skip
    assert option.total_minor == 63975
    assert [(each.number, each.units) for each in option.buy] == [("A", 3), ("B", 3)]


@pytest.fixture
def both_offer_all(small, parts, suppliers):
    prices = {"Kestrow": ("30.00", "40.00"), "Saltreeve": ("45.00", "20.00")}
    for name, (a, b) in prices.items():
        small.offer(suppliers[name], parts["A"], a)
        small.offer(suppliers[name], parts["B"], b)


@pytest.mark.usefixtures("both_offer_all")
@pytest.mark.parametrize("quantity", [1, 2, 3, 7])
def test_every_total_is_the_sum_of_its_steps(quantity):
    answer = cost(quantity=quantity)
    assert len(answer.options) >= 2
    for option in answer.options:
        assert option.total_minor == sum(step.amount_minor for step in option.steps)
    totals = [option.total_minor for option in answer.options]
    assert totals == sorted(totals)


def test_a_mix_is_offered_when_it_saves_and_freight_is_paid_by_order(small, parts, suppliers):
    # All from Kestrow: 110.00 + 10.00; all from Saltreeve 130.00 and three days more.
    for name, a, b in (("Kestrow", "30.00", "80.00"), ("Saltreeve", "110.00", "20.00")):
        small.offer(suppliers[name], parts["A"], a)
        small.offer(suppliers[name], parts["B"], b)
    answer = cost()
    best = answer.options[0]
    assert best.name == "mix of Kestrow and Saltreeve"
    assert bought(best) == {("A", "Kestrow"), ("B", "Saltreeve")}
    assert steps(best)["Kestrow: goods"] == 3000
    assert steps(best)["Kestrow: freight"] == 1000
    assert steps(best)["Saltreeve: goods"] == 2000
    assert steps(best)["waiting"] == 3500  # the machine waits for the slower one: five days
    assert {o.name for o in answer.options} == {best.name, "all from Kestrow", "all from Saltreeve"}


@pytest.mark.parametrize("cheap", ["5.00", "19.00", "24.00", "25.00", "39.00"])
def test_the_best_mix_is_never_dearer_than_the_best_single_supplier(small, parts, suppliers, cheap):
    small.offer(suppliers["Kestrow"], parts["A"], "30.00")
    small.offer(suppliers["Kestrow"], parts["B"], "40.00")
    small.offer(suppliers["Saltreeve"], parts["A"], "31.00")
    small.offer(suppliers["Saltreeve"], parts["B"], cheap)
    found = named(cost())
    single = min(found[f"all from {name}"].total_minor for name in suppliers)
    mixes = [o.total_minor for name, o in found.items() if name.startswith("mix")]
    assert all(total < single for total in mixes)


def test_a_dearer_part_that_is_here_sooner_may_win(small, suppliers):
    part = small.part("A")
    small.position(small.machine(), "collar", "collar", (part,))
    small.recipe("rebuild", [(part, 1)], minutes=0, hourly_minor=0, waiting_day_minor=5500)
    small.offer(suppliers["Saltreeve"], part, "10.00")
    fast = small.part("B")
    small.edge(part, fast)
    small.offer(suppliers["Saltreeve"], fast, "60.00", lead_days=1)
    (option,) = cost().options
    assert bought(option) == {("B", "Saltreeve")}
    assert steps(option)["waiting"] == 5500


def test_a_lead_time_that_nobody_knows_is_said(small, parts):
    supplier = small.supplier("Rushholme", lead_days=None)
    for part in parts.values():
        small.offer(supplier, part, "10.00")
    (option,) = cost().options
    assert steps(option)["waiting"] == 0
    assert any("lead time of A is not known" in note for note in option.notes)


# The gate


def hose_shop(small: SmallShop, rating: str, evidence: EvidenceLevel = WORD) -> tuple[int, int]:
    """A hose without offer, and a cheap stand-in that a supplier's word rates."""
    hose = small.part("A", "hose", rating="5000 psi")
    cheap = small.part("B", "hose", maker="Corrowby", rating=rating, evidence=evidence)
    small.position(small.machine(), "hose", "hose", (hose,), "3300 psi")
    small.edge(hose, cheap, "proposed", WORD)
    small.recipe("rebuild", [(hose, 1)], **WORK)
    small.offer(small.supplier("Kestrow"), cheap, "1.00")
    return hose, cheap


@pytest.mark.parametrize("rating", ["", "9000 psi", "2000 psi", "12000 psi burst"])
def test_what_is_not_shown_to_hold_is_no_option_at_any_price(small, rating):
    hose_shop(small, rating)
    answer = cost()
    assert answer.options == ()
    assert any(said.startswith("Corrowby B for A: ") for said in answer.ruled_out)
    assert "Quillmere A: no supplier offers a part that may be fitted" in answer.ruled_out


def test_every_option_has_a_verdict_that_allows_it(small, parts, suppliers, both_offer_all):
    cheap = small.part("C")
    small.edge(parts["A"], cheap, "proposed", WORD)
    small.offer(suppliers["Saltreeve"], cheap, "0.01")
    answer = cost()
    assert answer.options
    for option in answer.options:
        assert is_option(option.verdict)
        assert ("C", "Saltreeve") not in bought(option)
    assert any("Quillmere C for A: ask first" in said for said in answer.ruled_out)


def test_the_gate_holds_on_the_fixtures(built_shop_with_lists):
    from shop_lists import DAY as lists_day

    from partsdb.jobs.instead import InsteadAsk, instead
    from partsdb.store.connect import open_database
    from partsdb.store.recipes import recipe_rows

    with open_database(built_shop_with_lists):
        for recipe in recipe_rows():
            for option in rebuild_cost(RebuildAsk(recipe.name, lists_day, 3)).options:
                assert option.total_minor == sum(step.amount_minor for step in option.steps)
                assert option.verdict in (Verdict.FIT, Verdict.FIT_WITH_CONDITIONS)
        kits = instead(InsteadAsk("24-1180", lists_day, machine="Q33", position="bypass valve"))
        unfit = {c.number for c in kits.candidates if not is_option(c.verdict)}
        answer = rebuild_cost(RebuildAsk("Q33 bypass rebuild", lists_day))
        assert unfit
        assert not unfit & {each.number for option in answer.options for each in option.buy}


@pytest.mark.parametrize("what", ["supplier", "part"])
def test_what_is_barred_is_not_bought(small, parts, suppliers, both_offer_all, what):
    barred = suppliers["Saltreeve"] if what == "supplier" else parts["B"]
    small.grade(what, barred, "barred")
    answer = cost()
    names = {option.name for option in answer.options}
    assert names == ({"all from Kestrow"} if what == "supplier" else set())


def test_a_condition_of_what_is_bought_is_noted(small, parts, suppliers):
    other = small.part("C")
    small.edge(parts["A"], other, conditions=("from serial 4000",))
    small.offer(suppliers["Kestrow"], other, "1.00")
    small.offer(suppliers["Kestrow"], parts["B"], "40.00")
    (option,) = cost().options
    assert option.verdict == "fit with conditions"
    assert "condition for C: from serial 4000" in option.notes


# Comebacks


def fit(part: int, fitted: int, comebacks: int) -> None:
    """Put down in the shop's record so many fittings, of which so many came back."""
    sql.run("INSERT INTO job (id, opened_at) VALUES (1, ?)", (DAY,))
    for n in range(1, fitted + 1):
        sql.run("INSERT INTO fitting (id, job_id, part_id, at) VALUES (?, 1, ?, ?)", (n, part, DAY))
    for n in range(1, comebacks + 1):
        sql.run("INSERT INTO comeback (fitting_id, at, cause) VALUES (?, ?, 'leak')", (n, DAY))


@pytest.mark.parametrize(
    ("grade", "fitted", "comebacks", "rate", "source"),
    [
        ("A", 0, 0, Fraction(1, 100), "the table's prior for A"),
        ("", 0, 0, Fraction(5, 100), "the table's prior without a grade"),
        ("", 20, 2, Fraction(3, 40), "(20 × 0.05 + 2) / (20 + 20) = 0.075"),
        ("A", 80, 0, Fraction(1, 500), "(20 × 0.01 + 0) / (20 + 80) = 0.002"),
    ],
)
def test_the_comeback_rate_is_the_grades_moved_by_our_own_record(
    small, suppliers, grade, fitted, comebacks, rate, source
):
    part = small.part("A")
    small.position(small.machine(), "collar", "collar", (part,))
    small.recipe("rebuild", [(part, 1)], minutes=0, comeback_goodwill_minor=90_000)
    small.offer(suppliers["Saltreeve"], part, "100.00")
    if grade:
        small.grade("part", part, grade)
    fit(part, fitted, comebacks)
    (option,) = cost().options
    assert steps(option)["expected comebacks"] == rate * 100_000, source


def test_the_least_proven_part_sets_the_rate(small, parts, suppliers):
    small.grade("part", parts["A"], "A")
    for part in parts.values():
        small.offer(suppliers["Saltreeve"], part, "10.00")
    (option,) = cost().options
    # B is ungraded: 5 % of 20.00 + 45.00, whatever A is worth.
    assert steps(option)["expected comebacks"] == 325


# What narrows, what is refused


@pytest.mark.usefixtures("both_offer_all")
def test_one_supplier_named_is_the_only_one_looked_at():
    (option,) = cost(suppliers=("Kestrow",)).options
    assert (option.name, option.suppliers) == ("all from Kestrow", ("Kestrow",))
    assert len(cost(suppliers=("Kestrow", "Saltreeve")).options) >= 2


def test_an_offer_that_cannot_be_landed_is_no_option(small, parts):
    abroad = small.supplier("Ninefold", "USD")  # no rate is stored
    for part in parts.values():
        small.offer(abroad, part, "1.00", currency="USD", code="N-7")
    answer = cost()
    assert answer.options == ()
    said = [text for text in answer.ruled_out if text.startswith("Ninefold's N-7 cannot be costed")]
    assert len(said) == 2
    assert all("USD" in text for text in said)


def test_the_same_part_twice_in_a_recipe_is_landed_for_each_need(small):
    """Once 1 and once 9: the 9 from Kestrow by his break at 5.00, the 1 from Saltreeve at 9.00.

    45.00 + 9.00 = 54.00, against 10.00 + 45.00 all from Kestrow and 90.00 all from Saltreeve.
    """
    part = small.part("A")
    small.position(small.machine(), "collar", "collar", (part,))
    small.recipe("rebuild", [(part, 1), (part, 9)], minutes=0)
    small.offer(small.supplier("Kestrow"), part, "10.00", breaks=((9, 50_000),))
    small.offer(small.supplier("Saltreeve"), part, "9.00")
    best, *others = cost().options
    assert best.name == "mix of Kestrow and Saltreeve"
    goods = {label: minor for label, minor in steps(best).items() if label.endswith("goods")}
    assert goods == {"Kestrow: goods": 4500, "Saltreeve: goods": 900}
    assert [(each.supplier, each.units) for each in best.buy] == [("Kestrow", 9), ("Saltreeve", 1)]
    assert {option.name for option in others} == {"all from Kestrow", "all from Saltreeve"}


@pytest.mark.parametrize(
    ("ask", "error", "said"),
    [
        ({"name": "no such"}, NotFoundError, "no recipe 'no such'"),
        ({"quantity": 0}, UsageError, "0 rebuilds"),
        ({"suppliers": ("Nobody",)}, NotFoundError, "no supplier 'Nobody'"),
    ],
)
def test_what_cannot_be_costed_is_refused(parts, ask, error, said):
    with pytest.raises(error, match=said) as refused:
        cost(**ask)
    assert refused.value.hint


def test_a_recipe_in_another_currency_than_the_shops_is_refused(parts):
    events.set_setting("home_currency", "GBP", by=BY)
    with pytest.raises(UsageError, match="the recipe is in EUR, the shop counts in GBP"):
        cost()


def test_a_recipe_that_puts_a_part_where_another_is_called_for_costs_nothing(
    small, parts, suppliers
):
    """A rejected collar named by a recipe is not thereby the very part that the place calls for."""
    leaky, stand_in = small.part("leaky"), small.part("stand-in")
    small.edge(parts["A"], leaky, "rejected", EvidenceLevel.MEASURED_HERE)
    small.edge(leaky, stand_in)
    for part in (leaky, stand_in):
        small.offer(suppliers["Kestrow"], part, "3.00")
    (place,) = positions_calling_for([parts["A"]])
    wrong = RecipeItemRow(leaky, 1, place.position_id, place.demand.position)
    recipes.add_recipe(NewRecipe("wrong", "EUR", **WORK), [wrong])
    answer = cost("wrong")
    assert answer.options == ()
    assert "does not call for Quillmere leaky" in " ".join(answer.ruled_out)


def test_a_recipe_that_names_the_old_number_of_what_is_called_for_is_costed(
    small, parts, suppliers
):
    old = small.part("old")
    edges.add_supersession(SupersessionRow(0, old, parts["A"], None, "", "", "bulletin 1"), by=BY)
    small.offer(suppliers["Kestrow"], parts["A"], "3.00")
    (place,) = positions_calling_for([parts["A"]])
    item = RecipeItemRow(old, 1, place.position_id, place.demand.position)
    recipes.add_recipe(NewRecipe("by the old number", "EUR", **WORK), [item])
    (option,) = cost("by the old number").options
    assert [each.number for each in option.buy] == ["A"]


def test_consumables_of_the_recipe_are_a_step(small, parts, suppliers):
    small.recipe("with solvent", [(parts["A"], 1)], minutes=0, consumables_minor=450)
    small.offer(suppliers["Saltreeve"], parts["A"], "30")
    [option] = cost("with solvent", quantity=2).options
    assert steps(option)["consumables"] == 900
    assert option.total_minor == sum(step.amount_minor for step in option.steps)
