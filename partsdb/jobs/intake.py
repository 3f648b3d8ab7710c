"""Takes a supplier's price list in as one batch: read, match, store the whole or nothing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from importers.rows import Profile
from partsdb.jobs.batch_plan import counts_of, plan_of, refused_of
from partsdb.jobs.changes import list_before, renewal_of, renewed_by, waiting_lines
from partsdb.jobs.layout_units import with_units
from partsdb.jobs.layouts import forget_unused
from partsdb.jobs.list_answers import BatchAnswer, PlanLine
from partsdb.jobs.named import the_supplier
from partsdb.jobs.past import other_versions
from partsdb.jobs.reading_list import (
    Progress,
    ReadLine,
    ReadList,
    drift_caution,
    layout_key,
    read_list,
    refuse_without_prices,
)
from partsdb.jobs.store_lines import LineStore
from partsdb.matching.lines import collector_paused
from partsdb.matching.readings import ReadingKind
from partsdb.rules.counting import counted
from partsdb.store import events, lists, offers
from partsdb.store.rows import Stamp, SupplierRow
from partsdb.store.rows_lists import NewLine, NewList, PriceListRow

PROBLEMS_SHOWN = 50


@dataclass(frozen=True, slots=True)
class IntakeAsk:
    """A file to take in, from whom; `dry_run` only tells what would be stored."""

    path: Path
    supplier: str
    as_of: str
    currency: str = ""
    dry_run: bool = False


@collector_paused()
def intake(ask: IntakeAsk, by: Stamp, progress: Progress = lambda said: None) -> BatchAnswer:
    """Read the list and store it as a batch; a file read before changes nothing.

    Raises ReaderError or InputRefusedError when the file as a whole cannot be taken in.
    """
    supplier = the_supplier(ask.supplier)
    read = read_list(ask.path, supplier, as_of=ask.as_of, currency=ask.currency, progress=progress)
    before = lists.find_list(supplier.id, read.source.sha256)
    if before is not None:
        return _repeated(before, read, supplier, ask.as_of)
    refuse_without_prices(read)
    progress("comparing with what is stored")
    batch = _Batch(read, supplier, by, ask.as_of)
    answer = batch.answer()  # before it is stored: what it changes is told against what was
    if ask.dry_run:
        return answer
    progress("storing the batch")
    number = batch.store()
    return replace(answer, batch=number, cautions=batch.cautions(number))


def _repeated(
    before: PriceListRow, read: ReadList, supplier: SupplierRow, as_of: str
) -> BatchAnswer:
    kinds = Counter(reading.kind for reading in lists.readings_of(before.id))
    later = renewed_by(before, as_of)
    return BatchAnswer(
        batch=before.id,
        file=read.source.file_name,
        supplier=supplier.name,
        is_repeat=True,
        summary=_summary(kinds),
        changes={"same": 0 if later else before.offers},
        offers=before.offers,
        own_parts=0,
        assumptions=(
            f"read before, as batch {before.id} on {before.read_at}: nothing was changed",
        ),
        cautions=_renewed(before, later),
    )


def _renewed(before: PriceListRow, later: PriceListRow | None) -> tuple[str, ...]:
    """Return the caution that the prices of a list read again no longer count."""
    if later is None:
        return ()
    return (
        f"batch {before.id} of {before.read_at[:10]} has since been renewed by batch {later.id} of "
        f"{later.read_at[:10]} ({later.file_name}): its prices no longer count. If the older list "
        f"is the right one, take back the newer: partsdb pricelist withdraw {later.id}",
    )


def _summary(kinds: Counter[str]) -> dict[str, int]:
    counts = {"lines": sum(kinds.values())}
    return counts | {kind.value.replace(" ", "_"): kinds[kind.value] for kind in ReadingKind}


class _Batch:
    """One list on its way into the store."""

    def __init__(self, read: ReadList, supplier: SupplierRow, by: Stamp, as_of: str) -> None:
        self._read, self._supplier, self._by, self._as_of = read, supplier, by, as_of
        self._renewal = renewal_of(supplier.id, read.lines)
        before = list_before(supplier.id, self._renewal)
        held = waiting_lines(read.lines, before) if before is not None else {}
        self._lines = LineStore(read, supplier, by, held)
        self._waiting = 0

    def store(self) -> int:
        """Store everything that the list brings and return the batch number."""
        read = self._read
        list_id = lists.add_list(self._head(), by=self._by)
        line_ids = lists.add_lines(list_id, [_line(line) for line in read.lines])
        self._lines.store(line_ids, list_id)
        profiles = [asdict(profile) for profile in with_units(read.source)]
        lists.save_profile(self._supplier.id, layout_key(read.source), profiles, by=self._by)
        events.record(
            "read price list",
            ("price list", list_id),
            {"file": read.source.file_name, "sha256": read.source.sha256},
            by=self._by,
        )
        return list_id

    def _head(self) -> NewList:
        source = self._read.source
        currencies = {line.listed.offer.currency for line in self._read.lines if line.listed.offer}
        return NewList(
            supplier_id=self._supplier.id,
            file_name=source.file_name,
            sha256=source.sha256,
            reader=source.reader,
            currency=" ".join(sorted(currencies)),
            profiles=tuple(asdict(profile) for profile in _with_currency(self._read)),
            assumptions=self._assumptions(),
            skipped=source.skipped,
            renews_id=self._renewal.list_id if self._renewal else None,
        )

    def _assumptions(self) -> tuple[str, ...]:
        renewed = (self._renewal.text,) if self._renewal else ()
        return (*self._read.assumptions, *renewed)

    def _first_layout(self) -> tuple[str, ...]:
        """Say of a supplier's first list that nobody has looked at its layout yet."""
        if lists.saved_profiles(self._supplier.id):
            return ()
        name = self._supplier.name
        return (
            "nobody has looked at how this supplier's lists are laid out: partsdb pricelist layout"
            f' FILE --supplier "{name}" shows it, and --save settles it',
        )

    def answer(self) -> BatchAnswer:
        """Return what the batch holds, and how it differs from what the supplier offers now."""
        read = self._read
        kinds = Counter(line.reading.kind.value for line in read.lines)
        known = self._lines.known_parts()
        planned, unknown = self._lines.planned(known), self._unknown(known)
        now = offers.offers_of_supplier(self._supplier.id, self._as_of)
        renewed = self._renewal.list_id if self._renewal else None
        plan = plan_of(planned, unknown, now, renewed)
        self._waiting = sum(bool(offer.held) for _, offer in planned)
        refused = refused_of(read.lines, self._lines.sells_own)
        return BatchAnswer(
            batch=None,
            file=read.source.file_name,
            supplier=self._supplier.name,
            is_repeat=False,
            summary=_summary(kinds),
            changes=counts_of(plan),
            offers=len(planned) + len(unknown),
            own_parts=sum(1 for line in read.lines if self._lines.sells_own(line)),
            problems=tuple(_problems(refused)),
            assumptions=(*self._assumptions(), *self._first_layout()),
            skipped=read.source.skipped,
            cautions=self.cautions(None),
            plan=(*(line for line in plan if line.what != "same"), *refused),
        )

    def cautions(self, number: int | None) -> tuple[str, ...]:
        """Return what must not be overlooked; `number` is that of the batch, None before it is."""
        return (*drift_caution(self._read), *_waiting(self._waiting, number), *other_versions())

    def _unknown(self, known: Sequence[int | None]) -> list[ReadLine]:
        """Return the lines that offer parts of the supplier's own that are not stored yet."""
        return [
            line
            for line, part_id in zip(self._read.lines, known, strict=True)
            if part_id is None and line.offers and self._lines.sells_own(line)
        ]


