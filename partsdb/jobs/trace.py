"""Where did it go? Lots to jobs, machines and customers, what is left, what shares the evidence."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.balances import balance_of
from partsdb.jobs.named import the_machine, the_part, the_supplier
from partsdb.jobs.trace_answers import (
    RecalledPart,
    SameEvidence,
    TraceAnswer,
    TracedLot,
    TracedMachine,
)
from partsdb.jobs.trace_kits import Kits, kits_with, may_hold, with_insides
from partsdb.jobs.trace_to_do import to_do
from partsdb.rules.cautions import cautions_for
from partsdb.rules.recall import NOW, document_of
from partsdb.rules.shelf import Balance
from partsdb.store import bench_record, catalogue, lot_components, lots, trace
from partsdb.store.rows_bench import FittingRow, LotRow
from partsdb.store.trace import RestsOn

# Common practice, no source: stock that nobody touched for a year is easily forgotten.
_FORGOTTEN_AFTER = dt.timedelta(days=365)


@dataclass(frozen=True, slots=True)
class TraceAsk:
    """What is recalled: a lot, or a part, supplier, span of receipt days, claim, or a serial."""

    as_of: str
    lot: str = ""
    part: str = ""
    maker: str | None = None
    supplier: str = ""
    since: str = ""
    until: str = ""
    claim: int = 0
    serial: str = ""
    machine: str = ""
    reason: str = ""
    remedy: str = ""
    contact: str = ""


@dataclass(frozen=True, slots=True)
class _Found:
    """What the question comes to: lots, parts whose unlabelled fittings may be meant, documents.

    `label` is the label of the lot recalled, "" where a part is recalled as such, else None.
    """

    about: str
    lots: Sequence[LotRow]
    part_ids: frozenset[int]
    documents: tuple[str, ...] = ()
    price_list_id: int | None = None
    jobs: tuple[int, ...] | None = None
    label: str | None = None


def trace_recall(ask: TraceAsk) -> TraceAnswer:
    """Return where everything that is meant went.

    Raises UsageError without anything to trace by, NotFoundError for what is not known.
    """
    found = _found(ask)
    if found.jobs is None:
        kits = kits_with(found.lots, found.part_ids, found.label)
        fitted = bench_record.fittings_of_lots(row.id for row in (*found.lots, *kits.rows))
        loose = [*_loose(found, ask), *may_hold(kits, found.part_ids)]
    else:
        kits, fitted, loose = Kits(), bench_record.fittings_of_jobs(found.jobs), []
    back = _came_back([*fitted, *loose])
    machines = sorted((_machine(row, back, kits) for row in fitted), key=_by_customer)
    may_carry = sorted((_machine(row, back, kits) for row in loose), key=_by_customer)
    last = {row.lot_id: row.at[:10] for row in sorted(fitted, key=lambda row: row.at)}
    traced = tuple(
        _traced(row, last.get(row.id, ""), ask.as_of, kits.holds.get(row.id, ""))
        for row in (*found.lots, *kits.rows)
    )
    total = _total(found.lots)
    answer = TraceAnswer(
        about=found.about, reason=ask.reason, as_of=ask.as_of, lots=traced,
        machines=tuple(machines), may_carry=tuple(may_carry),
        customers=tuple(sorted({m.customer_ref for m in machines if m.customer_ref})),
        total=total, on_hand=total.on_hand, parts=tuple(_described(found)), now=NOW,
        remedy=ask.remedy, contact=ask.contact,
        same_evidence=tuple(_same_evidence(found)), to_do=(),
        cautions=cautions_for(("pressurised machine", "injection")),
    )  # fmt: skip
    return replace(answer, to_do=tuple(to_do(answer)))


def _found(ask: TraceAsk) -> _Found:
    if ask.claim:
        return _by_claim(ask)
    if ask.serial:
        return _by_serial(ask)
    if ask.lot:
        return _by_lot(ask)
    if not (ask.part or ask.supplier or ask.since or ask.until):
        hint = "give a LOT, --part, --supplier, --since, --claim or --serial"
        raise UsageError("nothing to trace by", hint=hint)
    return _by_receipt(ask)


def _by_lot(ask: TraceAsk) -> _Found:
    rows = lots.lots_named(ask.lot)
    inside = lot_components.components_labelled(ask.lot)
    if not rows and not inside:
        raise NotFoundError("lot", ask.lot, hint="partsdb lot show lists the lots")
    documents = [row.document for row in rows if row.document]
    parts = frozenset([*(r.part_id for r in rows), *(each.part_id for each in inside)])
    return _Found(f"lot {ask.lot}", rows, parts, tuple(documents), label=ask.lot)


def _by_receipt(ask: TraceAsk) -> _Found:
    """Return the lots of a part, a supplier, a span of days, or all three together."""
    part = the_part(ask.part, ask.maker) if ask.part else None
    supplier = the_supplier(ask.supplier) if ask.supplier else None
    until = ask.until or "9999"
    if part:
        rows = [
            row
            for row in lots.lots_of_parts([part.id])
            if ask.since <= row.received_at[:10] <= until
            and (supplier is None or row.supplier_id == supplier.id)
        ]
    else:
        rows = lots.lots_received(
            supplier_id=supplier.id if supplier else None, since=ask.since, until=until
        )
    said = [f"part {part.maker} {part.number}"] if part else []
    said += [f"everything from {supplier.name}"] if supplier else []
    said += [f"received {ask.since or 'at any time'} to {ask.until or 'today'}"]
    # The unlabelled fittings of a part may be of any supplier's lot.
    parts = frozenset({part.id} if part else {row.part_id for row in rows})
    narrowed = part is None or supplier is not None
    return _Found(", ".join(said), rows, parts, label=None if narrowed else "")


def _by_claim(ask: TraceAsk) -> _Found:
    row = trace.claim_source(ask.claim)
    if row is None:
        raise NotFoundError("claim", str(ask.claim), hint="partsdb part show lists a part's claims")
    part_id, what, source, price_list_id = row
    part = catalogue.part_rows([part_id])[part_id]
    document = document_of(source) or (f"price list {price_list_id}" if price_list_id else "")
    return _Found(
        f"claim {ask.claim} about {part.maker} {part.number} ({what}), from {source or 'nowhere'}",
        lots.lots_of_parts([part_id]),
        frozenset((part_id,)),
        (document,) if document else (),
        price_list_id,
        label="",
    )


def _by_serial(ask: TraceAsk) -> _Found:
    machine = the_machine(ask.machine) if ask.machine else None
    jobs = trace.jobs_with_serial(ask.serial.strip(), machine.id if machine else None)
    if not jobs:
        raise NotFoundError("serial", ask.serial, hint="partsdb job show lists the newest jobs")
    fitted = bench_record.fittings_of_jobs(jobs)
    rows = with_insides(row.lot_id for row in fitted if row.lot_id is not None)
    return _Found(f"everything in serial {ask.serial}", rows, frozenset(), jobs=tuple(jobs))


def _loose(found: _Found, ask: TraceAsk) -> list[FittingRow]:
    """Return the fittings of the parts that name no lot and are not older than the first receipt.

    Without any lot of the part nothing limits them but the span asked for.
    """
    first = min((row.received_at[:10] for row in found.lots), default=ask.since)
    rows = bench_record.fittings_without_lot(found.part_ids)
    return [row for row in rows if row.at[:10] >= first]


def _described(found: _Found) -> Iterable[RecalledPart]:
    """Yield the parts recalled and the labels by which they are known on the goods."""
    labels: dict[int, list[str]] = {}
    for row in found.lots:
        labels.setdefault(row.part_id, []).append(row.supplier_label or row.label)
    parts = catalogue.part_rows({*found.part_ids, *labels})
    for part_id, part in sorted(parts.items(), key=lambda each: (each[1].maker, each[1].number)):
        marks = ", ".join(dict.fromkeys(labels.get(part_id, [])))
        yield RecalledPart(f"{part.maker} {part.number}", part.description, marks)


def _came_back(fitted: Iterable[FittingRow]) -> dict[int, str]:
    rows = bench_record.comebacks_of(row.id for row in fitted)
    return {row.fitting_id: f"{row.cause} {row.at[:10]}" for row in rows}


def _machine(row: FittingRow, back: dict[int, str], kits: Kits) -> TracedMachine:
    held = kits.holds.get(row.lot_id or 0, "")
    listed = "its kit may hold one" if row.part_id in kits.loose else ""
    return TracedMachine(
        row.customer_ref, row.machine, row.serial, row.job_id, row.at[:10], row.position,
        f"{row.maker} {row.number}", row.units, row.lot, back.get(row.id, ""), held or listed,
    )  # fmt: skip


def _by_customer(machine: TracedMachine) -> tuple[str, str, str, int, str]:
    return machine.customer_ref, machine.machine, machine.serial, machine.job, machine.part


def _traced(row: LotRow, last: str, as_of: str, holds: str) -> TracedLot:
    balance = balance_of(row)
    touched = max(last, row.received_at[:10])
    untouched = dt.date.fromisoformat(as_of) - dt.date.fromisoformat(touched)
    return TracedLot(
        row.label, f"{row.maker} {row.number}", row.supplier, row.supplier_label, row.order_ref,
        row.document, row.received_at[:10], row.bin, row.state, balance.on_hand, str(balance),
        balance.gap, balance.on_hand > 0 and untouched > _FORGOTTEN_AFTER, holds,
    )  # fmt: skip


def _total(rows: Sequence[LotRow]) -> Balance:
    return Balance(
        sum(row.units for row in rows), sum(row.fitted for row in rows),
        sum(row.returned for row in rows), sum(row.written_off for row in rows),
        sum(row.missing for row in rows), sum(row.built_in for row in rows),
        sum(row.taken_apart for row in rows),
    )  # fmt: skip


def _same_evidence(found: _Found) -> Iterable[SameEvidence]:
    """Yield what else was accepted on the certificates, and on what the parts were accepted on."""
    documents = dict.fromkeys(document_of(each) for each in found.documents)
    if found.jobs is None:
        sources = trace.sources_of_acceptance(found.part_ids)
        documents |= dict.fromkeys(document_of(each) for each in sources)
    rests: list[tuple[str, RestsOn]] = []
    for document in filter(None, documents):
        rests += [(document, each) for each in _on(document, found)]
    fitted = trace.fitting_counts(each.part_id for _, each in rests)
    names = catalogue.part_rows(each.part_id for _, each in rests)
    for document, each in rests:
        part = names[each.part_id]
        name = f"{part.maker} {part.number}"
        yield SameEvidence(document, name, each.what, fitted.get(each.part_id, 0))


def _on(document: str, found: _Found) -> list[RestsOn]:
    """Return what rests on a document; one whose name only begins alike is left out."""
    known = {row.id for row in found.lots}
    others = [row for row in lots.lot_rows(trace.certified_by(document)) if row.id not in known]
    rests = [RestsOn(row.part_id, f"lot {row.label}", row.document) for row in others]
    rests += trace.accepted_on(document)
    if found.about.startswith("claim"):
        rests += trace.claimed_on(document, found.price_list_id)
    return [
        each
        for each in rests
        if document_of(each.source) == document or found.price_list_id is not None
    ]
