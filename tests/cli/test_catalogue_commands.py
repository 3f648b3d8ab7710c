"""The commands over the shop's own data: answers on stdout, all else on stderr, exit codes."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from partsdb.cli import main as cli
from partsdb.store.connect import init_database, open_database

FIXTURES = Path(__file__).parents[2] / "fixtures" / "shop"


@dataclass(frozen=True)
class Answer:
    """What a command wrote and how it ended."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        whole = json.loads(self.out)
        assert whole["schema"] == 1
        assert whole["ok"] is True
        assert isinstance(whole["cautions"], list)
        return whole["data"]

    @property
    def error(self) -> dict[str, str]:
        whole = json.loads(self.out)
        assert (whole["schema"], whole["ok"]) == (1, False)
        assert set(whole["error"]) == {"code", "message", "hint"}
        return whole["error"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    from partsdb.jobs.catalogue import load_shop

    place = tmp_path_factory.mktemp("demo") / "shop.db"
    init_database(place)
    with open_database(place, write=True):
        load_shop(FIXTURES)
    return place


@pytest.fixture
def shop(demo: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo, tmp_path / "shop.db"))


@pytest.fixture
def run(shop, capsys, monkeypatch):
    monkeypatch.setenv("PARTSDB_DB", str(shop))
    monkeypatch.setenv("PARTSDB_USER", "Ilse")
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)

    def call(*arguments: str) -> Answer:
        with pytest.raises(SystemExit) as left:
            cli.run(arguments)
        said = capsys.readouterr()
        return Answer(int(left.value.code or 0), said.out, said.err)

    return call


# Usage, refusals and faults


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("part", "show", "99-9999"), 2, "no part '99-9999' is known here"),
        (("part", "show", "24-1180", "--maker", "Quilmere"), 2, "no maker 'Quilmere'"),
        (("part", "shw", "24-1180"), 2, "No such command 'shw'"),
        (("part", "show"), 2, "Missing argument"),
        (("part", "show", "x", "--colour", "red"), 2, "No such option"),
        (("--format", "xml", "doctor"), 2, "xml"),
        (("--as-of", "yesterday", "fx", "show"), 2, "--as-of 'yesterday' is no date"),
        (("supplier", "show", "Kestrov"), 2, "no supplier 'Kestrov'"),
        (("machine", "show", "Q999"), 2, "no machine 'Q999'"),
        (("machine", "add"), 2, "needs --from FILE"),
        (("load", "nowhere"), 2, "nowhere is not a folder"),
        (("fx", "import", "nowhere.csv"), 3, "nowhere.csv"),
        (("grade", "set", "part", "24-1180", "E", "--reason", "x"), 2, "'E' is none of"),
        (("grade", "set", "part", "24-1180", "B"), 2, "reason"),
        (("--db", "nowhere.db", "doctor"), 4, "no database at nowhere.db"),
        (("init",), 2, "exists already"),
        (("restore", "nowhere.backup"), 2, "no backup at nowhere.backup"),
        (("history", "colour", "red"), 2, "cannot be looked up"),
    ],
)
def test_a_refusal_is_one_sentence_on_stderr_with_its_exit_code(run, arguments, code, said):
    answer = run(*arguments)
    assert answer.code == code
    assert answer.out == ""
    assert answer.err.startswith("error: ")
    assert said in answer.err
    assert "Traceback" not in answer.err
    assert len(answer.err.splitlines()) <= 2


def test_a_refusal_in_json_is_the_contracts_object_on_stdout(run):
    answer = run("--format", "json", "part", "show", "99-9999")
    assert answer.code == 2
    assert answer.error["code"] == "not_found"
    assert answer.error["hint"]
    assert answer.err == ""


def test_wrong_usage_in_json_is_the_contracts_object_too(run):
    answer = run("part", "show", "--format", "json")
    assert answer.code == 2
    assert answer.error["code"] == "usage"


