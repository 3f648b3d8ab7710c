"""Every limit on every kind of file that it can bound: named in the refusal, and raised as told."""

from __future__ import annotations

import re
import zipfile

import pytest
from reader_seeds import ods, seeds

from importers import Limits, ReaderError, read_price_list, read_price_list_bounded
from importers.limits import VARIABLE, current, refuse, used_up

SEEDS = seeds()
LINE = b'{"part number": "A1", "description": "Ball", "price": 1.5}'
SEEDS["json array"] = b"[" + LINE + b", " + LINE + b"]"
SEEDS["tab separated"] = SEEDS["csv"].replace(b";", b"\t")
# The two documents have one article each in their seed: what counts rows needs a second one.
SEEDS["ubl"] = re.sub(rb"(<cac:CatalogueLine>.*</cac:CatalogueLine>)", rb"\1\1", SEEDS["ubl"])
SEEDS["x12"] = SEEDS["x12"].replace(b"CTT*1~SE*8*", b"LIN*2*VP*NF-2~CTP*WS*NET*9~CTT*2~SE*10*")
GRID = ("csv", "tab separated", "fixed width", "json lines", "json array", "xlsx", "xls", "ods", "pdf")  # fmt: skip
DOCUMENTS = ("edifact", "x12", "ubl")
WHERE = {
    "file_bytes": (*GRID, *DOCUMENTS),
    "rows": (*GRID, *DOCUMENTS),
    "cell_chars": (*GRID, *DOCUMENTS),
    "columns": GRID,
    "tables": GRID,
    "unpacked_bytes": ("xlsx", "ods"),
    "ratio": ("xlsx", "ods"),
    "parts": ("xlsx", "ods"),
    "depth": ("xlsx", "ods", "ubl"),
    "elements": ("ubl",),
    "segments": ("edifact", "x12"),
    "pages": ("pdf",),
}
CASES = [(limit, kind) for limit, kinds in WHERE.items() for kind in kinds]
LEAST = {"rows": 1, "columns": 2, "cell_chars": 3}


@pytest.mark.parametrize(("limit", "kind"), CASES)
def test_a_refusal_names_its_limit_and_raising_it_as_told_reads_the_file(
    limit, kind, tmp_path, monkeypatch
):
    path = tmp_path / "list.any"
    path.write_bytes(SEEDS[kind])
    allowed = LEAST.get(limit, 0)
    with pytest.raises(ReaderError) as caught:
        read_price_list(path, limits=Limits(**{limit: allowed}))
    error = caught.value
    assert limit.replace("_", " ") in error.message and f"the limit of {allowed}" in error.message
    assert error.place.startswith("list.any")
    for _ in range(40):  # a count is known only as far as the file was read
        told = re.search(rf"{VARIABLE}=({limit}=\d+)", error.hint)[1]
        monkeypatch.setenv(VARIABLE, told)
        try:
            assert read_price_list(path, limits=current()).rows
            return
        except ReaderError as again:
            error = again
    pytest.fail(f"the limit was raised 40 times as told, and refused still: {error}")


def test_every_limit_that_is_no_bound_of_the_process_is_tried_here():
    assert WHERE.keys() | {"seconds", "memory_bytes"} == set(Limits.__slots__)


DEEP = "<a>" * 100 + "</a>" * 100


@pytest.mark.parametrize("part", ["xl/worksheets/sheet1.xml", "xl/sharedStrings.xml",
                                  "xl/styles.xml", "xl/workbook.xml"])  # fmt: skip
def test_elements_nested_without_end_are_refused_in_every_part(hand_made, edit_part, part):
    path = hand_made("<row r='1'><c r='A1'><v>1</v></c></row>")
    deep = edit_part(path, part, lambda xml: xml.replace(b"</", DEEP.encode() + b"</", 1))
    with pytest.raises(ReaderError, match="depth: 61 is over the limit of 60") as caught:
        read_price_list(deep)
    assert caught.value.place.startswith("made.xlsx (xl/")
    assert "PARTSDB_LIMITS=depth=61" in caught.value.hint


@pytest.mark.parametrize(
    "rows",
    [
        "<row><row/></row>",
        "<row><c><c><v>1</v></c></c></row>",
        "<row><c><v><v>1</v></v></c></row>",
        "<row><c t='inlineStr'><is><t><t>1</t></t></is></c></row>",
    ],
)
def test_a_cell_in_a_cell_is_damage_with_its_place(hand_made, rows):
    with pytest.raises(ReaderError, match="stands in another one of its kind") as caught:
        read_price_list(hand_made(rows))
    assert "Prices!" in caught.value.place


def test_formulas_nested_without_end_are_refused(hand_made):
    cell = f"<c r='A1'>{'<f>' * 100}{'</f>' * 100}</c>"
    with pytest.raises(ReaderError, match="depth"):
        read_price_list(hand_made(f"<row r='1'>{cell}</row>"))


def test_formulas_of_extensions_after_the_cells_are_no_nesting(xlsx_file, edit_part):
    """Lists of allowed values and small charts keep their formulas behind the cells."""
    rows = [("Part no.", "Description", "Price EUR"), ("A1", "Ball", 1.5)]
    listed = "<f>Prices!$A$1</f>" * 200
    path = edit_part(
        xlsx_file(rows),
        "xl/worksheets/sheet1.xml",
        lambda xml: xml.replace(
            b"</worksheet>", f"<extLst><ext>{listed}</ext></extLst></worksheet>".encode()
        ),
    )
    assert read_price_list(path).rows[1].amounts["price"] == "1.5"


def test_a_deep_open_document_sheet_is_refused_before_its_library_sees_it(tmp_path):
    path = tmp_path / "list.ods"
    path.write_bytes(ods([("Part no.", "Description", "Price EUR"), ("A1", "Ball", 1.5)]))
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts["content.xml"] = parts["content.xml"].replace(b"<text:p>", b"<text:p>" + DEEP.encode(), 1)
    with zipfile.ZipFile(path, "w") as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    with pytest.raises(ReaderError, match="depth: 61 is over the limit of 60"):
        read_price_list(path)


def test_what_a_file_would_take_in_the_end_is_not_made_up(tmp_path):
    """Nobody knows how long a reading would have gone on that was cut off."""
    path = tmp_path / "list.csv"
    path.write_text("Part no.;Description;Price EUR\n" + "A1;Ball;1.50\n" * 350_000)
    with pytest.raises(ReaderError) as caught:
        read_price_list_bounded(path, limits=Limits(seconds=1))
    assert caught.value.message == "seconds: the file could not be read within the limit of 1"
    assert f"{VARIABLE}=seconds=2 " in caught.value.hint
    assert f"{VARIABLE}=memory_bytes=8 " in used_up("memory_bytes", 4, place="list.csv").hint


@pytest.mark.parametrize("limit", ["ratio", "cell_chars", "depth", "segments"])
def test_a_limit_says_what_it_counts_where_its_name_does_not(limit):
    told = str(refuse(limit, 9, 8, place="list.xlsx"))
    assert told.startswith(f"list.xlsx: {limit.replace('_', ' ')}: 9 is over the limit of 8 (")
