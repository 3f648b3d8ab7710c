"""Number formats with words around the digits: what a spreadsheet shows, by hand.

ECMA-376 part 1, 18.8.31: text in quotation marks or behind a backslash is shown as it stands.
"""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.readers.shown import compiled, show


@pytest.mark.parametrize(
    ("code", "stored", "shown"),
    [
        ('0.00 "per 100"', "12.5", "12.50 per 100"),
        ('#,##0.00 "€/1000"', "12.5", "12.50 €/1000"),
        ('"10-"000', "12", "10-012"),
        ('"A0"0000', "12", "A00012"),
        (r"\0000", "12", "0012"),
        ('"20"00"-"00', "123", "2001-23"),
        ('"20"00"-0"00', "123", "2001-023"),
        ("00-000", "1234", "01-234"),
        ("0.00", "12.5", "12.50"),
        ("General", "12.5", "12.5"),
    ],
)
def test_a_figure_in_the_words_of_a_format_is_no_place_of_a_digit(code, stored, shown):
    assert show(stored, compiled(code), base_1904=False).text == shown


def test_a_price_whose_format_says_per_hundred_is_for_a_hundred(xlsx_file):
    def per_hundred(book):
        book.active["C2"].number_format = '0.00 "per 100"'

    rows = [["Part no.", "Description", "Price EUR"], ["A-1", "Ball", 12.5], ["A-2", "Seat", 3.5]]
    first, second = read_price_list(xlsx_file(rows, per_hundred)).rows[1:]
    assert (first.amounts["price"], first.fields["price_per"]) == ("12.50", "100")
    assert "price_per" not in second.fields
