"""Lots inside lots: a recall of a ball reaches the machines that got the kit it went into."""

from __future__ import annotations

import pytest

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs import bench_jobs, lots
from partsdb.jobs.bench_jobs import ComebackAsk, FitAsk
from partsdb.jobs.grade import set_grade
from partsdb.jobs.kit_lots import OWN_BENCH, AssembleAsk, HoldsAsk
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.named import the_part
from partsdb.jobs.shelf import on_the_shelf
from partsdb.jobs.trace import TraceAsk, trace_recall
from partsdb.jobs.trace_answers import TraceAnswer
from partsdb.jobs.who import stamp
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel, KitItem
from partsdb.store import catalogue, claims, edges, events, lot_components
from partsdb.store.connect import open_database
from partsdb.store.rows import NewClaim, NewEdge, NewPart

KIT, BALL, SEAT = "24-1180", "24-1330", "24-1391"
DAY, TODAY = "2026-06-01", "2026-11-20"


def stock(label: str, number: str, units: int = 10, supplier: str = "Kestrow", day: str = DAY):
    lots.receive(ReceiveAsk(number, supplier, units, day, label=label), stamp())
    return lots.inspect(InspectAsk(label, units, 0, {}), stamp())


def built(label: str, *takes: tuple[str, int], units: int = 4, number: str = KIT) -> lots.LotCard:
    ask = AssembleAsk(
        number, units, takes or (("BALL1", 0), ("SEAT9", 0)), DAY, label=label, bin="7"
    )
    lots.put_together(ask, stamp())
    return lots.inspect(InspectAsk(label, units, 0, {}), stamp())


def fit(serial: str, lot: str = "", number: str = KIT, at: str = "2026-07-01") -> int:
    job = bench_jobs.open_job("Q33", at, serial=serial, customer="C-1", note="", by=stamp())
    return bench_jobs.fit(FitAsk(job.job, number, lot=lot), at, stamp()).fittings[-1].id


def traced(**what: object) -> TraceAnswer:
    return trace_recall(TraceAsk(TODAY, **what))


def carried(found: TraceAnswer) -> list[tuple[str, str]]:
    return [(each.serial, each.inside) for each in found.machines]


@pytest.fixture
def pieces(in_shop):
    stock("BALL1", BALL)
    stock("SEAT9", SEAT, supplier="Saltreeve")


@pytest.fixture
def kits(pieces):
    built("OWN1")
    fit("4711", "OWN1")


# Put together here


def test_kits_take_their_pieces_out_of_the_lots_they_are_made_of(pieces):
    """By hand: 10 balls, 4 kits with one each, 6 are left."""
    card = built("OWN1")
    assert (card.supplier, card.on_hand, card.may_be_used) == (OWN_BENCH, 4, 4)
    assert [(each.lot, each.units, each.taken) for each in card.inside] == [
        ("BALL1", 4, True),
        ("SEAT9", 4, True),
    ]
    ball = lots.lot_card("BALL1")
    assert (ball.balance.built_in, ball.on_hand) == (4, 6)
    assert "4 built into kits" in ball.notes[0]


@pytest.mark.parametrize("again", ["BALL1", "ball1"])
def test_a_lot_that_is_named_twice_is_not_taken_from_twice(pieces, again):
    """By hand: 8 and 8 are more than the 10 there are, though each by itself is not."""
    with pytest.raises(UsageError, match="named twice"):
        built("OWN1", ("BALL1", 8), (again, 8))
    assert lots.lot_card("BALL1").on_hand == 10


def test_a_kit_that_lists_two_of_a_piece_takes_two(pieces):
    held = (KitItem("Ball", "ball", 2, "wear item"), KitItem("Seat", "seat", 1, "wear item"))
    claims.set_contents(the_part(KIT).id, held)
    built("OWN1", units=3)
    assert (lots.lot_card("BALL1").on_hand, lots.lot_card("SEAT9").on_hand) == (4, 7)


