"""Printed price lists: tables by the gaps of a page, page by page, with every figure counted."""

from __future__ import annotations

import re
import zlib

import pytest
from small_pdf import table, write_pdf

from importers import Limits, ReaderError, read_price_list, read_price_list_bounded

AT = (50, 120, 330, 430, 500)
HEAD = ("Part no.", "Description", "Pressure", "Price EUR", "Unit")
FIRST = (
    HEAD,
    ("KV-2412", "Valve kit, bypass, tungsten carbide", "250 bar", "72.50", "EA"),
    ("KV-2413", "Valve kit, outlet check", "", "1,182.36", "EA"),
)
SECOND = (("KV-2414", "Ball 3/8", "2800 psi", "8.10", "EA"), ("Total of page", "", "", "8.10"))


def test_rows_of_every_page_are_read_with_the_page_as_place(tmp_path):
    text = read_price_list(
        write_pdf(tmp_path / "list.pdf", [table(FIRST, AT), table((HEAD, *SECOND), AT)])
    )
    items = [row for row in text.rows if row.kind == "item"]
    assert text.reader == "PDF"
    assert [(row.fields["code"], row.amounts["price"]) for row in items] == [
        ("KV-2412", "72.50"), ("KV-2413", "1182.36"), ("KV-2414", "8.10"),
    ]  # fmt: skip
    assert [row.place() for row in items] == ["page 1 row 2", "page 1 row 3", "page 2 row 2"]
    assert items[0].fields["rating"] == "250 bar" and "rating" not in items[1].fields


def test_a_page_without_header_takes_the_columns_of_the_last_one(tmp_path):
    text = read_price_list(write_pdf(tmp_path / "list.pdf", [table(FIRST, AT), table(SECOND, AT)]))
    assert [row.amounts["price"] for row in text.rows if row.kind == "item"][-1] == "8.10"
    assert "page 2 has no header: the last page's is used" in text.assumptions


def test_the_price_like_figures_of_a_page_are_counted_against_the_rows_read(tmp_path):
    text = read_price_list(write_pdf(tmp_path / "list.pdf", [table((*FIRST, *SECOND), AT)]))
    (said,) = (each for each in text.assumptions if each.startswith("page 1:"))
    assert said.startswith(
        "page 1: 4 price-like figures, 3 of them in rows read as articles; 1 are"
    )


def test_a_page_that_shows_no_text_is_said_and_a_whole_scan_refused(tmp_path):
    text = read_price_list(write_pdf(tmp_path / "list.pdf", [table(FIRST, AT), []]))
    assert text.skipped == ("page 2 holds no text: a picture or a blank page",)
    with pytest.raises(ReaderError, match="scanned as pictures"):
        read_price_list(write_pdf(tmp_path / "scan.pdf", [[], []]))


def test_a_line_across_two_columns_is_refused_with_page_and_row(tmp_path):
    wide = ("KV-2415", "Valve kit " * 7, "", "9.10", "EA")
    with pytest.raises(ReaderError, match="stands across two columns") as caught:
        read_price_list(write_pdf(tmp_path / "list.pdf", [table((*FIRST, wide), AT)]))
    assert caught.value.place == "list.pdf page 1 row 4"


def test_more_pages_than_the_limit_are_refused(tmp_path):
    path = write_pdf(tmp_path / "list.pdf", [table(FIRST, AT)] * 3)
    with pytest.raises(ReaderError) as caught:
        read_price_list(path, limits=Limits(pages=2))
    assert "PARTSDB_LIMITS=pages=3" in caught.value.hint


@pytest.mark.parametrize("keep", [20, 200, 700])
def test_a_pdf_cut_short_is_refused_in_one_sentence(tmp_path, keep):
    path = write_pdf(tmp_path / "list.pdf", [table(FIRST, AT)])
    path.write_bytes(path.read_bytes()[:keep])
    with pytest.raises(ReaderError) as caught:
        read_price_list(path)
    assert caught.value.place and caught.value.hint


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        (b"/MediaBox", b"/MediaBox [0 0 595 /Tf 842 2] %"),  # the library has an error of its own
        (b" 330 ", b" 33000000000000000000000 "),  # a word far off any page
        (b" 330 ", b" 9e99 "),
    ],
)
def test_a_page_with_impossible_measures_is_damaged_in_one_sentence(tmp_path, right, wrong):
    path = write_pdf(tmp_path / "list.pdf", [table(FIRST, AT)])
    data = path.read_bytes()
    assert right in data
    path.write_bytes(data.replace(right, wrong))
    try:
        read = read_price_list(path)
    except ReaderError as refused:
        assert refused.place.startswith("list.pdf")
        assert refused.hint == "ask the supplier for the list as .xlsx or .csv"
    else:
        assert all(len(row.cells) < 20 for row in read.rows)


def test_a_page_that_unpacks_beyond_all_memory_is_refused_by_that_limit(tmp_path):
    path = write_pdf(tmp_path / "list.pdf", [table(FIRST, AT)])
    packer = zlib.compressobj()
    begin = packer.compress(b" ") + packer.flush(zlib.Z_FULL_FLUSH)
    megabyte = packer.compress(b" " * 2**20) + packer.flush(zlib.Z_FULL_FLUSH)
    bomb = begin + megabyte * 2000
    packed = b"/Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(bomb), bomb)
    data = re.sub(rb"/Length \d+ >>\nstream\n.*?\nendstream", lambda _: packed, path.read_bytes(), flags=re.DOTALL)  # fmt: skip
    path.write_bytes(data)
    with pytest.raises(ReaderError, match="memory bytes: the file could not be read") as caught:
        read_price_list_bounded(path, limits=Limits(memory_bytes=500 * 2**20, seconds=60))
    assert f"PARTSDB_LIMITS=memory_bytes={1000 * 2**20}" in caught.value.hint
