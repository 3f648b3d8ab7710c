"""Rows by their shape: items, sections, totals, notes."""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.raw import RawRow
from importers.row_kinds import Places, kind_of
from importers.rows import RowKind

# code, description, pack, price
PLACES = Places(code=0, description=1, prices=(3,))


@pytest.mark.parametrize(
    ("cells", "kind"),
    [
        (["A1", "Ball 8 mm", "10", "1.50"], RowKind.ITEM),
        (["A1", "Ball 8 mm", "", ""], RowKind.ITEM),
        (["A1", "Ball 8 mm", "10", "POA"], RowKind.ITEM),
        (["A-100", "", "", ""], RowKind.ITEM),
        (["", "Special ball", "", "9.00"], RowKind.ITEM),
        (["BALL", "Ball 8 mm", "", "1.50"], RowKind.ITEM),
        (["FREIGHT", "Carriage per order", "", "12.00"], RowKind.ITEM),
        (["", "Versandkosten", "", "9,90"], RowKind.ITEM),
        (["Hoses and fittings", "", "", ""], RowKind.SECTION),
        (["", "Schläuche", "", ""], RowKind.SECTION),
        (["", "", "Serie 300", ""], RowKind.SECTION),
        (["HP hoses 3/8", "", "", ""], RowKind.SECTION),
        (["Total", "", "", "120.00"], RowKind.TOTAL),
        (["", "Subtotal hoses", "", "120.00"], RowKind.TOTAL),
        (["", "Zwischensumme", "", "120,00"], RowKind.TOTAL),
        (["Gesamtsumme", "", "", ""], RowKind.TOTAL),
        (["Grand total", "", "", "120.00"], RowKind.TOTAL),
        (["Total 2026", "", "", "120.00"], RowKind.TOTAL),
        (["Übertrag", "", "", "55,00"], RowKind.TOTAL),
        (["* only while stocks last", "", "", ""], RowKind.NOTE),
        (["Prices are subject to change without notice.", "", "", ""], RowKind.NOTE),
        (["Alle Preise zzgl. MwSt", "", "", ""], RowKind.NOTE),
        (["Carriage paid over 500", "", "", ""], RowKind.NOTE),
        (["", "with gasket", "", ""], RowKind.NOTE),
        (["Page 3 of 9", "", "", ""], RowKind.NOTE),
        (["", "", "", "120.00"], RowKind.NOTE),
        (["---", "", "", ""], RowKind.NOTE),
    ],
)
def test_a_row_is_told_by_its_shape(cells, kind):
    assert kind_of(RawRow(1, cells), PLACES) == kind


def test_an_article_that_begins_with_a_total_word_is_an_item():
    row = RawRow(1, ["T-100", "Total loss valve", "1", "9.00"])
    assert kind_of(row, PLACES) == RowKind.ITEM


def test_sections_are_carried_to_their_items_until_the_next(csv_file):
    text = read_price_list(
        csv_file(
            "Code,Description,Price\nHoses,,\nA1,Hose,5.00\nTotal,,5.00\nFittings,,\nA2,Nipple,3.00\n"
        )
    )
    found = [(r.kind.value, r.section) for r in text.rows]
    assert found == [
        ("header", ""), ("section", ""), ("item", "Hoses"), ("total", "Hoses"), ("section", ""),
        ("item", "Fittings"),
    ]  # fmt: skip


@pytest.mark.parametrize("total", ["Grand total,,11.00", "Total 2026,,11.00", ",Summe,11.00"])
def test_a_total_row_with_its_sum_is_never_an_item(csv_file, total):
    text = read_price_list(
        csv_file(f"Code,Description,Price\nA 1,Hose,5.00\nA2,Hose,6.00\n{total}\n")
    )
    assert [r.kind.value for r in text.rows] == ["header", "item", "item", "total"]


def test_an_item_without_price_says_so(csv_file):
    text = read_price_list(csv_file("Code,Description,Price\nA1,Hose,\nA2,Hose,call\n"))
    rows = [r for r in text.rows if r.kind == RowKind.ITEM]
    assert [r.amounts for r in rows] == [{"price": ""}, {"price": ""}]
    assert [r.notes for r in rows] == [("no price: the cell is empty",), ("no price: call",)]


def test_a_scientific_code_refuses_its_row_with_the_place(csv_file):
    text = read_price_list(csv_file("Code,Description,Price\n1.23E+11,Hose,5.00\nA2,Hose,6.00\n"))
    assert [(r.row, r.kind.value) for r in text.rows] == [
        (1, "header"),
        (2, "refused"),
        (3, "item"),
    ]
    assert text.rows[1].notes[0].startswith("A2: digits lost")
