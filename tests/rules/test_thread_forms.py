"""The thread table against the standards' figures and against laws of its own."""

import math
from collections import Counter
from fractions import Fraction

import pytest

from partsdb import tables
from partsdb.errors import NotFoundError
from partsdb.rules import thread_forms as forms
from partsdb.rules.threads import parse


@pytest.mark.parametrize("checks", ["thread.npt"], indirect=True)
def test_npt_sizes_are_those_of_the_standard(checks):
    for check in checks:
        size, field = check["inputs"]["size"], check["inputs"]["field"]
        thread = forms.standard("NPT", size)
        found = {"od_mm": thread.diameter_mm, "pitch_mm": thread.pitch_mm}[field]
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


@pytest.mark.parametrize("checks", ["thread.bsp"], indirect=True)
@pytest.mark.parametrize("form", ["G", "R", "Rc", "Rp", "BSP"])
def test_bsp_sizes_are_those_of_the_standard(checks, form):
    for check in checks:
        thread = forms.standard(form, check["inputs"]["size"])
        found = {"od_mm": thread.diameter_mm, "pitch_mm": thread.pitch_mm}
        assert found[check["inputs"]["field"]] == pytest.approx(
            check["expected"], abs=check["tolerance"]
        ), check["id"]


@pytest.mark.parametrize("checks", ["thread.jic_orb"], indirect=True)
@pytest.mark.parametrize("form", ["JIC", "ORB"])
def test_dash_sizes_have_the_diameter_of_their_inch_thread(checks, form):
    for check in checks:
        thread = forms.by_dash(form, check["inputs"]["dash"].lstrip("-"))
        assert thread.diameter_mm == pytest.approx(check["expected"], abs=check["tolerance"])


@pytest.mark.parametrize("checks", ["thread.npt_minus_bsp_od"], indirect=True)
def test_npt_and_bsp_differ_by_a_fraction_of_a_millimetre(checks):
    for check in checks:
        size = check["inputs"]["size"]
        apart, _ = forms.difference_mm(forms.standard("NPT", size), forms.standard("G", size))
        assert apart == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


def test_npt_and_bsp_share_their_pitch_in_two_sizes_only(check_value):
    sizes = ["1/8", "1/4", "3/8", "1/2", "3/4", "1"]
    same = [
        size
        for size in sizes
        if forms.standard("NPT", size).threads_per_inch
        == forms.standard("G", size).threads_per_inch
    ]
    assert same == check_value("thread.same_tpi_npt_bsp")


def test_taper_of_one_in_sixteen_leans_less_than_two_degrees(check_value):
    expected = check_value("thread.taper_half_angle_deg")
    assert forms.taper_half_angle_deg() == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize("checks", ["thread.confusable"], indirect=True)
def test_near_misses_differ_as_the_handbook_computes(checks):
    for check in checks:
        one, two = parse(check["inputs"]["a"]), parse(check["inputs"]["b"] + " UN")
        diameter, pitch = forms.difference_mm(one, two)
        assert diameter == pytest.approx(check["expected"]["d_od_mm"], abs=check["tolerance"])
        assert pitch == pytest.approx(check["expected"]["d_pitch_mm"], abs=check["tolerance"])


@pytest.mark.parametrize(
    ("checks", "formula"),
    [
        ("npt_E0_in", forms.npt_pitch_diameter_in),
        ("npt_L2_in", forms.npt_effective_length_in),
        ("npt_L4_in", forms.npt_overall_length_in),
    ],
    indirect=["checks"],
)
def test_npt_lengths_follow_the_formulas_of_the_standard(checks, formula):
    for check in checks:
        found = formula(check["inputs"]["size"])
        assert found == pytest.approx(check["expected"], abs=check["tolerance"]), check["id"]


def test_effective_length_exposes_the_published_misprint(check_value):
    # Handbook, published errors: 3/8 NPT L2 was printed .0478 for .4078 (7.34 threads ÷ 18).
    assert forms.npt_effective_length_in("3/8") == pytest.approx(
        check_value("thread.l2_crosscheck"), abs=5e-4
    )


@pytest.mark.parametrize("checks", ["iso228_mm"], indirect=True)
def test_pipe_threads_have_the_diameters_of_iso_228(checks):
    for check in checks:
        size, expected = check["inputs"]["size"].removeprefix("G"), check["expected"]
        major, pitch, minor = forms.iso228_mm(size)
        assert major == pytest.approx(expected["major"], abs=check["tolerance"])
        assert pitch == pytest.approx(expected["pitch_diameter"], abs=check["tolerance"])
        assert minor == pytest.approx(expected["minor"], abs=check["tolerance"])
        assert forms.standard("G", size).threads_per_inch == expected["tpi"]


def test_every_row_names_a_source_and_stands_once():
    rows = tables.rows("threads")
    assert all(row["source"] for row in rows)
    assert [key for key, n in Counter(row["designation"] for row in rows).items() if n > 1] == []
    assert [key for key, n in Counter((r["form"], r["size"]) for r in rows).items() if n > 1] == []


@pytest.mark.parametrize("form", ["NPT", "NPTF", "NPSM", "G", "R", "Rc", "Rp", "BSP"])
def test_pipe_threads_run_from_an_eighth_to_an_inch(form):
    for size in ("1/8", "1/4", "3/8", "1/2", "3/4", "1"):
        assert forms.standard(form, size).size == size


def test_inch_rows_have_the_diameter_that_their_name_says():
    for thread in forms.all_threads():
        if thread.form in ("JIC", "ORB", "SAE45", "UN"):
            *whole, fraction, tpi = thread.size.split("-")
            inches = sum((Fraction(part) for part in [*whole, fraction]), Fraction(0))
            assert thread.diameter_mm == pytest.approx(float(inches * Fraction("25.4")), abs=1e-4)
            assert thread.threads_per_inch == float(tpi)


def test_metric_rows_have_the_diameter_and_pitch_that_their_name_says():
    for thread in forms.all_threads():
        if thread.form in ("M", "ISO6149"):
            diameter, pitch = thread.size.removeprefix("M").split("x")
            assert (thread.diameter_mm, thread.pitch_mm) == (float(diameter), float(pitch))
            assert thread.pitch_mm < thread.diameter_mm / 3


def test_flanks_are_fifty_five_degrees_for_bsp_alone():
    for thread in forms.all_threads():
        expected = 55 if thread.form in ("G", "R", "Rc", "Rp", "BSP") else 60
        assert thread.flank_deg == expected


def test_every_port_thread_of_iso_6149_is_also_a_metric_thread():
    ports = [thread for thread in forms.all_threads() if thread.form == "ISO6149"]
    assert len(ports) == 10
    for port in ports:
        assert forms.standard("M", port.size).pitch_mm == port.pitch_mm


def test_flare_threads_are_unified_threads():
    for thread in forms.all_threads():
        if thread.form in ("JIC", "ORB", "SAE45"):
            unified = forms.standard("UN", thread.size)
            assert math.isclose(unified.diameter_mm, thread.diameter_mm)


def test_a_size_that_the_table_lacks_is_refused_by_name():
    with pytest.raises(NotFoundError, match="NPT 5/8"):
        forms.standard("NPT", "5/8")
    with pytest.raises(NotFoundError, match="5/8"):
        forms.npt_pitch_diameter_in("5/8")
