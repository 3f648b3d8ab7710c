"""A folder of the shop's files: all of it or nothing, and every bad file named in one go."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from importers.rows import ReaderError
from partsdb.jobs import catalogue
from partsdb.jobs.catalogue import load_shop
from partsdb.jobs.shop_files import (
    FileFormat,
    FileRefusedError,
    FilesRefusedError,
    Table,
    read_file,
)
from partsdb.store import sql
from partsdb.store.connect import init_database, open_database

FILES = {
    "parts.csv": "maker,number,description,role\nQuillmere,24-1180,Valve kit,valve kit\n"
    "Quillmere,24-1182,Valve kit,valve kit\n",
    "claims.csv": "maker,number,kind,about,value,basis,evidence,source\n"
    "Quillmere,24-1180,rating,,3300 psi,working,maker's document,QH-7\n"
    "Quillmere,24-1182,rating,,3600 psi,working,maker's document,QH-7\n",
    "suppliers.csv": "supplier,own_brand,note\nKestrow,,\n",
    "terms.csv": "supplier,valid_from,currency,incoterm\nKestrow,2026-01-01,EUR,DAP\n",
    "fx.csv": "date,currency,per_eur,source\n2026-01-02,GBP,0.85,bank\n",
    "grades.csv": "subject_kind,subject,grade,reason,evidence\nmaker,Quillmere,A,good,\n",
}
TABLES = ("part", "claim", "supplier", "supplier_terms", "fx_rate", "grade", "event", "maker")


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("empty") / "shop.db"
    init_database(place)
    return place


@pytest.fixture
def place(empty: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(empty, tmp_path / "shop.db"))


def written(folder: Path, **changed: str) -> Path:
    """Write the files, with old -> new put into those that are named ("parts": "a|b")."""
    for name, text in FILES.items():
        old, mark, new = changed.get(name.removesuffix(".csv"), "").partition("|")
        assert not mark or old in text, f"{old!r} stands in {name}"
        (folder / name).write_text(text.replace(old, new) if mark else text, encoding="utf-8")
    return folder


def refused(place: Path, folder: Path) -> FilesRefusedError:
    with pytest.raises(FilesRefusedError) as caught, open_database(place, write=True):
        load_shop(folder)
    with open_database(place):
        left = {table: sql.first(f"SELECT count(*) FROM {table}", ()) for table in TABLES}
        assert set(left.values()) == {(0,)}
    return caught.value


def test_the_files_are_taken_in_together_and_again_without_a_change(place, tmp_path):
    with open_database(place, write=True):
        assert sum(f.added for f in load_shop(written(tmp_path)).files) == 8
        assert {(f.added, f.changed) for f in load_shop(tmp_path).files} == {(0, 0)}


def test_every_bad_file_is_named_at_once_and_nothing_is_stored(place, tmp_path):
    folder = written(
        tmp_path,
        claims="3300 psi,working|3300 psi,furlong",
        terms="EUR|XQX",
        fx="per_eur|rate",
        grades="A,good|E,good",
    )
    error = refused(place, folder)
    assert [str(each).split()[0] for each in error.refused] == [
        "claims.csv", "terms.csv", "fx.csv", "grades.csv"
    ]  # fmt: skip
    assert str(error).startswith(
        "4 files are refused:\nclaims.csv is refused as a whole, 1 mistake"
    )
    assert "row 2, column basis: 'furlong' is none of" in str(error)
    assert "nothing was stored" in error.hint
    assert (error.exit_code, error.code) == (3, "file_refused")


def test_files_that_name_the_good_rows_of_a_bad_file_are_checked_against_them(place, tmp_path):
    folder = written(tmp_path, parts="24-1182,Valve kit,valve kit|24-1182,Valve kit,valve cat")
    error = refused(place, folder)
    parts, claims = error.refused
    assert isinstance(parts, FileRefusedError)
    assert isinstance(claims, FileRefusedError)
    assert len(parts.problems) == 1
    assert [problem.partition(":")[0] for problem in claims.problems] == ["row 3, column number"]


def test_files_that_need_one_that_cannot_be_read_are_said_to_be_unchecked(place, tmp_path):
    folder = written(tmp_path, parts="number|code", grades="A,good|E,good")
    error = refused(place, folder)
    assert [type(each) for each in error.refused] == [ReaderError]
    assert "1 file is refused:\nparts.csv row 1: the header lacks the column 'number'" in str(error)
    assert str(error).endswith(
        "not checked, for they need a file that cannot be read: claims.csv, grades.csv"
    )


def lone(place: Path, folder: Path, kind: type[Exception]) -> str:
    with pytest.raises(kind) as caught, open_database(place, write=True):
        load_shop(folder)
    return str(caught.value)


def test_a_lone_bad_file_is_refused_by_its_own_sentence(place, tmp_path):
    said = lone(place, written(tmp_path, grades="A,good|E,good"), FileRefusedError)
    assert said.startswith("grades.csv is refused as a whole, 1 mistake")
    said = lone(place, written(tmp_path, fx="per_eur|rate"), ReaderError)
    assert said.startswith("fx.csv row 1: the header lacks the column 'per_eur'")


def test_a_file_that_vanishes_while_the_folder_is_read_is_one_sentence(
    place, tmp_path, monkeypatch
):
    folder = written(tmp_path)

    def read(path: Path, format_: FileFormat) -> Table:
        if path.name == "parts.csv":
            (folder / "fx.csv").unlink()
        return read_file(path, format_)

    monkeypatch.setattr(catalogue, "read_file", read)
    assert lone(place, folder, ReaderError) == "fx.csv: there is no such file"


def test_every_row_with_too_many_cells_is_named(place, tmp_path):
    folder = written(tmp_path, fx="GBP,0.85,bank|GBP,0,85,bank\n2026-01-03,GBP,0,86,bank")
    assert lone(place, folder, ReaderError) == (
        "fx.csv row 2: the row has 5 cells, the header 4; so it is with row 3"
    )
