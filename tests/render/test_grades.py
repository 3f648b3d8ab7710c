"""Proposals and scorecards as a person reads them."""

from __future__ import annotations

import datetime as dt

from partsdb.jobs.delivery_scores import Scores
from partsdb.jobs.scorecard import GradeProposal, ScoreRow
from partsdb.render.grades import proposal_rows, proposals_text, score_rows, scorecard_text
from partsdb.rules.evidence_grade import LotRecord
from partsdb.rules.proposal import Score, Standing, propose

TODAY = dt.date(2026, 11, 20)


def proposed(fittings: int = 20, standing: Standing | None = None) -> GradeProposal:
    lots = [LotRecord(10, 0, TODAY)] * (fittings // 10)
    scores = Scores(Score(5, 6), Score(4, 5), Score(0, 0), Score(6, 6), 2500)
    said = propose(lots, standing or Standing(), TODAY)
    return GradeProposal("supplier", "Saltreeve", said, scores)


def test_a_proposal_shows_its_numbers_and_what_a_rise_takes():
    text = proposals_text([proposed()], 120)
    assert "0 comebacks in 20 counted fittings (20 fitted, 2 lots)" in text
    assert "1 more clean fittings show a C" in text
    assert "no change" in text
    assert "nothing was changed" in text


def test_deliveries_and_inspections_stand_beside_it_with_their_counts():
    text = proposals_text([proposed()], 120)
    assert "on time         4/5 (" in text
    assert "accepted        5/6 (" in text
    assert "ppm             2500" in text
    assert "filled" not in text  # nothing was ordered by count, so nothing is told
    [row] = proposal_rows([proposed()])
    assert row["on_time"].startswith("4/5 (")
    assert row["filled"] == ""


def test_a_rise_is_told_from_what_to_what():
    assert "C to B" in proposals_text([proposed(50, Standing("C", TODAY))], 120)


def test_nothing_to_propose_says_so():
    assert proposals_text([], 120) == "nothing has a record or a grade yet"


def test_a_row_for_a_spreadsheet_has_every_number():
    [row] = proposal_rows([proposed()])
    assert {"subject", "proposed", "counted", "failures", "mean", "clean_needed"} <= set(row)


def test_the_scorecard_shows_counts_and_intervals():
    none = Score(0, 0)
    row = ScoreRow(1, "Saltreeve", "B", 0.8389, Score(20, 20), none, none, none, none, 2500, 1)
    text = scorecard_text([row], 160)
    assert "20/20 (83.9% to 100.0%)" in text
    assert "2500" in text
    assert score_rows([row])[0]["on_time"] == "none recorded"
    assert "nothing was received" in scorecard_text([], 160)
