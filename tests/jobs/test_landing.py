"""What one offer costs at our door, by hand: terms, exchange, freight, duty of the day."""

from __future__ import annotations

from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop

from partsdb.errors import InputRefusedError, PartsdbError
from partsdb.jobs.landing import Need, customs_basis, home_currency, land, lead_days, offer_answers
from partsdb.store import catalogue, events, offers, terms
from partsdb.store.rows import DutyRow, OfferRow, PartRow


def row(part: int) -> PartRow:
    return catalogue.part_rows([part])[part]


def on_offer(part: int) -> list[OfferRow]:
    return offers.live_offers([part], DAY)


def need(part: int, units: int = 1) -> Need:
    (offer,) = on_offer(part)
    return Need(row(part), offer, units)


def amounts(order: Any) -> dict[str, int]:
    return {step.label: step.amount_minor for step in order.steps}


@pytest.fixture
def kit(small: SmallShop) -> int:
    return small.part("24-1180", "valve kit", weight_g=260, heading="8481.90", origin="GB")


def test_goods_in_the_home_currency_without_any_charge_cost_their_price(small, kit):
    small.offer(small.supplier("Kestrow"), kit, "61.90")
    order = land([need(kit)], DAY)
    assert order.total.minor == 6190
    assert order.total.currency == "EUR"


def test_one_order_from_abroad_by_hand(small, kit):
    """Ten kits at 18.40 USD, freight 46.00 USD, brokerage 12.00 EUR, duty 1.7 %, CIF.

    Trade handbook 5.7 example 1 with the whole freight on these kits, by hand: rate paid
    1.0870 / 1.015 = 1.0709360; goods 184.00 / 1.0709360 = 171.81; freight 46.00 / 1.0709360 =
    42.95; customs value (184.00 + 46.00) / 1.0870 = 211.59, duty 1.7 % of it 3.60; 12.00 brokerage.
    """
    ninefold = small.supplier(
        "Ninefold", "USD", incoterm="FCA", freight_minor=4600, brokerage_minor=1200,
        brokerage_currency="EUR", spread="0.015",
    )  # fmt: skip
    small.rate("USD", "1.0870")
    terms.add_duty_rates([DutyRow("8481.90", "GB", "0.017", "2026-01-01", None, "invented")])
    small.offer(ninefold, kit, "18.40", currency="USD")
    order = land([need(kit, 10)], DAY)
    assert amounts(order) == {"goods": 17181, "freight": 4295, "duty": 360, "brokerage": 1200}
    assert order.total.minor == 17181 + 4295 + 360 + 1200 == 23036


def test_the_customs_basis_is_a_setting_and_fob_leaves_the_freight_out(small, kit):
    # 184.00 USD / 1.0870 = 169.27 EUR; 1.7 % of it is 2.88 (19 USC 1401a: freight is not dutiable).
    supplier = small.supplier("Ninefold", "USD", incoterm="FCA", freight_minor=4600)
    small.rate("USD", "1.0870")
    terms.add_duty_rates([DutyRow("8481.90", "GB", "0.017", "2026-01-01", None, "invented")])
    small.offer(supplier, kit, "18.40", currency="USD")
    assert customs_basis() == "CIF"
    events.set_setting("customs_basis", "FOB", by=BY)
    assert amounts(land([need(kit, 10)], DAY))["duty"] == 288


@pytest.mark.parametrize(
    ("price", "charges", "source"),
    [
        ("39.99", 600 + 1450, "under the minimum of 40.00: 6.00, and freight 14.50"),
        ("40.00", 1450, "the minimum itself is enough"),
        ("349.99", 1450, "one penny short of carriage free"),
        ("350.00", 0, "carriage free from 350.00 on"),
    ],
)
def test_small_orders_pay_and_large_ones_travel_free(small, kit, price, charges, source):
    supplier = small.supplier(
        "Saltreeve", freight_minor=1450, free_above_minor=35000, min_order_minor=4000,
        small_order_minor=600,
    )  # fmt: skip
    small.offer(supplier, kit, price)
    goods = int(price.replace(".", ""))
    assert land([need(kit)], DAY).total.minor == goods + charges, source


