"""Headers by content, meanings by words and cells, several tables, units in headings."""

from __future__ import annotations

import pytest

from importers import ReaderError, read_price_list
from importers.headings import header_words, read_heading
from importers.rows import MEANINGS, RowKind

WORDS = [
    ("Art.-Nr.", "code"), ("Bestell-Nr.", "code"), ("Item", "code"), ("SKU", "code"),
    ("Part No.", "code"), ("P/N", "code"), ("Artikelnummer", "code"), ("ITEM #", "code"),
    ("Bezeichnung", "description"), ("Description", "description"), ("Beschreibung", "description"),
    ("Preis", "price"), ("Price", "price"), ("Net", "price"), ("EP", "price"), ("Unit price", "price"),
    ("VPE", "pack"), ("Pack", "pack"), ("Pack size", "pack"), ("ME", "unit"), ("Unit", "unit"),
    ("UOM", "unit"), ("Druck", "rating"), ("Rating", "rating"), ("WP", "rating"),
    ("Berstdruck", "rating"), ("Burst", "rating"), ("Max. Betriebsdruck", "rating"),
    ("Gewinde", "thread"), ("Thread", "thread"), ("Anschluss", "thread"), ("Werkstoff", "material"),
    ("Material", "material"), ("ersetzt", "replaces"), ("Replaces", "replaces"), ("OEM", "replaces"),
    ("Orig.-Nr.", "replaces"), ("Hersteller", "maker"), ("Maker", "maker"), ("Mfr", "maker"),
    ("Hersteller-Nr.", "maker_number"), ("Mfr part no.", "maker_number"), ("MPN", "maker_number"),
    ("MOQ", "min_qty"), ("Mindestmenge", "min_qty"), ("Lieferzeit", "lead_days"),
    ("Lead time", "lead_days"), ("Bestand", "stock"), ("Stock", "stock"), ("EAN", "ean"),
    ("Ursprung", "origin"), ("Origin", "origin"), ("Gewicht", "weight"), ("je", "price_per"),
    ("per", "price_per"), ("Rabatt", "discount"), ("UVP", "list_price"), ("List price", "list_price"),
    ("Währung", "currency"), ("gültig ab", "valid_from"), ("Valid to", "valid_to"),
    ("Bemerkung", "note"), ("Pos.", "other"),
]  # fmt: skip


@pytest.mark.parametrize(("word", "meaning"), WORDS)
def test_a_header_word_of_the_trade_has_its_meaning(word, meaning):
    heading = read_heading(word)
    assert heading is not None
    assert (heading.meaning, heading.strength) == (meaning, 2)


def test_every_header_word_has_a_meaning_of_the_contract():
    assert {word.meaning for word in header_words().values()} <= set(MEANINGS)


@pytest.mark.parametrize(
    ("text", "meaning", "unit"),
    [
        ("Preis EUR", "price", "EUR"),
        ("Price (£)", "price", "GBP"),
        ("Net USD per 100", "price", "USD per 100"),
        ("Preis je 100 Stk", "price", "per 100"),
        ("Preis/1000", "price", "per 1000"),
        ("Price per pack", "price", "per pack"),
        ("Preis/VPE", "price", "per pack"),
        ("EUR/VPE", "price", "EUR per pack"),
        ("Pack price", "price", "per pack"),
        ("Price per pack of 10", "price", "per 10"),
        ("Price per kit", "price", ""),
        ("Preis/m", "price", "per m"),
        ("Preis ab 10", "price", "from 10"),
        ("Druck [bar]", "rating", "bar"),
        ("Max pressure psi", "rating", "psi"),
        ("Rating (lbs)", "rating", "psi"),
        ("Berstdruck (bar)", "rating", "bar burst"),
        ("WP bar", "rating", "bar working"),
        ("Burst psi", "rating", "psi burst"),
        ("Test pressure bar", "rating", "bar proof"),
        ("Gewicht (kg)", "weight", "kg"),
        ("Max. working pressure (bar/psi)", "rating", "working"),
        ("Price EUR/USD", "price", ""),
        ("Item #", "code", ""),
        ("Euro/Stk", "price", "EUR"),
        ("£ each", "price", "GBP"),
        ("10-49", "price", "from 10"),
        ("50+", "price", "from 50"),
        ("ersetzt durch", "other", "superseded"),
        ("Superseded by", "other", "superseded"),
        ("wird ersetzt durch Nr.", "other", "superseded"),
        ("Replaces part number", "replaces", ""),
        ("Brand part number", "maker_number", ""),
        ("Old part no.", "other", ""),
        ("Lieferzeit (Tage)", "lead_days", "days"),
    ],
)
def test_the_unit_in_a_heading_is_kept(text, meaning, unit):
    heading = read_heading(text)
    assert heading is not None
    assert (heading.meaning, heading.unit) == (meaning, unit)


