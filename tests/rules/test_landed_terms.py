"""Landed under every kind of term: discounts, deposits, freight tables, fees; by hand."""

import datetime as dt
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.costing import FORFEITED, CustomsRules, ShareBy
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.freight import FreightStep, FreightTable, Weighing
from partsdb.rules.fx import Rates, same_currency
from partsdb.rules.landed import LandedLine, SupplierTerms, land_order
from partsdb.rules.money import CurrencyMismatchError, Money
from partsdb.rules.offers import Offer

DAY = dt.date(2026, 11, 25)
HOME = same_currency(DAY)
# 1 USD is 0.90 EUR in the middle, 0.918 EUR paid (2 % spread).
ABROAD = Rates(Fraction("0.918"), Fraction("0.9"), DAY, 0)


def eur(text):
    return Money.of(text, "EUR")


def usd(text):
    return Money.of(text, "USD")


def terms(money=eur, **stated):
    nothing = money("0")
    plain = {
        "currency": nothing.currency, "incoterm": "DAP", "freight": nothing, "free_above": None,
        "min_order": nothing, "small_order": nothing, "insurance": nothing, "brokerage": eur("0"),
        "spread": Fraction(0),
    }  # fmt: skip
    return SupplierTerms(**{**plain, **stated})


def line(price, units=1, *, currency="EUR", weight=None, duty="0", volume=None, **offered):
    offer = Offer(int(Fraction(price) * 10_000), currency, **offered)
    return LandedLine(f"part {price}", offer, units, weight, Fraction(duty), False, volume)


def steps(order):
    return {step.label: step.amount_minor for step in order.steps}


def how(order, label):
    return next(step.how for step in order.steps if step.label == label)


def adds_up(order):
    assert order.total.minor == sum(step.amount_minor for step in order.steps)
    assert order.total.minor == sum(each.total_minor for each in order.lines)
    return order


def test_a_discount_is_a_step_of_its_own_and_lowers_the_customs_value():
    """200.00 USD less 10 % = 180.00; × 0.918 = 183.60 and -18.36; duty 5 % of 180.00 × 0.90."""
    bought = line("20", 10, currency="USD", duty="0.05", discount=Fraction("0.1"))
    order = adds_up(land_order([bought], terms(usd), ABROAD, "EUR"))
    assert steps(order) == {"goods": 18360, "discount": -1836, "duty": 810}
    assert how(order, "discount") == "10 % of 200.00 USD at 0.918 EUR paid for 1 USD"


def test_discounts_of_several_rates_are_told_apart_and_fall_on_their_own_lines():
    lines = [line("20", 10, discount=Fraction("0.1")), line("7.77", 3, discount=Fraction("0.25")), line("5", 1)]
    order = adds_up(land_order(lines, terms(), HOME, "EUR"))
    # By hand: 200.00 + 23.31 + 5.00; 20.00 and 5.8275, which leaves 17.48 of 23.31.
    assert steps(order) == {"goods": 22831, "discount": -2583}
    assert [steps(each)["discount"] for each in order.lines] == [-2000, -583, 0]
    assert how(order, "discount") == "10 % of 200.00 EUR + 25 % of 23.31 EUR"


@pytest.mark.parametrize(
    ("price", "freight"), [("111.11", 500), ("111.12", 0)]
)  # less 10 %: 99.999 → 100.00 is rounded, as the invoice is
def test_thresholds_count_what_is_paid_not_the_list_price(price, freight):
    stated = terms(freight=eur("5"), free_above=eur("100.01"))
    order = land_order([line(price, discount=Fraction("0.1"))], stated, HOME, "EUR")
    assert steps(order).get("freight", 0) == freight


def test_a_core_deposit_is_cash_and_only_what_is_not_returned_is_cost():
    """Handbook 5.3: cost = deposit × P(not returned). 3 × 40.00, a tenth not returned: 12.00."""
    bought = line("60", 3, deposit_minor=4000, returned=Fraction("0.9"))
    order = adds_up(land_order([bought], terms(), HOME, "EUR"))
    assert steps(order) == {"goods": 18000, FORFEITED: 1200}
    assert (order.deposit, order.cash_out) == (eur("120"), eur("300"))
    assert how(order, FORFEITED) == "10 % of 120.00 EUR"
    assert order.notes[-1] == (
        "to pay out are 300.00 EUR, with 120.00 EUR of core deposits, which come back with the cores"
    )


def test_deposits_are_outside_every_threshold_and_customs_value():
    bought = line("60", 1, duty="0.1", deposit_minor=40_000)
    order = land_order([bought], terms(min_order=eur("100"), small_order=eur("7")), HOME, "EUR", "FOB")
    assert steps(order) == {"goods": 6000, FORFEITED: 40_000, "small order charge": 700, "duty": 670}


