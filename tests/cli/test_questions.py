"""instead, vet and rebuild cost on the command line: tables, cards, JSON, CSV, pipes."""

from __future__ import annotations

import csv
import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from cli_calls import Call
from small_shop import DAY, price_list

from partsdb.store import catalogue, recipes
from partsdb.store.connect import open_database
from partsdb.store.rows_lists import NewRecipe, RecipeItemRow

KIT = '24-1180,Quillmere,"Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi"'
OWN = 'SR-7001-LONG-NUMBER,,"Valve kit, bypass, Q33, replaces 24-1180, WC ball and seat",33.50'
ASKED = [
    ("instead", "A-100"),
    ("rebuild", "cost", "Q50 collar"),
    ("rebuild", "show"),
    ("pricelist", "show"),
]


@pytest.fixture
def a_list(tmp_path: Path) -> Path:
    return price_list(tmp_path, [f"{KIT},61.90", OWN, '=1+1,,"Hose, 1/4 in",9.00'])


@pytest.fixture(params=[*ASKED, ("vet",)], ids=" ".join)
def question(request: pytest.FixtureRequest, a_list: Path) -> tuple[object, ...]:
    typed: tuple[object, ...] = request.param
    return (*typed, a_list) if typed == ("vet",) else typed


def parsed(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_every_question_answers_as_table_json_and_csv(partsdb: Call, question):
    table = partsdb(*question)
    assert (table.code, table.out.strip() != "") == (0, True)
    data = partsdb("--format", "json", *question).data
    assert data
    rows = partsdb("--format", "csv", *question)
    assert rows.code == 0
    assert all(None not in row for row in parsed(rows.out))  # no row is longer than its header


def test_instead_tells_verdict_condition_and_landed_price(partsdb: Call):
    answer = partsdb("instead", "A-100")
    assert "Corrowby B-200: fit with conditions" in answer.out
    assert "from serial 4000" in answer.out
    assert "12.50 EUR" in answer.out
    assert "Quillmere Q50 lock collar" in answer.out
    assert "caution: " in answer.err
    assert "caution" not in answer.out


def test_instead_in_csv_has_a_row_for_each_offer_and_runs_no_formula(partsdb: Call):
    (row,) = parsed(partsdb("--format", "csv", "instead", "A-100").out)
    assert (row["maker"], row["number"], row["verdict"]) == ("Corrowby", "B-200", "fit with conditions")  # fmt: skip
    assert row["code"] == "'=NF-200"  # a spreadsheet would run it as a formula
    assert (row["landed_minor"], row["currency"], row["lead_days"]) == ("1250", "EUR", "3")


def test_a_code_that_is_a_formula_is_text_in_every_csv(partsdb: Call, a_list):
    rows = parsed(partsdb("--format", "csv", "vet", a_list).out)
    assert "'=1+1" in {row["code"] for row in rows}
    assert not any(cell.startswith("=") for row in rows for cell in row.values())


def test_rebuild_cost_in_csv_sums_to_the_total(partsdb: Call):
    rows = parsed(partsdb("--format", "csv", "rebuild", "cost", "Q50 collar").out)
    totals = {row["option"]: int(row["total_minor"]) for row in rows}
    assert totals
    for option, total in totals.items():
        assert total == sum(int(r["amount_minor"]) for r in rows if r["option"] == option)


def test_rebuild_cost_by_hand(partsdb: Call):
    """Two collars at 12.50, half an hour at 60.00, 5 % of the parts again for an ungraded part."""
    data = partsdb("--format", "json", "rebuild", "cost", "Q50 collar").data
    (option,) = data["options"]
    steps = {step["label"]: step["amount_minor"] for step in option["steps"]}
    assert steps == {"Ninefold: goods": 2500, "labour": 3000, "expected comebacks": 125, "waiting": 0}  # fmt: skip
    assert option["total_minor"] == 5625
    text = partsdb("rebuild", "cost", "Q50 collar").out
    assert "56.25 EUR" in text
    assert "sum of the steps" in text


def test_rebuild_cost_for_three_and_from_one_supplier(partsdb: Call):
    data = partsdb(
        "--format", "json", "rebuild", "cost", "Q50 collar", "--qty", "3", "--supplier", "Ninefold"
    ).data
    assert data["quantity"] == 3
    assert data["options"][0]["buy"][0]["units"] == 6
    none = partsdb("rebuild", "cost", "Q50 collar", "--supplier", "Kestrow")
    assert none.code == 0
    assert "no supplier has everything that may be fitted" in none.out


def test_vet_shows_the_worst_lines_and_all_of_them_when_asked(partsdb: Call, a_list):
    brief, whole = partsdb("vet", a_list).out, partsdb("vet", a_list, "--all").out
    assert "It comes to".lower() in brief.lower()
    assert "All lines" in whole
    assert "24-1180" in whole
    assert len(whole) > len(brief)


def test_vet_stores_nothing(partsdb: Call, bench, a_list):
    before = bench.read_bytes()
    partsdb("vet", a_list, "--supplier", "Kestrow")
    assert bench.read_bytes() == before


def test_recipes_are_added_from_a_file(partsdb: Call, tmp_path):
    path = tmp_path / "recipes.csv"
    path.write_text(
        "recipe,machine_maker,machine,minutes,hourly,currency,comeback_minutes,comeback_carriage,"
        "comeback_goodwill,waiting_day,position,part_maker,part_number,quantity\n"
        "Q33 bypass,Quillmere,Q33,60,68.00,EUR,75,18.00,25.00,55.00,bypass valve,Quillmere,24-1180,1\n"
    )
    assert partsdb("rebuild", "add", "--from", path).code == 0
    data = partsdb("--format", "json", "rebuild", "show", "Q33 bypass").data
    assert data["recipes"][0]["hourly_minor"] == 6800


@pytest.mark.parametrize(
    ("currency", "minor", "shown"),
    [
        ("EUR", 6800, "68.00 EUR"),
        ("JPY", 6800, "6800 JPY"),
        ("KWD", 6800, "6.800 KWD"),
    ],
)
def test_the_hour_of_a_recipe_is_money_to_people_and_minor_units_to_programs(
    partsdb: Call, bench, currency, minor, shown
):
    """ISO 4217: the euro has two decimals, the yen none, the Kuwaiti dinar three."""
    with open_database(bench, write=True):
        part = catalogue.find_parts("A-100")[0].id
        new = NewRecipe("Q50 hose", currency, hourly_minor=minor)
        recipes.add_recipe(new, [RecipeItemRow(part, 1)])
    said = partsdb("rebuild", "show", "Q50 hose").out
    assert shown in said
    assert "minor" not in said
    [row] = partsdb("--format", "json", "rebuild", "show", "Q50 hose").data["recipes"]
    assert (row["hourly_minor"], row["currency"]) == (minor, currency)
    [written] = csv.DictReader(io.StringIO(partsdb("--format", "csv", "rebuild", "show", "Q50 hose").out))
    assert (written["hourly_minor"], written["currency"]) == (str(minor), currency)


# Width


@pytest.mark.parametrize("columns", ["60", "40", "200"])
def test_a_narrow_screen_gets_cards_and_whole_numbers(partsdb: Call, a_list, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", columns)
    text = partsdb("vet", a_list, "--all").out
    assert "SR-7001-LONG-NUMBER" in text
    assert "24-1180" in text
    assert "Corrowby B-200" in partsdb("instead", "A-100").out


def test_cards_stay_within_the_screen(partsdb: Call, monkeypatch):
    monkeypatch.setenv("COLUMNS", "60")
    for typed in ASKED[:2]:
        text = partsdb(*typed).out
        assert max(len(row) for row in text.splitlines()) <= 80, text
    rows = partsdb("instead", "A-100").out.splitlines()
    assert any(row.startswith("maker") and row.endswith("Corrowby") for row in rows)


# Streams


def test_a_pipe_gets_no_escape_codes_boxes_or_progress(partsdb: Call, question):
    answer = partsdb(*question)
    assert "\x1b" not in answer.out + answer.err
    assert not set("│┃╭╮╰╯━─█") & set(answer.out)
    assert "\r" not in answer.out + answer.err


def test_quiet_says_nothing_but_cautions_on_stderr(partsdb: Call):
    said = partsdb("--quiet", "instead", "A-100")
    assert said.out == partsdb("instead", "A-100").out
    assert all(row.startswith("caution: ") for row in said.err.splitlines())


def test_quiet_keeps_the_heart_of_every_safety_text_in_one_line(partsdb: Call):
    question = ("instead", "24-1180", "--machine", "Q33")
    whole = partsdb(*question).err.splitlines()
    assert len(whole) > 1
    [line] = partsdb("--quiet", *question).err.splitlines()
    assert "not a certificate" in line and "verify zero" in line and "hospital at once" in line
    assert "without --quiet" in line
    assert line.count(";") == len(whole) - 1
    said = [partsdb(*quiet, "--format", "json", *question).whole["cautions"]
            for quiet in ((), ("--quiet",))]  # fmt: skip
    assert said[0] == said[1] and len(said[0]) == len(whole)


def test_quiet_shows_a_caution_of_the_answer_itself_whole(partsdb: Call):
    partsdb("part", "add", "K-9", "--maker", "Quillmere", "--role", "packing kit")
    said = partsdb("--quiet", "kit", "contents", "show", "K-9")
    assert "caution: contents of K-9 are not stated" in said.err


def test_the_best_alone_are_shown_and_the_others_counted(partsdb: Call):
    for number in ("C-300", "C-301"):
        partsdb("part", "add", number, "--maker", "Corrowby", "--role", "collar")
        partsdb("part", "accept", "A-100", number, "--fitted-maker", "Corrowby",
                "--evidence", "measured here", "--source", "bench sheet 7")  # fmt: skip
    whole = partsdb("--format", "json", "instead", "A-100").data
    told = partsdb("--format", "json", "instead", "A-100", "--top", "1").data
    assert len(whole["candidates"]) == 3
    assert told["candidates"] == whole["candidates"][:1]
    assert sum(told["not_shown"].values()) == 2
    assert whole["not_shown"] == {}
    text = partsdb("instead", "A-100", "--top", "1")
    assert "2 more not shown: " in text.out
    assert "not shown: " not in text.err
    rows = partsdb("--format", "csv", "instead", "A-100", "--top", "1")
    assert {row["number"] for row in parsed(rows.out)} == {whole["candidates"][0]["number"]}
    assert "more not shown: " in rows.err


def test_no_best_at_all_is_no_question(partsdb: Call):
    answer = partsdb("instead", "A-100", "--top", "0")
    assert (answer.code, answer.out) == (2, "")
    assert "--top" in answer.err


def test_json_carries_the_cautions_and_stderr_is_empty(partsdb: Call):
    answer = partsdb("--format", "json", "instead", "A-100")
    assert answer.err == ""
    assert answer.whole["cautions"]


def test_a_reader_that_stops_reading_is_no_error(bench: Path):
    command = f"{sys.executable} -m partsdb --as-of {DAY} instead A-100 | head -1"
    done = subprocess.run(
        ["bash", "-c", f"set -o pipefail; {command}"], capture_output=True, text=True, check=False,
        env={**os.environ, "PARTSDB_DB": str(bench)}, timeout=60,
    )  # fmt: skip
    assert done.stdout.startswith("asked for")
    assert "Traceback" not in done.stderr
    assert "BrokenPipe" not in done.stderr


def test_an_abort_anywhere_ends_like_an_interruption(partsdb: Call, monkeypatch):
    import typer

    def abort(*given: object) -> None:
        raise typer.Abort

    monkeypatch.setattr("partsdb.jobs.instead.instead", abort)
    answer = partsdb("instead", "A-100")
    assert (answer.code, answer.out) == (130, "")
    assert "Traceback" not in answer.err
