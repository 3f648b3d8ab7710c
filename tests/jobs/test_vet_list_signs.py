"""Each sign of the whole list shows on the list that bears it, and on no sound one."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from importers.rows import ListRow, RowKind
from partsdb.jobs.listed import ListedLine, ListedOffer
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.vet_list_signs import ENOUGH_RATINGS, list_signs
from partsdb.jobs.vet_price_signs import ENOUGH_PRICES, LEVEL_FROM
from partsdb.matching.readings import Candidate, Evidence, LineText, Reading, ReadingKind
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Check, Outcome

TODAY = "2026-11-20"


def line(
    description: str = "Hose 1/4 in, cert EN 10204 3.1",
    *,
    reading: ReadingKind = ReadingKind.REPLACEMENT,
    code: str = "SR 1",
    price: int = 10_000,
    rated: str = "",
    role: str = "hose",
    fields: dict[str, str] | None = None,
    **more: Any,
) -> Judged:
    text = LineText("A2", code=code, description=description, ean=more.pop("ean", ""), maker="M")
    offer = ListedOffer(price, 1, "EUR", valid_to=more.pop("valid_to", None))
    row = ListRow(RowKind.ITEM, "", 2, {"origin": "DE"} if fields is None else fields)
    claims = (Claim(ClaimKind.RATING, rated, EvidenceLevel.SUPPLIERS_WORD),) if rated else ()
    found = Reading(
        reading, candidates=more.pop("candidates", ()), evidence=more.pop("evidence", ())
    )
    return Judged(ReadLine(ListedLine(row, text, offer), found, claims), role=role, **more)


def shown(*lines: Judged, ratios: tuple[float | None, ...] = ()) -> dict[str, int]:
    return {each.sign: len(each.lines) for each in list_signs(lines, TODAY, ratios)}


def test_a_sound_line_shows_nothing():
    assert shown(line(), line(code="SR 2", description="Hose 3/8 in, certificate 17")) == {}


def test_an_unknown_pressure_part_without_origin_or_document_is_told():
    assert shown(line("Hose 1/4 in", fields={})) == {"no document": 1, "no origin": 1}


@pytest.mark.parametrize("reading", [ReadingKind.OFFER, ReadingKind.NOT_OURS])
def test_the_makers_own_part_needs_no_document_of_the_seller(reading):
    assert shown(line("Hose 1/4 in", fields={}, reading=reading)) == {}


def test_what_holds_no_pressure_needs_no_document():
    assert shown(line("Handle", fields={}, role="handle")) == {}


@pytest.mark.parametrize(
    ("said", "expired"),
    [
        ("certificate 88 valid until 2026-11-19", True),
        ("certificate 88 valid until 2026-11-20", False),
        ("Zertifikat gültig bis 31.10.2026", True),
        ("Zertifikat gültig bis 31.12.2026", False),
        ("cert exp. 2025-01-31", True),
        ("test report, expired on 1 Oct 2026", True),
        ("price valid until 2026-01-31, no paper", False),
    ],
)
def test_a_document_past_its_day_is_told(said, expired):
    assert ("expired document" in shown(line(f"Hose, {said}"))) is expired


@pytest.mark.parametrize(
    ("ean", "fails"),
    [("4006381333931", False), ("4006381333932", True), ("73513537", False), ("12-34", False)],
)
def test_an_article_number_with_a_wrong_check_digit_is_told(ean, fails):
    """references.md: 4006381333931 and 73513537 are valid, 4006381333932 is not."""
    assert ("check digit fails" in shown(line(ean=ean))) is fails


def test_a_number_one_sign_off_is_told_and_a_refused_code_is_not():
    near = (Candidate(7, 0.9),)
    assert shown(line(reading=ReadingKind.TO_REVIEW, candidates=near)) == {"near-miss number": 1}
    lost = (Evidence("refused", "against", "digits lost"),)
    assert shown(line(reading=ReadingKind.TO_REVIEW, candidates=near, evidence=lost)) == {}
    assert shown(line(reading=ReadingKind.TO_REVIEW)) == {}


def test_one_text_with_two_codes_and_two_prices_is_told():
    assert shown(line(code="1"), line(code="2", price=9_000)) == {"same text, another price": 2}


def test_one_text_with_one_price_or_one_code_is_not():
    assert shown(line(code="1"), line(code="2")) == {}
    assert shown(line(code="1"), line(code="1", price=9_000)) == {}


def test_two_parts_of_the_catalogue_that_share_a_text_are_told_apart_by_number():
    offer = ReadingKind.OFFER
    one = line(code="1", reading=offer, number="27-1")
    assert shown(one, line(code="2", reading=offer, number="27-2", price=9_000)) == {}
    same = line(code="2", reading=offer, number="27-1", price=9_000)
    assert shown(one, same) == {"same text, another price": 2}


def rated(values: list[str]) -> list[Judged]:
    return [
        line(f"Hose {n}, certificate", code=str(n), rated=value) for n, value in enumerate(values)
    ]


def test_ratings_that_are_all_round_are_told():
    values = ["3000 psi", "5000 psi", "200 bar", "4000 psi", "300 bar"] * 2
    assert len(values) == ENOUGH_RATINGS
    assert shown(*rated(values)) == {"ratings suspiciously round": 10}
    assert shown(*rated(values[1:])) == {}


def test_ratings_as_makers_print_them_are_not():
    """Half of the clean fixture list is 3300, 3600 and 2800 psi."""
    assert shown(*rated(["3000 psi"] * 6 + ["3300 psi", "3600 psi", "227 bar", "5000 psi"])) == {}


def test_a_price_that_was_to_hold_until_yesterday_is_told():
    assert shown(line(valid_to="2026-11-19")) == {"price no longer valid": 1}
    assert shown(line(valid_to=TODAY)) == {}


def test_safety_parts_far_under_the_level_of_the_rest_are_told():
    safety = [line(f"Hose {n}, certificate", code=str(n)) for n in range(ENOUGH_PRICES)]
    rest = [line(f"Pin {n}", code=f"p{n}", role="pin") for n in range(ENOUGH_PRICES)]
    lines, low = (*safety, *rest), (0.6,) * ENOUGH_PRICES + (1.0,) * ENOUGH_PRICES
    assert shown(*lines, ratios=low) == {"safety parts out of line": ENOUGH_PRICES}
    assert shown(*lines, ratios=(0.75,) * ENOUGH_PRICES + (1.0,) * ENOUGH_PRICES) == {}
    assert shown(*lines, ratios=(0.6,) * ENOUGH_PRICES + (None,) * ENOUGH_PRICES) == {}
    assert shown(*lines, ratios=(0.6,) * (2 * ENOUGH_PRICES)) == {}


# Columns without a pressure, old numbers, papers on file, a list that is cheap as a whole


@pytest.mark.parametrize(
    ("said", "told"),
    [("EA", True), ("heavy duty", True), ("3300", True), ("3300 psi", False), ("227 bar", False),
     ("burst 12000 psi", False), ("", False), ("-", False), ("n/a", False)],
)  # fmt: skip
def test_a_column_of_ratings_that_holds_no_pressure_is_told(said, told):
    found = line()
    text = replace(found.line.listed.text, rating=said)
    listed = replace(found.line.listed, text=text)
    shows = shown(replace(found, line=replace(found.line, listed=listed)))
    assert ("rating unreadable" in shows) is told


def test_a_number_that_its_maker_has_replaced_is_told():
    assert shown(line(newer="Quillmere 24-2 since 2024-01-01")) == {"old series": 1}


def test_a_paper_on_file_that_has_run_out_is_told():
    gone = Check("certificate", Outcome.NOT_SHOWN, "run out", code="CERT_EXPIRED")
    assert shown(line(checks=(gone,))) == {"expired document": 1}


def test_a_new_part_near_one_of_ours_is_told_and_any_other_is_not():
    near = (Candidate(7, 0.9),)
    assert shown(line(reading=ReadingKind.NEW_PART, candidates=near)) == {"near-miss number": 1}
    assert shown(line(reading=ReadingKind.NEW_PART)) == {}
    assert shown(line(candidates=near)) == {}  # a replacement has its part


def test_a_list_far_below_the_others_as_a_whole_is_told():
    lines = [line(f"Hose {n}, certificate", code=str(n)) for n in range(LEVEL_FROM)]
    assert shown(*lines, ratios=(0.4,) * LEVEL_FROM) == {"whole list far below the others": 20}
    assert shown(*lines, ratios=(0.5,) * LEVEL_FROM) == {}
    assert shown(*lines, ratios=(0.4,) * (LEVEL_FROM - 1) + (None,)) == {}
