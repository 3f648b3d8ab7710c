"""Parts, kits and machines as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import card, listing, paragraphs, section

_WRAP = ("description", "value", "source", "conditions", "evidence", "reason", "hint", "message")
_HEAD = (
    "maker", "number", "description", "role", "weight_g", "origin", "heading", "grade",
    "maker_grade",
)  # fmt: skip
_BLOCKS = (
    ("contents", "Contents"),
    ("claims", "Claims"),
    ("links", "Linked parts"),
    ("places", "Called for by"),
    ("prices", "Offers"),
)


def part_text(part: object, width: int) -> str:
    """Return a part's card: its head, then a block for each kind of thing known about it."""
    facts: dict[str, Any] = plain(part)
    blocks = [card({name: facts[name] for name in _HEAD}, width)]
    for name, title in _BLOCKS:
        rows = [_shown(row) for row in facts[name] or ()]
        if rows:
            blocks.append(section(title, listing(rows, width, wrap=_WRAP)))
        elif name == "contents" and "kit" in facts["role"] and facts[name] is None:
            blocks.append(section(title, "not stated: ask before it is fitted as a kit"))
    return paragraphs(blocks)


def _shown(row: Mapping[str, Any]) -> dict[str, Any]:
    hidden = ("pascals", "made_by", "made_at")
    return {name: value for name, value in row.items() if name not in hidden}


def confirmed_text(said: object, width: int) -> str:
    """Return what was confirmed, or taken back, and how it is remembered."""
    facts: dict[str, Any] = plain(said)
    what = "nominal rating" if facts["confirmed"] else "no longer nominal"
    told = {"part": f"{facts['maker']} {facts['number']}", what: facts["figure"],
            "reason": facts["reason"], "by": facts["who"], "at": facts["at"]}  # fmt: skip
    return card(told, width)


def rows_text(rows: Sequence[Mapping[str, Any]], width: int, nothing: str = "nothing found") -> str:
    """Return rows as a table or cards, long texts wrapped."""
    return listing(rows, width, wrap=_WRAP, nothing=nothing)
