"""A basket as text and as rows: nothing is cut, and what is not proven says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from partsdb.jobs.answers import CostStep
from partsdb.jobs.basket_answers import (
    BasketAnswer,
    BasketPurchase,
    BasketUse,
    OtherBasket,
    RuleCost,
)
from partsdb.render.basket import basket_rows, basket_text
from partsdb.rules.verdict import Verdict

ANSWER = BasketAnswer(
    jobs=("rebuild × 2",),
    total_minor=10_250,
    currency="EUR",
    proven=True,
    bound_minor=10_249,
    steps=(CostStep("Kestrow: goods", 9270, "92.70 EUR"), CostStep("Kestrow: freight", 980, "9.80")),
    buy=(BasketPurchase("Kestrow", "KE-1", "Quillmere", "24-1180", 2, 10, 8, 9270, "EUR"),),
    uses=(
        BasketUse("Quillmere 24-1180", ("rebuild",), "Quillmere", "24-1180", "Kestrow", 2, 3,
                  Verdict.FIT, "Corrowby CW 40311 from Saltreeve", 125),
    ),
    rules=(RuleCost("needed by 2026-12-01", 300), RuleCost("at most 1 supplier", 0)),
    others=(OtherBasket("all from the best single supplier", 11_000),),
    unserved=("Quillmere 1: no supplier offers a part that may be fitted",),
)  # fmt: skip


@pytest.mark.parametrize("width", [60, 100, 160])
def test_the_text_tells_orders_uses_steps_and_rules(width):
    text = basket_text(ANSWER, width)
    for said in (
        "Basket: 102.50 EUR", "Proven: no basket", "24-1180", "KE-1", "102.50 EUR",
        "Corrowby CW 40311", "1.25 EUR more", "7.50 EUR more", "3.00 EUR less", "costs nothing",
        "no supplier offers",
    ):  # fmt: skip
        assert said in " ".join(text.split()), said


def test_what_is_not_proven_shows_the_bound():
    text = basket_text(replace(ANSWER, proven=False, bound_minor=10_000), 120)
    assert "none costs less than 100.00 EUR (2.44% under it)" in text  # 2.50 of 102.50
    assert "Proven" not in text


def test_rows_are_purchases_and_then_steps_that_sum_to_the_total():
    rows = basket_rows(ANSWER)
    assert [row["row"] for row in rows] == ["buy", "step", "step"]
    assert sum(row["amount_minor"] for row in rows[1:]) == ANSWER.total_minor
    assert (rows[1]["supplier"], rows[1]["step"]) == ("Kestrow", "goods")
