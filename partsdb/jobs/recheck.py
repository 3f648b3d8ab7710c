"""What today's matcher and catalogue would take past lines for: told before it counts.

Nothing is stored unless asked for. A person's decision is never overruled: where the matcher
would settle a decided line otherwise than it did when that was decided, it is only told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from partsdb.jobs.decisions import restore
from partsdb.jobs.list_reader import ListReader
from partsdb.jobs.past import past_decisions, reading_of
from partsdb.jobs.reading_list import context_of
from partsdb.jobs.stored_list import as_listed, live_head
from partsdb.matching.confidence import SETTLED
from partsdb.matching.context import decision_key
from partsdb.matching.readings import MATCHER_VERSION, Reading
from partsdb.matching.second_look import is_decided
from partsdb.rules.counting import counted
from partsdb.store import catalogue, events, line_history, lists, makers
from partsdb.store.rows import PartRow, Stamp, SupplierRow
from partsdb.store.rows_lists import LineRow, PriceListRow


@dataclass(frozen=True, slots=True)
class Flip:
    """One line that would be read otherwise; `what` is "reading", or "decision" (never changed)."""

    batch: int
    supplier: str
    place: str
    code: str
    description: str
    what: str
    was: str
    now: str
    why: str


@dataclass(frozen=True, slots=True)
class Recheck:
    """What was compared and what would flip; `applied` lines were given their new reading."""

    matcher_version: int
    batches: int
    lines: int
    older: int
    flips: tuple[Flip, ...]
    applied: int
    summary: str


def recheck(batch: int, by: Stamp | None) -> Recheck:
    """Compare the stored readings of a batch (0: of all live ones) with today's.

    With `by` the readings that flip are stored, as a list read today would have them.
    """
    heads = [live_head(batch)] if batch else _live_heads()
    reader = ListReader()
    checked = [_Batch(head, reader) for head in heads]
    flips = [flip for each in checked for flip in each.flips()]
    applied = sum(each.apply(by) for each in checked) if by else 0
    lines, older = sum(each.lines for each in checked), sum(each.older for each in checked)
    summary = (
        f"{counted(lines, 'line')} of {counted(len(checked), 'batch', 'batches')} compared, "
        f"{older} of them read by another version than {MATCHER_VERSION}: {len(flips)} would flip, "
        f"{applied} were given a new reading"
    )
    return Recheck(MATCHER_VERSION, len(checked), lines, older, tuple(flips), applied, summary)


def _live_heads() -> list[PriceListRow]:
    return [head for head in reversed(lists.list_rows()) if not head.withdrawn_at]


class _Batch:
    """One batch, read anew beside what is stored of it."""

    def __init__(self, head: PriceListRow, reader: ListReader) -> None:
        self._head = head
        supplier = makers.find_supplier(head.supplier)
        self._supplier: SupplierRow | None = supplier
        self._rows = lists.lines_of(head.id)
        listed = as_listed(head, self._rows)
        context = context_of(supplier)
        decisions = past_decisions(supplier.id) if supplier else {}
        self._keys = {
            row.id: decision_key(line.text)
            for row, line in zip(self._rows, listed, strict=True)
            if decision_key(line.text) in decisions
        }
        self._decisions = decisions
        self._places = {
            row.id: line.row.place() for row, line in zip(self._rows, listed, strict=True)
        }
        self._now = self._by_line(reader.read(listed, context))
        # What the matcher says of decided lines by itself.
        self._alone: dict[int, Reading] = {}
        if self._keys:
            alone = reader.read(listed, replace(context, decisions={}))
            self._alone = self._by_line(alone)
        stored = lists.readings_of(head.id)
        self._stored = {row.line_id: reading_of(row) for row in stored}
        self.lines = len(stored)
        self.older = sum(row.matcher_version != MATCHER_VERSION for row in stored)

    def _by_line(self, readings: list[Reading]) -> dict[int, Reading]:
        return {row.id: reading for row, reading in zip(self._rows, readings, strict=True)}

    def changed(self) -> dict[int, Reading]:
        """Return the new reading of each line that would be taken for something else."""
        return {
            line_id: self._now[line_id]
            for line_id, before in self._stored.items()
            if meaning(before) != meaning(self._now[line_id])
        }

    def flips(self) -> list[Flip]:
        """Return the lines that would flip, and the decisions that the matcher now contradicts."""
        changed = self.changed()
        against = dict(self._against_decisions())
        ids = {r.part_id for r in (*self._stored.values(), *self._now.values(), *against.values())}
        ids |= {each.part_id for each in self._decisions.values()}
        parts = catalogue.part_rows(i for i in ids if i is not None)
        found = []
        for row in self._rows:
            if row.id in changed:
                was = _told(self._stored[row.id], parts)
                found.append(self._flip(row, "reading", was, changed[row.id], parts))
            if row.id in against:
                decided = self._decisions[self._keys[row.id]]
                was = _told(Reading(decided.kind, decided.part_id), parts)
                found.append(self._flip(row, "decision", was, against[row.id], parts))
        return found

    def _against_decisions(self) -> Iterator[tuple[int, Reading]]:
        """Yield the decided lines that the matcher alone would now settle otherwise."""
        before = line_history.matcher_readings(self._keys)
        for line_id, key in self._keys.items():
            alone, decided = self._alone[line_id], self._decisions[key]
            is_new = line_id not in before or (
                meaning(reading_of(before[line_id])) != meaning(alone)
            )
            differs = (alone.kind, alone.part_id) != (decided.kind, decided.part_id)
            if alone.kind in SETTLED and differs and is_new:
                yield line_id, alone

    def _flip(
        self, row: LineRow, what: str, was: str, now: Reading, parts: Mapping[int, PartRow]
    ) -> Flip:
        return Flip(
            batch=self._head.id,
            supplier=self._head.supplier,
            place=self._places[row.id],
            code=row.code,
            description=row.description,
            what=what,
            was=was,
            now=_told(now, parts),
            why=now.evidence[0].text if now.evidence else "",
        )

    def apply(self, by: Stamp) -> int:
        """Store the readings that flip, with what they bring, and return how many.

        That a batch of an older version was gone through is recorded though nothing flips.
        """
        changed = self.changed()
        if self._supplier is None or not (changed or self.older):
            return 0
        if changed:
            restore(self._head, self._supplier, changed, by)
        detail = {"lines": sorted(changed), "matcher_version": MATCHER_VERSION}
        events.record("recheck", ("price list", self._head.id), detail, by=by)
        return len(changed)


def meaning(reading: Reading) -> tuple[str, int | None, bool]:
    """Return what a reading comes to, its evidence aside: the kind, the part, who says so."""
    return reading.kind.value, reading.part_id, is_decided(reading)


def _told(reading: Reading, parts: Mapping[int, PartRow]) -> str:
    part = parts.get(reading.part_id or 0)
    return f"{reading.kind.value} {part.maker} {part.number}" if part else reading.kind.value
