"""Lots inside lots: kits put together here out of component lots, and what a received kit holds."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

from partsdb.errors import UsageError
from partsdb.jobs.balances import balance_of
from partsdb.jobs.kit_pieces import refuse_other_pieces
from partsdb.jobs.named import the_part
from partsdb.jobs.one_lot import the_lot, touching_grades
from partsdb.rules.grading import BARRED
from partsdb.rules.shelf import USABLE, offered
from partsdb.store import claims, events, lot_components, lots, makers
from partsdb.store.catalogue import part_rows
from partsdb.store.rows import PartRow, Stamp
from partsdb.store.rows_bench import ComponentRow, LotRow, NewComponent, NewLot

# What our own bench puts together has no other supplier.
OWN_BENCH = "our own bench"


@dataclass(frozen=True, slots=True)
class AssembleAsk:
    """So many kits of a number put together; `takes` are (lot label, units; 0: as it lists)."""

    number: str
    units: int
    takes: tuple[tuple[str, int], ...]
    day: str
    maker: str | None = None
    label: str = ""
    bin: str = ""


@dataclass(frozen=True, slots=True)
class HoldsAsk:
    """What a lot of kits holds by its papers: a part of a lot, ours or one never received alone."""

    kit_lot: str
    number: str
    label: str
    units: int = 0
    maker: str | None = None
    source: str = ""


def assemble(ask: AssembleAsk, by: Stamp) -> tuple[LotRow, tuple[str, ...]]:
    """Store a lot of kits and take its pieces out of their lots; return it, and what to know of it.

    Raises UsageError for a component lot that may not be used, does not hold enough or is of
    another piece than the kit lists.
    """
    if ask.units < 1 or not ask.takes:
        raise UsageError("nothing is put together of nothing",
                         hint="give 1 or more units, and --from LOT for each lot")  # fmt: skip
    kit = the_part(ask.number, ask.maker)
    taken = [_component(kit, each, ask.units) for each in ask.takes]
    _once_each(taken, ask.takes)
    pieces = part_rows(each.part_id for each in taken).values()
    unsure = refuse_other_pieces(kit, pieces)
    lot_id = lots.add_lot(
        NewLot(_own_bench(), kit.id, ask.units, ask.day, " ".join(ask.label.split()), bin=ask.bin)
    )
    lot_components.add_components(lot_id, taken, by=by)
    told = [f"{label}:{each.units}" for (label, _), each in zip(ask.takes, taken, strict=True)]
    what = {"units": ask.units, "part": kit.number, "from": told}
    events.record("assemble", ("lot", lot_id), what, by=by)
    [row] = lots.lot_rows([lot_id])
    return row, (*unsure, *_lacking(kit, {piece.role for piece in pieces}))


def _once_each(taken: Sequence[NewComponent], takes: Sequence[tuple[str, int]]) -> None:
    """Refuse a lot that is named twice: each time its whole shelf would count as there."""
    seen: set[int | None] = set()
    for each, (label, _) in zip(taken, takes, strict=True):
        if each.lot_id in seen:
            raise UsageError(f"lot {label} is named twice", hint=f"write --from {label}:12 once")
        seen.add(each.lot_id)


def _component(kit: PartRow, take: tuple[str, int], kits: int) -> NewComponent:
    label, given = take
    row = the_lot(label)
    if row.part_id == kit.id:
        raise UsageError(
            f"lot {row.label} is of the kit itself", hint="name the lots of its pieces"
        )
    units = given or _listed(kit, row) * kits
    why = why_stopped(row)
    left = offered(row.state, balance_of(row), *touching_grades(row))
    if why or row.state != USABLE or BARRED in touching_grades(row):
        raise UsageError(f"lot {row.label} may not be used: {why or row.state}",
                         hint=f"partsdb lot show {row.label!r} says why")  # fmt: skip
    if units > left:
        raise UsageError(f"lot {row.label} has {left} on hand, not {units}",
                         hint="count the bin: partsdb lot count")  # fmt: skip
    return NewComponent(row.part_id, units, row.id, taken=True)


def _listed(kit: PartRow, row: LotRow) -> int:
    """Return how many pieces of the lot's role one kit lists; 1 where it does not say."""
    held = claims.contents_of([kit.id]).get(kit.id) or ()
    return sum(item.quantity for item in held if item.role == row.role) or 1


def _lacking(kit: PartRow, roles: Collection[str]) -> Iterator[str]:
    """Yield the pieces that the kit lists and of which no lot was named."""
    held = claims.contents_of([kit.id]).get(kit.id) or ()
    for role in dict.fromkeys(item.role for item in held if item.role not in roles):
        yield f"no lot was named for its {role}: a recall of one cannot find it"


