"""The 25 defects of price lists that the trade handbook names (section 8), one test for each."""

from __future__ import annotations

from fractions import Fraction

import openpyxl.styles
import pytest

from importers import ReaderError, read_price_list
from importers.rows import RowKind
from partsdb.errors import InputRefusedError
from partsdb.jobs.listed import listed_lines
from partsdb.jobs.successors import successors_said
from partsdb.render.output import csv_text
from partsdb.rules.days import iso_day_written
from partsdb.rules.descriptions import names_successor
from partsdb.rules.numbers import number_key
from partsdb.rules.sizes import parse_size
from partsdb.rules.stated import stated_claims

HEAD = "Part no.;Description;Price EUR\n"


def items(text):
    return [row for row in text.rows if row.kind is RowKind.ITEM]


def one(path):
    (row,) = items(read_price_list(path))
    return row


def said(text, *words):
    return [each for each in text.assumptions if all(word in each for word in words)]


def test_01_title_rows_and_a_merged_two_row_header(xlsx_file):
    def merge(book):
        book.active.merge_cells("C3:D3")

    rows = [
        ("Saltreeve dealer list",),
        ("valid until further notice",),
        ("Part no.", "Description", "Price EUR", None),
        (None, None, "per 1", "per 100"),
        ("A1", "Ball", 1.5, 120),
    ]
    text = read_price_list(xlsx_file(rows, merge))
    assert one(xlsx_file(rows, merge)).amounts["price"] == "1.5"
    assert said(text, "columns of the table at Prices row 3", '"Part no." = code')


def test_02_a_section_row_is_context_and_no_item(csv_file):
    row = one(csv_file(HEAD + "Valve kits;;\nA1;Bypass;72.50\n"))
    assert (row.section, row.fields["code"]) == ("Valve kits", "A1")


def test_03_totals_are_no_items_and_reconcile_the_prices(csv_file):
    body = "A1;Ball;1.50\nA2;Seat;2.00\nTotal;;3.50\nA3;Rod;4.00\nSubtotal;;9.00\n"
    text = read_price_list(csv_file(HEAD + body))
    assert [row.fields["code"] for row in items(text)] == ["A1", "A2", "A3"]
    assert said(text, "the total at row 4 agrees")
    assert said(text, "the total at row 6 says 9.00", "sum to 4.00")


@pytest.mark.parametrize("cell", ["POA", "call", "–", "0.00", "auf Anfrage"])
def test_04_no_price_is_none_and_zero_is_flagged(csv_file, cell):
    row = one(csv_file(f"{HEAD}A1;Ball;{cell}\n"))
    assert row.amounts["price"] == "" and row.notes


def test_05_the_decimal_mark_is_decided_per_column_or_not_at_all(csv_file):
    assert one(csv_file(HEAD + "A1;Ball;1.234,56\n")).amounts["price"] == "1234.56"
    assert one(csv_file(HEAD + "A1;Ball;1'234.50\n")).amounts["price"] == "1234.50"
    lone = one(csv_file(HEAD + "A1;Ball;1,234\n"))
    assert lone.amounts["price"] == "" and "ambiguous" in lone.notes[0]


def test_06_a_code_without_its_zeros_is_noted_and_text_keeps_them(xlsx_file):
    rows = [("Part no.", "Description", "Price EUR"), ("0012", "Ball", 1.5), (12, "Seat", 2.5)]
    text, number = items(read_price_list(xlsx_file(rows)))
    assert (text.fields["code"], text.notes) == ("0012", ())
    assert any("leading zeros may be gone" in note for note in number.notes)


def test_07_digits_lost_to_scientific_notation_refuse_the_row(csv_file):
    row = read_price_list(csv_file(HEAD + "1.23E+11;Ball;1.50\n")).rows[-1]
    assert row.kind is RowKind.REFUSED and "digits lost" in row.notes[0]


def test_08_a_code_that_became_a_date_asks_for_the_original(csv_file):
    row = one(csv_file(HEAD + "5-Mar;Ball;1.50\n"))
    assert any("date" in note for note in row.notes)


