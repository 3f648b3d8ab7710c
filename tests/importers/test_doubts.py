"""Columns whose cells belie their headings are asked about.

What columns look like is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from importers import read_price_list

TEXTS = ("Valve kit, bypass, 3300 psi", "Valve kit, carbide ball", "Packing kit, T200 pump")
CODES = ("24-1180", "24-1182", "25-1201")
PRICES = ("90,50", "95,20", "102,35")
COUNTS = ("10", "5", "20")
HEADINGS = {"code": "Part no.", "text": "Description", "price": "Price EUR"}


def alarms(csv_file, **columns):
    """Return the doubts about a list with columns of heading -> cells."""
    rows = [";".join(columns), *(";".join(cells) for cells in zip(*columns.values(), strict=True))]
    return [alarm.key for alarm in read_price_list(csv_file("\n".join(rows) + "\n")).alarms]


@pytest.mark.parametrize(
    "heading", ["Stock", "Qty", "Pack size", "MOQ", "Lead time days", "Working pressure bar"]
)
def test_prices_in_a_column_of_quantities_or_ratings_are_asked_about(csv_file, heading):
    found = alarms(csv_file, **{"Part no.": CODES, "Description": TEXTS, heading: PRICES,
                                "Price EUR": COUNTS})  # fmt: skip
    assert len(found) == 1
    assert found[0].startswith("price/")


def test_prices_in_the_column_of_codes_are_asked_about(csv_file):
    found = alarms(csv_file, **{"Part no.": PRICES, "Description": TEXTS, "Price EUR": COUNTS})
    assert "price/code" in found


def test_codes_and_descriptions_the_wrong_way_round_are_asked_about(csv_file):
    found = alarms(csv_file, **{"Part no.": TEXTS, "Description": CODES, "Price EUR": PRICES})
    assert found == ["code/description"]


def test_words_in_the_column_of_codes_are_asked_about_wherever_the_codes_are(csv_file):
    long = tuple(f"{text}, for cold and hot water" for text in TEXTS)
    found = alarms(csv_file, **{"Article no.": TEXTS, "Description": long, "Price EUR": PRICES})
    assert found == ["code"]


def test_net_prices_above_list_prices_are_asked_about(csv_file):
    found = alarms(csv_file, **{"Part no.": CODES, "List price EUR": ("60,00", "61,00", "62,00"),
                                "Net price EUR": PRICES})  # fmt: skip
    assert found == ["price/list_price"]


@pytest.mark.parametrize(
    ("columns", "why"),
    [
        ({"Part no.": CODES, "Stock": COUNTS, "Price EUR": PRICES}, "as it should be"),
        ({"Part no.": CODES, "Stock": COUNTS, "Price EUR": COUNTS}, "whole prices"),
        (
            {"Part no.": CODES, "Stock": ("7,00", "5,00", "2,00"), "Price EUR": COUNTS},
            "a stock that is printed with noughts",
        ),
        (
            {"Part no.": CODES, "Weight kg": ("0,25", "1,35", "2,10"), "Price EUR": COUNTS},
            "a weight has decimals",
        ),
        (
            {"Part no.": ("4711.10", "4712.10", "4713.20"), "Price EUR": PRICES},
            "codes that look like prices beside prices",
        ),
        ({"Part no.": CODES, "Description": CODES, "Price EUR": PRICES}, "the code again as text"),
        (
            {"Part no.": CODES, "List price EUR": PRICES, "Net price EUR": ("60,00",) * 3},
            "net under list",
        ),
    ],
)
def test_an_honest_list_is_not_doubted(csv_file, columns, why):
    assert alarms(csv_file, **columns) == [], why


def test_the_alarm_names_both_columns_with_a_cell_of_each(csv_file):
    text = "Part no.;Description;Qty;Price EUR\nA-1;Ball;90,50;10\nA-2;Seat;95,20;5\n"
    (alarm,) = read_price_list(csv_file(text)).alarms
    assert alarm.text == (
        'the table at row 1: column "Price EUR" is headed as the price and holds "10", '
        'column "Qty" (quantity) holds "90,50" and the like: are they swapped?'
    )


def test_stored_numbers_in_the_wrong_columns_are_asked_about_too(xlsx_file):
    rows = [
        ["Part no.", "Description", "Stock", "Price EUR"],
        ["24-1180", "Valve kit, bypass", 90.5, 10],
        ["24-1182", "Valve kit, carbide ball", 95.2, 5],
        ["24-1183", "Packing kit", 102.0, 20],
    ]
    assert [a.key for a in read_price_list(xlsx_file(rows)).alarms] == ["price/stock"]
    right = [[*row[:2], row[3], row[2]] if n else row for n, row in enumerate(rows)]
    assert read_price_list(xlsx_file(right)).alarms == ()


@pytest.mark.parametrize(
    "headings",
    ["Price 2025 EUR;Price 2026 EUR", "Dealer A EUR;Dealer B EUR", "Price EUR;Price EUR",
     "Price;Price EUR;Your price"],
)  # fmt: skip
def test_two_prices_that_nothing_tells_apart_are_asked_about(csv_file, headings):
    cells = ";".join(("12,50", "13,50", "14,50")[: headings.count(";") + 1])
    path = csv_file(f"Part no.;Description;{headings}\nA-1;Kit;{cells}\nA-2;Ball;{cells}\n")
    text = read_price_list(path)
    (alarm,) = text.alarms
    assert "are all prices: which one is ours?" in alarm.text
    assert all(f'"{each}"' in alarm.text for each in headings.split(";"))
    settled = replace(text.profiles[0], confirmed="a person", settled=(alarm.key,))
    assert not read_price_list(path, profiles=(settled,)).alarms


@pytest.mark.parametrize(
    ("headings", "price"),
    [
        ("Old price EUR;New price EUR", "13.50"), ("Preis neu;Preis alt", "12.50"),
        ("Price EUR;Price GBP", "12.50"), ("Price EUR;from 10", "12.50"),
        ("List price EUR;Net price EUR", "13.50"), ("Price EUR;EUR per VPE", "12.50"),
    ],
)  # fmt: skip
def test_prices_that_their_headings_tell_apart_are_not_asked_about(csv_file, headings, price):
    rows = "A-1;Kit;12,50;13,50\nA-2;Ball;12,50;13,50\n"
    if headings.startswith("List"):
        rows = "A-1;Kit;14,50;13,50\nA-2;Ball;14,50;13,50\n"
    text = read_price_list(csv_file(f"Part no.;Description;{headings}\n{rows}"))
    assert not text.alarms
    assert text.rows[1].amounts["price"] == price


def test_two_prices_of_a_lone_article_are_asked_about_too(csv_file):
    text = read_price_list(csv_file("Part no.;Description;Price EUR;Price EUR\nA-1;Kit;12,50;13\n"))
    assert [alarm.key for alarm in text.alarms] == ["price/price"]
