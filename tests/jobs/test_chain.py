"""The chain of a machine: the weakest piece rates it, the unknown piece leaves it not shown."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.chain import machine_chain
from partsdb.jobs.confirmations import confirm_nominal
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PositionDemand
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Verdict
from partsdb.store import catalogue, claims, machines, makers
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import NewClaim, NewPart, Stamp

BY = Stamp("Ilse", "2026-03-02T09:30:00Z")
RATED = {"27-1": ("hose", "5000 psi"), "27-2": ("hose", "3000 psi"), "27-3": ("hose", ""),
         "26-1": ("pump block", "4000 psi"), "28-1": ("gun", "3600 psi")}  # fmt: skip


@pytest.fixture
def q33(tmp_path: Path) -> Iterator[int]:
    """A pump of 3300 psi with a block, a hose and a gun, each with more than that."""
    place = tmp_path / "shop.db"
    init_database(place)
    with open_database(place, write=True):
        maker = makers.add_maker("Quillmere")
        parts = [NewPart(maker, n, "", role) for n, (role, _) in RATED.items()]
        ids = dict(zip(RATED, catalogue.add_parts(parts, by=BY), strict=True))
        level = EvidenceLevel.MAKERS_DOCUMENT
        stated = [
            NewClaim(ids[n], Claim(ClaimKind.RATING, value, level, basis="working", source="QH-7"))
            for n, (_, value) in RATED.items()
            if value
        ]
        claims.add_claims(stated, by=BY)
        machine = machines.add_machine(maker, "Q33")
        for number, name in (("26-1", "block"), ("27-1", "hose"), ("28-1", "gun")):
            asked = PositionDemand("Q33", name, RATED[number][0], demand("3300 psi"))
            machines.call_for(machines.add_position(machine, asked), ids[number])
        machines.add_position(machine, PositionDemand("Q33", "inlet", "check valve"))
        yield machine


def test_the_weakest_piece_rates_the_chain_and_stands_first(q33):
    answer = machine_chain("Q33", None)
    assert answer.verdict is Verdict.FIT
    assert answer.weakest == "gun: Quillmere 28-1"
    # NIST SP 811 app. B: 3600 psi = 248.21 bar, rounded down
    assert answer.rating == "3600 psi (248 bar)"
    assert [each.piece for each in answer.pieces] == [
        "gun: Quillmere 28-1", "block: Quillmere 26-1", "hose: Quillmere 27-1",
    ]  # fmt: skip


def test_one_weak_piece_fails_the_whole_set_up(q33):
    answer = machine_chain("Q33", None, ["27-2"])
    assert answer.verdict is Verdict.DO_NOT_FIT
    assert answer.weakest == "hose: Quillmere 27-2"


def test_an_unknown_piece_leaves_the_chain_not_shown(q33):
    answer = machine_chain("Q33", None, ["Quillmere|27-3"])
    assert answer.verdict is Verdict.ASK_FIRST
    assert answer.unknown == ("hose: Quillmere 27-3",)
    assert answer.rating == ""


def test_a_position_without_a_part_is_unknown(q33):
    machines.add_position(q33, PositionDemand("Q33", "swivel", "swivel", demand("3300 psi")))
    answer = machine_chain("Q33", None)
    assert answer.verdict is Verdict.ASK_FIRST
    assert answer.unknown == ("swivel: no part named",)


def test_the_highest_demand_of_the_machine_counts(q33):
    asked = PositionDemand("Q33", "fitting", "gun", demand("3700 psi"))
    machines.add_position(q33, asked)
    assert machine_chain("Q33", None).verdict is Verdict.DO_NOT_FIT


def test_what_has_no_place_or_no_name_is_refused(q33):
    pin = NewPart(makers.find_maker("Quillmere").id, "9-9", "", "pin")
    catalogue.add_part(pin, by=BY)
    with pytest.raises(UsageError, match="no position under pressure takes one"):
        machine_chain("Q33", None, ["9-9"])
    with pytest.raises(NotFoundError):
        machine_chain("Q33", None, ["no such number"])
    machines.add_machine(makers.find_maker("Quillmere").id, "Q1")
    with pytest.raises(UsageError, match="states a pressure"):
        machine_chain("Q1", None)


def test_what_is_not_known_is_listed_as_what_to_find_out(q33):
    answer = machine_chain("Q33", None, ["27-3"])
    assert answer.rating == ""
    assert answer.unknown == ("hose: Quillmere 27-3",)
    (asked,) = answer.find_out
    assert asked.startswith("hose: Quillmere 27-3: get its working pressure from the maker")


def test_a_gauge_is_held_to_the_middle_of_its_scale_too(q33):
    """EN 837-2, from memory: to 75 % of the scale; 3300 psi is 83 % of 4000 psi."""
    maker = makers.add_maker("Ambrelle")
    gauge = catalogue.add_part(NewPart(maker, "AGS-1", "", "gauge"), by=BY)
    level = EvidenceLevel.MAKERS_DOCUMENT
    scale = Claim(ClaimKind.DIMENSION, "4000 psi", level, "full_scale", "", "QH-7")
    claims.add_claims([NewClaim(gauge, scale)], by=BY)
    asked = PositionDemand("Q33", "gauge", "gauge", demand("3300 psi"))
    machines.call_for(machines.add_position(q33, asked), gauge)
    answer = machine_chain("Q33", None)
    assert answer.verdict is Verdict.DO_NOT_FIT
    (found,) = [each.check for each in answer.pieces if each.check.check == "gauge range"]
    assert "more than 75 %" in found.text


def test_a_rating_confirmed_as_nominal_counts_as_such_in_the_chain(q33):
    maker = makers.add_maker("Corrowby")
    hose = catalogue.add_part(NewPart(maker, "CW 1", "", "hose"), by=BY)
    level = EvidenceLevel.MAKERS_DOCUMENT
    said = Claim(ClaimKind.RATING, "227 bar", level, "", "working", "QH-7")
    claims.add_claims([NewClaim(hose, said)], by=BY)
    assert machine_chain("Q33", None, ["CW 1"]).verdict is Verdict.FIT_WITH_CONDITIONS
    confirm_nominal("CW 1", None, "printed 3300 psi / 227 bar", BY)
    assert machine_chain("Q33", None, ["CW 1"]).verdict is Verdict.FIT
