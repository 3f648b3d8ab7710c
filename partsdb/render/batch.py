"""What reading a price list came to, as text."""

from __future__ import annotations

from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import bullets, card, paragraphs, section


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
        ("Rows without an offer", facts["problems"]),
        ("What was assumed", facts["assumptions"]),
        ("Left out", facts["skipped"]),
    )
    return paragraphs(
        [head, *(section(title, bullets(lines, width)) for title, lines in blocks if lines)]
    )
