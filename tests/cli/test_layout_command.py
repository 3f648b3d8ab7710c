"""pricelist layout on the command line."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from cli_calls import Call

TEXT = (
    "Part no.;Description;Stock;Price EUR\n"
    "24-1180;Valve kit, bypass;61,90;10\n"
    "24-1182;Valve kit, bypass, long;71,85;5\n"
)
RIGHT = ("--column", "Stock=price", "--column", "Price EUR=stock")


@pytest.fixture
def a_list(tmp_path: Path) -> Path:
    path = tmp_path / "list.csv"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_a_look_shows_every_column_and_what_is_to_be_settled(partsdb: Call, bench, a_list):
    before = bench.read_bytes()
    answer = partsdb("pricelist", "layout", a_list, "--supplier", "Kestrow")
    assert answer.code == 0
    for said in ("nothing stored", "nobody: assumed", "100 %", "61,90 | 71,85", "are they swapped"):
        assert said in answer.out
    assert bench.read_bytes() == before


def test_a_refused_list_names_the_command_that_settles_it(partsdb: Call, a_list):
    refused = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow")
    assert refused.code == 3
    assert "list.csv: the table at row 1: column" in refused.err
    assert 'pricelist layout FILE --supplier "Kestrow"' in refused.err
    saved = partsdb("pricelist", "layout", a_list, "--supplier", "Kestrow", *RIGHT, "--save")
    assert "settled by" in saved.out
    assert partsdb("pricelist", "read", a_list, "--supplier", "Kestrow").code == 0


def test_what_is_remembered_is_shown_and_forgotten(partsdb: Call, a_list):
    assert (
        "no layout of Kestrow is remembered"
        in partsdb("pricelist", "layout", "--supplier", "Kestrow").out
    )
    partsdb("pricelist", "layout", a_list, "--supplier", "Kestrow", *RIGHT, "--save")
    shown = partsdb("pricelist", "layout", "--supplier", "Kestrow")
    assert "layout 1 of Kestrow" in shown.out
    gone = partsdb("pricelist", "layout", "--supplier", "Kestrow", "--forget", "1")
    assert "layout 1 is forgotten" in gone.err
    assert "no layout of Kestrow" in gone.out


def test_programs_get_the_tables_and_spreadsheets_a_row_for_each_column(partsdb: Call, a_list):
    words = ("pricelist", "layout", a_list, "--supplier", "Kestrow")
    (table,) = partsdb("--format", "json", *words).data["tables"]
    assert [column["filled"] for column in table["columns"]] == [100] * 4
    rows = list(csv.DictReader(io.StringIO(partsdb("--format", "csv", *words).out)))
    assert [row["heading"] for row in rows] == ["Part no.", "Description", "Stock", "Price EUR"]


def test_a_layout_of_nobody_is_wrong_usage(partsdb: Call, a_list):
    answer = partsdb("pricelist", "layout", a_list)
    assert answer.code == 2
    assert answer.err.startswith("error: whose list?")


def test_a_drift_is_said_on_stderr_where_a_pipe_does_not_hide_it(partsdb: Call, a_list):
    partsdb("pricelist", "layout", a_list, "--supplier", "Kestrow", *RIGHT, "--save")
    a_list.write_text(TEXT.replace("Stock;", "Stock;Note;").replace("61,90;", "61,90;x;").replace(
        "71,85;", "71,85;y;"), encoding="utf-8")  # fmt: skip
    answer = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow")
    assert "caution: the layout drifted from the one that is remembered: the table" in answer.err
    assert 'new column "Note"' in answer.err


@pytest.mark.parametrize(
    ("asked", "said"),
    [(("--save",), "which list"), (RIGHT, "which list"), (("--per", "100"), "which list")],
)
def test_what_is_said_of_no_list_is_refused(partsdb: Call, asked, said):
    refused = partsdb("pricelist", "layout", "--supplier", "Kestrow", *asked)
    assert refused.code == 2
    assert said in refused.err and "name the file" in refused.err


def test_forgetting_takes_no_file(partsdb: Call, a_list):
    refused = partsdb("pricelist", "layout", a_list, "--supplier", "Kestrow", "--forget", "1")
    assert refused.code == 2
    assert "--forget takes no file" in refused.err


def test_tax_in_the_prices_is_asked_about_and_settled_by_an_option(partsdb: Call, a_list):
    a_list.write_text(TEXT.replace("Stock;Price EUR", "Price EUR incl. VAT;Stock"), "utf-8")
    refused = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow")
    assert refused.code == 3 and "--tax RATE" in refused.err
    words = ("pricelist", "layout", a_list, "--supplier", "Kestrow")
    unsaid = partsdb(*words, "--save")
    assert "To settle before the list can be read" in unsaid.out
    assert "19 %, taken out" in partsdb(*words, "--tax", "19", "--save").out
    read = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow")
    assert read.code == 0 and "19 % tax is taken out of the prices" in read.out
