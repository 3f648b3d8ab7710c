"""An assembly taken back whole: its pieces lie in their lots again, and the history keeps it."""

from __future__ import annotations

import pytest

from partsdb.errors import UsageError
from partsdb.jobs import bench_jobs, lots, who
from partsdb.jobs.bench_jobs import FitAsk
from partsdb.jobs.kit_lots import AssembleAsk, HoldsAsk
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.named import the_part
from partsdb.jobs.shelf import on_the_shelf
from partsdb.jobs.trace import TraceAsk, trace_recall
from partsdb.jobs.upkeep import history
from partsdb.jobs.who import stamp
from partsdb.store import events
from partsdb.store.connect import open_database

KIT, BALL, SEAT, PUMP = "24-1180", "24-1330", "24-1391", "27-1243"
DAY, TODAY, WHY = "2026-06-01", "2026-11-20", "entered twice"


def stock(label: str, number: str, supplier: str = "Kestrow") -> None:
    lots.receive(ReceiveAsk(number, supplier, 10, DAY, label=label, bin="3"), stamp())
    lots.inspect(InspectAsk(label, 10, 0, {}), stamp())


def put_together(label: str = "OWN1", units: int = 4) -> lots.LotCard:
    takes = (("BALL1", 0), ("SEAT9", 0))
    return lots.put_together(AssembleAsk(KIT, units, takes, DAY, label=label), stamp())


def accepted(label: str = "OWN1", units: int = 4) -> None:
    put_together(label, units)
    lots.inspect(InspectAsk(label, units, 0, {}), stamp())


def fit(lot: str, number: str = KIT) -> None:
    job = bench_jobs.open_job("Q33", DAY, serial="4711", customer="C-1", note="", by=stamp())
    bench_jobs.fit(FitAsk(job.job, number, lot=lot), "2026-07-01", stamp())


def on_hand(*labels: str) -> list[int]:
    return [lots.lot_card(label).on_hand for label in labels]


@pytest.fixture
def pieces(in_shop) -> None:
    stock("BALL1", BALL)
    stock("SEAT9", SEAT, "Saltreeve")


@pytest.mark.usefixtures("pieces")
@pytest.mark.parametrize("make", [put_together, accepted])
def test_every_piece_lies_in_its_own_lot_again_and_no_kit_is_left(make):
    """By hand: 10 balls, 4 in kits, 6 left; taken apart there are 10 again, and no kit."""
    make()
    assert on_hand("BALL1", "SEAT9", "OWN1") == [6, 6, 4]
    card = lots.taken_apart("own1", WHY, stamp())
    assert on_hand("BALL1", "SEAT9", "OWN1") == [10, 10, 0]
    assert (card.balance.taken_apart, card.balance.balances, card.may_be_used) == (4, True, 0)
    assert card.inside == ()
    assert "back in lot BALL1 (bin 3): 10 received = 0 fitted" in " ".join(card.notes)
    assert lots.lot_card("BALL1").balance.built_in == 0
    assert on_the_shelf([the_part(KIT).id], {}, TODAY) == {}


@pytest.mark.usefixtures("pieces")
def test_a_recall_of_a_piece_no_longer_finds_the_kits_and_finds_the_pieces_on_the_shelf():
    accepted()
    assert {each.lot for each in trace_recall(TraceAsk(TODAY, lot="BALL1")).lots} == {"BALL1", "OWN1"}
    lots.taken_apart("OWN1", WHY, stamp())
    found = trace_recall(TraceAsk(TODAY, lot="BALL1"))
    assert [(each.lot, each.on_hand) for each in found.lots] == [("BALL1", 10)]
    [kits] = trace_recall(TraceAsk(TODAY, lot="OWN1")).lots
    assert (kits.on_hand, kits.gap) == (0, 0)
    assert "4 taken apart" in kits.balance


@pytest.mark.usefixtures("pieces")
def test_a_recall_of_the_kits_balances_though_some_were_taken_apart():
    accepted("OWN1")
    accepted("OWN2", 3)
    lots.taken_apart("OWN1", WHY, stamp())
    total = trace_recall(TraceAsk(TODAY, part=KIT)).total
    assert (total.received, total.taken_apart, total.on_hand) == (7, 4, 3)


@pytest.mark.usefixtures("pieces")
def test_what_was_taken_apart_may_be_put_together_anew():
    accepted()
    lots.taken_apart("OWN1", WHY, stamp())
    card = put_together("OWN1", units=10)
    assert card.lot == "OWN1/2"
    assert on_hand("BALL1", "OWN1/2") == [0, 10]


def used(how: str) -> None:
    """Do with a kit of the lot what leaves the assembly no longer whole."""
    if how == "fitted":
        fit("OWN1")
    elif how == "missing" or how.startswith("more"):
        lots.count("OWN1", 3 if how == "missing" else 5, stamp())
    elif how == "built into other kits":
        lots.put_together(AssembleAsk(PUMP, 1, (("OWN1", 1),), DAY), stamp())
    else:
        lots.take_out("OWN1", how, 1, "x", stamp())


