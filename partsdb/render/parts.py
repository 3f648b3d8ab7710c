"""Parts, kits and machines as text."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import card, listing, paragraphs, section

_WRAP = ("description", "value", "source", "conditions", "evidence", "reason", "hint", "message")
_HELD = "\u00a0"  # a blank at which no line breaks; shown as a plain one
_HEAD = (
    "maker", "number", "description", "role", "weight_g", "packed_mm", "origin", "heading", "grade",
    "maker_grade",
)  # fmt: skip
_BLOCKS = (
    ("contents", "Contents"),
    ("claims", "Claims"),
    ("places", "Called for by"),
    ("prices", "Offers"),
)


def part_text(part: object, width: int) -> str:
    """Return a part's card: its head, then a block for each kind of thing known about it."""
    facts: dict[str, Any] = plain(part)
    head = {name: facts[name] for name in _HEAD} | {"asked as": facts["asked_as"]}
    blocks = [card(head, width)]
    for name, title in _BLOCKS:
        rows = [_shown(row) for row in facts[name] or ()]
        if rows:
            blocks.append(section(title, listing(rows, width, wrap=_WRAP)))
        elif name == "contents" and "kit" in facts["role"] and facts[name] is None:
            blocks.append(section(title, "not stated: ask before it is fitted as a kit"))
    if facts["links"]:
        blocks.insert(-1 if len(blocks) > 1 else 1, section("Linked parts", _drawn(facts, width)))
    return paragraphs(blocks)


def _drawn(facts: Mapping[str, Any], width: int) -> str:
    """Return the neighbourhood as a tree: every link with its evidence, who decided it and when."""
    lines = [f"{facts['maker']} {facts['number']}"]
    for place, each in enumerate(facts["links"], start=1):
        is_last = place == len(facts["links"])
        lines += _branch(
            _link(each), "└─ " if is_last else "├─ ", "   " if is_last else "│  ", width
        )
        trunk = "   " if is_last else "│  "
        for number, further in enumerate(each["onward"], start=1):
            twig = "└─ " if number == len(each["onward"]) else "├─ "
            lines += _branch(_link(further), trunk + twig, trunk + "   ", width)
    return "\n".join(lines)


def _branch(text: str, first: str, then: str, width: int) -> list[str]:
    lines = textwrap.wrap(
        text, max(width, 40), initial_indent=first, subsequent_indent=then + "  ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    return [line.replace(_HELD, " ") for line in lines]


def _link(each: Mapping[str, Any]) -> str:
    """Return one link in words: "may be replaced by …: accepted on maker's document …"."""
    # A number stands whole on its line, blanks and all.
    number = each["number"].replace(" ", _HELD)
    said = f"{each['link']} {each['maker']} {number}".replace("  ", " ")
    basis = f" on {each['evidence']}" if each["evidence"] else ""
    source = f" ({each['source']})" if each["source"] else ""
    about = [f"{each['state']}{basis}{source}".strip()]
    if each["made_by"]:
        is_decision = each["decided"] and each["state"] in ("accepted", "rejected")
        what = "decided" if is_decision else "recorded"
        about.append(f"{what} by {each['made_by']} on {each['made_at'][:10]}")
    about += [f"on condition: {'; '.join(each['conditions'])}"] if each["conditions"] else []
    return f"{said}: {', '.join(filter(None, about))}"


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