def test_a_new_lot_of_kits_waits_for_its_inspection_and_says_what_no_recall_can_find(pieces):
    ask = AssembleAsk(KIT, 2, (("BALL1", 0),), DAY)
    card = lots.put_together(ask, stamp())
    assert (card.state, card.may_be_used) == ("held", 0)
    assert any("no lot was named for its seat" in note for note in card.notes)
    assert not any("for its ball" in note for note in card.notes)


@pytest.mark.parametrize(
    ("takes", "said"),
    [
        ((("BALL1", 11),), "has 10 on hand, not 11"),
        ((("HELD", 1),), "may not be used: held"),
        ((("KIT1", 1),), "is of the kit itself"),
        ((), "nothing is put together"),
    ],
)
def test_what_may_not_be_used_is_not_put_into_kits(pieces, takes, said):
    lots.receive(ReceiveAsk(BALL, "Kestrow", 5, DAY, label="HELD"), stamp())
    stock("KIT1", KIT)
    with pytest.raises(UsageError, match=said):
        lots.put_together(AssembleAsk(KIT, 4, takes, DAY), stamp())
    assert lots.lot_card("BALL1").on_hand == 10


def test_pieces_of_a_barred_supplier_are_not_put_into_kits(pieces):
    set_grade("supplier", "Saltreeve", "barred", reason="false certificate", evidence="")
    with pytest.raises(UsageError, match="may not be used"):
        lots.put_together(AssembleAsk(KIT, 1, (("SEAT9", 1),), DAY), stamp())


# Whether a piece is the one that the kit lists


def another_ball(number: str, size: str, material: str = "tungsten carbide") -> str:
    """Store a ball of that size and material by its maker's sheet, and a lot of it; "": not said."""
    maker = the_part(BALL).maker_id
    [part] = catalogue.add_parts([NewPart(maker, number, "Ball", "ball")], by=stamp())
    sheet = {"evidence": EvidenceLevel.MAKERS_DOCUMENT, "source": "QH-7, p. 25"}
    said = [Claim(ClaimKind.MATERIAL, material, about="ball", **sheet)]
    said += [Claim(ClaimKind.DIMENSION, size, about="diameter", **sheet)] if size else []
    claims.add_claims([NewClaim(part, each) for each in said], by=stamp())
    stock(f"L-{number}", number)
    return f"L-{number}"


@pytest.mark.parametrize(
    ("size", "material", "said"),
    [
        ("5/16 in", "tungsten carbide", "is not the ball of Quillmere 24-1180: .*5/16 in.*3/8 in"),
        ("3/8 in", "440C stainless", "is not the ball of Quillmere 24-1180: .*a downgrade"),
    ],
)
def test_another_size_or_a_softer_ball_is_not_built_into_the_kit(pieces, size, material, said):
    """The kit lists a ball of 3/8 in, tungsten carbide (invented; the rule: handbook, materials)."""
    lot = another_ball("BALL-X", size, material)
    with pytest.raises(UsageError, match=said):
        built("OWN1", (lot, 0))
    assert lots.lot_card(lot).on_hand == 10
    with pytest.raises(NotFoundError):
        lots.lot_card("OWN1")


def test_a_ball_whose_size_nobody_states_is_told_on_the_card_of_the_kits(pieces):
    lot = another_ball("BALL-X", "")
    card = lots.put_together(AssembleAsk(KIT, 2, ((lot, 0),), DAY), stamp())
    assert any("BALL-X is not shown to be the kit's ball" in note for note in card.notes)


def test_a_piece_that_the_kit_does_not_list_is_told(pieces):
    hose = next(row for row in catalogue.parts_of_role(["hose"]))
    stock("HOSE1", hose.number)
    card = lots.put_together(AssembleAsk(KIT, 2, (("BALL1", 0), ("HOSE1", 2)), DAY), stamp())
    assert any(note.endswith("the kit's list has no hose") for note in card.notes)


