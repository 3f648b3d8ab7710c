"""The answer to "what may I fit instead?" as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.money import amount
from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section

# What a reader wants to see of the checks that are met: the rest is in JSON and CSV.
_TELLING = ("pressure", "thread", "equivalence", "contents")
_GRAVEST_FIRST = ("fails", "not shown", "meets with conditions", "meets")
_SHOWN_REFUSED = 3


def instead_text(answer: object, width: int) -> str:
    """Return the whole answer: what is asked, then each candidate with its reasons."""
    facts: dict[str, Any] = plain(answer)
    asked = facts["asked"]
    head = card(
        {
            "asked for": f"{asked['maker']} {asked['number']}",
            "description": asked["description"],
            "in": facts["positions"] or "no position of a machine here calls for it",
            "on offer": [_offer(offer) for offer in facts["asked_offers"]] or "nobody offers it",
            "note": facts["notes"],
        },
        width,
    )
    blocks = [_candidate(n, each, width) for n, each in enumerate(facts["candidates"], start=1)]
    return paragraphs([head, _overview(facts["candidates"], width), *blocks])


def _overview(candidates: Sequence[Mapping[str, Any]], width: int) -> str:
    rows = [
        {
            "": n,
            "maker": each["maker"],
            "number": each["number"],
            "verdict": each["verdict"],
            "grade": each["grade"],
            **_best_offer(each["offers"]),
        }
        for n, each in enumerate(candidates, start=1)
    ]
    return listing(rows, width, nothing="nothing is known to stand in for it")


def _best_offer(offers: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    priced = [offer for offer in offers if offer["landed_minor"] is not None]
    if not priced:
        return {"landed": "", "supplier": "", "days": ""}
    best = priced[0]
    landed = amount(best["landed_minor"], best["currency"])
    return {"landed": landed, "supplier": best["supplier"], "days": best["lead_days"]}


def _candidate(number: int, each: Mapping[str, Any], width: int) -> str:
    title = f"{number}. {each['maker']} {each['number']}: {each['verdict']}"
    told = {
        "description": each["description"],
        "conditions": each["conditions"],
        "missing from the kit": each["missing"],
        "more in the kit": each["extra"],
        "what you give up": [] if each["verdict"] == "do not fit" else each["gives_up"],
        "how it is known": each["path"],
        "offers": [_offer(offer) for offer in each["offers"]],
    }
    reasons = [_reason(check) for check in _shown_checks(each)]
    return section(title, paragraphs([bullets(reasons, width), card(told, width)]))


def _shown_checks(each: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return the checks that decide: all that are not met, and of those met the telling ones."""
    checks = sorted(each["checks"], key=lambda check: _GRAVEST_FIRST.index(check["outcome"]))
    return [
        c
        for c in checks
        if c["outcome"] != "meets" or (each["verdict"] != "do not fit" and c["check"] in _TELLING)
    ]


def _reason(check: Mapping[str, Any]) -> str:
    source = f" [{check['evidence']}]" if check["evidence"] else ""
    return f"{check['check']} {check['outcome']}: {check['text']}{source}"


def _offer(offer: Mapping[str, Any]) -> str:
    if offer["landed_minor"] is None:
        return f"{offer['supplier']} {offer['code']}: {offer['note']}"
    days = "lead time not known" if offer["lead_days"] is None else f"{offer['lead_days']} days"
    graded = f", graded {offer['grade']}" if offer["grade"] else ""
    note = f" ({offer['note']})" if offer["note"] else ""
    units = f" for {offer['units']}" if offer["units"] > 1 else ""
    return (
        f"{offer['supplier']} {offer['code']}: {amount(offer['landed_minor'], offer['currency'])}"
        f" landed{units}, {days}, stock {offer['stock'] or 'not said'}{graded}{note}"
    )


def instead_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per candidate and offer, for CSV."""
    facts: dict[str, Any] = plain(answer)
    rows = []
    for each in facts["candidates"]:
        shared = {
            "maker": each["maker"],
            "number": each["number"],
            "verdict": each["verdict"],
            "reasons": [_reason(check) for check in _shown_checks(each)],
            "conditions": each["conditions"],
            "missing": each["missing"],
            "grade": each["grade"],
        }
        offers = each["offers"] or [{}]
        rows += [
            {
                **shared,
                "supplier": offer.get("supplier"),
                "code": offer.get("code"),
                "landed_minor": offer.get("landed_minor"),
                "currency": offer.get("currency"),
                "lead_days": offer.get("lead_days"),
                "stock": offer.get("stock"),
            }
            for offer in offers
        ]
    return rows
