"""Suppliers as text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.tables import card, paragraphs, section


def suppliers_text(suppliers: Sequence[object], width: int) -> str:
    """Return a card for each supplier, its terms below."""
    return paragraphs([_supplier(plain(each), width) for each in suppliers]) or "no suppliers"


def _supplier(facts: dict[str, Any], width: int) -> str:
    terms = facts.pop("terms")
    stated = card(terms, width) if terms else "none are stored: no landed price can be given"
    return paragraphs([card(facts, width), section("Terms", stated)])