def test_the_same_ball_and_seat_bring_no_doubt_of_theirs(pieces):
    card = lots.put_together(AssembleAsk(KIT, 2, (("BALL1", 0), ("SEAT9", 0)), DAY), stamp())
    assert not [note for note in card.notes if "not shown to be" in note or "no ball" in note]


def test_what_a_person_rejected_for_the_kit_is_not_built_in(pieces):
    ball = the_part(BALL)
    edges.add_edge(
        NewEdge(the_part(KIT).id, ball.id, "rejected", EvidenceLevel.MEASURED_HERE, source="bench 44"),
        by=stamp(),
    )
    with pytest.raises(UsageError, match="rejected"):
        built("OWN1")


# A recall


def test_a_recall_of_a_piece_reaches_the_machine_that_got_the_kit(kits):
    found = traced(lot="BALL1")
    assert carried(found) == [("4711", f"lot BALL1 (Quillmere {BALL})")]
    assert [(lot.lot, lot.holds) for lot in found.lots] == [
        ("BALL1", ""),
        ("OWN1", f"lot BALL1 (Quillmere {BALL})"),
    ]
    assert found.customers == ("C-1",)


def test_the_pieces_balance_and_the_kits_are_counted_apart(kits):
    """By hand: 10 balls, 4 in kits, 6 in the bin; 4 kits, 1 fitted, 3 in the bin."""
    found = traced(lot="BALL1")
    assert (found.total.received, found.total.built_in, found.on_hand) == (10, 4, 6)
    assert found.total.gap == 0 and found.total.balances
    assert "take 6 units off the shelf and count: partsdb lot count" in found.to_do
    assert any(
        each.startswith("take 3 kits that hold it off the shelf (bin 7)") for each in found.to_do
    )
    assert found.to_do[0].startswith('stop what is on the shelf: partsdb lot hold "BALL1" "OWN1"')


def test_a_recall_by_part_supplier_or_day_reaches_it_too(kits):
    for what in ({"part": BALL}, {"supplier": "Saltreeve"}, {"since": DAY, "until": DAY}):
        assert [each.serial for each in traced(**what).machines] == ["4711"], what


def test_another_lot_of_the_piece_does_not_reach_it(kits):
    stock("BALL2", BALL)
    found = traced(lot="BALL2")
    assert (carried(found), [lot.lot for lot in found.lots]) == ([], ["BALL2"])


def test_kits_within_kits_are_reached(pieces):
    built("OWN1")
    stock("HOSE1", "27-1243")
    built("BIG1", ("OWN1", 2), ("HOSE1", 2), units=2, number="24-1182")
    fit("4712", "BIG1", number="24-1182")
    found = traced(lot="BALL1")
    assert carried(found) == [("4712", f"lot BALL1 (Quillmere {BALL})")]
    assert {lot.lot for lot in found.lots} == {"BALL1", "OWN1", "BIG1"}


def test_a_serial_leads_back_to_the_pieces_inside_its_kits(kits):
    assert {lot.lot for lot in traced(serial="4711").lots} == {"OWN1", "BALL1", "SEAT9"}


def test_a_kit_that_names_no_lot_may_hold_the_piece(kits):
    fit("4713", "")
    found = traced(lot="BALL1")
    assert [(each.serial, each.inside) for each in found.may_carry] == [
        ("4713", "its kit may hold one")
    ]


def test_a_kit_that_lists_the_number_may_hold_it_unless_its_lot_says_which(pieces):
    claims.set_contents(the_part(KIT).id, (KitItem(BALL, "ball", 1, "wear item"),))
    stock("BOUGHT", KIT)
    fit("4714", "BOUGHT")
    assert [each.serial for each in traced(lot="BALL1").may_carry] == ["4714"]
    stock("BALL2", BALL)
    lots.state_inside(HoldsAsk("BOUGHT", BALL, "BALL2"), stamp())
    assert traced(lot="BALL1").may_carry == ()
    assert [each.serial for each in traced(lot="BALL2").machines] == ["4714"]


