"""Loading parts, claims and kit contents from the shop's own files."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict

from partsdb.jobs.named import the_part
from partsdb.jobs.shop_files import FileFormat, LoadCount, Row, Table
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem
from partsdb.rules.freight import packed_volume_mm3
from partsdb.rules.numbers import number_identity
from partsdb.rules.pressure import rating
from partsdb.rules.roles import known_roles
from partsdb.rules.sources import names_source
from partsdb.store import catalogue, claims, events, makers
from partsdb.store.rows import ClaimRow, NewClaim, NewPart, PartRow, Stamp

PARTS = FileFormat(
    "parts.csv",
    ("maker", "number", "description", "role"),
    ("weight_g", "origin", "heading", "packed_mm"),
)
CLAIMS = FileFormat(
    "claims.csv",
    ("maker", "number", "kind", "value", "evidence"),
    ("about", "basis", "source"),
)
KITS = FileFormat(
    "kits.csv",
    ("maker", "number", "item", "role", "quantity", "kind"),
    ("material", "size"),
)
BASES = ("working", "proof", "burst")
ITEM_KINDS = ("wear item", "hardware", "consumable")
# A part may be fit for several fluids and meet several standards; of the rest one value counts.
_SEVERAL = (ClaimKind.FLUID, ClaimKind.STANDARD, ClaimKind.PORT)


def find_part(row: Row, maker_column: str = "maker", number_column: str = "number") -> int | None:
    """Return the id of the part that a row names; what is unknown or unclear is its problem."""
    if row.table.is_typed:
        return _typed_part(row, maker_column, number_column)
    maker = row.text(maker_column, needed=True)
    number = row.text(number_column, needed=True)
    if not (maker and number):
        return None
    found = catalogue.find_parts(number, maker)
    if len(found) == 1 and number_identity(found[0].number) == number_identity(number):
        return found[0].id
    if found:  # several, or one that only looks alike (O and 0): never taken without a word
        names = " or ".join(part.number for part in found)
        row.bad(number_column, f"{maker} {number} may be {names}; write the number as printed")
    else:
        row.bad(number_column, f"no part {maker} {number} is known; add it to the parts first")
    return None


def _typed_part(row: Row, maker_column: str, number_column: str) -> int | None:
    """Return the part that was typed; its maker may be left out where the number tells it."""
    number = row.text(number_column, needed=True)
    maker = row.text(maker_column) or None
    if not number:
        return None
    found = row.tried(number_column, lambda: the_part(number, maker), None)
    return found.id if found else None


def load_parts(table: Table, by: Stamp) -> LoadCount:
    """Store the parts of a table: new ones are added, changed ones updated, the rest left."""
    wanted: dict[tuple[str, str], NewPart] = {}
    for row in table.rows:
        part = _read_part(row)
        key = (row.text("maker").casefold(), part.number)
        if wanted.setdefault(key, part) != part:
            row.bad("number", f"{row.text('maker')} {part.number} stands twice, and differs")
    table.refuse_if_bad()
    return _store_parts(table, list(wanted.values()), by)


def _read_part(row: Row) -> NewPart:
    maker = row.text("maker", needed=True)
    return NewPart(
        maker_id=makers.add_maker(maker) if maker else 0,
        number=row.text("number", needed=True),
        description=row.text("description"),
        role=row.choice("role", known_roles(), needed=False),
        weight_g=row.whole("weight_g"),
        origin=row.text("origin"),
        heading=row.text("heading"),
        packed_mm=_packed(row),
    )


def _packed(row: Row) -> str:
    """Return the packed size as "245x120x30"; what is none is the cell's problem."""
    written = row.text("packed_mm")
    if written:
        row.tried("packed_mm", lambda: packed_volume_mm3(written), 0)
    return re.sub(r"\s*[×*x]\s*", "x", written)


def _store_parts(table: Table, wanted: list[NewPart], by: Stamp) -> LoadCount:
    known = catalogue.parts_of_makers({part.maker_id for part in wanted})
    fresh = [part for part in wanted if (part.maker_id, part.number) not in known]
    pairs = ((known.get((part.maker_id, part.number)), part) for part in wanted)
    merged = [(old, _merged(old, part)) for old, part in pairs if old]
    changed = [(old, part) for old, part in merged if not _says(old, part)]
    ids = catalogue.add_parts(fresh, by=by)
    for old, part in changed:
        catalogue.update_part(old.id, part)
    added = ((i, {"is": _facts(part)}) for i, part in zip(ids, fresh, strict=True))
    events.record_many("add", (("part", i, detail) for i, detail in added), by=by)
    altered = (
        ("part", old.id, {"was": old._asdict(), "is": _facts(part)}) for old, part in changed
    )
    events.record_many("change", altered, by=by)
    same = len(wanted) - len(fresh) - len(changed)
    return LoadCount(table.name, len(fresh), same, len(changed), tuple(table.cautions))


def _merged(old: PartRow, part: NewPart) -> NewPart:
    """Return what is said now over what was said before: an empty cell takes nothing away."""
    said = {name: value or getattr(old, name) for name, value in part._asdict().items()}
    return NewPart(**said)


def _facts(part: NewPart) -> dict[str, object]:
    return {name: value for name, value in part._asdict().items() if value not in ("", None)}


def _says(stored: PartRow, part: NewPart) -> bool:
    return stored.price_list_id is None and all(
        getattr(stored, name) == value for name, value in part._asdict().items()
    )