def test_09_list_and_net_price_and_discount_are_kept_apart(csv_file):
    row = one(csv_file("Part no.;Description;List price;Discount;Net price\nA1;Ball;2.00;B;1.50\n"))
    assert row.amounts == {"list_price": "2.00", "price": "1.50"}
    assert row.fields["discount"] == "B"
    only = read_price_list(csv_file("Part no.;Description;List price\nA1;Ball;2.00\n"))
    assert said(only, "only list prices")
    assert listed_lines(only, currency="EUR")[-1].offer is None


def test_10_a_price_per_hundred_is_divided_once(csv_file):
    text = read_price_list(csv_file("Part no.;Description;Price EUR;Price per\nA1;Ball;340;100\n"))
    offer = listed_lines(text)[-1].offer
    assert (offer.price_e4, offer.price_per) == (3_400_000, 100)


@pytest.mark.parametrize("unit", ["M", "C"])
def test_11_a_unit_that_may_be_two_things_is_asked_about(csv_file, unit):
    text = read_price_list(csv_file(f"Part no.;Description;Price EUR;Unit\nA1;Hose;3;{unit}\n"))
    line = listed_lines(text)[-1]
    assert line.offer is None and "ask the supplier" in line.problems[0]


def test_12_the_currency_of_a_heading_reaches_every_row_and_none_is_never_guessed(csv_file):
    text = read_price_list(csv_file(HEAD + "A1;Ball;1.50\n"))
    assert one(csv_file(HEAD + "A1;Ball;1.50\n")).fields["currency"] == "EUR"
    assert listed_lines(text)[-1].offer.currency == "EUR"
    bare = read_price_list(csv_file("Part no.;Description;Price\nA1;Ball;1.50\n"))
    assert said(bare, "no currency is named")
    assert "names no currency" in listed_lines(bare)[-1].problems[0]


def test_13_replaced_by_in_a_description_names_the_successor_and_claims_nothing(csv_file):
    text = read_price_list(csv_file(HEAD + "A1;Ball, replaced by 24-1180A;1.50\n"))
    (row,) = items(text)
    assert names_successor(row.fields["description"]) == "replaced by 24-1180A"
    assert "replaces" not in row.fields
    (told,) = successors_said(listed_lines(text))
    assert "row 2 (A1: replaced by 24-1180A)" in told and "partsdb part supersede" in told


def test_14_blanks_and_look_alikes_vanish_from_the_key_and_stay_in_the_text(csv_file):
    row = one(csv_file(HEAD + "\u041aV\u00a02412;Ball;1.50\n"))
    assert row.fields["code"] == "\u041aV 2412" and row.cells[0] == "\u041aV\u00a02412"
    assert number_key(row.fields["code"]) == "KV2412"


def test_15_the_encoding_is_decided_strictly_and_a_lost_letter_is_noted(csv_file):
    umlaut = HEAD + "A1;Schläuche;1.50\n"
    for encoding, name in (("utf-8", "UTF-8"), ("cp1252", "cp1252"), ("utf-16", "UTF-16")):
        text = read_price_list(csv_file(umlaut, encoding=encoding))
        assert items(text)[0].fields["description"] == "Schläuche"
        assert said(text, name)
    lost = one(csv_file(HEAD + "A1;Schl\ufffduche;1.50\n"))
    assert any("lost" in note for note in lost.notes)


def test_16_semicolons_tabs_and_line_breaks_in_cells(csv_file):
    row = one(csv_file('Part no.\tDescription\tPrice EUR\nA1\t"Ball\n3/8; WC"\t1.50\n'))
    assert row.fields["description"] == "Ball 3/8; WC"


def test_17_what_is_hidden_is_named_and_not_read(xlsx_file):
    def hide(book):
        book.create_sheet("Intern").sheet_state = "hidden"
        book.active.row_dimensions[3].hidden = True
        book.active.column_dimensions["D"].hidden = True

    rows = [
        ("Part no.", "Description", "Price EUR", "Cost"),
        ("A1", "Ball", 1.5, 1),
        ("A2", "Seat", 2, 1),
    ]
    text = read_price_list(xlsx_file(rows, hide))
    assert [row.fields["code"] for row in items(text)] == ["A1"]
    assert [
        word in " ".join(text.skipped) for word in ("Intern", "1 hidden row ", "hidden columns")
    ] == [True] * 3


