"""The demo's answers as text."""

from __future__ import annotations

from typing import Any

from partsdb.render.instead import instead_text
from partsdb.render.output import plain
from partsdb.render.rebuild import rebuild_text
from partsdb.render.tables import listing, paragraphs
from partsdb.render.vet import vet_text


def demo_text(answer: object, width: int) -> str:
    """Return what was loaded and the three answers, each under its question."""
    facts: dict[str, Any] = plain(answer)
    loaded = [
        {"file": f["file"], "rows": f["added"] + f["same"] + f["changed"]}
        for f in facts["loaded"]["files"]
    ]
    lists = [
        {
            "price list": b["file"],
            "supplier": b["supplier"],
            "offers": b["offers"],
            "own parts": b["own_parts"],
            "to review": b["summary"]["to_review"],
        }
        for b in facts["batches"]
    ]
    return paragraphs(
        [
            "The Fennel Quay boatyard (invented): its catalogue and three suppliers' lists.",
            listing(loaded, width),
            listing(lists, width),
            _question(
                "1. The bypass valve kit 24-1180 of the Q33 is back-ordered: what may I fit?"
            ),
            instead_text(facts["instead"], width),
            _question("2. Saltreeve sent a list. May I trust it?"),
            vet_text(facts["vet"], width),
            _question("3. What does the bypass rebuild of the Q33 really cost, landed?"),
            rebuild_text(facts["rebuild"], width),
            f"The database is {facts['database']}. Ask it yourself, for example:\n"
            f"  partsdb --db {facts['database']} --as-of 2026-11-20 instead 24-1180 --machine Q33",
        ]
    )


def _question(text: str) -> str:
    return f"{text}\n{'=' * len(text)}"
