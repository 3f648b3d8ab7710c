"""The change radar: a batch against the supplier's list before it; what is suspicious waits."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from importers.rows import RowKind
from partsdb.errors import UsageError
from partsdb.jobs.earlier_lines import key_of_row, last_priced, let_through, waiting_keys
from partsdb.jobs.list_compare import (
    GONE,
    RAISED,
    Change,
    Documented,
    by_code,
    key_of,
    line_changes,
    list_changes,
)
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.settings import share
from partsdb.jobs.stored_list import live_head, stored_list
from partsdb.matching.readings import ReadingKind
from partsdb.rules.facts import ClaimKind, EvidenceLevel
from partsdb.rules.numbers import number_identity
from partsdb.store import claims, events, lists, offers
from partsdb.store.rows import NewClaim, Stamp
from partsdb.store.rows_lists import PriceListRow

# What counts as a document for a rating: not the supplier's own word, and not our inference.
_SHOWS = (
    EvidenceLevel.MAKERS_DOCUMENT,
    EvidenceLevel.MEASURED_HERE,
    EvidenceLevel.SUPPLIERS_DOCUMENT,
)


@dataclass(frozen=True, slots=True)
class Renewal:
    """The earlier list that a new one takes the place of: so many of its codes are in the new."""

    list_id: int
    shared: int
    codes: int

    @property
    def text(self) -> str:
        """Return the sentence that is stored with the new list."""
        return (
            f"this list renews batch {self.list_id}: {self.shared} of its {self.codes} codes are "
            "in it; what is not in it is no longer offered"
        )


@dataclass(frozen=True, slots=True)
class ChangesAnswer:
    """What changed from one batch to the next; `waiting` counts the lines held for a person."""

    batch: int
    before: int | None
    supplier: str
    waiting: int
    changes: tuple[Change, ...]


def renewal_of(supplier_id: int, lines: Iterable[ReadLine]) -> Renewal | None:
    """Return the newest live list of which at least half of the articles are in the new one.

    A leaflet with other articles, or with a few of them, stands beside the list that was.
    """
    keys = set(map(key_of, lines)) - {""}
    for head in lists.list_rows(supplier_id):
        if head.withdrawn_at:
            continue
        before = _codes_of(head.id)
        shared = len(before & keys)
        if before and shared * 2 >= len(before):
            return Renewal(head.id, shared, len(before))
    return None


def renewed_by(head: PriceListRow, as_of: str) -> PriceListRow | None:
    """Return the live list, in force on the ISO date, that first took the place of a list."""
    rows: list[PriceListRow] = lists.list_rows(head.supplier_id)
    renews = {row.id: row.renews_id for row in rows}
    for later in rows[::-1]:
        if later.withdrawn_at or (later.valid_from or "") > as_of:
            continue
        at = renews[later.id]
        while at is not None and at != head.id:
            at = renews[at]
        if at == head.id:
            return later
    return None


def waiting_lines(lines: Sequence[ReadLine], before: int) -> dict[int, str]:
    """Return index of a line -> why its offer waits for a person, against the batch before."""
    return waiting_since(lines, by_code(stored_list(before).lines), before)


def waiting_since(
    lines: Sequence[ReadLine], was: Mapping[str, ReadLine], before: int
) -> dict[int, str]:
    """Return the same against given lines of the batch before, and older ones that it lacks.

    What waits there and was never let through waits here too.
    """
    settled, waiting = let_through(before, was), waiting_keys(before)
    held = waiting_against(lines, settled)
    for index, line in enumerate(lines):
        key = key_of(line)
        if key in waiting and line.listed.offer and settled.get(key) is was.get(key):
            held.setdefault(index, waiting[key])
    older = last_priced(before, lines, settled)
    for index, why in waiting_against(lines, older).items():
        reasons = (*filter(None, held.get(index, "").split("; ")), *why.split("; "))
        held[index] = "; ".join(dict.fromkeys(reasons))
    return held


def waiting_against(lines: Sequence[ReadLine], was: Mapping[str, ReadLine]) -> dict[int, str]:
    """Return index of a line -> why its offer waits, against earlier lines by their code."""
    jump, documented = price_jump(), _documented(lines)
    held: dict[int, str] = {}
    for index, line in enumerate(lines):
        if line.listed.row.kind is RowKind.ITEM and (old := was.get(key_of(line))):
            changes = line_changes(old, line, jump, documented)
            if said := [f"{c.kind}: {c.text}" for c in changes if c.waits]:
                held[index] = "; ".join(said)
    return held


def changes_of(batch: int) -> ChangesAnswer:
    """Return what a batch changed; raises NotFoundError or UsageError when it is not live."""
    head = live_head(batch)
    before = batch_before(head)
    waiting = len(offers.held_offers(batch))
    if before is None:
        return ChangesAnswer(batch, None, head.supplier, waiting, ())
    now, was = stored_list(batch).lines, let_through(before, by_code(stored_list(before).lines))
    earlier = dict.fromkeys(_earlier(head.supplier_id, before)) | last_priced(before, now, was)
    found = list_changes(was, by_code(now), price_jump(), _documented(now), earlier=earlier)
    told = tuple(_of_batch(change, before) if change.kind == GONE else change for change in found)
    return ChangesAnswer(batch, before, head.supplier, waiting, told)


def _of_batch(change: Change, batch: int) -> Change:
    """Return a change whose line stands in another batch than the one that is asked about."""
    return replace(change, place=f"batch {batch}, {change.place}")


def accept_changes(batch: int, codes: Sequence[str], by: Stamp) -> int:
    """Let the held lines of those codes count, all of them without codes; return how many.

    Raises UsageError for a code that waits for nobody.
    """
    live_head(batch)
    held = offers.held_offers(batch)
    lines = {line.id: line for line in lists.lines_of(batch) if line.id in held}
    wanted = {number_identity(code): code for code in codes}
    keys = {line_id: key_of_row(line) for line_id, line in lines.items()}
    if missing := [code for key, code in wanted.items() if key not in keys.values()]:
        raise UsageError(
            f"nothing of {', '.join(missing)} waits in batch {batch}",
            hint=f"partsdb pricelist changes {batch} shows what waits",
        )
    chosen = [line_id for line_id in lines if not wanted or keys[line_id] in wanted]
    offers.release_offers(chosen)
    _store_ratings(batch, {each: held[each] for each in chosen}, by)
    accepted = {lines[line_id].code: held[line_id] for line_id in chosen}
    if accepted:
        events.record("accept changes", ("price list", batch), {"lines": accepted}, by=by)
    return len(chosen)


def _store_ratings(batch: int, held: Mapping[int, str], by: Stamp) -> None:
    """Store the ratings that waited with their lines, on the supplier's word as any other."""
    if not any(RAISED in why for why in held.values()):
        return
    stored = lists.lines_of(batch)
    readings = {row.line_id: row for row in lists.readings_of(batch)}
    new = [
        NewClaim(part_id, claim, line.id, batch)
        for line, read in zip(stored, stored_list(batch).lines, strict=True)
        if RAISED in held.get(line.id, "")
        and (part_id := readings[line.id].own_part_id or readings[line.id].part_id) is not None
        for claim in read.claims
        if claim.kind is ClaimKind.RATING
    ]
    claims.add_claims(new, by=by)


