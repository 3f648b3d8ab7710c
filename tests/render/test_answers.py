"""The answers as text and rows: everything that decides is told, nothing is cut."""

from __future__ import annotations

import csv
import io
from typing import Any

import pytest

from partsdb.jobs.answers import (
    CandidateAnswer,
    CostStep,
    InsteadAnswer,
    OfferAnswer,
    PartRef,
    Purchase,
)
from partsdb.jobs.list_answers import BatchAnswer, Sign, VetAnswer, VetLine
from partsdb.jobs.rebuild_answers import RebuildAnswer, RebuildOption
from partsdb.render.batch import batch_text
from partsdb.render.instead import instead_rows, instead_text
from partsdb.render.output import csv_text
from partsdb.render.rebuild import rebuild_rows, rebuild_text
from partsdb.render.vet import vet_rows, vet_text
from partsdb.rules.verdict import Check, Outcome, Verdict

WIDTHS = (40, 60, 100, 120, 200)
NUMBER = "CW-40311-A/EXTRA-LONG-NUMBER-00017"
LOW = Check("pressure", Outcome.FAILS, "rated 2500 psi against 3300 psi needed", "QH-7", "PRESSURE_LOW")  # fmt: skip
MET = Check("pressure", Outcome.MEETS, "rated 3600 psi against 3300 psi needed", "QH-7")
OPEN = Check("thread", Outcome.NOT_SHOWN, "no thread is stated")


def words(text: str) -> str:
    """The text with every run of blanks as one, for sentences that are broken over lines."""
    return " ".join(text.split())


# instead


def offer(**more: Any) -> OfferAnswer:
    facts: dict[str, Any] = {
        "supplier": "Kestrow", "code": NUMBER, "landed_minor": 6190, "currency": "EUR",
        "lead_days": 6, "stock": "4",
    }  # fmt: skip
    return OfferAnswer(**{**facts, **more})


def candidate(verdict: Verdict, *checks: Check, number: str = NUMBER, **more: Any) -> CandidateAnswer:  # fmt: skip
    facts: dict[str, Any] = {
        "conditions": (), "missing": (), "extra": (), "path": (), "offers": (offer(),), "grade": "B",
    }  # fmt: skip
    return CandidateAnswer("Corrowby", number, "Valve kit", verdict, checks, **{**facts, **more})


def instead(*candidates: CandidateAnswer, **more: Any) -> InsteadAnswer:
    asked = PartRef("Quillmere", "24-1180", "Valve kit", "valve kit")
    return InsteadAnswer(asked, ("Quillmere Q33 bypass valve, 3300 psi",), (), candidates, **more)


@pytest.mark.parametrize("width", WIDTHS)
def test_a_candidate_is_told_with_all_that_decides_at_any_width(width):
    told = candidate(
        Verdict.ASK_FIRST, MET, OPEN, conditions=("only with the maker's sealant",),
        missing=("gland ring x1",), path=("Quillmere 24-1180 → Corrowby: proposed",),
    )  # fmt: skip
    text = words(instead_text(instead(told), width))
    for said in (
        NUMBER, "ask first", "no thread is stated", "rated 3600 psi against 3300 psi needed",
        "only with the maker's sealant", "gland ring x1", "61.90 EUR", "Quillmere 24-1180",
        "Quillmere Q33 bypass valve, 3300 psi", "Kestrow", "proposed",
    ):  # fmt: skip
        assert said in text


def test_what_fails_is_told_and_its_merits_are_not():
    text = words(instead_text(instead(candidate(Verdict.DO_NOT_FIT, LOW)), 120))
    assert "do not fit" in text.lower()
    assert "rated 2500 psi against 3300 psi needed" in text


def test_what_must_not_be_fitted_has_no_price_in_the_overview():
    text = instead_text(instead(candidate(Verdict.DO_NOT_FIT, LOW)), 120)
    assert "61.90" not in text


def test_an_offer_that_cannot_be_landed_says_why():
    note = "no rate of USD is stored for 2026-11-20"
    unlanded = offer(landed_minor=None, note=note)
    text = words(instead_text(instead(candidate(Verdict.FIT, MET, offers=(unlanded,))), 120))
    assert note in text


OLD_RATE = (
    "no exchange rate of USD can be used for 2027-02-01: the last one is of 2026-11-20, 73 days "
    "old, and 7 are allowed"
)


@pytest.mark.parametrize("width", [100, 120, 200])
def test_why_an_offer_cannot_be_landed_stands_under_the_table_and_leaves_it_one(width):
    unlanded = {"code": "NF-1", "landed_minor": None, "note": OLD_RATE}
    told = candidate(
        Verdict.FIT, MET,
        offers=(offer(code="KE-1"), offer(supplier="Ninefold", **unlanded),
                offer(supplier="Saltreeve", **unlanded)),
    )  # fmt: skip
    text = instead_text(instead(told), width)
    lines = [line.split() for line in text.splitlines()]
    assert ["offered", "by", "code", "landed", "days", "stock"] in lines
    assert ["Ninefold", "NF-1", "not", "known", "6", "4"] in lines
    assert words(text).count(OLD_RATE) == 1
    assert f"- Ninefold, Saltreeve: {OLD_RATE}" in words(text)
    assert max(map(len, text.splitlines())) <= width


