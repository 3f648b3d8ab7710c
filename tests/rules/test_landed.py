"""Landed cost: the handbook's worked examples to the cent, Incoterms, and what always adds up."""

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError
from partsdb.rules.costing import Charge, CustomsRules, GoodsLine, ShareBy, land
from partsdb.rules.fx import Rates, paid_rate, same_currency
from partsdb.rules.landed import LandedLine, SupplierTerms, incoterm, land_order
from partsdb.rules.money import (
    CurrencyMismatchError,
    Money,
    UnitPrice,
    allocate,
    total_of,
    unit_cost,
)
from partsdb.rules.offers import Offer

DAY = dt.date(2026, 11, 25)


def rates(paid, customs):
    return Rates(Fraction(paid), Fraction(customs), DAY, 0)


def eur(text):
    return Money.of(text, "EUR")


def usd(text):
    return Money.of(text, "USD")


def gbp(text):
    return Money.of(text, "GBP")


def texts(minors, currency):
    return [Money(minor, currency).text() for minor in minors]


def step_of(steps, label):
    return next(step.amount_minor for step in steps if step.label == label)


@pytest.fixture
def example_a():
    """Handbook 5.4: FOB-type valuation, three lines, every rate invented."""
    kit_and_nipple = Fraction("17.5") / Fraction("16.2")
    lines = [
        GoodsLine(
            "kit",
            40,
            UnitPrice.of("11.20", "EUR").line_total(40),
            kit_and_nipple * Fraction("7.2"),
            Fraction("0.020"),
        ),
        GoodsLine(
            "nipple",
            200,
            UnitPrice.of("145", "EUR", per=100).line_total(200),
            kit_and_nipple * 9,
            Fraction("0.030"),
        ),
        GoodsLine(
            "hose",
            10,
            UnitPrice.of("38.50", "EUR").line_total(10),
            Fraction("38.5"),
            Fraction("0.025"),
        ),
    ]
    carrier = usd("6.40").share(Fraction("56.0"))
    charges = [
        Charge("freight", carrier + carrier.share(Fraction("0.18")), ShareBy.WEIGHT, ("CIF",)),
        Charge("insurance", usd("8.00")),
        Charge("entry fee", usd("2.50")),
        Charge("brokerage", usd("17.00")),
        Charge("wire", usd("25.00")),
    ]
    paid = paid_rate(Fraction("1.0800"), Fraction("0.025"))
    return lines, land(
        lines, charges, rates(paid, "1.0750"), "USD", CustomsRules("FOB", whole_minor=100)
    )


EXAMPLE_A_ROWS = {  # handbook 5.4, the table of example A
    "goods": ["495.94", "321.03", "426.19"],
    "freight": ["58.74", "73.42", "290.75"],
    "insurance": ["3.19", "2.07", "2.74"],
    "duty": ["9.64", "9.36", "10.35"],
    "entry fee": ["1.00", "0.64", "0.86"],
    "brokerage": ["6.78", "4.39", "5.83"],
    "wire": ["9.97", "6.46", "8.57"],
}


def test_the_goods_of_example_a_come_out(example_a, check_value):
    lines, _ = example_a
    assert [line.goods.text() for line in lines] == check_value("landed.A.goods_eur")


@pytest.mark.parametrize("label", EXAMPLE_A_ROWS)
def test_every_column_of_example_a_comes_out_line_by_line(example_a, label):
    _, landed = example_a
    shares = [step_of(line.steps, label) for line in landed.lines]
    assert texts(shares, "USD") == EXAMPLE_A_ROWS[label]


