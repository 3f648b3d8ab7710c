"""Lots and jobs as text: the card of a lot with its plan, what to measure, and the OC curve."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section

_HEAD = (
    "lot", "part", "role", "supplier", "supplier_label", "received_at", "state", "on_hand",
    "may_be_used", "bin", "order_ref", "document", "document_until",
)  # fmt: skip
_PLOT_ROWS = 10
_PLOT_WIDTH = 50
_NUMBERS_WIDTH = 78
_GLUE = "\N{NO-BREAK SPACE}"  # a point of the curve is never broken over two lines
_HARDLY_EVER = 0.0001
_WRAP = ("how", "note", "reason", "plan", "what", "found", "description")


def lot_text(lot: object, width: int) -> str:
    """Return the card of a lot."""
    facts: dict[str, Any] = plain(lot)
    plan = [facts["said"], facts["plan"]["why"], "no sample proves a burst strength"]
    return paragraphs(
        [
            card({name: facts[name] for name in _HEAD}, width),
            section("How many to inspect", bullets(plan, width)),
            section("What to look at", listing(facts["measure"], width, wrap=_WRAP)),
            section("What the plan lets pass", oc_text(facts["curve"])),
            _inside(facts["inside"], width),
            _done(facts["inspections"], width),
            _moved(facts["movements"], width),
            section("Notes", bullets(facts["notes"], width)) if facts["notes"] else "",
        ]
    )


def plan_text(card_of_plan: object, width: int) -> str:
    """Return a plan with its OC curve, and the three points by which plans are compared."""
    facts: dict[str, Any] = plain(card_of_plan)
    points = [
        f"accepts {_per_cent(chance)} of lots with {_per_cent(bad)} bad"
        for bad, chance in facts["points"]
    ]
    plan = [facts["said"], facts["why"], "no sample proves a burst strength"]
    looks = facts["measure"]
    return paragraphs(
        [
            section("How many to inspect", bullets(plan, width)),
            section("What to look at", listing(looks, width, wrap=_WRAP)) if looks else "",
            section("What the plan lets pass", oc_text(facts["curve"])),
            bullets(points, width) if points else "",
        ]
    )


def _inside(rows: Sequence[Mapping[str, Any]], width: int) -> str:
    if not rows:
        return ""
    told = [
        {
            "lot": each["lot"],
            "part": f"{each['maker']} {each['number']}",
            "role": each["role"],
            "units": each["units"],
            "state": each["state"] or "never received alone",
            "source": each["source"] or ("our own bench" if each["taken"] else ""),
        }
        for each in rows
    ]
    return section("Lots inside it", listing(told, width, wrap=("part", "source")))


def _done(inspections: Sequence[Mapping[str, Any]], width: int) -> str:
    if not inspections:
        return ""
    rows = [
        {
            "day": each["at"][:10],
            "by": each["by"],
            "inspected": each["sampled"],
            "rejected": each["rejected"],
            "decision": each["decision"],
            "found": [f"{what}: {count}" for what, count in each["found"].items()],
            "note": each["note"],
        }
        for each in inspections
    ]
    return section("Inspections", listing(rows, width, wrap=_WRAP))


def _moved(movements: Sequence[Mapping[str, Any]], width: int) -> str:
    if not movements:
        return ""
    rows = [
        {"day": m["at"][:10], "by": m["by"], "what": m["kind"], "units": m["units"],
         "reason": m["reason"]}
        for m in movements
    ]  # fmt: skip
    return section("Left the lot", listing(rows, width, wrap=_WRAP))


def oc_text(curve: Sequence[Sequence[float]]) -> str:
    """Return the OC curve as a plot of signs with its numbers under it.

    Across: the share of bad pieces in the lot. Up: how often such a lot is accepted.
    """
    highest = max((rate for rate, _ in curve), default=0) or 1
    rows = [_plot_row(curve, level / _PLOT_ROWS, highest) for level in range(_PLOT_ROWS, -1, -1)]
    axis = " " * 5 + "+" + "-" * _PLOT_WIDTH
    ends = (
        " " * 6 + "0 %" + f"{highest:.0%} bad in the lot".replace("%", " %").rjust(_PLOT_WIDTH - 3)
    )
    numbers = [f"{_per_cent(rate)} bad: {_per_cent(chance)}" for rate, chance in curve]
    whole = "; ".join(each.replace(" ", _GLUE) for each in numbers)
    told = textwrap.wrap(f"accepted: {whole}", _NUMBERS_WIDTH, subsequent_indent=" " * 10)
    told = [line.replace(_GLUE, " ") for line in told]
    return "\n".join([*rows, axis, ends, *told])


def _plot_row(curve: Sequence[Sequence[float]], level: float, highest: float) -> str:
    signs = [" "] * (_PLOT_WIDTH + 1)
    for rate, chance in curve:
        if abs(chance - level) <= 0.5 / _PLOT_ROWS:
            signs[round(rate / highest * _PLOT_WIDTH)] = "*"
    return f"{level:>5.0%}|".replace("%", "%") + "".join(signs).rstrip()


def _per_cent(share: float) -> str:
    if 0 < share < _HARDLY_EVER:
        return f"under {_HARDLY_EVER:.2%}".replace("%", " %")
    return f"{share * 100:.3g} %"


def job_text(job: object, width: int) -> str:
    """Return the card of a job with what was fitted and what came back."""
    facts: dict[str, Any] = plain(job)
    head = ("job", "opened_at", "machine", "serial", "customer_ref", "note")
    fitted = [
        {
            "fitting": each["id"],
            "part": f"{each['maker']} {each['number']}",
            "units": each["units"],
            "lot": each["lot"] or "not named",
            "position": each["position"],
            "day": each["at"][:10],
        }
        for each in facts["fittings"]
    ]
    back = [
        {
            "comeback": each["id"],
            "fitting": each["fitting_id"],
            "day": each["at"][:10],
            "cause": each["cause"],
            "pressure boundary": each["pressure_boundary"],
            "note": each["note"],
            "found": each["explained"] or "not explained yet",
        }
        for each in facts["comebacks"]
    ]
    return paragraphs(
        [
            card({name: facts[name] for name in head}, width),
            section("Fitted", listing(fitted, width)) if fitted else "nothing fitted yet",
            section("Came back", listing(back, width, wrap=_WRAP)) if back else "",
            section("Notes", bullets(facts["notes"], width)) if facts["notes"] else "",
        ]
    )
