"""Lines against the small shop: what settles, and everything that must not."""

from __future__ import annotations

from pathlib import Path

import pytest

from partsdb.matching.engine.decision import Lane, Way
from partsdb.matching.engine.evidence import unpack
from partsdb.matching.engine.index import Index
from partsdb.matching.engine.match import Lines
from tests.matching.engine.plain_way import plain_way
from tests.matching.engine.small_shop import PARTS, Part, answer, indexed, matched


@pytest.mark.parametrize(
    ("number", "description", "maker", "part", "way"),
    [
        ("24-1190", "inlet valve seat, carbide, 16 mm", "", 13, Way.KEY),
        ("24 1190", "INLET VLV SEAT 16 MM", "Quillmere", 13, Way.KEY),
        ("241190", "valve seat, inlet", "", 13, Way.KEY),
        ("0B-5507", "outlet ball, ceramic, 12 mm", "", 14, Way.LOOKALIKE),
        ("OB-SSO7", "outlet ball, ceramic, 12 mm", "", 14, Way.LOOKALIKE),
        ("7.00E+12", "unloader valve, 250 bar", "", 15, Way.SCIENTIFIC),
        ("03-Dez", "spray nozzle, 25 degree, 0.019", "", 17, Way.DATE),
        ("12-Mar", "spray nozzle, 25 degree, 0.019", "", 17, Way.DATE),
        ("1.23457E+11", "gland ring, brass, 20 mm", "", 24, Way.SCIENTIFIC),
        ("hx22041", "hose assy 3/8 in 15 m", "Vossgrund", 18, Way.KEY),
        ("24-1180", "packing kit, upper, leather, for pump QM390", "", 11, Way.KEY),
        ("24-1180", "gun handle, plastic", "", 23, Way.KEY),
    ],
)
def test_a_number_settles_with_its_description(
    index: Index, number: str, description: str, maker: str, part: int, way: Way
) -> None:
    found = matched(index, (number, description, maker))
    assert answer(found) == (Lane.SETTLED, [part])
    assert unpack(int(found.code[0]))["way"] == way


@pytest.mark.parametrize(
    ("number", "description", "why"),
    [
        ("24-1191", "inlet valve seat, tungsten carbide, 16 mm", "one digit off"),
        ("24-1109", "inlet valve seat, tungsten carbide, 16 mm", "transposed"),
        ("24-11900", "inlet valve seat, tungsten carbide, 16 mm", "a digit inserted"),
        ("24-119", "inlet valve seat, tungsten carbide, 16 mm", "a digit lost"),
        ("24-1190A", "inlet valve seat, tungsten carbide, 16 mm", "a revision letter"),
        ("BO-5507", "outlet ball, ceramic, 12 mm", "letters transposed"),
        ("0O-5507", "outlet ball, ceramic, 12 mm", "another letter"),
        ("24-1190-KIT", "inlet valve seat, tungsten carbide, 16 mm", "a kit of it"),
        ("24-1190", "inlet valve seat, tungsten carbide, 18 mm", "another size"),
        ("HX-22041", "hose assembly, 3/8 in, 15 m, 5000 psi", "another pressure"),
        ("HX-22041", "hose assembly, 1/2 in, 15 m, 4000 psi", "another size"),
        ("24-1181", "packing kit, upper, leather", "the neighbour explains it better"),
        ("24-1190", "o-ring", "nothing agrees"),
        ("24-1190", "", "nothing is said"),
        ("61-4402", "piston rod", "the part says nothing"),
        ("", "inlet valve seat, tungsten carbide, 16 mm", "no number"),
        ("90.1177", "gauge, 63 mm, 400 bar", "the neighbour is described alike"),
        ("78812", "lance, stainless, 900 mm", "one line does not show that zeros were lost"),
    ],
)
def test_what_contradicts_or_proves_nothing_goes_to_a_person(
    index: Index, number: str, description: str, why: str
) -> None:
    lane, _ = answer(matched(index, (number, description)))
    assert lane != Lane.SETTLED, why


def test_another_maker_is_a_veto(index: Index) -> None:
    lane, offered = answer(matched(index, ("24-1190", "inlet valve seat, 16 mm", "Corrowby")))
    assert (lane, offered[0]) == (Lane.REVIEW, 13)


def test_the_maker_tells_two_parts_of_one_number_apart(index: Index) -> None:
    found = matched(
        index, ("24-1180", "kit, upper", "Quillmere"), ("24-1180", "kit, left", "Corrowby")
    )
    assert [answer(found, line) for line in (0, 1)] == [(Lane.SETTLED, [11]), (Lane.SETTLED, [23])]


def test_two_parts_of_one_number_are_a_question_when_nothing_tells_them_apart(index: Index) -> None:
    lane, offered = answer(matched(index, ("24-1180", "left, upper")))
    assert lane == Lane.REVIEW and set(offered) >= {11, 23}


@pytest.mark.parametrize(
    ("number", "description", "part"),
    [
        ("24-1191", "inlet valve seat", 13),
        ("24-1109", "inlet valve seat", 13),
        ("55-73", "piston rod, ceramic", 26),
        ("", "spray nozzle, 25 degree, 0.019", 17),
        ("9Q-9999", "unloader valve, 250 bar", 15),
        ("XXOB5507", "outlet ball", 14),
    ],
)
def test_the_right_part_is_among_the_five_offered(
    index: Index, number: str, description: str, part: int
) -> None:
    lane, offered = answer(matched(index, (number, description)))
    assert lane == Lane.REVIEW and part in offered and len(offered) <= 5