def test_an_unclear_number_names_its_choices(run):
    run("part", "add", "24-1180", "--maker", "Corrowby", "--role", "valve kit")
    answer = run("--format", "json", "part", "show", "24-1180")
    assert answer.error["code"] == "ambiguous"
    assert "Corrowby 24-1180 or Quillmere 24-1180" in answer.error["message"]


def test_a_file_of_ours_with_mistakes_is_refused_with_every_place(run, tmp_path):
    bad = tmp_path / "parts.csv"
    bad.write_text("maker,number,description,role\nQuillmere,1,x,flange\nQuillmere,,x,pin\n")
    answer = run("part", "add", "--from", str(bad))
    assert answer.code == 3
    assert "parts.csv is refused as a whole, 2 mistakes" in answer.err
    assert "row 2, column role" in answer.err
    assert "row 3, column number" in answer.err
    assert run("part", "show", "1").code == 2


def test_a_fault_of_ours_is_one_line_with_a_log_and_no_traceback(shop, tmp_path):
    script = (
        "from partsdb.cli import main\n"
        "import partsdb.jobs.cards as cards\n"
        "def broken(*a, **k): raise ZeroDivisionError('by hand')\n"
        "cards.part_card = broken\n"
        "main.run(['part', 'show', '24-1180', *__import__('sys').argv[1:]])\n"
    )
    place = {**os.environ, "PARTSDB_DB": str(shop), "HOME": str(tmp_path),
             "XDG_STATE_HOME": str(tmp_path / "state")}  # fmt: skip
    done = subprocess.run([sys.executable, "-c", script], env=place, capture_output=True, text=True,
                          check=False)  # fmt: skip
    assert done.returncode == 1
    assert "fault of partsdb, not yours (ZeroDivisionError: by hand)" in done.stderr
    assert "Traceback" not in done.stderr
    (log,) = tmp_path.rglob("partsdb.log")
    assert "ZeroDivisionError" in log.read_text()
    debug = subprocess.run([sys.executable, "-c", script, "--debug"], env=place, capture_output=True,
                           text=True, check=False)  # fmt: skip
    assert debug.returncode == 1
    assert "Traceback" in debug.stderr


def test_a_reader_that_stops_reading_is_no_error(shop):
    command = f"{sys.executable} -m partsdb part find valve --limit 2000 | head -1"
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command}"], capture_output=True, text=True, check=False,
        env={**os.environ, "PARTSDB_DB": str(shop)},
    )  # fmt: skip
    assert done.stdout.startswith("maker")
    assert done.stderr == ""


# Global options


@pytest.mark.parametrize(
    "typed",
    [
        ("--format", "json", "part", "show", "24-1180"),
        ("part", "--format", "json", "show", "24-1180"),
        ("part", "show", "24-1180", "--format", "json"),
        ("part", "show", "24-1180", "--format=json"),
    ],
)
def test_global_options_may_stand_anywhere(run, typed):
    assert run(*typed).data["number"] == "24-1180"


def test_what_follows_two_hyphens_is_left_alone():
    assert cli.hoisted(["part", "find", "--", "--format", "json"]) == [
        "part", "find", "--", "--format", "json",
    ]  # fmt: skip


def test_prices_and_rates_are_those_of_the_day_asked(run):
    july = run("--as-of", "2026-07-01", "--format", "json", "fx", "show").data["rates"]
    assert {rate["currency"]: rate["per_eur"] for rate in july} == {
        "GBP": "0.8645",
        "USD": "1.0847",
    }
    assert run("--as-of", "2026-06-30", "--format", "json", "fx", "show").data["rates"] == []


# Answers


def test_help_names_every_command_in_plain_text(run):
    answer = run("--help")
    assert answer.code == 0
    for command in ("init", "load", "doctor", "backup", "restore", "history", "part", "kit",
                    "machine", "supplier", "fx", "duty", "grade"):  # fmt: skip
        assert f"\n  {command} " in answer.out
    assert not set(answer.out) & set("│╭─╮┃━")


