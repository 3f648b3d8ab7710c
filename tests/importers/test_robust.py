"""Whatever the bytes: rows or one ReaderError, never another error, never a hang."""

from __future__ import annotations

import random
import zipfile
from pathlib import Path

import openpyxl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from importers import Limits, ReaderError, read_price_list
from importers.amounts import decide_mark, read_amount
from importers.codes import read_code
from importers.headings import read_heading

SMALL = Limits(unpacked_bytes=20_000_000)
CSV = 'Art.-Nr.;Bezeichnung;Preis EUR\nSchläuche;;\nA1;Schlauch 1/4" 250 bar;1.234,50\n'.encode(
    "cp1252"
)
RELAXED = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def read_or_refuse(path: Path) -> None:
    try:
        text = read_price_list(path, limits=SMALL)
    except ReaderError as error:
        assert error.place and error.hint
        return
    assert text.profiles and text.assumptions


@RELAXED
@given(data=st.binary(max_size=400))
def test_any_bytes_read_or_are_refused(tmp_path, data):
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    read_or_refuse(path)


@RELAXED
@given(body=st.text(max_size=300))
def test_any_text_under_a_header_reads_or_is_refused(tmp_path, body):
    path = tmp_path / "list.csv"
    path.write_text("Part no.,Description,Price\n" + body, encoding="utf-8", errors="replace")
    read_or_refuse(path)


def mutated(data: bytes, rng: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(changed))
        choice = rng.random()
        if choice < 0.6:
            changed[at] = rng.randrange(256)
        elif choice < 0.8:
            del changed[at : at + rng.randint(1, 20)]
        else:
            changed[at:at] = rng.randbytes(rng.randint(1, 8))
        if not changed:
            return b""
    return bytes(changed)


@pytest.mark.parametrize("seed", range(60))
def test_a_csv_with_changed_bytes_reads_or_is_refused(tmp_path, seed):
    path = tmp_path / "list.csv"
    path.write_bytes(mutated(CSV, random.Random(seed)))
    read_or_refuse(path)


@pytest.fixture(scope="module")
def workbook(tmp_path_factory):
    path = tmp_path_factory.mktemp("robust") / "list.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (
        ["Price list"],
        ["Part no.", "Description", "Price"],
        ["A1", "Ball", 1.5],
        [7, "Seat", 2],
    ):
        sheet.append(row)
    sheet.merge_cells("A1:C1")
    sheet["A4"].number_format = "00000"
    book.save(path)
    return path


@pytest.mark.parametrize("seed", range(60))
def test_an_archive_with_changed_bytes_reads_or_is_refused(tmp_path, workbook, seed):
    path = tmp_path / "list.xlsx"
    path.write_bytes(mutated(workbook.read_bytes(), random.Random(seed)))
    read_or_refuse(path)


@pytest.mark.parametrize("seed", range(120))
def test_a_workbook_with_changed_parts_reads_or_is_refused(tmp_path, workbook, seed):
    rng = random.Random(seed)
    with zipfile.ZipFile(workbook) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    name = rng.choice([n for n in sorted(parts) if "xl/" in n or "rels" in n])
    parts[name] = mutated(parts[name], rng)
    path = tmp_path / "list.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    read_or_refuse(path)


@given(cell=st.text(max_size=30), mark=st.sampled_from(["", ",", "."]))
def test_an_amount_is_plain_decimal_text_or_nothing(cell, mark):
    text = read_amount(cell, mark).text
    assert text == "" or (text.replace(".", "", 1).isascii() and text.replace(".", "", 1).isdigit())


@given(cents=st.integers(min_value=1, max_value=10**9), german=st.booleans())
def test_a_price_written_in_either_country_reads_as_the_same_cents(cents, german):
    written = f"{cents // 100:,}.{cents % 100:02d}"
    if german:
        written = written.translate(str.maketrans(",.", ".,"))
    decision = decide_mark([written])
    whole, _, rest = read_amount(written, decision.mark).text.partition(".")
    assert int(whole) * 100 + int(rest) == cents


@given(text=st.text(max_size=40))
def test_codes_and_headings_take_any_text(text):
    assert read_code(text).text is not None
    heading = read_heading(text)
    assert heading is None or heading.meaning


def test_a_hundred_thousand_blank_delimiters_do_not_hang(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes(b"Part no.,Description,Price\n" + b"," * 100_000 + b"\nA1,Ball,1.50\n")
    assert read_price_list(path).rows


def test_thousands_of_headers_and_merges_do_not_hang(tmp_path):
    book = openpyxl.Workbook()
    for row in range(1, 2001):
        book.active.append(["Part no.", "Description", "Price"] if row % 2 else ["A1", "Ball", 1.5])
    for row in range(1, 2001):
        book.active.merge_cells(start_row=row, end_row=row, start_column=5, end_column=6)
    book.save(tmp_path / "list.xlsx")
    text = read_price_list(tmp_path / "list.xlsx")
    assert sum(row.kind.value == "item" for row in text.rows) == 1000


def test_a_cell_built_to_slow_down_a_pattern_does_not(tmp_path):
    path = tmp_path / "list.csv"
    evil = "1" * 30_000
    path.write_text(f"Part no.,Description,Price\nA1,{evil},{evil}x\nA2,{'- ' * 9000},1.50\n")
    read_or_refuse(path)
