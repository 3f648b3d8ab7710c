"""Each sign of a bad list shows on the line that bears it, and on no sound one."""

from __future__ import annotations

from typing import Any

import pytest

from importers.rows import ListRow, RowKind
from partsdb.jobs.listed import ListedLine, ListedOffer
from partsdb.jobs.questions import if_answered
from partsdb.jobs.reading_list import ReadLine
from partsdb.jobs.vet_judged import Judged
from partsdb.jobs.vet_signs import EXAMPLES, questions_of, recommendation, signs_of
from partsdb.matching.readings import Evidence, LineText, Reading, ReadingKind
from partsdb.rules.facts import Claim, ClaimKind, EvidenceLevel
from partsdb.rules.verdict import Check, Outcome, Verdict

NOT_SHOWN, FAILS, MEETS = Outcome.NOT_SHOWN, Outcome.FAILS, Outcome.MEETS
CONDITIONS = Outcome.MEETS_WITH_CONDITIONS


def rated(value: str) -> Claim:
    return Claim(ClaimKind.RATING, value, EvidenceLevel.SUPPLIERS_WORD)


def line(
    *checks: Check,
    reading: ReadingKind = ReadingKind.REPLACEMENT,
    verdict: Verdict | None = None,
    code: str = "SR 1",
    row: int = 2,
    **more: Any,
) -> Judged:
    claims = more.pop("claims", (rated("3300 psi"),))
    evidence = more.pop("evidence", ())
    asked = more.pop("offer", ListedOffer(619_000, 1, "EUR"))
    listed = ListedLine(ListRow(RowKind.ITEM, "", row, {}), LineText(f"A{row}", code=code), asked)
    read = ReadLine(
        listed, Reading(reading, evidence=evidence), claims, unclear=more.pop("unclear", "")
    )
    return Judged(read, verdict=verdict, checks=checks, **{"role": "hose", **more})


def check(
    code: str = "", outcome: Outcome = NOT_SHOWN, name: str = "list rating", text: str = "because"
) -> Check:
    return Check(name, outcome, text, code=code)


LACKS = "2 of 3 pieces, missing gland ring x1"


SHOWS = [
    ("pressure too low", line(check("PRESSURE_LOW", FAILS, "pressure"))),
    ("burst quoted as rating", line(check("BURST_ONLY"))),
    ("rating above the maker's own", line(check("RAISED_RATING"))),
    ("bar and psi muddled", line(check("UNIT_MUDDLE"))),
    ("rating missing", line(claims=())),
    ("softer material", line(check("MATERIAL_DOWNGRADE", FAILS, "material ball"))),
    ("material unnamed", line(check("", NOT_SHOWN, "material seat"))),
    ("thread look-alike", line(check("THREAD_DANGER", FAILS, "thread"))),
    ("thread look-alike", line(check("THREAD_NO_SEAL", FAILS, "thread"))),
    ("kit incomplete", line(check("KIT_INCOMPLETE", FAILS, "contents", LACKS))),
    ("kit incomplete", line(check("KIT_INCOMPLETE", CONDITIONS, "contents", LACKS))),
    ("kit contents unstated", line(check("KIT_INCOMPLETE", NOT_SHOWN, "contents"))),
    ("same code, another price", line(check("DUPLICATE_CODE"))),
    ("price far below the others", line(check("PRICE_LOW"))),
    ("digits lost", line(reading=ReadingKind.TO_REVIEW, evidence=(Evidence("refused", "against", "x"),))),
    ("barred here", line(check("SUPPLIER_BLOCKED", FAILS, "grade"))),
]  # fmt: skip


@pytest.mark.parametrize(("sign", "bad"), SHOWS)
def test_a_line_shows_its_sign_and_no_other(sign, bad):
    sound = [line(row=n) for n in range(3, 9)]
    (found,) = signs_of([bad, *sound])
    assert (found.sign, found.count) == (sign, 1)
    assert found.text
    assert found.examples == ("SR 1 at row 2",)


@pytest.mark.parametrize(("sign", "bad"), SHOWS)
def test_a_question_names_the_codes_that_it_is_about(sign, bad):
    asked = questions_of([bad])
    if sign == "barred here":  # what the shop barred is no question to the supplier
        assert asked == ()
        return
    (question,) = asked
    assert question.endswith("(1 line: SR 1)")
    assert "?" in question or "." in question


def test_sound_lines_show_nothing_and_ask_nothing():
    sound = [line(check("", MEETS, "pressure"), row=n) for n in range(2, 6)]
    assert signs_of(sound) == ()
    assert questions_of(sound) == ()


def test_a_check_that_is_met_is_no_sign_whatever_its_code():
    codes = ("BURST_ONLY", "RAISED_RATING", "UNIT_MUDDLE", "MATERIAL_DOWNGRADE", "KIT_INCOMPLETE",
             "THREAD_DANGER", "DUPLICATE_CODE", "PRICE_LOW")  # fmt: skip
    assert signs_of([line(*(check(code, MEETS) for code in codes))]) == ()


@pytest.mark.parametrize(
    ("reading", "role", "missing"),
    [
        (ReadingKind.REPLACEMENT, "hose", True),
        (ReadingKind.NEW_PART, "valve kit", True),
        (ReadingKind.OFFER, "hose", False),  # the catalogue knows the very part's rating
        (ReadingKind.NEW_PART, "handle", False),  # holds no pressure
        (ReadingKind.NOT_OURS, "hose", False),
    ],
)
def test_a_rating_is_missed_only_where_pressure_is_held(reading, role, missing):
    found = signs_of([line(reading=reading, role=role, claims=())])
    assert [sign.sign for sign in found] == (["rating missing"] if missing else [])