def test_candidates_that_are_not_shown_are_counted_by_verdict():
    told = instead(candidate(Verdict.FIT, MET), not_shown={"ask first": 5, "do not fit": 8})
    text = words(instead_text(told, 120))
    assert "13 more not shown: 5 ask first, 8 do not fit (leave --top out to see them)" in text
    assert "not shown: " not in words(instead_text(instead(candidate(Verdict.FIT, MET)), 120))


@pytest.mark.parametrize("width", WIDTHS)
def test_the_count_of_those_not_shown_keeps_the_width(width):
    counts = {"fit with conditions": 1, "ask first": 5, "do not fit": 8}
    text = instead_text(instead(candidate(Verdict.FIT, number="B-2", offers=()), not_shown=counts), width)
    assert max(map(len, text.splitlines())) <= width
    assert (
        "14 more not shown: 1 fit with conditions, 5 ask first, 8 do not fit (leave --top out to "
        "see them)"
    ) in words(text)


def test_no_candidate_and_no_offer_are_said():
    text = instead_text(instead(notes=("nothing here is known",)), 120)
    assert "nobody offers it" in text
    assert "nothing is known to stand in for it" in text
    assert "nothing here is known" in text


def test_instead_has_a_row_for_every_candidate_and_offer():
    two = candidate(Verdict.FIT, MET, offers=(offer(), offer(supplier="Saltreeve")))
    none = candidate(Verdict.DO_NOT_FIT, LOW, number="B-2", offers=())
    rows = instead_rows(instead(two, none))
    assert [(r["number"], r["supplier"]) for r in rows] == [
        (NUMBER, "Kestrow"), (NUMBER, "Saltreeve"), ("B-2", None),
    ]  # fmt: skip
    assert list(csv.DictReader(io.StringIO(csv_text(rows))))[2]["supplier"] == ""


# vet


def line(number: int, verdict: Verdict | None, *checks: Check, **more: Any) -> VetLine:
    facts = {"code": NUMBER, "reading": "replacement", "maker": "Quillmere", "number": "24-1180"}
    told: dict[str, Any] = {**facts, **more}
    return VetLine(
        line=number, place=f"row {number}", description="Valve kit", confidence=0.9,
        verdict=verdict, checks=checks, **told,
    )  # fmt: skip


def vetted(*lines: VetLine, **more: Any) -> VetAnswer:
    names = ("offer", "replacement", "new_part", "to_review", "not_ours", "not_a_part", "fit",
             "fit_with_conditions", "ask_first", "do_not_fit")  # fmt: skip
    summary = {"lines": len(lines), **dict.fromkeys(names, 0)}
    facts: dict[str, Any] = {"signs": (), "questions": (), "recommendation": "Buy what fits."}
    return VetAnswer("list.csv", "Kestrow", ("all",), summary, lines=lines, **{**facts, **more})


@pytest.mark.parametrize("width", WIDTHS)
def test_a_vetted_list_tells_what_it_comes_to_its_signs_and_worst_lines(width):
    sign = Sign("pressure too low", 1, "under the working pressure", (f"{NUMBER} at row 2",))
    answer = vetted(line(2, Verdict.DO_NOT_FIT, LOW), signs=(sign,), questions=("Which pressure?",))
    text = words(vet_text(answer, width))
    for said in (
        "Buy what fits.", "pressure too low", "under the working pressure", NUMBER, "row 2",
        "rated 2500 psi against 3300 psi needed", "Which pressure?", "1 line",
    ):  # fmt: skip
        assert said in text


def test_a_list_without_signs_says_none():
    assert "none found" in vet_text(vetted(), 120)


def test_only_what_must_not_be_fitted_is_listed_unless_all_is_asked():
    answer = vetted(line(2, Verdict.FIT, MET, code="FINE-1"), line(3, Verdict.DO_NOT_FIT, LOW))
    assert "FINE-1" not in vet_text(answer, 120)
    assert "FINE-1" in vet_text(answer, 120, all_lines=True)


def test_lines_beyond_the_first_are_counted_not_forgotten():
    answer = vetted(*(line(n, Verdict.DO_NOT_FIT, LOW) for n in range(1, 31)))
    text = vet_text(answer, 120)
    assert "Do not fit (30 lines)" in text
    assert "and 15 more: --all shows every line" in text
    assert "more: --all" not in vet_text(answer, 120, all_lines=True)


def test_a_failing_check_is_the_reason_before_an_open_one():
    answer = vetted(line(2, Verdict.DO_NOT_FIT, OPEN, LOW))
    text = words(vet_text(answer, 200))
    assert "rated 2500 psi" in text
    assert "no thread is stated" not in text


def test_a_line_that_is_not_judged_says_so_and_why():
    unread = VetLine(2, "row 2", "X", "", "to review", "", "", 0.0, None, (), ("digits lost",))
    text = words(vet_text(vetted(unread), 200, all_lines=True))
    assert "not judged" in text
    assert "digits lost" in text


