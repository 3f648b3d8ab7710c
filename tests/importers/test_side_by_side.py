"""Tables beside each other on one sheet: every line of each is read, with its own cell as place."""

from __future__ import annotations

from importers import read_price_list

HEAD = ["Part no.", "Description", "Price EUR"]
ROWS = [
    [*HEAD, None, *HEAD],
    ["F-1", "Nipple", 2.5, None, "G-1", "Gauge", 25.5],
    ["F-2", "Elbow", 3.5, None, "G-2", "Gauge, glycerine", 27.5],
    [None, None, None, None, "G-3", "Gauge, dry", 28.5],
]
READ = [
    ("F-1", "Nipple", "2.5", "Prices!C2"),
    ("F-2", "Elbow", "3.5", "Prices!C3"),
    ("G-1", "Gauge", "25.5", "Prices columns E to G!G2"),
    ("G-2", "Gauge, glycerine", "27.5", "Prices columns E to G!G3"),
    ("G-3", "Gauge, dry", "28.5", "Prices columns E to G!G4"),
]


def read(text):
    profiles = {profile.sheet: profile for profile in text.profiles}
    return [
        (r.fields["code"], r.fields["description"], r.amounts["price"],
         r.place("price", profiles[r.sheet]))
        for r in text.rows if r.amounts
    ]  # fmt: skip


def test_every_line_of_two_tables_beside_each_other_is_read_once_and_by_itself(xlsx_file):
    text = read_price_list(xlsx_file(ROWS))
    assert read(text) == READ
    said = "2 tables stand beside each other at Prices row 1, from columns A and E"
    assert f"{said}: each is read by itself" in text.assumptions
    assert not text.alarms


def test_a_title_over_both_tables_names_the_currency_of_both(csv_file):
    head = "Part no.;Description;Price"
    text = read_price_list(
        csv_file(f"Prices in GBP\n{head};;{head}\nF-1;Elbow;2,50;;G-1;Gauge;25,50\n")
    )
    assert [row.fields["currency"] for row in text.rows if row.amounts] == ["GBP", "GBP"]
    assert [row.place() for row in text.rows if row.amounts] == ["row 3", "columns E to G row 3"]


def test_merged_group_headings_over_tables_beside_each_other_are_no_hindrance(xlsx_file):
    def merge(book):
        book.active.merge_cells("A1:C1")
        book.active.merge_cells("E1:G1")

    groups = ["Fittings", None, None, None, "Gauges"]
    text = read_price_list(xlsx_file([groups, *ROWS], merge))
    assert [each[:3] for each in read(text)] == [each[:3] for each in READ]


def test_three_tables_beside_each_other_without_a_gap(csv_file):
    head = "Code;Text;Price EUR"
    cells = "A-1;Ball;1,50;B-1;Seat;2,50;C-1;Pin;3,50"
    text = read_price_list(csv_file(f"{head};{head};{head}\n{cells}\n"))
    assert [each[:3] for each in read(text)] == [
        ("A-1", "Ball", "1.50"), ("B-1", "Seat", "2.50"), ("C-1", "Pin", "3.50"),
    ]  # fmt: skip


def test_tables_beside_each_other_over_a_wide_one_are_refused_with_their_place(xlsx_file):
    text = read_price_list(xlsx_file([*ROWS, [], [*HEAD, "Stock"], ["H-1", "Hose", 9.5, 3]]))
    (told,) = [alarm.text for alarm in text.alarms if "beside each other" in alarm.text]
    assert "2 tables stand beside each other at Prices row 1" in told
    assert "one table below the other" in told


def test_the_heading_of_a_part_of_one_table_is_not_that_of_the_other(xlsx_file):
    text = read_price_list(
        xlsx_file(
            [ROWS[0], ["Fittings"], ROWS[1], [None, None, None, None, "Gauges"], ROWS[2]]
        )
    )  # fmt: skip
    sections = [(r.fields["code"], r.section) for r in text.rows if r.amounts]
    assert sections == [("F-1", "Fittings"), ("F-2", "Fittings"), ("G-1", ""), ("G-2", "Gauges")]


def test_a_second_code_or_text_beside_one_price_is_no_second_table(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;Price EUR;Part no.;Description\nA-1;Ball;1,50;B-1;Kugel\n")
    )
    assert [row.amounts for row in text.rows if row.amounts] == [{"price": "1.50"}]


def test_tables_beside_each_other_may_have_prices_in_two_currencies(csv_file):
    head = "Part no.;Description;Price {}"
    text = read_price_list(
        csv_file(f"{head.format('EUR')};;{head.format('USD')}\nA-1;Ball;1,50;;B-1;Seat;2,50\n")
    )
    found = [
        (r.fields["code"], r.amounts["price"], r.fields["currency"]) for r in text.rows if r.amounts
    ]
    assert found == [("A-1", "1.50", "EUR"), ("B-1", "2.50", "USD")]


def test_a_price_per_piece_and_one_from_ten_are_no_second_table(csv_file):
    text = read_price_list(csv_file("Part no.;Price EUR;Price EUR from 10\nA-1;1,50;1,20\n"))
    assert [row.amounts for row in text.rows if row.amounts] == [
        {"price": "1.50", "price_from_10": "1.20"}
    ]