def test_a_core_that_always_comes_back_costs_nothing():
    order = land_order([line("60", deposit_minor=4000, returned=Fraction(1))], terms(), HOME, "EUR")
    assert (steps(order), order.cash_out) == ({"goods": 6000}, eur("100"))


def test_recoverable_vat_is_told_as_cash():
    rules = CustomsRules("CIF", vat_rate=Fraction("0.2"))
    order = land_order([line("100")], terms(), HOME, "EUR", rules)
    assert (order.total, order.cash_out) == (eur("100"), eur("120"))
    assert order.notes == ("to pay out are 120.00 EUR, with 20.00 EUR of VAT, which is recovered",)


PARCELS = FreightTable(
    True,
    (FreightStep(Fraction(0), eur("6.50")), FreightStep(Fraction(2), eur("9.90")),
     FreightStep(Fraction(10), eur("20.00"), eur("0.80"))),
)  # fmt: skip


@pytest.mark.parametrize(
    ("grams", "freight", "told"),
    [
        (2000, 650, "2 kg: 6.50 EUR up to 2 kg"),
        (2001, 990, "2.001 kg: 9.90 EUR up to 10 kg"),
        (12_500, 2200, "12.5 kg: 20.00 EUR over 10 kg and 0.80 EUR for each kg more"),
    ],
)
def test_freight_by_weight_steps(grams, freight, told):
    order = adds_up(land_order([line("50", weight=grams)], terms(tables=(PARCELS,)), HOME, "EUR"))
    assert steps(order)["freight by weight"] == freight
    assert how(order, "freight by weight") == f"{Money(freight, 'EUR')}, {told}"


def test_the_fuel_surcharge_falls_on_the_steps_by_weight():
    """9.90 + 18 % = 11.682."""
    stated = terms(tables=(PARCELS,), fuel=Fraction("0.18"))
    order = land_order([line("50", weight=2500)], stated, HOME, "EUR")
    assert steps(order)["freight by weight"] == 1168
    assert how(order, "freight by weight").endswith("9.90 EUR up to 10 kg and 18 % fuel surcharge")


def test_freight_by_value_steps_and_carriage_free_above():
    table = FreightTable(False, (FreightStep(Fraction(0), eur("12")), FreightStep(Fraction(10_000), eur("8"))))
    stated = terms(tables=(table,), free_above=eur("250"))
    freight = {
        price: steps(land_order([line(price)], stated, HOME, "EUR")).get("freight by value", 0)
        for price in ("99.99", "100", "249.99", "250")
    }
    assert freight == {"99.99": 1200, "100": 800, "249.99": 800, "250": 0}
    order = land_order([line("100")], stated, HOME, "EUR")
    assert how(order, "freight by value") == "8.00 EUR, goods of 100.00 EUR: 8.00 EUR from 100.00 EUR on"


@pytest.mark.parametrize(
    ("weighing", "kilos", "told"),
    [  # IATA-style divisors, handbook 5.3: 192,000 cm³ are 38.4 kg at 5000 and 32 kg at 6000
        (Weighing(5000, False, Fraction(1, 2)), "45", "45 kg at"),
        (Weighing(5000, True, Fraction(1, 2)), "56", "56 kg (45 kg actual, 44.4 kg volumetric at 5000 cm³/kg, line by line, in steps of 0.5 kg) at"),
        (Weighing(4000), "55.5", "55.5 kg (45 kg actual, 55.5 kg volumetric at 4000 cm³/kg) at"),
    ],
)
def test_the_greater_of_actual_and_volumetric_weight_is_paid_and_shared_by(weighing, kilos, told):
    """Handbook 5.3: two cartons of 27.5 kg in 80 × 60 × 40 cm and 17.5 kg in 40 × 30 × 25 cm."""
    hose = line("385", weight=27_500, volume=800 * 600 * 400)
    kits = line("448", weight=17_500, volume=400 * 300 * 250)
    stated = terms(weighing=weighing, freight_per_kg=eur("6.40"))
    order = adds_up(land_order([hose, kits], stated, HOME, "EUR"))
    assert steps(order)["freight by weight"] == Fraction(kilos) * 640
    assert told in how(order, "freight by weight")
    shares = [steps(each)["freight by weight"] for each in order.lines]
    by = [weighing.of_piece(weighing.piece(*each)) for each in ((Fraction("27.5"), Fraction(192_000)), (Fraction("17.5"), Fraction(30_000)))]
    assert shares[0] * sum(by) == pytest.approx(float(sum(shares) * by[0]), abs=float(sum(by)))


