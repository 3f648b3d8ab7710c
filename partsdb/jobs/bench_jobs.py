"""What is done at the bench: jobs, what is fitted on them out of which lot, what comes back."""

from __future__ import annotations

from dataclasses import dataclass, replace

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.balances import balance_of
from partsdb.jobs.named import the_machine, the_part, the_position
from partsdb.rules.cautions import cautions_for
from partsdb.rules.recall import boundary_failed, cause_named
from partsdb.rules.shelf import offered
from partsdb.rules.verdict import Verdict
from partsdb.store import bench_record, catalogue, claims, events, lots
from partsdb.store.rows import PartRow, PositionRow, Stamp
from partsdb.store.rows_bench import ComebackRow, FittingRow, JobRow, LotRow


@dataclass(frozen=True, slots=True)
class JobCard:
    """A job with what was fitted and what of it came back."""

    job: int
    opened_at: str
    machine: str
    serial: str
    customer_ref: str
    note: str
    fittings: tuple[FittingRow, ...] = ()
    comebacks: tuple[ComebackRow, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FitAsk:
    """What was put in: `job` is its number, `lot` the label on the bin ("" when not known)."""

    job: int
    number: str
    maker: str | None = None
    lot: str = ""
    position: str = ""
    units: int = 1


def open_job(
    machine: str | None, day: str, *, serial: str, customer: str, note: str, by: Stamp
) -> JobCard:
    """Open a job; raises NotFoundError or AmbiguousError for an unknown machine."""
    machine_id = the_machine(machine).id if machine else None
    job_id = bench_record.open_job(
        day, machine_id, serial=serial.strip(), customer_ref=customer.strip(), note=note
    )
    events.record("open", ("job", job_id), {"serial": serial, "customer": customer}, by=by)
    return job_card(job_id)


def job_card(job_id: int) -> JobCard:
    """Return a job; raises NotFoundError for an unknown number."""
    row = _the_job(job_id)
    fitted = bench_record.fittings_of_jobs([job_id])
    return JobCard(
        row.id, row.opened_at[:10], row.machine, row.serial, row.customer_ref, row.note,
        tuple(fitted), tuple(bench_record.comebacks_of(each.id for each in fitted)),
        notes=tuple(f"fitting {f.id} names no lot: no trace of it" for f in fitted if not f.lot),
    )  # fmt: skip


def _the_job(job_id: int) -> JobRow:
    found = bench_record.jobs([job_id])
    if not found:
        raise NotFoundError("job", str(job_id), hint="partsdb job show lists the newest jobs")
    return found[0]


def job_list() -> list[dict[str, object]]:
    """Return the newest jobs."""
    return [
        {
            "job": row.id,
            "opened": row.opened_at[:10],
            "machine": row.machine,
            "serial": row.serial,
            "customer": row.customer_ref,
            "note": row.note,
        }
        for row in bench_record.newest_jobs()
    ]


def fit(ask: FitAsk, day: str, by: Stamp) -> JobCard:
    """Record that a part was put in, and warn of a part that the record does not show to fit.

    Raises UsageError for a lot of another part, one that may not be used, or more than it holds.
    """
    if ask.units < 1:
        raise UsageError(f"{ask.units} units were not fitted", hint="give --qty 1 or more")
    job, part = _the_job(ask.job), the_part(ask.number, ask.maker)
    lot = _the_usable_lot(ask, part) if ask.lot else None
    position = _the_place(job, ask.position, part)
    fitting_id = bench_record.add_fitting(
        job.id,
        part.id,
        lot_id=lot.id if lot else None,
        place=position.position_id if position else None,
        units=ask.units,
        at=day,
    )
    what = {"part": f"{part.maker} {part.number}", "lot": ask.lot, "units": ask.units}
    events.record("fit", ("job", job.id), {"fitting": fitting_id, **what}, by=by)
    card = job_card(job.id)
    said = (*card.notes, *_on_the_shelf(part, lot))
    if position is None:
        return _with(card, (*said, _unchecked(job, fitting_id)), ())
    from partsdb.rules.situations import situations_of

    warned = _warnings(part, position, day)
    return _with(card, (*said, *warned), cautions_for(situations_of([position.demand])))


def _unchecked(job: JobRow, fitting_id: int) -> str:
    """Return why nothing was checked of a fitting: the record knows no place for it."""
    if job.machine_id is None:
        return f"job {job.id} names no machine: whether the part may be fitted was not checked"
    return (
        f"fitting {fitting_id} names no position, and not just one of the {job.machine} calls for "
        "the part: whether it may be fitted there was not checked (--position)"
    )


def _with(card: JobCard, notes: tuple[str, ...], cautions: tuple[str, ...]) -> JobCard:
    return replace(card, notes=notes, cautions=cautions)


def _the_usable_lot(ask: FitAsk, part: PartRow) -> LotRow:
    from partsdb.jobs.kit_lots import why_stopped
    from partsdb.jobs.one_lot import the_lot, touching_grades

    lot = the_lot(ask.lot)
    if lot.part_id != part.id:
        raise UsageError(f"lot {lot.label} is {lot.maker} {lot.number}, not {part.maker} "
                         f"{part.number}", hint="look at the label again")  # fmt: skip
    left = offered(lot.state, balance_of(lot), *touching_grades(lot))
    stopped = why_stopped(lot)
    if stopped or lot.state != "accepted" or "barred" in touching_grades(lot):
        why = stopped or f"it is {lot.state} here"
        raise UsageError(f"lot {lot.label} may not be used: {why}",
                         hint=f"partsdb lot show {lot.label!r} says why")  # fmt: skip
    if ask.units > left:
        raise UsageError(f"lot {lot.label} has {left} on hand, not {ask.units}",
                         hint="count the bin: partsdb lot count")  # fmt: skip
    return lot


def _the_place(job: JobRow, name: str, part: PartRow) -> PositionRow | None:
    """Return the position named, or the only one of the machine that calls for the part."""
    if job.machine_id is None:
        if name:
            raise UsageError(f"job {job.id} names no machine, so it has no position {name!r}",
                             hint="open the job with --machine")  # fmt: skip
        return None
    if name:
        machine = the_machine(*_model_and_maker(job))
        return the_position(machine, name)
    from partsdb.jobs.places import Places

    found = Places([job.machine_id]).calling_for(part.id)
    return found[0] if len(found) == 1 else None


def _model_and_maker(job: JobRow) -> tuple[str, str]:
    from partsdb.store.machines import machine_rows

    row = next(each for each in machine_rows() if each.id == job.machine_id)
    return row.model, row.maker


def _warnings(part: PartRow, position: PositionRow, day: str) -> tuple[str, ...]:
    """Return what speaks against the part in this position: recorded it is, approved it is not."""
    from partsdb.jobs.places import Places
    from partsdb.jobs.weigh import grades_of, weigh
    from partsdb.rules.certificates import on_day

    places = [
        place
        for place in Places([position.machine_id], day).of(part.id)
        if any(each.position_id == position.position_id for each in place.positions)
    ]
    ids = {part.id, *(place.called_for_id for place in places), *position.part_ids[:1]}
    facts = {i: on_day(known, day).part for i, known in claims.part_facts(ids).items()}
    grade = grades_of([part])[part.id]
    best = places[0] if places else None
    called_for = best.called_for_id if best else next(iter(position.part_ids), part.id)
    weighed = weigh(
        facts[part.id],
        [position],
        original=facts[called_for],
        edges=(best.edge,) if best and best.edge else (),
        grade=grade,
        day=day,
    )
    if weighed.verdict is Verdict.FIT:
        return ()
    reasons = "; ".join(check.text for check in weighed.checks[:2])
    if weighed.verdict is Verdict.FIT_WITH_CONDITIONS:
        return (f"fitted with conditions: {'; '.join(weighed.conditions) or reasons}",)
    return (f"recorded, but the record says {weighed.verdict} here: {reasons}",)


def _on_the_shelf(part: PartRow, lot: LotRow | None) -> tuple[str, ...]:
    """Return which lots the piece may have come from, when none was named."""
    if lot is not None:
        return ()
    held = [row.label for row in lots.lots_of_parts([part.id]) if balance_of(row).on_hand > 0]
    return (f"lots of it on the shelf: {', '.join(held)}: name the one",) if held else ()


@dataclass(frozen=True, slots=True)
class ComebackAsk:
    """What came back: the fitting's number, the cause, whether the pressure boundary failed."""

    fitting: int
    cause: str
    boundary: bool | None = None
    note: str = ""


def come_back(ask: ComebackAsk, by: Stamp) -> JobCard:
    """Record a comeback; a failed pressure boundary puts the lot on hold at once."""
    found = bench_record.fittings([ask.fitting])
    if not found:
        raise NotFoundError("fitting", str(ask.fitting), hint="partsdb job show JOB lists them")
    [fitted] = found
    cause = cause_named(ask.cause)
    failed = boundary_failed(cause, ask.boundary)
    comeback_id = bench_record.add_comeback(
        fitted.id, cause.code, pressure_boundary=failed, note=ask.note, by=by
    )
    detail = {"fitting": fitted.id, "cause": cause.code, "boundary": failed}
    events.record("comeback", ("job", fitted.job_id), {"comeback": comeback_id, **detail}, by=by)
    said = _hold(fitted, cause.code, by) if failed else ()
    card = job_card(fitted.job_id)
    return _with(card, (*card.notes, *said), cautions_for(("injection",)) if failed else ())


def _hold(fitted: FittingRow, cause: str, by: Stamp) -> tuple[str, ...]:
    part = catalogue.part_rows([fitted.part_id])[fitted.part_id]
    said = f"a pressure boundary failed: {part.maker} {part.number} is blocked until explained"
    if fitted.lot_id is None:
        return (said, "the fitting names no lot: hold every lot of the part until it is explained")
    reason = f"a pressure boundary failed ({cause}, fitting {fitted.id})"
    [lot] = lots.lot_rows([fitted.lot_id])
    if lot.state == "accepted":
        lots.set_state(lot.id, "held")
        events.record("hold", ("lot", lot.id), {"was": lot.state, "reason": reason}, by=by)
    from partsdb.store.lot_components import components_of

    told = f"lot {lot.label} is on hold: partsdb lot trace {lot.label!r} names the machines"
    inside = ", ".join(f"{each.lot} ({each.role})" for each in components_of([lot.id]))
    more = (f"it is a kit of lots {inside}: look at them, and hold the one",) if inside else ()
    return (said, told, *more)


def explain(comeback_id: int, text: str, by: Stamp) -> JobCard:
    """Record what was found out about a comeback; raises UsageError for an empty explanation."""
    found = bench_record.comeback(comeback_id)
    if found is None:
        raise NotFoundError("comeback", str(comeback_id), hint="partsdb job show JOB lists them")
    if not text.strip():
        raise UsageError("an explanation says what was found", hint='add --found "..."')
    bench_record.explain(comeback_id, text.strip(), by=by)
    [fitted] = bench_record.fittings([found.fitting_id])
    detail = {"comeback": comeback_id, "found": text.strip(), "was": found.explained}
    events.record("explain", ("job", fitted.job_id), detail, by=by)
    return job_card(fitted.job_id)
