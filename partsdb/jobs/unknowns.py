"""The ledger of what the shop does not know about the parts that it uses, gravest first."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from partsdb.rules.facts import PartFacts
from partsdb.rules.roles import role_named
from partsdb.rules.unknowns import Harm, Unknown, unknowns_of
from partsdb.store.bench_record import open_failures
from partsdb.store.claims import part_facts
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


def unknowns(harm: int = 0) -> list[LedgerRow]:
    """Return the ledger, or only its rows of one harm (1 is the gravest).

    Within a harm, what was fitted most often stands first.
    """
    rows = [*_of_parts(), *_of_positions()]
    rows.sort(key=lambda row: (row.harm, -row.fitted, -row.positions, row.subject, row.about))
    return [row for row in rows if not harm or row.harm == harm]


def _of_parts() -> Iterable[LedgerRow]:
    used = parts_in_use()
    failed = open_failures(used)
    for part_id, facts in part_facts(used).items():
        fitted, loose, positions = used[part_id]
        name = f"{facts.maker} {facts.number}"
        for each in (*_failure(failed.get(part_id)), *unknowns_of(facts), *_loose(facts, loose)):
            yield _row(name, each, fitted, positions)


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
