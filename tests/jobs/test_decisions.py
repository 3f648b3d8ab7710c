"""A person's decision: asked once, applied at once, taken back without a trace in what counts."""

from __future__ import annotations

import shutil

import pytest
from decided_shop import HOSE, NEAR, NEARER, SURE, about, asked, held, read
from small_shop import BY, DAY, price_list

from partsdb.errors import NotFoundError, UsageError
from partsdb.jobs.decisions import Answer, decide, undo
from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.past import past_decisions
from partsdb.jobs.review import ReviewAsk, review
from partsdb.jobs.review_answers import answer_of
from partsdb.jobs.review_session import Sitting
from partsdb.matching.context import PastDecision
from partsdb.matching.readings import ReadingKind
from partsdb.store import catalogue, events, lists, makers, offers, sql
from partsdb.store.connect import open_database
from partsdb.store.rows_lists import NewDecision

ROWS = [NEAR, NEARER, HOSE, SURE]


@pytest.fixture
def in_bypass(bypass_shop, tmp_path):
    place = shutil.copy(bypass_shop, tmp_path / "shop.db")
    with open_database(place, write=True):
        yield tmp_path


def answer(batch: int, code: str, typed: str, **more) -> None:
    decide(batch, [answer_of(typed, about(batch, code, **more))], BY)


def prices(number: str) -> list[str]:
    (part,) = [p for p in catalogue.find_parts(number) if p.number == number]
    found = offers.live_offers([part.id], DAY)
    return sorted(f"{o.supplier} {o.code} {o.price_e4}" for o in found)


def test_a_decided_line_is_asked_no_more_and_its_offer_counts(in_bypass):
    batch = read(in_bypass, ROWS)
    assert {q.fields["code"] for q in asked(batch)} == {"24-1183", "24-1810", "24-1182"}
    before = prices("24-1180")
    answer(batch, "24-1183", "1")
    assert {q.fields["code"] for q in asked(batch)} == {"24-1810", "24-1182"}
    assert prices("24-1180") == sorted([*before, "Saltreeve 24-1183 105000"])


def test_the_next_list_asks_nothing_that_was_answered_until_the_line_says_otherwise(in_bypass):
    first = read(in_bypass, ROWS)
    for code, typed in (("24-1183", "1"), ("24-1810", "o"), ("24-1182", "x")):
        answer(first, code, typed)
    again = read(in_bypass, [*ROWS, '24-9999,,"Garden hose"'], name="next.csv")
    assert asked(again) == ()
    changed = read(
        in_bypass, [NEAR.replace("bypass,", "bypass, long,"), *ROWS[1:]], name="third.csv"
    )
    assert [q.fields["code"] for q in asked(changed)] == ["24-1183"]


def test_another_supplier_with_the_same_line_is_asked(in_bypass):
    answer(read(in_bypass, ROWS), "24-1183", "1")
    makers.add_supplier("Ninefold")
    other = read(in_bypass, [NEAR, SURE], name="other.csv", supplier="Ninefold")
    assert [q.fields["code"] for q in asked(other)] == ["24-1183"]


@pytest.mark.parametrize("typed", ["1", "2", "r1", "n", "o", "x", "=24-1178"])
def test_a_decision_leaves_what_a_list_read_with_it_has(bypass_shop, tmp_path, typed):
    rows = [NEAR.replace("Quillmere", ""), *ROWS[1:]]
    found = []
    for name, early in (("late.db", False), ("early.db", True)):
        place = shutil.copy(bypass_shop, tmp_path / name)
        with open_database(place, write=True):
            if early:  # decided on a list that is withdrawn again, then read with the decision
                batch = read(tmp_path, rows)
                answer(batch, "24-1183", typed)
                withdraw(batch, "to be read again", BY)
            batch = read(tmp_path, rows)
            if not early:
                answer(batch, "24-1183", typed)
            found.append(held(batch))
    assert found[0] == found[1]


@pytest.mark.parametrize("typed", ["1", "r1", "n", "o", "x", "w1"])
def test_undo_leaves_what_there_was_and_keeps_both_in_the_record(in_bypass, typed):
    batch = read(in_bypass, [NEAR.replace("Quillmere", ""), *ROWS[1:]])
    before = held(batch)
    answer(batch, "24-1183", typed)
    assert held(batch) != before or typed == "w1"
    undone = undo(batch, BY)
    assert undone.lines == 1
    assert held(batch) == before
    assert lists.decisions(makers.find_supplier("Saltreeve").id) == []
    (row,) = sql.rows("SELECT taken_back_at FROM decision")
    assert row[0] == BY.at
    said = [e.action for e in events.history("price list", batch)]
    assert said.count("decide lines") == said.count("undo decisions") == 1
    with pytest.raises(UsageError, match="nothing to undo"):
        undo(batch, BY)