def test_a_price_for_a_hundred_is_divided_once(small, kit):
    # Handbook 5.4: 200 nipples at 145 EUR per 100 are 290.00 EUR.
    small.offer(small.supplier("Kestrow"), kit, "145", price_per=100)
    assert land([need(kit, 200)], DAY).total.minor == 29000


def test_whole_packs_are_bought_and_a_break_that_pays_is_taken(small, kit):
    # Handbook 5.3: 23 at 12.60 would be 289.80, 25 at 11.20 are 280.00.
    small.offer(small.supplier("Kestrow"), kit, "12.60", breaks=((25, 112_000),))
    order = land([need(kit, 23)], DAY)
    assert order.total.minor == 28000
    assert order.purchases[0].units == 25


def test_the_rate_of_the_day_counts_not_a_later_one(small, kit):
    small.offer(small.supplier("Ninefold", "USD"), kit, "110.00", currency="USD")
    small.rate("USD", "1.1000", "2026-11-20")
    small.rate("USD", "2.2000", "2026-11-21")
    assert land([need(kit)], DAY).total.minor == 10000


def test_without_a_rate_nothing_is_landed(small, kit):
    small.offer(small.supplier("Ninefold", "USD"), kit, "110.00", currency="USD")
    with pytest.raises(PartsdbError, match="USD"):
        land([need(kit)], DAY)
    (answer,) = offer_answers(row(kit), on_offer(kit), 1, DAY)
    assert answer.landed_minor is None
    assert "USD" in answer.note


def test_an_offer_in_another_currency_than_the_terms_is_not_landed(small, kit):
    small.offer(small.supplier("Saltreeve", "GBP"), kit, "61.90", currency="EUR")
    with pytest.raises(InputRefusedError, match="terms are in GBP"):
        land([need(kit)], DAY)


def test_terms_count_from_their_day_on(small, kit):
    small.offer(small.supplier("Kestrow", freight_minor=980), kit, "61.90")
    assert land([need(kit)], "2025-12-31").total.minor == 6190
    assert land([need(kit)], "2026-01-01").total.minor == 7170


def test_without_terms_what_is_not_counted_is_said(small, kit):
    from partsdb.store import makers

    small.offer(makers.add_supplier("Rushholme"), kit, "61.90")
    order = land([need(kit)], DAY)
    assert order.total.minor == 6190
    assert any("Incoterm" in said for said in order.not_counted)


def test_the_suppliers_heading_and_origin_count_where_the_part_has_none(small):
    bare = small.part("B")
    supplier = small.supplier("Ninefold", duty_heading="8424.90", origin="US", incoterm="FCA")
    rates = [("8424.90", "US", "0.10"), ("8424.90", "DE", "0.50")]
    terms.add_duty_rates([DutyRow(h, o, r, "2026-01-01", None, "invented") for h, o, r in rates])
    small.offer(supplier, bare, "100.00")
    assert amounts(land([need(bare)], DAY))["duty"] == 1000


# Several offers of one part


def answers(part: int, units: int = 1) -> list[tuple[str, int | None]]:
    found = offer_answers(row(part), on_offer(part), units, DAY)
    return [(answer.supplier, answer.landed_minor) for answer in found]


def test_offers_stand_cheapest_landed_first_not_cheapest_priced(small, kit):
    small.offer(small.supplier("Saltreeve", freight_minor=1450), kit, "50.00")
    small.offer(small.supplier("Kestrow"), kit, "61.90")
    assert answers(kit) == [("Kestrow", 6190), ("Saltreeve", 6450)]


def test_what_cannot_be_landed_comes_after_and_what_is_barred_last(small, kit):
    barred = small.supplier("Ninefold")
    small.grade("supplier", barred, "barred")
    small.offer(barred, kit, "1.00")
    small.offer(small.supplier("Saltreeve", "GBP"), kit, "2.00", currency="GBP")
    small.offer(small.supplier("Kestrow"), kit, "61.90")
    assert answers(kit) == [("Kestrow", 6190), ("Saltreeve", None), ("Ninefold", 100)]


