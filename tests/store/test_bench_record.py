"""Jobs, fittings and comebacks as stored."""

from __future__ import annotations

import pytest

from partsdb.store import bench_record, lots, machines, makers
from partsdb.store.record import comeback_counts
from partsdb.store.rows import Stamp
from partsdb.store.rows_bench import NewLot

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")


@pytest.fixture
def job(shop) -> int:
    machine = machines.add_machine(shop.quillmere, "Q33")
    return bench_record.open_job(
        "2026-03-01", machine, serial="4711", customer_ref="C-17", note="drips"
    )


def test_a_job_comes_back_with_its_machine(job):
    [row] = bench_record.jobs([job])
    assert (row.machine, row.serial, row.customer_ref) == ("Quillmere Q33", "4711", "C-17")
    assert bench_record.newest_jobs()[0] == row


def test_a_fitting_names_machine_serial_customer_lot_and_supplier(shop, job):
    kestrow = makers.add_supplier("Kestrow")
    lot = lots.add_lot(NewLot(kestrow, shop.kit, 5, "2026-02-01", "B7"))
    fitting = bench_record.add_fitting(
        job, shop.kit, lot_id=lot, place=None, units=2, at="2026-03-01"
    )
    [row] = bench_record.fittings_of_lots([lot])
    assert row == bench_record.fittings([fitting])[0] == bench_record.fittings_of_jobs([job])[0]
    assert (row.maker, row.number, row.lot, row.supplier) == (
        "Quillmere",
        "24-1180",
        "B7",
        "Kestrow",
    )
    assert (row.machine, row.serial, row.customer_ref) == ("Quillmere Q33", "4711", "C-17")


def test_a_fitting_without_a_lot_is_found_by_its_part(shop, job):
    lot = lots.add_lot(NewLot(makers.add_supplier("Kestrow"), shop.kit, 5, "2026-02-01"))
    bench_record.add_fitting(job, shop.kit, lot_id=lot, place=None, units=1, at="2026-03-01")
    lost = bench_record.add_fitting(
        job, shop.kit, lot_id=None, place=None, units=1, at="2026-03-01"
    )
    assert [row.id for row in bench_record.fittings_without_lot([shop.kit])] == [lost]


def test_a_comeback_is_open_until_it_is_explained(shop, job):
    fitting = bench_record.add_fitting(
        job, shop.kit, lot_id=None, place=None, units=1, at="2026-03-01"
    )
    back = bench_record.add_comeback(fitting, "leak", pressure_boundary=True, note="", by=BY)
    assert bench_record.comeback(back).explained == ""
    bench_record.explain(back, "pinched ring", by=BY)
    [row] = bench_record.comebacks_of([fitting])
    assert (row.pressure_boundary, row.explained, row.cause) == (True, "pinched ring", "leak")
    assert bench_record.comeback(back + 1) is None


def test_two_comebacks_of_one_fitting_count_once(shop, job):
    fitting = bench_record.add_fitting(
        job, shop.kit, lot_id=None, place=None, units=1, at="2026-03-01"
    )
    bench_record.add_fitting(job, shop.kit, lot_id=None, place=None, units=1, at="2026-03-01")
    for _ in range(2):
        bench_record.add_comeback(fitting, "leak", pressure_boundary=False, note="", by=BY)
    assert comeback_counts([shop.kit, shop.hose]) == {shop.kit: (1, 2)}


def test_what_our_own_work_did_is_no_comeback_of_the_part(shop, job):
    fitting = bench_record.add_fitting(
        job, shop.kit, lot_id=None, place=None, units=1, at="2026-03-01"
    )
    bench_record.add_comeback(fitting, "fitted wrongly", pressure_boundary=False, note="", by=BY)
    assert comeback_counts([shop.kit]) == {shop.kit: (0, 1)}
    bench_record.add_comeback(fitting, "worn early", pressure_boundary=False, note="", by=BY)
    assert comeback_counts([shop.kit]) == {shop.kit: (1, 1)}
