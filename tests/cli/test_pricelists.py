"""pricelist read, show and withdraw on the command line."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from cli_calls import Answer, Call
from small_shop import price_list

KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi",61.90'
OWN = 'SR 7001,,"Valve kit, bypass, Q33, replaces 24-1180, WC ball and seat",33.50'


@pytest.fixture
def a_list(tmp_path: Path) -> Path:
    return price_list(tmp_path, [KIT, OWN])


def read(partsdb: Call, path: Path, *more: str) -> Answer:
    return partsdb("--format", "json", "pricelist", "read", path, "--supplier", "Kestrow", *more)


def test_reading_says_what_was_stored(partsdb: Call, a_list):
    data = read(partsdb, a_list).data
    assert (data["batch"], data["offers"], data["own_parts"]) == (1, 2, 1)
    assert (data["supplier"], data["file"], data["is_repeat"]) == ("Kestrow", "list.csv", False)
    assert data["assumptions"]
    text = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow").out
    assert "read before, nothing changed" in text


def test_a_dry_run_stores_nothing_and_says_so(partsdb: Call, bench, a_list):
    before = bench.read_bytes()
    data = read(partsdb, a_list, "--dry-run").data
    assert data["batch"] is None
    assert data["offers"] == 2
    assert bench.read_bytes() == before
    text = partsdb("pricelist", "read", a_list, "--supplier", "Kestrow", "--dry-run").out
    assert "nothing stored (dry run)" in text


def test_the_same_file_again_is_the_same_batch(partsdb: Call, a_list):
    first, again = read(partsdb, a_list).data, read(partsdb, a_list).data
    assert again["is_repeat"] is True
    assert again["batch"] == first["batch"]
    assert len(partsdb("--format", "json", "pricelist", "show").data["batches"]) == 1


def test_batches_and_their_lines_are_shown(partsdb: Call, a_list):
    assert "no price lists" in partsdb("pricelist", "show").out
    read(partsdb, a_list)
    (batch,) = partsdb("--format", "json", "pricelist", "show").data["batches"]
    assert (batch["supplier"], batch["offers"], batch["withdrawn"]) == ("Kestrow", 2, "")
    lines = partsdb("--format", "json", "pricelist", "show", "1").data["lines"]
    by_code = {line["code"]: line for line in lines}
    assert by_code["24-1180"]["reading"] == "offer"
    assert by_code["24-1180"]["part"] == "Quillmere 24-1180"
    assert by_code["SR 7001"]["reading"] == "replacement"
    assert by_code["SR 7001"]["place"] == "row 3"


def test_withdrawing_takes_the_offers_back(partsdb: Call, a_list):
    read(partsdb, a_list)

    def offers() -> list[object]:
        data = partsdb("--format", "json", "instead", "24-1178").data
        (kit,) = [each for each in data["candidates"] if each["number"] == "24-1180"]
        return list(kit["offers"])

    assert len(offers()) == 1
    gone = partsdb("--format", "json", "pricelist", "withdraw", "1", "--reason", "old").data
    assert gone["withdrawn"]["offers"] == 2
    assert gone["withdrawn"]["parts"] == 1
    assert offers() == []
    assert partsdb("pricelist", "withdraw", "1").code == 2
    assert partsdb("part", "show", "SR 7001").code == 2


def test_a_batch_is_vetted_by_its_number_like_its_file(partsdb: Call, a_list):
    read(partsdb, a_list)
    of_file = partsdb("--format", "json", "vet", a_list, "--supplier", "Kestrow").data
    assert partsdb("--format", "json", "vet", "1").data == of_file


def test_reading_in_csv_is_one_row(partsdb: Call, a_list):
    answer = partsdb("--format", "csv", "pricelist", "read", a_list, "--supplier", "Kestrow")
    rows = list(csv.DictReader(io.StringIO(answer.out)))
    assert len(rows) >= 1
    assert answer.err == ""


def test_rows_without_an_offer_are_told_with_their_place(partsdb: Call, tmp_path):
    path = price_list(tmp_path, [KIT, OWN.replace("33.50", "POA")])
    data = read(partsdb, path).data
    assert any(p.startswith("row 3: ") and "POA" in p for p in data["problems"])
    text = partsdb("pricelist", "read", path, "--supplier", "Saltreeve", "--dry-run").out
    assert "row 3: " in text


def test_a_currency_may_be_given_for_a_list_that_names_none(partsdb: Call, tmp_path):
    path = price_list(tmp_path, [KIT], head="Part number,Manufacturer,Description,Price")
    data = read(partsdb, path, "--currency", "chf").data
    assert any("CHF" in said for said in data["assumptions"])
    (batch,) = partsdb("--format", "json", "pricelist", "show").data["batches"]
    assert batch["currency"] == "CHF"


@pytest.mark.parametrize(("name", "warns"), [("lines.csv", True), ("lines.xlsx", False)])
def test_codes_that_a_spreadsheet_would_change_are_said_when_a_csv_is_written(
    partsdb: Call, tmp_path, name, warns
):
    read(partsdb, price_list(tmp_path, [KIT, OWN.replace("SR 7001", "0012")]))
    answer = partsdb("--out", tmp_path / name, "pricelist", "show", "1")
    told = [line for line in answer.err.splitlines() if "CSV cannot prevent" in line]
    assert len(told) == warns
    assert all("turns 0012 into" in line and "lines.xlsx" in line for line in told)
    assert "0012" not in partsdb("--quiet", "--out", tmp_path / name, "pricelist", "show", "1").err


def test_a_question_sheet_in_csv_says_so_too(partsdb: Call, tmp_path):
    path = price_list(tmp_path, [OWN.replace("SR 7001", "0012")])
    words = ("vet", path, "--supplier", "Kestrow", "--questions")
    assert "turns 0012 into" in partsdb(*words, tmp_path / "ask.csv").err
    assert "turns 0012" not in partsdb(*words, tmp_path / "ask.xlsx").err