def test_examples_are_few_and_the_count_is_whole():
    bad = [line(check("BURST_ONLY"), row=n, code=f"SR {n}", claims=()) for n in range(2, 22)]
    (sign,) = [each for each in signs_of(bad) if each.sign == "burst quoted as rating"]
    assert sign.count == 20
    assert len(sign.examples) == EXAMPLES
    (question,) = questions_of([line(check("BURST_ONLY"), code=f"SR {n}") for n in range(20)])
    assert "(20 lines: SR 0, SR 1," in question
    assert "SR 19" in question


def test_a_line_without_a_code_is_named_by_its_place():
    (sign,) = signs_of([line(check("BURST_ONLY"), code="", row=7)])
    assert sign.examples == ("(no code) at row 7",)
    (question,) = questions_of([line(check("BURST_ONLY"), code="", row=7)])
    assert question.endswith("(1 line: row 7)")


@pytest.mark.parametrize(
    ("values", "told"),
    [(["3300 psi"] * 10, True), (["3300 psi"] * 9, False), (["3300 psi"] * 10 + ["1 psi"], False)],
)
def test_ten_ratings_that_are_all_equal_are_a_sign(values, told):
    found = signs_of([line(claims=(rated(value),), row=n) for n, value in enumerate(values, 2)])
    assert [sign.sign for sign in found] == (["all ratings equal"] if told else [])


# What the list comes to


def words(*lines: Judged) -> str:
    return recommendation(lines, signs_of(lines))


FIT = line(verdict=Verdict.FIT)
WITH_CONDITIONS = line(verdict=Verdict.FIT_WITH_CONDITIONS)


def test_a_list_without_signs_may_be_bought():
    assert words(FIT, WITH_CONDITIONS) == (
        "No sign of a bad list. 2 lines may be bought as they stand."
    )


def test_small_signs_ask_before_the_others_are_bought():
    open_one = line(check("KIT_INCOMPLETE", NOT_SHOWN, "contents"), verdict=Verdict.ASK_FIRST)
    assert words(FIT, open_one) == (
        "1 line may be bought; send the questions back before the 1 other."
    )


@pytest.mark.parametrize("sign", ["pressure too low", "burst quoted as rating", "bar and psi muddled", "thread look-alike", "rating above the maker's own", "softer material"])  # fmt: skip
def test_grave_signs_take_away_the_trust_in_its_ratings(sign):
    bad = next(each for name, each in SHOWS if name == sign)
    said = words(FIT, bad, line(verdict=Verdict.DO_NOT_FIT), line(verdict=Verdict.ASK_FIRST))
    assert said.startswith(f"Do not trust the ratings of this list ({sign}).")
    assert "Buy only the 1 line" in said
    assert "not the 1 that fail" in said
    assert "the 1 other after answers with documents" in said


NO_PRICE = line(verdict=Verdict.FIT, offer=None)
UNCLEAR = line(verdict=Verdict.FIT_WITH_CONDITIONS, unclear="a box of how many?")
BAD = line(check("PRESSURE_LOW", FAILS, "pressure"), verdict=Verdict.DO_NOT_FIT)
INCOMPLETE = line(check("KIT_INCOMPLETE", NOT_SHOWN, "contents"), verdict=Verdict.ASK_FIRST)


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ((FIT, NO_PRICE), "1 line may be bought as it stands (1 more fits but without a price)."),
        (
            (FIT, FIT, NO_PRICE, UNCLEAR),
            "2 lines may be bought as they stand (2 more fit but without a price).",
        ),
        ((NO_PRICE,), "0 lines may be bought as they stand (1 more fits but without a price)."),
        (
            (FIT, NO_PRICE, INCOMPLETE),
            "1 line may be bought (1 more fits but without a price); send the questions back",
        ),
        (
            (FIT, WITH_CONDITIONS, UNCLEAR, BAD),
            "Buy only the 2 lines that our own records show to fit (1 more fits but without a"
            " price); not the 1 that fail",
        ),
    ],
)
def test_a_line_without_a_clear_price_is_not_counted_among_those_to_buy(lines, said):
    assert said in words(*lines)


def test_what_could_be_bought_after_answers_has_a_price_too():
    answerable = [
        line(check("PRESSURE_UNKNOWN"), verdict=Verdict.ASK_FIRST, offer=offer)
        for offer in (ListedOffer(10_000, 1, "EUR"), None, None)
    ]
    said = if_answered([FIT, NO_PRICE, *answerable])
    assert said.startswith("Of 3 lines to ask about, 1 could be bought if every question")
    assert "2 name no price; 0 need a decision at the bench" in said
    assert "Then 2 lines could be bought" in said
    assert "name no price" not in if_answered([FIT, answerable[0]])


def test_a_barred_supplier_sells_nothing_here():
    barred = line(check("SUPPLIER_BLOCKED", FAILS, "grade"), verdict=Verdict.DO_NOT_FIT)
    assert words(barred) == "Buy nothing from this list: the shop has barred what it sells."


def test_one_question_of_two_signs_is_asked_once_with_the_lines_of_both():
    lacking = line(check("KIT_INCOMPLETE", FAILS, "contents", LACKS), code="SR 1")
    unsaid = line(check("KIT_INCOMPLETE", NOT_SHOWN, "contents", "not stated"), code="SR 2")
    (asked,) = questions_of([lacking, unsaid])
    assert asked == "List the contents of the kit, piece by piece. (2 lines: SR 1, SR 2)"
    assert len(signs_of([lacking, unsaid])) == 2