def test_a_replacement_is_an_own_part_with_an_edge_and_goes_with_undo(in_bypass):
    batch = read(in_bypass, [NEAR.replace("Quillmere", ""), SURE])
    answer(batch, "24-1183", "r1")
    (own,) = catalogue.find_parts("24-1183")
    assert (own.maker, own.role, own.price_list_id) == ("Saltreeve", "valve kit", batch)
    assert ("24-1180", "24-1183", "proposed", "24-1183") in held(batch)["edge"]
    assert prices("24-1183") == ["Saltreeve 24-1183 105000"]
    undo(batch, BY)
    assert [p for p in catalogue.find_parts("24-1183") if p.number == "24-1183"] == []
    assert held(batch)["edge"] == []


def test_a_decision_replaces_the_one_before_and_undo_brings_that_back(in_bypass):
    batch = read(in_bypass, ROWS)
    answer(batch, "24-1183", "1")
    first = held(batch)
    decide(batch, [answer_of("o", about(batch, "24-1183", row=2))], BY)
    assert prices("24-1180") != [] and "24-1183" not in {o[2] for o in held(batch)["offer"]}
    undo(batch, BY)
    assert held(batch) == first
    undo(batch, BY)
    assert "24-1183" in {q.fields["code"] for q in asked(batch)}


def test_a_list_read_with_a_decision_reads_the_line_by_itself_when_that_is_taken_back(in_bypass):
    first = read(in_bypass, ROWS)
    answer(first, "24-1183", "1")
    second = read(in_bypass, [*ROWS, '24-1183A,,"Cap, dust"'], name="next.csv")
    assert "24-1183" not in {q.fields["code"] for q in asked(second)}
    undo(first, BY)
    assert "24-1183" in {q.fields["code"] for q in asked(second)}


def test_a_wrong_match_is_no_offer_now_nor_on_the_next_list(in_bypass):
    batch = read(in_bypass, ROWS)
    answer(batch, "24-1180", "w1", row=5)
    assert "Saltreeve 24-1180 135000" not in prices("24-1180")
    assert any(q.fields["code"] == "24-1180" for q in asked(batch))
    # Other words under the same code: the record is kept by supplier and code.
    other = SURE.replace("WC ball and seat", "carbide ball and seat")
    again = read(in_bypass, [other, HOSE], name="next.csv")
    question = about(again, "24-1180")
    (vetoed,) = [p for p in question.proposals if p.number == "24-1180"]
    assert vetoed.is_vetoed
    assert any(e.name == "wrong match" for e in vetoed.evidence)


def test_a_wrong_match_is_proposed_last(in_bypass):
    batch = read(in_bypass, ROWS)
    first = about(batch, "24-1183").proposals
    assert len(first) > 1
    answer(batch, "24-1183", "w1")
    after = about(batch, "24-1183").proposals
    assert [p.part_id for p in after] == [*(p.part_id for p in first[1:]), first[0].part_id]
    again = read(in_bypass, [*ROWS, '24-1,,"Cap"'], name="next.csv")
    (question,) = asked(again, row=2)
    assert [p.part_id for p in question.proposals] == [p.part_id for p in after]


def test_one_answer_settles_the_same_line_wherever_it_stands(in_bypass):
    batch = read(in_bypass, [NEAR, HOSE, NEAR])
    older = read(in_bypass, [NEAR, SURE], name="other.csv")
    done = decide(batch, [answer_of("o", asked(batch)[0])], BY)
    assert done.lines == 3
    assert "24-1183" not in {q.fields["code"] for q in (*asked(batch), *asked(older))}


def test_a_question_put_before_another_answer_is_refused(in_bypass):
    batch = read(in_bypass, ROWS)
    question = about(batch, "24-1183")
    answer(batch, "24-1183", "1")
    before = held(batch)
    with pytest.raises(UsageError, match="row 2 was read anew"):
        decide(batch, [answer_of("o", question)], BY)
    assert held(batch) == before


def test_what_bears_our_makers_number_is_not_kept_as_the_suppliers_own(in_bypass):
    batch = read(in_bypass, ROWS)
    with pytest.raises(UsageError, match="names the maker and number of a part of ours"):
        answer(batch, "24-1182", "n")


def test_batches_that_are_gone_and_lines_that_are_no_items_are_refused(in_bypass):
    batch = read(in_bypass, ROWS)
    question = about(batch, "24-1183")
    with pytest.raises(UsageError, match="is no item of this batch"):
        decide(batch, [Answer(999, 1, "not ours")], BY)
    withdraw(batch, "", BY)
    with pytest.raises(UsageError, match="was withdrawn"):
        decide(batch, [answer_of("o", question)], BY)
    with pytest.raises(NotFoundError):
        review(ReviewAsk(99, DAY))


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("9", "there are only 2 candidates"),
        ("r0", "no answer"),
        ("yes", "no answer"),
        ("", "no answer"),
        ("=no such", "no part 'no such'"),
        ("=Nobody|24-1180", "no maker 'Nobody'"),
    ],
)
def test_what_is_no_answer_is_told_with_the_answers_there_are(in_bypass, typed, why):
    question = about(read(in_bypass, ROWS), "24-1183")
    with pytest.raises(UsageError, match=why):
        answer_of(typed, question)


