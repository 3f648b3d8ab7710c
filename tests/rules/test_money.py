"""Money: whole minor units, no float, nothing lost in sharing."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError
from partsdb.rules.currencies import (
    UnknownCurrencyError,
    currency_codes,
    currency_info,
    minor_digits,
)
from partsdb.rules.money import (
    HALF_EVEN,
    HALF_UP,
    CurrencyMismatchError,
    Money,
    UnitPrice,
    allocate,
    apportion,
    price_e4,
    round_whole,
    total_of,
    unit_cost,
)

ROUNDING = {"money.round_half_even": HALF_EVEN, "money.round_half_up": HALF_UP}


@pytest.mark.parametrize("checks", ROUNDING, indirect=True)
def test_a_tie_is_rounded_as_the_setting_says(checks):
    for check in checks:
        value = Fraction(check["inputs"]["value"])
        rounded = Money.rounded(value, "EUR", ROUNDING[check["topic"]])
        assert rounded.text() == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["money.largest_remainder"], indirect=True)
def test_an_amount_is_shared_by_the_largest_remainder(checks):
    for check in checks:
        total = Money.of(check["inputs"]["total"], "EUR")
        weights = [Fraction(str(weight)) for weight in check["inputs"]["weights"]]
        parts = [Money(part, "EUR").text() for part in allocate(total.minor, weights)]
        assert parts == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["largest_remainder"], indirect=True)
def test_minor_units_are_shared_by_the_largest_remainder(checks):
    for check in checks:
        parts = allocate(check["inputs"]["total_minor"], check["inputs"]["weights"])
        assert parts == check["expected"], check["id"]


@given(st.integers(-(10**12), 10**12), st.lists(st.fractions(0, 10**6), min_size=1, max_size=30))
def test_what_is_shared_out_sums_to_the_total(total, weights):
    if not any(weights):
        weights[0] = Fraction(1)
    parts = allocate(total, weights)
    assert sum(parts) == total
    whole = sum(weights)
    assert all(abs(part - total * w / whole) < 1 for part, w in zip(parts, weights, strict=True))


@given(st.lists(st.fractions(-(10**6), 10**6), max_size=30))
def test_exact_amounts_become_whole_ones_next_to_them_that_sum_to_the_rounded_sum(amounts):
    parts = apportion(amounts)
    assert sum(parts) == round_whole(sum(amounts, start=Fraction(0)))
    assert all(abs(part - amount) < 1 for part, amount in zip(parts, amounts, strict=True))


@given(st.integers(0, 10**9), st.lists(st.integers(0, 1000), min_size=1, max_size=10).filter(any))
def test_a_refund_is_shared_like_the_charge_it_takes_back(total, weights):
    assert allocate(-total, weights) == [-part for part in allocate(total, weights)]


@pytest.mark.parametrize("weights", [[], [0, 0], [1, -1], [3, -1]])
def test_sharing_by_no_weight_or_a_negative_one_is_refused(weights):
    with pytest.raises(InputRefusedError, match="zero or negative"):
        allocate(100, weights)


def test_a_line_without_weight_gets_nothing():
    assert allocate(100, [1, 0, 2]) == [33, 0, 67]  # by hand


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [  # ISO 4217: EUR 2 decimals, JPY none, BHD 3
        ("12.50", "EUR", 1250), ("12.5", "EUR", 1250), ("-0.05", "EUR", -5), (" 7 ", "EUR", 700),
        ("1200", "JPY", 1200), ("1200.0", "JPY", 1200), ("1.234", "BHD", 1234), ("12.500", "EUR", 1250),
    ],
)  # fmt: skip
def test_money_is_read_from_plain_decimal_text(text, currency, minor):
    assert Money.of(text, currency) == Money(minor, currency)


@pytest.mark.parametrize(
    ("text", "currency", "complaint"),
    [
        ("12.505", "EUR", "finer than the currency's smallest coin"),
        ("1200.5", "JPY", "finer than the currency's smallest coin"),
        ("1,234.56", "EUR", "not a plain decimal"),
        ("12,50", "EUR", "not a plain decimal"),
        ("1e3", "EUR", "not a plain decimal"),
        ("1_000", "EUR", "not a plain decimal"),
        ("NaN", "EUR", "not a plain decimal"),
        ("", "EUR", "not a plain decimal"),
        ("١٢", "EUR", "not a plain decimal"),
        ("POA", "EUR", "not a plain decimal"),
        ("9" * 5000, "EUR", "not a plain decimal"),
        ("1234567890123456", "EUR", "not a plain decimal"),
    ],
)
def test_money_in_another_notation_is_refused_with_a_sentence(text, currency, complaint):
    with pytest.raises(InputRefusedError, match=complaint):
        Money.of(text, currency)


@pytest.mark.parametrize("minor", [1.0, "1", True, Decimal(1)])
def test_minor_units_are_never_anything_but_an_integer(minor):
    with pytest.raises(TypeError):
        Money(minor, "EUR")


@pytest.mark.parametrize(
    "work",
    [
        lambda m: m.share(0.5),
        lambda m: allocate(m.minor, [0.5]),
        lambda m: Money.rounded(0.5, "EUR"),
    ],
)
def test_a_float_never_enters_a_computation_with_money(work):
    with pytest.raises(TypeError, match="never computed from a float"):
        work(Money(100, "EUR"))


@pytest.mark.parametrize(
    "work",
    [
        lambda a, b: a + b, lambda a, b: a - b, lambda a, b: a < b, lambda a, b: a <= b,
        lambda a, b: a > b, lambda a, b: a >= b, lambda a, b: total_of([a, b], "EUR"),
    ],
)  # fmt: skip
def test_amounts_of_two_currencies_are_never_mixed(work):
    with pytest.raises(CurrencyMismatchError, match=r"EUR and USD|USD and EUR"):
        work(Money(100, "EUR"), Money(100, "USD"))


def test_money_of_one_currency_is_added_compared_multiplied_and_negated():
    twelve, five = Money.of("12.00", "EUR"), Money.of("5.00", "EUR")
    assert (twelve + five, twelve - five, -five) == (
        Money(1700, "EUR"),
        Money(700, "EUR"),
        Money(-500, "EUR"),
    )
    assert (five * 3, 3 * five) == (Money(1500, "EUR"), Money(1500, "EUR"))
    assert five < twelve and five <= five and twelve > five and twelve >= twelve
    assert not five < five and not five > five and not twelve <= five and not five >= twelve
    assert Money(1, "EUR") != Money(1, "USD")
    assert Money(1, "EUR") and Money(-1, "EUR") and not Money.zero("EUR")


@pytest.mark.parametrize(
    ("money", "shown"),
    [
        (Money(1250, "EUR"), "12.50 EUR"),
        (Money(-5, "GBP"), "-0.05 GBP"),
        (Money(1200, "JPY"), "1200 JPY"),
        (Money(1, "BHD"), "0.001 BHD"),
        (Money(10**17, "EUR"), "1000000000000000.00 EUR"),
    ],
)
def test_money_is_shown_with_its_currencys_decimals(money, shown):
    assert str(money) == shown


def test_a_share_is_rounded_once():
    assert Money.of("1123.00", "EUR").share(Decimal("0.02")).text() == "22.46"  # handbook 5.4
    assert Money(125, "EUR").share(Fraction(1, 10), HALF_EVEN).minor == 12
    assert Money(125, "EUR").share(Fraction(1, 10)).minor == 13


@pytest.mark.parametrize(
    ("code", "digits"), [("EUR", 2), ("JPY", 0), ("BHD", 3), ("ISK", 0), ("HUF", 2), ("KWD", 3)]
)
def test_a_currency_has_the_decimals_of_iso_4217(code, digits):
    assert minor_digits(code) == digits


@pytest.mark.parametrize("code", ["", "eur", "EURO", "£", "XYZ"])
def test_an_unknown_currency_is_refused_with_a_sentence(code):
    with pytest.raises(UnknownCurrencyError, match="not a currency code of ISO 4217"):
        Money(1, code)


def test_an_ended_currency_keeps_its_last_day():
    assert currency_info("HRK").ended.isoformat() == "2022-12-31"
    assert currency_info("EUR").ended is None


def test_the_currency_table_names_every_code_once_with_its_source():
    codes = currency_codes()
    assert len(set(codes)) == len(codes) > 150
    assert all(len(code) == 3 and code.isupper() and code.isascii() for code in codes)


@pytest.mark.parametrize("checks", ["price.per_unit"], indirect=True)
def test_a_price_per_hundred_is_divided_once(checks):
    for check in checks:
        given = check["inputs"]
        price = UnitPrice.of(given["price"], "EUR", per=given["per"])
        assert price.line_total(given["qty"]).text() == check["expected"]


@pytest.mark.parametrize(
    ("text", "currency", "per", "units", "total"),
    [  # by hand
        ("0.0050", "EUR", 1, 1, "0.01"), ("0.0049", "EUR", 1, 1, "0.00"), ("0.0049", "EUR", 1, 100, "0.49"),
        ("12.3456", "EUR", 1, 3, "37.04"), ("145.00", "EUR", 1000, 3, "0.44"), ("99.5", "JPY", 1, 1, "100"),
        ("0.1234", "BHD", 1, 1, "0.123"),
    ],
)  # fmt: skip
def test_a_line_total_is_exact_and_rounded_once_half_up(text, currency, per, units, total):
    assert UnitPrice.of(text, currency, per=per).line_total(units).text() == total


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("0", "no price"), ("0.00", "no price"), ("-4.50", "no price"), ("10000000.01", "beyond reason"),
        ("1.00001", "finer than 1/10000"), ("POA", "not a plain decimal"), ("1.234,56", "not a plain decimal"),
    ],
)  # fmt: skip
def test_what_is_no_price_is_refused_with_a_sentence(text, complaint):
    with pytest.raises(InputRefusedError, match=complaint):
        price_e4(text)


def test_a_price_is_kept_in_ten_thousandths():
    assert price_e4("1234.56") == 12_345_600
    assert str(UnitPrice(12_345_678, "EUR", 100)) == "1234.5678 EUR per 100"
    assert str(UnitPrice(112_000, "EUR")) == "11.20 EUR"


def test_a_price_for_no_units_is_refused():
    with pytest.raises(InputRefusedError, match="no meaning"):
        UnitPrice(1, "EUR", 0)


@given(st.integers(1, 10**9), st.integers(1, 10**5))
def test_doubling_a_price_of_whole_coins_doubles_the_goods(cents, units):
    single = UnitPrice(cents * 100, "EUR").line_total(units)
    assert UnitPrice(cents * 200, "EUR").line_total(units) == single * 2


@pytest.mark.parametrize(("rounding", "e4"), [(HALF_EVEN, 20_868), (HALF_UP, 20_869)])
def test_a_unit_cost_keeps_four_places_half_even_unless_told(rounding, e4):
    """Handbook 5.4: 417.37 / 200 = 2.08685."""
    assert unit_cost(Money.of("417.37", "USD"), 200, rounding) == UnitPrice(e4, "USD")
    assert unit_cost(Money.of("417.37", "USD"), 200) == UnitPrice(20_868, "USD")
