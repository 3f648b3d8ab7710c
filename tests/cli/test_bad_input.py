"""Every bad input gets one clear sentence with its place and a remedy, and stores nothing."""

from __future__ import annotations

import os
import sqlite3
import stat
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest
from cli_calls import Answer, Call
from small_shop import price_list

from partsdb.store import makers
from partsdb.store.connect import open_database

KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
USAGE, REFUSED, STORE = 2, 3, 4


def one_sentence(answer: Answer, code: int) -> str:
    """The one sentence on stderr, with at most one line of remedy below it."""
    assert answer.code == code, answer.err
    assert answer.out == ""
    assert "Traceback" not in answer.err
    sentence, *remedy = answer.err.splitlines()
    assert sentence.startswith("error: ")
    assert len(remedy) == 1, answer.err
    assert remedy[0].startswith("  hint: ")
    return answer.err


def rows(place: Path) -> list[str]:
    with closing(sqlite3.connect(place)) as connection:
        return list(connection.iterdump())


@pytest.fixture
def unchanged(bench: Path) -> Iterator[None]:
    """Whatever the test does, not one row of the database is another one afterwards."""
    before = rows(bench)
    yield
    assert rows(bench) == before


# Files


def empty(folder: Path) -> Path:
    path = folder / "empty.csv"
    path.write_bytes(b"")
    return path


def blank(folder: Path) -> Path:
    path = folder / "blank.csv"
    path.write_text("\n\n  \n")
    return path


def pdf_named_xlsx(folder: Path) -> Path:
    path = folder / "list.xlsx"
    path.write_bytes(b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<< /Type /Catalog >>\nendobj\n%%EOF\n")
    return path


def with_password(folder: Path) -> Path:
    """An OLE container with the streams of an encrypted workbook (MS-OFFCRYPTO 2.3.4)."""
    path = folder / "locked.xlsx"
    names = b"".join(n.encode("utf-16-le") for n in ("EncryptionInfo", "EncryptedPackage"))
    path.write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504) + names + bytes(1024))
    return path


def broken_workbook(folder: Path) -> Path:
    path = folder / "broken.xlsx"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("readme.txt", "no workbook in here")
    return path


def folder_itself(folder: Path) -> Path:
    return folder


def missing(folder: Path) -> Path:
    return folder / "nowhere.csv"


def without_codes(folder: Path) -> Path:
    return price_list(folder, ["blue,large", "red,small"], head="Colour,Size", name="colours.csv")


def without_prices(folder: Path) -> Path:
    rows = [f"{KIT}", '24-1182,Quillmere,"Valve kit"']
    return price_list(folder, rows, head="Part number,Manufacturer,Description", name="bare.csv")


def only_poa(folder: Path) -> Path:
    return price_list(folder, [f"{KIT},POA"], name="poa.csv")


def only_negative(folder: Path) -> Path:
    return price_list(folder, [f"{KIT},-61.90"], name="negative.csv")


def only_absurd(folder: Path) -> Path:
    return price_list(folder, [f"{KIT},99999999999.00"], name="absurd.csv")


def only_unknown_currency(folder: Path) -> Path:
    head = "Part number,Manufacturer,Description,Price,Currency"
    return price_list(folder, [f"{KIT},61.90,XQX"], head=head, name="currency.csv")


def not_text(folder: Path) -> Path:
    path = folder / "noise.csv"
    path.write_bytes(bytes(range(256)) * 64)
    return path


BAD_FILES: list[tuple[Callable[[Path], Path], str]] = [
    (missing, "nowhere.csv"),
    (folder_itself, "folder"),
    (empty, "empty"),
    (blank, "blank.csv"),
    (pdf_named_xlsx, "list.xlsx"),
    (with_password, "password"),
    (broken_workbook, "broken.xlsx"),
    (not_text, "noise.csv"),
    (without_codes, "colours.csv"),
]


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize(("made", "said"), BAD_FILES, ids=[made.__name__ for made, _ in BAD_FILES])
@pytest.mark.parametrize("command", ["read", "dry run", "vet"])
def test_a_file_that_is_no_price_list_is_refused(partsdb: Call, tmp_path, made, said, command):
    typed = {
        "read": ("pricelist", "read", "--supplier", "Kestrow"),
        "dry run": ("pricelist", "read", "--dry-run", "--supplier", "Kestrow"),
        "vet": ("vet",),
    }[command]
    assert said in one_sentence(partsdb(*typed, made(tmp_path)), REFUSED)