def test_equal_offers_stand_in_the_order_of_the_suppliers_names(small, kit):
    for name in ("Saltreeve", "Kestrow", "Ninefold"):
        small.offer(small.supplier(name), kit, "61.90")
    assert [name for name, _ in answers(kit)] == ["Kestrow", "Ninefold", "Saltreeve"]


def test_an_offers_own_lead_time_counts_before_the_suppliers(small, kit):
    supplier = small.supplier("Kestrow", lead_days=6)
    small.offer(supplier, kit, "1", code="X", lead_days=0)
    small.offer(supplier, kit, "1", code="Y")
    small.offer(small.supplier("Saltreeve", lead_days=None), kit, "1", code="Z")
    assert {o.code: lead_days(o, DAY) for o in on_offer(kit)} == {"X": 0, "Y": 6, "Z": None}


def test_the_home_currency_is_a_setting(small, kit):
    small.offer(small.supplier("Kestrow"), kit, "100.00")
    assert home_currency() == "EUR"
    events.set_setting("home_currency", "GBP", by=BY)
    small.rate("GBP", "0.8500")
    order = land([need(kit)], DAY)
    assert (order.total.minor, order.total.currency) == (8500, "GBP")


# Duty rates that have ended


@pytest.mark.parametrize(
    ("rates", "said"),
    [
        (
            [("GB", "0.017", "2026-01-01", "2026-06-30")],
            "the rate of 1.7 % for 8481.90 from GB ended on 2026-06-30: set the new one",
        ),
        (
            [("", "0.022", "2026-01-01", "2026-11-19")],
            "the rate of 2.2 % for 8481.90 ended on 2026-11-19: set the new one",
        ),
        (
            [
                ("GB", "0.017", "2025-01-01", "2025-12-31"),
                ("GB", "0.02", "2026-01-01", "2026-03-31"),
                ("", "0.03", "2024-01-01", "2024-12-31"),
            ],
            "the rate of 2 % for 8481.90 from GB ended on 2026-03-31: set the new one",
        ),
        ([("TW", "0.05", "2026-01-01", "2026-06-30")], "no rate is known"),
        ([("GB", "0.05", "2027-01-01", None)], "no rate is known"),
    ],
)
def test_a_duty_rate_that_ended_is_named_and_not_counted(small, kit, rates, said):
    terms.add_duty_rates([DutyRow("8481.90", *rate, "invented") for rate in rates])
    small.offer(small.supplier("Kestrow"), kit, "100.00")
    order = land([need(kit)], DAY)
    assert amounts(order) == {"goods": 10_000}
    assert order.not_counted == (f"duty on Quillmere 24-1180: {said}",)
    [offer] = offer_answers(row(kit), on_offer(kit), 1, DAY)
    assert f"not counted: duty on Quillmere 24-1180: {said}" in offer.note


def test_on_its_last_day_a_duty_rate_still_counts_and_a_general_one_takes_over(small, kit):
    """1.7 % of 100.00 is 1.70, 4 % of it 4.00."""
    terms.add_duty_rates([DutyRow("8481.90", "GB", "0.017", "2026-01-01", DAY, "invented")])
    small.offer(small.supplier("Kestrow"), kit, "100.00")
    assert amounts(land([need(kit)], DAY))["duty"] == 170
    terms.add_duty_rates([DutyRow("8481.90", "", "0.04", "2026-01-01", None, "invented")])
    after = land([need(kit)], "2026-11-21")
    assert (amounts(after)["duty"], after.not_counted) == (400, ())


def test_a_rate_that_was_corrected_to_end_no_longer_counts_as_without_an_end(small, kit):
    open_ended = DutyRow("8481.90", "GB", "0.017", "2026-01-01", None, "invented")
    terms.add_duty_rates([open_ended])
    terms.add_duty_rates([open_ended._replace(valid_to="2026-06-30")])
    assert terms.duty_rate("8481.90", "GB", DAY) is None
    assert terms.duty_rate("8481.90", "GB", "2026-06-30").valid_to == "2026-06-30"
    terms.add_duty_rates([open_ended])
    assert terms.duty_rate("8481.90", "GB", DAY) == open_ended
    assert terms.ended_duty_rate("8481.90", "GB", DAY) is None
