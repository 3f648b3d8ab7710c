"""The commands over lots, jobs and settings, as a user types them."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from partsdb.cli import main as cli


@dataclass(frozen=True)
class Shop:
    """The invented shop behind the console script, run in this process."""

    path: Path
    capsys: pytest.CaptureFixture[str]

    def run(self, *typed: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            cli.run(["--db", str(self.path), "--as-of", "2026-11-20", *typed])
        out, err = self.capsys.readouterr()
        return int(left.value.code or 0), out, err

    def data(self, *typed: str) -> dict[str, object]:
        code, out, err = self.run("--format", "json", *typed)
        assert code == 0, (out, err)
        whole = json.loads(out)
        assert whole["ok"] is True
        return whole["data"]


def data(shop: Shop, *typed: str) -> dict[str, object]:
    return shop.data(*typed)


@pytest.fixture
def b7(shop: Path, capsys, monkeypatch) -> Shop:
    monkeypatch.setenv("PARTSDB_USER", "Ilse")
    monkeypatch.setenv("COLUMNS", "120")
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    shop = Shop(shop, capsys)
    data(shop, "lot", "receive", "24-1180", "12", "--supplier", "Kestrow", "--lot", "B7")
    data(shop, "lot", "inspect", "B7", "--sampled", "11", "--rejected", "0")
    return shop


def test_from_the_goods_in_to_the_comeback(b7: Shop):
    job = data(b7, "job", "open", "--machine", "Q33", "--serial", "4711", "--customer", "C-17")
    number = str(job["job"]["job"])
    fitted = data(b7, "job", "fit", number, "24-1180", "--lot", "B7")["job"]["fittings"][0]
    back = data(b7, "job", "comeback", str(fitted["id"]), "--cause", "burst")["job"]
    assert back["comebacks"][0]["pressure_boundary"] is True
    assert data(b7, "lot", "show", "B7")["lot"]["state"] == "held"
    explained = data(b7, "job", "explain", "1", "--found", "hit by a forklift")["job"]
    assert explained["comebacks"][0]["explained"] == "hit by a forklift"
    assert data(b7, "job", "show")["jobs"][0]["serial"] == "4711"


def test_units_leave_and_are_counted(b7: Shop):
    data(b7, "lot", "write-off", "B7", "2", "--reason", "cut open")
    data(b7, "lot", "return", "B7", "1", "--reason", "scratched")
    lot = data(b7, "lot", "count", "B7", "8")["lot"]
    assert (lot["on_hand"], lot["balance"]["gap"]) == (8, 1)
    assert data(b7, "lot", "show", "--part", "24-1180")["lots"][0]["gap"] == 1


@pytest.mark.parametrize("action", ["hold", "bar"])
def test_several_lots_are_stopped_at_once(b7: Shop, action: str):
    data(b7, "lot", "receive", "24-1180", "3", "--supplier", "Kestrow", "--lot", "B8")
    rows = data(b7, "lot", action, "B7", "B8", "--reason", "recall")["lots"]
    assert [row["lot"] for row in rows] == ["B7", "B8"]
    assert {row["state"] for row in rows} == {"held" if action == "hold" else "barred"}


@pytest.mark.parametrize(
    ("typed", "code", "said"),
    [
        (("lot", "show", "Z9"), 2, "no lot 'Z9'"),
        (("lot", "hold", "B7"), 2, "without a reason"),
        (("lot", "inspect", "B7", "--sampled", "5", "--rejected", "6"), 2, "cannot be"),
        (
            ("lot", "inspect", "B7", "--sampled", "5", "--rejected", "1", "--found", "x"),
            2,
            "--found",
        ),
        (("job", "show", "7"), 2, "no job '7'"),
        (("job", "fit", "7", "24-1180"), 2, "no job '7'"),
        (("setting", "set", "inspect_rate", "12"), 2, "share"),
    ],
)
def test_what_cannot_be_gets_one_sentence(b7: Shop, typed: tuple[str, ...], code: int, said: str):
    got, _, err = b7.run(*typed)
    assert got == code
    assert said in err
    assert "Traceback" not in err


def test_a_setting_changes_the_plan(b7: Shop):
    data(b7, "setting", "set", "inspect_rate", "0.3")
    lot = data(b7, "lot", "receive", "24-1180", "20", "--supplier", "Kestrow")["lot"]
    assert lot["plan"]["n"] == 6  # N 20, D 6: C(14,6)/C(20,6) = 0.0775, C(14,5)/C(20,5) = 0.129
    shown = {row["setting"]: row["value"] for row in data(b7, "setting", "show")["settings"]}
    assert shown["inspect_rate"] == "0.3"


def test_the_table_of_a_lot_is_for_reading(b7: Shop):
    _, text, _ = b7.run("lot", "show", "B7")
    assert "hardness of the ball" in text
    assert "inspect 11 of 12" in text
    assert "bad in the lot" in text