def test_lines_of_one_pattern_are_settled_together_and_undone_together(in_bypass):
    batch = read(in_bypass, [NEAR, NEAR.replace("24-1183", "24-1185"), NEARER, HOSE, SURE])
    before = held(batch)
    ask = ReviewAsk(batch, DAY)
    sitting = Sitting(ask, review(ask))
    while "substituted digit" not in sitting.current.pattern:
        sitting.skip()
    alike = sitting.alike()
    assert {q.fields["code"] for q in alike} == {"24-1183", "24-1185"}
    done = sitting.settle("1", alike, BY)
    assert (len(done.decisions), sitting.answered) == (2, 2)
    assert {"24-1183", "24-1185"} <= {o[2] for o in held(batch)["offer"]}
    sitting.undo(BY)
    assert held(batch) == before
    assert (sitting.answered, len(sitting.alike())) == (0, 2)


def test_the_most_harmful_question_comes_first(in_bypass):
    rows = [
        '3-05,,"Pin, retaining, 3 x 16 mm, 440C stainless"',
        NEAR,
        '24-1182,Quillmere,"Hose, airless, 1/4 in x 15 m, 3300 psi"',
    ]
    ask = ReviewAsk(read(in_bypass, rows), DAY)
    found = review(ask).questions
    ranks = [(q.holds_pressure, q.exposure.minor) for q in found]
    assert ranks == sorted(ranks, reverse=True)
    sitting = Sitting(ask, review(ask))
    risk = sitting.risk
    sitting.skip()
    assert (sitting.risk.questions, sitting.skipped) == (risk.questions - 1, 1)


def test_a_settled_line_is_asked_about_by_its_row_alone(in_bypass):
    batch = read(in_bypass, ROWS)
    (question,) = asked(batch, row=5)
    assert (question.reading, question.proposals[0].number) == ("offer", "24-1180")
    with pytest.raises(UsageError, match="row 77 of batch"):
        asked(batch, row=77)


def test_an_offer_that_waits_for_a_person_still_waits_when_its_line_is_decided(in_bypass):
    first = read(in_bypass, ROWS)
    dear = price_list(
        in_bypass, [f"{NEAR},99.00", f"{SURE},99.00", f"{HOSE},12.50"], name="dear.csv"
    )
    batch = intake(IntakeAsk(dear, "Saltreeve", DAY), BY).batch
    (sure,) = [row for row in held(batch)["offer"] if row[2] == "24-1180"]
    waiting = offers.held_offers(batch)
    assert len(waiting) == 1
    # Decided here, its price is as suspicious as on intake; the line beside it keeps waiting.
    answer(batch, "24-1183", "1")
    decide(batch, [answer_of("r1", about(batch, "24-1180", row=3))], BY)
    undo(batch, BY)
    assert set(offers.held_offers(batch)) == {*waiting, line_of(batch, "24-1183")}
    assert sure in held(batch)["offer"]
    assert first != batch


def test_an_offer_that_a_person_let_through_stays_through(in_bypass):
    read(in_bypass, ROWS)
    dear = price_list(in_bypass, [f"{SURE},99.00", f"{HOSE},12.50", f"{NEAR},9.0"], name="dear.csv")
    batch = intake(IntakeAsk(dear, "Saltreeve", DAY), BY).batch
    assert offers.release_offers(offers.held_offers(batch)) == 1
    decide(batch, [answer_of("1", about(batch, "24-1180", row=2), picked=True)], BY)
    assert offers.held_offers(batch) == {}


def line_of(batch: int, code: str) -> int:
    return next(line.id for line in lists.lines_of(batch) if line.code == code)


TWO = ["\u041624-1183" + NEAR[7:], "\u00dc24-1183" + NEAR[7:]]  # ZHE and U with dots


def test_a_decision_about_a_code_is_none_about_one_with_another_letter(in_bypass):
    batch = read(in_bypass, TWO)
    answer(batch, "\u041624-1183", "o")
    assert {q.fields["code"] for q in asked(batch)} == {"\u00dc24-1183"}
    again = read(in_bypass, [*TWO, NEAR], name="next.csv")
    assert {q.fields["code"] for q in asked(again)} == {"\u00dc24-1183", "24-1183"}
    undo(batch, BY)
    assert {q.fields["code"] for q in asked(batch)} == {"\u041624-1183", "\u00dc24-1183"}


def test_a_decision_without_a_line_is_known_by_its_key(in_bypass):
    (supplier,) = [makers.find_supplier("Saltreeve").id]
    new = NewDecision(supplier, "241183", "valve kit||||||", "not ours")
    lists.add_decision(new, by=BY)
    assert past_decisions(supplier) == {
        ("241183", "valve kit||||||"): PastDecision(ReadingKind.NOT_OURS)
    }
