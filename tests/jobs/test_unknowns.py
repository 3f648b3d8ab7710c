"""The ledger of the invented shop."""

from __future__ import annotations

from partsdb.jobs import bench_jobs, lots
from partsdb.jobs.bench_jobs import ComebackAsk, FitAsk
from partsdb.jobs.lots import InspectAsk, ReceiveAsk
from partsdb.jobs.unknowns import unknowns
from partsdb.jobs.who import stamp
from partsdb.render.unknowns import FIRST, unknowns_text
from partsdb.store import sql

DAY = "2026-11-20"


def fit(number: str, times: int = 1) -> int:
    job = bench_jobs.open_job("Q33", DAY, serial="1", customer="", note="", by=stamp()).job
    for _ in range(times):
        card = bench_jobs.fit(FitAsk(job, number), DAY, stamp())
    return card.fittings[-1].id


def test_the_gravest_stands_first_and_then_what_is_fitted_most(in_shop):
    fit("24-1182", 3)
    sql.run("UPDATE claim SET withdrawn_at = ? WHERE kind = 'rating' AND part_id IN"
            " (SELECT id FROM part WHERE number IN ('24-1182', '24-1180'))", (DAY,))  # fmt: skip
    rows = unknowns()
    assert [row.harm for row in rows] == sorted(row.harm for row in rows)
    first = rows[0]
    assert (first.subject, first.about, first.fitted) == ("Quillmere 24-1182", "rating", 3)
    assert any(row.subject == "Quillmere 24-1180" and row.about == "rating" for row in rows)


def test_a_part_that_nobody_uses_is_not_in_the_ledger(in_shop):
    used = {row.subject for row in unknowns()}
    assert "Corrowby CW 40318" not in used
    fit("CW 40318")
    assert any(row.subject == "Corrowby CW 40318" for row in unknowns())


def test_an_open_failure_is_the_gravest_unknown_until_explained(in_shop):
    [back] = bench_jobs.come_back(ComebackAsk(fit("24-1180"), "burst"), stamp()).comebacks
    rows = [row for row in unknowns(1) if row.about == "failure"]
    assert [row.subject for row in rows] == ["Quillmere 24-1180"]
    bench_jobs.explain(back.id, "frozen", stamp())
    assert not [row for row in unknowns(1) if row.about == "failure"]


def test_fittings_that_name_no_lot_are_a_blind_spot(in_shop):
    fit("24-1180", 2)
    [row] = [row for row in unknowns(4) if row.subject == "Quillmere 24-1180"]
    assert "2 fitted units name no lot" in row.unknown


def test_a_position_without_a_pressure_is_in_the_ledger(in_shop):
    sql.run("DELETE FROM position_demand WHERE kind = 'pressure' AND position_id ="
            " (SELECT p.id FROM position p JOIN machine c ON c.id = p.machine_id"
            " WHERE c.model = 'Q33' AND p.name = 'bypass valve')")  # fmt: skip
    rows = [row for row in unknowns(1) if row.about == "demand"]
    assert [row.subject for row in rows] == ["Quillmere Q33 bypass valve"]


def test_the_text_shows_the_first_of_each_harm_and_says_how_many_more(in_shop):
    sql.run("UPDATE claim SET withdrawn_at = ? WHERE kind = 'temperature'", (DAY,))
    rows = unknowns(2)
    assert len(rows) > FIRST
    text = unknowns_text(rows, 140)
    assert f"and {len(rows) - FIRST} more" in text
    assert "more: --all" not in unknowns_text(rows, 140, every=True)
    assert "nothing that we look for" in unknowns_text([], 140)


def stock(label: str, number: str = "24-1180", **paper: str) -> None:
    lots.receive(ReceiveAsk(number, "Kestrow", 4, DAY, label=label, **paper), stamp())
    lots.inspect(InspectAsk(label, 4, 0, {}), stamp())


def test_a_lot_without_a_certificate_that_holds_is_in_the_ledger(in_shop):
    stock("B7")
    stock("B8", document="cert 8", document_until="2026-11-19")
    stock("B9", document="cert 9", document_until=DAY)
    stock("P1", "25-1258")  # a packing holds no pressure
    found = [row.unknown for row in unknowns(4, as_of=DAY) if row.about == "certificate"]
    assert found == [
        "whether lot B7 is what it is sold as: it came without a certificate",
        "whether lot B8 is what it is sold as: its certificate (cert 8) ran out on 2026-11-19",
    ]


def test_a_lot_of_which_nothing_is_left_is_not(in_shop):
    stock("B7")
    lots.take_out("B7", "written off", 4, "cut open", stamp())
    assert not [row for row in unknowns(as_of=DAY) if row.about == "certificate"]
