"""Pressures as text: units, figures, dual labels, floors and ceilings."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError, UsageError
from partsdb.rules.pressure import (
    DUAL_AGREE,
    DUAL_CONFLICT,
    READ_AS_KGF,
    READ_AS_PSI,
    Pressure,
    at_least,
    ceiled,
    demand,
    floored,
    rating,
    shown_against,
    shown_demand,
    shown_rating,
)
from partsdb.rules.pressure_units import ATMOSPHERE_PA, unit_named, units_by_spelling


@pytest.mark.parametrize(
    ("written", "pascals", "source"),
    [
        ("3300 psi", 22_752_699, "NIST SP 811 app. B, by hand, rounded down"),
        ("227 bar", 22_700_000, "NIST SP 811 app. B"),
        ("230 kgf/cm2", 22_555_295, "NIST SP 811 app. B, by hand"),
        ("230 kg/cm²", 22_555_295, "the same, as it is printed"),
        ("22.7 MPa", 22_700_000, "NIST SP 811 table 3"),
        ("22,7 N/mm²", 22_700_000, "1 N/mm2 = 1 MPa, exact"),
        ("22753 kPa", 22_753_000, "NIST SP 811 table 3"),
        ("100 Pa", 100, "NIST SP 811 table 3"),
        ("10 atm", 1_013_250, "NIST SP 811 app. B"),
        ("3.3 ksi", 22_752_699, "1 ksi = 1000 psi"),
        ("3300 psig", 22_752_699, "gauge by its letter"),
        ("227 bar(g)", 22_700_000, "gauge by its letter"),
        ("3300 PSI", 22_752_699, "capitals say nothing"),
        ("3300psi", 22_752_699, "no blank"),
        ("3300-psi", 22_752_699, "hyphen as in a compound"),
        ("3300 lb/sq in", 22_752_699, "pounds per square inch, spelled out"),
        ("max. 250 bar", 25_000_000, "working word before"),
        ("250 bar zul. Betriebsdruck", 25_000_000, "working word after"),
        ("250 bars", 25_000_000, "plural"),
    ],
)
def test_a_rating_is_read_exactly_and_never_rounds_up(
    written: str, pascals: int, source: str
) -> None:
    assert rating(written).pascals == pascals, source


@pytest.mark.parametrize(
    ("written", "psi_or_bar", "unit"),
    [
        ("3,300 psi", 3300, "psi"),
        ("12.000 psi", 12000, "psi"),
        ("3 300 psi", 3300, "psi"),
        ("3\u202f300 psi", 3300, "psi"),
        ("3'300 psi", 3300, "psi"),
        ("13,200.5 psi", Fraction(26401, 2), "psi"),
        ("227,5 bar", Fraction(455, 2), "bar"),
        ("227.527 bar", Fraction(227527, 1000), "bar"),
        ("0,500 bar", Fraction(1, 2), "bar"),
        ("1.034,5 bar", Fraction(2069, 2), "bar"),
    ],
)
def test_thousands_and_decimal_marks_are_told_apart(
    written: str, psi_or_bar: Fraction, unit: str
) -> None:
    """Handbook 8, defect 5; the rule for a lone mark is common practice, no source."""
    assert rating(written).gauge == psi_or_bar * unit_named(unit).pascals


@pytest.mark.parametrize("written", ["2,500 bar", "1.034 bar", "1,034 kgf/cm2", "14.696 psi"])
def test_a_figure_with_two_readings_is_asked(written: str) -> None:
    with pytest.raises(InputRefusedError, match="may be"):
        rating(written)


@pytest.mark.parametrize("written", ["3300 lbs", "3300#", "3300 pounds", "3300 lb."])
def test_pounds_are_psi_only_beside_a_pressure(written: str) -> None:
    """Handbook 1.1 and "How the design uses it"."""
    with pytest.raises(InputRefusedError, match="force, a mass or a pressure"):
        rating(written)
    read = rating(written, in_pressure_context=True)
    assert read.pascals == 22_752_699
    assert read.notes == (READ_AS_PSI,)


def test_kilograms_beside_a_pressure_are_never_read_as_bar() -> None:
    """Handbook 1.1: as bar it would overstate a rating by 2 %."""
    read = rating("230 kg", in_pressure_context=True)
    assert (read.pascals, read.notes) == (22_555_295, (READ_AS_KGF,))


@pytest.mark.parametrize(
    "written",
    ["", "3300", "heavy duty", "fits Q33", "1/4 NPT", "-250 bar", "0 bar", "3/8 bar stock", "M22x1.5",
     "burst 12000 psi", "Prüfdruck 500 bar", "250 bar or 300 bar", "12 V 3 A", "6 PA", "??? psi",
     "3300 psii", "QM-3300 psi"],
)  # fmt: skip
def test_what_is_no_single_working_pressure_is_refused(written: str) -> None:
    for read in (rating, demand):
        with pytest.raises(InputRefusedError):
            read(written)


def test_absolute_pressure_counts_without_the_atmosphere() -> None:
    """NIST SP 811 app. B.8: atm = 101 325 Pa; handbook 1.1: psia - 14.6959 = psig."""
    read = rating("3300 psia")
    assert read.reference == "absolute"
    assert read.pascals == 22_752_699
    assert read.gauge == rating("3300 psi").gauge - ATMOSPHERE_PA
    assert not at_least(read, demand("3300 psi"))
    assert at_least(rating("3315 psia"), demand("3300 psi"))


@pytest.mark.parametrize(
    ("label", "lower", "higher", "note"),
    [
        ("3300 psi / 227 bar", "227 bar", "3300 psi", DUAL_AGREE),
        ("227 bar (3300 psi)", "227 bar", "3300 psi", DUAL_AGREE),
        ("3300 psi, 22.7 MPa", "22.7 MPa", "3300 psi", DUAL_AGREE),
        ("3000 psi (207 bar)", "3000 psi", "207 bar", DUAL_AGREE),
        ("3600 psi (227 bar)", "227 bar", "3600 psi", DUAL_CONFLICT),
        ("250bar 3600#", "3600 psi", "250 bar", DUAL_CONFLICT),
        ("3300 psi (227 bar, 22.7 MPa)", "227 bar", "3300 psi", DUAL_AGREE),
        ("3600 psi (227 bar, 22.7 MPa)", "227 bar", "3600 psi", DUAL_CONFLICT),
    ],
)
def test_of_a_dual_label_the_safe_side_counts(
    label: str, lower: str, higher: str, note: str
) -> None:
    """Handbook 1.2, rule 4."""
    assert rating(label).gauge == rating(lower).gauge
    assert demand(label).gauge == demand(higher).gauge
    assert note in rating(label).notes


def test_a_half_readable_dual_label_is_a_question() -> None:
    with pytest.raises(InputRefusedError):
        rating("36259 psi / 2,500 bar")


def test_equal_text_meets_itself_although_floor_and_ceiling_differ() -> None:
    assert rating("3300 psi").pascals < demand("3300 psi").pascals
    assert at_least(rating("3300 psi"), demand("3300 psi"))
    assert not at_least(rating("227 bar"), demand("3300 psi"))


@pytest.mark.parametrize(
    "written", ["3300 psi", "227,5 bar", "3300 lbs", "3300 psia", "3600 psi (227 bar)"]
)
def test_a_pressure_stored_as_pascals_and_text_keeps_its_exact_value(written: str) -> None:
    for read in (rating, demand):
        fresh = read(written, in_pressure_context=True)
        stored = Pressure(fresh.pascals, fresh.as_written, fresh.reference)
        assert stored.gauge == fresh.gauge


def test_a_stored_pressure_without_its_text_counts_by_its_pascals() -> None:
    assert Pressure(22_700_000, "from an old list").gauge == 22_700_000


def test_people_see_ratings_floored_and_demands_ceiled() -> None:
    """Handbook 1.2: 3300 psi is 227 bar as a rating and 228 bar as a demand."""
    assert shown_rating(rating("3300 psi")) == "3300 psi (227 bar)"
    assert shown_demand(demand("3300 psi")) == "3300 psi (228 bar)"
    assert shown_rating(rating("227 bar")) == "227 bar (3292 psi)"
    assert shown_demand(demand("227 bar")) == "227 bar (3293 psi)"


def test_an_unknown_unit_is_a_usage_error() -> None:
    with pytest.raises(UsageError, match="no unit of pressure"):
        floored(rating("3300 psi"), "furlong")


def test_every_spelling_of_the_table_is_read_as_its_unit() -> None:
    for spelling, unit in units_by_spelling().items():
        read = rating(f"400 {spelling}", in_pressure_context=True)
        shift = ATMOSPHERE_PA if unit.reference == "absolute" else 0
        assert read.gauge == 400 * unit.pascals - shift, spelling


PRINTED = st.sampled_from(["psi", "bar", "MPa", "kPa", "kgf/cm2"])


@given(st.integers(10, 9999), PRINTED, PRINTED)
def test_there_and_back_never_raises_a_rating_nor_lowers_a_demand(
    value: int, unit: str, other: str
) -> None:
    rated, needed = rating(f"{value} {unit}"), demand(f"{value} {unit}")
    there = Pressure(0, "", exact=floored(rated, other) * unit_named(other).pascals)
    assert floored(there, unit) <= value
    up = Pressure(0, "", exact=ceiled(needed, other) * unit_named(other).pascals)
    assert ceiled(up, unit) >= value


@given(st.integers(1, 99999), PRINTED)
def test_floor_and_ceiling_enclose_the_exact_value(value: int, unit: str) -> None:
    exact = value * unit_named(unit).pascals
    assert rating(f"{value} {unit}").pascals <= exact <= demand(f"{value} {unit}").pascals
    assert demand(f"{value} {unit}").pascals - rating(f"{value} {unit}").pascals <= 1


@given(st.text(max_size=60))
def test_any_text_is_read_or_refused_in_one_sentence(text: str) -> None:
    try:
        assert rating(text, in_pressure_context=True).gauge > 0
    except InputRefusedError as refused:
        assert refused.message


@pytest.mark.parametrize("text", ["10000001 bar", "9" * 40 + " bar", "3600360036003600 psi"])
def test_figures_that_ran_together_are_no_pressure(text):
    # Ten million bar is beyond reason: common practice, no source.
    for read in (rating, demand):
        with pytest.raises(InputRefusedError, match="beyond reason for a pressure"):
            read(text)


@pytest.mark.parametrize("text", ["6200 bar", "90000 psi", "14000 bar"])
def test_the_highest_pressures_of_water_jets_and_test_benches_are_read(text):
    assert rating(text).pascals == demand(text).pascals or rating(text).pascals > 0


@pytest.mark.parametrize(
    ("rated", "needed", "said"),
    [
        ("3600 psi", "3300 psi", "3600 psi (248 bar) against 3300 psi (228 bar) needed"),
        ("3000 psi", "3300 psi", "3000 psi (206 bar) against 3300 psi (228 bar) needed"),
        ("3300 psi", "3300 psi", "3300 psi (227 bar) against 3300 psi needed"),
        ("250 bar", "250 bar", "250 bar (3625 psi) against 250 bar needed"),
        ("227.5 bar", "3300 psi", "227 bar (3299 psi) against 3300 psi (228 bar) needed"),
    ],
)
def test_rating_and_demand_of_one_figure_do_not_seem_to_differ(rated, needed, said) -> None:
    """3300 psi are 227.53 bar (NIST SP 811, app. B.8): a rating's 227, a demand's 228."""
    assert shown_against(rating(rated), demand(needed)) == said
