"""What another matcher or another catalogue would read otherwise, told before it counts."""

from __future__ import annotations

import shutil

import pytest
from decided_shop import HOSE, NEAR, NEARER, SURE, about, asked, held, read
from small_shop import BY, DAY, SmallShop, price_list

from partsdb.jobs import past, store_lines
from partsdb.jobs import recheck as recheck_job
from partsdb.jobs.decisions import decide
from partsdb.jobs.intake import IntakeAsk, intake, withdraw
from partsdb.jobs.past import matcher_record
from partsdb.jobs.recheck import recheck
from partsdb.jobs.review import ReviewAsk, review
from partsdb.jobs.review_answers import answer_of
from partsdb.jobs.review_record import record_rows
from partsdb.jobs.review_session import Sitting
from partsdb.matching import judge
from partsdb.matching.confidence import ENOUGH
from partsdb.matching.readings import MATCHER_VERSION
from partsdb.store import catalogue, events, sql
from partsdb.store.connect import open_database
from partsdb.store.rows import NewPart

ROWS = [NEAR, NEARER, HOSE, SURE]


@pytest.fixture
def folder(bypass_shop, tmp_path):
    place = shutil.copy(bypass_shop, tmp_path / "shop.db")
    with open_database(place, write=True):
        yield tmp_path


@pytest.fixture
def next_version(monkeypatch):
    """A version of the matcher that lets nothing be settled by an exact number."""

    def release() -> None:
        monkeypatch.setattr(judge, "_is_borne_out", lambda *given: False)
        for module in (recheck_job, store_lines):
            monkeypatch.setattr(module, "MATCHER_VERSION", MATCHER_VERSION + 1)

    return release


def test_the_same_matcher_and_catalogue_flip_nothing(folder):
    batch = read(folder, ROWS)
    for found in (recheck(batch, None), recheck(0, None)):
        assert (found.flips, found.older, found.lines, found.batches) == ((), 0, 4 + 1, 1)


def test_another_version_tells_what_it_would_flip_and_stores_nothing(folder, next_version):
    batch = read(folder, ROWS)
    before, rows = held(batch), sql.rows("SELECT count(*) FROM reading")
    next_version()
    found = recheck(0, None)
    assert found.older == found.lines
    (flip,) = found.flips
    assert (flip.code, flip.what, flip.batch) == ("24-1180", "reading", batch)
    assert (flip.was, flip.now) == ("offer Quillmere 24-1180", "to review")
    assert flip.why == "nothing but the number speaks for the part"
    assert (held(batch), sql.rows("SELECT count(*) FROM reading")) == (before, rows)
    assert recheck(0, None) == found


def test_applied_flips_are_stored_as_if_the_list_were_read_today(folder, next_version):
    batch = read(folder, ROWS)
    next_version()
    assert recheck(batch, BY).applied == 1
    found = held(batch)
    assert found["offer"] == []
    withdraw(batch, "to be read again", BY)
    assert found == held(read(folder, ROWS))
    assert events.history("price list", batch)[1].action == "recheck"


def test_reading_a_list_warns_of_batches_that_another_version_read(folder, monkeypatch):
    batch = read(folder, ROWS)
    assert past.other_versions() == ()
    monkeypatch.setattr(past, "MATCHER_VERSION", MATCHER_VERSION + 1)
    (said,) = past.other_versions()
    assert said.startswith(f"batch {batch} was read by another version")
    path = price_list(folder, [f"{SURE},9.50"], name="next.csv")
    assert said in intake(IntakeAsk(path, "Saltreeve", DAY, dry_run=True), BY).cautions


def test_several_batches_are_named_together(folder, monkeypatch):
    batches = [read(folder, ROWS), read(folder, [f"{SURE},9.50"])]
    monkeypatch.setattr(past, "MATCHER_VERSION", MATCHER_VERSION + 1)
    (said,) = past.other_versions()
    named = ", ".join(map(str, sorted(batches)))
    assert said.startswith(f"batches {named} were read by another version")


LETTERED = "\u0416" + SURE  # a Cyrillic ZHE, which no key holds


def test_a_code_that_the_version_before_took_for_our_number_is_told_and_put_right(folder):
    batch = read(folder, [SURE, LETTERED, NEAR])
    # What version 2 stored: the key alone made "\u041624-1180" the part 24-1180.
    lines = dict(sql.rows("SELECT code, id FROM line WHERE price_list_id = ?", (batch,)))
    (part,) = catalogue.parts_numbered("24-1180", "Quillmere")
    sql.connection().execute("UPDATE reading SET matcher_version = 2")
    sql.connection().execute(
        "UPDATE reading SET kind = 'offer', part_id = ? WHERE line_id = ?",
        (part.id, lines["\u041624-1180"]),
    )
    assert any(f"batch {batch} was read by another" in said for said in past.other_versions())
    found = recheck(batch, None)
    assert found.matcher_version == 3 and found.older == found.lines
    (flip,) = found.flips
    assert (flip.code, flip.was) == ("\u041624-1180", "offer Quillmere 24-1180")
    assert flip.now == "to review"
    recheck(batch, BY)
    assert past.other_versions() == ()
    assert "\u041624-1180" in {question.fields["code"] for question in asked(batch)}