def test_the_version_is_that_of_the_package(run):
    from importlib.metadata import version

    assert run("--version").out == f"partsdb {version('partsdb')}\n"


def test_a_part_shows_claims_links_places_and_grade(run):
    card = run("part", "show", "24-1180", "--format", "json").data
    assert (card["maker"], card["role"], card["maker_grade"]) == ("Quillmere", "valve kit", "A")
    rating = next(claim for claim in card["claims"] if claim["kind"] == "rating")
    # NIST SP 811 app. B: 3300 psi, by hand, rounded down
    assert (rating["value"], rating["pascals"]) == ("3300 psi", 22_752_699)
    assert {
        "machine": "Q33",
        "position": "bypass valve",
        "quantity": 1,
        "pressure": "3300 psi",
    } in (card["places"])
    links = {(link["number"], link["link"]) for link in card["links"]}
    assert ("24-1178", "supersedes") in links
    assert ("24-1182", "may be replaced by") in links
    assert ("CW 40318", "not to be replaced by") in links
    assert ("CW 40305", "proposed in its place") in links


def test_only_an_approval_reads_like_one(run):
    card = run("part", "show", "24-1180", "--format", "json").data
    approving = {link["state"] for link in card["links"] if link["link"] == "may be replaced by"}
    assert approving == {"accepted"}


@pytest.mark.parametrize("width", [40, 60, 80, 99, 100, 120, 200])
@pytest.mark.parametrize("command", [("part", "find", "valve"), ("machine", "show", "Q33"),
                                     ("part", "show", "24-1180")])  # fmt: skip
def test_no_part_number_is_cut_at_any_width(run, monkeypatch, width, command):
    monkeypatch.setenv("COLUMNS", str(width))
    shown = run(*command).out
    data = run(*command, "--format", "json").data
    known = set()

    def gather(value: Any) -> None:
        if isinstance(value, dict):
            known.update(v for k, v in value.items() if k == "number")
        for each in value.values() if isinstance(value, dict) else value:
            if isinstance(each, (dict, list)):
                gather(each)

    gather(data)
    assert known
    missing = {number for number in known if number not in shown}
    assert missing == set()


def test_under_a_hundred_columns_a_table_becomes_cards(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "72")
    narrow = run("part", "find", "24-1180").out
    assert narrow.startswith("maker        Quillmere\nnumber       24-1180\n")
    assert max(map(len, narrow.splitlines())) <= 72
    monkeypatch.setenv("COLUMNS", "140")
    assert run("part", "find", "24-1180").out.splitlines()[0].split() == [
        "maker", "number", "description", "role", "found", "by",
    ]  # fmt: skip


def test_csv_is_one_header_and_rows_that_no_spreadsheet_runs(run):
    run("part", "add", "=1+1", "--maker", "Corrowby", "--description", "@SUM(A1)")
    found = run("part", "find", "=1+1", "--format", "csv").out
    (row,) = csv.DictReader(io.StringIO(found))
    assert (row["number"], row["description"]) == ("'=1+1", "'@SUM(A1)")


@pytest.mark.parametrize(
    ("cell", "written"),
    [("-5", "-5"), ("+3.5", "+3.5"), ("-5+2", "'-5+2"), ("\tx", "'\tx"), ("=A1", "'=A1"),
     ("@x", "'@x"), ("a=b", "a=b"), (None, ""), (True, "True"), (("=x", "y"), "'=x; y")],
)  # fmt: skip
def test_a_cell_that_would_run_is_text_and_a_number_stays_a_number(cell, written):
    from partsdb.render.output import csv_text

    (row,) = csv.DictReader(io.StringIO(csv_text([{"a": cell, "b": 1}])))
    assert row["a"] == written