@pytest.mark.usefixtures("pieces")
@pytest.mark.parametrize(
    "how", ["fitted", "built into other kits", "written off", "returned", "missing", "more than"]
)
def test_a_lot_that_was_used_since_is_not_taken_apart(how):
    accepted()
    used(how)
    before = on_hand("BALL1", "SEAT9", "OWN1")
    with pytest.raises(UsageError, match=f"lot OWN1 has been used since: 1 {how}"):
        lots.taken_apart("OWN1", WHY, stamp())
    assert on_hand("BALL1", "SEAT9", "OWN1") == before


@pytest.mark.usefixtures("pieces")
@pytest.mark.parametrize(("action", "state"), [("hold", "held"), ("bar", "barred")])
def test_a_lot_that_was_stopped_is_not_taken_apart_until_somebody_frees_it(action, state):
    accepted()
    lots.change_state(["OWN1"], action, "one leaked", stamp())
    with pytest.raises(UsageError, match=f"lot OWN1 is {state}: what is wrong with a kit"):
        lots.taken_apart("OWN1", WHY, stamp())
    lots.change_state(["OWN1"], "release", "it was the hose", stamp())
    assert lots.taken_apart("OWN1", WHY, stamp()).on_hand == 0


@pytest.mark.usefixtures("pieces")
def test_kits_that_an_inspection_rejected_do_not_give_their_pieces_back():
    put_together()
    lots.inspect(InspectAsk("OWN1", 4, 2, {}), stamp())
    with pytest.raises(UsageError, match="what is wrong with a kit"):
        lots.taken_apart("OWN1", WHY, stamp())


@pytest.mark.usefixtures("pieces")
def test_pieces_that_go_back_to_a_stopped_or_miscounted_lot_are_told():
    accepted()
    lots.count("SEAT9", 5, stamp())
    lots.change_state(["BALL1"], "hold", "soft", stamp())
    notes = lots.taken_apart("OWN1", WHY, stamp()).notes
    assert "lot BALL1 is held: keep its pieces apart" in notes
    assert "a count of lot SEAT9 found a gap: count its bin again" in notes
    assert lots.lot_card("BALL1").may_be_used == 0


@pytest.mark.usefixtures("pieces")
def test_what_was_never_put_together_here_or_is_apart_already_is_said():
    with pytest.raises(UsageError, match="lot BALL1 was not put together here"):
        lots.taken_apart("BALL1", WHY, stamp())
    stock("RECEIVED", KIT)
    lots.state_inside(HoldsAsk("RECEIVED", BALL, "M-1"), stamp())
    with pytest.raises(UsageError, match="was not put together here"):
        lots.taken_apart("RECEIVED", WHY, stamp())
    accepted()
    with pytest.raises(UsageError, match="without a reason"):
        lots.taken_apart("OWN1", " ", stamp())
    lots.taken_apart("OWN1", WHY, stamp())
    with pytest.raises(UsageError, match="was taken apart already"):
        lots.taken_apart("OWN1", WHY, stamp())
    assert on_hand("BALL1") == [10]


@pytest.mark.usefixtures("pieces")
def test_the_history_keeps_both_the_assembly_and_its_taking_back():
    accepted()
    lots.taken_apart("OWN1", WHY, stamp())
    actions = [event.action for event in events.history("lot", 3)]
    assert actions[0] == "take apart"
    assert "assemble" in actions
    event = events.history("lot", 3)[0]
    assert event.detail["back"] == ["BALL1:4", "SEAT9:4"]
    assert event.detail["reason"] == WHY
    said = history("lot", "", 5)[0].said
    assert "BALL1:4; SEAT9:4" in said
    assert WHY in said
    assert any(note.startswith(f"take apart: {WHY}") for note in lots.lot_card("OWN1").notes)


def test_an_old_day_still_knows_the_kits(shop, monkeypatch):
    with open_database(shop, write=True):
        stock("BALL1", BALL)
        stock("SEAT9", SEAT)
        monkeypatch.setattr(who, "now_utc", lambda: "2026-06-01T09:00:00Z")
        put_together()
        monkeypatch.setattr(who, "now_utc", lambda: "2026-07-15T09:00:00Z")
        lots.taken_apart("OWN1", WHY, stamp())
    with open_database(shop, known_on="2026-07-01"):
        assert on_hand("OWN1", "BALL1") == [4, 6]
        assert [each.lot for each in lots.lot_card("OWN1").inside] == ["BALL1", "SEAT9"]
    with open_database(shop, known_on="2026-07-15"):
        assert on_hand("OWN1", "BALL1") == [0, 10]