NO_OFFERS = [
    (without_prices, "bare.csv"),
    (only_poa, "poa.csv"),
    (only_negative, "negative price"),
    (only_absurd, "beyond reason"),
    (only_unknown_currency, "'XQX'"),
]


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize(("made", "said"), NO_OFFERS, ids=[made.__name__ for made, _ in NO_OFFERS])
def test_a_list_without_one_usable_price_is_not_stored(partsdb: Call, tmp_path, made, said):
    answer = partsdb("pricelist", "read", made(tmp_path), "--supplier", "Kestrow")
    assert said in one_sentence(answer, REFUSED)


@pytest.mark.parametrize(
    ("price", "said"),
    [
        ("-5.00", "negative price -5.00"),
        ("99999999999.00", "beyond reason"),
        ("0.00", "zero price"),
    ],
)
def test_one_bad_price_is_named_with_its_row_and_the_others_are_read(
    partsdb: Call, tmp_path, price, said
):
    path = price_list(tmp_path, [f"{KIT},{price}", '24-1182,Quillmere,"Valve kit, bypass",71.90'])
    answer = partsdb("--format", "json", "pricelist", "read", path, "--supplier", "Kestrow")
    assert answer.code == 0
    (problem,) = answer.data["problems"]
    assert problem.startswith("row 2: ")
    assert said in problem
    assert answer.data["offers"] == 1


# Units and currencies


NO_CURRENCY = "Part number,Manufacturer,Description,Price"


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize("currency", ["XQX", "pounds"])
def test_an_unknown_currency_is_refused(partsdb: Call, tmp_path, currency):
    path = price_list(tmp_path, [f"{KIT},61.90"], head=NO_CURRENCY)
    answer = partsdb("pricelist", "read", path, "--supplier", "Kestrow", "--currency", currency)
    assert currency.upper() in one_sentence(answer, USAGE)


def test_a_list_that_nothing_tells_the_currency_of_is_not_stored(partsdb: Call, bench, tmp_path):
    with open_database(bench, write=True):
        makers.add_supplier("Rushholme")
    before = rows(bench)
    path = price_list(tmp_path, [f"{KIT},61.90"], head=NO_CURRENCY)
    said = one_sentence(partsdb("pricelist", "read", path, "--supplier", "Rushholme"), REFUSED)
    assert "list.csv" in said
    assert "names no currency" in said
    assert "--currency" in said
    assert rows(bench) == before


def test_a_rating_in_an_unknown_unit_is_never_a_pass(partsdb: Call, tmp_path):
    head = "Part number,Manufacturer,Description,Working pressure,Price EUR"
    row = 'SR 1,,"Valve kit, bypass, Q33, 1/4 NPT, replaces 24-1180",3300 XY,33.50'
    path = price_list(tmp_path, [row, f"{KIT},,61.90"], head=head)
    answer = partsdb("--format", "json", "vet", path)
    (line,) = [each for each in answer.data["lines"] if each["code"] == "SR 1"]
    assert line["verdict"] in ("ask first", "do not fit")
    (pressure,) = [c for c in line["checks"] if c["check"] == "pressure"]
    assert pressure["outcome"] == "not shown"


@pytest.mark.usefixtures("unchanged")
def test_a_machine_with_an_unknown_unit_is_refused_with_its_row(partsdb: Call, tmp_path):
    path = tmp_path / "machines.csv"
    path.write_text(
        "maker,model,kind,position,role,pressure,temp_c_max,fluids,ports,materials,sizes,"
        "block_material,part_maker,part_number,quantity\n"
        "Quillmere,Q99,pump,hose,hose,3300 XY,,,,,,,,,\n"
    )
    answer = partsdb("machine", "add", "--from", path)
    assert answer.code == REFUSED
    first, row, hint = answer.err.splitlines()
    assert "machines.csv is refused as a whole" in first
    assert row.startswith("  row 2, column pressure: '3300 XY' states no pressure with a unit")
    assert "nothing was stored" in hint


# Names


@pytest.mark.usefixtures("unchanged")
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("instead", "99-9999"), "no part '99-9999'"),
        (("instead", "24-1180", "--maker", "Nobody"), "no maker 'Nobody'"),
        (("instead", "24-1180", "--machine", "Q99"), "no machine 'Q99'"),
        (("instead", "24-1180", "--machine", "Q33", "--position", "roof"), "no position 'Q33: roof'"),
        (("vet", "x.csv", "--supplier", "Nobody"), "no supplier 'Nobody'"),
        (("vet", "x.csv", "--machine", "Q99"), "no machine 'Q99'"),
        (("pricelist", "read", "x.csv", "--supplier", "Nobody"), "no supplier 'Nobody'"),
        (("rebuild", "cost", "no such"), "no recipe 'no such'"),
        (("rebuild", "cost", "Q50 collar", "--supplier", "Nobody"), "no supplier 'Nobody'"),
        (("rebuild", "cost", "Q50 collar", "--qty", "0"), "0 rebuilds"),
        (("pricelist", "show", "99"), "no price list '99'"),
        (("pricelist", "withdraw", "99"), "no price list '99'"),
        (("vet", "99"), "no price list '99'"),
        (("instead", "A-100", "--by", "soon"), "--by 'soon' is no date"),
        (("instead", "A-100", "--by", "01.12.2019"), "--by 2019-12-01 lies before"),
        (("instead", "A-100", "--by", "1/12/2029"), "with strokes some put the day first"),
        (("instead", "A-100", "--qty", "many"), "'--qty'"),
    ],
)  # fmt: skip
def test_an_unknown_name_is_refused_with_what_to_do(partsdb: Call, tmp_path, monkeypatch, typed, said):  # fmt: skip
    monkeypatch.chdir(tmp_path)
    price_list(tmp_path, [f"{KIT},61.90"], name="x.csv")
    assert said in one_sentence(partsdb(*typed), USAGE)


