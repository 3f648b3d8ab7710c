"""GTINs: the check digit, the one form they are compared in, and numbers of a shop's own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError
from partsdb.rules.article_numbers import gtin_check_digit, is_gtin, read_gtin


@pytest.mark.parametrize("checks", ["gtin.check_digit"], indirect=True)
def test_the_check_digit_completes_a_number(checks):
    for check in checks:
        assert gtin_check_digit(check["inputs"]["body"]) == check["expected"], check["id"]


@pytest.mark.parametrize("checks", ["gtin.valid"], indirect=True)
def test_a_number_is_valid_with_its_own_check_digit_only(checks):
    for check in checks:
        assert is_gtin(check["inputs"]["code"]) is check["expected"], check["id"]


@pytest.mark.parametrize(
    ("text", "valid"),
    [  # references.md: widely published examples; the location number's check digit is 5
        ("4006381333931", True), ("73513537", True), ("012345678905", True), ("10012345678902", True),
        ("4006381333932", False), ("5498765000016", False), ("4 006381 333931", True), ("4006381-333931", True),
    ],
)  # fmt: skip
def test_what_looks_like_a_gtin_is_read_and_judged(text, valid):
    assert read_gtin(text).is_valid is valid


@pytest.mark.parametrize(
    "text",
    [
        "",
        "123",
        "246-318",
        "QX123456789012",
        "٤٠٠٦٣٨١٣٣٣٩٣١",
        "400638133393100",
        "1234567",
        "123456789",
        "4006381333931.0",
    ],
)
def test_what_has_not_the_form_of_a_gtin_is_none(text):
    assert read_gtin(text) is None


def test_a_gtin_that_lost_its_check_digit_is_not_valid():
    assert not read_gtin("400638133393").is_valid


def test_one_article_has_one_number_of_14_digits():
    """A UPC is the EAN with a zero before it: GS1 General Specifications."""
    assert read_gtin("036000291452").gtin14 == read_gtin("0036000291452").gtin14 == "00036000291452"


@pytest.mark.parametrize(
    ("text", "restricted"),
    [  # GS1 General Specifications: prefixes 02, 04, 20-29 within a firm; GTIN-8 prefixes 0 and 2
        ("2000000000008", True), ("2912345678907", True), ("0212345678909", True), ("4006381333931", False),
        ("96385074", False), ("02345673", True), ("01234565", True), ("036000291452", False), ("3012345678901", False),
    ],
)  # fmt: skip
def test_a_number_that_a_shop_gave_itself_identifies_nothing_outside(text, restricted):
    assert read_gtin(text).is_restricted is restricted


@pytest.mark.parametrize("body", ["", "12", "40063813339310", "12345x7"])
def test_a_body_of_another_length_has_no_check_digit(body):
    with pytest.raises(InputRefusedError, match="without its check digit"):
        gtin_check_digit(body)


@given(
    st.sampled_from([7, 11, 12, 13]).flatmap(
        lambda n: st.text("0123456789", min_size=n, max_size=n)
    ),
    st.data(),
)
def test_one_wrong_digit_is_always_found(body, data):
    code = body + str(gtin_check_digit(body))
    assert is_gtin(code)
    place = data.draw(st.integers(0, len(code) - 1))
    other = data.draw(st.sampled_from([digit for digit in "0123456789" if digit != code[place]]))
    assert not is_gtin(code[:place] + other + code[place + 1 :])
