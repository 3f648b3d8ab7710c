"""Discounts: the code's before the group's, and never two at once."""

from fractions import Fraction

import pytest

from partsdb.rules.discounts import Discount, discount_on

ALL = Discount(Fraction("0.05"))
HOSES = Discount(Fraction("0.10"), role="hose")
QUILLMERE = Discount(Fraction("0.12"), maker_id=1)
QUILLMERE_HOSES = Discount(Fraction("0.02"), maker_id=1, role="hose")
CODE = Discount(Fraction("0.01"), code="KE-11632")


def off(*discounts, maker_id=1, role="hose", code="KE-1"):
    return discount_on(discounts, maker_id=maker_id, role=role, code=code)


@pytest.mark.parametrize(
    ("discounts", "goods", "rate"),
    [  # common practice, no source: the closest counts alone, whether higher or lower
        ((), {}, "0"), ((ALL,), {}, "0.05"), ((ALL, HOSES), {}, "0.10"),
        ((ALL, HOSES), {"role": "gun"}, "0.05"), ((HOSES,), {"role": "gun"}, "0"),
        ((HOSES, QUILLMERE), {}, "0.10"), ((ALL, QUILLMERE), {"maker_id": 2}, "0.05"),
        ((HOSES, QUILLMERE, QUILLMERE_HOSES), {}, "0.02"),
        ((QUILLMERE_HOSES, CODE), {"code": "ke 11632"}, "0.01"),
        ((QUILLMERE_HOSES, CODE), {"code": "KE-11633"}, "0.02"),
        ((CODE, Discount(Fraction("0.2"), maker_id=1, code="KE-11632")), {"code": "KE-11632"}, "0.2"),
    ],
)  # fmt: skip
def test_the_discount_that_names_the_goods_most_closely_counts(discounts, goods, rate):
    assert off(*discounts, **goods) == Fraction(rate)
