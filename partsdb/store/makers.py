"""Makers, their other spellings, and suppliers."""

from __future__ import annotations

from partsdb.rules.makers import name_key
from partsdb.store import sql
from partsdb.store.rows import MakerRow, SupplierRow

_SUPPLIER = (
    "SELECT s.id, s.name, coalesce(m.name, ''), s.note, s.maker_id"
    " FROM supplier s LEFT JOIN maker m ON m.id = s.maker_id"
)


def add_maker(name: str) -> int:
    """Return the id of the maker of that name, adding it when it is new."""
    from partsdb.store.models import Maker

    known = find_maker(name)
    if known:
        return known.id
    return int(Maker.insert(name=name.strip(), name_key=name_key(name)).execute())


def find_maker(name: str) -> MakerRow | None:
    """Return the maker of that name or alias, spelling and legal form aside, or None."""
    key = name_key(name)
    row = sql.first("SELECT id, name FROM maker WHERE name_key = ?", (key,)) or sql.first(
        "SELECT m.id, m.name FROM maker_alias a JOIN maker m ON m.id = a.maker_id"
        " WHERE a.alias_key = ?",
        (key,),
    )
    return MakerRow(*row) if row else None


def maker_rows() -> list[MakerRow]:
    """Return all makers by name."""
    return [MakerRow(*row) for row in sql.rows("SELECT id, name FROM maker ORDER BY name")]


def alias_keys() -> dict[str, int]:
    """Return every key under which a maker is known, with the maker's id."""
    found = sql.rows(
        "SELECT alias_key, maker_id FROM maker_alias UNION SELECT name_key, id FROM maker"
    )
    return dict(found)


def add_alias(maker_id: int, alias: str) -> None:
    """Let `alias` also mean the maker; the same alias again changes nothing."""
    from partsdb.store.models import MakerAlias

    MakerAlias.insert(
        alias_key=name_key(alias), spelling=alias, maker=maker_id
    ).on_conflict_ignore().execute()


def add_supplier(name: str, *, maker_id: int | None = None, note: str = "") -> int:
    """Store a new supplier and return its id."""
    return sql.insert(
        "supplier", "name, name_key, maker_id, note", (name.strip(), name_key(name), maker_id, note)
    )


def update_supplier(supplier_id: int, *, maker_id: int | None, note: str) -> None:
    """Change whose numbers the supplier's own are, and the note about it."""
    sql.run(
        "UPDATE supplier SET maker_id = ?, note = ? WHERE id = ?", (maker_id, note, supplier_id)
    )


def find_supplier(name: str) -> SupplierRow | None:
    """Return the supplier of that name, spelling and legal form aside, or None."""
    row = sql.first(f"{_SUPPLIER} WHERE s.name_key = ?", (name_key(name),))
    return SupplierRow(*row) if row else None


def supplier_rows() -> list[SupplierRow]:
    """Return all suppliers by name."""
    return [SupplierRow(*row) for row in sql.rows(f"{_SUPPLIER} ORDER BY s.name")]