def test_notes_go_to_stderr_and_quiet_stops_them(run, tmp_path):
    loud = run("part", "find", "valve", "--limit", "2")
    assert "the first 2 are shown" in loud.err
    assert "the first" not in loud.out
    assert run("part", "find", "valve", "--limit", "2", "--quiet").err == ""


# Writing


def test_a_typed_claim_is_stored_with_who_and_shown(run):
    done = run("part", "claim", "24-1182", "rating", "3600 psi", "--basis", "working",
               "--evidence", "measured here", "--source", "bench sheet 2026-050")  # fmt: skip
    assert done.code == 0
    card = run("part", "show", "24-1182", "--format", "json").data
    stored = [claim for claim in card["claims"] if claim["source"] == "bench sheet 2026-050"]
    assert [(claim["value"], claim["made_by"]) for claim in stored] == [("3600 psi", "Ilse")]
    events = run("history", "part", "24-1182", "--format", "json").data["events"]
    assert (events[0]["action"], events[0]["who"]) == ("claim", "Ilse")


def test_an_approval_on_a_suppliers_word_is_refused_and_on_a_measurement_kept(run):
    pair = ("part", "accept", "24-1180", "CW 40305")
    refused = run(*pair, "--evidence", "supplier's word", "--source", "list row 212")
    assert refused.code == 2
    assert "too little" in refused.err
    done = run(
        *pair, "--evidence", "measured here", "--source", "sheet 51", "--condition", "dry fit"
    )
    assert done.code == 0
    card = run("part", "show", "24-1180", "--format", "json").data
    (link,) = [each for each in card["links"] if each["number"] == "CW 40305"]
    assert (link["state"], link["conditions"]) == ("accepted", ["dry fit"])


def test_conditions_travel_through_a_new_decision(run):
    pair = ("part", "accept", "24-1180", "CW 40311")
    run(*pair, "--evidence", "maker's document", "--source", "QB-200")
    card = run("part", "show", "24-1180", "--format", "json").data
    (link,) = [each for each in card["links"] if each["number"] == "CW 40311"]
    assert link["conditions"] == ["only with the maker's sealant"]


def test_a_grade_is_set_with_its_reason_and_the_old_one_stays(run):
    run("grade", "set", "maker", "Corrowby", "D", "--reason", "third comeback")
    grades = run("grade", "show", "maker", "Corrowby", "--format", "json").data["grades"]
    assert [grade["grade"] for grade in grades] == ["D", "B"]
    assert grades[0]["reason"] == "third comeback"


def test_duty_is_set_in_per_cent_and_shown_as_a_share(run):
    done = run("duty", "set", "9999.10", "3.7%", "--origin", "us", "--source", "tariff")
    assert done.code == 0
    (row,) = run("duty", "show", "9999", "--format", "json").data["rates"]
    assert (row["rate"], row["origin"]) == ("0.037", "US")


def test_terms_are_shown_with_their_currency(run):
    answer = run("supplier", "terms", "Ninefold", "--format", "json").data
    assert answer["terms"][0]["brokerage"] == "12.00 EUR"
    assert "46.00 USD" in [step["freight"] for step in answer["freight"]]
    assert "15.00 USD" in run("supplier", "show", "ninefold").out


def test_carriage_by_a_table_is_never_shown_as_a_charge_of_nothing(run):
    """Ninefold charges by a table alone, Saltreeve 14.50 an order (terms.csv, freight.csv)."""
    for asked in ("terms", "show"):
        assert re.search(r"freight +by the freight table\n", run("supplier", asked, "Ninefold").out)
    assert not re.search(r"freight table", run("supplier", "show", "Saltreeve").out)


def test_a_flat_charge_stands_beside_the_freight_table(run, tmp_path):
    terms = tmp_path / "terms.csv"
    head = "supplier,valid_from,currency,incoterm,freight"
    terms.write_text(f"{head}\nNinefold,2026-11-01,USD,FCA,7.50\n", "utf-8")
    run("supplier", "terms", "--from", str(terms))
    shown = run("supplier", "terms", "Ninefold").out
    assert "7.50 USD and by the freight table" in shown


