"""grade propose and grade scorecard as a user types them."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

from partsdb.cli import main as cli


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


def test_proposals_are_told_and_change_nothing(run):
    before = run("--format", "json", "grade", "show")[1]
    code, out, _ = run("--format", "json", "grade", "propose")
    assert code == 0
    names = {each["subject"] for each in json.loads(out)["data"]["proposals"]}
    assert {"Kestrow", "Saltreeve", "Ninefold", "Quillmere"} <= names
    assert run("--format", "json", "grade", "show")[1] == before
    assert "no change" in run("grade", "propose", "supplier", "Kestrow")[1]


def test_the_scorecard_of_a_shop_without_a_record_says_so(run):
    assert "nothing was received" in run("grade", "scorecard")[1]
    assert json.loads(run("--format", "json", "grade", "scorecard", "maker")[1])["data"] == {
        "scorecard": []
    }


def test_an_unknown_kind_is_one_sentence(run):
    code, _, err = run("grade", "propose", "boat")
    assert (code, "is not graded" in err) == (2, True)
