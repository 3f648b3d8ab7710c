"""The ledger of what the shop does not know about the parts that it uses, gravest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.jobs.balances import balance_of
from partsdb.jobs.who import today
from partsdb.rules.certificates import on_day
from partsdb.rules.facts import PartFacts
from partsdb.rules.roles import role_named
from partsdb.rules.unknowns import Harm, Unknown, unknowns_of
from partsdb.store.bench_record import open_failures
from partsdb.store.claims import part_facts
from partsdb.store.lots import lots_without_paper
from partsdb.store.machines import machine_rows, positions_of
from partsdb.store.trace import parts_in_use


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One thing not known: of what, what may happen, what settles it, and how much is in use."""

    harm: int
    what_may_happen: str
    subject: str
    about: str
    unknown: str
    settles: str
    fitted: int
    positions: int


def unknowns(harm: int = 0, *, as_of: str = "") -> list[LedgerRow]:
    """Return the ledger, or only its rows of one harm (1 is the gravest).

    Papers count by the day `as_of`, else by today. Within a harm, what was fitted most often
    stands first.
    """
    day = as_of or today().isoformat()
    rows = [*_of_parts(day), *_of_positions(), *_of_lots(day)]
    rows.sort(key=lambda row: (row.harm, -row.fitted, -row.positions, row.subject, row.about))
    return [row for row in rows if not harm or row.harm == harm]


def _of_parts(as_of: str) -> Iterable[LedgerRow]:
    used = parts_in_use()
    failed = open_failures(used)
    for part_id, known in part_facts(used).items():
        aged = on_day(known, as_of)
        fitted, loose, positions = used[part_id]
        name = f"{known.maker} {known.number}"
        own = unknowns_of(aged.part, aged.expired)
        for each in (*_failure(failed.get(part_id)), *own, *_loose(known, loose)):
            yield _row(name, each, fitted, positions)


def _of_lots(as_of: str) -> Iterable[LedgerRow]:
    """Yield the lots of what holds pressure that lie to be fitted without a paper that holds."""
    for row in lots_without_paper(as_of):
        if not role_named(row.role).holds_pressure or balance_of(row).on_hand <= 0:
            continue
        until = row.document_until or ""
        said = (
            f"its certificate ({row.document}) ran out on {until}"
            if row.document
            else ("it came without a certificate")
        )
        text = f"whether lot {row.label} is what it is sold as: {said}"
        each = Unknown("certificate", Harm.BLIND, text, "the certificate, from the supplier")
        yield _row(f"{row.maker} {row.number}", each, row.fitted, 0)


def _failure(failed: tuple[int, str, str] | None) -> Iterable[Unknown]:
    if failed:
        comeback, day, cause = failed
        text = f"why its pressure boundary failed on {day} ({cause}) was never found out"
        yield Unknown("failure", Harm.INJURY, text, f"look into it: partsdb job explain {comeback}")


def _loose(facts: PartFacts, loose: int) -> Iterable[Unknown]:
    if loose and role_named(facts.role).holds_pressure:
        text = f"{loose} fitted units name no lot: a recall cannot find them"
        yield Unknown("lot", Harm.BLIND, text, "name the lot with each fitting: job fit --lot")


def _of_positions() -> Iterable[LedgerRow]:
    """Yield the positions that hold pressure and of which nobody has said how much."""
    for machine in machine_rows():
        if not machine.serviced:
            continue
        for row in positions_of(machine.id):
            demand = row.demand
            if role_named(demand.role).holds_pressure and demand.pressure is None:
                name = f"{row.machine_maker} {row.machine} {demand.position}"
                text = "the pressure that this position works at is not known"
                each = Unknown("demand", Harm.INJURY, text, "the machine's manual or plate")
                yield _row(name, each, 0, 1)


def _row(name: str, each: Unknown, fitted: int, positions: int) -> LedgerRow:
    return LedgerRow(
        int(each.harm), each.harm.what, name, each.about, each.text, each.settles, fitted, positions
    )
