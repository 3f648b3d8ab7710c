"""The compound file around an old workbook: its stream is found, and a broken one is one sentence."""

from __future__ import annotations

import io
import random
import struct

import pytest
from xlwt.CompoundDoc import XlsDoc

from importers import ReaderError
from importers.ole import with_bytes, workbook_stream
from importers.raw import Source

FREE, END, TABLE = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD


def source(data: bytes) -> Source:
    return Source("list.xls", data)


def entry(name: str, kind: int, start: int, size: int) -> bytes:
    """Return an entry of a directory ([MS-CFB] 2.6.1)."""
    written = name.encode("utf-16-le")
    head = written.ljust(64, b"\0") + struct.pack("<HBB", len(written) + 2, kind, 1)
    return head + struct.pack("<III36xIII", FREE, FREE, FREE, start, size, 0)


def header(*, directory: int, small_table: int, table: int = 0, shift: int = 9) -> bytes:
    head = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16)
    head += struct.pack("<HHHHH6xIIII", 0x3E, 3, 0xFFFE, shift, 6, 0, 1, directory, 0)
    head += struct.pack("<IIIII", 4096, small_table, 1, END, 0)
    return (head + struct.pack("<I", table)).ljust(512, b"\xff")


def sectors(*contents: bytes) -> bytes:
    return b"".join(each.ljust(512, b"\0") for each in contents)


def table(*numbers: int) -> bytes:
    return struct.pack("<128I", *numbers, *[FREE] * (128 - len(numbers)))


def small_file(size: int, *names: str, circle: bool = False) -> bytes:
    """Return a file whose streams are so small that they share a larger one in pieces of 64 bytes."""
    # The stream goes 0, 2, 1: its pieces are shuffled.
    pieces = table(2, 0 if circle else END, 1)
    held = b"".join(bytes([letter]) * 64 for letter in b"acb")
    listed = entry("Root Entry", 5, 2, 192) + b"".join(entry(n, 2, 0, size) for n in names)
    whole = header(directory=1, small_table=3)
    return whole + sectors(table(TABLE, END, END, END), listed, held, pieces)


@pytest.mark.parametrize("size", [4096, 5000, 70_000, 9_000_000])
def test_the_stream_that_another_program_put_in_is_found(size):
    records, out = random.Random(size).randbytes(size), io.BytesIO()
    XlsDoc().save(out, records)
    assert workbook_stream(source(out.getvalue()))[:size] == records


@pytest.mark.parametrize("size", [1, 64, 65, 150, 192])
def test_a_small_stream_is_put_together_from_its_pieces(size):
    found = workbook_stream(source(small_file(size, "Workbook")))
    assert found == (b"a" * 64 + b"b" * 64 + b"c" * 64)[:size]


@pytest.mark.parametrize("at", [0, 62, 63, 64, 127, 190])
def test_bytes_put_into_a_stream_are_read_back_and_nothing_else_is_changed(at):
    file = source(small_file(192, "Workbook"))
    changed = with_bytes(file, at, b"XY")
    before = workbook_stream(file)
    assert workbook_stream(changed) == before[:at] + b"XY" + before[at + 2 :]
    assert sum(a != b for a, b in zip(file.data, changed.data, strict=True)) == 2


@pytest.mark.parametrize("left", [1536, 1700, 2050])
def test_a_stream_ends_where_the_file_is_cut(left):
    cut = small_file(192, "Workbook")[:left]  # the pieces lie from byte 1536 on
    whole = b"a" * 64 + b"b" * 64 + b"c" * 64
    assert whole.startswith(workbook_stream(source(cut)))


def test_of_two_workbooks_in_one_file_the_newer_is_read():
    both = small_file(10, "Book", "Workbook")
    listed = entry("Book", 2, 1, 10)
    assert workbook_stream(source(both.replace(entry("Book", 2, 0, 10), listed))) == b"a" * 10
    assert workbook_stream(source(small_file(10, "Book"))) == b"a" * 10


def test_sectors_of_four_thousand_bytes_are_followed_too():
    large = [header(directory=1, small_table=END, shift=12), table(TABLE, END, 3, END)]
    large += [
        entry("Root Entry", 5, END, 0) + entry("Workbook", 2, 2, 8000),
        b"x" * 4096,
        b"y" * 4096,
    ]
    data = b"".join(each.ljust(4096, b"\0") for each in large)
    assert workbook_stream(source(data)) == b"x" * 4096 + b"y" * 3904


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (small_file(10, "WordDocument"), "no workbook is listed in it"),
        (small_file(10), "no workbook is listed in it"),
        (small_file(10, "Workbook", circle=True), "in a circle"),
        (small_file(10, "Workbook").replace(table(TABLE, END, END, END), table(TABLE, 1)),
         "in a circle"),
        (header(directory=1, small_table=3)[:400], "its header is broken"),
        (header(directory=1, small_table=3, shift=20), "its header is broken"),
        (header(directory=1, small_table=3), "no workbook is listed in it"),
        (header(directory=900, small_table=900, table=900), "no workbook is listed in it"),
    ],
)  # fmt: skip
def test_a_broken_container_is_one_sentence(data, said):
    with pytest.raises(ReaderError, match=said) as caught:
        workbook_stream(source(data))
    assert caught.value.place == "list.xls" and caught.value.hint


def test_a_table_that_names_one_sector_again_and_again_is_not_read_for_ever():
    head = bytearray(header(directory=1, small_table=END))
    head[76:512] = struct.pack("<109I", *[0] * 109)
    with pytest.raises(ReaderError, match="in a circle"):
        workbook_stream(source(bytes(head) + sectors(table(TABLE))))