@pytest.mark.parametrize("text", ["", "12.50", "1/4 NPT", "Kugel", "A-100", "x" * 80])
def test_what_is_no_header_word_has_no_meaning(text):
    assert read_heading(text) is None


def items(text):
    return [row for row in text.rows if row.kind == RowKind.ITEM]


def meanings(text, table=0):
    return {c.heading: c.meaning for c in text.profiles[table].columns}


def test_title_rows_above_the_header_are_notes(csv_file):
    text = read_price_list(
        csv_file(
            "Saltreeve price list 2026,,\nValid from 1 April,,\n,,\nPart no.,Description,Price\nA1,Ball,1.50\n"
        )
    )
    assert [(r.row, r.kind.value) for r in text.rows] == [
        (1, "note"), (2, "note"), (4, "header"), (5, "item"),
    ]  # fmt: skip
    assert text.profiles[0].header_row == 4


def test_a_merged_two_row_header_is_joined_under_its_title(xlsx_file):
    def merge(book):
        for area in ("A1:F1", "A2:A3", "B2:B3", "C2:D2", "E2:F2"):
            book.active.merge_cells(area)

    rows = [
        ["Ninefold price list"],
        ["Part no.", "Description", "Price", None, "Rating", None],
        [None, None, "Net USD", "List USD", "bar", "psi"],
        ["A1", "Ball", 1.5, 2.5, 250, 3600],
    ]
    text = read_price_list(xlsx_file(rows, merge))
    (item,) = items(text)
    assert item.amounts == {"price": "1.5", "list_price": "2.5"}
    assert item.fields["rating"] == "250 bar"
    assert item.fields["rating_psi"] == "3600 psi"
    assert [r.row for r in text.rows if r.kind == RowKind.HEADER] == [2, 3]


def test_a_row_of_units_below_the_header_is_part_of_it(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;Price;Rating\n;;GBP;psi\nA1;Hose;12.50;3300\n")
    )
    (item,) = items(text)
    assert item.fields["currency"] == "GBP"
    assert item.fields["rating"] == "3300 psi"


def test_a_bare_rating_takes_its_unit_from_the_heading_and_says_so(csv_file):
    text = read_price_list(
        csv_file(
            "Art.-Nr.;Bezeichnung;Preis EUR;Druck (bar)\nA1;Schlauch;1,50;250\nA2;Schlauch;2,50;3600 psi\n"
        )
    )
    first, second = items(text)
    assert first.fields["rating"] == "250 bar"
    assert "rating unit bar taken from the heading" in first.notes
    assert second.fields["rating"] == "3600 psi"
    assert second.notes == ()


def test_a_burst_column_says_its_basis_in_every_row(csv_file):
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;Preis;Berstdruck bar\nA1;Schlauch;1,50;1000\n")
    )
    (item,) = items(text)
    assert (item.fields["rating"], item.fields["rating_basis"]) == ("1000 bar", "burst")


@pytest.mark.parametrize(
    "head",
    ["Part no.,Description,Price,WP bar,Burst bar", "Part no.,Description,Price,Burst bar,WP bar"],
)
def test_a_burst_figure_never_stands_before_the_working_one(csv_file, head):
    cells = "250,1000" if head.endswith("Burst bar") else "1000,250"
    text = read_price_list(csv_file(f"{head}\nA1,Hose,1.50,{cells}\n"))
    (item,) = items(text)
    assert (item.fields["rating"], item.fields["rating_basis"]) == ("250 bar", "working")
    assert item.fields["rating_burst"] == "1000 bar"


