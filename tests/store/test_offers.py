"""Offers, terms, exchange and duty rates: which of them count on a day."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.store import lists, makers, offers, terms
from partsdb.store.rows import DutyRow, FxRow, NewOffer, Stamp, Terms
from partsdb.store.rows_lists import NewList

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")
DAY = "2026-03-10"


@pytest.fixture
def kestrow(shop) -> int:
    return makers.add_supplier("Kestrow", maker_id=shop.corrowby)


def batch(supplier: int, name: str) -> int:
    return lists.add_list(NewList(supplier, name, name, "csv"), by=BY)


def prices(part: int, day: str = DAY) -> list[int]:
    return [offer.price_e4 for offer in offers.live_offers([part], day)]


def test_an_offer_comes_back_whole(shop, kestrow):
    new = NewOffer(
        kestrow, shop.kit, 1_234_500, "EUR", code="K-1", price_per=100, pack_units=10, min_units=20,
        unit="Stk", lead_days=6, stock="12", valid_from="2026-01-01", valid_to="2026-12-31",
        breaks=((50, 1_200_000), (100, 1_100_000)),
    )  # fmt: skip
    offers.add_offers([new], by=BY)
    (stored,) = offers.live_offers([shop.kit], DAY)
    assert stored.supplier == "Kestrow"
    assert {
        name: getattr(stored, name)
        for name in NewOffer.__slots__
        if name not in ("line_id", "held")
    } == {
        name: getattr(new, name) for name in NewOffer.__slots__ if name not in ("line_id", "held")
    }


@pytest.mark.parametrize(
    ("day", "counts"),
    [("2025-12-31", False), ("2026-01-01", True), ("2026-06-30", True), ("2026-07-01", False)],
)
def test_an_offer_counts_from_its_first_day_to_its_last(shop, kestrow, day, counts):
    offers.add_offers(
        [NewOffer(kestrow, shop.kit, 1, "EUR", valid_from="2026-01-01", valid_to="2026-06-30")],
        by=BY,
    )
    assert bool(prices(shop.kit, day)) is counts


def test_a_newer_list_replaces_the_price_of_the_same_code(shop, kestrow):
    for name, price in (("old", 100), ("new", 120)):
        brought = batch(kestrow, name)
        new = NewOffer(kestrow, shop.kit, price, "EUR", code="K-1", price_list_id=brought)
        offers.add_offers([new], by=BY)
    assert prices(shop.kit) == [120]


def test_a_list_that_holds_from_next_month_does_not_count_yet(shop, kestrow):
    for price, day in ((100, "2026-01-01"), (120, "2026-04-01")):
        brought = batch(kestrow, day)
        new = NewOffer(kestrow, shop.kit, price, "EUR", code="K-1", valid_from=day,
                       price_list_id=brought)  # fmt: skip
        offers.add_offers([new], by=BY)
    assert prices(shop.kit) == [100]
    assert prices(shop.kit, "2026-04-01") == [120]


def test_two_prices_of_one_code_in_one_list_are_both_shown(shop, kestrow):
    brought = batch(kestrow, "list")
    both = [
        NewOffer(kestrow, shop.kit, p, "EUR", code="K-1", price_list_id=brought) for p in (5, 9)
    ]
    offers.add_offers(both, by=BY)
    assert sorted(prices(shop.kit)) == [5, 9]


def test_other_codes_and_other_suppliers_stand_beside_each_other(shop, kestrow):
    ninefold = makers.add_supplier("Ninefold")
    several = [
        NewOffer(kestrow, shop.kit, 5, "EUR", code="K-1"),
        NewOffer(kestrow, shop.kit, 6, "EUR", code="K-1 box"),
        NewOffer(ninefold, shop.kit, 7, "USD", code="K-1"),
    ]
    offers.add_offers(several, by=BY)
    assert prices(shop.kit) == [5, 6, 7]


@pytest.mark.parametrize("price", [0, -1])
def test_a_price_of_nothing_is_no_offer(shop, kestrow, price):
    with pytest.raises(sqlite3.IntegrityError):
        offers.add_offers([NewOffer(kestrow, shop.kit, price, "EUR")], by=BY)


# ECB euro reference rates, as quoted in the project's list of references
ECB = [
    FxRow("2020-03-16", "USD", "1.1157", "ECB"),
    FxRow("2024-01-02", "USD", "1.0956", "ECB"),
    FxRow("2020-03-16", "GBP", "0.90918", "ECB"),
]


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        ("2020-03-15", None),
        ("2020-03-16", ("2020-03-16", "1.1157")),
        ("2024-01-01", ("2020-03-16", "1.1157")),
        ("2024-01-02", ("2024-01-02", "1.0956")),
        ("2030-01-01", ("2024-01-02", "1.0956")),
    ],
)
def test_the_rate_is_the_last_one_published_never_a_later_one(opened, day, expected):
    terms.add_fx_rates(ECB)
    found = terms.fx_rates("USD", day)
    assert (found and (found.date, found.per_eur)) == expected


def test_one_euro_is_one_euro(opened):
    assert terms.fx_rates("EUR", DAY).per_eur == "1"


def test_a_corrected_rate_takes_the_place_of_the_wrong_one(opened):
    terms.add_fx_rates([FxRow("2024-01-02", "USD", "10.956", "typing mistake"), *ECB])
    assert terms.fx_rates("USD", "2024-01-02").per_eur == "1.0956"
    assert [rate.currency for rate in terms.latest_fx(DAY)] == ["GBP", "USD"]


def test_terms_count_from_their_day_on(opened, kestrow):
    for day, freight in (("2026-01-01", 900), ("2026-05-01", 1200), ("2026-01-01", 980)):
        terms.add_terms(Terms(kestrow, day, "EUR", freight_minor=freight), by=BY)
    assert terms.terms_as_of(kestrow, "2025-12-31") is None
    assert terms.terms_as_of(kestrow, DAY).freight_minor == 980
    assert terms.terms_as_of(kestrow, "2026-05-01").freight_minor == 1200
    assert [t.freight_minor for t in terms.terms_history(kestrow)] == [1200, 980, 900]


DUTY = [
    DutyRow("8424.90", "", "0.017", "2026-01-01", None, "tariff"),
    DutyRow("8424.90", "GB", "0", "2026-01-01", "2026-06-30", "agreement"),
    DutyRow("8424", "", "0.05", "2026-01-01", None, "tariff"),
]


@pytest.mark.parametrize(
    ("heading", "origin", "day", "rate"),
    [
        ("8424.90", "US", DAY, "0.017"),
        ("842490", "US", DAY, "0.017"),
        ("8424.90", "GB", DAY, "0"),
        ("8424.90", "GB", "2026-07-01", "0.017"),
        ("8424.90", "US", "2025-12-31", None),
        ("8424.91", "US", DAY, None),
        ("8424", "US", DAY, "0.05"),
    ],
)
def test_a_duty_rate_is_of_exactly_that_heading_and_the_origin_wins(
    opened, heading, origin, day, rate
):
    terms.add_duty_rates(DUTY)
    found = terms.duty_rate(heading, origin, day)
    assert (found and found.rate) == rate
