"""The answer to "what do I buy?" as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.money import amount
from partsdb.render.output import plain
from partsdb.render.tables import bullets, listing, paragraphs, section


def basket_text(answer: object, width: int) -> str:
    """Return the orders, what each need is served by, the steps and what the rules cost."""
    facts: dict[str, Any] = plain(answer)
    title = f"Basket: {amount(facts['total_minor'], facts['currency'])}"
    return paragraphs(
        [
            section(title, paragraphs([bullets(facts["jobs"], width), _proof(facts)])),
            _told("On the shelf", facts["shelf"], width),
            section("Order", listing([_order(each) for each in facts["buy"]], width)),
            section("For", listing([_use(each, facts) for each in facts["uses"]], width,
                                   wrap=("jobs", "need", "next best"))),
            section("Steps", listing(_steps(facts), width, wrap=("how",))),
            _told("Beside it", _beside(facts), width),
            _told("Not to be had", facts["unserved"], width),
            _told("Notes", facts["notes"], width),
        ]
    )  # fmt: skip


def _proof(facts: Mapping[str, Any]) -> str:
    if facts["proven"]:
        return "Proven: no basket that keeps the rules costs less."
    bound = amount(facts["bound_minor"], facts["currency"])
    gap = (facts["total_minor"] - facts["bound_minor"]) / max(facts["total_minor"], 1)
    return f"The best found; none costs less than {bound} ({gap:.2%} under it)."


def _told(title: str, lines: Sequence[str], width: int) -> str:
    return section(title, bullets(lines, width)) if lines else ""


def _order(each: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "from": each["supplier"],
        "code": each["code"],
        "part": f"{each['maker']} {each['number']}",
        "packs": each["packs"],
        "units": each["units"],
        "to stock": each["left_over"] or "",
        "goods": amount(each["goods_minor"], each["goods_currency"]),
    }


def _use(each: Mapping[str, Any], facts: Mapping[str, Any]) -> dict[str, Any]:
    more = each["more_minor"]
    dearer = "" if more is None else f", {amount(more, facts['currency'])} more"
    return {
        "need": each["need"],
        "jobs": each["jobs"],
        "by": f"{each['units']} × {each['maker']} {each['number']}",
        "from": each["supplier"],
        "here on": each["here_on"] or "not known",
        "verdict": each["verdict"],
        "next best": f"{each['next_best']}{dearer}" if each["next_best"] else "nothing else",
    }


def _steps(facts: Mapping[str, Any]) -> list[dict[str, Any]]:
    currency = facts["currency"]
    steps = [
        {"step": s["label"], "amount": amount(s["amount_minor"], currency), "how": s["how"]}
        for s in facts["steps"]
    ]
    total = amount(facts["total_minor"], currency)
    return [*steps, {"step": "total", "amount": total, "how": "sum of the steps"}]


def _beside(facts: Mapping[str, Any]) -> list[str]:
    currency, total = facts["currency"], facts["total_minor"]
    said = [
        f"{each['name']}: {amount(each['total_minor'], currency)}"
        f" ({amount(each['total_minor'] - total, currency)} more)"
        for each in facts["others"]
    ]
    return said + [
        f'without the rule "{each["rule"]}": {amount(each["costs_minor"], currency)} less'
        if each["costs_minor"]
        else f'the rule "{each["rule"]}" costs nothing'
        for each in facts["rules"]
    ]


def basket_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per thing to order, then one per step, for CSV."""
    facts: dict[str, Any] = plain(answer)
    bought = [{"row": "buy", **each} for each in facts["buy"]]
    steps = [
        {"row": "step", "supplier": each["label"].partition(": ")[0],
         "step": each["label"].partition(": ")[2], "amount_minor": each["amount_minor"],
         "currency": facts["currency"], "how": each["how"]}
        for each in facts["steps"]
    ]  # fmt: skip
    return [*bought, *steps]