def test_a_batch_that_was_gone_through_is_warned_of_no_more(folder, monkeypatch):
    batch = read(folder, ROWS)
    for module in (recheck_job, store_lines, past):
        monkeypatch.setattr(module, "MATCHER_VERSION", MATCHER_VERSION + 1)
    recheck(batch, None)
    assert past.other_versions()  # looked at is not settled
    assert recheck(batch, BY).applied == 0
    assert past.other_versions() == ()


def test_a_new_part_of_the_catalogue_flips_the_line_that_names_it(folder):
    batch = read(folder, ['55-100,Tarnbeck,"Gun, straight, M22x1.5, 400 bar"', SURE])
    # The part that the list brought becomes the shop's own, as `part add` makes it.
    (known,) = catalogue.find_parts("55-100")
    catalogue.update_part(
        known.id, NewPart(known.maker_id, "55-100", "Gun, straight, M22x1.5", "gun")
    )
    (flip,) = recheck(batch, BY).flips
    assert (flip.was, flip.now) == ("new part", "offer Tarnbeck 55-100")
    assert [row[2] for row in held(batch)["offer"] if row[1] == "55-100"] == ["55-100"]
    assert catalogue.find_parts("55-100") == [
        known._replace(description="Gun, straight, M22x1.5", price_list_id=None)
    ]


def test_a_decision_that_the_matcher_now_contradicts_is_told_and_kept(folder, monkeypatch):
    batch = read(folder, ROWS)
    decide(batch, [answer_of("o", about(batch, "24-1183"))], BY)
    assert recheck(batch, None).flips == ()
    # A careless version: what is one digit off is taken for the part itself.
    from partsdb.matching import numbers

    monkeypatch.setattr(numbers, "repaired_hits", numbers.proposed_hits)
    monkeypatch.setattr(numbers, "proposed_hits", lambda *given: [])
    flips = {(flip.code, flip.what): flip for flip in recheck(batch, BY).flips}
    kept = flips["24-1183", "decision"]
    assert (kept.was, kept.now) == ("not ours", "offer Quillmere 24-1180")
    assert ("24-1183", "reading") not in flips
    assert ("24-1810", "reading") in flips
    codes = {row[2] for row in held(batch)["offer"]}
    assert "24-1183" not in codes
    assert "24-1810" in codes


def test_settled_lines_are_checked_and_make_the_record(folder):
    rows = [SURE.replace("24-1180", f"24-118{digit}") for digit in "02"]
    rows[1] = rows[1].replace("3300", "3600")
    ask = ReviewAsk(read(folder, rows), DAY, check=5)
    sitting = Sitting(ask, review(ask))
    assert {q.reading for q in review(ask).questions} == {"offer"}
    assert asked(ask.batch) == ()
    sitting.settle("1", [sitting.current], BY)
    sitting.settle("w1", [sitting.current], BY)
    (known,) = matcher_record().values()
    assert (known.kind, known.right, known.judged) == ("number and maker", 1, 2)
    (row,) = record_rows()
    assert (row["calibrated"], "52 are needed" in str(row["says"])) == (False, True)
    # The line that is no match is a question now; what was confirmed is asked no more.
    assert len(asked(ask.batch)) == 1
    assert len(asked(ask.batch, check=5)) == 1


def test_errors_that_turn_up_by_themselves_are_no_sample(folder):
    batch = read(folder, [SURE, HOSE])
    decide(batch, [answer_of("w1", about(batch, "24-1180", row=2))], BY)
    assert matcher_record() == {}


def test_a_record_that_is_enough_calibrates_the_next_list(folder):
    kits = [f'77-{n},Ambrelle,"Gauge, glycerine, 63 mm, {n} bar, G 1/4"' for n in range(100, 200)]
    small = SmallShop()
    for row in kits:
        number, maker, description = row.split(",", 2)
        small.part(number, "gauge", maker=maker, description=description.strip('"'))
    ask = ReviewAsk(read(folder, kits), DAY, check=ENOUGH)
    decide(ask.batch, [answer_of("1", q, picked=True) for q in review(ask).questions], BY)
    (known,) = matcher_record().values()
    assert (known.right, known.is_enough) == (ENOUGH, True)
    again = read(folder, [*kits, HOSE], name="next.csv")
    fresh = {r[4] for r in held(again)["reading"] if r[1] == "offer" and r[4] < 1}
    assert fresh == {round(known.low, 4)}