def test_a_price_basis_in_the_heading_reaches_every_row(csv_file):
    text = read_price_list(csv_file("Art.-Nr.;Bezeichnung;Preis EUR je 100\nA1;Kugel;12,50\n"))
    (item,) = items(text)
    assert item.fields["price_per"] == "100"
    assert item.fields["currency"] == "EUR"


def test_a_price_basis_column_and_pack_stay_as_written(csv_file):
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;Preis;je;VPE;ME\nA1;Kugel;12,50;100;10;Stk\n")
    )
    fields = items(text)[0].fields
    assert (fields["price_per"], fields["pack"], fields["unit"]) == ("100", "10", "Stk")


def test_price_breaks_are_kept_beside_the_price(csv_file):
    text = read_price_list(
        csv_file(
            "Art.-Nr.;Bezeichnung;Preis ab 1;Preis ab 10;Preis ab 100\nA1;Kugel;1,50;1,40;1,20\n"
        )
    )
    assert items(text)[0].amounts == {
        "price": "1.50", "price_from_10": "1.40", "price_from_100": "1.20",
    }  # fmt: skip


def test_price_breaks_without_any_word_are_found(csv_file):
    text = read_price_list(csv_file("Part no.,Description,50+,1-9,10-49\nA1,Ball,1.30,1.50,1.40\n"))
    assert items(text)[0].amounts == {
        "price": "1.50", "price_from_10": "1.40", "price_from_50": "1.30",
    }  # fmt: skip


def test_quantities_under_a_merged_price_heading_are_price_breaks(xlsx_file):
    def merge(book):
        book.active.merge_cells("C1:E1")

    rows = [
        ["Part no.", "Description", "Price USD"],
        ["", "", "1+", "10+", "100+"],
        ["A1", "Ball", 3, 2, 1],
    ]
    (item,) = items(read_price_list(xlsx_file(rows, merge)))
    assert item.amounts == {"price": "3", "price_from_10": "2", "price_from_100": "1"}
    assert item.fields["currency"] == "USD"


def test_a_price_that_holds_only_from_a_quantity_is_said(csv_file):
    text = read_price_list(csv_file("Part no.,Description,Price from 10\nA1,Ball,1.30\n"))
    assert 'the price in column "Price from 10" holds only from 10 units' in text.assumptions


def test_the_number_that_comes_after_is_never_read_as_the_one_replaced(csv_file):
    text = read_price_list(
        csv_file("Art.-Nr.;ersetzt durch;ersetzt;Bezeichnung;Preis\nA2;A3;A1;Kugel;1,50\n")
    )
    fields = items(text)[0].fields
    assert (fields["replaces"], fields["superseded_by"], fields["code"]) == ("A1", "A3", "A2")


def test_a_rating_under_a_heading_of_two_units_keeps_its_own_text(csv_file):
    text = read_price_list(
        csv_file("Part no.,Description,Price,WP (psi/bar)\nA1,Hose,1.50,3625/250\n")
    )
    assert items(text)[0].fields["rating"] == "3625/250"


def test_two_currencies_side_by_side_are_never_mixed(csv_file):
    text = read_price_list(
        csv_file("Part no.,Description,Price EUR,Price USD\nA1,Ball,1.50,1.70\n")
    )
    (item,) = items(text)
    assert item.fields["currency"] == "EUR"
    assert item.amounts == {"price": "1.50", "price_USD": "1.70"}
    assert any('"Price EUR" is taken as the price' in said for said in text.assumptions)


def test_net_and_list_price_and_discount_are_kept_apart(csv_file):
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;UVP;Rabatt %;Netto\nA1;Kugel;10,00;20;8,00\n")
    )
    (item,) = items(text)
    assert item.amounts == {"list_price": "10.00", "price": "8.00"}
    assert item.fields["discount"] == "20"


def test_a_list_of_list_prices_alone_says_so(csv_file):
    text = read_price_list(csv_file("Part no.,Description,List price\nA1,Ball,10.00\n"))
    assert items(text)[0].amounts == {"list_price": "10.00"}
    assert "only list prices are given, no net price" in text.assumptions


