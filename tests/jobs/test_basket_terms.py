"""Baskets over suppliers whose stored terms are of every kind: what tips the choice, by hand."""

from __future__ import annotations

from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.jobs.basket import BasketAsk, basket
from partsdb.jobs.basket_answers import BasketAnswer
from partsdb.jobs.settings import change_setting
from partsdb.store import terms, terms_more
from partsdb.store.rows import DutyRow
from partsdb.store.rows_terms import DepositRow, DiscountRow, FeeRow, FreightStepRow


class Market:
    """Collars A and B, 1.5 kg each; Near and Far sell both and charge nothing but what is said."""

    def __init__(self, small: SmallShop) -> None:
        self.small = small
        machine = small.machine()
        self.parts = {name: small.part(name, weight_g=1500, heading=f"84.{n}", origin="US")
                      for n, name in enumerate("AB")}  # fmt: skip
        for name, part in self.parts.items():
            small.position(machine, f"collar {name}", "collar", (part,))
        self.near, self.far = small.supplier("Near"), small.supplier("Far", incoterm="FCA")

    def price(self, near: str, far: str, *, part: str = "A", **offered: Any) -> None:
        self.small.offer(self.near, self.parts[part], near)
        self.small.offer(self.far, self.parts[part], far, **offered)

    def step(self, start: int, minor: int, basis: str = "weight") -> FreightStepRow:
        return FreightStepRow(self.far, "2026-01-01", basis, "EUR", start, minor)

    def fee(self, **stated: Any) -> None:
        row = FeeRow(self.far, "bank", "2026-01-01", None, "EUR", **stated)
        terms_more.add_fee(row, by=BY)


@pytest.fixture
def market(small: SmallShop) -> Market:
    return Market(small)


def bought(*jobs: str) -> tuple[set[str], int, BasketAnswer]:
    answer = basket(BasketAsk(jobs, DAY))
    assert answer.proven
    assert answer.total_minor == sum(step.amount_minor for step in answer.steps)
    assert all(other.total_minor >= answer.total_minor for other in answer.others)
    return {each.supplier for each in answer.buy}, answer.total_minor, answer


@pytest.mark.parametrize(("rate", "supplier", "total"), [("0.09", "Near", 10_000), ("0.10", "Far", 9900)])
def test_a_discount_tips_the_choice(market, rate, supplier, total):
    """100.00 against 110.00 less 9 % = 100.10, less 10 % = 99.00."""
    market.price("100", "110")
    terms_more.add_discount(DiscountRow(market.far, "2026-01-01", None, None, "collar", "", rate), by=BY)
    assert bought("Quillmere|A")[:2] == ({supplier}, total)


@pytest.mark.parametrize(("returned", "supplier", "total"), [("0.7", "Near", 10_000), ("0.8", "Far", 9800)])
def test_a_core_deposit_tips_the_choice(market, returned, supplier, total):
    """100.00 against 90.00 and 40.00, of which 12.00 or 8.00 do not come back."""
    market.price("100", "90")
    deposit = DepositRow(market.far, market.parts["A"], "2026-01-01", None, "EUR", 4000, returned)
    terms_more.add_deposit(deposit, by=BY)
    assert bought("Quillmere|A")[:2] == ({supplier}, total)


@pytest.mark.parametrize(
    ("job", "suppliers", "total"),
    [
        ("Quillmere|A:1", {"Far"}, 8650),  # 80.00 + 6.50, against 100.00
        ("Quillmere|A:2", {"Far"}, 17_800),  # 3 kg: 160.00 + 18.00
        ("Quillmere|A:3", {"Far"}, 25_800),  # 4.5 kg: 240.00 + 18.00
        ("Quillmere|A:4", {"Far", "Near"}, 35_800),  # 6 kg would be 320.00 + 60.00
    ],
)
def test_a_step_of_the_freight_table_splits_an_order(market, job, suppliers, total):
    market.price("100", "80")
    steps = [market.step(start, minor) for start, minor in ((0, 650), (2000, 1800), (5000, 6000))]
    terms_more.add_freight_table(steps, by=BY)
    assert bought(job)[:2] == (suppliers, total)


