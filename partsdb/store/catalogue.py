"""Parts, and how they are found by number."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from partsdb.rules.evidence import EVIDENCE_RANK, EvidenceLevel
from partsdb.rules.numbers import number_fold, number_identity, number_key, one_edit_keys
from partsdb.store import sql
from partsdb.store.makers import find_maker
from partsdb.store.rows import NewPart, PartRow, Stamp

_PART = (
    "SELECT p.id, m.name, p.maker_id, p.number, p.description, p.role, p.weight_g, p.origin,"
    " p.heading, p.contents_stated, p.price_list_id, p.packed_mm"
    " FROM part p JOIN maker m ON m.id = p.maker_id"
)
_COLUMNS = (
    "id, maker_id, number, number_key, number_fold, description, role, weight_g, origin, heading,"
    " price_list_id, added_at, packed_mm"
)


def add_parts(
    parts: Sequence[NewPart], *, by: Stamp, price_list_id: int | None = None
) -> list[int]:
    """Store the parts that are new and return the id of each, in order.

    A part that is stored already keeps what it says; one that went with a withdrawn list comes
    back as part of the list that brings it now.
    """
    known = _known_numbers({part.maker_id for part in parts})
    free = sql.next_id("part")
    ids, fresh, revived = [], [], []
    for part in parts:
        found = known.get((part.maker_id, part.number))
        if found is None:
            found = (free, False)
            known[part.maker_id, part.number] = found
            fresh.append(_values(free, part, by, price_list_id))
            free += 1
        elif found[1]:
            revived.append((part.description, part.role, price_list_id, found[0]))
        ids.append(found[0])
    sql.insert_many("part", _COLUMNS, fresh)
    sql.connection().executemany(
        "UPDATE part SET description = ?, role = ?, price_list_id = ?, withdrawn_at = NULL"
        " WHERE id = ? AND withdrawn_at IS NOT NULL",
        revived,
    )
    return ids


def add_part(part: NewPart, *, by: Stamp, price_list_id: int | None = None) -> int:
    """Store one part, or find it, and return its id."""
    return add_parts([part], by=by, price_list_id=price_list_id)[0]


def _known_numbers(maker_ids: Iterable[int]) -> dict[tuple[int, str], tuple[int, bool]]:
    found = sql.rows_for(
        "SELECT maker_id, number, id, withdrawn_at IS NOT NULL FROM part"
        " WHERE maker_id IN ({marks})",
        maker_ids,
    )
    return {(maker, number): (i, bool(gone)) for maker, number, i, gone in found}


def _values(
    part_id: int, part: NewPart, by: Stamp, price_list_id: int | None
) -> tuple[object, ...]:
    key, fold = number_key(part.number), number_fold(part.number)
    return (
        part_id, part.maker_id, part.number, key, fold, part.description, part.role,
        part.weight_g, part.origin, part.heading, price_list_id, by.at, part.packed_mm,
    )  # fmt: skip


def parts_of_makers(maker_ids: Iterable[int]) -> dict[tuple[int, str], PartRow]:
    """Return the live parts of those makers by (maker id, number as printed)."""
    found = sql.rows_for(
        _PART + " WHERE p.maker_id IN ({marks}) AND p.withdrawn_at IS NULL", maker_ids
    )
    return {(row[2], row[3]): _part(row) for row in found}


def ids_of_numbers(maker: str, numbers: Iterable[str]) -> dict[str, int]:
    """Return the ids of a maker's live parts by number, those of the numbers as printed alone."""
    known = find_maker(maker)
    if known is None:
        return {}
    wanted = set(numbers)
    found = sql.rows_for(
        "SELECT number, id FROM part WHERE maker_id = ? AND withdrawn_at IS NULL"
        " AND number_key IN ({marks})",
        map(number_key, wanted),
        (known.id,),
    )
    return {number: part_id for number, part_id in found if number in wanted}


def update_part(part_id: int, part: NewPart) -> None:
    """Write what the shop knows about a part, which makes it the shop's own; the number stays."""
    sql.run(
        "UPDATE part SET description = ?, role = ?, weight_g = ?, origin = ?, heading = ?,"
        " packed_mm = ?,"
        " price_list_id = NULL, withdrawn_at = NULL WHERE id = ?",
        (
            part.description,
            part.role,
            part.weight_g,
            part.origin,
            part.heading,
            part.packed_mm,
            part_id,
        ),
    )


def find_parts(number: str, maker: str | None = None) -> list[PartRow]:
    """Return the parts of that number as printed, else by key, else by look-alike fold.

    The first of the three that finds anything counts, for an exact number must not be mixed with
    numbers that differ in their punctuation (1.2-2.0 and 12-2.0 are two parts). To propose; what
    is recorded or judged goes by `parts_numbered`.
    """
    maker_id, is_known = _maker_id(maker)
    if not is_known:
        return []
    return parts_numbered(number, maker) or _by("number_fold", number_fold(number), maker_id)


def parts_numbered(number: str, maker: str | None = None) -> list[PartRow]:
    """Return the parts of that number as printed, else by key: no letter is taken for a figure.

    A letter that no key holds makes it another number: "Ü24-1180" is not 24-1180.
    """
    maker_id, is_known = _maker_id(maker)
    signs = number_identity(number)
    near = _by("number_key", number_key(number), maker_id) if is_known else []
    near = [part for part in near if number_identity(part.number) == signs]
    return [part for part in near if part.number == number.strip()] or near


