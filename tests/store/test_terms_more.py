"""Freight tables, fees, discounts, deposits, customs' rates: which of them counts on a day."""

from __future__ import annotations

import pytest

from partsdb.store import catalogue, makers, terms_more
from partsdb.store.rows import NewPart, Stamp
from partsdb.store.rows_terms import (
    CustomsRateRow,
    DepositRow,
    DiscountRow,
    FeeRow,
    FreightStepRow,
)

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture
def seller(opened):
    return makers.add_supplier("Kestrow")


def step(seller, valid_from, start, minor, basis="weight"):
    return FreightStepRow(seller, valid_from, basis, "EUR", start, minor)


def test_the_newest_table_of_a_basis_counts_as_a_whole(seller):
    spring = [step(seller, "2026-01-01", start, minor) for start, minor in ((0, 650), (2000, 990))]
    autumn = [step(seller, "2026-09-01", 0, 700)]
    by_value = [step(seller, "2026-01-01", 0, 1200, "value")]
    for table in (spring, autumn, by_value):
        terms_more.add_freight_table(table, by=BY)
    assert terms_more.freight_as_of(seller, "2025-12-31") == []
    assert terms_more.freight_as_of(seller, "2026-08-31") == [*spring, *by_value]
    assert terms_more.freight_as_of(seller, "2026-09-01") == [*autumn, *by_value]


def test_a_table_entered_again_for_a_day_replaces_it(seller):
    old = [step(seller, "2026-01-01", 0, 650), step(seller, "2026-01-01", 2000, 990)]
    new = [step(seller, "2026-01-01", 0, 600)]
    terms_more.add_freight_table(old, by=BY)
    terms_more.add_freight_table(new, by=BY)
    assert terms_more.freight_as_of(seller, "2026-02-01") == new
    assert terms_more.freight_from(seller, "weight", "2026-01-01") == new
    assert terms_more.freight_from(seller, "weight", "2026-01-02") == []


def test_the_newest_version_of_each_fee_counts_even_when_it_has_ended(seller):
    versions = [
        FeeRow(seller, "Bank", "2026-01-01", None, "EUR", 500),
        FeeRow(seller, "bank ", "2026-05-01", "2026-06-30", "EUR", 600),
        FeeRow(seller, "Entry", "2026-02-01", None, "EUR", rate="0.003"),
    ]
    for fee in versions:
        terms_more.add_fee(fee, by=BY)
    assert terms_more.fees_as_of(seller, "2026-01-15") == versions[:1]
    assert terms_more.fees_as_of(seller, "2026-12-01") == versions[1:]
    assert len(terms_more.fee_versions(seller)) == 3


def test_a_discount_counts_within_its_days_and_the_last_entered_of_equal_goods(seller):
    always = DiscountRow(seller, "2026-01-01", None, None, "", "", "0.05")
    spring = DiscountRow(seller, "2026-03-01", "2026-05-31", None, "hose", "", "0.10")
    better = spring._replace(rate="0.12")
    for discount in (always, spring, better):
        terms_more.add_discount(discount, by=BY)
    assert terms_more.discounts_as_of(seller, "2026-02-01") == [always]
    assert terms_more.discounts_as_of(seller, "2026-05-31") == [always, better]
    assert terms_more.discounts_as_of(seller, "2026-06-01") == [always]
    assert terms_more.discount_versions(seller) == [always, spring, better]


def test_a_deposit_counts_within_its_days(seller):
    part = catalogue.add_part(NewPart(makers.add_maker("Quillmere"), "A"), by=BY)
    first = DepositRow(seller, part, "2026-01-01", None, "EUR", 4000, "0.9")
    second = DepositRow(seller, part, "2026-06-01", "2026-06-30", "EUR", 5000)
    terms_more.add_deposit(first, by=BY)
    terms_more.add_deposit(second, by=BY)
    assert terms_more.deposits_as_of(seller, "2026-05-31") == {part: first}
    assert terms_more.deposits_as_of(seller, "2026-06-30") == {part: second}
    assert terms_more.deposits_as_of(seller, "2026-07-01") == {}


def test_customs_count_at_their_rate_of_the_day_and_at_none_once_it_has_ended(opened):
    october = CustomsRateRow("USD", "EUR", "2026-10-01", "2026-10-31", "0.92", "gazette")
    terms_more.add_customs_rates([october], by=BY)
    assert terms_more.customs_rate("USD", "EUR", "2026-10-31") == october
    assert terms_more.customs_rate("USD", "EUR", "2026-11-01") is None
    assert terms_more.customs_rate("USD", "GBP", "2026-10-15") is None
    assert terms_more.customs_rates() == [october]
