"""Questions on a sheet: filled in with a spreadsheet, taken back whole or not at all."""

from __future__ import annotations

import csv
import io
import shutil

import pytest
from decided_shop import HOSE, NEAR, NEARER, SURE, asked, held, read
from openpyxl import Workbook, load_workbook
from small_shop import BY, DAY

from partsdb.errors import InputRefusedError, UsageError
from partsdb.jobs.decisions import undo
from partsdb.jobs.review import ReviewAsk
from partsdb.jobs.review_sheet import COLUMNS, sheet_rows, take_answers
from partsdb.jobs.shop_files import FileRefusedError
from partsdb.render.sheets import write_sheet
from partsdb.store.connect import open_database

ROWS = [NEAR, NEARER, HOSE, SURE]
KINDS = ("q.csv", "q.xlsx")


@pytest.fixture
def batch(bypass_shop, tmp_path):
    place = shutil.copy(bypass_shop, tmp_path / "shop.db")
    with open_database(place, write=True):
        yield read(tmp_path, ROWS)


def written(folder, name, batch):
    path = folder / name
    write_sheet(path, sheet_rows(batch, asked(batch)), COLUMNS)
    return path


def fill(path, answers, column="answer"):
    """Write into a column of the rows by code, as a person would, and keep all else."""
    if path.suffix == ".csv":
        with path.open(encoding="utf-8-sig", newline="") as file:
            text = file.read()
        mark = ";" if text.startswith("batch;") else ","
        rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=mark))
        for row in rows:
            row[column] = answers.get(row["code"], row[column])
        with path.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.DictWriter(file, rows[0], delimiter=";")  # as some spreadsheets do
            writer.writeheader()
            writer.writerows(rows)
        return
    book = load_workbook(path)
    sheet = book.active
    names = [cell.value for cell in sheet[1]]
    for row in sheet.iter_rows(min_row=2):
        typed = answers.get(row[names.index("code")].value)
        if typed is not None:
            # A spreadsheet makes a number of what looks like one.
            row[names.index(column)].value = int(typed) if typed.isdecimal() else typed
    book.save(path)


@pytest.mark.parametrize("name", KINDS)
def test_answers_come_back_as_given_and_rows_without_one_stay_open(batch, tmp_path, name):
    path = written(tmp_path, name, batch)
    fill(path, {"24-1183": "1", "24-1182": "x"})
    fill(path, {"24-1183": "seen the part"}, column="why")
    before = held(batch)
    done = take_answers(path, ReviewAsk(batch, DAY), BY)
    assert (len(done.decisions), done.lines) == (2, 2)
    assert [q.fields["code"] for q in asked(batch)] == ["24-1810"]
    assert "24-1183" in {offer[2] for offer in held(batch)["offer"]}
    undo(batch, BY)
    assert held(batch) == before


@pytest.mark.parametrize("name", KINDS)
def test_a_bad_answer_is_named_with_row_and_column_and_nothing_is_stored(batch, tmp_path, name):
    path = written(tmp_path, name, batch)
    codes = [q.fields["code"] for q in asked(batch)]
    fill(path, {"24-1183": "1", "24-1182": "7", "24-1810": "perhaps"})
    before = held(batch)
    with pytest.raises(FileRefusedError) as refused:
        take_answers(path, ReviewAsk(batch, DAY), BY)
    said = str(refused.value)
    assert f"row {codes.index('24-1182') + 2}, column answer: there is only 1 candidate" in said
    assert f"row {codes.index('24-1810') + 2}, column answer: 'perhaps' is no answer" in said
    assert "2 mistakes" in said
    assert held(batch) == before


@pytest.mark.parametrize("name", KINDS)
def test_a_sheet_written_before_another_answer_is_refused(batch, tmp_path, name):
    path = written(tmp_path, name, batch)
    fill(path, {"24-1183": "1"})
    take_answers(path, ReviewAsk(batch, DAY), BY)
    with pytest.raises(FileRefusedError, match="read anew since the sheet was written"):
        take_answers(path, ReviewAsk(batch, DAY), BY)


def test_a_sheet_of_another_batch_or_with_a_line_twice_is_refused(batch, tmp_path):
    other = read(tmp_path, [HOSE, SURE], name="other.csv")
    path = written(tmp_path, "q.csv", other)
    fill(path, {"24-1182": "o"})
    with pytest.raises(FileRefusedError, match=f"'{other}' is not the batch {batch}"):
        take_answers(path, ReviewAsk(batch, DAY), BY)
    text = path.read_text(encoding="utf-8-sig").splitlines()
    path.write_text("\n".join([*text, text[1]]), encoding="utf-8")
    with pytest.raises(FileRefusedError, match="is answered twice"):
        take_answers(path, ReviewAsk(other, DAY), BY)


def test_a_file_that_is_no_such_sheet_is_refused(batch, tmp_path):
    ask = ReviewAsk(batch, DAY)
    broken = tmp_path / "q.xlsx"
    broken.write_bytes(b"PK\x03\x04 no workbook")
    with pytest.raises(InputRefusedError, match=r"q\.xlsx: the file is no workbook"):
        take_answers(broken, ask, BY)
    book = Workbook()
    book.active.append(["line", "answer"])
    book.save(broken)
    with pytest.raises(InputRefusedError, match="names no column batch, reading"):
        take_answers(broken, ask, BY)
    with pytest.raises(UsageError, match="neither"):
        write_sheet(tmp_path / "q.txt", [], COLUMNS)
    with pytest.raises(UsageError, match="cannot be written"):
        write_sheet(tmp_path / "no such folder" / "q.csv", [], COLUMNS)


def test_a_control_character_in_a_list_does_not_stop_the_sheet(tmp_path):
    write_sheet(tmp_path / "q.xlsx", [{"code": "24-\x0b1180"}], ["code"])
    sheet = load_workbook(tmp_path / "q.xlsx").active
    assert [cell.value for row in sheet.rows for cell in row] == ["code", "24- 1180"]


@pytest.mark.parametrize("name", KINDS)
def test_a_sheet_without_questions_has_its_columns_and_answers_nothing(batch, tmp_path, name):
    path = tmp_path / name
    write_sheet(path, sheet_rows(batch, ()), COLUMNS)
    assert take_answers(path, ReviewAsk(batch, DAY), BY).decisions == ()


def test_no_cell_of_a_sheet_can_run_as_a_formula(tmp_path):
    rows = [dict.fromkeys(COLUMNS, "") | {"code": "=1+1", "description": "@SUM(A1)"}]
    path = tmp_path / "q.xlsx"
    write_sheet(path, rows, COLUMNS)
    sheet = load_workbook(path).active
    assert {cell.data_type for cell in sheet[2] if cell.value} == {"s"}
    write_sheet(tmp_path / "q.csv", rows, COLUMNS)
    assert ",'=1+1," in (tmp_path / "q.csv").read_text(encoding="utf-8-sig")
