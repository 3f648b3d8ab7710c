"""`partsdb basket` on the demo shop: the contract, the text, one sentence when refused."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import contract
import jsonschema
import pytest
from shop_lists import DAY

Run = Callable[..., subprocess.CompletedProcess[str]]
JOBS = ("Q33 bypass rebuild:2", "T200 pump overhaul", "Quillmere|24-1180:3@2026-12-15")

TEXT, WHOLE = contract.TEXT, contract.WHOLE
BASKET = contract.record(
    jobs=contract.TEXTS,
    total_minor=WHOLE,
    currency=TEXT,
    proven={"type": "boolean"},
    bound_minor=WHOLE,
    steps=contract.many(contract.STEP, at_least=1),
    buy=contract.many(
        contract.record(
            supplier=TEXT, code=TEXT, maker=TEXT, number=TEXT, packs=WHOLE, units=WHOLE,
            left_over=WHOLE, goods_minor=WHOLE, goods_currency=TEXT,
        ),
        at_least=1,
    ),
    uses=contract.many(
        contract.record(
            need=TEXT, jobs=contract.TEXTS, maker=TEXT, number=TEXT, supplier=TEXT, units=WHOLE,
            lead_days=contract.WHOLE_OR_NULL, here_on=contract.DAY_OR_NOT, verdict=contract.VERDICT, next_best=TEXT,
            more_minor=contract.WHOLE_OR_NULL,
        ),
        at_least=1,
    ),
    rules=contract.many(contract.record(rule=TEXT, costs_minor=WHOLE)),
    others=contract.many(contract.record(name=TEXT, total_minor=WHOLE)),
    unserved=contract.TEXTS,
)  # fmt: skip


@pytest.fixture(scope="module")
def run(built_shop_with_lists: Path) -> Run:
    def partsdb(*arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "partsdb", "--db", str(built_shop_with_lists)]
        return subprocess.run(
            [*command, "--as-of", DAY, *arguments],
            capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip

    return partsdb


def test_the_answer_keeps_the_contract_and_its_steps_sum_to_the_total(run: Run) -> None:
    done = run("--format", "json", "basket", *JOBS, "--most-suppliers", "2")
    assert done.returncode == 0, done.stderr
    whole = json.loads(done.stdout)
    jsonschema.validate(whole, contract.answer(BASKET))
    data = whole["data"]
    assert data["total_minor"] == sum(step["amount_minor"] for step in data["steps"])
    assert data["proven"]
    assert {use["verdict"] for use in data["uses"]} <= {"fit", "fit with conditions"}
    assert "progress" not in done.stderr
    assert "looking up" not in done.stderr  # only a terminal is told


def test_the_text_names_orders_steps_and_what_the_rules_cost(run: Run) -> None:
    done = run("basket", JOBS[0], "--by", "2026-11-22")
    for said in ("Basket: ", "Proven", "Order\n", "Steps\n", "total", "needed by 2026-11-22"):
        assert said in done.stdout


def test_what_cannot_be_bought_is_refused_with_the_rule_in_the_way(run: Run) -> None:
    done = run("--format", "json", "basket", JOBS[0], "--by", DAY)
    assert done.returncode == 3
    error = json.loads(done.stdout)["error"]
    assert error["code"] == "no_basket"
    assert f"needed by {DAY}" in error["hint"]


def test_wrong_usage_is_one_sentence(run: Run) -> None:
    done = run("basket", "Q33 bypass rebuild", "--by", "soon")
    assert done.returncode == 2
    assert done.stderr.startswith("error: ")
    assert "Traceback" not in done.stderr


def test_what_was_not_yet_entered_on_a_day_is_not_known_then(run: Run) -> None:
    done = run("basket", JOBS[0], "--known-on", "1999-01-04")
    assert done.returncode == 3
    assert done.stderr.startswith("error: nothing can be bought")
    done = run("fx", "import", "rates.csv", "--known-on", "1999-01-04")
    assert done.returncode == 2
    assert "cannot be changed" in done.stderr