def take_apart(label: str, reason: str, by: Stamp) -> tuple[LotRow, tuple[str, ...]]:
    """Take an assembly back whole: every piece lies in its own lot again; return the kits' lot.

    With it what to know of the lots that got pieces back. Raises UsageError without a reason, for a
    lot that was not put together here, that was used since, or that was stopped: what is wrong with
    a kit may be wrong with its pieces.
    """
    if not reason.strip():
        raise UsageError("kits are not taken apart without a reason", hint="add --reason")
    row = the_lot(label)
    taken = [each for each in lot_components.components_of([row.id]) if each.taken]
    if row.taken_apart or not taken:
        why = "was taken apart already" if row.taken_apart else "was not put together here"
        raise UsageError(f"lot {row.label} {why}", hint=f"partsdb lot show {row.label!r} tells")
    _refuse_used(row)
    _refuse_stopped(row)
    lot_components.take_back(row.id, by=by)
    lots.take_apart(row.id, by=by)
    back = [f"{each.lot}:{each.units}" for each in taken]
    what = {"units": row.units, "part": row.number, "back": back, "reason": reason}
    events.record("take apart", ("lot", row.id), what, by=by)
    [now] = lots.lot_rows([row.id])
    return now, tuple(_to_look_at(taken))


def _refuse_used(row: LotRow) -> None:
    """Refuse a lot of which not every kit is where it was put: none can be taken apart whole."""
    uses = {
        "fitted": row.fitted, "built into other kits": row.built_in, "written off": row.written_off,
        "returned": row.returned, "missing": max(row.missing, 0),
        "more than were put together": max(-row.missing, 0),
    }  # fmt: skip
    said = ", ".join(f"{count} {what}" for what, count in uses.items() if count)
    if said:
        raise UsageError(f"lot {row.label} has been used since: {said}",
                         hint="write off what is left of it: partsdb lot write-off")  # fmt: skip


def _refuse_stopped(row: LotRow) -> None:
    """Refuse a lot that a person or an inspection stopped; a new one waits, and is not stopped."""
    was_held = any(event.action == "hold" for event in events.history("lot", row.id))
    is_held = row.state == "held" and (was_held or lots.inspections_of([row.id]))
    if is_held or row.state in ("barred", "returned"):
        raise UsageError(
            f"lot {row.label} is {row.state}: what is wrong with a kit may lie in its pieces",
            hint=f"partsdb lot release {row.label!r} --reason ... first, or write it off",
        )


def _to_look_at(taken: Sequence[ComponentRow]) -> Iterator[str]:
    """Yield what to know of the lots that got pieces back."""
    rows = lots.lot_rows(each.lot_id for each in taken if each.lot_id is not None)
    counted = {row.id for row in rows if row.missing}
    for row in rows:
        yield f"back in lot {row.label}{f' (bin {row.bin})' if row.bin else ''}: {balance_of(row)}"
        if row.state != USABLE:
            yield f"lot {row.label} is {row.state}: keep its pieces apart"
        if row.id in counted:
            yield f"a count of lot {row.label} found a gap: count its bin again"


def _own_bench() -> int:
    found = makers.find_supplier(OWN_BENCH)
    return found.id if found else makers.add_supplier(OWN_BENCH)


def holds(ask: HoldsAsk, by: Stamp) -> LotRow:
    """Record which lot of a part is inside a lot of kits, as its papers say; return the kits' lot.

    Raises UsageError for a lot inside itself, or one of another part.
    """
    kit, part = the_lot(ask.kit_lot), the_part(ask.number, ask.maker)
    inside = _the_inner(ask, part)
    if kit.id in {inside, *lot_components.lots_inside([inside or 0]).get(inside or 0, ())}:
        raise UsageError(f"lot {kit.label} cannot be inside itself", hint="look at the labels")
    units = ask.units or kit.units
    if units < 1:
        raise UsageError(f"{units} units are not inside", hint="give --units 1 or more")
    label = "" if inside else " ".join(ask.label.split())
    new = NewComponent(part.id, units, inside, label, source=ask.source)
    lot_components.add_components(kit.id, [new], by=by)
    what = {"part": part.number, "lot": ask.label, "units": units, "source": ask.source}
    events.record("holds", ("lot", kit.id), what, by=by)
    return kit


def _the_inner(ask: HoldsAsk, part: PartRow) -> int | None:
    """Return our own lot of that label and part, None where it never came by itself."""
    if not ask.label.strip():
        raise UsageError("a lot inside is known by its label", hint="add --lot LABEL")
    exact = lots.find_lot(ask.label)
    found = ([exact] if exact else []) + lots.lots_named(ask.label)
    return next((row.id for row in found if row.part_id == part.id), None)


def stopped_inside(rows: Sequence[LotRow]) -> dict[int, str]:
    """Return for each lot of kits that holds a lot which may not be used which one, and why."""
    inside = lot_components.lots_inside(row.id for row in rows)
    if not inside:
        return {}
    held = {row.id: row for row in lots.lot_rows({i for each in inside.values() for i in each})}
    found: dict[int, str] = {}
    for kit, lots_in_it in inside.items():
        said = [why for i in lots_in_it if (why := _why_not(held[i]))]
        if said:
            found[kit] = f"it holds {'; '.join(said)}"
    return found


def _why_not(row: LotRow) -> str:
    name = f"lot {row.label} ({row.maker} {row.number})"
    if row.state != USABLE:
        return f"{name}, which is {row.state}"
    return f"{name}, which is barred by grade" if BARRED in touching_grades(row) else ""


def why_stopped(row: LotRow) -> str:
    """Return why a lot may not be used for what is inside it, "" where nothing speaks against."""
    return stopped_inside([row]).get(row.id, "")


def inside_told(lot_id: int) -> tuple[ComponentRow, ...]:
    """Return what is directly inside a lot."""
    return tuple(lot_components.components_of([lot_id]))