def test_a_column_that_only_counts_is_no_code(csv_file):
    text = read_price_list(
        csv_file("Item,SKU,Description,Price\n1,K-1,Ball,1.50\n2,K-2,Seat,2.50\n3,K-3,Rod,3.50\n")
    )
    assert [r.fields["code"] for r in items(text)] == ["K-1", "K-2", "K-3"]
    assert any('"Item" only counts' in said for said in text.assumptions)


def test_an_item_column_of_words_is_the_description(csv_file):
    text = read_price_list(
        csv_file(
            "SKU,Item,Price\nK-1,Ball of tungsten carbide,1.50\nK-2,Seat of tungsten carbide,2.50\n"
        )
    )
    assert items(text)[0].fields["description"] == "Ball of tungsten carbide"


def test_a_price_column_with_an_unknown_heading_is_found_by_its_cells(csv_file):
    text = read_price_list(csv_file("Part no.,Description,Ours\nA1,Ball,1.50\nA2,Seat,2.50\n"))
    assert items(text)[1].amounts == {"price": "2.50"}
    assert any('"Ours" is taken as price by what its cells' in said for said in text.assumptions)


def test_two_descriptions_are_joined(csv_file):
    text = read_price_list(csv_file("Art.-Nr.;Bezeichnung;Description;Preis\nA1;Kugel;Ball;1,50\n"))
    assert items(text)[0].fields["description"] == "Kugel; Ball"


def test_a_second_table_with_other_columns_is_read_by_its_own_header(csv_file):
    text = read_price_list(
        csv_file(
            "Part no.,Description,Price GBP\nA1,Hose,5.00\n\nFittings\nCode,Thread,Description,Price EUR\nF1,1/4 NPT,Nipple,3.00\n"
        )
    )
    first, second = items(text)
    assert (first.fields["currency"], first.amounts["price"]) == ("GBP", "5.00")
    assert (second.fields["currency"], second.fields["thread"]) == ("EUR", "1/4 NPT")
    assert second.section == "Fittings"
    assert len(text.profiles) == 2


def test_the_rating_unit_may_change_half_way_with_a_new_header(csv_file):
    # handbook 8 no. 22
    text = read_price_list(
        csv_file(
            "Part no.,Description,Price,Rating bar\nA1,Hose,5.00,250\nPart no.,Description,Price,Rating psi\nA2,Hose,5.00,3600\n"
        )
    )
    assert [r.fields["rating"] for r in items(text)] == ["250 bar", "3600 psi"]


def test_a_header_come_again_is_no_item(csv_file):
    head = "Part no.,Description,Price\n"
    text = read_price_list(csv_file(f"{head}A1,Ball,1.50\n{head}A2,Seat,2.50\n"))
    assert [r.kind.value for r in text.rows] == ["header", "item", "header", "item"]
    assert len(text.profiles) == 1


def test_sheets_without_a_list_are_named_and_the_others_read(xlsx_file):
    def more(book):
        book.create_sheet("Cover", 0).append(["Welcome to our price list"])
        sheet = book.create_sheet("Fittings")
        sheet.append(["Code", "Description", "Price"])
        sheet.append(["F1", "Nipple", 3])

    text = read_price_list(xlsx_file([["Code", "Description", "Price"], ["A1", "Ball", 1]], more))
    assert [(r.sheet, r.fields["code"]) for r in items(text)] == [
        ("Prices", "A1"),
        ("Fittings", "F1"),
    ]
    assert any('"Cover" has no header row' in said for said in text.skipped)


def test_a_table_without_prices_beside_one_with_them_is_named(csv_file):
    text = read_price_list(
        csv_file(
            "Part no.,Description,Price\nA1,Ball,1.50\n\nPart no.,Description,Thread\nA1,Ball,none\n"
        )
    )
    assert len(items(text)) == 1
    assert any("row 4 has no price column" in said for said in text.skipped)


@pytest.mark.parametrize(
    "title", ["Alle Preise in EUR zzgl. MwSt", "All prices in Euro, ex works", "Prices: €"]
)
def test_the_currency_of_a_title_is_taken_and_stated(csv_file, title):
    text = read_price_list(csv_file(f'"{title}";;\nArt.-Nr.;Bezeichnung;Preis\nA1;Kugel;1,50\n'))
    assert items(text)[0].fields["currency"] == "EUR"
    assert any("currency EUR" in said and title in said for said in text.assumptions)


