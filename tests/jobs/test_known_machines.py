"""Machines as they stood on a day gone by: what a position demanded then, and called for."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsdb.jobs.catalogue import KINDS
from partsdb.jobs.chain import machine_chain
from partsdb.jobs.instead import InsteadAsk, instead
from partsdb.jobs.upkeep import history
from partsdb.store import catalogue, events, machines, makers, sql
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import NewPart, PositionRow, Stamp

THEN, LATER, LAST = "2026-03-02", "2026-04-07", "2026-05-11"
HEAD = (
    "maker,model,kind,position,role,pressure,temp_c_max,fluids,ports,materials,sizes,"
    "block_material,part_maker,part_number,quantity\n"
)
MARCH = (
    "Quillmere,Q33,airless pump,hose,hose,3300 psi,60,water;primer,1/4 NPT male,cover=PTFE,"
    "bore=6 mm,aluminium,Quillmere,27-1,1\n"
)
APRIL = "Quillmere,Q33,jetter,hose,whip hose,2500 psi,,water,G 1/4,,,,Quillmere,27-2,2\n"
MAY = "Quillmere,Q33,jetter,hose,whip hose,2500 psi,,water,G 1/4,,,,Quillmere,27-2,5\n"


def at(day: str) -> Stamp:
    return Stamp("Ilse", f"{day}T09:00:00Z")


def load(folder: Path, row: str, day: str) -> None:
    kind = KINDS["machines"]
    path = folder / kind.format.name
    path.write_text(HEAD + row, encoding="utf-8")
    kind.load(kind.read(path), at(day))


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A pump that was entered in March and changed in April and in May."""
    path = tmp_path / "shop.db"
    init_database(path)
    with open_database(path, write=True):
        maker = makers.add_maker("Quillmere")
        parts = [NewPart(maker, number, "", "hose") for number in ("27-1", "27-2")]
        catalogue.add_parts(parts, by=at(THEN))
        for row, day in ((MARCH, THEN), (APRIL, LATER), (MAY, LAST)):
            load(tmp_path, row, day)
    return path


def the_hose() -> PositionRow:
    [position] = machines.positions_of(1)
    return position


def test_a_position_demanded_then_what_was_entered_then(place):
    with open_database(place, known_on=THEN):
        then = the_hose().demand
    assert (then.role, then.pressure.as_written, then.temp_c_max) == ("hose", "3300 psi", 60)
    assert (then.fluids, then.ports) == (("water", "primer"), ("1/4 NPT male",))
    assert (then.materials, then.sizes) == ((("cover", "PTFE"),), (("bore", "6 mm"),))
    assert then.block_material == "aluminium"
    with open_database(place):
        now = the_hose().demand
    assert (now.role, now.pressure.as_written, now.temp_c_max) == ("whip hose", "2500 psi", None)
    assert (now.fluids, now.materials, now.block_material) == (("water",), (), "")


@pytest.mark.parametrize(
    ("known_on", "called_for"),
    [(THEN, {1: 1}), (LATER, {1: 1, 2: 2}), (LAST, {1: 1, 2: 5}), ("", {1: 1, 2: 5})],
)
def test_a_position_called_then_for_the_parts_of_then(place, known_on, called_for):
    with open_database(place, known_on=known_on):
        hose = the_hose()
        assert dict(zip(hose.part_ids, hose.quantities, strict=True)) == called_for
        calling = {row.position_id for row in machines.positions_calling_for([2])}
    assert bool(calling) is (2 in called_for)


def test_a_machine_was_then_of_the_kind_of_then(place):
    kinds = {}
    for known_on in (THEN, LATER, ""):
        with open_database(place, known_on=known_on):
            [machine] = machines.machine_rows()
            kinds[known_on] = (machine.kind, machine.serviced)
    assert kinds == {THEN: ("airless pump", True), LATER: ("jetter", True), "": ("jetter", True)}


def test_the_answers_of_a_day_are_by_its_demands(place):
    with open_database(place, known_on=THEN):
        assert instead(InsteadAsk("27-1", THEN)).positions == ("Quillmere Q33 hose, 3300 psi",)
        assert machine_chain("Q33", None, as_of=THEN).demand == "3300 psi (228 bar)"
    with open_database(place):
        assert instead(InsteadAsk("27-1", LAST)).positions == ("Quillmere Q33 hose, 2500 psi",)


def test_stall_pressure_and_overshoot_are_turned_back_too(tmp_path, place):
    head = HEAD.replace("pressure,", "pressure,stall,overshoot_percent,")
    with open_database(place, write=True):
        kind = KINDS["machines"]
        path = tmp_path / kind.format.name
        for row, day in (("3600 psi,10", "2026-06-01"), (",", "2026-06-02")):
            path.write_text(
                f"{head}Quillmere,Q33,jetter,hose,whip hose,2500 psi,{row},,water,G 1/4,,,,"
                "Quillmere,27-2,5\n",
                encoding="utf-8",
            )
            kind.load(kind.read(path), at(day))
        assert the_hose().demand.stall is None
    with open_database(place, known_on="2026-06-01"):
        asked = the_hose().demand
    assert (asked.stall.as_written, asked.overshoot_percent) == ("3600 psi", "10")


def test_what_an_older_history_does_not_tell_stays_as_it_is(place):
    """Before, the event of a change did not tell which parts had been called for."""
    with open_database(place, write=True):
        sql.run("DROP TRIGGER event_no_update")
        sql.run("UPDATE event SET detail = json_remove(detail, '$.called_before')")
    with open_database(place, known_on=THEN):
        hose = the_hose()
    assert hose.part_ids == (1, 2)
    assert hose.demand.pressure.as_written == "3300 psi"


def test_the_history_tells_the_change_without_its_bookkeeping(place):
    with open_database(place):
        [_, april, *_] = [e for e in history("position", "", 9) if e.action == "change"]
        assert "called before" not in april.said
        assert "3300 psi" in april.said
        assert events.history("position")[0].detail["called_before"] == [
            {"part_id": 1, "quantity": 1}, {"part_id": 2, "quantity": 2},
        ]  # fmt: skip