def test_example_a_comes_out_to_the_cent(example_a, check_value):
    lines, landed = example_a
    assert Money(step_of(landed.steps, "goods"), "USD").text() == check_value("landed.A.paid_usd")
    assert [str(v // 100) for v in landed.customs_minor] == check_value(
        "landed.A.customs_value_usd"
    )
    assert texts([step_of(x.steps, "duty") for x in landed.lines], "USD") == check_value(
        "landed.A.duty"
    )
    assert Money(step_of(landed.steps, "freight"), "USD").text() == check_value("landed.A.freight")
    assert texts([step_of(x.steps, "freight") for x in landed.lines], "USD") == check_value(
        "landed.A.freight_alloc"
    )
    assert texts([x.total_minor for x in landed.lines], "USD") == check_value(
        "landed.A.line_totals"
    )
    assert landed.total.text() == check_value("landed.A.grand_total")
    goods = total_of([line.goods for line in lines], "EUR")
    assert goods.share(Fraction("0.02")).text() == check_value("landed.A.discount_value_eur")


def test_unit_costs_of_example_a_keep_four_places_half_even(example_a, check_value):
    _, landed = example_a
    costs = [unit_cost(Money(line.total_minor, "USD"), line.units).e4 for line in landed.lines]
    assert [f"{cost / 10_000:.4f}" for cost in costs] == check_value("landed.A.unit_cost")


UNITS_B = 120  # handbook 5.5


def example_b(customs):
    lines = [GoodsLine("kit", UNITS_B, usd("2400"), duty_rate=Fraction("0.017"))]
    charges = [
        Charge("freight", usd("310"), ShareBy.WEIGHT, ("CIF",)),
        Charge("insurance", usd("12"), dutiable_on=("CIF",)),
        Charge("delivery", gbp("45"), taxable=True),
        Charge("brokerage", gbp("30")),
    ]
    paid = paid_rate(Fraction("0.7900"), Fraction("0.02"))
    return land(lines, charges, rates(paid, "0.7900"), "GBP", customs)


def test_example_b_comes_out_to_the_penny(check_value):
    landed = example_b(CustomsRules("CIF", vat_rate=Fraction("0.20")))
    step = {s.label: s.amount_minor for s in landed.steps}
    assert texts(landed.customs_minor, "GBP") == [check_value("landed.B.cif")]
    assert Money(step["duty"], "GBP").text() == check_value("landed.B.duty")
    assert landed.vat.text() == check_value("landed.B.vat")
    assert Money(step["goods"], "GBP").text() == check_value("landed.B.goods")
    assert Money(step["freight"] + step["insurance"], "GBP").text() == check_value(
        "landed.B.freight_ins"
    )
    assert landed.lines[0].units == check_value("landed.B.units")
    assert landed.total.text() == check_value("landed.B.landed_vat_recoverable")
    assert landed.cash_out.text() == check_value("landed.B.cash_out")
    assert f"{unit_cost(landed.total, UNITS_B).e4 / 10_000:.4f}" == check_value("landed.B.unit")


def test_vat_that_cannot_be_recovered_is_a_cost(check_value):
    landed = example_b(CustomsRules("CIF", vat_rate=Fraction("0.20"), vat_recoverable=False))
    assert landed.total.text() == check_value("landed.B.landed_vat_not_recoverable")
    assert landed.cash_out.text() == check_value("landed.B.cash_out")
    assert f"{unit_cost(landed.total, UNITS_B).e4 / 10_000:.4f}" == check_value("landed.B.unit_non")
    base = check_value("landed.B.vat_base")
    assert any(f"20 % of {base} GBP" in step.how for step in landed.steps)


def test_duty_on_goods_alone_is_lower_than_on_the_cif_value(check_value):
    landed = example_b(CustomsRules("FOB"))
    assert Money(step_of(landed.steps, "duty"), "GBP").text() == check_value("landed.B.duty_if_fob")


TERMS = SupplierTerms(
    currency="USD", incoterm="FCA", freight=usd("46.00"), free_above=None, min_order=usd("0"),
    small_order=usd("0"), insurance=usd("0"), brokerage=eur("12.00"), spread=Fraction("0.015"),
)  # fmt: skip
# Handbook 5.7 example 1: of 3.2 kg and 276.00 USD these kits are 2.0 kg and 184.00 USD.
KITS = LandedLine("kit", Offer(184_000, "USD"), 10, 200, Fraction("0.017"))
OTHERS = LandedLine("others", Offer(920_000, "USD"), 1, 1200, Fraction("0.017"))
EXAMPLE_1_RATES = rates(
    paid_rate(1 / Fraction("1.0870"), Fraction("0.015")), 1 / Fraction("1.0870")
)


def replaced(**changes):
    return SupplierTerms(**{**{f: getattr(TERMS, f) for f in TERMS.__slots__}, **changes})


def test_example_1_comes_out_to_the_cent(check_value):
    """The kits by themselves, with their share of the freight (by weight) and brokerage (by value)."""
    [freight, _] = allocate(4600, [2000, 1200])
    [brokerage, _] = allocate(1200, [18400, 9200])
    terms = replaced(freight=Money(freight, "USD"), brokerage=Money(brokerage, "EUR"))
    order = land_order([KITS], terms, EXAMPLE_1_RATES, "EUR", "CIF")
    assert {
        "goods_minor": step_of(order.steps, "goods"),
        "freight_minor": step_of(order.steps, "freight"),
        "duty_minor": step_of(order.steps, "duty"),
        "brokerage_minor": step_of(order.steps, "brokerage"),
        "total_minor": order.total.minor,
        "currency": order.total.currency,
    } == check_value("landed_example_1")
    assert texts([*order.customs_minor], "EUR") == ["195.72"]  # handbook 5.7 example 1


def test_the_whole_order_of_example_1_pays_the_freight_once():
    """By hand: 46.00 × 1.015 ÷ 1.087 = 42.953; shares 26.846 and 16.107, the cent to the second."""
    order = land_order([KITS, OTHERS], TERMS, EXAMPLE_1_RATES, "EUR", "CIF")
    assert step_of(order.steps, "freight") == 4295
    assert [step_of(line.steps, "freight") for line in order.lines] == [2684, 1611]
    assert [step_of(line.steps, "brokerage") for line in order.lines] == [800, 400]


def test_the_lines_of_an_order_are_landed_as_bought_not_as_needed():
    offer = Offer(100_000, "EUR", pack_units=10, min_units=20)
    line = LandedLine("seal", offer, 12, None, Fraction(0))
    order = land_order(
        [line],
        replaced(currency="EUR", freight=eur("0"), brokerage=eur("0")),
        same_currency(DAY),
        "EUR",
    )
    assert (order.purchases[0].units, order.lines[0].units, order.total) == (20, 20, eur("200.00"))
    assert any("minimum is 20" in note for note in order.notes)


@pytest.mark.parametrize(
    ("free_above", "freight"),
    [(None, 4600), (usd("276.01"), 4600), (usd("276.00"), 0), (usd("100.00"), 0)],
)
def test_freight_falls_away_from_the_carriage_free_value_on(free_above, freight):
    """Common practice, no source: the value itself is enough."""
    order = land_order([KITS, OTHERS], replaced(free_above=free_above), rates(1, 1), "EUR")
    charged = sum(s.amount_minor for s in order.steps if s.label == "freight")
    assert charged == freight
    assert any("carriage free" in note for note in order.notes) is (freight == 0)


def test_an_order_under_the_minimum_pays_the_small_order_charge_and_duty_on_it():
    terms = replaced(min_order=usd("300"), small_order=usd("10"), brokerage=eur("0"))
    order = land_order([KITS], terms, rates(1, 1), "EUR", "FOB")
    assert step_of(order.steps, "small order charge") == 1000
    assert step_of(order.steps, "duty") == 330  # 1.7 % of 194.00 = 3.298, by hand


def test_an_order_under_the_minimum_without_a_charge_is_marked():
    order = land_order([KITS], replaced(min_order=usd("300")), rates(1, 1), "EUR")
    assert any("may refuse" in note for note in order.notes)


def test_freight_by_weight_carries_its_fuel_surcharge():
    """Handbook 5.4 step 3, on 56.0 kg: 358.40 + 18 % = 422.91."""
    line = LandedLine("kit", Offer(10_000, "EUR"), 1, 56_000, Fraction(0))
    terms = replaced(
        currency="EUR",
        freight=eur("0"),
        brokerage=eur("0"),
        freight_per_kg=eur("6.40"),
        fuel=Fraction("0.18"),
    )
    order = land_order([line], terms, same_currency(DAY), "EUR")
    assert step_of(order.steps, "freight by weight") == 42291


def test_freight_by_weight_of_an_unweighed_part_is_not_counted_and_said_so():
    line = LandedLine("kit", Offer(10_000, "EUR"), 1, None, Fraction(0))
    terms = replaced(
        currency="EUR", freight=eur("0"), brokerage=eur("0"), freight_per_kg=eur("6.40")
    )
    order = land_order([line], terms, same_currency(DAY), "EUR")
    assert order.not_counted == ("freight by weight: the weight of a part is not known",)


def test_freight_is_shared_by_value_when_a_weight_is_not_known():
    unweighed = LandedLine("others", Offer(920_000, "USD"), 1, None, Fraction(0))
    order = land_order([KITS, unweighed], TERMS, rates(1, 1), "EUR")
    assert step_of(order.lines[0].steps, "freight") == 3067  # 46.00 * 184/276 = 30.666..., by hand
    assert any("weight of others is not known" in note for note in order.notes)


@pytest.mark.parametrize(
    ("rule", "freight", "ours", "not_counted"),
    [  # Incoterms 2020, handbook 5.1
        ("EXW", "0", True, ["freight: ours under EXW", "loading and export clearance"]),
        ("FCA", "0", True, ["freight: ours under FCA"]),
        ("FOB", "46", True, []),
        ("CPT", "0", True, []),
        ("DAP", "0", True, []),
        ("DDP", "0", False, []),
        ("", "0", True, ["no Incoterm is stored"]),
    ],
)
def test_the_incoterm_says_which_costs_are_still_to_come(rule, freight, ours, not_counted):
    order = land_order([KITS], replaced(incoterm=rule, freight=usd(freight)), rates(1, 1), "EUR")
    assert any(step.label == "duty" for step in order.steps) is ours
    assert len(order.not_counted) == len(not_counted)
    for found, start in zip(order.not_counted, not_counted, strict=True):
        assert found.startswith(start)


def test_a_freight_stated_under_a_rule_where_the_seller_pays_is_counted_and_told():
    order = land_order([KITS], replaced(incoterm="DAP"), rates(1, 1), "EUR")
    assert step_of(order.steps, "freight") == 4600
    assert any("carriage that his terms charge is counted" in note for note in order.notes)


def test_an_unknown_duty_rate_is_said_not_taken_for_zero():
    line = LandedLine("kit", KITS.offer, 10, 200, None)
    order = land_order([line], TERMS, rates(1, 1), "EUR")
    assert order.not_counted == ("duty on kit: no rate is known",)


@pytest.mark.parametrize(
    ("lines", "terms", "basis", "error"),
    [
        ([], TERMS, "CIF", InputRefusedError),
        ([KITS], TERMS, "DDU", InputRefusedError),
        ([KITS], replaced(incoterm="DDU"), "CIF", InputRefusedError),
        ([KITS], replaced(currency="GBP"), "CIF", CurrencyMismatchError),
        ([KITS], replaced(brokerage=gbp("12")), "CIF", CurrencyMismatchError),
    ],
)
def test_an_order_that_cannot_be_costed_is_refused(lines, terms, basis, error):
    with pytest.raises(error):
        land_order(lines, terms, EXAMPLE_1_RATES, "EUR", basis)


@pytest.mark.parametrize(
    ("rule", "freight", "insurance", "duty"),
    [  # Incoterms 2020, handbook 5.1
        ("EXW", "buyer", "none", "buyer"), ("FCA", "buyer", "none", "buyer"),
        ("FAS", "buyer", "none", "buyer"), ("FOB", "buyer", "none", "buyer"),
        ("CPT", "seller", "none", "buyer"), ("CFR", "seller", "none", "buyer"),
        ("CIP", "seller", "seller", "buyer"), ("CIF", "seller", "seller", "buyer"),
        ("DAP", "seller", "none", "buyer"), ("DPU", "seller", "none", "buyer"),
        ("DDP", "seller", "none", "seller"),
    ],
)  # fmt: skip
def test_each_incoterm_divides_the_costs_as_published(rule, freight, insurance, duty):
    row = incoterm(rule)
    assert (row["main_freight"], row["insurance"], row["import_duty"]) == (freight, insurance, duty)


order_lines = st.lists(
    st.builds(
        LandedLine,
        part=st.sampled_from(["kit", "ball", "hose"]),
        offer=st.builds(Offer, price_e4=st.integers(1, 10**8), currency=st.just("USD"), price_per=st.sampled_from([1, 100]), pack_units=st.integers(1, 12)),
        need_units=st.integers(1, 500),
        weight_g=st.none() | st.integers(0, 50_000),
        duty_rate=st.none() | st.fractions(0, Fraction(1, 4), max_denominator=1000),
    ),
    min_size=1, max_size=6,
)  # fmt: skip
cents = st.integers(0, 10**6)


@given(order_lines, cents, cents, st.fractions(Fraction(1, 200), 200, max_denominator=10**4))
def test_the_total_is_the_sum_of_the_steps_and_of_the_lines(lines, freight, brokerage, paid):
    terms = replaced(
        freight=Money(freight, "USD"),
        brokerage=Money(brokerage, "EUR"),
        min_order=usd("50"),
        small_order=usd("7.50"),
    )
    order = land_order(
        lines,
        terms,
        rates(paid, paid),
        "EUR",
        CustomsRules("CIF", vat_rate=Fraction("0.2"), vat_recoverable=False),
    )
    assert order.total.minor == sum(step.amount_minor for step in order.steps)
    assert order.total.minor == sum(line.total_minor for line in order.lines)
    for line in order.lines:
        assert line.total_minor == sum(step.amount_minor for step in line.steps)


@given(order_lines)
def test_landing_in_the_suppliers_own_currency_costs_the_goods_and_no_more(lines):
    free = [LandedLine(x.part, x.offer, x.need_units, x.weight_g, Fraction(0)) for x in lines]
    terms = replaced(freight=usd("0"), brokerage=usd("0"))
    order = land_order(free, terms, same_currency(DAY), "USD")
    assert order.total == total_of([bought.goods for bought in order.purchases], "USD")


def test_freight_by_weight_has_no_fuel_surcharge_unless_stated():
    line = LandedLine("kit", Offer(10_000, "EUR"), 1, 2_500, Fraction(0))
    terms = replaced(
        currency="EUR", freight=eur("3.00"), brokerage=eur("0"), freight_per_kg=eur("6.40")
    )
    order = land_order([line], terms, same_currency(DAY), "EUR")
    assert step_of(order.steps, "freight by weight") == 1600  # by hand
    assert step_of(order.steps, "freight") == 300
    assert any(step.how.endswith("2.5 kg at 6.40 EUR") for step in order.steps)


def test_an_unweighed_part_is_no_gap_where_freight_is_flat():
    line = LandedLine("kit", Offer(10_000, "EUR"), 1, None, Fraction(0))
    terms = replaced(currency="EUR", freight=eur("3.00"), brokerage=eur("0"))
    assert land_order([line], terms, same_currency(DAY), "EUR").not_counted == ()


def test_a_customs_value_is_kept_to_the_cent_unless_told_otherwise():
    line = LandedLine("kit", Offer(10_100, "USD"), 1, None, Fraction("0.5"))
    order = land_order([line], replaced(freight=usd("0")), rates(1, 1), "EUR")
    assert (order.customs_minor, step_of(order.steps, "duty")) == ((101,), 51)  # 50.5 half up


def test_vat_falls_on_the_taxed_charge_only_though_another_bears_its_name():
    """By hand: 20 % of 100.00 + 10.00; the second delivery of 7.00 is outside the base."""
    charges = [Charge("delivery", gbp("10"), taxable=True), Charge("delivery", gbp("7"))]
    lines = [GoodsLine("kit", 1, gbp("100"), duty_rate=Fraction(0))]
    rules = CustomsRules("CIF", vat_rate=Fraction("0.20"))
    landed = land(lines, charges, same_currency(DAY), "GBP", rules)
    assert (landed.vat, landed.total, landed.cash_out) == (gbp("22"), gbp("117"), gbp("139"))


def test_an_order_of_just_the_minimum_pays_no_small_order_charge():
    terms = replaced(min_order=usd("184.00"), small_order=usd("10"))
    order = land_order([KITS], terms, rates(1, 1), "EUR")
    assert all(step.label != "small order charge" for step in order.steps)


def test_a_weight_is_not_missed_where_nothing_is_shared_by_it():
    unweighed = LandedLine("others", Offer(920_000, "USD"), 1, None, Fraction(0))
    order = land_order([KITS, unweighed], replaced(freight=usd("0")), rates(1, 1), "EUR")
    assert not any("weight" in note for note in order.notes)


def test_flat_handling_is_shared_by_line():
    lines = [GoodsLine("kit", 1, gbp("90")), GoodsLine("ball", 1, gbp("10"))]
    handling = Charge("handling", gbp("5.01"), ShareBy.LINE)
    landed = land(lines, [handling], same_currency(DAY), "GBP", CustomsRules())
    assert [step_of(line.steps, "handling") for line in landed.lines] == [251, 250]  # by hand


def test_handling_by_the_piece_is_shared_by_quantity():
    """By hand: 5.02 over 7, 2 and 1 pieces: 3.514, 1.004, 0.502; the cent to the largest rest."""
    lines = [GoodsLine("kit", n, gbp("90")) for n in (7, 2, 1)]
    handling = Charge("handling", gbp("5.02"), ShareBy.QUANTITY)
    landed = land(lines, [handling], same_currency(DAY), "GBP", CustomsRules())
    assert [step_of(line.steps, "handling") for line in landed.lines] == [352, 100, 50]


def how_of(order, label):
    return next(step.how for step in order.steps if step.label == label)


def test_the_goods_say_what_they_are_the_sum_of():
    """By hand: 10 at 18.40, one at 92.00, and 3 of 1.25 less 10 % that come to 3.38."""
    odd = LandedLine("seal", Offer(12_500, "USD", discount=Fraction("0.1")), 3, 1, Fraction(0))
    plain = land_order([KITS, OTHERS], TERMS, rates(1, 1), "EUR")
    assert how_of(plain, "goods") == "10 × 18.40 + 92.00 = 276.00 USD at 1 EUR paid for 1 USD"
    one = land_order([OTHERS], replaced(brokerage=eur("0")), rates(1, 1), "USD")
    assert how_of(one, "goods") == "92.00 USD"
    listed = land_order([odd], TERMS, rates(1, 1), "EUR")
    assert how_of(listed, "goods") == "3 × 1.25 = 3.75 USD at 1 EUR paid for 1 USD"
    uneven = LandedLine("seal", Offer(10_000, "USD", price_per=3), 4, 1, Fraction(0))
    assert how_of(land_order([uneven], TERMS, rates(1, 1), "EUR"), "goods").startswith("4 for 1.33 =")


def test_an_order_of_many_lines_tells_sums_alone():
    lines = [LandedLine(f"p{n}", Offer(10_000, "USD"), 1, 100, Fraction(1 + n % 2, 50)) for n in range(8)]
    order = land_order(lines, replaced(freight=usd("0"), brokerage=eur("0")), rates(1, 1), "EUR")
    assert how_of(order, "goods") == "8.00 USD at 1 EUR paid for 1 USD"
    assert how_of(order, "duty") == "2 % of 4.00 EUR + 4 % of 4.00 EUR, line by line (CIF value)"
