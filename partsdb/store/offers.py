"""What suppliers ask for parts, and which of it counts on a day."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from partsdb.rules.numbers import number_identity, number_key
from partsdb.store import sql
from partsdb.store.rows import NewOffer, OfferRow, Stamp

_COLUMNS = (
    "id, supplier_id, part_id, code, price_e4, price_per, currency, pack_units, min_units, unit,"
    " lead_days, stock, valid_from, valid_to, line_id, price_list_id, made_at, held"
)
_OFFER = (
    "SELECT o.id, o.supplier_id, s.name, o.part_id, o.code, o.price_e4, o.price_per, o.currency,"
    " o.pack_units, o.min_units, o.unit, o.lead_days, o.stock, o.valid_from, o.valid_to,"
    " o.price_list_id, o.made_at FROM offer o JOIN supplier s ON s.id = o.supplier_id"
)

# Every list that a live one, in force on the day, took the place of: the whole chain behind it.
_RENEWED = (
    "WITH RECURSIVE renewed (id) AS (SELECT renews_id FROM price_list WHERE renews_id IS NOT NULL"
    " AND withdrawn_at IS NULL AND coalesce(valid_from, ?) <= ? UNION SELECT p.renews_id"
    " FROM price_list p JOIN renewed r ON r.id = p.id WHERE p.renews_id IS NOT NULL)"
)


def add_offers(offers: Iterable[NewOffer], *, by: Stamp) -> list[int]:
    """Store offers with their price breaks and return their ids."""
    free = sql.next_id("offer")
    numbered = list(enumerate(offers, start=free))
    sql.insert_many("offer", _COLUMNS, (_values(i, offer, by) for i, offer in numbered))
    sql.insert_many(
        "price_break",
        "offer_id, from_units, price_e4",
        ((i, units, price) for i, offer in numbered for units, price in offer.breaks),
    )
    return [i for i, _ in numbered]


def _values(offer_id: int, o: NewOffer, by: Stamp) -> tuple[object, ...]:
    return (
        offer_id, o.supplier_id, o.part_id, o.code, o.price_e4, o.price_per, o.currency,
        o.pack_units, o.min_units, o.unit, o.lead_days, o.stock, o.valid_from, o.valid_to,
        o.line_id, o.price_list_id, by.at, o.held,
    )  # fmt: skip


def live_offers(part_ids: Iterable[int], as_of: str) -> list[OfferRow]:
    """Return the offers for the parts that count on the ISO date `as_of`.

    Of one supplier's offers of a part under one code those of the newest list or entry count: a
    new list replaces the old price. Two prices for one code in one list are both returned. What a
    list in force has renewed is no longer offered, nor is what waits for a person.
    """
    found = sql.rows_for(
        f"{_RENEWED} {_OFFER} WHERE o.withdrawn_at IS NULL AND o.held = ''"
        " AND (o.price_list_id IS NULL OR o.price_list_id NOT IN (SELECT id FROM renewed))"
        " AND coalesce(o.valid_from, ?) <= ?"
        " AND coalesce(o.valid_to, ?) >= ? AND o.part_id IN ({marks})",
        part_ids,
        (as_of,) * 6,
    )
    newest: dict[tuple[object, ...], list[tuple[object, ...]]] = {}
    for row in sorted(found, key=_age):
        kept = newest.setdefault((row[1], row[3], row[4]), [])
        if kept and _batch(kept[-1]) != _batch(row):
            kept.clear()
        kept.append(row)
    return _with_breaks([row for kept in newest.values() for row in kept])


def _age(row: Sequence[object]) -> tuple[str, int]:
    return str(row[13] or str(row[16])[:10]), int(str(row[0]))


def _batch(row: Sequence[object]) -> tuple[object, object]:
    # Entered by hand each offer stands alone; those of a list came together.
    return (row[15], None) if row[15] is not None else (None, row[0])


def parts_coded(code: str) -> list[tuple[str, str, int]]:
    """Return (supplier, code, part id) of what suppliers sell under a code, as printed or by key.

    What waits for a person or was withdrawn is no word on what a code means.
    """
    key, signs, bare = number_key(code), number_identity(code), "upper(o.code)"
    if not key:
        return []
    for sign in " -./":
        bare = f"replace({bare}, '{sign}', '')"
    found = sql.rows(
        "SELECT DISTINCT s.name, o.code, o.part_id FROM offer o JOIN supplier s"
        f" ON s.id = o.supplier_id WHERE {bare} = ? AND o.code <> '' AND o.held = ''"
        " AND o.withdrawn_at IS NULL ORDER BY s.name, o.code, o.part_id",
        (key,),
    )
    found = [row for row in found if number_identity(row[1]) == signs]
    return [row for row in found if row[1] == code.strip()] or found


def held_offers(list_id: int) -> dict[int, str]:
    """Return line id -> why its offer waits for a person, of one live list."""
    found = sql.rows(
        "SELECT line_id, held FROM offer WHERE price_list_id = ? AND held <> ''"
        " AND withdrawn_at IS NULL AND line_id IS NOT NULL ORDER BY id",
        (list_id,),
    )
    return dict(found)


def release_offers(line_ids: Iterable[int]) -> int:
    """Let the held offers of those lines count, and return how many did not before."""
    return sum(
        sql.run("UPDATE offer SET held = '' WHERE line_id = ? AND held <> ''", (line_id,))
        for line_id in line_ids
    )


def offers_of_list(list_id: int) -> list[OfferRow]:
    """Return every offer that a price list brought."""
    return _with_breaks(sql.rows(f"{_OFFER} WHERE o.price_list_id = ?", (list_id,)))


def _with_breaks(found: Sequence[tuple[Any, ...]]) -> list[OfferRow]:
    breaks: dict[object, list[tuple[int, int]]] = {}
    for offer_id, units, price in sql.rows_for(
        "SELECT offer_id, from_units, price_e4 FROM price_break WHERE offer_id IN ({marks})"
        " ORDER BY offer_id, from_units",
        (row[0] for row in found),
    ):
        breaks.setdefault(offer_id, []).append((units, price))
    rows = sorted(found, key=lambda row: int(str(row[0])))
    return [
        OfferRow(*[*row[:16], tuple(breaks.get(row[0], ())), row[13] or str(row[16])[:10]])
        for row in rows
    ]


def offers_of_supplier(supplier_id: int, as_of: str) -> list[OfferRow]:
    """Return what a supplier offers on the ISO date, as `live_offers` counts it."""
    found = sql.rows(
        "SELECT DISTINCT part_id FROM offer WHERE supplier_id = ? AND withdrawn_at IS NULL",
        (supplier_id,),
    )
    rows = live_offers((row[0] for row in found), as_of)
    return [row for row in rows if row.supplier_id == supplier_id]
