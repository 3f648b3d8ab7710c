"""Real answers of the command line against the JSON contract of DEVELOPERS.md."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import contract
import jsonschema
import pytest
from shop_lists import DAY, FIXTURES, LISTS

Run = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="module")
def run(built_shop_with_lists: Path) -> Run:
    def partsdb(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [
            sys.executable,
            "-m",
            "partsdb",
            "--db",
            str(built_shop_with_lists),
            "--as-of",
            DAY,
            *arguments,
        ]
        return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)

    return partsdb


def answered(done: subprocess.CompletedProcess[str], schema: dict[str, Any]) -> dict[str, Any]:
    assert done.returncode == 0, done.stderr
    whole = json.loads(done.stdout)
    jsonschema.validate(whole, contract.answer(schema))
    return whole["data"]  # type: ignore[no-any-return]


def test_instead_keeps_the_contract(run: Run) -> None:
    data = answered(
        run("--format", "json", "instead", "24-1180", "--machine", "Q33"), contract.INSTEAD
    )
    assert data["asked"] == data["asked"] | {"maker": "Quillmere", "number": "24-1180"}
    assert {each["verdict"] for each in data["candidates"]} == set(contract.VERDICT["enum"])


def test_vet_keeps_the_contract(run: Run) -> None:
    path = FIXTURES / "lists" / LISTS[1][1]
    data = answered(
        run("--format", "json", "vet", str(path), "--supplier", LISTS[1][0]), contract.VET
    )
    assert data["summary"]["lines"] == len(data["lines"])
    readings = ("offer", "replacement", "new_part", "to_review", "not_ours", "not_a_part")
    assert sum(data["summary"][name] for name in readings) == data["summary"]["lines"]


def test_rebuild_cost_keeps_the_contract_and_totals_are_the_sum_of_their_steps(run: Run) -> None:
    data = answered(
        run("--format", "json", "rebuild", "cost", "Q33 bypass rebuild", "--qty", "2"),
        contract.REBUILD,
    )
    assert data["options"]
    for option in data["options"]:
        assert option["total_minor"] == sum(step["amount_minor"] for step in option["steps"])
        assert option["verdict"] in ("fit", "fit with conditions")


@pytest.mark.parametrize(("supplier", "name"), LISTS)
def test_pricelist_layout_keeps_the_contract(run: Run, supplier: str, name: str) -> None:
    words = ("--format", "json", "pricelist", "layout")
    path = str(FIXTURES / "lists" / name)
    data = answered(run(*words, path, "--supplier", supplier), contract.LAYOUT)
    assert (data["alarms"], data["drift"]) == ([], []), "the lists of the demo are as remembered"
    kept = answered(run(*words, "--supplier", supplier), contract.LAYOUTS)
    shown = [(t["place"], len(t["columns"])) for t in data["tables"]]
    assert [(t["place"], len(t["columns"])) for t in kept["layouts"][0]["tables"]] == shown


def test_history_keeps_the_contract(run: Run) -> None:
    data = answered(run("--format", "json", "history", "--limit", "20"), contract.HISTORY)
    assert len(data["events"]) == 20


@pytest.mark.parametrize(
    ("arguments", "code", "exit_code"),
    [
        (("instead", "no-such-number"), "not_found", 2),
        (("instead", "24-1180", "--machine", "no-such-machine"), "not_found", 2),
        (("instead", "24-1180", "--qty", "0"), "usage", 2),
        (("instead", "24-1180", "--by", "soon"), "usage", 2),
        (("instead",), "usage", 2),
        (("rebuild", "cost", "no such recipe"), "not_found", 2),
        (("vet", "no-such-file.csv"), "input_refused", 3),
        (("vet", str(FIXTURES)), "input_refused", 3),
        (("pricelist", "read", "no-such-file.csv", "--supplier", "Kestrow"), "input_refused", 3),
        (("vet", "fixtures.csv", "--supplier", "Nobody Ltd"), "not_found", 2),
        (("vet", "999999"), "not_found", 2),
    ],
)
def test_a_refusal_keeps_the_contract(
    run: Run, arguments: tuple[str, ...], code: str, exit_code: int
) -> None:
    done = run("--format", "json", *arguments)
    whole = json.loads(done.stdout)
    jsonschema.validate(whole, contract.REFUSAL)
    assert (whole["error"]["code"], done.returncode) == (code, exit_code)
    assert "Traceback" not in done.stdout + done.stderr


def test_a_pipe_gets_no_colour_box_or_cut_number(run: Run) -> None:
    done = run("instead", "24-1180", "--machine", "Q33")
    assert done.returncode == 0
    assert "\x1b" not in done.stdout
    assert not set("│┃╭╮━─") & set(done.stdout)
    assert "24-1180A" in done.stdout


def test_the_same_question_gets_the_same_bytes(run: Run) -> None:
    ask = ("--format", "json", "instead", "24-1180")
    assert run(*ask).stdout == run(*ask).stdout