def test_freight_that_falls_with_the_value_draws_the_other_line_along(market):
    """B is 2.00 dearer at Far, but takes its goods over 150.00, where freight falls from 20 to 5."""
    market.price("100", "70")
    market.price("78", "80", part="B")
    terms_more.add_freight_table([market.step(0, 2000, "value"), market.step(15_000, 500, "value")], by=BY)
    assert bought("Quillmere|A", "Quillmere|B")[:2] == ({"Far"}, 15_500)


@pytest.mark.parametrize(
    ("job", "supplier", "total"),
    [("Quillmere|A:1", "Near", 10_000), ("Quillmere|A:3", "Far", 29_500), ("Quillmere|A:50", "Far", 477_500)],
)
def test_a_fee_with_a_minimum_and_a_maximum_weighs_on_small_orders(market, job, supplier, total):
    """10.00 at least and 25.00 at most of 1 %: 95.00 + 10.00; 285.00 + 10.00; 4750.00 + 25.00."""
    market.price("100", "95")
    market.fee(rate="0.01", least_minor=1000, most_minor=2500)
    assert bought(job)[:2] == ({supplier}, total)


def test_incremental_breaks_are_counted_as_such(market):
    """Ten at Far: 3 at 100.00 and 7 at 80.00 are 860.00; as all units they would be 800.00."""
    market.price("85", "100", breaks=((4, 800_000),))
    assert bought("Quillmere|A:10")[:2] == ({"Far"}, 80_000)
    stated = terms.terms_as_of(market.far, DAY)
    terms.add_terms(stated._replace(valid_from="2026-02-01", price_breaks="incremental"), by=BY)
    assert bought("Quillmere|A:10")[:2] == ({"Near"}, 85_000)


def test_prompt_payment_counts_where_it_is_taken(market):
    """2 % off 101.00 is 98.98."""
    market.price("100", "101")
    stated = terms.terms_as_of(market.far, DAY)
    terms.add_terms(stated._replace(valid_from="2026-02-01", payment="2/10 net 30"), by=BY)
    assert bought("Quillmere|A")[:2] == ({"Near"}, 10_000)
    change_setting("take_prompt_discount", "yes", BY)
    assert bought("Quillmere|A")[:2] == ({"Far"}, 9898)


def test_freight_that_bears_the_duty_of_unequal_goods_is_proven_too(market):
    """Freight 400.00 over 1.5 kg of A at 0 % and 1.5 kg of B at 10 %: half of it bears 10 %, 20.00.

    B from Near costs 109.50; from Far 80.00, 8.00 of duty and the 20.00, 108.00 in all.
    """
    stated = terms.terms_as_of(market.far, DAY)
    terms.add_terms(stated._replace(valid_from="2026-02-01", freight_minor=40_000), by=BY)
    rates = [DutyRow(f"84.{n}", "US", rate, "2026-01-01", None, "invented") for n, rate in ((0, "0"), (1, "0.1"))]
    terms.add_duty_rates(rates)
    market.small.offer(market.far, market.parts["A"], "50")
    market.price("109.50", "80", part="B")
    suppliers, total, answer = bought("Quillmere|A", "Quillmere|B")
    assert (suppliers, total) == ({"Far"}, 5000 + 40_000 + 10_800)
    assert total - answer.bound_minor <= 1  # the coin that the small steps of the search may hide


def test_customs_in_whole_units_are_no_reason_to_doubt_a_proof(market):
    change_setting("customs_whole", "100", BY)
    terms.add_duty_rates([DutyRow("84.0", "US", "0.37", "2026-01-01", None, "invented")])
    market.price("200", "100.49")
    suppliers, total, _ = bought("Quillmere|A")
    assert (suppliers, total) == ({"Far"}, 10_049 + 3700)  # 37 % of 100