def test_what_is_not_weighed_or_measured_is_said():
    stated = terms(weighing=Weighing(5000), freight_per_kg=eur("2"))
    lines = [line("10", weight=3000), line("11", weight=None, volume=10_000_000)]
    order = land_order(lines, stated, HOME, "EUR")
    # 3 kg and 10,000 cm³ = 2 kg: the consignment is billed at the greater sum, 3 kg.
    assert steps(order)["freight by weight"] == 600
    assert order.not_counted == (
        "freight by weight: the weight of a part is not known",
        "freight by volumetric weight: the packed size of a part is not known",
    )


def entry(money=eur, **more):
    plain = {"rate": Fraction("0.01"), "of": FeeOf.CUSTOMS_VALUE, "least": money("2.50"), "most": money("30")}
    return Fee("entry fee", money("0"), **{**plain, **more})


@pytest.mark.parametrize(
    ("price", "fee"), [("100", 250), ("1000", 900), ("10000", 3000)]
)  # 1 % of 90.00, 900.00, 9000.00 EUR: within 2.50 and 30.00
def test_a_fee_on_the_customs_value_keeps_its_bounds(price, fee):
    order = adds_up(land_order([line(price, currency="USD")], terms(usd, fees=(entry(),)), ABROAD, "EUR"))
    assert steps(order)["entry fee"] == fee


def test_a_fee_on_the_customs_value_counts_what_joins_it():
    """CIF: (100.00 + 50.00 freight + 4.00 insurance) × 0.90 = 138.60, 10 % of it = 13.86."""
    stated = terms(usd, freight=usd("50"), insurance=usd("4"), fees=(entry(rate=Fraction("0.1"), most=None),))
    bought = line("100", currency="USD")
    order = land_order([bought], stated, ABROAD, "EUR", "CIF")
    assert steps(order)["entry fee"] == 1386
    assert how(order, "entry fee") == "13.86 EUR, 10 % of customs value 138.60 EUR, at least 2.50 EUR"
    assert steps(land_order([bought], stated, ABROAD, "EUR", "FOB"))["entry fee"] == 900


def test_a_fee_in_the_suppliers_money_on_the_customs_value_is_exchanged_back():
    """10 % of 90.00 EUR are 10 % of 100.00 USD = 10.00 USD, paid at 0.918 = 9.18 EUR."""
    fee = entry(usd, rate=Fraction("0.1"), most=None)
    order = land_order([line("100", currency="USD")], terms(usd, fees=(fee,)), ABROAD, "EUR")
    assert steps(order)["entry fee"] == 918


def test_where_the_seller_clears_the_fees_on_the_customs_value_are_his():
    order = land_order([line("100", currency="USD")], terms(usd, incoterm="DDP", fees=(entry(),)), ABROAD, "EUR")
    assert "entry fee" not in steps(order)


def test_a_dutiable_fee_on_the_goods_joins_the_customs_value():
    """Packing 2 % of 100.00 = 2.00: duty 10 % of 102.00 on either basis (19 USC 1401a: packing)."""
    packing = Fee("packing", eur("0"), Fraction("0.02"), dutiable_on=("CIF", "FOB"))
    for basis in ("CIF", "FOB"):
        order = land_order([line("100", duty="0.1")], terms(fees=(packing,)), HOME, "EUR", basis)
        assert steps(order) == {"goods": 10_000, "packing": 200, "duty": 1020}


def test_a_fee_of_the_home_bank_is_a_share_of_what_the_goods_cost_at_home():
    """0.15 % of 1000.00 USD × 0.918 = 1.377 EUR, at least 1.00."""
    bank = Fee("bank transfer", eur("0"), Fraction("0.0015"), least=eur("1"), share_by=ShareBy.LINE)
    stated = terms(usd, fees=(bank,))
    order = land_order([line("500", currency="USD"), line("500", currency="USD")], stated, ABROAD, "EUR")
    assert steps(order)["bank transfer"] == 138
    assert [steps(each)["bank transfer"] for each in order.lines] == [69, 69]


def test_a_prompt_discount_that_is_taken_is_a_step_and_no_matter_of_customs():
    """Handbook 5.4: 2 % of 1123.00 is 22.46."""
    stated = terms(prompt_discount=Fraction("0.02"))
    order = adds_up(land_order([line("1123", duty="0.1")], stated, HOME, "EUR"))
    assert steps(order) == {"goods": 112_300, "discount for prompt payment": -2246, "duty": 11_230}


def test_a_fee_in_a_third_currency_is_refused():
    fee = Fee("fee", Money.of("5", "GBP"))
    with pytest.raises(CurrencyMismatchError):
        land_order([line("5", currency="USD")], terms(usd, fees=(fee,)), ABROAD, "EUR")


