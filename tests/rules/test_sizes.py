"""Sizes compared exactly: inch and mm, stated tolerances, O-rings by dash number."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb import tables
from partsdb.rules.sizes import check_size, oring, parse_size
from partsdb.rules.verdict import Outcome

MEETS, CONDITIONS, NOT_SHOWN, FAILS = Outcome


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [  # 1 in = 25.4 mm exactly (handbook 1.1), by hand
        ("16 mm", ["16"]),
        ("16mm", ["16"]),
        ("ø 16 mm", ["16"]),
        ("5/8 in", ["15.875"]),
        ('5/8"', ["15.875"]),
        ("5/8 Zoll", ["15.875"]),
        ("1-1/4 in", ["31.75"]),
        ("1 1/4 inch", ["31.75"]),
        ("1¼ in", ["31.75"]),
        ("0.625 in.", ["15.875"]),
        (".5 in", ["12.7"]),
        ("15 m", ["15000"]),
        ("50 ft", ["15240"]),
        ("10 x 2.5 mm", ["10", "2.5"]),
        ("10 × 2,5 mm", ["10", "2.5"]),
        ("18 ± 0.05 mm", ["18"]),
        ("-010", ["6.0706", "1.778"]),
        ("AS568-214", ["24.9936", "3.5306"]),
        ("O-ring 111", ["10.7696", "2.6162"]),
    ],
)
def test_a_size_is_read_to_exact_millimetres(text, millimetres):
    size = parse_size(text)
    assert size is not None
    assert size.measures_mm == tuple(map(Fraction, millimetres))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "16",
        "214",
        "about 16 mm",
        "M16",
        "1,234 mm",
        "1/0 in",
        "16 mm x big",
        "16 mm or 18 mm",
        "AS568-200",
        "x",
    ],
)
def test_what_is_not_understood_is_no_size(text):
    assert parse_size(text) is None


@pytest.mark.parametrize(
    ("name", "called_for", "offered", "outcome"),
    [
        ("bore_mm", "16", "16", MEETS),
        ("bore_mm", "16", "16.0 mm", MEETS),
        ("bore_mm", "16", "16,0", MEETS),
        ("bore_mm", "16", "16.3", FAILS),
        ("bore_mm", "16", "", NOT_SHOWN),
        ("bore_mm", "16", "large", NOT_SHOWN),
        ("bore_mm", "as old", "16", NOT_SHOWN),
        ("diameter", "5/8 in", "15.875 mm", MEETS),
        ("diameter", "5/8 in", "0.625 in", MEETS),
        ("diameter", "7/16 in", "1/2 in", FAILS),
        ("diameter", "3/8 in", "9.5 mm", CONDITIONS),  # rounded between inch and mm
        ("diameter", "3/8 in", "9.53 mm", CONDITIONS),
        ("diameter", "3/8 in", "9.6 mm", FAILS),
        ("diameter", "3/8 in", "10 mm", FAILS),
        ("rod_mm", "18", "18.03", FAILS),  # one unit: nothing was rounded
        ("rod_mm", "18 ± 0.05", "18.03", MEETS),
        ("rod_mm", "18 +/- 0.05", "18.05", MEETS),
        ("rod_mm", "18 ± 0.05", "18.06", FAILS),
        ("rod_mm", "18", "18.03 ± 0.05", FAILS),  # the demand states the tolerance, not the offer
        ("rod_mm", "18 ± 0.05 x 5", "18.03 x 5", MEETS),
        ("rod_mm", "18 ± 0.05 x 5", "18.03 x 5.03", FAILS),  # the tolerance stands beside 18 alone
        ("diameter", "5/8 in ± 0.002 in", "15.92 mm", MEETS),  # 0.045 mm off, 0.0508 allowed
        ("diameter", "5/8 in ± 0.002 in", "15.93 mm", FAILS),
        ("diameter", "16 mm ± 0.002 in", "16.05 mm", MEETS),
        ("diameter", "16 mm ± 0.002 in", "16.06 mm", FAILS),
        ("ring", "3/8 x 1/8 in", "9.5 x 3.175 mm", CONDITIONS),
        ("ring", "3/8 x 1/8 in", "9.5 x 3.2 mm", CONDITIONS),
        ("ring", "3/8 x 1/8 in", "9.5 x 3.21 mm", FAILS),  # 9.5 is coarse, 3.21 is not
        ("length_m", "7.5", "7500 mm", MEETS),
        ("size", "16", "16", CONDITIONS),  # the same figure, but of what?
        ("size", "A4", "A4", CONDITIONS),
        ("size", "A4", "A5", NOT_SHOWN),
        ("o-ring", "10 x 2.5 mm", "10x2.5 mm", MEETS),
        ("o-ring", "10 x 2.5 mm", "10x2.62 mm", FAILS),
        ("o-ring", "10 x 2.5 mm", "10 mm", NOT_SHOWN),
        ("o-ring", "-010", "AS568-010", MEETS),
        ("o-ring", "-010", "6.07 x 1.78 mm", MEETS),  # as AS568 tables print it
        ("o-ring", "-010", "6 x 1.8 mm", FAILS),  # ISO 3601 metric sizes are not the same list
        ("o-ring", "AS568-214", "AS568-210", FAILS),
        ("dash", "010", "010", MEETS),  # named a dash number, so the bare digits are one
        ("dash", "010", "-010", MEETS),
        ("dash", "010", "012", FAILS),
        ("dash", "010", "10", NOT_SHOWN),
        ("o-ring", "-200", "-200", NOT_SHOWN),  # no such size
    ],
)
def test_two_sizes_are_equal_only_exactly_or_as_stated(name, called_for, offered, outcome):
    found = check_size(name, called_for, offered)
    assert found.outcome is outcome, found.text
    assert (found.conditions != ()) == (outcome is CONDITIONS)


def test_a_contradiction_shows_both_values():
    found = check_size("bore_mm", "5/8 in", "16 mm")
    assert found.check == "size bore_mm"
    assert "16 mm" in found.text and "15.875 mm" in found.text and "5/8 in" in found.text


@pytest.mark.parametrize("checks", ["oring.as568"], indirect=True)
def test_o_rings_have_the_measures_of_as568(checks):
    for check in checks:
        inside, section = oring(check["inputs"]["dash"]).measures_mm
        tolerance = check["tolerance"]
        assert float(inside) == pytest.approx(check["expected"]["id_mm"], abs=tolerance)
        assert float(section) == pytest.approx(check["expected"]["cs_mm"], abs=tolerance)


def test_the_dash_number_that_a_public_page_invented_does_not_exist(check_value):
    assert (oring("200") is not None) == check_value("oring.as568_exists")


def test_millimetres_of_every_o_ring_are_its_inches_rounded():
    for row in tables.rows("orings"):
        for inches, millimetres in (("id_in", "id_mm"), ("cs_in", "cs_mm")):
            exact = Fraction(row[inches]) * Fraction("25.4")
            assert abs(exact - Fraction(row[millimetres])) <= Fraction("0.005"), row["dash"]


def test_o_rings_grow_within_each_series_of_one_cross_section():
    series = {}
    for row in tables.rows("orings"):
        if row["dash"] not in ("001", "002", "003"):  # smaller sections before the 0.070 in series
            series.setdefault(row["dash"][0], []).append((Fraction(row["id_in"]), row["cs_in"]))
    expected = {"0": "0.070", "1": "0.103", "2": "0.139", "3": "0.210", "4": "0.275"}
    assert {key: {section for _, section in rings} for key, rings in series.items()} == {
        key: {section} for key, section in expected.items()
    }
    for rings in series.values():
        inside = [diameter for diameter, _ in rings]
        assert inside == sorted(set(inside))


@given(st.integers(1, 10_000), st.integers(1, 10_000))
def test_only_equal_figures_meet(one, two):
    found = check_size("bore_mm", f"{one / 100:.2f}", f"{two / 100:.2f}")
    assert (found.outcome is MEETS) == (one == two)


@given(st.text(max_size=16), st.text(max_size=16))
def test_no_text_makes_the_comparison_fall_over(called_for, offered):
    assert check_size("bore_mm", called_for, offered).text
