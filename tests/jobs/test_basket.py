"""What to buy for several jobs: the gate before the price, the least total, and what rules cost."""

from __future__ import annotations

from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.basket import BasketAsk, NoBasketError, basket
from partsdb.jobs.basket_answers import BasketAnswer
from partsdb.jobs.settings import change_setting
from partsdb.rules.facts import EvidenceLevel
from partsdb.rules.verdict import Verdict

WORD = EvidenceLevel.SUPPLIERS_WORD


def bought(answer: BasketAnswer) -> dict[tuple[str, str], int]:
    return {(each.number, each.supplier): each.units for each in answer.buy}


def ask(*jobs: str, **more: Any) -> BasketAnswer:
    return basket(BasketAsk(jobs, DAY, **more))


@pytest.fixture
def parts(small: SmallShop) -> dict[str, int]:
    """Collars A and B that the Q33 calls for; a rebuild takes one A and two B."""
    found = {name: small.part(name) for name in "AB"}
    machine = small.machine()
    for name, part in found.items():
        small.position(machine, f"collar {name}", "collar", (part,))
    small.recipe("rebuild", [(found["A"], 1), (found["B"], 2)])
    return found


@pytest.fixture
def suppliers(small: SmallShop) -> dict[str, int]:
    """Kestrow is here in two days for 10.00 freight, Saltreeve in five for none."""
    return {
        "Kestrow": small.supplier("Kestrow", lead_days=2, freight_minor=1000),
        "Saltreeve": small.supplier("Saltreeve", lead_days=5),
    }


@pytest.fixture
def priced(small: SmallShop, parts: dict[str, int], suppliers: dict[str, int]) -> None:
    """A costs 40.00 at Kestrow, 44.00 at Saltreeve; B 20.00 and 23.00."""
    for part, (kestrow, saltreeve) in {"A": ("40", "44"), "B": ("20", "23")}.items():
        small.offer(suppliers["Kestrow"], parts[part], kestrow)
        small.offer(suppliers["Saltreeve"], parts[part], saltreeve)


@pytest.mark.usefixtures("priced")
@pytest.mark.parametrize(
    ("job", "total", "supplier"),
    [
        # By hand. One rebuild: 44 + 2 × 23 = 90.00, and 40 + 2 × 20 + 10 = 90.00: a tie.
        ("rebuild:2", 17000, "Kestrow"),  # 80 + 80 + 10 = 170.00, against 180.00
        ("Quillmere|A:1", 4400, "Saltreeve"),  # 44.00, against 50.00
        ("Quillmere|A:3", 13000, "Kestrow"),  # 130.00, against 132.00
    ],
)
def test_freight_is_paid_once_and_decides_who_sells(job, total, supplier):
    answer = ask(job)
    assert (answer.total_minor, answer.proven) == (total, True)
    assert {each.supplier for each in answer.buy} == {supplier}


@pytest.mark.usefixtures("priced")
def test_jobs_are_bought_for_together():
    answer = ask("rebuild", "Quillmere|A:2", "rebuild:1")
    # 4 A and 4 B at Kestrow: 160 + 80 + 10.
    assert bought(answer) == {("A", "Kestrow"): 4, ("B", "Kestrow"): 4}
    assert answer.total_minor == 25000
    served = {use.number: use.jobs for use in answer.uses}
    assert served == {"A": ("rebuild", "stock"), "B": ("rebuild",)}


@pytest.mark.usefixtures("priced")
def test_the_total_is_the_sum_of_the_steps_and_no_simple_basket_is_cheaper():
    answer = ask("rebuild:3", "Quillmere|B:5")
    assert answer.total_minor == sum(step.amount_minor for step in answer.steps)
    assert answer.others
    assert all(other.total_minor >= answer.total_minor for other in answer.others)


@pytest.mark.usefixtures("priced")
def test_what_comes_too_late_is_not_bought_and_the_day_has_its_price():
    answer = ask("Quillmere|A", by="2026-11-23")  # Saltreeve takes five days
    assert bought(answer) == {("A", "Kestrow"): 1}
    assert {(r.rule, r.costs_minor) for r in answer.rules} == {("needed by 2026-11-23", 600)}


@pytest.mark.usefixtures("priced")
def test_each_job_may_have_a_day_of_its_own():
    answer = ask("Quillmere|A:1@2026-11-22", "Quillmere|B:1")
    # A must come from Kestrow; then B does so too, for its freight is paid.
    assert bought(answer) == {("A", "Kestrow"): 1, ("B", "Kestrow"): 1}
    assert [use.need for use in answer.uses] == ["Quillmere A by 2026-11-22", "Quillmere B"]