def test_insurance_stated_where_the_seller_insures_is_counted_and_told():
    order = land_order([line("5")], terms(incoterm="CIP", insurance=eur("3")), HOME, "EUR")
    assert steps(order)["insurance"] == 300
    assert any("under CIP the insurance is the seller's" in note for note in order.notes)


TEN_EURO_E4 = 100_000
amounts = st.integers(0, 50_000).map(lambda minor: Money(minor, "EUR"))
shares = st.fractions(0, Fraction(1, 2), max_denominator=200)
lines_of = st.lists(
    st.builds(
        LandedLine, part=st.sampled_from(["kit", "ball", "hose"]),
        offer=st.builds(
            Offer, st.integers(1, 10**7), st.just("EUR"), discount=shares, pack_units=st.integers(1, 5),
            breaks=st.lists(st.tuples(st.integers(2, 40), st.integers(1, 10**7)), max_size=2, unique_by=lambda b: b[0]).map(tuple),
            incremental=st.booleans(), deposit_minor=st.integers(0, 9000), returned=st.fractions(0, 1, max_denominator=50),
        ),
        need_units=st.integers(1, 60), weight_g=st.none() | st.integers(0, 9000), duty_rate=st.none() | shares,
        volume_mm3=st.none() | st.integers(1, 10**8),
    ),
    min_size=1, max_size=5,
)  # fmt: skip
fees_of = st.lists(
    st.builds(
        Fee, st.sampled_from(["a", "b"]), amounts, shares, st.sampled_from([FeeOf.GOODS]),
        least=st.none() | amounts, share_by=st.sampled_from([ShareBy.VALUE, ShareBy.WEIGHT]),
        dutiable_on=st.sampled_from([(), ("CIF",), ("CIF", "FOB")]), taxable=st.booleans(),
    ),
    max_size=2,
).map(tuple)  # fmt: skip


@given(
    lines_of, fees_of, amounts, shares, st.sampled_from(["CIF", "FOB"]), st.booleans(),
    st.builds(Weighing, st.sampled_from([None, 5000, 6000]), st.booleans(), st.sampled_from([Fraction(0), Fraction(1, 2)])),
)  # fmt: skip
def test_under_any_terms_the_total_is_the_sum_of_the_steps_and_of_the_lines(
    lines, fees, freight, prompt, basis, is_recovered, weighing
):
    stated = terms(freight=freight, tables=(PARCELS,), fees=(*fees, entry()), weighing=weighing,
                   prompt_discount=prompt, min_order=eur("90"), small_order=eur("7.50"))  # fmt: skip
    rules = CustomsRules(basis, vat_rate=Fraction("0.19"), vat_recoverable=is_recovered)
    order = adds_up(land_order(lines, stated, HOME, "EUR", rules))
    for each in order.lines:
        assert each.total_minor == sum(step.amount_minor for step in each.steps)
    assert order.cash_out >= order.total - order.deposit


@given(lines_of, st.fractions(Fraction(1, 3), 3, max_denominator=1000))
def test_doubling_every_price_and_charge_doubles_the_total_but_for_rounding(lines, paid):
    stated = terms(freight=eur("4.40"), tables=(PARCELS,), fees=(entry(),))
    doubled = replace(
        stated, freight=eur("8.80"), fees=(entry(least=eur("5"), most=eur("60")),),
        tables=(FreightTable(True, tuple(replace(s, freight=s.freight * 2, per_more=s.per_more and s.per_more * 2) for s in PARCELS.steps)),),
    )  # fmt: skip
    rates = Rates(paid, paid, DAY, 0)
    # Of goods of a fraction of a cent rounding alone decides who bears the freight, and its duty.
    lines = [
        replace(x, offer=replace(
            x.offer, price_e4=x.offer.price_e4 + TEN_EURO_E4,
            breaks=tuple((units, price + TEN_EURO_E4) for units, price in x.offer.breaks)))
        for x in lines
    ]  # fmt: skip
    twice = [
        replace(x, as_ordered=False, offer=replace(
            x.offer, price_e4=x.offer.price_e4 * 2, deposit_minor=x.offer.deposit_minor * 2,
            breaks=tuple((units, price * 2) for units, price in x.offer.breaks)))
        for x in lines
    ]  # fmt: skip
    once, second = (land_order(a, b, rates, "EUR") for a, b in ((lines, stated), (twice, doubled)))
    slack = 2 * sum(len(each.steps) + 1 for each in once.lines) + 2
    # Where rounding alone decides between two breaks the units may differ, and so the freight.
    if [p.units for p in once.purchases] == [p.units for p in second.purchases]:
        assert abs(second.total.minor - 2 * once.total.minor) <= slack
