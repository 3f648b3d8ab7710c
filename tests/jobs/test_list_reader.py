"""Which way a list is read, and that the shop's own lists come out alike by either."""

from __future__ import annotations

from pathlib import Path

import pytest
from shop_lists import DAY, FIXTURES, LISTS

from importers.rows import ListRow, PriceListText, RowKind
from partsdb.jobs import list_reader
from partsdb.jobs.list_reader import ListReader
from partsdb.jobs.listed import listed_lines
from partsdb.jobs.reading_list import context_of, read_list
from partsdb.jobs.who import stamp
from partsdb.matching.readings import ReadingKind
from partsdb.store import catalogue, makers
from partsdb.store.rows import NewPart


def _read(supplier: str, name: str):
    row = makers.find_supplier(supplier)
    return read_list(FIXTURES / "lists" / name, row, as_of=DAY)


def test_a_small_list_is_read_line_by_line_and_no_index_is_made(in_shop: Path):
    read = _read(*LISTS[0])
    assert not any("in bulk" in said for said in read.assumptions)
    assert not in_shop.with_name(f"{in_shop.name}.index").exists()


@pytest.mark.parametrize(("supplier", "name"), [*LISTS, ("Saltreeve", "clean_quillmere.csv")])
def test_a_list_read_in_bulk_gets_the_same_lane_part_and_reason_for_every_line(
    in_shop: Path, monkeypatch: pytest.MonkeyPatch, supplier: str, name: str
):
    small = _read(supplier, name)
    monkeypatch.setattr(list_reader, "_LARGE_CATALOGUE", 1)
    large = _read(supplier, name)
    assert any("in bulk" in said for said in large.assumptions)
    pairs = zip(large.lines, small.lines, strict=True)
    assert [one.listed.text for one, other in pairs if one.reading != other.reading] == []
    offers = [line for line in small.lines if line.reading.kind is ReadingKind.OFFER]
    assert len(offers) > len(small.lines) / 3


def test_a_part_that_came_later_is_read_in_bulk_as_line_by_line(
    in_shop: Path, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setattr(list_reader, "_LARGE_CATALOGUE", 1)
    _read(*LISTS[0])
    maker = makers.find_maker("Quillmere")
    text = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"
    catalogue.add_part(NewPart(maker.id, "24-1189", text, "valve kit"), by=stamp())
    large = _read(*LISTS[0])
    monkeypatch.setattr(list_reader, "_LARGE_CATALOGUE", 10**9)
    small = _read(*LISTS[0])
    assert [line.reading for line in large.lines] == [line.reading for line in small.lines]


def test_without_an_index_a_large_list_is_read_line_by_line_and_says_so(
    in_shop: Path, monkeypatch: pytest.MonkeyPatch
):
    in_shop.with_name(f"{in_shop.name}.index").write_text("a file where the folder should be")
    small = _read(*LISTS[0])
    monkeypatch.setattr(list_reader, "_LARGE_CATALOGUE", 1)
    large = _read(*LISTS[0])
    assert [line.reading for line in large.lines] == [line.reading for line in small.lines]
    assert any("slowly" in said for said in large.assumptions)


def test_a_long_list_tells_how_far_it_is_and_is_read_the_same(in_shop):
    told: list[str] = []
    text = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"
    rows = [
        ListRow(RowKind.ITEM, "", n, {"code": f"24-{n}", "description": text})
        for n in range(1, 2102)
    ]
    lines = listed_lines(PriceListText("list.csv", "", "", tuple(rows), ()))
    watched = ListReader(told.append).read(lines, context_of(None))
    assert told == [
        "reading what the lines say: 1,000 of 2,101",
        "reading what the lines say: 2,000 of 2,101",
        "matching the lines: 1,000 of 2,101",
        "matching the lines: 2,000 of 2,101",
    ]
    assert watched == ListReader().read(lines, context_of(None))


DATED = """Part no.,Description,Price EUR,Replaces,Maker no.
{},Valve kit (code was 3-12),48.00,{},{}
"""


@pytest.mark.parametrize(
    ("code", "replaces", "maker_number", "asked"),
    [
        ("2026-03-12", "", "", True),
        ("03/12/2026", "", "", True),
        ("12.03.2026", "24-1180", "", True),
        ("3-12", "24-1180", "", False),
        ("2026-03-12", "24-1180", "3-12", False),
    ],
)
def test_a_number_that_became_a_date_is_asked_about_and_names_no_article(
    in_shop: Path, tmp_path: Path, code: str, replaces: str, maker_number: str, asked: bool
):
    file = tmp_path / "list.csv"
    file.write_text(DATED.format(code, replaces, maker_number))
    (line,) = [
        each
        for each in read_list(file, makers.find_supplier("Kestrow"), as_of=DAY).lines
        if each.listed.row.kind is RowKind.ITEM
    ]
    told = [each.text for each in line.reading.evidence if each.name == "code"]
    assert (line.reading.kind is ReadingKind.TO_REVIEW) is asked
    assert [text.startswith("code shows as a date") for text in told] == [True] * asked