def test_a_long_question_is_cut_between_codes_in_text_alone():
    codes = ", ".join(f"CODE-{n:03}" for n in range(200))
    answer = vetted(questions=(f"Which pressure? (200 lines: {codes})",))
    text = words(vet_text(answer, 120))
    assert "CODE-000, " in text
    assert "CODE-199" not in text
    assert ", …)" in text


def test_a_line_that_fits_some_machines_and_not_others_says_which():
    places = tuple(f"Q{n} hose" for n in range(6))
    mixed = line(2, Verdict.DO_NOT_FIT, LOW, fits=places, not_for=("Q50 hose",))
    text = words(vet_text(vetted(mixed, line(3, Verdict.DO_NOT_FIT, LOW)), 200))
    assert "Fits some machines and not others (1 line)" in text
    assert "Q0 hose, Q1 hose, Q2 hose, Q3 hose and 2 more" in text
    assert "Q50 hose" in text
    assert "Fits some machines" not in vet_text(vetted(line(2, Verdict.FIT, MET)), 200)
    [row] = vet_rows(vetted(mixed))
    assert (row["fits"], row["not_for"]) == ([*places], ["Q50 hose"])


def test_how_the_prices_were_compared_is_told():
    assert "3 of 4 prices could be compared" in words(
        vet_text(vetted(prices="3 of 4 prices could be compared"), 200)
    )


def test_vet_has_a_row_for_every_line_with_reasons():
    rows = vet_rows(vetted(line(2, Verdict.FIT, MET), line(3, Verdict.DO_NOT_FIT, LOW), line(4, None)))  # fmt: skip
    assert [row["verdict"] for row in rows] == ["fit", "do not fit", None]
    assert rows[0]["reasons"] == []
    assert rows[1]["reasons"] == ["pressure fails: rated 2500 psi against 3300 psi needed"]


# rebuild cost


def option(total: int = 5625, **more: Any) -> RebuildOption:
    steps = (CostStep("Kestrow: goods", 2500, "2 at 12.50"), CostStep("labour", 3125, "30 min"))
    facts: dict[str, Any] = {
        "name": "all from Kestrow", "suppliers": ("Kestrow",), "total_minor": total,
        "currency": "EUR", "steps": steps,
        "buy": (Purchase("Corrowby", NUMBER, "Kestrow", 1, 2),), "verdict": Verdict.FIT,
        "notes": ("condition for it: from serial 4000",),
    }  # fmt: skip
    return RebuildOption(**{**facts, **more})


@pytest.mark.parametrize("width", WIDTHS)
def test_an_option_tells_total_steps_purchases_and_notes(width):
    text = words(rebuild_text(RebuildAnswer("Q33 bypass", 3, (option(),)), width))
    for said in (
        "Q33 bypass × 3", "all from Kestrow", "56.25 EUR", "25.00 EUR", "31.25 EUR", "2 at 12.50",
        NUMBER, "sum of the steps", "condition for it: from serial 4000",
    ):  # fmt: skip
        assert said in text


def test_no_option_says_so_with_what_was_ruled_out():
    text = words(rebuild_text(RebuildAnswer("Q33 bypass", 1, (), ("B-2: do not fit, too low",)), 120))  # fmt: skip
    assert "no supplier has everything that may be fitted" in text
    assert "B-2: do not fit, too low" in text
    assert "×" not in text


def test_rebuild_has_a_row_for_every_step():
    rows = rebuild_rows(RebuildAnswer("Q33", 1, (option(), option(name="mix"))))
    assert [(row["option"], row["amount_minor"]) for row in rows] == [
        ("all from Kestrow", 2500), ("all from Kestrow", 3125), ("mix", 2500), ("mix", 3125),
    ]  # fmt: skip


# pricelist read


def batch(**more: Any) -> BatchAnswer:
    facts: dict[str, Any] = {
        "batch": 7, "file": "list.csv", "supplier": "Kestrow", "is_repeat": False,
        "summary": {"lines": 3, "not_a_part": 1}, "changes": {"new": 2, "gone": 1}, "offers": 2,
        "own_parts": 1, "problems": ("row 4: no price: POA",), "assumptions": ("in EUR",),
        "skipped": ('hidden sheet "Intern"',),
    }  # fmt: skip
    return BatchAnswer(**{**facts, **more})


def test_a_batch_tells_what_was_stored_changed_and_left_out():
    text = words(batch_text(batch(), 120))
    for said in (
        "batch 7", "list.csv", "Kestrow", "3 lines, 1 not a part", "2 (2 new, 1 gone)",
        "row 4: no price: POA", "in EUR", 'hidden sheet "Intern"',
    ):  # fmt: skip
        assert said in text


def test_a_dry_run_and_a_repeat_say_that_nothing_was_stored():
    assert "nothing stored (dry run)" in batch_text(batch(batch=None), 120)
    assert "read before, nothing changed" in batch_text(batch(is_repeat=True), 120)