def _with_currency(read: ReadList) -> list[Profile]:
    """Return the layouts with the currency that was assumed where the list names none.

    So a stored batch says the same again without the flag or the terms of that day.
    """
    assumed = {
        line.listed.offer.currency
        for line in read.lines
        if line.listed.offer and not line.listed.row.fields.get("currency")
    }
    currency = assumed.pop() if len(assumed) == 1 else ""
    return [replace(each, currency=each.currency or currency) for each in read.source.profiles]


def _waiting(count: int, number: int | None) -> tuple[str, ...]:
    """Return the caution that offers wait, with the command that shows those of the batch."""
    if not count:
        return ()
    said = f"{counted(count, 'offer waits', 'offers wait')} for a person and "
    said += f"{'is' if count == 1 else 'are'} offered to nobody before: "
    if number is None:
        return (f"{said}once it is stored, partsdb pricelist changes BATCH shows them",)
    return (f"{said}partsdb pricelist changes {number} shows them",)


def _line(line: ReadLine) -> NewLine:
    row, text = line.listed.row, line.listed.text
    kept = {
        "fields": row.fields,
        "amounts": row.amounts,
        "section": row.section,
        "cells": row.cells,
    }
    return NewLine(
        row.sheet, row.row, row.kind.value, kept, text.code, text.description, line.listed.problems
    )


def _problems(refused: Sequence[PlanLine]) -> list[str]:
    """Return the first rows of which no offer is taken, each with its place and reason."""
    rest = len(refused) - PROBLEMS_SHOWN
    shown = [f"{line.place}: {line.note}" for line in refused[:PROBLEMS_SHOWN]]
    return shown + ([f"and {counted(rest, 'row')} more"] if rest > 0 else [])


def withdraw(batch: int, why: str, by: Stamp) -> dict[str, int]:
    """Take a batch back whole and return how many rows of each kind went."""
    from partsdb.store.withdrawal import withdraw_list

    gone = withdraw_list(batch, why, by=by)
    forget_unused(batch, by)
    return gone
