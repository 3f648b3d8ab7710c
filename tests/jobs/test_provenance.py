"""Every claim and price of a part leads to a file, its hash, and the cell or segment it stands in."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.layout_wishes import LayoutAsk
from partsdb.jobs.layouts import look_at
from partsdb.jobs.named import the_part
from partsdb.jobs.provenance import provenance
from partsdb.jobs.upkeep import named_kind
from partsdb.jobs.who import stamp

DAY = "2026-11-20"
LIST = (
    "Part no.;Manufacturer;Description;Working pressure;Price EUR\n"
    "24-1201;Quillmere;Valve kit, bypass, 1/4 NPT, WC ball and seat;2750 psi;72.38\n"
)
SEGMENTS = (
    "UNB+UNOC:3+S+B+261001:0900+R1'UNH+1+PRICAT:D:96A:UN'CUX+2:EUR:8'LIN+1++:'PIA+5+24-1201:MF'"
    "NAD+MF+++Quillmere'IMD+F++:::Valve kit, bypass'PRI+AAA:72.38'UNT+8+1'UNZ+1+R1'"
)


def read(path: Path, text: str) -> int:
    path.write_text(text, encoding="utf-8")
    return intake(IntakeAsk(path, "Saltreeve", DAY), stamp()).batch


@pytest.fixture
def from_lists(in_shop):
    def found(batch: int):
        part = the_part("24-1201", "Quillmere").id
        return {each.what: each for each in provenance(part) if each.batch == batch}

    return found


def test_a_claim_and_a_price_lead_to_the_cell_and_the_hash_of_the_file(from_lists, tmp_path):
    batch = read(tmp_path / "list.csv", LIST)
    found = from_lists(batch)
    sha256 = hashlib.sha256(LIST.encode()).hexdigest()
    rating, price = found["rating working"], found["price"]
    assert (rating.value, rating.place, rating.file) == ("2750 psi", "D2", "list.csv")
    assert (price.value, price.place, price.by) == ("72.38 EUR", "E2", "Saltreeve")
    assert {each.sha256 for each in found.values()} == {sha256}
    assert found["material ball"].place == "C2"  # said in the description


def test_a_price_of_a_trade_document_leads_to_its_segment(from_lists, tmp_path):
    found = from_lists(read(tmp_path / "list.edi", SEGMENTS))
    assert (found["price"].value, found["price"].place) == ("72.38 EUR", "segment 4")


def test_what_was_withdrawn_is_still_told_and_marked(from_lists, tmp_path):
    batch = read(tmp_path / "list.csv", LIST)
    withdraw(batch, "wrong file", stamp())
    assert from_lists(batch)["price"].state.startswith("withdrawn ")


def test_a_claim_of_the_shops_own_files_names_its_source(from_lists):
    (rating,) = [
        e for e in provenance(the_part("24-1201", "Quillmere").id) if e.what.startswith("rating")
    ]
    assert rating.batch is None and rating.file and rating.state == "live"


def test_a_lone_word_that_is_no_kind_is_a_part_number(from_lists):
    assert named_kind("24-1201", "") == ("part", "24-1201")
    assert named_kind("supplier", "") == ("supplier", "")
    assert named_kind("part", "24-1201") == ("part", "24-1201")


def test_a_net_price_tells_the_list_price_and_percentage_that_it_was_reckoned_from(
    from_lists, tmp_path
):
    text = LIST.replace("Price EUR", "List price EUR;Discount %").replace("72.38", "100.00;35")
    price = from_lists(read(tmp_path / "list.csv", text))["price"]
    assert (price.value, price.how) == ("65 EUR", "list price 100.00 less 35 %")
    assert price.place == "E2", "the cell of the list price"


@pytest.mark.parametrize(
    ("head", "cells", "expected"),
    [
        ("Price EUR;10+;50+", "72.38;70.00;65.50",
         {"price": ("72.38 EUR", "D2"), "price from 10": ("70 EUR", "E2"),
          "price from 50": ("65.5 EUR", "F2")}),
        ("List price EUR;Discount %;net from 10", "100.00;25;70.00",
         {"price": ("75 EUR", "D2"), "price from 10": ("70 EUR", "F2")}),
    ],
)  # fmt: skip
def test_every_price_break_leads_to_its_own_cell(from_lists, tmp_path, head, cells, expected):
    line = "24-1201;Quillmere;Valve kit, bypass, Q28, 1/4 NPT, WC ball and seat"
    batch = read(
        tmp_path / "list.csv", f"Part no.;Manufacturer;Description;{head}\n{line};{cells}\n"
    )
    found = {what: each for what, each in from_lists(batch).items() if what.startswith("price")}
    assert {what: (each.value, each.place) for what, each in found.items()} == expected
    assert {each.state for each in found.values()} == {"live"}


@pytest.mark.parametrize(
    ("heads", "cells", "how"),
    [
        ("Price EUR incl. VAT", "72.00", "price 72.00 less 20 % tax in it"),
        ("List price EUR incl. VAT;Discount %", "90.00;20",
         "list price 90.00 less 20 % less 20 % tax in it"),
    ],
)  # fmt: skip
def test_a_price_less_tax_tells_what_it_was_reckoned_from(from_lists, tmp_path, heads, cells, how):
    path = tmp_path / "list.csv"
    path.write_text(LIST.replace("Price EUR", heads).replace("72.38", cells), encoding="utf-8")
    look_at(LayoutAsk(path, "Saltreeve", tax="20", save=True), stamp())
    price = from_lists(read(path, path.read_text(encoding="utf-8")))["price"]
    assert (price.value, price.how) == ("60 EUR", how)  # 72.00 / 1.20, and 90.00 less a fifth


def test_a_price_without_tax_among_others_is_not_said_to_be_less_tax(from_lists, tmp_path):
    path = tmp_path / "list.csv"
    head = LIST.splitlines()[0].replace("Price EUR", "Price EUR;Tax included")
    kit = LIST.splitlines()[1].replace("72.38", "72.00;{}")
    rows = [kit.format("no"), "X-1;;Garden hose;;12.00;yes"]
    path.write_text("\n".join([head, *rows]), encoding="utf-8")
    look_at(LayoutAsk(path, "Saltreeve", tax="20", save=True), stamp())
    price = from_lists(intake(IntakeAsk(path, "Saltreeve", DAY), stamp()).batch)["price"]
    assert (price.value, price.how) == ("72 EUR", "")