def load_claims(table: Table, by: Stamp) -> LoadCount:
    """Store the claims of a table. One that says something else supersedes what it said before.

    The same source at the same level about the same thing replaces its own former value; what
    another source says stays beside it.
    """
    read = [(find_part(row), _read_claim(row)) for row in table.rows]
    table.refuse_if_bad()
    wanted = list(dict.fromkeys((i, claim) for i, claim in read if i is not None))
    stored = claims.claims_of({i for i, _ in wanted})
    present = {(old.part_id, old.claim) for old in stored}
    fresh = [(i, claim) for i, claim in wanted if (i, claim) not in present]
    outdated = _outdated(stored, wanted)
    news = []
    for i, claim in fresh:
        was = outdated.pop(_subject(i, claim), None) if claim.kind not in _SEVERAL else None
        news.append(NewClaim(i, claim, supersedes_id=was.id if was else None))
    claims.add_claims(news, by=by)
    _record_claims(news, by)
    changed = sum(new.supersedes_id is not None for new in news)
    same = len(read) - len(news)
    return LoadCount(table.name, len(news) - changed, same, changed, tuple(table.cautions))


def _outdated(
    stored: Iterable[ClaimRow], wanted: Iterable[tuple[int, Claim]]
) -> dict[tuple[object, ...], ClaimRow]:
    """Return what no row of the table says any more, by what it is about."""
    said = set(wanted)
    left = (old for old in stored if (old.part_id, old.claim) not in said)
    return {_subject(old.part_id, old.claim): old for old in left if old.price_list_id is None}


def _subject(part_id: int, claim: Claim) -> tuple[object, ...]:
    return part_id, claim.kind, claim.about, claim.basis, claim.evidence, claim.source


def _read_claim(row: Row) -> Claim:
    kind = row.choice("kind", ClaimKind)
    evidence = row.choice("evidence", EvidenceLevel)
    claim = Claim(
        kind=ClaimKind(kind) if kind else ClaimKind.STANDARD,
        value=row.text("value", needed=True),
        evidence=EvidenceLevel(evidence) if evidence else EvidenceLevel.INFERRED,
        about=row.text("about"),
        basis=_read_basis(row, kind),
        source=row.text("source"),
    )
    if claim.kind is ClaimKind.RATING and claim.value:
        _check_rating(row, claim)
        if not names_source(claim.source):
            row.caution("source", "a rating that names no document and page shows nothing")
    return claim


def _read_basis(row: Row, kind: str) -> str:
    # Only a rating has one of three bases; a port's basis says how it seals ("60° cone").
    return row.choice("basis", BASES, needed=False) if kind == "rating" else row.text("basis")


def _check_rating(row: Row, claim: Claim) -> None:
    problems: list[str] = []
    read = Row(Table(row.table.name, problems=problems), row.row, row.cells)
    read.tried("value", lambda: rating(claim.value, in_pressure_context=True), None)
    if problems:
        row.caution("value", f"{claim.value!r} shows no rating: {problems[0].partition(': ')[2]}")


def _record_claims(news: Iterable[NewClaim], by: Stamp) -> None:
    said: dict[int, list[dict[str, object]]] = {}
    for new in news:
        facts: dict[str, object] = {k: str(v) for k, v in asdict(new.claim).items() if v}
        if new.supersedes_id:
            facts["supersedes"] = new.supersedes_id
        said.setdefault(new.part_id, []).append(facts)
    events.record_many("claim", (("part", i, {"claims": c}) for i, c in said.items()), by=by)


def load_kits(table: Table, by: Stamp) -> LoadCount:
    """Store the contents of the kits in a table; each kit's rows are all of its contents."""
    wanted: dict[int, list[KitItem]] = {}
    for row in table.rows:
        part_id, item = find_part(row), _read_item(row)
        if part_id is not None:
            wanted.setdefault(part_id, []).append(item)
    table.refuse_if_bad()
    return _store_kits(table, wanted, by)


def _read_item(row: Row) -> KitItem:
    return KitItem(
        item=row.text("item", needed=True),
        role=row.choice("role", known_roles()),
        quantity=row.whole("quantity", least=1) or 1,
        kind=row.choice("kind", ITEM_KINDS),
        material=row.text("material"),
        size=row.text("size"),
    )


def _store_kits(table: Table, wanted: Mapping[int, list[KitItem]], by: Stamp) -> LoadCount:
    rows = catalogue.part_rows(wanted)
    # What a seller says of his own kit is not yet stated here, even where it is the same.
    stated = {i for i, row in rows.items() if row.contents_stated == claims.BY_THE_SHOP}
    before = claims.contents_of(wanted)
    news = {i: items for i, items in wanted.items() if i not in stated}
    changed = {i: items for i, items in wanted.items() if i in stated and before[i] != tuple(items)}
    claims.set_contents_of({**news, **changed})
    events.record_many(
        "contents",
        (
            (
                "part",
                i,
                {
                    "was": [asdict(old) for old in before[i]],
                    "is": [asdict(k) for k in now],
                    "stated": rows[i].contents_stated,
                },
            )
            for i, now in {**news, **changed}.items()
        ),
        by=by,
    )
    same = len(wanted) - len(news) - len(changed)
    return LoadCount(table.name, len(news), same, len(changed), tuple(table.cautions))
