"""What may be wrong or missing in the database, as rows: the doctor puts it into words."""

from __future__ import annotations

from partsdb.rules.makers import name_key
from partsdb.rules.numbers import number_fold, number_key
from partsdb.store import sql

Named = list[tuple[int, str]]  # (id, name for people)

_PART_NAME = "m.name || ' ' || p.number"


def engine_findings(limit: int = 20) -> list[str]:
    """Return what the engine's own check of the file finds; nothing when it is sound."""
    found = [str(row[0]) for row in sql.rows(f"PRAGMA integrity_check({limit})")]
    strays = sql.rows("PRAGMA foreign_key_check")
    broken = [f"row {row[1]} of {row[0]} refers to a missing {row[2]}" for row in strays[:limit]]
    return [text for text in found if text != "ok"] + broken


def wrong_keys() -> Named:
    """Return the parts and names whose stored key is not the one that is computed now."""
    found = sql.rows(
        f"SELECT p.id, {_PART_NAME}, p.number, p.number_key, p.number_fold FROM part p"
        " JOIN maker m ON m.id = p.maker_id"
    )
    parts = [
        (i, name)
        for i, name, number, key, fold in found
        if (key, fold) != (number_key(number), number_fold(number))
    ]
    named = [
        (i, name)
        for table in ("maker", "supplier", "recipe")
        for i, name, key in sql.rows(f"SELECT id, name, name_key FROM {table}")
        if key != name_key(name)
    ]
    return parts + named


def kits_without_contents() -> Named:
    """Return the live kits whose contents nobody stated."""
    return _named(
        f"SELECT p.id, {_PART_NAME} FROM part p JOIN maker m ON m.id = p.maker_id"
        " WHERE p.role LIKE '%kit' AND p.contents_stated = 0 AND p.withdrawn_at IS NULL"
        " AND p.price_list_id IS NULL ORDER BY 2"
    )


def called_for_under_pressure() -> Named:
    """Return the parts that a position under pressure calls for."""
    return _named(
        f"SELECT DISTINCT p.id, {_PART_NAME} FROM position_part c"
        " JOIN part p ON p.id = c.part_id JOIN maker m ON m.id = p.maker_id"
        " JOIN position_demand d ON d.position_id = c.position_id AND d.kind = 'pressure'"
        " ORDER BY 2"
    )


def unreadable_ratings() -> Named:
    """Return the ratings that show nothing because no pressure can be read in them."""
    return _named(
        f"SELECT c.id, {_PART_NAME} || ': ' || c.value FROM claim_now c"
        " JOIN part p ON p.id = c.part_id JOIN maker m ON m.id = p.maker_id"
        " WHERE c.kind = 'rating' AND c.pascals IS NULL ORDER BY 2"
    )


def positions_without_pressure() -> list[tuple[int, str, str]]:
    """Return (id, name, role) of the positions that state no pressure demand."""
    return [
        (row[0], row[1], row[2])
        for row in sql.rows(
            "SELECT p.id, c.model || ': ' || p.name, p.role FROM position p"
            " JOIN machine c ON c.id = p.machine_id WHERE c.serviced = 1 AND NOT EXISTS"
            " (SELECT 1 FROM position_demand d WHERE d.position_id = p.id AND d.kind = 'pressure')"
            " ORDER BY 2"
        )
    ]


def accepted_edges() -> list[tuple[tuple[str, str], tuple[str, str], str, str]]:
    """Return (names of the pair, their roles, evidence, source) of every approval."""
    return [
        ((row[0], row[1]), (row[2], row[3]), row[4], row[5])
        for row in sql.rows(
            "SELECT am.name || ' ' || a.number, fm.name || ' ' || f.number,"
            " a.role, f.role, e.evidence, e.source FROM stands_in_now e"
            " JOIN part a ON a.id = e.asked_part_id JOIN maker am ON am.id = a.maker_id"
            " JOIN part f ON f.id = e.fitted_part_id JOIN maker fm ON fm.id = f.maker_id"
            " WHERE e.state = 'accepted' ORDER BY 1, 2"
        )
    ]


def supersession_pairs() -> list[tuple[str, str]]:
    """Return (old, new) by maker and number of every live supersession that has a successor."""
    return [
        (row[0], row[1])
        for row in sql.rows(
            "SELECT om.name || ' ' || o.number, nm.name || ' ' || n.number FROM supersession s"
            " JOIN part o ON o.id = s.old_part_id JOIN maker om ON om.id = o.maker_id"
            " JOIN part n ON n.id = s.new_part_id JOIN maker nm ON nm.id = n.maker_id"
            " WHERE s.withdrawn_at IS NULL ORDER BY 1, 2"
        )
    ]


def roles_in_use() -> dict[str, int]:
    """Return every role of live parts and positions with how often it stands."""
    found = sql.rows(
        "SELECT role, count(*) FROM (SELECT role FROM part WHERE withdrawn_at IS NULL"
        " UNION ALL SELECT role FROM position) GROUP BY role ORDER BY role"
    )
    return dict(found)


def suppliers_without_terms(as_of: str) -> Named:
    """Return the suppliers who have live offers but no terms on the ISO date."""
    return _named(
        "SELECT s.id, s.name FROM supplier s WHERE EXISTS (SELECT 1 FROM offer o"
        " WHERE o.supplier_id = s.id AND o.withdrawn_at IS NULL) AND NOT EXISTS"
        " (SELECT 1 FROM supplier_terms t WHERE t.supplier_id = s.id AND t.valid_from <= ?)"
        " ORDER BY s.name",
        (as_of,),
    )


def currencies_of_offers() -> list[str]:
    """Return the currencies that live offers and terms are in, other than the euro."""
    found = sql.rows(
        "SELECT DISTINCT currency FROM (SELECT currency FROM offer WHERE withdrawn_at IS NULL"
        " UNION SELECT currency FROM supplier_terms) WHERE currency <> 'EUR' ORDER BY 1"
    )
    return [row[0] for row in found]


def expired_lists(as_of: str) -> Named:
    """Return the live price lists that were valid to a day before the ISO date."""
    return _named(
        "SELECT l.id, s.name || ': ' || l.file_name || ' (to ' || l.valid_to || ')'"
        " FROM price_list l JOIN supplier s ON s.id = l.supplier_id"
        " WHERE l.withdrawn_at IS NULL AND l.valid_to < ? ORDER BY 2",
        (as_of,),
    )


def sizes() -> dict[str, int]:
    """Return how many rows the tables of the shop's own knowledge have."""
    tables = ("part", "claim", "stands_in", "supersession", "machine", "position", "supplier",
              "price_list", "line", "offer", "event")  # fmt: skip
    return {table: int((sql.first(f"SELECT count(*) FROM {table}") or (0,))[0]) for table in tables}


def _named(query: str, values: tuple[object, ...] = ()) -> Named:
    return [(int(row[0]), str(row[1])) for row in sql.rows(query, values)]