def price_jump() -> Fraction:
    """Return by what share a price may move before a person is asked (the setting price_jump)."""
    return share("price_jump")


def batch_before(head: PriceListRow) -> int | None:
    """Return the batch that a stored one is compared with, if there is any."""
    return head.renews_id or _list_before(head.id, head.supplier_id)


def _list_before(batch: int, supplier_id: int) -> int | None:
    return next(
        (r.id for r in lists.list_rows(supplier_id) if r.id < batch and not r.withdrawn_at), None
    )


def _earlier(supplier_id: int, before: int) -> frozenset[str]:
    """Return the codes of the supplier's live lists older than the one compared with."""
    older = [r.id for r in lists.list_rows(supplier_id) if r.id < before and not r.withdrawn_at]
    return frozenset().union(*(_codes_of(each) for each in older))


def _codes_of(list_id: int) -> set[str]:
    """Return the codes of a list, the maker's numbers where it has none, as they are compared."""
    return set(map(number_identity, lists.codes_of(list_id))) - {""}


def _documented(lines: Iterable[ReadLine]) -> Documented:
    """Return a test whether a document of ours shows the part of a line at so many pascals."""
    part_ids = {line.reading.part_id for line in lines} - {None}
    best: dict[int, int] = {}
    for row in claims.claims_of(part for part in part_ids if part is not None):
        if row.claim.evidence in _SHOWS and row.pascals:
            best[row.part_id] = max(best.get(row.part_id, 0), row.pascals)

    def shown(line: ReadLine, pascals: int) -> bool:
        return (
            line.reading.kind is ReadingKind.OFFER
            and best.get(line.reading.part_id or 0, 0) >= pascals
        )

    return shown


def list_before(supplier_id: int, renewal: Renewal | None) -> int | None:
    """Return the batch that a new list of the supplier is compared with, if there is any."""
    if renewal is not None:
        return renewal.list_id
    return _list_before(sys.maxsize, supplier_id)
