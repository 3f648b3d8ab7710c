"""A separator inside a cell moves all cells behind it: such a row is refused, never read.

Common practice, no source: what badly written exports do.
"""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.rows import RowKind

GOOD = "24-1182;Valve kit;7;95,10\n24-1178;Valve kit;7;95,20\n24-1179;Valve kit;7;95,30\n"
HEAD = "Part no.;Description;Stock;Price EUR\n"


def items(path):
    return {row.row: row for row in read_price_list(path).rows if row.kind is not RowKind.HEADER}


def test_a_row_with_more_cells_than_the_header_is_refused_with_both_numbers(csv_file):
    rows = items(csv_file(f"{HEAD}24-1180;Valve kit;1/4 NPT;5;90,00\n{GOOD}"))
    assert rows[2].kind is RowKind.REFUSED
    assert rows[2].notes[0].startswith("the row has 5 cells, the header 4: is a separator")
    assert [rows[n].amounts["price"] for n in (3, 4, 5)] == ["95.10", "95.20", "95.30"]


@pytest.mark.parametrize(
    ("row", "why"),
    [
        ("24-1180,Valve kit, 1/4 NPT,5,90.00", "the note's place holds the price"),
        ("24-1180,Valve kit,90.00,5,", "the quantity's place holds the price"),
        ("24-1180,90.00,Valve kit,5,", "the description's place holds the price"),
    ],
)
def test_a_price_with_decimals_beside_a_whole_one_in_its_column_is_refused(csv_file, row, why):
    head = "Part no.,Description,Stock,Price EUR,Note\n"
    body = "".join(f"24-11{n},Valve kit,7,9{n}.20,\n" for n in range(82, 86))
    rows = items(csv_file(f"{head}{row}\n{body}"))
    assert rows[2].kind is RowKind.REFUSED, why
    assert '"5" stands as the price and "90.00" in ' in rows[2].notes[0]
    assert all(rows[n].kind is RowKind.ITEM for n in range(3, 7))


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (HEAD + "24-1180;Valve kit;5;90\n" + GOOD, "a whole price is a price"),
        (HEAD + "24-1180;Valve kit;5;90;\n" + GOOD, "a separator at the end is no cell"),
        (HEAD + "24-1180;Valve kit\n" + GOOD, "cells left out at the end are blank"),
        (
            HEAD + "".join(f"24-{n};Valve kit;7;95,10;x\n" for n in range(1180, 1184)),
            "a last column without heading",
        ),
        (
            HEAD + "24-1180;Hose;12,50;90\n" + "".join(
                f"24-{n};Hose;1{n},50;95,10\n" for n in range(3)
            ),
            "a stock counted in metres",
        ),
        (
            "Part no.;Description;Weight kg;Price EUR\n24-1180;Hose;1,25;90\n24-1181;Hose;2,50;95,10"
            "\n24-1182;Hose;2,50;95,10\n",
            "a weight has decimals of its own",
        ),
    ],
)  # fmt: skip
def test_a_row_that_stands_right_is_read(csv_file, text, why):
    assert all(row.kind is RowKind.ITEM for row in items(csv_file(text)).values()), why


def test_a_side_note_in_a_workbook_is_no_fault(xlsx_file):
    rows = [
        ["Part no.", "Description", "Price EUR"],
        ["24-1180", "Valve kit", 90.5, None, "new!"],
        ["24-1182", "Valve kit", 95.1],
    ]
    assert all(row.kind is RowKind.ITEM for row in items(xlsx_file(rows)).values())


@pytest.mark.parametrize(
    ("head", "row"),
    [
        ("Part no.,Description,Stock,Price EUR,Unit", "24-11{n},Kit,5,9{n},50,EA"),
        ("Part no.,Description,Price EUR", "24-11{n},Kit,9{n},50"),
        ("Part no.,Description,Price EUR,Stock", "24-11{n},Kit,1.0{n},50,5"),
        ("Part no.,Description,List price EUR", "24-11{n},Kit,9{n},50"),
    ],
)
def test_prices_cut_at_their_decimal_comma_refuse_the_list(csv_file, head, row):
    text = "\n".join((head, *(row.format(n=n) for n in range(10, 15)))) + "\n"
    (alarm,) = read_price_list(csv_file(text)).alarms
    assert "seems to be cut at its decimal comma into" in alarm.text
    assert alarm.key == "", "no person can settle it: the file is spoiled"


def test_a_last_column_without_heading_beside_whole_prices_is_no_cut_price(csv_file):
    rows = "".join(f"24-11{n},Kit,9{n},7,x\n" for n in range(10, 15))
    assert read_price_list(csv_file(f"Part no.,Description,Price EUR,Stock\n{rows}")).alarms == ()
