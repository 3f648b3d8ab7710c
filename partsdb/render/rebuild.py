"""The answer to "what does this rebuild cost?" as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.money import amount
from partsdb.render.output import plain
from partsdb.render.tables import bullets, listing, paragraphs, section


def rebuild_text(answer: object, width: int) -> str:
    """Return every option with its steps; the steps sum to the total."""
    facts: dict[str, Any] = plain(answer)
    times = f" × {facts['quantity']}" if facts["quantity"] > 1 else ""
    ruled_out = (
        section("Not an option", bullets(facts["ruled_out"], width)) if facts["ruled_out"] else ""
    )
    options = [_option(n, each, width) for n, each in enumerate(facts["options"], start=1)]
    none = "" if options else "no supplier has everything that may be fitted: see what is ruled out"
    shelf = section("On the shelf", bullets(facts["shelf"], width)) if facts["shelf"] else ""
    first = len(options) + 1
    beyond = [_option(n, each, width) for n, each in enumerate(facts["beyond"], start=first)]
    beyond = [section("If the block is worn too", paragraphs(beyond))] if beyond else []
    even = section("Comebacks", bullets(facts["break_even"], width)) if facts["break_even"] else ""
    head = f"{facts['recipe']}{times}"
    return paragraphs([head, shelf, none, *options, even, *beyond, ruled_out])


def _option(number: int, each: Mapping[str, Any], width: int) -> str:
    currency = each["currency"]
    title = f"{number}. {each['name']}: {amount(each['total_minor'], currency)} ({each['verdict']})"
    steps = [
        {
            "step": step["label"],
            "amount": amount(step["amount_minor"], currency),
            "how": step["how"],
        }
        for step in each["steps"]
    ]
    steps.append(
        {
            "step": "total",
            "amount": amount(each["total_minor"], currency),
            "how": "sum of the steps",
        }
    )
    buy = [
        {
            "part": f"{b['maker']} {b['number']}",
            "from": b["supplier"],
            "packs": b["packs"],
            "units": b["units"],
            "here on": b["here_on"],
        }
        for b in each["buy"]
    ]
    return section(
        title,
        paragraphs(
            [
                listing(buy, width),
                listing(steps, width, wrap=("how",)),
                bullets(each["notes"], width),
            ]
        ),
    )


def rebuild_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per step of each option, for CSV."""
    facts: dict[str, Any] = plain(answer)
    return [
        {
            "option": each["name"],
            "verdict": each["verdict"],
            "total_minor": each["total_minor"],
            "currency": each["currency"],
            "step": step["label"],
            "amount_minor": step["amount_minor"],
            "how": step["how"],
        }
        for each in (*facts["options"], *facts["beyond"])
        for step in each["steps"]
    ]


def recipes_text(rows: Sequence[Mapping[str, Any]], width: int) -> str:
    """Return recipes, one line for each part, the hour of work as an amount of money."""
    return listing([_with_amount(row) for row in rows], width, nothing="no recipes")


def _with_amount(row: Mapping[str, Any]) -> dict[str, Any]:
    """Return the row with its hourly rate in the currency, in the place of the minor units."""
    hourly = amount(row["hourly_minor"], row["currency"])
    told = {"hourly" if name == "hourly_minor" else name: value for name, value in row.items()}
    return {name: value for name, value in told.items() if name != "currency"} | {"hourly": hourly}
