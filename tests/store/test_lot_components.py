"""Lots inside lots as they are stored; an older database gets the table without losing a row."""

from __future__ import annotations

import sqlite3

import pytest

from partsdb.store import bench_record, catalogue, lot_components, lots, makers
from partsdb.store.connect import open_database
from partsdb.store.rows import NewPart, Stamp
from partsdb.store.rows_bench import NewComponent, NewLot

BY = Stamp("Ilse", "2026-06-01T09:00:00Z")


@pytest.fixture
def four_lots(path):
    """Lots 1 to 4 of as many parts, in an open database."""
    with open_database(path, write=True):
        filled()
        yield path


def filled() -> None:
    supplier, maker = makers.add_supplier("Kestrow"), makers.add_maker("Quillmere")
    parts = catalogue.add_parts([NewPart(maker, f"24-{n}") for n in range(4)], by=BY)
    for part in parts:
        lots.add_lot(NewLot(supplier, part, 10, "2026-06-01"))


def put(kit: int, *inside: int, taken: bool = True) -> None:
    lot_components.add_components(kit, [NewComponent(i, 2, i, taken=taken) for i in inside], by=BY)


def test_steps_up_and_down_lead_through_kits_within_kits(four_lots):
    put(2, 1)
    put(3, 2, 4)
    assert lot_components.kits_holding([1]) == {2: (1,), 3: (1,)}
    assert lot_components.lots_inside([3]) == {3: (1, 2, 4)}
    assert lot_components.kits_holding([3]) == {}
    assert lot_components.lots_inside([]) == {}


def test_what_was_taken_back_is_in_no_kit_any_more(four_lots):
    put(2, 1)
    put(2, 4, taken=False)
    put(3, 2)
    lot_components.take_back(2, by=BY)
    assert lot_components.kits_holding([1]) == {}
    assert lot_components.lots_inside([3]) == {3: (2, 4)}
    assert [each.lot_id for each in lot_components.components_of([2])] == [4]
    assert [lots.lot_rows([i])[0].built_in for i in (1, 2)] == [0, 2]
    lots.take_apart(2, by=BY)
    assert [row.taken_apart for row in lots.lot_rows([1, 2])] == [0, 10]


def test_only_what_was_taken_out_of_the_bin_leaves_it(four_lots):
    put(2, 1)
    put(3, 1, taken=False)
    [row] = lots.lot_rows([1])
    assert row.built_in == 2


def test_labels_are_found_whatever_their_case_and_blanks(four_lots):
    lot_components.add_components(2, [NewComponent(1, 1, label="Melt 88")], by=BY)
    [found] = lot_components.components_labelled("melt  88")
    assert (found.lot, found.lot_id, found.state) == ("Melt 88", None, "")
    assert lot_components.components_labelled("") == []


@pytest.mark.parametrize(
    "new",
    [
        NewComponent(1, 0, 1),  # none
        NewComponent(1, 1, 2),  # itself
        NewComponent(1, 1),  # neither a lot nor a label
        NewComponent(1, 1, label="x", taken=True),  # out of no bin of ours
    ],
)
def test_what_cannot_be_is_not_stored(four_lots, new):
    with pytest.raises(sqlite3.IntegrityError):
        lot_components.add_components(2, [new], by=BY)


def test_an_older_database_gets_the_table_and_keeps_every_row(before_migration):
    path = before_migration("lot_component")
    with sqlite3.connect(path) as raw:
        raw.execute("INSERT INTO supplier (name, name_key) VALUES ('Kestrow', 'KESTROW')")
        raw.execute("INSERT INTO maker (name, name_key) VALUES ('Quillmere', 'QUILLMERE')")
        raw.execute(
            "INSERT INTO part (maker_id, number, number_key, number_fold, added_at)"
            " VALUES (1, '24-1', '241', '241', '2026-01-01')"
        )
        raw.execute(
            "INSERT INTO lot (supplier_id, part_id, label, label_key, received_at, units)"
            " VALUES (1, 1, 'B7', 'B7', '2026-06-01', 5)"
        )
        raw.execute("INSERT INTO job (opened_at) VALUES ('2026-07-01')")
        raw.execute(
            "INSERT INTO fitting (job_id, part_id, lot_id, units, at)"
            " VALUES (1, 1, 1, 2, '2026-07-01'), (1, 1, NULL, 1, '2026-07-02')"
        )
    with open_database(path, write=True):
        [row] = lots.lot_rows([1])
        assert (row.label, row.units, row.fitted, row.built_in) == ("B7", 5, 2, 0)
        assert [each.units for each in bench_record.fittings_of_parts([1])] == [2, 1]
        assert [each.units for each in bench_record.fittings_without_lot([1])] == [1]
        assert lot_components.components_of([1]) == []


def test_a_database_that_knew_no_taking_apart_keeps_its_kits(before_migration):
    path = before_migration("taken_apart_at")
    with sqlite3.connect(path) as raw:
        raw.execute("INSERT INTO supplier (name, name_key) VALUES ('Kestrow', 'KESTROW')")
        raw.execute("INSERT INTO maker (name, name_key) VALUES ('Quillmere', 'QUILLMERE')")
        raw.execute(
            "INSERT INTO part (maker_id, number, number_key, number_fold, added_at)"
            " VALUES (1, '24-1', '241', '241', '2026-01-01'), (1, '24-2', '242', '242', '2026-01-01')"
        )
        raw.execute(
            "INSERT INTO lot (supplier_id, part_id, label, label_key, received_at, units)"
            " VALUES (1, 1, 'B7', 'B7', '2026-06-01', 5), (1, 2, 'OWN', 'OWN', '2026-06-02', 2)"
        )
        raw.execute(
            "INSERT INTO lot_component (kit_lot_id, part_id, component_lot_id, units, taken, at, by)"
            " VALUES (2, 1, 1, 2, 1, '2026-06-02T09:00:00Z', 'Ilse')"
        )
    with open_database(path, write=True):
        ball, kit = lots.lot_rows([1, 2])
        assert (ball.units, ball.built_in, ball.taken_apart) == (5, 2, 0)
        assert (kit.units, kit.taken_apart) == (2, 0)
        assert lot_components.lots_inside([2]) == {2: (1,)}