def test_an_article_that_is_nothing_of_ours_is_offered_nothing(index: Index) -> None:
    assert answer(matched(index, ("TULIP-40", "flower bulbs, mixed"))) == (Lane.NONE, [])


def _behind(prefix: str) -> list[tuple[str, str]]:
    return [
        (f"{prefix}24-1190", "inlet valve seat, 16 mm"),
        (f"{prefix}OB-5507", "outlet ball, ceramic, 12 mm"),
        (f"{prefix}HX-22041", "hose assembly, 3/8 in, 4000 psi"),
        (f"{prefix}HX-22042", "hose assembly, 1/2 in, 3000 psi"),
        (f"{prefix}55-7301", "piston rod, chrome, 18 mm"),
        (f"{prefix}55-7302", "piston rod, ceramic, 18 mm"),
    ]


def test_a_prefix_that_the_list_teaches_settles(index: Index) -> None:
    found = matched(index, *_behind("XQ-"))
    assert [answer(found, line) for line in range(6)] == [
        (Lane.SETTLED, [part]) for part in (13, 14, 18, 19, 25, 26)
    ]


def test_an_affix_that_makes_another_article_is_never_learned(index: Index) -> None:
    found = matched(index, *_behind("KIT-"))
    assert Lane.SETTLED not in {answer(found, line)[0] for line in range(6)}


def test_a_prefix_on_too_few_lines_teaches_nothing(index: Index) -> None:
    found = matched(index, *_behind("XQ-")[:4])
    assert Lane.SETTLED not in {answer(found, line)[0] for line in range(4)}


def test_behind_a_learned_prefix_a_near_miss_still_does_not_settle(index: Index) -> None:
    found = matched(index, *_behind("XQ-"), ("XQ-24-1191", "inlet valve seat, 16 mm"))
    lane, offered = answer(found, 6)
    assert lane == Lane.REVIEW and offered[0] == 13


ZEROS = tuple(
    (i, "Tarnbeck", f"00{4400 + 37 * i}", f"lance, stainless, {100 * i} mm") for i in range(1, 8)
)


@pytest.mark.parametrize(("kept", "lane"), [(False, Lane.SETTLED), (True, Lane.REVIEW)])
def test_lost_zeros_settle_when_the_whole_list_lost_them(
    tmp_path_factory: pytest.TempPathFactory, kept: bool, lane: Lane
) -> None:
    zeros = indexed(tmp_path_factory.mktemp("zeros"), ZEROS)
    rows = [(number.lstrip("0"), description) for _, _, number, description in ZEROS]
    if kept:
        rows.append(("0099999", "lance"))
    found = matched(zeros, *rows)
    assert {answer(found, line)[0] for line in range(len(ZEROS))} == {lane}


# Each doubt alone: without it the line would settle (the row before or behind it does).
DOUBTFUL: tuple[Part, ...] = (
    (41, "Quillmere", "70-2210", "hose, rubber, 10 m, 16 bar"),
    (42, "Quillmere", "71-5500", "gland ring, brass, polished, 20 mm"),
    (43, "Tarnbeck", "71-5500", "gland ring, brass, polished, long"),
    (44, "Quillmere", "72-9100", "cylinder sleeve, ptfe, 3/4 in, for pump PW625"),
    (45, "Quillmere", "73-1000", "crankshaft, steel, for pump PW625"),
)


@pytest.mark.parametrize(
    ("row", "lane", "why"),
    [
        (("70-2210", "hose, rubber, 10 m", ""), Lane.SETTLED, ""),
        # Every word is one of the part's, the length that they make is not.
        (("70-2210", "hose, rubber, 16 m", ""), Lane.REVIEW, "a contradiction is a veto"),
        (("71-5500", "gland ring, brass, 20 mm", ""), Lane.SETTLED, ""),
        (("71-5500", "gland ring, brass, polished", ""), Lane.REVIEW, "two parts within the margin"),
        (("72-9100", "ptfe, 3/4 in", ""), Lane.SETTLED, ""),
        (("72-9100", "crankshaft, ptfe, 3/4 in", ""), Lane.REVIEW, "another noun"),
        (("72-9100", "crankshaft, ptfe, 3/4 in", "Quillmere"), Lane.SETTLED, ""),
    ],
)
def test_veto_margin_and_noun_each_keep_a_line_from_settling_by_either_way(
    tmp_path: Path, row: tuple[str, str, str], lane: Lane, why: str
) -> None:
    index = indexed(tmp_path, DOUBTFUL)
    numbers, descriptions, makers = ([cell] for cell in row)
    (short,) = plain_way(tmp_path, Lines(numbers, descriptions, makers))
    assert (answer(matched(index, row))[0], short.lane) == (lane, lane), why


@pytest.mark.parametrize("number", ["\u041624-1190", "\u00dc24-1190", "24-1190\u9600"])
def test_a_letter_that_no_key_holds_makes_it_another_number(tmp_path: Path, number: str) -> None:
    words = "inlet valve seat, tungsten carbide, 16 mm"
    index = indexed(tmp_path / "plain")
    lane, parts = answer(matched(index, (number, words, "Quillmere")))
    assert (lane, 13 in parts) == (Lane.REVIEW, True)
    lettered = tuple((i, maker, number if i == 13 else known, said) for i, maker, known, said
                     in ((p[0], p[1], p[2], p[3]) for p in PARTS))  # fmt: skip
    index = indexed(tmp_path / "lettered", lettered)
    assert answer(matched(index, (number, words, "Quillmere"))) == (Lane.SETTLED, [13])
    assert answer(matched(index, ("24-1190", words, "Quillmere")))[0] == Lane.REVIEW