def test_two_currencies_in_the_titles_decide_nothing(csv_file):
    text = read_price_list(
        csv_file("Prices in EUR or USD;;\nArt.-Nr.;Bezeichnung;Preis\nA1;Kugel;1,50\n")
    )
    assert "currency" not in items(text)[0].fields


def test_a_currency_column_and_a_sign_in_the_cell_come_before_the_heading(csv_file):
    text = read_price_list(
        csv_file(
            "Code,Description,Price EUR,Currency\nA1,Ball,1.50,GBP\nA2,Ball,$1.50,\nA3,Ball,1.50,\n"
        )
    )
    assert [r.fields["currency"] for r in items(text)] == ["GBP", "USD", "EUR"]


@pytest.mark.parametrize("place", ["title", "heading"])
def test_tax_included_is_said(csv_file, place):
    title = "Preise inkl. MwSt;;\n" if place == "title" else ""
    head = "Art.-Nr.;Bezeichnung;Preis" + (" inkl. 19 % MwSt" if place == "heading" else "")
    text = read_price_list(csv_file(f"{title}{head}\nA1;Kugel;1,50\n"))
    assert any("tax may be included" in said for said in text.assumptions)


@pytest.mark.parametrize(
    ("heading", "cell", "days"),
    [("Lead time", "3 weeks", "21"), ("Lieferzeit", "2-3 Wochen", "21"), ("Lead time days", "5", "5"),
     ("Lieferzeit Wochen", "2", "14"), ("Lead time", "10 days", "10"), ("Lead time", "ex stock", "ex stock"),
     ("Lieferzeit", "3 Tage", "3")],
)  # fmt: skip
def test_lead_times_become_days(csv_file, heading, cell, days):
    text = read_price_list(csv_file(f"Part no.,Description,Price,{heading}\nA1,Ball,1.50,{cell}\n"))
    assert items(text)[0].fields["lead_days"] == days


def test_the_decimal_mark_is_stated_with_the_cells_that_prove_it(csv_file):
    text = read_price_list(
        csv_file("Art.-Nr.;Bezeichnung;Preis\nA1;Kugel;1,50\nA2;Sitz;1.234\nA3;Stange;12,5\n")
    )
    assert [r.amounts["price"] for r in items(text)] == ["1.50", "1234", "12.5"]
    assert any(
        said.startswith("decimal mark ',' in column \"Preis\": 2 of 3 cells")
        for said in text.assumptions
    )


def test_a_column_of_ambiguous_prices_has_no_amounts(csv_file):
    text = read_price_list(
        csv_file('Part no.,Description,Price\nA1,Ball,"1,234"\nA2,Seat,"2,500"\n')
    )
    assert [r.amounts["price"] for r in items(text)] == ["", ""]
    assert all("ambiguous" in r.notes[0] for r in items(text))


def test_group_headings_above_unknown_subheadings_are_joined_by_their_merges(xlsx_file):
    def merge(book):
        for area in ("A1:B1", "C1:C2", "D1:E1", "F1:G1"):
            book.active.merge_cells(area)

    rows = [
        ["Article", None, "Description", "Price", None, "Availability", None],
        ["No.", "Make", None, "Net", "Per", "Stock", "Days"],
        ["A1", "Corrowby", "Ball", 1.5, 100, 4, 21],
    ]
    text = read_price_list(xlsx_file(rows, merge))
    (item,) = items(text)
    assert item.fields == {
        "code": "A1", "maker": "Corrowby", "description": "Ball", "price": "1.5",
        "price_per": "100", "stock": "4", "lead_days": "21",
    }  # fmt: skip
    assert len(text.profiles) == 1


def test_a_section_named_like_a_heading_is_no_second_header_row(csv_file):
    text = read_price_list(csv_file("Code,Description,Price\nMaterial,,\nA1,Ball,1.50\n"))
    assert meanings(text) == {"Code": "code", "Description": "description", "Price": "price"}
    assert items(text)[0].section == "Material"


def test_the_currency_that_all_price_cells_show_is_stated(csv_file):
    text = read_price_list(csv_file("Code,Description,Price\nA1,Ball,£1.50\nA2,Ball,£2.50\n"))
    assert "currency GBP: 2 of the first 2 price cells show it" in text.assumptions
    assert text.profiles[0].currency == "GBP"


