"""lot trace, unknowns, vet --questions and vet answers as a user types them."""

from __future__ import annotations

import csv
import io
import json
import sys
from pathlib import Path

import pytest
from shop_lists import FIXTURES

from partsdb.cli import main as cli

LIST = FIXTURES / "lists" / "clean_quillmere.csv"


@pytest.fixture
def run(shop: Path, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "150")
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)

    def call(*typed: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            cli.run(["--db", str(shop), "--as-of", "2026-11-20", *typed])
        out, err = capsys.readouterr()
        return int(left.value.code or 0), out, err

    return call


@pytest.fixture
def b7(run):
    for typed in (
        ("lot", "receive", "24-1180", "12", "--supplier", "Kestrow", "--lot", "B7"),
        ("lot", "inspect", "B7", "--sampled", "11", "--rejected", "0"),
        ("job", "open", "--machine", "Q33", "--serial", "4711", "--customer", "C-17"),
        ("job", "fit", "1", "24-1180", "--lot", "B7"),
    ):
        assert run(*typed)[0] == 0
    return run


def test_a_recall_names_the_machine_and_writes_the_sheet(b7, tmp_path):
    page = tmp_path / "recall.html"
    code, out, err = b7("lot", "trace", "b7", "--reason", "cracked", "--html", str(page))
    assert code == 0
    assert "4711" in out and "C-17" in out and "cracked" in out
    assert "injection" in err
    assert "4711" in page.read_text(encoding="utf-8")


def test_a_kit_put_together_here_is_found_by_a_recall_of_its_ball(run):
    for typed in (
        ("lot", "receive", "24-1330", "9", "--supplier", "Kestrow", "--lot", "BALL:1"),
        ("lot", "inspect", "BALL:1", "--sampled", "9", "--rejected", "0"),
        ("lot", "receive", "24-1391", "9", "--supplier", "Kestrow", "--lot", "SEAT9"),
        ("lot", "inspect", "SEAT9", "--sampled", "9", "--rejected", "0"),
        (
            "lot",
            "assemble",
            "24-1180",
            "3",
            "--from",
            "BALL:1:3",
            "--from",
            "SEAT9",
            "--lot",
            "OWN1",
        ),
        ("lot", "contains", "OWN1", "29-1234", "--lot", "melt 88", "--source", "cert 4"),
        ("lot", "inspect", "OWN1", "--sampled", "3", "--rejected", "0"),
        ("job", "open", "--machine", "Q33", "--serial", "4711"),
        ("job", "fit", "1", "24-1180", "--lot", "OWN1"),
    ):
        code, _, err = run(*typed)
        assert code == 0, (typed, err)
    out = run("lot", "show", "OWN1")[1]
    assert "Lots inside it" in out and "melt 88" in out and "cert 4" in out
    for lot in ("BALL:1", "SEAT9", "melt 88"):
        data = json.loads(run("--format", "json", "lot", "trace", lot)[1])["data"]
        assert [(m["serial"], m["lot"]) for m in data["machines"]] == [("4711", "OWN1")], lot
        assert lot in data["machines"][0]["inside"]


@pytest.mark.parametrize("taken", ["BALL1:0", ":3", "NOWHERE"])
def test_a_lot_that_takes_nothing_or_is_not_there_is_refused(run, taken):
    code, out, err = run("lot", "assemble", "24-1180", "3", "--from", taken)
    assert (code, out) == (2, "") or (code != 0 and "known here" in err)
    assert "Traceback" not in err


def test_the_sheet_has_what_they_get_whom_they_reach_and_what_they_do_at_once(b7, tmp_path):
    page = tmp_path / "recall.html"
    remedy = ("--remedy", "a new kit, free", "--contact", "Ilse, 17")
    out = b7("lot", "trace", "b7", *remedy, "--html", str(page))[1]
    for text in (out, page.read_text(encoding="utf-8")):
        for said in ("a new kit, free", "Ilse, 17", "stop using the machine", "do not loosen"):
            assert said in text
    assert "<th>told on, by</th>" in page.read_text(encoding="utf-8")


def test_a_recall_for_programs_has_one_row_a_machine(b7):
    data = json.loads(b7("--format", "json", "lot", "trace", "--serial", "4711")[1])["data"]
    assert [m["customer_ref"] for m in data["machines"]] == ["C-17"]
    rows = list(csv.DictReader(io.StringIO(b7("--format", "csv", "lot", "trace", "B7")[1])))
    assert [(row["certain"], row["serial"]) for row in rows] == [("yes", "4711")]


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (("lot", "trace"), "nothing to trace by"),
        (("lot", "trace", "Z9"), "no lot 'Z9'"),
        (("lot", "trace", "--since", "March"), "--since 'March' is no date"),
        (("lot", "trace", "B7", "--html", "nowhere/at/all.html"), "cannot be written"),
        (("vet", str(LIST), "back.csv"), "vet takes one list"),
        (("vet", str(LIST), "--currency", "EUR", "--questions", "q.pdf"), "cannot be .pdf"),
    ],
)
def test_what_cannot_be_is_one_sentence(b7, typed, said):
    code, _, err = b7(*typed)
    assert code == 2
    assert said in err


def test_a_question_sheet_is_written_and_read_back(b7, tmp_path):
    sheet = tmp_path / "q.csv"
    typed = (str(FIXTURES / "lists" / "ninefold_pricelist.csv"), "--supplier", "Ninefold")
    assert b7("vet", *typed, "--questions", str(sheet))[0] == 0
    rows = list(csv.DictReader(io.StringIO(sheet.read_text(encoding="utf-8-sig"))))
    ours = next(r for r in rows if r["about"] == "pressure too low" and r["maker"] == "Pellmarch")
    ours |= {"answer": "400 bar", "document": "cert 7"}
    with sheet.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys())
        writer.writeheader()
        writer.writerow(ours)
    code, out, err = b7("--format", "json", "vet", "answers", str(sheet))
    assert code == 0, err
    assert json.loads(out)["data"]["answers"]["claims"] == 1


def test_the_ledger_is_told_by_harm(b7):
    rows = json.loads(b7("--format", "json", "unknowns")[1])["data"]["unknowns"]
    assert [row["harm"] for row in rows] == sorted(row["harm"] for row in rows)
    assert b7("unknowns", "--harm", "9")[0] == 2
