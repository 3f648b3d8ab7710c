"""A layout that a person settled: obeyed where the file leaves something open, and held against it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from importers import read_price_list
from importers.rows import Column, Profile, RowKind

HEAD = "Art.-Nr.;Bezeichnung;Preis;Preis je;ME\n"
ROWS = "A1;Kugel;1,50;1;Stk\nA2;Sitz;2,50;1;Stk\nA3;Ring;3,50;1;Stk\n"
FOREIGN = (
    "Tarif 2026;;;\nRéf.;Désignation;Tarif;Unité\n24-1180;Clapet;1.234;M\n24-1182;Joint;1.500;M\n"
)
COLUMNS = (
    Column(0, "Réf.", "code"),
    Column(1, "Désignation", "description"),
    Column(2, "Tarif", "price"),
    Column(3, "Unité", "unit"),
)


def settled(csv_file, text=HEAD + ROWS):
    (profile,) = read_price_list(csv_file(text)).profiles
    return replace(profile, confirmed="Ilse, 2026-11-02")


def again(csv_file, text, *profiles):
    return read_price_list(csv_file(text, name="next.csv"), profiles=profiles)


def items(text):
    return [row for row in text.rows if row.kind is RowKind.ITEM]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (HEAD.replace(";Preis je", "") + ROWS.replace(";1;", ";"), 'no longer has the column "Preis je"'),
        (HEAD.replace("ME", "Rabatt %") + ROWS.replace("Stk", "35"), 'new column "Rabatt %" (discount)'),
        (HEAD.replace("Preis;", "Preis USD;") + ROWS, 'no longer has the column "Preis" (price)'),
        ("SKU;Item;Net\nA1;Ball;1,50\nA2;Seat;2,50\n", "laid out like none that is remembered"),
        ("Preise in USD;;;;\n" + HEAD + ROWS, "the currency of the table at row 2 is 'USD'"),
    ],
)  # fmt: skip
def test_a_drift_that_changes_what_rows_mean_is_an_alarm(csv_file, text, said):
    profile = replace(settled(csv_file), currency="EUR")
    assert any(said in alarm.text for alarm in again(csv_file, text, profile).alarms)
    assumed = replace(profile, confirmed="")
    told = again(csv_file, text, assumed)
    assert told.alarms == ()
    assert any(said in each for each in told.assumptions), "a layout only assumed is told, no more"


@pytest.mark.parametrize(
    "text",
    [
        "Art.-Nr.;Preis;Bezeichnung;Preis je;ME\nA1;1,50;Kugel;1;Stk\nA2;2,50;Sitz;1;Stk\n",
        HEAD.replace("ME", "ME;Bemerkung") + ROWS.replace("Stk", "Stk;x"),
        (HEAD + ROWS).replace(";", "\t"),
        (HEAD + ROWS).replace("1,50", "1.50").replace("2,50", "2.50").replace("3,50", "3.50"),
    ],
)
def test_a_drift_that_changes_no_meaning_is_told_and_the_layout_stays_settled(csv_file, text):
    read = again(csv_file, text, settled(csv_file))
    assert read.alarms == ()
    assert any(said.startswith("layout drift:") for said in read.assumptions)
    assert read.profiles[0].confirmed == "Ilse, 2026-11-02"
    assert [row.amounts["price"] for row in items(read)][:2] == ["1.50", "2.50"]


def test_headings_in_any_language_are_known_again_wherever_they_stand(csv_file):
    profile = Profile(COLUMNS, 2, confirmed="Ilse", decimal_mark=".", price_per="100")
    moved = "\n" + FOREIGN + "Réf.;Désignation;Tarif;Unité\n24-1183;Buse;2.000;M\n"
    read = again(csv_file, moved, profile)
    assert [(r.row, r.amounts["price"], r.fields["price_per"]) for r in items(read)] == [
        (4, "1.234", "100"), (5, "1.500", "100"), (7, "2.000", "100")
    ]  # fmt: skip
    assert read.rows[-2].kind is RowKind.HEADER
    assert any(
        "prices are per 100: taken from the remembered layout" in s for s in read.assumptions
    )


def test_a_layout_without_columns_names_the_row_of_the_header(csv_file):
    text = "Part no.;Price\nsee;below\nArticle;Description;Net\nA1;Ball;1.50\nA2;Seat;2.50\n"
    read = again(csv_file, text, Profile((), 3, confirmed="asked for"))
    assert [profile.header_row for profile in read.profiles] == [3]
    assert [row.fields["code"] for row in items(read)] == ["A1", "A2"]


def test_a_column_without_a_heading_keeps_its_meaning_by_its_place(csv_file):
    text = "Part no.;;Price\nA1;EA;1.50\nA2;PR;2.50\n"
    (profile,) = read_price_list(csv_file(text)).profiles
    columns = tuple(replace(c, meaning="unit") if not c.heading else c for c in profile.columns)
    read = again(csv_file, text, replace(profile, columns=columns, confirmed="Ilse"))
    assert [row.fields["unit"] for row in items(read)] == ["EA", "PR"]


def test_the_settled_separator_is_tried_first_and_another_one_is_drift(csv_file):
    text = "Part no.|Description|Price\nA1|Ball, small, red|1.50\nA2|Seat, big, red|2.50\n"
    profile = replace(settled(csv_file, text), delimiter="|")
    assert any(
        "the settled layout says so" in s for s in again(csv_file, text, profile).assumptions
    )
    drifted = again(csv_file, text.replace(", ", " ").replace("|", ";"), profile)
    assert any("columns are separated by ';'" in said for said in drifted.assumptions)


def test_utf_16_without_its_mark_is_read_where_a_person_settled_it(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes("Part no.,Description,Price\nA1,Kugel ½,1.50\n".encode("utf-16-le"))
    profile = Profile((), 0, encoding="utf-16-le", confirmed="Ilse")
    (item,) = items(read_price_list(path, profiles=(profile,)))
    assert item.fields["description"] == "Kugel ½"


def test_an_answered_doubt_is_not_raised_again_but_another_one_is(csv_file):
    text = "Part no.;Description;Stock;Price\nA1;Ball;12,50;10\nA2;Seat;13,40;20\n"
    first = read_price_list(csv_file(text))
    assert [alarm.key for alarm in first.alarms] == ["price/stock"]
    profile = replace(first.profiles[0], confirmed="Ilse", settled=("price/stock",))
    assert again(csv_file, text, profile).alarms == ()
    swapped = text.replace("A1;Ball", "Ball, tungsten carbide;A1").replace(
        "A2;Seat", "Seat, made of 440C;A2"
    )
    assert [a.key for a in again(csv_file, swapped, profile).alarms] == ["code/description"]


def test_of_two_layouts_with_the_same_headings_the_settled_one_counts(csv_file):
    text = "Part no.;Number;Description;Price\nA1;QM-100;Ball;1.50\nA2;QM-200;Seat;2.50\n"
    (assumed,) = read_price_list(csv_file(text)).profiles
    columns = tuple(
        replace(c, meaning="replaces") if c.heading == "Number" else c for c in assumed.columns
    )
    mine = replace(assumed, columns=columns, confirmed="Ilse")
    for order in ((assumed, mine), (mine, assumed)):
        assert [r.fields["replaces"] for r in items(again(csv_file, text, *order))] == [
            "QM-100", "QM-200"
        ]  # fmt: skip


def test_a_basis_that_only_a_heading_named_is_not_put_on_another_heading(csv_file):
    text = "Part no.;Description;Unit;Price per 100\nA1;Ball;EA;1,50\nA2;Seat;EA;2,50\n"
    (profile,) = read_price_list(csv_file(text)).profiles
    read = again(csv_file, text.replace("Price per 100", "Price"), profile)
    assert all("price_per" not in row.fields for row in items(read))
    mine = replace(profile, price_per="100", confirmed="Ilse")
    read = again(csv_file, text.replace("Price per 100", "Net price"), mine)
    assert all("price_per" not in row.fields for row in items(read)), "another column than settled"
    assert any("Price per 100" in alarm.text for alarm in read.alarms)