def test_a_kit_whose_contents_nobody_stated_is_a_caution(run):
    run("part", "add", "24-9000", "--maker", "Quillmere", "--role", "packing kit")
    answer = run("kit", "contents", "show", "24-9000")
    assert "not stated" in answer.out
    assert "caution: contents of 24-9000 are not stated" in answer.err
    stated = run("kit", "contents", "show", "24-1180", "--format", "json").data
    assert {item["role"] for item in stated["items"]} >= {"ball", "seat", "rod"}


def test_loading_the_shop_twice_changes_nothing(run):
    files = run("load", str(FIXTURES), "--format", "json").data["files"]
    assert {(file["added"], file["changed"]) for file in files} == {(0, 0)}


def test_the_doctor_finds_the_planted_circle(run):
    answer = run("doctor", "--format", "json").data
    (circle,) = [f for f in answer["findings"] if f["check"] == "cycles"]
    assert circle["examples"] == [
        "Vossgrund 0026.2160 -> Vossgrund 0026.2210 -> Vossgrund 0026.2220 -> Vossgrund 0026.2160"
    ]
    assert answer["is_sound"] is False


def test_init_backup_and_restore_go_round(run, tmp_path):
    new = str(tmp_path / "new.db")
    assert run("--db", new, "init").code == 0
    assert run("--db", new, "part", "add", "1-1", "--maker", "Quillmere").code == 0
    copy = str(tmp_path / "one.backup")
    assert run("--db", new, "backup", copy).code == 0
    run("--db", new, "part", "add", "2-2", "--maker", "Quillmere")
    restored = run("--db", new, "restore", copy)
    assert restored.code == 0
    assert "before-restore" in restored.err
    assert run("--db", new, "part", "show", "1-1").code == 0
    assert run("--db", new, "part", "show", "2-2").code == 2


def test_a_fresh_database_answers_every_list_with_nothing(run, tmp_path):
    new = str(tmp_path / "new.db")
    run("--db", new, "init")
    for command in (("part", "find", "x"), ("machine", "show"), ("supplier", "show"), ("fx", "show"),
                    ("duty", "show"), ("grade", "show"), ("history",), ("doctor",)):  # fmt: skip
        for shape in ("table", "json", "csv"):
            assert run("--db", new, "--format", shape, *command).code == 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("part", "claim", "24-1180", "rating", "3300 psi", "--evidence", "gossip"),
            "--evidence: 'gossip' is none of",
        ),
        (("part", "add", "99-1", "--maker", "Quillmere", "--role", "zz"), "--role: 'zz' is none of"),
        (("part", "add", "99-1"), "--maker: is empty"),
        (("part", "supersede", "24-1180", "--from-date", "x"), "--from-date: 'x' is no date"),
        (("part", "supersede", "24-1180", "24-1180", "--maker", "Quillmere"), "new number: a number"),
        (
            ("part", "accept", "24-1180", "24-1182", "--state", "maybe", "--evidence", "inferred"),
            "--state: 'maybe' is none of",
        ),
        (
            ("part", "accept", "24-1180", "24-1182", "--evidence", "measured here"),
            "--source: an approval must name its source",
        ),
        (("duty", "set", "8481.90", "2%", "--valid-from", "x"), "--valid-from: 'x' is no date"),
        (("duty", "set", "8481.90", "2%"), "--source: is empty"),
        (("duty", "set", "8481.90", "much", "--source", "x"), "error: rate: 'much'"),
        (("grade", "set", "part", "24-1180", "B"), "--reason: is empty"),
    ],
)
def test_a_typed_mistake_names_the_option_as_it_is_typed(partsdb, arguments, said):
    answer = partsdb(*arguments)
    assert answer.code == 2
    assert said in answer.err
