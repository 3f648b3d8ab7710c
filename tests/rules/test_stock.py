"""What a supplier's stock text says in numbers."""

import pytest

from partsdb.rules.stock import stated_stock


@pytest.mark.parametrize(
    ("text", "units"),
    [
        ("15", 15), ("0", 0), ("15 pcs", 15), ("12 Stk.", 12), ("> 100", 100), (">=20", 20), ("100+", 100),
        ("", None), ("yes", None), ("in stock", None), ("< 5", None), ("2-3", None), ("1.5", None), ("week 48", None),
    ],
)  # fmt: skip
def test_a_stock_is_a_number_of_units_or_not_known(text, units):
    assert stated_stock(text) == units