@pytest.mark.usefixtures("priced")
def test_a_day_that_nobody_can_keep_is_named_as_the_rule_to_lift():
    with pytest.raises(NoBasketError) as refused:
        ask("Quillmere|A", by="2026-11-21")
    assert "needed by 2026-11-21" in refused.value.hint
    assert "Quillmere A" in refused.value.hint


def test_an_unknown_lead_time_does_not_show_that_it_comes_in_time(small, parts):
    small.offer(small.supplier("Kestrow", lead_days=None), parts["A"], "40")
    with pytest.raises(NoBasketError, match="no basket keeps every rule"):
        ask("Quillmere|A", by="2027-03-01")


def test_one_supplier_at_most_is_kept_and_priced(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    small.offer(suppliers["Saltreeve"], parts["B"], "60")
    small.offer(suppliers["Kestrow"], parts["B"], "20")
    free, held = ask("rebuild"), ask("rebuild", most_suppliers=1)
    assert (free.total_minor, held.total_minor) == (9400, 16400)  # 44 + 40 + 10; 44 + 120
    assert [(r.rule, r.costs_minor) for r in held.rules] == [("at most 1 supplier", 7000)]


def test_a_part_that_may_not_be_fitted_is_not_bought_however_cheap(small, suppliers):
    kit = small.part("K", "valve kit", rating="3300 psi")
    cheap = small.part("C", "valve kit", maker="Corrowby", rating="3300 psi", evidence=WORD)
    weak = small.part("W", "valve kit", maker="Corrowby", rating="2500 psi")
    small.position(small.machine(), "bypass valve", "valve kit", (kit,), "3300 psi")
    small.edge(kit, weak)
    small.edge(kit, cheap, "proposed", WORD)
    for part, price in ((kit, "90"), (cheap, "10"), (weak, "9")):
        small.offer(suppliers["Saltreeve"], part, price)
    answer = ask("Quillmere|K:2")
    assert bought(answer) == {("K", "Saltreeve"): 2}
    assert answer.uses[0].verdict in (Verdict.FIT, Verdict.FIT_WITH_CONDITIONS)


def test_a_barred_supplier_sells_nothing(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    small.offer(suppliers["Kestrow"], parts["A"], "4")
    small.grade("supplier", suppliers["Kestrow"], "barred")
    assert bought(ask("Quillmere|A")) == {("A", "Saltreeve"): 1}


def test_the_worst_grade_is_a_rule_and_has_its_price(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    small.offer(suppliers["Kestrow"], parts["A"], "4")
    small.grade("supplier", suppliers["Saltreeve"], "B")
    small.grade("supplier", suppliers["Kestrow"], "D")
    answer = ask("Quillmere|A", worst_grade="B")
    assert bought(answer) == {("A", "Saltreeve"): 1}
    assert [(r.rule, r.costs_minor) for r in answer.rules] == [("no grade worse than B", 3000)]


def test_what_no_one_offers_is_named_and_the_rest_is_bought(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    answer = ask("rebuild")
    assert bought(answer) == {("A", "Saltreeve"): 1}
    assert answer.unserved == ("Quillmere B: no supplier offers a part that may be fitted",)
    with pytest.raises(NoBasketError, match="nothing can be bought"):
        ask("Quillmere|B")


def test_packs_leave_units_for_the_stock(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44", pack_units=5)
    (line,) = ask("Quillmere|A:7").buy
    assert (line.packs, line.units, line.left_over, line.goods_minor) == (2, 10, 3, 44000)


def test_more_is_bought_where_a_break_costs_less(small, parts, suppliers):
    breaks = ((25, 112_000),)  # handbook 5.3: 23 at 12.60 cost more than 25 at 11.20
    small.offer(suppliers["Saltreeve"], parts["A"], "12.60", breaks=breaks)
    answer = ask("Quillmere|A:23")
    assert (answer.total_minor, answer.buy[0].left_over) == (28000, 2)


def test_an_offer_that_no_rate_can_land_is_left_out_and_said(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    small.offer(small.supplier("Ninefold", "USD"), parts["A"], "4", currency="USD")
    answer = ask("Quillmere|A")
    assert bought(answer) == {("A", "Saltreeve"): 1}
    assert any(note.startswith("nothing from Ninefold") for note in answer.notes)


def test_the_next_best_says_what_it_would_cost_more(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    small.offer(suppliers["Kestrow"], parts["A"], "40")
    (use,) = ask("Quillmere|A").uses
    assert (use.next_best, use.more_minor) == ("Quillmere A from Kestrow", 600)


def test_only_the_suppliers_named_are_asked(small, priced):
    assert bought(ask("Quillmere|A", suppliers=("Kestrow",))) == {("A", "Kestrow"): 1}
    with pytest.raises(NotFoundError):
        ask("Quillmere|A", suppliers=("Nobody",))


@pytest.mark.usefixtures("parts")
@pytest.mark.parametrize(
    ("jobs", "more", "said"),
    [
        ((), {}, "needs a job"),
        (("rebuild:0",), {}, "no job to buy for"),
        (("rebuild@2026-13-01",), {}, "names no date"),
        (("rebuild@31/12/2026",), {}, "with strokes some put the day first"),
        (("rebuild@1.12.26",), {}, "names no date"),
        (("rebuild@2026-11-01",), {}, "lies before"),
        (("rebuild@01.11.2026",), {}, "lies before"),
        (("rebuild",), {"most_suppliers": 0}, "from 0 suppliers"),
        (("rebuild",), {"worst_grade": "E"}, "is no grade"),
        (("nothing",), {}, "no recipe"),
        (("Quillmere|Z",), {}, "no part"),
    ],
)
def test_what_has_no_meaning_is_refused_in_one_sentence(jobs, more, said):
    with pytest.raises(UsageError, match=said):
        ask(*jobs, **more)


def test_the_progress_is_told(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    told: list[str] = []
    basket(BasketAsk(("Quillmere|A",), DAY), told.append)
    assert told[0] == "looking up 1 of 1: Quillmere A"
    assert any("weighing 1 offer" in each for each in told)


def test_freight_by_weight_and_its_fuel_surcharge_decide_too(small):
    part = small.part("W", weight_g=2500)
    small.position(small.machine(), "collar", "collar", (part,))
    heavy = small.supplier("Kestrow", freight_per_kg_minor=400, fuel="0.10")
    small.offer(heavy, part, "40")
    small.offer(small.supplier("Saltreeve"), part, "50")
    # By hand: 40.00 and 2.5 kg at 4.00 with 10 % fuel are 51.00, against 50.00.
    answer = ask("Quillmere|W")
    assert (bought(answer), answer.total_minor) == ({("W", "Saltreeve"): 1}, 5000)
    (use,) = answer.uses
    assert (use.next_best, use.more_minor) == ("Quillmere W from Kestrow", 100)
    assert ask("Quillmere|W", suppliers=("Kestrow",)).total_minor == 5100


@pytest.mark.parametrize(
    ("recoverable", "total", "steps"),
    [("yes", 4400, ["goods"]), ("no", 5280, ["goods", "VAT"])],  # 44.00, and 20 % of it
)
def test_vat_is_a_cost_only_where_it_is_not_recovered(
    small, parts, suppliers, recoverable, total, steps
):
    change_setting("vat_rate", "0.2", BY)
    change_setting("vat_recoverable", recoverable, BY)
    small.offer(suppliers["Saltreeve"], parts["A"], "44")
    answer = ask("Quillmere|A")
    assert answer.total_minor == total
    assert [step.label for step in answer.steps] == [f"Saltreeve: {step}" for step in steps]
    assert answer.proven


@pytest.mark.parametrize(
    ("name", "value"), [("vat_rate", "20"), ("vat_rate", "1"), ("vat_recoverable", "maybe")]
)
def test_a_tax_that_cannot_be_is_refused(small, name, value):
    with pytest.raises(UsageError):
        change_setting(name, value, BY)


def test_no_more_is_bought_to_a_day_than_is_in_stock(small, parts, suppliers):
    """Kestrow has 3 at 40.00 and 10.00 freight; the other two come from Saltreeve at 44.00."""
    small.offer(suppliers["Kestrow"], parts["A"], "40", stock="3")
    small.offer(suppliers["Saltreeve"], parts["A"], "44", stock="9 pcs")
    dated = ask("Quillmere|A:12@2026-11-30")
    assert bought(dated) == {("A", "Kestrow"): 3, ("A", "Saltreeve"): 9}
    assert {use.here_on for use in dated.uses} == {"2026-11-22", "2026-11-25"}
    assert [rule.rule for rule in dated.rules] == ["needed by 2026-11-30"]
    undated = ask("Quillmere|A:12")
    assert bought(undated) == {("A", "Kestrow"): 12}
    assert any("stated 3 of A in stock on 2026-11-02: 12 may not" in note for note in undated.notes)


def test_the_end_of_a_price_is_told(small, parts, suppliers):
    small.offer(suppliers["Saltreeve"], parts["A"], "44", valid_to="2026-12-31")
    answer = ask("Quillmere|A")
    assert "Saltreeve's price of A holds until 2026-12-31" in answer.notes
