"""What reading a price list came to, as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section
from partsdb.rules.counting import counted

SHOWN = 40  # lines of a plan per kind; the JSON answer has them all


def batch_text(answer: object, width: int) -> str:
    """Return what was (or would be) stored, what changed, and which rows made no offer."""
    facts: dict[str, Any] = plain(answer)
    done = "nothing stored (dry run)" if facts["batch"] is None else f"batch {facts['batch']}"
    summary = ", ".join(
        f"{count} {name.replace('_', ' ')}" for name, count in facts["summary"].items()
    )
    changes = ", ".join(f"{count} {name}" for name, count in facts["changes"].items())
    head = card(
        {
            "list": facts["file"],
            "supplier": facts["supplier"],
            "stored": "read before, nothing changed" if facts["is_repeat"] else done,
            "batch": facts["batch"] if facts["is_repeat"] else None,
            "rows": summary,
            "offers": f"{facts['offers']} ({changes})",
            "parts of their own": facts["own_parts"] or None,
        },
        width,
    )
    blocks = (
        ("What changes", _planned(facts["plan"])),
        ("Rows without an offer", facts["problems"]),
        ("What was assumed", facts["assumptions"]),
        ("Left out", facts["skipped"]),
    )
    return paragraphs(
        [head, *(section(title, bullets(lines, width)) for title, lines in blocks if lines)]
    )


def _waiting(count: int) -> str:
    told = counted(count, "offer waits", "offers wait")
    return f"{told} for a person and {'is' if count == 1 else 'are'} offered to nobody"


def _planned(plan: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return the offers that change, go or come, each with its place; refused rows come below."""
    said: list[str] = []
    if all(line["what"] in ("new", "refused") for line in plan):
        return said  # the first list of a supplier: everything is new
    for what in ("changed", "gone", "new"):
        lines = [line for line in plan if line["what"] == what]
        said += [_planned_line(line) for line in lines[:SHOWN]]
        if len(lines) > SHOWN:
            said.append(f"{what}: {len(lines) - SHOWN} more; --format json names them all")
    return said


def _planned_line(line: Mapping[str, Any]) -> str:
    price = " -> ".join(part for part in (line["was"], line["now"]) if part)
    parts = (f"{line['what']}:", line["place"], line["code"], price, line["note"])
    return " ".join(part for part in parts if part)


def changes_text(answer: object, width: int) -> str:
    """Return what changed from one batch to the next, what waits first."""
    facts: dict[str, Any] = plain(answer)
    if facts["before"] is None:
        return f"batch {facts['batch']} is the first list of {facts['supplier']}"
    head = card(
        {
            "supplier": facts["supplier"],
            "batch": f"{facts['batch']}, against batch {facts['before']}",
            "waiting": _waiting(facts["waiting"]),
        },
        width,
    )
    rows = [
        {
            **{name: value for name, value in each.items() if name not in ("waits", "text")},
            "what it means": each["text"],
            "waits": "yes" if each["waits"] else "",
        }
        for each in facts["changes"]
    ]
    wrap = ("was", "now", "what it means")
    return paragraphs([head, listing(rows, width, wrap=wrap, nothing="nothing changed")])
