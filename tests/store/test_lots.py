"""Lots as stored: one receipt is one lot, whatever its label, and every unit is counted."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.store import bench_record, lots, makers
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import InspectionRow, NewLot

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture
def kestrow(shop) -> int:
    return makers.add_supplier("Kestrow")


def received(supplier_id: int, part_id: int, units: int = 10, label: str = "", at="2026-03-02"):
    return lots.add_lot(NewLot(supplier_id, part_id, units, at, label))


def one(lot_id: int):
    [row] = lots.lot_rows([lot_id])
    return row


def test_two_receipts_of_one_label_stay_two_lots(shop, kestrow):
    first = received(kestrow, shop.kit, 10, "B7")
    second = received(kestrow, shop.kit, 3, "b7 ")
    assert (one(first).label, one(first).units) == ("B7", 10)
    assert one(second).label.upper().startswith("B7") and one(second).label.endswith("/2")
    assert one(second).units == 3
    assert [row.id for row in lots.lots_named("B7")] == [first, second]
    assert lots.find_lot("b7").id == first


def test_goods_without_a_label_get_one_of_our_own(shop, kestrow):
    labels = [one(received(kestrow, shop.kit)).label for _ in range(3)]
    assert len(set(labels)) == 3
    assert all(label.startswith("L26-") for label in labels)


def test_a_label_of_our_own_form_on_the_goods_takes_no_lot_over(shop, kestrow):
    first = received(kestrow, shop.kit, 1, "L26-00002")
    second = received(kestrow, shop.hose)
    assert one(first).label != one(second).label


def test_what_left_a_lot_is_counted_by_kind(shop, kestrow):
    lot = received(kestrow, shop.kit, 10)
    job = bench_record.open_job("2026-03-03", None, serial="", customer_ref="", note="")
    for units in (2, 1):
        bench_record.add_fitting(
            job, shop.kit, lot_id=lot, place=None, units=units, at="2026-03-03"
        )
    for kind, units in (("returned", 4), ("written off", 1), ("missing", 2), ("missing", -1)):
        lots.move(lot, kind, units, reason="", by=BY)
    row = one(lot)
    assert (row.fitted, row.returned, row.written_off, row.missing) == (3, 4, 1, 1)
    assert [m.kind for m in lots.movements_of([lot])] == [
        "returned", "written off", "missing", "missing",
    ]  # fmt: skip


def test_a_span_of_days_has_both_its_ends(shop, kestrow):
    days = ("2026-01-31", "2026-02-01", "2026-02-28T23:59:00Z", "2026-03-01")
    ids = [received(kestrow, shop.kit, at=day) for day in days]
    found = lots.lots_received(since="2026-02-01", until="2026-02-28")
    assert [row.id for row in found] == ids[1:3]
    other = makers.add_supplier("Ninefold")
    assert lots.lots_received(supplier_id=other) == []
    assert len(lots.lots_received(supplier_id=kestrow)) == 4


def test_an_inspection_comes_back_as_it_was(shop, kestrow):
    lot = received(kestrow, shop.kit)
    row = InspectionRow(0, lot, BY.at, BY.who, 10, 1, "n", "plan", 10, 0, "return", {"thread": 1})
    lots.add_inspection(lot, row)
    [found] = lots.inspections_of([lot])
    assert (found.sampled, found.rejected, found.found) == (10, 1, {"thread": 1})
    assert (found.decision, found.plan, found.note) == ("return", "plan", "n")


def test_only_first_inspections_before_this_lots_own_count(shop, kestrow):
    def inspected(lot: int, decision: str) -> None:
        row = InspectionRow(0, lot, BY.at, BY.who, 1, 0, "", "", 1, 0, decision, {})
        lots.add_inspection(lot, row)

    a, b, c = (received(kestrow, shop.kit) for _ in range(3))
    inspected(a, "return")
    inspected(b, "accept")
    inspected(a, "accept")
    assert [each.decision for each in lots.first_inspections(kestrow, before=c)] == [
        "return",
        "accept",
    ]
    assert [each.decision for each in lots.first_inspections(kestrow, before=b)] == ["return"]
    assert lots.first_inspections(kestrow, before=a) == []


@pytest.mark.parametrize(
    ("table", "columns", "values"),
    [
        ("lot_movement", "lot_id, at, by, kind, units", ("stolen", 1)),
        ("lot_movement", "lot_id, at, by, kind, units", ("returned", 0)),
    ],
)
def test_the_table_refuses_what_cannot_be(shop, kestrow, table, columns, values):
    from partsdb.store import sql

    lot = received(kestrow, shop.kit)
    with pytest.raises(sqlite3.IntegrityError):
        sql.insert(table, columns, (lot, BY.at, BY.who, *values))


def test_a_state_that_is_none_is_refused(shop, kestrow):
    lot = received(kestrow, shop.kit)
    with pytest.raises(sqlite3.IntegrityError):
        lots.set_state(lot, "lost")
