"""Text in columns of fixed width: cut where all lines are blank, refused where one is not."""

from __future__ import annotations

import pytest

from importers import ReaderError, read_price_list

LIST = """\
Saltreeve price list, prices in EUR

Part no.    Description               Working pressure    Price
---------------------------------------------------------------
Valve kits
KV-2412     Valve kit, bypass, WC     250 bar             72.50
KV-2413     Valve kit, outlet                          1,182.36
KV-2414     Ball 3/8 "  loose         2800 psi             8.10
"""


def test_columns_are_cut_at_the_gaps_that_all_lines_share(csv_file):
    text = read_price_list(csv_file(LIST, name="list.txt"))
    items = [row for row in text.rows if row.kind == "item"]
    assert text.reader == "fixed-width text"
    assert [row.fields["code"] for row in items] == ["KV-2412", "KV-2413", "KV-2414"]
    assert [row.amounts["price"] for row in items] == ["72.50", "1182.36", "8.10"]
    assert items[0].fields["rating"] == "250 bar" and "rating" not in items[1].fields
    assert [row.row for row in items] == [6, 7, 8]
    assert items[0].section == "Valve kits"
    assert text.profiles[0].currency == "EUR"


def test_a_line_across_a_gap_is_refused_with_its_row(csv_file):
    wide = LIST.replace("Valve kit, outlet       ", "Valve kit, outlet, with a very long name  ")
    wide = wide.replace("name  ", "name with gun  ")
    with pytest.raises(ReaderError, match="stands across the gap") as caught:
        read_price_list(csv_file(wide))
    assert caught.value.place == "list.csv row 7"


def test_tabs_count_as_blanks_up_to_the_next_stop(csv_file):
    text = "Part no.  Description\t\tPrice\nA1        Ball\t\t\t 1.50\nA2        Seat, large\t\t 2.50\n"
    rows = [row for row in read_price_list(csv_file(text)).rows if row.kind == "item"]
    assert [row.amounts["price"] for row in rows] == ["1.50", "2.50"]


def test_a_delimited_list_with_wide_cells_stays_delimited(csv_file):
    text = "Part no.;Description;Price\nA1;Ball    tungsten;1.50\n"
    assert read_price_list(csv_file(text)).reader == "delimited text"
