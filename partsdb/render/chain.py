"""A pressure chain as text."""

from __future__ import annotations

from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, listing, paragraphs, section, wrapped


def chain_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row for each piece, weakest first."""
    return [
        {
            "piece": each["piece"],
            "outcome": each["check"]["outcome"],
            "reason": each["check"]["text"],
            "evidence": each["check"]["evidence"],
            "conditions": each["check"]["conditions"],
        }
        for each in plain(answer)["pieces"]
    ]


def chain_text(answer: object, width: int) -> str:
    """Return what the chain comes to, then its pieces."""
    facts: dict[str, Any] = plain(answer)
    head = {name: facts[name] for name in ("machine", "demand", "verdict", "rating", "weakest")}
    head["note"] = facts["notes"]
    rows = listing(chain_rows(answer), width, wrap=("reason", "evidence", "conditions"))
    open_ones = facts["find_out"]
    return paragraphs(
        [
            card(head, width),
            wrapped(facts["text"], width),
            section("Pieces, weakest first", rows),
            section("To find out", bullets(open_ones, width)) if open_ones else "",
        ]
    )
