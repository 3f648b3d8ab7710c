"""GTINs against python-stdnum's own judgement, on whole ranges of numbers."""

import pytest

from partsdb.rules.article_numbers import gtin_check_digit, is_gtin

pytestmark = pytest.mark.external


@pytest.fixture(scope="module")
def ean(external):
    return external("stdnum.ean")


@pytest.mark.parametrize("number", ["4006381333931", "73513537", "012345678905", "10012345678902"])
def test_a_published_number_is_valid_for_both(ean, number):
    assert ean.is_valid(number) and is_gtin(number)


def test_both_refuse_a_wrong_check_digit(ean):
    assert not ean.is_valid("4006381333932") and not is_gtin("4006381333932")


@pytest.mark.parametrize("start", [40063813_3300, 73513, 1_0012_3456_7800])
def test_both_agree_on_a_range_and_the_digit_is_that_of_the_general_specifications(ean, start):
    for offset in range(200):
        number = str(start + offset).zfill(12 if start > 10**8 else 8)[:14]
        assert is_gtin(number) is ean.is_valid(number)
        body = number[:-1]
        weighted = sum(int(d) * (3, 1)[i % 2] for i, d in enumerate(reversed(body)))
        assert gtin_check_digit(body) == (10 - weighted % 10) % 10
