"""What is said about parts: claims, kit contents, and both together as the rules want them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from typing import TYPE_CHECKING

from partsdb.errors import InputRefusedError
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem, PartFacts
from partsdb.store import sql
from partsdb.store.rows import ClaimRow, NewClaim, Stamp

if TYPE_CHECKING:
    from partsdb.rules.pressure import Pressure

# Who stated a kit's contents, in `part.contents_stated`; 0 where nobody did.
BY_THE_SHOP, BY_A_SELLER = 1, 2
_PAPER = EvidenceLevel.MAKERS_DOCUMENT
_KNOWN_BY = {BY_THE_SHOP: _PAPER, BY_A_SELLER: EvidenceLevel.SUPPLIERS_WORD}
_COLUMNS = (
    "id, part_id, kind, about, value, pascals, basis, reference, evidence, source, line_id,"
    " price_list_id, made_by, made_at, supersedes_id"
)
_CLAIM = (
    "SELECT id, part_id, kind, value, evidence, about, basis, source, pascals, made_by, made_at,"
    " price_list_id FROM claim_now"
)


def add_claims(claims: Iterable[NewClaim], *, by: Stamp) -> list[int]:
    """Store claims as made and return their ids; a rating's pascals beside it, rounded down.

    A rating that cannot be read is stored with no pascals: it shows nothing, and is not lost.
    """
    free = sql.next_id("claim")
    values = [_values(free + n, new, by) for n, new in enumerate(claims)]
    sql.insert_many("claim", _COLUMNS, values)
    return list(range(free, free + len(values)))


def _values(claim_id: int, new: NewClaim, by: Stamp) -> tuple[object, ...]:
    claim = new.claim
    read = _read_rating(claim.value) if claim.kind is ClaimKind.RATING else None
    return (
        claim_id, new.part_id, str(claim.kind), claim.about, claim.value,
        read.pascals if read else None, claim.basis, read.reference if read else "",
        str(claim.evidence), claim.source, new.line_id, new.price_list_id, by.who, by.at,
        new.supersedes_id,
    )  # fmt: skip


@lru_cache(maxsize=4096)
def _read_rating(value: str) -> Pressure | None:
    from partsdb.rules.pressure import rating

    try:
        return rating(value, in_pressure_context=True)
    except InputRefusedError:
        return None


def claims_of(part_ids: Iterable[int]) -> list[ClaimRow]:
    """Return the live claims about those parts: neither withdrawn nor superseded."""
    found = sql.rows_for(_CLAIM + " WHERE part_id IN ({marks})", part_ids)
    return [_claim_row(row) for row in sorted(found)]


def withdraw_claim(claim_id: int, *, by: Stamp) -> None:
    """Take a claim back; what it superseded counts again."""
    sql.run("UPDATE claim SET withdrawn_at = ? WHERE id = ?", (by.at, claim_id))


def part_facts(part_ids: Iterable[int]) -> dict[int, PartFacts]:
    """Return what the rules are told about each part: live claims and contents, in few queries."""
    ids = list(part_ids)
    parts = sql.rows_for(
        "SELECT p.id, m.name, p.number, p.description, p.role, p.contents_stated FROM part p"
        " JOIN maker m ON m.id = p.maker_id WHERE p.id IN ({marks})",
        ids,
    )
    claims: dict[int, list[Claim]] = {}
    for row in claims_of(ids):
        claims.setdefault(row.part_id, []).append(row.claim)
    items = contents_of(i for i, *_, stated in parts if stated)
    return {
        i: PartFacts(
            *[*texts, tuple(claims.get(i, ())), items.get(i), _KNOWN_BY.get(stated, _PAPER)]
        )
        for i, *texts, stated in parts
    }


def contents_of(part_ids: Iterable[int]) -> dict[int, tuple[KitItem, ...]]:
    """Return the stated contents of each kit, in the order they were given."""
    ids = list(part_ids)
    found = sql.rows_for(
        "SELECT part_id, item, role, quantity, kind, material, size FROM kit_item"
        " WHERE part_id IN ({marks}) ORDER BY id",
        ids,
    )
    items: dict[int, list[KitItem]] = {i: [] for i in ids}
    for part_id, *values in found:
        items[part_id].append(KitItem(*values))
    return {i: tuple(each) for i, each in items.items()}


def set_contents(part_id: int, items: Sequence[KitItem], *, by_seller: bool = False) -> None:
    """State what a kit holds, in the place of what was stated before."""
    set_contents_of({part_id: items}, by_seller=by_seller)


def set_contents_of(contents: Mapping[int, Sequence[KitItem]], *, by_seller: bool = False) -> None:
    """State what each of many kits holds; what a seller says of his kit is his word."""
    ids = [(part_id,) for part_id in contents]
    sql.connection().executemany("DELETE FROM kit_item WHERE part_id = ?", ids)
    sql.insert_many(
        "kit_item",
        "part_id, item, role, quantity, kind, material, size",
        (
            (part_id, i.item, i.role, i.quantity, i.kind, i.material, i.size)
            for part_id, items in contents.items()
            for i in items
        ),
    )
    sql.connection().executemany(
        "UPDATE part SET contents_stated = ? WHERE id = ?",
        [(BY_A_SELLER if by_seller else BY_THE_SHOP, part_id) for (part_id,) in ids],
    )


def _claim_row(row: Sequence[object]) -> ClaimRow:
    claim_id, part_id, kind, value, evidence, about, basis, source, *rest = row
    claim = Claim(
        ClaimKind(str(kind)), str(value), EvidenceLevel(str(evidence)), str(about), str(basis),
        str(source),
    )  # fmt: skip
    return ClaimRow(claim_id, part_id, claim, *rest)  # type: ignore[arg-type]
