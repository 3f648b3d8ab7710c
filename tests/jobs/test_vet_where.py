"""For which machines a line holds, papers that have run out, old numbers, lines nobody identified."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from small_shop import BY, DAY, SmallShop, price_list

from partsdb.jobs import lots
from partsdb.jobs.list_answers import VetAnswer, VetLine
from partsdb.jobs.lots import ReceiveAsk
from partsdb.jobs.vet import VetAsk, vet
from partsdb.jobs.vet_review import failing, holds_against_all
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Check, Outcome
from partsdb.store import catalogue, claims, edges
from partsdb.store.rows import NewClaim, SupersessionRow

RATED = "Part number,Manufacturer,Description,Working pressure,Price EUR"
BALL_AND_SEAT = "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat"
KEPT_A_LIST = f'24-1182,Quillmere,"{BALL_AND_SEAT}, 3600 psi",3600 psi,71.90'


def vetted(list_folder: Path, *rows: str, **more: Any) -> VetAnswer:
    ask = {"supplier": "Saltreeve", "currency": "EUR", **more}
    as_of = ask.pop("as_of", DAY)
    return vet(VetAsk(price_list(list_folder, [*rows, KEPT_A_LIST], head=RATED), as_of, **ask))


def judged(list_folder: Path, row: str, **more: Any) -> VetLine:
    code = row.partition(",")[0]
    (found,) = [line for line in vetted(list_folder, row, **more).lines if line.code == code]
    return found


def codes(line: VetLine) -> set[str]:
    return {check.code for check in line.checks if check.outcome != "meets"}


def kit(rating: str = "3300 psi", code: str = "24-1180", price: str = "61.90") -> str:
    return f'{code},Quillmere,"{BALL_AND_SEAT}",{rating},{price}'


def the_kit(number: str = "24-1180") -> int:
    (part,) = catalogue.find_parts(number)
    return part.id


# For which machines it holds


def two_pumps(bypass: SmallShop) -> None:
    """A kit without threads or materials to show, in a pump that it holds and in one it does not."""
    plain = bypass.part("31-9", "gauge", rating="3300 psi", description="Gauge, 63 mm")
    for model, pressure in (("Q28", "2800 psi"), ("Q40", "4000 psi")):
        bypass.position(bypass.machine(model), "gauge", "gauge", (plain,), pressure)


def test_a_line_says_which_machines_it_fits_and_which_not(bypass, list_folder):
    two_pumps(bypass)
    line = judged(list_folder, '31-9,Quillmere,"Gauge, 63 mm",,12.00')
    assert line.verdict == "do not fit"
    assert (line.fits, line.not_for) == (("Q28 gauge",), ("Q40 gauge",))
    only = judged(list_folder, '31-9,Quillmere,"Gauge, 63 mm",,12.00', machines=("Q28",))
    assert (only.verdict, only.fits, only.not_for) == ("fit", ("Q28 gauge",), ())


def test_what_the_list_puts_in_doubt_fits_nowhere_until_it_is_answered(bypass, list_folder):
    two_pumps(bypass)
    line = judged(list_folder, '31-9,Quillmere,"Gauge, 63 mm",9000 psi,12.00')
    assert "RAISED_RATING" in codes(line)
    assert (line.fits, line.not_for) == ((), ("Q40 gauge",))


def test_a_new_part_says_where_it_fails(bypass, list_folder):
    (hose,) = catalogue.find_parts("27-1243")
    for model, pressure in (("Q28", "2800 psi"), ("Q40", "4000 psi")):
        bypass.position(bypass.machine(model), "hose", "hose", (hose.id,), pressure)
    line = judged(list_folder, 'AH-77,Ambrelle,"Hose, airless, 1/4 in x 15 m",3000 psi,44.00')
    assert (line.fits, line.not_for) == ((), ("Q40 hose",))
    line = judged(list_folder, 'AH-77,Ambrelle,"Hose, airless, 1/4 in x 15 m",1000 psi,44.00')
    assert line.not_for == ("Q28 hose", "Q40 hose")


# Papers that have run out


@pytest.fixture
def certified(bypass: SmallShop) -> None:
    """A gauge whose rating rests on a certificate alone, which is valid until January 2026."""
    part = bypass.part("31-9", "gauge", description="Gauge, 63 mm")
    said = Claim(
        ClaimKind.RATING, "5000 psi", EvidenceLevel.SUPPLIERS_DOCUMENT, "", "working",
        "cert 9, valid until 2026-01-31",
    )  # fmt: skip
    claims.add_claims([NewClaim(part, said)], by=BY)
    bypass.position(bypass.machine("Q28"), "gauge", "gauge", (part,), "2800 psi")


@pytest.mark.usefixtures("certified")
def test_what_rests_on_a_paper_that_has_run_out_is_not_shown_any_more(list_folder):
    row = '31-9,Quillmere,"Gauge, 63 mm",,12.00'
    assert judged(list_folder, row, as_of="2026-01-31").verdict == "fit with conditions"
    line = judged(list_folder, row, as_of="2026-02-01")
    assert line.verdict == "ask first"
    assert "CERT_EXPIRED" in codes(line)
    (sign,) = [s for s in vetted(list_folder, row).signs if s.sign == "expired document"]
    assert sign.count == 1
    asked = [each for each in vetted(list_folder, row).asked if each.about == "expired document"]
    assert [each.number for each in asked] == ["31-9"]


# Old numbers, lots that were barred


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ({}, "Quillmere 24-1182 since 2024-01-01"),
        ({"new_id": None}, "ended without successor since 2024-01-01"),
        ({"from_date": "2027-01-01"}, ""),
        ({"serial_from": "4000"}, ""),
    ],
)
def test_a_number_that_its_maker_has_replaced_is_told(list_folder, row, told):
    new = {"new_id": the_kit("24-1182"), "from_date": "2024-01-01", "serial_from": "", **row}
    edges.add_supersession(SupersessionRow(0, the_kit(), serial_to="", source="QB-1", **new), by=BY)
    answer = vetted(list_folder, kit())
    line = next(each for each in answer.lines if each.code == "24-1180")
    said = f"the maker has replaced it: {told}"
    assert (said in line.notes) is bool(told)
    assert ("old series" in {sign.sign for sign in answer.signs}) is bool(told)


def test_a_lot_that_was_barred_is_not_to_be_taken_with_the_rest(bypass, list_folder):
    two_pumps(bypass)
    seen = {"number": "31-9", "supplier": "Saltreeve", "units": 4, "day": "2026-06-01"}
    lots.receive(ReceiveAsk(**seen, label="B7"), BY)
    lots.change_state(["B7"], "bar", "recall", BY)
    line = judged(list_folder, '31-9,Quillmere,"Gauge, 63 mm",,12.00', machines=("Q28",))
    assert line.verdict == "fit with conditions"
    assert "LOT_RECALLED" in codes(line)


# Lines that nobody has identified


def near(rating: str = "", words: str = BALL_AND_SEAT, price: str = "61.90") -> str:
    """One sign off 24-1180, for the same machine: a question, and no offer."""
    return f'24-1189,Quillmere,"{words}",{rating},{price}'


def signs_on(list_folder: Path, row: str, reading: str = "to review") -> set[str]:
    answer = vetted(list_folder, row)
    (line,) = [each for each in answer.lines if each.code == row.partition(",")[0]]
    assert line.reading == reading
    assert (line.verdict is None) is (reading == "to review")
    return {each.about for each in answer.asked if each.line == line.line}


def test_a_near_miss_number_is_asked_about_and_nothing_else(list_folder):
    assert signs_on(list_folder, near()) == {"near-miss number"}


@pytest.mark.parametrize(
    ("rating", "sign"),
    [
        ("4000 psi", "rating above the maker's own"),
        ("1000 psi", "pressure too low"),
        ("3300 bar", "bar and psi muddled"),
        ("3300 psi", ""),
    ],
)
def test_what_a_line_to_review_says_is_looked_at_whatever_part_it_is(list_folder, rating, sign):
    """Its thread and its material contradict the number: what it is must be asked first."""
    other = "Valve kit, bypass, Q33, G 1/4, 440C ball and seat"
    found = signs_on(list_folder, f'24-1180,Quillmere,"{other}",{rating},61.90', "to review")
    assert found - {"near-miss number", "softer material"} == ({sign} if sign else set())


def test_a_new_part_near_one_of_ours_is_held_against_it(list_folder):
    """No part of ours is rated 4000 psi, so it is a new one: or a number that was mistyped."""
    found = signs_on(list_folder, near("4000 psi"), "new part")
    assert {"near-miss number", "rating above the maker's own"} <= found


def test_a_burst_figure_on_a_line_to_review_is_told(list_folder):
    assert "burst quoted as rating" in signs_on(
        list_folder, near(words=f"{BALL_AND_SEAT}, burst 9000 psi")
    )


def test_a_line_to_review_far_below_what_it_may_be_is_told(bypass, list_folder):
    others = [bypass.supplier(f"Supplier {n}") for n in range(3)]
    for number in ("24-1180", "24-1182", "24-1178"):
        for supplier in others:
            bypass.offer(supplier, the_kit(number), "60.00")
    assert "price far below the others" in signs_on(list_folder, near(price="9.00"))
    assert "price far below the others" not in signs_on(list_folder, near(price="55.00"))


def fails(check: str, code: str, outcome: Outcome = Outcome.FAILS) -> Check:
    return Check(check, outcome, "because", code=code)


LOW, THREAD = fails("pressure", "PRESSURE_LOW"), fails("thread", "THREAD_DANGER")


@pytest.mark.parametrize(
    ("found", "kept"),
    [
        ([], ()),
        ([[LOW, THREAD]], (LOW, THREAD)),
        ([[LOW, THREAD], [LOW]], (LOW,)),
        ([[LOW], []], ()),
        ([[LOW], [THREAD]], ()),
    ],
)
def test_only_what_holds_against_every_part_that_it_may_be_is_a_sign(found, kept):
    assert holds_against_all(found) == kept


def test_of_a_line_to_review_only_what_its_words_fail_counts():
    rejected = fails("equivalence", "")
    unknown = fails("pressure", "PRESSURE_UNKNOWN", Outcome.NOT_SHOWN)
    assert failing([LOW, rejected, unknown, THREAD]) == [LOW, THREAD]


# What was rated by nobody


def test_a_part_that_neither_the_catalogue_nor_the_list_rates_is_told(bypass, list_folder):
    bypass.part("28-1", "fitting", description="Fitting, tee, 1/4 NPT")
    row = '28-1,Quillmere,"Fitting, tee, 1/4 NPT",{},9.00'
    for rating, told in (("", True), ("5000 psi", False)):
        asked = vetted(list_folder, row.format(rating)).asked
        assert ("rating missing" in {each.about for each in asked}) is told


# Answers


def test_what_the_list_comes_to_after_the_answers_is_told(list_folder):
    low = f'SR 7001,,"{BALL_AND_SEAT}, replaces 24-1180",2500 psi,33.50'
    said = vetted(list_folder, kit("9000 psi"), low).if_answered
    assert "Then " in said
    assert said.endswith("would still not be trusted (pressure too low).")
    assert vetted(list_folder, kit("9000 psi")).if_answered.endswith(
        "nothing would speak against its ratings any more."
    )


def test_how_many_prices_were_compared_is_told(bypass, list_folder):
    bypass.offer(bypass.supplier("Supplier 1"), the_kit(), "50.00")
    assert vetted(list_folder, kit(price="60.00")).prices.startswith(
        "2 of 2 prices could be compared, 1 with what others ask for the same: the list lies at "
        "1.20 times their prices"
    )