def parts_one_slip_away(number: str, maker: str | None = None) -> list[PartRow]:
    """Return the parts whose number looks like it, or else differs from it by one sign."""
    maker_id, is_known = _maker_id(maker)
    if not is_known:
        return []
    key = number_key(number)
    folded = _by("number_fold", number_fold(number), maker_id)
    if folded or not _SHORTEST <= len(key) <= _LONGEST:
        return folded
    found = sql.rows_for(
        f"{_PART} WHERE (? IS NULL OR p.maker_id = ?) AND p.withdrawn_at IS NULL"
        " AND p.number_key IN ({marks})",
        sorted(set(one_edit_keys(key))),
        (maker_id, maker_id),
    )
    return sorted((_part(row) for row in found), key=lambda part: (part.maker, part.number))


# Of a shorter number every other is a slip away; a longer one is no number.
_SHORTEST, _LONGEST = 4, 30


def _maker_id(maker: str | None) -> tuple[int | None, bool]:
    """Return the maker's id, None for any, and whether there is such a maker."""
    known = find_maker(maker) if maker else None
    return known.id if known else None, bool(known) or not maker


def _by(column: str, value: str, maker_id: int | None) -> list[PartRow]:
    if not value:
        return []
    found = sql.rows(
        f"{_PART} WHERE p.{column} = ? AND p.withdrawn_at IS NULL"
        " AND (? IS NULL OR p.maker_id = ?) ORDER BY m.name, p.number",
        (value, maker_id, maker_id),
    )
    return [_part(row) for row in found]


def part_rows(part_ids: Iterable[int]) -> dict[int, PartRow]:
    """Return the parts of those ids, withdrawn ones too (history names them)."""
    found = sql.rows_for(_PART + " WHERE p.id IN ({marks})", part_ids)
    return {row[0]: _part(row) for row in found}


def search_parts(words: str, *, limit: int = 50) -> list[PartRow]:
    """Return live parts whose number begins with `words`, or whose description has them all."""
    terms = [f"%{_escaped(word)}%" for word in words.split()]
    tests = " AND ".join(["p.description LIKE ? ESCAPE '\\'"] * len(terms)) or "0"
    key = number_key(words)
    found = sql.rows(
        f"{_PART} WHERE p.withdrawn_at IS NULL AND (({tests})"
        " OR (? <> '' AND p.number_key >= ? AND p.number_key < ? || '~'))"
        " ORDER BY m.name, p.number LIMIT ?",
        [*terms, key, key, key, limit],
    )
    return [_part(row) for row in found]


def _escaped(word: str) -> str:
    return word.replace("\\", "\\\\").replace("%", "\\%").replace("_", "\\_")


def parts_of_role(roles: Iterable[str]) -> list[PartRow]:
    """Return the live parts of those roles, by maker and number."""
    found = sql.rows_for(
        _PART + " WHERE p.role IN ({marks}) AND p.withdrawn_at IS NULL ORDER BY m.name, p.number",
        roles,
    )
    return [_part(row) for row in found]


def catalogue_entries(
    *, with_list_parts: bool = False
) -> Iterator[tuple[int, str, str, str, str, str]]:
    """Yield (part id, maker, number, description, role, rating as written) of every live part.

    Parts that only a supplier's list brought in are left out unless `with_list_parts`: they are
    not of our catalogue, so no line is an offer of them by our own knowledge.
    """
    ratings = _best_ratings()
    found = sql.rows(
        "SELECT p.id, m.name, p.number, p.description, p.role FROM part p"
        " JOIN maker m ON m.id = p.maker_id WHERE p.withdrawn_at IS NULL"
        " AND (? OR p.price_list_id IS NULL) ORDER BY p.id",
        (int(with_list_parts),),
    )
    for row in found:
        yield (*row, ratings.get(row[0], ""))


def entries_of(part_ids: Iterable[int]) -> list[tuple[int, str, str, str, str, str]]:
    """Return what `catalogue_entries` yields, of those of the parts that are live and our own."""
    found = sql.rows_for(
        "SELECT p.id, m.name, p.number, p.description, p.role FROM part p"
        " JOIN maker m ON m.id = p.maker_id WHERE p.withdrawn_at IS NULL"
        " AND p.price_list_id IS NULL AND p.id IN ({marks})",
        part_ids,
    )
    claimed = sql.rows_for(
        f"SELECT part_id, evidence, value, id FROM claim_now WHERE {_RATED}"
        " AND part_id IN ({marks})",
        (row[0] for row in found),
    )
    ratings = _best(sorted(claimed, key=lambda row: row[3]))
    return [(*row[:5], ratings.get(row[0], "")) for row in found]


_RATED = "kind = 'rating' AND basis IN ('working', '') AND about = ''"


def _best_ratings() -> dict[int, str]:
    """Return each part's best-shown working rating as written; of equals the newest."""
    return _best(
        sql.rows(f"SELECT part_id, evidence, value FROM claim_now WHERE {_RATED} ORDER BY id")
    )


def _best(found: list[tuple[Any, ...]]) -> dict[int, str]:
    # Strongest evidence last, the newest last among equals: what is written last stays.
    found.sort(key=lambda row: EVIDENCE_RANK[EvidenceLevel(row[1])], reverse=True)
    return {row[0]: row[2] for row in found}


def _part(row: Sequence[Any]) -> PartRow:
    return PartRow(*row)
