"""The chain of a machine: the weakest piece rates it, the unknown piece leaves it not shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.chain import machine_chain
from partsdb.jobs.confirmations import confirm_nominal
from partsdb.jobs.doctor import doctor
from partsdb.jobs.weigh import weigh
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, PositionDemand
from partsdb.rules.pressure import demand
from partsdb.rules.verdict import Outcome, Verdict
from partsdb.store import catalogue, claims, edges, grades, machines, makers
from partsdb.store.connect import init_database, open_database
from partsdb.store.rows import NewClaim, NewEdge, NewPart, Stamp

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
    end = Claim(ClaimKind.PORT, "9/16-18 JIC female", level, "inlet", "", "QH-7")
    claims.add_claims([NewClaim(hose, said), NewClaim(hose, end)], by=BY)
    ends = {p.demand.position: p for p in machines.positions_of(q33)}["hose"]
    machines.set_demand(ends.position_id, replace(ends.demand, ports=("9/16-18 JIC male",)))
    assert machine_chain("Q33", None, ["CW 1"]).verdict is Verdict.FIT_WITH_CONDITIONS
    confirm_nominal("CW 1", None, "printed 3300 psi / 227 bar", BY)
    assert machine_chain("Q33", None, ["CW 1"]).verdict is Verdict.FIT


def fitted_beside(answer) -> dict[str, Outcome]:
    """The checks of the answer that are not about the pressure of a piece."""
    return {e.check.check: e.check.outcome for e in answer.pieces if e.check.check != "pressure"}


def test_a_piece_that_holds_the_pressure_and_does_not_screw_in_is_not_called_fit(q33):
    """Handbook 2.2, row 6: 60° flanks in 55°."""
    hose = a_part("CW 2", "hose", ("rating", "5000 psi"), ("port", "1/4 NPT female"))
    ends = {p.demand.position: p for p in machines.positions_of(q33)}["hose"]
    machines.set_demand(ends.position_id, replace(ends.demand, ports=("G 1/4 male",)))
    answer = machine_chain("Q33", None, ["CW 2"])
    assert hose
    assert fitted_beside(answer)["thread"] is Outcome.FAILS
    assert answer.verdict is Verdict.DO_NOT_FIT


def a_part(number: str, role: str, *said: tuple[str, str]) -> int:
    part = catalogue.add_part(NewPart(makers.add_maker("Corrowby"), number, "", role), by=BY)
    level = EvidenceLevel.MAKERS_DOCUMENT
    stated = [
        NewClaim(
            part, Claim(ClaimKind(kind), value, level, "", "working" * (kind == "rating"), "C9")
        )
        for kind, value in said
    ]
    claims.add_claims(stated, by=BY)
    return part


def edge(asked: str, fitted: int, *conditions: str, state: str = "accepted") -> None:
    [old] = catalogue.find_parts(asked)
    level = EvidenceLevel.MAKERS_DOCUMENT
    edges.add_edge(NewEdge(old.id, fitted, state, level, conditions, "QB-1"), by=BY)


def packing_place(machine: int) -> int:
    """A packing under pressure, called for by the parts list, of which nothing else is known."""
    packing = a_part("25-1", "packing")
    asked = PositionDemand("Q33", "upper packing", "packing", demand("3300 psi"))
    machines.call_for(machines.add_position(machine, asked), packing)
    return packing


def test_a_wear_item_without_a_rating_is_unknown_alike_in_chain_and_instead(q33):
    """Handbook 1.4: a parts list is no rating; the chain and the answer to `instead` agree."""
    packing = packing_place(q33)
    answer = machine_chain("Q33", None)
    name = "upper packing: Corrowby 25-1"
    assert (answer.verdict, answer.unknown) == (Verdict.ASK_FIRST, (name,))
    [chained] = [each.check for each in answer.pieces if each.piece == name]
    [row] = [p for p in machines.positions_of(q33) if p.demand.position == "upper packing"]
    facts = claims.part_facts([packing])[packing]
    [alone] = [c for c in weigh(facts, [row], original=facts).checks if c.check == "pressure"]
    assert chained == alone
    assert "a parts list does not show a packing at 3300 psi" in alone.text
    assert "Corrowby 25-1" in named_by_doctor("ratings")


def test_doctor_says_why_a_stated_pressure_rates_nothing(q33):
    """Handbook 1.3 and 1.4: burst alone and a figure without a source are no ratings."""
    level = EvidenceLevel.MAKERS_DOCUMENT
    for number, basis, source in (("26-2", "burst", "QH-7"), ("26-3", "working", "")):
        part = a_part(number, "pump block")
        said = Claim(ClaimKind.RATING, "20000 psi", level, "", basis, source)
        claims.add_claims([NewClaim(part, said)], by=BY)
        asked = PositionDemand("Q33", number, "pump block", demand("3300 psi"))
        machines.call_for(machines.add_position(q33, asked), part)
    assert named_by_doctor("ratings")[:2] == [
        "Corrowby 26-2: only a burst pressure is known, which is no rating",
        "Corrowby 26-3: its working pressure names no source",
    ]


def named_by_doctor(check: str) -> list[str]:
    found = doctor("2026-11-20").findings
    return [name for each in found if each.check == check for name in each.examples]


def test_a_wear_item_that_was_approved_rests_on_its_approval_in_the_chain_too(q33):
    packing_place(q33)
    edge("25-1", a_part("CW 25", "packing"))
    answer = machine_chain("Q33", None, ["CW 25"])
    [found] = [
        each.check for each in answer.pieces if each.piece == "upper packing: Corrowby CW 25"
    ]
    assert found.outcome is Outcome.MEETS
    assert "rests on its approval" in found.text


def test_the_adapter_that_a_fitted_piece_needs_is_a_link_of_the_chain(q33):
    """Handbook 2.2, row 23."""
    a_part("AQF-14", "fitting", ("rating", "2500 psi"), ("port", "1/4 NPT male"), ("port", "G 1/4 female"))  # fmt: skip
    edge("27-1", a_part("CW 2", "hose", ("rating", "5000 psi"), ("port", "G 1/4 male")),
         "needs adaptor AQF-14")  # fmt: skip
    answer = machine_chain("Q33", None, ["CW 2"])
    assert answer.weakest == "hose: Corrowby CW 2, adapter Corrowby AQF-14"
    assert answer.verdict is Verdict.DO_NOT_FIT


def test_a_part_that_may_go_into_several_positions_is_put_into_none_of_them_unasked(q33):
    """It would hide a weaker piece: both positions take a hose, and nothing leads to this one."""
    asked = PositionDemand("Q33", "whip", "hose", demand("3300 psi"))
    machines.add_position(q33, asked)
    a_part("CW 2", "hose", ("rating", "5000 psi"))
    with pytest.raises(UsageError, match="several positions: hose, whip") as refused:
        machine_chain("Q33", None, ["CW 2"])
    assert '--fit "hose=CW 2"' in refused.value.hint
    answer = machine_chain("Q33", None, ["whip=CW 2"])
    names = [each.piece for each in answer.pieces if each.check.check == "pressure"]
    assert "whip: Corrowby CW 2" in names
    assert "hose: Quillmere 27-1" in names


def test_what_is_barred_or_failed_here_never_makes_a_fit_chain(q33):
    [hose] = catalogue.find_parts("27-1")
    grades.set_grade(("part", hose.id), "barred", reason="burst", evidence="sheet 9", by=BY)
    answer = machine_chain("Q33", None)
    assert answer.verdict is Verdict.DO_NOT_FIT
    assert fitted_beside(answer)["grade"] is Outcome.FAILS


def test_a_paper_that_has_run_out_shows_no_rating_in_the_chain(q33):
    part = catalogue.add_part(NewPart(makers.add_maker("Corrowby"), "CW 3", "", "gun"), by=BY)
    said = Claim(ClaimKind.RATING, "5000 psi", EvidenceLevel.MAKERS_DOCUMENT, "", "working",
                 "certificate 9, valid to 2026-06-30")  # fmt: skip
    claims.add_claims([NewClaim(part, said)], by=BY)
    early = machine_chain("Q33", None, ["CW 3"], as_of="2026-06-30")
    late = machine_chain("Q33", None, ["CW 3"], as_of="2026-07-01")
    name = "gun: Corrowby CW 3"
    assert name not in early.unknown
    assert name in late.unknown


def test_a_chain_holds_what_the_pump_reaches_when_it_stalls(q33):
    """Handbook 1.5: the machine's stall pressure, not the job's setting."""
    for place in machines.positions_of(q33):
        if place.demand.pressure:
            raised = replace(place.demand, overshoot_percent="10")
            machines.set_demand(place.position_id, raised)
    answer = machine_chain("Q33", None)  # 3300 psi and 10 % are 3630 psi; the gun has 3600 psi
    assert answer.verdict is Verdict.DO_NOT_FIT
    assert answer.weakest == "gun: Quillmere 28-1"
    assert answer.demand.startswith("3630 psi")
    assert "10 % overshoot" in answer.demand


def test_the_chain_carries_its_cautions(q33):
    said = " ".join(machine_chain("Q33", None).cautions)
    assert "injection" in said
    assert "verify zero pressure" in said
