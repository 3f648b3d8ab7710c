"""What is said of the inspection on arrival, from the shop's own figures."""

from __future__ import annotations

import pytest

from importers.rows import ListRow, RowKind
from partsdb.jobs.listed import ListedLine
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.settings import change_setting
from partsdb.jobs.vet_arrival import on_arrival
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.who import stamp
from partsdb.matching.readings import LineText, Reading, ReadingKind
from partsdb.rules.verdict import Verdict

pytestmark = pytest.mark.usefixtures("small")


def line(role: str, verdict: Verdict = Verdict.FIT) -> Judged:
    listed = ListedLine(ListRow(RowKind.ITEM, "", 2, {}), LineText("A2"))
    return Judged(ReadLine(listed, Reading(ReadingKind.OFFER)), verdict=verdict, role=role)


def test_what_is_not_bought_is_not_inspected():
    assert on_arrival([line("hose", Verdict.ASK_FIRST), line("hose", Verdict.DO_NOT_FIT)]) == ()


def test_the_shops_own_risk_counts():
    """Handbook 6.3: N 50, 6 % bad (3), risk 10 % -> 27; 6 % of 20 is one bad, risk 10 % -> 18."""
    change_setting("inspect_rate", "0.06", stamp())
    said = on_arrival([line("hose")])[0]
    assert "18 of a lot of 20, 27 of a lot of 50; none may fail" in said
    assert "a lot with 6 % bad pieces passes with a chance of 10 % at most" in said


def test_what_holds_no_pressure_is_inspected_by_the_standard():
    change_setting("inspect_wear_item", "III 4.0", stamp())
    [said] = on_arrival([line("packing"), line("pin", Verdict.FIT_WITH_CONDITIONS)])
    assert said.startswith("2 lines hold no pressure: the first lot of the source as strictly")
    assert "hardware level I, AQL 2.5; wear item level III, AQL 4.0" in said


def test_a_supplier_graded_d_has_every_piece_inspected():
    said = on_arrival([line("hose"), line("packing")], "D")
    assert "every piece of every lot" in said[0]
    assert len(said) == 2