def test_a_list_that_names_no_currency_says_so(csv_file):
    text = read_price_list(csv_file("Code,Description,Price\nA1,Ball,1.50\n"))
    assert "no currency is named for the table at row 1" in text.assumptions
    assert "currency" not in items(text)[0].fields


def test_the_validity_in_a_title_is_shown_and_not_read(csv_file):
    # handbook 8 no. 23: d/m or m/d is no guess of ours
    text = read_price_list(
        csv_file("Effective 10/01/2026,,\nCode,Description,Price\nA1,Ball,1.50\n")
    )
    assert any('"Effective 10/01/2026"' in said for said in text.assumptions)
    assert "valid_from" not in items(text)[0].fields


def test_digits_of_other_scripts_are_no_price_and_no_crash(csv_file):
    text = read_price_list(csv_file("Code,Item,Description,Price\nA1,²,Ball,1²\nA2,¹,Ball,١٢.50\n"))
    assert [r.amounts["price"] for r in items(text)] == ["", ""]


def test_a_merged_title_that_spans_part_of_the_table_is_no_group_heading(xlsx_file):
    rows = [["Our prices"], ["Part no.", "Description", "Price", "Pack"], ["A1", "Ball", 1.5, 10]]
    path = xlsx_file(rows, lambda book: book.active.merge_cells("A1:C1"))
    text = read_price_list(path)
    assert list(meanings(text)) == ["Part no.", "Description", "Price", "Pack"]


def test_an_item_with_merged_cells_above_a_repeated_header_stays_an_item(xlsx_file):
    head = ["Part no.", "Description", "Price", "Pack", "Unit"]
    rows = [head, ["A1", "Ball", 1.5, 10, "EA"], head, ["A2", "Seat", 2.5, 10, "EA"]]
    path = xlsx_file(rows, lambda book: book.active.merge_cells("D2:E2"))
    assert [r.fields["code"] for r in items(read_price_list(path))] == ["A1", "A2"]


@pytest.mark.parametrize("first", [True, False])
def test_plain_headings_are_found_among_hundreds_of_the_suppliers_own(csv_file, first):
    own = [f"Attribute {i}" for i in range(297)]
    plain, cells = ["Part no.", "Description", "Price EUR"], ["A-1", "Ball", "12,50"]
    head = plain + own if first else own + plain
    body = cells + ["x"] * 297 if first else ["x"] * 297 + cells
    text = read_price_list(csv_file(f"{';'.join(head)}\n{';'.join(body)}\n"))
    assert text.rows[1].fields["code"] == "A-1"
    assert text.rows[1].amounts == {"price": "12.50"}


def test_a_list_without_any_text_says_so(xlsx_file):
    with pytest.raises(ReaderError, match="no cell holds any text"):
        read_price_list(xlsx_file([]))


def test_the_table_of_a_list_without_rows_is_not_placed_in_row_nought(csv_file):
    one = '{"part number": "A1", "description": "Ball", "price": 12.3}\n'
    text = read_price_list(csv_file(one, name="list.jsonl"))
    assert any(said.startswith("columns of the table: ") for said in text.assumptions)
    assert not any("row 0" in said for said in text.assumptions)


def test_signs_that_steer_a_terminal_are_taken_out_of_codes_and_texts_and_said(csv_file):
    text = read_price_list(
        csv_file(
            "Part no.;Description;Price EUR\nA\x1b1;Seal \x1b[31mkit\x07;1,50\nA-2;Ba\u202ell;2\n"
        )
    )
    first, second = text.rows[1:]
    assert (first.fields["code"], first.fields["description"]) == ("A1", "Seal [31mkit")
    assert second.fields["description"] == "Ball"
    assert "A2 holds signs that steer a terminal; they are taken out" in first.notes
    assert second.notes == ("B3 holds signs that steer a terminal; they are taken out",)


def test_a_lead_time_in_words_that_are_not_known_is_said(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;Price EUR;Delivery\nA-1;Kit;1,50;sofort\n")
    )
    assert text.rows[1].notes == ('no days can be read from the lead time "sofort"',)
