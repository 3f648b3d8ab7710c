"""The card of a lot, the OC plot, the card of a job."""

from __future__ import annotations

from partsdb.render.lots import job_text, lot_text, oc_text
from partsdb.rules.inspection import inspection_plan, oc_curve
from partsdb.rules.switching import LotResult

CURVE = ((0.0, 1.0), (0.05, 0.5), (0.1, 0.0))


def test_the_plot_has_the_curve_from_the_upper_left_to_the_lower_right():
    rows = oc_text(CURVE).splitlines()
    assert rows[0].startswith(" 100%|*")
    assert rows[5].startswith("  50%|") and rows[5].index("*") == 6 + 25
    assert rows[10].startswith("   0%|") and rows[10].index("*") == 6 + 50
    assert "10 % bad in the lot" in rows[12]


def test_the_numbers_stand_under_the_plot():
    assert (
        oc_text(CURVE).splitlines()[-1] == "accepted: 0 % bad: 100 %; 5 % bad: 50 %; 10 % bad: 0 %"
    )


def test_every_point_of_a_real_curve_is_plotted_once():
    curve = oc_curve(inspection_plan(200, "packing", [LotResult(True)]))
    plot = oc_text(curve).splitlines()[:11]
    assert sum(row.count("*") for row in plot) == len(curve)


def card(**more) -> dict[str, object]:
    facts = {
        "lot": "B7", "part": "Quillmere 24-1180", "role": "valve kit", "supplier": "Kestrow",
        "supplier_label": "B7", "received_at": "2026-11-20", "state": "held", "on_hand": 12,
        "may_be_used": 0, "bin": "", "order_ref": "", "document": "", "document_until": "",
        "said": "inspect 11 of 12, none may fail", "plan": {"why": "a part that holds pressure"},
        "curve": CURVE, "measure": [{"check": "thread", "how": "gauge"}], "inside": [], "inspections": [],
        "movements": [], "notes": ["12 received"],
    }  # fmt: skip
    return facts | more


def test_a_lot_that_may_not_be_used_says_zero():
    text = lot_text(card(), 120)
    assert "may be used     0" in text
    assert "no sample proves a burst strength" in text
    assert [line.split() for line in text.splitlines() if line.startswith("thread")] == [
        ["thread", "gauge"]
    ]


def test_inspections_and_movements_are_told():
    done = {"at": "2026-11-21T08:00:00Z", "by": "Ilse", "sampled": 11, "rejected": 1,
            "decision": "return", "found": {"thread": 1}, "note": ""}  # fmt: skip
    gone = {"at": "2026-11-22", "by": "Ilse", "kind": "returned", "units": 12, "reason": "thread"}
    text = lot_text(card(inspections=[done], movements=[gone]), 120)
    assert "thread: 1" in text and "return" in text
    assert "returned" in text and "2026-11-22" in text


def test_a_fitting_without_a_lot_and_an_open_comeback_stand_out():
    fitting = {"id": 1, "maker": "Quillmere", "number": "24-1180", "units": 1, "lot": "",
               "position": "bypass valve", "at": "2026-11-20"}  # fmt: skip
    back = {"id": 1, "fitting_id": 1, "at": "2026-11-25", "cause": "leak", "note": "",
            "pressure_boundary": True, "explained": ""}  # fmt: skip
    job = {"job": 1, "opened_at": "2026-11-20", "machine": "Quillmere Q33", "serial": "4711",
           "customer_ref": "C-17", "note": "", "fittings": [fitting], "comebacks": [back],
           "notes": []}  # fmt: skip
    text = job_text(job, 120)
    assert "not named" in text
    assert "not explained yet" in text
    assert "4711" in text
    assert "nothing fitted yet" in job_text(job | {"fittings": [], "comebacks": []}, 120)