# What a bought lot of kits holds


def test_a_lot_that_never_came_by_itself_is_recalled_by_its_label(in_shop):
    stock("BOUGHT", KIT)
    fit("4714", "BOUGHT")
    lots.state_inside(HoldsAsk("BOUGHT", BALL, "melt 88", source="cert 4"), stamp())
    found = traced(lot="Melt  88")
    assert carried(found) == [("4714", f"lot melt 88 (Quillmere {BALL})")]
    assert found.total.received == 0
    assert [part.part for part in found.parts] == [f"Quillmere {BALL}"]
    assert [each.serial for each in traced(part=BALL).machines] == ["4714"]
    with pytest.raises(NotFoundError):
        traced(lot="melt 89")


def test_what_papers_say_of_our_own_lot_takes_nothing_out_of_its_bin(pieces):
    stock("BOUGHT", KIT)
    lots.state_inside(HoldsAsk("BOUGHT", BALL, "BALL1", units=3), stamp())
    assert lots.lot_card("BALL1").on_hand == 10
    [inside] = lots.lot_card("BOUGHT").inside
    assert (inside.lot, inside.units, inside.taken) == ("BALL1", 3, False)


def test_a_lot_is_never_inside_itself(pieces):
    built("OWN1")
    with pytest.raises(UsageError, match="inside itself"):
        lots.state_inside(HoldsAsk("OWN1", KIT, "OWN1"), stamp())
    with pytest.raises(UsageError, match="inside itself"):
        lots.state_inside(HoldsAsk("BALL1", KIT, "OWN1"), stamp())
    with pytest.raises(UsageError, match="label"):
        lots.state_inside(HoldsAsk("OWN1", BALL, " "), stamp())


# Stopped


@pytest.mark.parametrize("action", ["hold", "bar"])
def test_kits_with_a_stopped_lot_inside_are_not_offered_nor_fitted(kits, action):
    part = the_part(KIT).id
    assert on_the_shelf([part], {}, TODAY)[part][0].units == 3
    lots.change_state(["BALL1"], action, "soft", stamp())
    assert on_the_shelf([part], {}, TODAY) == {}
    card = lots.lot_card("OWN1")
    assert (card.state, card.may_be_used) == ("accepted", 0)
    assert any("it holds lot BALL1" in note for note in card.notes)
    with pytest.raises(UsageError, match="it holds lot BALL1"):
        fit("4715", "OWN1")
    lots.change_state(["BALL1"], "release", "measured hard", stamp())
    assert lots.lot_card("OWN1").may_be_used == 3


def test_kits_with_pieces_of_a_barred_supplier_are_not_offered(kits):
    set_grade("supplier", "Saltreeve", "barred", reason="false certificate", evidence="")
    part = the_part(KIT).id
    assert on_the_shelf([part], {}, TODAY) == {}


def test_a_failed_kit_names_the_lots_inside_it(kits):
    card = bench_jobs.come_back(ComebackAsk(1, "burst"), stamp())
    assert any("it is a kit of lots BALL1 (ball), SEAT9 (seat)" in note for note in card.notes)


def test_everything_done_is_in_the_history_and_an_old_day_does_not_know_it(shop):
    with open_database(shop, write=True):
        stock("BALL1", BALL)
        stock("SEAT9", SEAT)
        built("OWN1")
        [event] = [each for each in events.history("lot") if each.action == "assemble"]
        assert event.detail["from"] == ["BALL1:4", "SEAT9:4"]
        assert lot_components.components_of([lots.the_lot("OWN1").id])
    with open_database(shop, known_on="2020-01-01"):
        assert lot_components.components_of_parts([the_part(BALL).id]) == []
