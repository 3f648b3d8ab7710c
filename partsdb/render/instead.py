"""The answer to "what may I fit instead?" as text, and as rows for a spreadsheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.money import amount
from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section, wrapped

# What a reader wants to see of the checks that are met: the rest is in JSON and CSV.
_TELLING = ("pressure", "pressure adapter", "thread", "equivalence", "contents")
_GRAVEST_FIRST = ("fails", "not shown", "meets with conditions", "meets")
REFUSED = "do not fit"


def instead_text(answer: object, width: int) -> str:
    """Return the whole answer: what is asked, then each candidate with its reasons."""
    facts: dict[str, Any] = plain(answer)
    asked = facts["asked"]
    head = card(
        {
            "asked for": f"{asked['maker']} {asked['number']}",
            "description": asked["description"],
            "in": facts["positions"] or "no position of a machine here calls for it",
            "on the shelf": _shelf(facts["asked_shelf"]),
            "note": facts["notes"],
        },
        width,
    )
    numbered = list(enumerate(facts["candidates"], start=1))
    refused = [pair for pair in numbered if pair[1]["verdict"] == REFUSED]
    blocks = [_candidate(n, each, width) for n, each in numbered if each["verdict"] != REFUSED]
    overview = [_overview(facts["candidates"], width), wrapped(not_shown_text(answer), width)]
    return paragraphs(
        [
            head,
            _offers(facts["asked_offers"], width) or "nobody offers it",
            section("Instead", paragraphs(overview)),
            *blocks,
            _refused(refused, width),
            _composed(facts["composed"], width),
            section("Before you buy", bullets(facts["bench_notes"], width))
            if facts["bench_notes"]
            else "",
            section("While you are in there", bullets(facts["while_there"], width))
            if facts["while_there"]
            else "",
            card({"note on landed prices": _offer_notes(facts)}, width),
        ]
    )


def not_shown_text(answer: object) -> str:
    """Return how many candidates are not shown, and how they were judged; "" when all are."""
    counts: dict[str, int] = plain(answer)["not_shown"]
    if not counts:
        return ""
    judged = ", ".join(f"{count} {verdict}" for verdict, count in counts.items())
    return f"{sum(counts.values())} more not shown: {judged} (leave --top out to see them)"


def _composed(facts: Mapping[str, Any] | None, width: int) -> str:
    """Return the kit put together from loose parts, or what of it is not to be had."""
    if not facts:
        return ""
    if facts["missing"]:
        lines = [*facts["missing"], *facts["reuse"]]
        return section("Put together from loose parts: not to be had", bullets(lines, width))
    rows = [
        {
            "buy": f"{each['maker']} {each['number']}",
            "units": each["units"],
            "from": each["supplier"],
        }
        for each in facts["buy"]
    ]
    told = {
        "brings": facts["brings"],
        "conditions": facts["conditions"],
        "landed": amount(facts["total_minor"], facts["currency"]),
        "days": "not known" if facts["lead_days"] is None else facts["lead_days"],
        "note": facts["notes"],
    }
    title = f"Put together from loose parts: {facts['verdict']}"
    return section(title, paragraphs([listing(rows, width), card(told, width)]))


def why_not_text(answer: object, width: int) -> str:
    """Return one part with every check, met or not, gravest first."""
    facts: dict[str, Any] = plain(answer)
    asked, each = facts["asked"], facts["candidate"]
    head = {
        "asked for": f"{asked['maker']} {asked['number']}",
        "in": facts["positions"] or "no position of a machine here calls for it",
        "why not": f"{each['maker']} {each['number']}",
        "description": each["description"],
        "verdict": each["verdict"],
        "how it is known": each["path"],
        "note": [*facts["notes"], *each["notes"]],
    }
    checks = sorted(each["checks"], key=lambda check: _GRAVEST_FIRST.index(check["outcome"]))
    reasons = [_reason(check) + (f" ({check['code']})" if check["code"] else "")
               for check in checks]  # fmt: skip
    told = {"conditions": each["conditions"], "missing from the kit": each["missing"],
            "more in the kit": each["extra"]}  # fmt: skip
    return paragraphs(
        [
            card(head, width),
            section("Every check", bullets(reasons, width)),
            card(told, width),
            _offers(each["offers"], width),
        ]
    )


def _refused(numbered: Sequence[tuple[int, Mapping[str, Any]]], width: int) -> str:
    """Return what must not be fitted, each with every reason why not."""
    lines = [
        f"{n}. {each['maker']} {each['number']}: "
        + "; ".join(
            [f"{c['check']}: {c['text']}" for c in each["checks"] if c["outcome"] == "fails"]
            + [*each["notes"]]
        )
        for n, each in numbered
    ]
    return section("Do not fit", bullets(lines, width)) if lines else ""


def _overview(candidates: Sequence[Mapping[str, Any]], width: int) -> str:
    rows = [
        {
            "": n,
            "maker": each["maker"],
            "number": each["number"],
            "verdict": each["verdict"],
            "grade": each["grade"],
            "on the shelf": sum(lot["units"] for lot in each["shelf"]) or "",
            # What must not be fitted has no price: the safety gate comes before the cost.
            **_best_offer([] if each["verdict"] == REFUSED else each["offers"]),
        }
        for n, each in enumerate(candidates, start=1)
    ]
    return listing(rows, width, nothing="nothing is known to stand in for it")


def _best_offer(offers: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    priced = [o for o in offers if o["landed_minor"] is not None and o["grade"] != "barred"]
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
        "what you give up": each["gives_up"],
        "how it is known": each["path"],
        "note": each["notes"],
        "on the shelf": _shelf(each["shelf"]),
    }
    reasons = [_reason(check) for check in _shown_checks(each)]
    blocks = [bullets(reasons, width), card(told, width), _offers(each["offers"], width)]
    return section(title, paragraphs(blocks))


def _offers(offers: Sequence[Mapping[str, Any]], width: int) -> str:
    rows = [
        {
            "offered by": offer["supplier"],
            "code": offer["code"],
            "landed": _landed(offer),
            "days": "not known" if offer["lead_days"] is None else offer["lead_days"],
            "stock": offer["stock"] or "not said",
            "grade": offer["grade"],
        }
        for offer in offers
    ]
    if not rows:
        return ""
    # A sentence in a cell would leave the table no room.
    unlanded = [offer for offer in offers if offer["landed_minor"] is None]
    return paragraphs([listing(rows, width), bullets(_by_note(unlanded), width)])


def _landed(offer: Mapping[str, Any]) -> str:
    if offer["landed_minor"] is None:
        return "not known"
    units = f" for {offer['units']}" if offer["units"] > 1 else ""
    return amount(offer["landed_minor"], offer["currency"]) + units


def _offer_notes(facts: Mapping[str, Any]) -> list[str]:
    """Return what must be known of the landed prices, each note once with its suppliers."""
    offers = [*facts["asked_offers"], *(o for c in facts["candidates"] for o in c["offers"])]
    return _by_note([offer for offer in offers if offer["landed_minor"] is not None])


def _by_note(offers: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return what is noted of offers, each note once with its suppliers."""
    by_note: dict[str, set[str]] = {}
    for offer in offers:
        if offer["note"]:
            by_note.setdefault(offer["note"], set()).add(offer["supplier"])
    return [f"{', '.join(sorted(who))}: {note}" for note, who in by_note.items()]


def _shelf(lots: Sequence[Mapping[str, Any]]) -> str:
    """Return "2, lot B7 (bin 4)", or "" for nothing."""
    named = [f"lot {lot['lot']}" + (f" (bin {lot['bin']})" if lot["bin"] else "") for lot in lots]
    return f"{sum(lot['units'] for lot in lots)}, {', '.join(named)}" if lots else ""


def _shown_checks(each: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """Return the checks that decide: all that are not met, and of those met the telling ones."""
    checks = sorted(each["checks"], key=lambda check: _GRAVEST_FIRST.index(check["outcome"]))
    return [c for c in checks if c["outcome"] != "meets" or c["check"] in _TELLING]


def _reason(check: Mapping[str, Any]) -> str:
    source = f" [{check['evidence']}]" if check["evidence"] else ""
    return f"{check['check']} {check['outcome']}: {check['text']}{source}"


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
            "on_the_shelf": _shelf(each["shelf"]),
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
                "here_on": offer.get("here_on"),
                "stated_on": offer.get("stated_on"),
                "valid_to": offer.get("valid_to"),
            }
            for offer in offers
        ]
    return rows