# Databases


def read_and_write(partsdb: Call, tmp_path: Path) -> list[Answer]:
    path = price_list(tmp_path, [f"{KIT},61.90"])
    return [
        partsdb("instead", "24-1180"),
        partsdb("pricelist", "read", path, "--supplier", "Kestrow"),
    ]


def test_a_database_of_a_newer_version_is_left_alone(partsdb: Call, bench, tmp_path):
    with closing(sqlite3.connect(bench)) as connection:
        connection.execute("PRAGMA user_version = 9999")
    before = rows(bench)
    for answer in read_and_write(partsdb, tmp_path):
        said = one_sentence(answer, STORE)
        assert "version 9999" in said
        assert "install the newer partsdb" in said
    assert rows(bench) == before


def test_a_locked_database_asks_to_try_again(partsdb: Call, bench, tmp_path, monkeypatch):
    monkeypatch.setattr("partsdb.store.connect.BUSY_MS", 50)
    before = rows(bench)
    path = price_list(tmp_path, [f"{KIT},61.90"])
    with closing(sqlite3.connect(bench, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        answer = partsdb("pricelist", "read", path, "--supplier", "Kestrow")
        other.execute("ROLLBACK")
    said = one_sentence(answer, STORE)
    assert "in use by another command" in said
    assert "try again" in said
    assert rows(bench) == before


def test_reading_goes_on_while_another_command_writes(partsdb: Call, bench):
    with closing(sqlite3.connect(bench, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        assert partsdb("instead", "A-100").code == 0
        other.execute("ROLLBACK")


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"my notes\n" * 500, "not a database"), (b"SQLite format 3\x00" + b"\x07" * 4096, "")],
)
def test_a_file_that_is_no_database_is_left_alone(partsdb: Call, bench, tmp_path, content, said):
    bench.write_bytes(content)
    for answer in read_and_write(partsdb, tmp_path):
        assert said in one_sentence(answer, STORE)
    assert bench.read_bytes() == content


def test_another_programs_database_is_left_alone(partsdb: Call, bench, tmp_path):
    bench.unlink()
    with closing(sqlite3.connect(bench)) as connection:
        connection.execute("CREATE TABLE mine (x)")
        connection.commit()
    for answer in read_and_write(partsdb, tmp_path):
        assert "not one of partsdb" in one_sentence(answer, STORE)


def test_a_missing_database_says_how_to_make_one(partsdb: Call, bench, tmp_path):
    bench.unlink()
    for answer in read_and_write(partsdb, tmp_path):
        said = one_sentence(answer, STORE)
        assert "no database at" in said
        assert "partsdb init" in said
    assert not bench.exists()


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX has them")
def test_a_folder_that_may_not_be_written_is_said(partsdb: Call, tmp_path):
    """Root may write anywhere, so a file in the place of the folder stands for it there."""
    closed = tmp_path / "closed"
    closed.mkdir()
    closed.chmod(stat.S_IRUSR | stat.S_IXUSR)
    place = closed / "new.db"
    if os.access(closed, os.W_OK):
        closed.chmod(stat.S_IRWXU)
        closed.rmdir()
        closed.write_text("a file")
    answer = partsdb("--db", place, "init")
    assert str(place) in one_sentence(answer, STORE)


def test_a_refusal_in_json_is_the_contracts_object(partsdb: Call, tmp_path):
    answer = partsdb("--format", "json", "vet", missing(tmp_path))
    assert (answer.code, answer.err) == (REFUSED, "")
    assert answer.whole["ok"] is False
    assert set(answer.whole["error"]) == {"code", "message", "hint"}
    assert answer.whole["error"]["code"] == "input_refused"
    assert "nowhere.csv" in answer.whole["error"]["message"]
    assert answer.whole["error"]["hint"]