def test_17_white_text_is_named(xlsx_file):
    def whiten(book):
        for cell in book.active[3]:
            cell.font = openpyxl.styles.Font(color="FFFFFFFF")

    rows = [("Part no.", "Description", "Price EUR"), ("A1", "Ball", 1.5), ("A2", "Seat", 2)]
    text = read_price_list(xlsx_file(rows, whiten))
    assert any("white" in each for each in text.assumptions + text.skipped)


def test_18_formulas_are_never_computed_and_never_run_from_an_export(xlsx_file):
    rows = [("Part no.", "Description", "Price EUR"), ("A1", "Ball", "=1+1"), ("A2", "#REF!", 2.5)]
    text = read_price_list(xlsx_file(rows))
    assert text.rows[1].kind is RowKind.REFUSED and "C2" in text.rows[1].notes[0]
    assert csv_text([{"code": "=1+1", "text": "@x", "size": "-5"}]).endswith("'=1+1,'@x,-5")


def test_19_two_prices_under_one_code_make_no_offer(in_shop, tmp_path):
    from pathlib import Path

    from partsdb.jobs.intake import IntakeAsk, intake
    from partsdb.jobs.who import stamp

    path = Path(tmp_path / "list.csv")
    row = "24-1201;Quillmere;Valve kit, bypass, 1/4 NPT;{}\n"
    head = "Part no.;Manufacturer;Description;Price EUR\n"
    path.write_text(head + row.format("72.38") + row.format("70.00") + "X-1;;Garden hose;9.00\n")
    answer = intake(IntakeAsk(path, "Saltreeve", "2026-11-20", dry_run=True), stamp())
    assert answer.offers == 0
    assert any("row 2" in said and "row 3" in said for said in answer.problems)


def test_20_one_description_under_several_codes_is_said(csv_file):
    text = read_price_list(csv_file(HEAD + "A1;Ball 3/8;1.50\nA2;ball  3/8;2.50\n"))
    assert said(text, "under several codes", "A1, A2")


@pytest.mark.parametrize("written", ['1/4"', "1-1/4 in", "¼ in"])
def test_21_inch_marks_and_fractions_are_exact_sizes(csv_file, written):
    row = one(csv_file(HEAD + f"A1;Ball {written} WC;1.50\n"))
    assert written in row.fields["description"]
    inches = Fraction(5, 4) if "1-1/4" in written else Fraction(1, 4)
    assert parse_size(written).measures_mm == (inches * Fraction("25.4"),)


def test_22_the_unit_of_the_heading_may_change_half_way(csv_file):
    body = (
        "Part no.;Description;Working pressure bar;Price EUR\nA1;Hose;250;9.00\n"
        "Part no.;Description;Working pressure psi;Price EUR\nA2;Hose;3600;9.00\n"
    )
    assert [row.fields["rating"] for row in items(read_price_list(csv_file(body)))] == [
        "250 bar", "3600 psi",
    ]  # fmt: skip


def test_23_a_date_that_may_be_two_is_never_guessed(csv_file):
    text = read_price_list(csv_file("Effective 01/10/2026\n" + HEAD + "A1;Ball;1.50\n"))
    assert said(text, "validity is spoken of, not read")
    with pytest.raises(InputRefusedError, match="may be"):
        iso_day_written("01/10/2026")
    assert iso_day_written("31/12/2026") == "2026-12-31"


def test_24_a_rating_in_the_text_is_the_suppliers_word_and_no_more(csv_file):
    row = one(csv_file(HEAD + "A1;Hose, max 250bar 3600#;9.00\n"))
    claims = stated_claims(row.fields["description"])
    ratings = [claim for claim in claims if claim.kind == "rating"]
    assert ratings and {claim.evidence for claim in ratings} == {"supplier's word"}


def test_25_tax_and_freight_in_notes_are_said_and_never_taken_for_net(csv_file):
    text = read_price_list(
        csv_file(HEAD + "A1;Ball;1.50\nAll prices incl. VAT;;\nFreight class 70;;\n")
    )
    assert said(text, "tax may be included")
    assert [row.kind for row in text.rows[-2:]] == [RowKind.NOTE, RowKind.NOTE]


def test_a_file_that_hides_all_of_these_is_still_one_sentence(csv_file):
    with pytest.raises(ReaderError) as caught:
        read_price_list(csv_file("nothing;of;a;price;list\n"))
    assert caught.value.hint
