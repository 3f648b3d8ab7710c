"""Suppliers as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsdb.render.output import plain
from partsdb.render.parts import rows_text
from partsdb.render.tables import card, listing, paragraphs, section


def suppliers_text(suppliers: Sequence[object], width: int) -> str:
    """Return a card for each supplier, its terms below."""
    return paragraphs([_supplier(plain(each), width) for each in suppliers]) or "no suppliers"


def _supplier(facts: dict[str, Any], width: int) -> str:
    terms = facts.pop("terms")
    stated = card(terms, width) if terms else "none are stored: no landed price can be given"
    return paragraphs([card(facts, width), section("Terms", stated)])


_PARTS = (
    ("freight", "Freight"),
    ("fees", "Fees"),
    ("discounts", "Discounts"),
    ("deposits", "Core deposits"),
)


def terms_text(answer: object, width: int) -> str:
    """Return every version of a supplier's terms, then what else is in force."""
    facts: dict[str, Any] = plain(answer)
    versions = rows_text(facts["terms"], width, "no terms are stored")
    rest = [
        section(title, listing(facts[name], width, wrap=("goods", "note", "source")))
        for name, title in _PARTS
        if facts[name]
    ]
    return paragraphs([versions, *rest])


def terms_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per version of the terms, step, fee, discount and deposit, for CSV."""
    facts: dict[str, Any] = plain(answer)
    return [
        {"kind": kind, **each}
        for kind in ("terms", *(name for name, _ in _PARTS))
        for each in facts[kind]
    ]


def rates_text(
    rates: Sequence[Mapping[str, Any]], customs: Sequence[Mapping[str, Any]], width: int
) -> str:
    """Return published exchange rates, and those at which customs count."""
    published = rows_text(rates, width, "no rates are stored")
    counted = section("Customs count at", listing(customs, width)) if customs else ""
    return paragraphs([published, counted])
