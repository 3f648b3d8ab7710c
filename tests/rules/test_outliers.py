"""Prices that stand apart: the modified z-score on the logarithm, and its fallback."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import UsageError
from partsdb.rules.outliers import (
    Alike,
    PriceSign,
    far_below,
    judge_price,
    level_of,
    median_price,
    modified_z,
    slip_of,
    spread_of_logs,
)


def exact(prices):
    return [Fraction(str(price)) for price in prices]


@pytest.mark.parametrize("checks", ["outlier.median_price"], indirect=True)
def test_the_median_price(checks):
    for check in checks:
        assert median_price(exact(check["inputs"]["prices"])) == pytest.approx(check["expected"])


@pytest.mark.parametrize("checks", ["outlier.mad_log"], indirect=True)
def test_the_median_deviation_of_the_logarithms(checks):
    for check in checks:
        spread = spread_of_logs(exact(check["inputs"]["prices"]))
        assert spread == pytest.approx(check["expected"], abs=1e-9)


@pytest.mark.parametrize("checks", ["outlier.mod_z"], indirect=True)
def test_the_modified_z_of_a_price(checks):
    for check in checks:
        prices, [price] = exact(check["inputs"]["prices"]), exact([check["inputs"]["x"]])
        assert modified_z(price, prices) == pytest.approx(check["expected"], abs=1e-6), check["id"]


@pytest.mark.parametrize("checks", ["modified_z_log_price"], indirect=True)
def test_the_modified_z_of_another_set(checks):
    for check in checks:
        prices, [price] = exact(check["inputs"]["prices"]), exact([check["inputs"]["of"]])
        assert modified_z(price, prices) == pytest.approx(check["expected"], abs=1e-3)


@pytest.mark.parametrize("checks", ["outlier.mad_zero"], indirect=True)
def test_where_most_prices_are_equal_the_ratio_decides(checks):
    for check in checks:
        prices = exact(check["inputs"]["prices"])
        assert modified_z(prices[-1], prices) is None
        assert judge_price(Fraction(9), prices).sign is PriceSign.USUAL  # 1.8 times the median
        assert judge_price(Fraction(11), prices).sign is PriceSign.TOO_DEAR
        assert judge_price(Fraction(2), prices).sign is PriceSign.TOO_CHEAP


QUOTES = exact([9.8, 10.2, 10.5, 10.9, 11.0, 11.4])


@pytest.mark.parametrize(
    ("price", "sign"),
    [  # handbook 6.5: M(3.20) = -17.2 and M(9.80) = -1.00
        ("3.20", PriceSign.TOO_CHEAP), ("9.80", PriceSign.USUAL), ("31.00", PriceSign.TOO_DEAR),
    ],
)  # fmt: skip
def test_a_price_is_judged_among_its_peers(price, sign):
    finding = judge_price(Fraction(price), [*QUOTES, Fraction(price)])
    assert finding.sign is sign
    assert finding.text.startswith(sign)


def test_under_half_the_median_is_too_cheap_however_wide_the_quotes_are():
    wide = exact([2, 4, 10, 25, 60])
    assert abs(modified_z(Fraction(2), wide)) < 3.5
    assert judge_price(Fraction(2), wide).sign is PriceSign.TOO_CHEAP


def test_fewer_than_five_quotes_are_not_judged():
    finding = judge_price(Fraction(1), exact([1, 10, 10, 10]))
    assert (finding.sign, finding.z) == (PriceSign.TOO_FEW, None)


@pytest.mark.parametrize("prices", [[], [Fraction(0)], [Fraction(-1), Fraction(2)]])
def test_a_line_without_a_price_is_refused(prices):
    with pytest.raises(UsageError, match="above zero"):
        median_price(prices)


@given(
    st.lists(st.fractions(1, 1000), min_size=5, max_size=12), st.fractions(Fraction(1, 100), 100)
)
def test_a_change_of_currency_changes_no_judgement(prices, factor):
    before = [judge_price(price, prices) for price in prices]
    after = [judge_price(price * factor, [p * factor for p in prices]) for price in prices]
    for one, other in zip(before, after, strict=True):
        assert one.ratio == pytest.approx(other.ratio, rel=1e-9)


# Few quotes, articles that only read alike, slips: common practice, no source


@pytest.mark.parametrize(
    ("price", "others", "said"),
    [
        (4.99, [10, 12], "0.50 times the cheapest of 2 other quotes"),
        (5.00, [10, 12], ""),
        (0.50, [10], ""),
        (0.50, [], ""),
    ],
)
def test_among_few_quotes_less_than_half_of_the_cheapest_is_far_below(price, others, said):
    [own] = exact([price])
    assert far_below(own, exact(others)) == said


@pytest.mark.parametrize(
    ("price", "others", "is_low"),
    [
        (2.4, [10], True),
        (2.6, [10], False),  # one alone must be undercut by more than three quarters
        (3.3, [10, 30], True),
        (3.4, [10, 30], False),  # of two to four a third of the cheapest
        (2.0, [9.8, 10.2, 10.5, 10.9, 11.0, 11.4], True),
        (3.2, [9.8, 10.2, 10.5, 10.9, 11.0, 11.4], False),  # handbook: M -17.2, yet above a quarter
        (2.0, [10, 10, 10, 10, 10], False),  # no spread says nothing of other articles
        (0.1, [], False),
    ],
)
def test_articles_that_read_alike_are_judged_more_loosely(price, others, is_low):
    [own] = exact([price])
    assert bool(Alike([*exact(others), own]).far_below(own)) is is_low


def test_one_article_that_reads_alike_is_spoken_of_as_one():
    assert Alike([Fraction(1), Fraction(10)]).far_below(Fraction(1)) == (
        "0.10 times the cheapest of 1 article in the list that reads alike"
    )


@pytest.mark.parametrize(
    ("ratio", "slip"),
    [(0.1, "1/10:"), (0.0095, "1/100:"), (0.00112, "1/1000:"), (0.2, ""), (1, ""), (0.05, "")],
)
def test_a_price_by_a_power_of_ten_too_low_has_slipped(ratio, slip):
    assert (slip in slip_of(ratio)) if slip else slip_of(ratio) == ""


@given(st.lists(st.integers(1, 10_000), min_size=1, max_size=30), st.integers(1, 10_000))
def test_a_level_measured_once_judges_as_each_price_alone_would_be(prices, price):
    known, own = [Fraction(each) for each in prices], Fraction(price)
    level = level_of(known)
    assert level is not None
    assert level.ratio(own) == pytest.approx(float(own) / median_price(known))
    z = modified_z(own, known)
    assert level.z(own) == (None if z is None else pytest.approx(z))


def test_of_no_price_there_is_no_level():
    assert level_of([]) is None


def test_of_two_that_share_the_least_price_neither_is_far_below():
    alike = Alike(exact([9, 9, 100]))
    assert alike.far_below(Fraction(9)) == ""
    assert Alike(exact([9, 50, 100])).far_below(Fraction(9)) != ""
